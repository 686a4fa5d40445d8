//! The fuzz targets. What they do stands in `tests/it/targets`, where the tests replay it.

#[path = "../../it/targets/mod.rs"]
pub mod targets;
