//! The period cut at every beginning and end, and each piece given to one class.

use std::collections::BTreeMap;

use super::input::{Class, Kind, Log, Span};

/// What a piece of the period was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum State {
    Up,
    /// Down, and whether also in the technical sense.
    Down(bool),
    Excluded,
    Unknown,
}

/// A piece, in seconds since 1970.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    pub(super) from: i64,
    pub(super) to: i64,
    pub(super) state: State,
}

/// Seconds of the period.
#[derive(Debug, Default)]
pub(super) struct Hours {
    pub(super) period: i64,
    pub(super) excluded: i64,
    pub(super) down: i64,
    pub(super) technical_down: i64,
    pub(super) unknown: i64,
    /// Seconds by class, with those of forced records.
    pub(super) classes: BTreeMap<Class, (i64, i64)>,
    pub(super) pieces: Vec<Piece>,
}

impl Hours {
    /// Of the period without what is excluded.
    pub(super) fn counted(&self) -> i64 {
        self.period - self.excluded
    }

    pub(super) fn up(&self) -> i64 {
        self.counted() - self.down - self.unknown
    }
}

pub(super) fn sweep(log: &Log) -> Hours {
    let (start, end) = (log.from.seconds, log.to.seconds);
    let mut edges = vec![start, end];
    edges.extend(
        log.spans.iter().flat_map(|s| [s.from, s.to]).filter(|edge| (start..end).contains(edge)),
    );
    edges.sort_unstable();
    edges.dedup();
    let mut by_beginning: Vec<&Span> = log.spans.iter().collect();
    by_beginning.sort_by_key(|span| span.from);
    let mut hours = Hours { period: end - start, ..Hours::default() };
    for pair in edges.windows(2) {
        let [from, to] = pair else { continue };
        let length = to - from;
        let covering: Vec<&&Span> =
            by_beginning.iter().filter(|s| s.from <= *from && *to <= s.to).collect();
        let first = |wanted: &dyn Fn(Class) -> bool| {
            covering.iter().find(|span| wanted(span.class)).map(|span| (span.class, span.kind))
        };
        let excluded = first(&|class| log.excluded.contains(&class));
        let down = first(&|class| class != Class::Unknown);
        let counts = |class: Class| log.technical_down.iter().flatten().any(|down| *down == class);
        let (state, owner) = match (excluded, down, covering.first()) {
            (Some(owner), ..) => (State::Excluded, Some(owner)),
            (None, Some(owner), _) => {
                (State::Down(covering.iter().any(|span| counts(span.class))), Some(owner))
            }
            (None, None, Some(span)) => (State::Unknown, Some((span.class, span.kind))),
            (None, None, None) => (State::Up, None),
        };
        match state {
            State::Up => {}
            State::Excluded => hours.excluded += length,
            State::Unknown => hours.unknown += length,
            State::Down(technical) => {
                hours.down += length;
                hours.technical_down += if technical { length } else { 0 };
            }
        }
        if let Some((class, kind)) = owner {
            let entry = hours.classes.entry(class).or_default();
            entry.0 += length;
            entry.1 += if kind == Some(Kind::Forced) { length } else { 0 };
        }
        hours.pieces.push(Piece { from: *from, to: *to, state });
    }
    hours
}

/// Forced events of the period: records that touch or overlap are one.
#[derive(Debug, Default)]
pub(super) struct Events {
    /// How many began in the period.
    pub(super) failures: u32,
    /// How many there were.
    pub(super) events: u32,
    /// Seconds of all of them within the period.
    pub(super) length: i64,
    /// Whether one ran already when the period began.
    pub(super) before: bool,
    /// Whether one was not over when it ended.
    pub(super) open: bool,
}

pub(super) fn events(log: &Log) -> Events {
    let (start, end) = (log.from.seconds, log.to.seconds);
    let mut forced: Vec<_> = log
        .spans
        .iter()
        .filter(|s| s.kind == Some(Kind::Forced) && s.to > start && s.from < end && s.to > s.from)
        .map(|s| (s.from, s.to, s.open || s.to > end))
        .collect();
    forced.sort_unstable();
    let mut merged: Vec<(i64, i64, bool)> = Vec::new();
    for (from, to, open) in forced {
        match merged.last_mut() {
            Some(last) if from <= last.1 => {
                last.1 = last.1.max(to);
                last.2 |= open;
            }
            _ => merged.push((from, to, open)),
        }
    }
    let mut out = Events::default();
    for (from, to, open) in merged {
        out.events += 1;
        out.failures += u32::from(from >= start);
        out.before |= from < start;
        out.open |= open;
        out.length += to.min(end) - from.max(start);
    }
    out
}
