//! A durable append against a raw insert of the same bytes, and opening with few and with many
//! entries.
//!
//! The raw insert has the same library, cipher and pragmas: one row with header, payload and
//! signature, its id unique, one commit.

#![expect(clippy::unwrap_used, reason = "a measurement that can't go on has to end")]

#[path = "../tests/support/chain.rs"]
mod chain;

use std::cell::RefCell;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

use chain::{Chain, Says};
use criterion::{BenchmarkId, Criterion};
use ledger::Entry;
use rusqlite::{Connection, params};
use store::{KdfCost, Store, StoreConfig};

fn main() {
    let mut criterion = Criterion::default().configure_from_args().sample_size(20);
    append(&mut criterion);
    pairs();
    open(&mut criterion);
    criterion.final_summary();
}

/// The ratio that is aimed at, from pairs taken in turn: on a busy machine two figures measured
/// one after the other say little about each other.
#[expect(clippy::disallowed_methods, clippy::print_stdout, reason = "a measurement, for a person")]
fn pairs() {
    let root = tempfile::tempdir().unwrap();
    let mut store = Store::create(&config(root.path())).unwrap();
    let raw = raw(&root.path().join("raw.db"));
    let (mut appended, mut inserted) = (Vec::new(), Vec::new());
    for entry in entries(&Chain::new(1), None, 600) {
        let start = Instant::now();
        assert!(store.append(&entry, &[]).unwrap().is_new());
        appended.push(start.elapsed());
        let start = Instant::now();
        insert(&raw, &entry);
        inserted.push(start.elapsed());
    }
    let median = |times: &mut Vec<Duration>| {
        times.sort_unstable();
        times[times.len() / 2]
    };
    let (append, insert) = (median(&mut appended), median(&mut inserted));
    println!(
        "append against raw insert, 600 pairs in turn: {append:?} / {insert:?} = {:.2}\n",
        append.as_secs_f64() / insert.as_secs_f64()
    );
}

fn insert(raw: &Connection, entry: &Entry) {
    raw.prepare_cached("INSERT INTO raw VALUES (?1, ?2, ?3, ?4)")
        .unwrap()
        .execute(params![
            entry.id().as_bytes(),
            entry.header_bytes(),
            entry.payload(),
            entry.signature()
        ])
        .unwrap();
}

fn config(root: &Path) -> StoreConfig {
    StoreConfig::new(root.join("data"), root.join("outside"), "seven quiet dishes turn")
        .with_cost(KdfCost::TRIVIAL)
}

/// Entries of a chain, each of about the size that an answer has, twenty about one subject.
fn entries(chain: &Chain, from: Option<&Entry>, count: u64) -> Vec<Entry> {
    let mut out: Vec<Entry> = Vec::new();
    for n in 0..count {
        let last = out.last().or(from);
        let subject = last.map_or(0, |last| last.header().number() / 20);
        let place = last.map(|last| (last.header().number(), *last.id()));
        let payload = format!(
            "{{\"base\":\"11020000\",\"entered\":\"direct\",\"instrument\":\"PG-03\",\"n\":{n},\
             \"step\":\"end_pressure\",\"typed\":\"110.2\",\"unit\":\"bar\",\
             \"worked_at\":\"2026-09-05T18:05:00-04:00\"}}"
        );
        out.push(chain.after(place, &Says { payload: &payload, subject, ..Says::default() }));
    }
    out
}

fn append(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("append");
    let root = tempfile::tempdir().unwrap();
    let chain = Chain::new(1);
    let store = RefCell::new(Store::create(&config(root.path())).unwrap());
    let last: RefCell<Option<Entry>> = RefCell::default();
    group.bench_function("durable append", |bencher| {
        bencher.iter_batched(
            || {
                let next = entries(&chain, last.borrow().as_ref(), 1).remove(0);
                *last.borrow_mut() = Some(next.clone());
                next
            },
            |entry| assert!(store.borrow_mut().append(&entry, &[]).unwrap().is_new()),
            criterion::BatchSize::PerIteration,
        );
    });
    let raw = raw(&root.path().join("raw.db"));
    let last: RefCell<Option<Entry>> = RefCell::default();
    group.bench_function("raw insert of the same bytes", |bencher| {
        bencher.iter_batched(
            || {
                let next = entries(&chain, last.borrow().as_ref(), 1).remove(0);
                *last.borrow_mut() = Some(next.clone());
                next
            },
            |entry| insert(&raw, &entry),
            criterion::BatchSize::PerIteration,
        );
    });
    group.finish();
}

/// The settings of the store's own writer; its tests hold it to these same values.
fn raw(path: &Path) -> Connection {
    let raw = Connection::open(path).unwrap();
    let key = "x'0707070707070707070707070707070707070707070707070707070707070707'";
    raw.pragma_update(None, "key", key).unwrap();
    raw.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; \
         PRAGMA checkpoint_fullfsync = ON; PRAGMA foreign_keys = ON; \
         PRAGMA recursive_triggers = ON; PRAGMA trusted_schema = OFF; PRAGMA secure_delete = ON; \
         PRAGMA cell_size_check = ON; PRAGMA temp_store = MEMORY; \
         CREATE TABLE raw (id BLOB PRIMARY KEY, header BLOB NOT NULL, payload BLOB, \
                           signature BLOB NOT NULL) STRICT",
    )
    .unwrap();
    raw
}

fn open(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("open");
    let chain = Chain::new(1).id();
    for count in [1_000_u64, 1_000_000] {
        group.bench_with_input(BenchmarkId::new("entries", count), &count, |bencher, count| {
            // In here, so that a run of another benchmark doesn't fill a store for nothing.
            let root = tempfile::tempdir().unwrap();
            fill(root.path(), *count);
            bencher.iter(|| {
                let store = Store::open(&config(root.path())).unwrap();
                assert_eq!(store.chain().unwrap(), Some(chain));
                assert_eq!(store.head().unwrap().map(|head| head.number), Some(*count));
                black_box(store)
            });
        });
    }
    group.finish();
}

/// A store of `count` entries. Signing a million takes minutes and opening verifies no signature,
/// so all but the first thousand are forged: true headers in a true chain under a false one.
fn fill(root: &Path, count: u64) {
    let mut store = Store::create(&config(root)).unwrap();
    let signed = entries(&Chain::new(1), None, 1_000);
    assert_eq!(store.append_all(&signed).unwrap().len(), 1_000);
    let mut last = signed.last().unwrap().clone();
    let template = String::from_utf8(last.header_bytes().to_vec()).unwrap();
    let (number, previous) = (last.header().number(), *last.header().previous().unwrap());
    let subject = last.header().subject().to_string();
    let mut next = number + 1;
    while next <= count {
        let batch: Vec<Entry> = (next..=count.min(next + 9_999))
            .map(|n| {
                let header = template
                    .replace(&format!("\"number\":{number},"), &format!("\"number\":{n},"))
                    .replace(&previous.to_string(), &last.id().to_string())
                    .replace(&subject, &format!("01920000-0000-7000-8000-{n:012x}"));
                last = Entry::from_stored(header.as_bytes(), last.payload(), last.signature())
                    .unwrap();
                last.clone()
            })
            .collect();
        next += batch.len() as u64;
        assert!(store.append_all(&batch).unwrap().iter().all(store::Acknowledged::is_new));
    }
}
