//! How long reading a free text takes: the words of the knowledge once, then a megabyte of each kind of text.

use std::hint::black_box;

use blockside::describe::Reader;
use blockside::knowledge::embedded;
use criterion::{Criterion, criterion_group, criterion_main};

const MEGABYTE: usize = 1_000_000;

/// A word for each number, of seven letters, none like another.
fn word(mut number: usize) -> String {
    let mut letters = String::new();
    for _ in 0..7 {
        letters.push(char::from(b'a' + (number % 26) as u8));
        number = number / 26 + 7 * (number % 26);
    }
    letters
}

fn filled(mut next: impl FnMut(usize) -> String) -> String {
    let mut text = String::with_capacity(MEGABYTE + 200);
    for number in 0.. {
        if text.len() >= MEGABYTE {
            break;
        }
        text.push_str(&next(number));
        text.push(' ');
    }
    text
}

fn reading(criterion: &mut Criterion) {
    let base = embedded::base();
    criterion.bench_function("the words of the knowledge", |bench| {
        bench.iter(|| Reader::new(black_box(&base)));
    });
    let reader = Reader::new(&base);
    let sentences = [
        "My oysters have long stems and small caps, no smell at all.",
        "CO2 2900 ppm, 68 F, about 90% humidity, and the caps aren't slimy.",
        "Is there green mould on the block? No, but a few flies since yesterday.",
    ];
    let texts = [
        ("one letter", "a".repeat(MEGABYTE)),
        ("distinct words", filled(word)),
        (
            "sentences",
            filled(|number| sentences[number % 3].to_owned()),
        ),
        ("one long sentence", filled(|_| "dry caps".to_owned())),
        ("denials alone", filled(|_| "no".to_owned())),
    ];
    let mut group = criterion.benchmark_group("a megabyte of");
    group.sample_size(10);
    for (name, text) in &texts {
        group.bench_function(*name, |bench| bench.iter(|| reader.read(black_box(text))));
    }
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
