#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| blockside_fuzz::targets::run("csv", data));
