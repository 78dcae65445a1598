//! The order of a file's stamps: clocks that were reset or set back, stamps that stand twice, the
//! step and its gaps.

use std::collections::BTreeMap;

use chrono::{NaiveDateTime, TimeDelta};

use super::record::Record;
use super::{Answers, Choice, Lines, Question, Rejected};
use crate::Refusal;

/// A line with its stamp.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    pub(super) record: Record,
    pub(super) at: NaiveDateTime,
}

/// Stamps further than this from the middle one belong to a clock that lost its date.
const FAR: TimeDelta = TimeDelta::days(31);

/// Takes out the lines whose stamps belong to a clock that was reset.
pub(super) fn unplaced(rows: Vec<Placed>, account: &mut Lines) -> Vec<Placed> {
    let mut stamps: Vec<_> = rows.iter().map(|row| row.at).collect();
    stamps.sort_unstable();
    let Some(middle) = stamps.get(stamps.len() / 2).copied() else { return rows };
    let (kept, far): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|row| (row.at - middle).abs() <= FAR);
    for row in far {
        let reason = format!("unplaced: {} is far from the other stamps", row.at);
        account.rejected.push(Rejected { line: row.record.line, reason });
    }
    kept
}

/// Settles a stamp that goes back: the clock was set while the file was written.
pub(super) fn steps_back(
    rows: Vec<Placed>,
    answers: &Answers,
    account: &mut Lines,
    decisions: &mut Vec<String>,
) -> Result<Result<Vec<Placed>, Question>, Refusal> {
    let backs: Vec<usize> = (1..rows.len())
        .filter(|at| matches!(rows.get(at - 1..=*at), Some([a, b]) if b.at < a.at))
        .collect();
    let at = match backs.as_slice() {
        [] => return Ok(Ok(rows)),
        [at] => *at,
        [first, ..] => {
            let line = rows.get(*first).map_or(0, |row| row.record.line);
            return Err(Refusal::new(
                "file_stamps_go_back",
                format!("The stamps go back {} times, first at line {line}.", backs.len()),
                "The logger's clock can't be trusted for this file; repeat the run.",
            ));
        }
    };
    let line = rows.get(at).map_or(0, |row| row.record.line);
    let (before, after) = rows.split_at(at);
    let keep_before = match answers.get("clock-step").map(String::as_str) {
        Some("before") => true,
        Some("after") => false,
        _ => return Ok(Err(ask_step(line, before, after))),
    };
    let (kept, left, word) =
        if keep_before { (before, after, "before") } else { (after, before, "from") };
    decisions.push(format!("The clock was set back at line {line}; the part {word} it is used."));
    for row in left {
        account.rejected.push(Rejected {
            line: row.record.line,
            reason: format!("the clock was set back at line {line}; the other part is used"),
        });
    }
    Ok(Ok(kept.to_vec()))
}

fn ask_step(line: usize, before: &[Placed], after: &[Placed]) -> Question {
    let span = |rows: &[Placed]| match (rows.first(), rows.last()) {
        (Some(first), Some(last)) => format!("{} to {}, {} lines", first.at, last.at, rows.len()),
        _ => String::new(),
    };
    Question {
        id: "clock-step".into(),
        title: "Which part has the true time?".into(),
        sentence: format!("The stamps go back at line {line}: the clock was set."),
        choices: vec![
            Choice { id: "before".into(), text: format!("The part before it: {}", span(before)) },
            Choice { id: "after".into(), text: format!("The part from it on: {}", span(after)) },
        ],
    }
}

/// Lets each stamp stand once: equal lines count once; of different ones none is used, because
/// either the seconds were lost or the clock was wrong.
pub(super) fn twice(rows: Vec<Placed>, account: &mut Lines) -> Vec<Placed> {
    let mut at: BTreeMap<NaiveDateTime, Vec<Placed>> = BTreeMap::new();
    for row in rows {
        at.entry(row.at).or_default().push(row);
    }
    let mut kept = Vec::new();
    for lines in at.into_values() {
        let [first, others @ ..] = lines.as_slice() else { continue };
        let same = others.iter().all(|row| row.record.fields == first.record.fields);
        for row in others {
            let reason = if same {
                format!("the same as line {}", first.record.line)
            } else {
                format!("the stamp of line {} with other values", first.record.line)
            };
            account.rejected.push(Rejected { line: row.record.line, reason });
        }
        if same {
            kept.push(first.clone());
        } else {
            let reason = "its stamp stands on other lines with other values".to_owned();
            account.rejected.push(Rejected { line: first.record.line, reason });
        }
    }
    kept
}

/// The commonest step of the stamps in seconds, the shorter of equally common ones; and what is
/// uneven about them.
pub(super) fn step(rows: &[Placed], warnings: &mut Vec<String>) -> Option<i64> {
    let spans: Vec<i64> = rows
        .windows(2)
        .filter_map(|pair| match pair {
            [a, b] => Some((b.at - a.at).num_seconds()),
            _ => None,
        })
        .collect();
    let mut counts: BTreeMap<i64, usize> = BTreeMap::new();
    for span in spans.iter().filter(|span| **span > 0) {
        *counts.entry(*span).or_default() += 1;
    }
    let most = counts.values().max().copied()?;
    let step = counts.iter().find(|(_, count)| **count == most).map(|(span, _)| *span)?;
    let missing: i64 = spans.iter().map(|span| (span / step - 1).max(0)).sum();
    if missing > 0 {
        warnings.push(format!("{missing} stamps are missing between the first and the last."));
    }
    let uneven = spans.iter().filter(|span| **span % step != 0).count();
    if uneven > 0 {
        warnings.push(format!(
            "{uneven} steps between stamps are no multiple of {}.",
            interval_text(step)
        ));
    }
    Some(step)
}

/// A step as people write it.
pub(super) fn interval_text(seconds: i64) -> String {
    if seconds > 0 && seconds % 60 == 0 {
        format!("{} min", seconds / 60)
    } else {
        format!("{seconds} s")
    }
}
