//! The bank: every vehicle, fault and case read and checked. The brief allows 50 ms.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use scenarios::Bank;

fn bank(criterion: &mut Criterion) {
    let loaded = Bank::builtin().expect("a bank");
    assert!(loaded.cases().count() >= 20 && loaded.vehicles().count() >= 10);
    criterion.bench_function("the bank, loaded", |bencher| {
        bencher.iter(|| Bank::builtin().expect("a bank"));
    });
}

criterion_group!(benches, bank);
criterion_main!(benches);
