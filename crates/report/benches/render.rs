//! How long a report of some thirty pages and a thousand table rows takes to render and to verify.

use criterion::{Criterion, criterion_group, criterion_main};
use report::model::Reading;

#[path = "../tests/it/fixture.rs"]
mod fixture;
#[path = "../tests/it/fixture_mirror.rs"]
mod fixture_mirror;
#[path = "../tests/it/fixture_sheets.rs"]
mod fixture_sheets;

fn long() -> report::Handover {
    let mut handover = fixture::handover();
    let reading = handover.attempts[0].readings[0].clone();
    handover.attempts[0].readings = (0..1000_u32)
        .map(|n| Reading {
            step: n.to_string(),
            who: "I. Brize".to_owned(),
            as_typed: format!("{}.{} N·m", n % 200, n % 10),
            entry: format!("T1-{n:04}"),
            ..reading.clone()
        })
        .collect();
    handover
}

fn bench(criterion: &mut Criterion) {
    let handover = long();
    let entries = fixture::entries();
    let mut group = criterion.benchmark_group("report");
    group.sample_size(10);
    group.bench_function("render 1000 rows", |b| b.iter(|| report::render(&handover, &entries)));
    let pdf = report::render(&handover, &entries).unwrap_or_default();
    let options = report::VerifyOptions::default();
    group.bench_function("verify 1000 rows", |b| b.iter(|| report::verify(&pdf, &options)));
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
