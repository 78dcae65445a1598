//! Proof that an acknowledged entry is never lost: processes are killed at random, at every step
//! and at every write; a trace shows the flush before each acknowledgement.
//!
//! The binary plays two parts. Started with `DISHWRIGHT_APPENDER` set it is the process that
//! appends and prints `ack NUMBER ID` after each acknowledgement; without, it starts such
//! processes, ends them, and compares what they acknowledged with what is there.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a test with a `main` of its own, which the lint doesn't take for one"
)]

#[path = "support/appender.rs"]
mod appender;
#[path = "support/chain.rs"]
mod chain;
#[path = "support/trace.rs"]
mod trace;

use std::collections::BTreeMap;
use std::time::Duration;

use appender::{Folder, Job};
use store::{AppendStep, Store};

fn main() {
    if appender::is_asked_for() {
        return appender::run();
    }
    let proofs: [(&str, fn()); 8] = [
        ("the_trace_reader_can_say_no", trace::can_say_no),
        ("a_trace_shows_the_flush_before_each_acknowledgement", traced),
        ("two_hundred_kills_at_random_lose_nothing", killed_at_random),
        ("a_kill_at_every_step_of_an_append_loses_nothing", killed_at_every_step),
        ("a_kill_at_every_write_and_flush_loses_nothing", killed_at_every_call),
        ("a_full_medium_is_said_and_loses_nothing", full),
        ("processes_that_append_at_once_never_fork_the_chain", at_once),
        ("processes_that_append_at_once_survive_kills", at_once_with_kills),
    ];
    let wanted = std::env::args().skip(1).find(|argument| !argument.starts_with('-'));
    if std::env::args().any(|argument| argument == "--list") {
        return;
    }
    for (name, proof) in proofs {
        if wanted.as_ref().is_none_or(|wanted| name.contains(wanted.as_str())) {
            proof();
            println!("proof {name} ... ok");
        }
    }
}

/// Numbers that look random and are the same in every run.
struct Draws(u64);

impl Draws {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }
}

/// Every acknowledged entry must be there, the chain whole, and the store must go on.
fn compare(folder: &Folder, acknowledged: &BTreeMap<u64, String>) -> u64 {
    let store = Store::open(&folder.config()).unwrap();
    let head = store.head().unwrap().map_or(0, |head| head.number);
    let chain = chain::Chain::new(1).id();
    let mut there = BTreeMap::new();
    let mut previous = None;
    let mut from = 1;
    loop {
        let slice = store.entries_of_chain(&chain, from, 500).unwrap();
        for entry in &slice {
            let header = entry.header();
            assert_eq!(header.number(), from, "no gap");
            assert_eq!(header.previous().copied(), previous, "no fork");
            previous = Some(*entry.id());
            there.insert(from, entry.id().to_string());
            from += 1;
        }
        if slice.is_empty() {
            break;
        }
    }
    assert_eq!(from - 1, head);
    assert_eq!(store.count().unwrap(), head);
    for (number, id) in acknowledged {
        assert_eq!(there.get(number), Some(id), "entry {number} was acknowledged");
    }
    head
}

fn killed_at_random() {
    let folder = Folder::new();
    let mut draws = Draws(0x005e_ed0f_d15e);
    let mut acknowledged = BTreeMap::new();
    let (mut kills, mut busy) = (0, 0);
    while kills < 200 {
        let mut process = Job::endless(&folder).start();
        process.wait_until_ready();
        std::thread::sleep(Duration::from_micros(draws.below(80_000)));
        process.kill();
        let heard = process.acknowledged();
        busy += u32::from(!heard.is_empty());
        acknowledged.extend(heard);
        compare(&folder, &acknowledged);
        kills += 1;
    }
    let head = compare(&folder, &acknowledged);
    let unheard = head - acknowledged.len() as u64;
    println!(
        "  {kills} kills, {} entries acknowledged, 0 missing; {unheard} more were durable when the \
         kill came before the acknowledgement was heard",
        acknowledged.len()
    );
    assert!(busy > 100, "only {busy} of the killed processes had got to work");
    let mut store = Store::open(&folder.config()).unwrap();
    let findings = store.check(store::Depth::Deep, &mut |_| {});
    assert!(findings.iter().all(|finding| finding.level < store::Level::Error), "{findings:?}");
}

