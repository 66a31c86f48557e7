//! What a changed line costs in a file of two thousand: cut and parsed anew where it stands, beside the tree that a check
//! asks for, the whole file cut anew with every statement known, and read for the first time. `cargo bench --bench edit`.

#![allow(clippy::disallowed_methods, reason = "a benchmark reads files of its own")]

mod generate;

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};
use stillroom::diagnostic::FileId;
use stillroom::syntax::{Memo, SyntaxTree, parse, parse_with};

const LINES: usize = 2_000;

/// Blocks of the made-up workspace, up to the line that is asked for.
fn text() -> String {
    let workspace = generate::workspace(5, 0).expect("a workspace");
    let mut text = String::new();
    for file in workspace.files.iter().filter(|file| file.file_name().is_some_and(|name| name != "substances.still")) {
        for block in std::fs::read_to_string(file).expect("a file").split_inclusive("\n}\n") {
            if text.lines().count() + block.lines().count() <= LINES {
                text.push_str(block);
            }
        }
    }
    assert!(text.lines().count() > LINES * 9 / 10 && parse(FileId(0), &text).faults.is_empty());
    text
}

/// The places of digits in lines of phases, all over the file.
fn digits(text: &str) -> Vec<usize> {
    let lines = text.match_indices("\n    ").map(|(at, _)| at + 1);
    let digit = |start: usize| {
        let line = text.get(start..)?.lines().next()?;
        line.rfind(|c: char| ('1'..='8').contains(&c)).map(|at| start + at)
    };
    lines.filter_map(digit).step_by(7).collect()
}

fn edits(criterion: &mut Criterion) {
    let text = text();
    let places = digits(&text);
    let memo: Arc<Memo> = Arc::default();
    let mut tree = SyntaxTree::new(text.clone(), Arc::clone(&memo));
    let mut group = criterion.benchmark_group(format!("{} lines", text.lines().count()));
    let mut round = 0usize;
    group.bench_function("one line changed", |bencher| {
        bencher.iter_custom(|rounds| {
            let mut total = Duration::ZERO;
            for _ in 0..rounds {
                // Another line each time, with figures that were not in it before; what it was is put back unmeasured.
                let at = places[round % places.len()];
                let digit = text[at..=at].to_string();
                let figures = format!("{digit}{round:06}");
                round += 1;
                let start = Instant::now();
                black_box(tree.edit(at..at + 1, &figures));
                total += start.elapsed();
                tree.edit(at..at + figures.len(), &digit);
            }
            total
        });
    });
    assert_eq!(tree.text(), text);
    assert!(tree.parsed(FileId(0)).faults.is_empty());
    group.bench_function("tree of it made", |bencher| bencher.iter(|| black_box(tree.parsed(FileId(0)))));
    group.bench_function("read anew, all statements known", |bencher| {
        bencher.iter(|| black_box(parse_with(&memo, FileId(0), &text)));
    });
    group.bench_function("read for the first time", |bencher| {
        bencher.iter(|| black_box(parse(FileId(0), &text)));
    });
}

criterion_group!(benches, edits);
criterion_main!(benches);
