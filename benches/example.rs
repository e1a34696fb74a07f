//! Takes the example site in memory; measures its assessment, and the writing of its four dossiers.
#![allow(clippy::disallowed_methods, reason = "a bench reads the example from the disk")]

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use galipot::cli::disk;
use galipot::compose::Audience;
use galipot::pipeline::{self, Assessed, Options};
use std::path::Path;

fn assess(files: Vec<(String, Vec<u8>)>) -> Assessed {
    match pipeline::assess(files, &Options::default()) {
        Ok(a) => a,
        Err(r) => panic!("the example has {} problems", r.problems.len()),
    }
}

fn draft(a: &Assessed) -> usize {
    let ids = a.assessment.assemblies.iter().map(|x| x.id.as_str());
    ids.map(|id| pipeline::draft(a, id, Audience::All).expect("its templates are good").files.len()).sum()
}

fn example(c: &mut Criterion) {
    let site = Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    let files = disk::load(&site).expect("the example").files;
    c.bench_function("assess hallow-fen", |b| b.iter_batched(|| files.clone(), assess, BatchSize::LargeInput));
    let a = assess(files);
    c.bench_function("draft hallow-fen", |b| b.iter(|| draft(&a)));
}

criterion_group! { name = benches; config = Criterion::default().sample_size(10); targets = example }
criterion_main!(benches);