/// The process ends itself by SIGABRT at the named step of its third append.
fn killed_at_every_step() {
    for step in AppendStep::ALL {
        let folder = Folder::new();
        let mut process = Job::aborting(&folder, step, 3).start();
        process.wait();
        let acknowledged = process.acknowledged();
        assert_eq!(acknowledged.len(), 2, "{step:?}");
        let head = compare(&folder, &acknowledged);
        let durable = matches!(step, AppendStep::Committed | AppendStep::Marked);
        assert_eq!(head, if durable { 3 } else { 2 }, "{step:?}");
        // And it goes on from there.
        let mut process = Job::of(&folder, 2).start();
        process.wait();
        assert_eq!(compare(&folder, &process.acknowledged()), head + 2, "{step:?}");
    }
}

/// The kernel kills the process at its nth write or flush, for every n that an append with its
/// attachment makes.
fn killed_at_every_call() {
    let mut flushes = 0;
    for call in ["pwrite64", "fdatasync", "fsync"] {
        let mut count = 0;
        loop {
            count += 1;
            let folder = Folder::new();
            let inject = format!("inject={call}:signal=SIGKILL:when={count}");
            let mut process = Job::of(&folder, 3).start_under(&["-e", &inject]);
            process.wait();
            let acknowledged = process.acknowledged();
            compare(&folder, &acknowledged);
            if process.ended_well() {
                break;
            }
            assert!(count < 400, "{call} never comes to an end");
        }
        println!("  killed at each of {} calls of {call}", count - 1);
        flushes += if call == "pwrite64" { 0 } else { count - 1 };
    }
    // Which of the two calls flushes is the library's choice; one for each append at least.
    assert!(flushes >= 3, "{flushes} flushes");
}

fn traced() {
    let folder = Folder::new();
    let log = folder.path("trace");
    let mut process = Job::of(&folder, 12).start_under(&[
        "-y",
        "-s",
        "64",
        "-e",
        "trace=pwrite64,write,fsync,fdatasync",
        "-o",
        log.to_str().unwrap(),
    ]);
    process.wait();
    assert!(process.ended_well());
    assert_eq!(process.acknowledged().len(), 12);
    let text = std::fs::read_to_string(&log).unwrap();
    let seen = trace::read(&text).unwrap_or_else(|fault| panic!("{fault}\n{text}"));
    assert_eq!(seen.acknowledgements, 12);
    println!(
        "  12 acknowledgements, each after {} WAL writes and a flush at least",
        seen.least_writes
    );
}

/// Every write from the nth on fails with "no space left on device".
fn full() {
    let mut said = 0;
    for from in (1..60).step_by(7) {
        let folder = Folder::new();
        let inject = format!("inject=pwrite64:error=ENOSPC:when={from}+");
        let mut process = Job::of(&folder, 40).start_under(&["-e", &inject]);
        process.wait();
        let words = process.errors();
        if words.contains("no space left") {
            said += 1;
        }
        assert!(!process.ended_well() && !words.contains("panicked"), "{words}");
        let acknowledged = process.acknowledged();
        let head = compare(&folder, &acknowledged);
        assert_eq!(head, acknowledged.len() as u64, "what was refused isn't there");
        // With space again it goes on.
        let mut process = Job::of(&folder, 1).start();
        process.wait();
        assert!(process.ended_well());
    }
    assert!(said >= 7, "only {said} of 9 said that the medium is full");
}

/// Four processes, each with its own idea of the head.
fn at_once() {
    let folder = Folder::new();
    let mut processes: Vec<_> = (0..4).map(|_| Job::of(&folder, 50).start()).collect();
    let mut acknowledged = BTreeMap::new();
    for process in &mut processes {
        process.wait();
        assert!(process.ended_well(), "{}", process.errors());
        let heard = process.acknowledged();
        assert_eq!(heard.len(), 50);
        acknowledged.extend(heard);
    }
    assert_eq!(acknowledged.len(), 200, "no number was given twice");
    assert_eq!(compare(&folder, &acknowledged), 200);
}

fn at_once_with_kills() {
    let folder = Folder::new();
    let mut draws = Draws(0x0c01_1ec7);
    let mut acknowledged = BTreeMap::new();
    for _ in 0..10 {
        let mut processes: Vec<_> = (0..3).map(|_| Job::endless(&folder).start()).collect();
        for process in &mut processes {
            process.wait_until_ready();
            std::thread::sleep(Duration::from_micros(draws.below(80_000)));
            process.kill();
        }
        for process in &mut processes {
            for (number, id) in process.acknowledged() {
                assert!(acknowledged.insert(number, id).is_none(), "{number} was given twice");
            }
        }
        compare(&folder, &acknowledged);
    }
    assert!(acknowledged.len() > 30, "only {} entries", acknowledged.len());
}
