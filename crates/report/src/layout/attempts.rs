//! All attempts with their readings, failed and not judged included.

use super::first::page_title;
use super::table::left;
use super::{Cell, Flow, Row};
use crate::figure::verdict_mark;
use crate::model::{Attempt, AttemptOutcome, CalibrationState, Reading, SheetMark, Taken};
use crate::setting::{Face, Style};
use crate::{Handover, RenderError};

pub(super) fn attempts(flow: &mut Flow<'_>, report: &Handover) -> Result<(), RenderError> {
    let head = format!("{}, {}", report.dish.position, report.site.name);
    flow.running(
        &head,
        "Attempts and readings",
        "Readings stand as typed; calibration as at the time of work.",
    );
    flow.new_page()?;
    flow.outline(0, "Attempts and readings");
    page_title(flow, "Attempts and readings")?;
    flow.paragraph(
        "Every attempt is listed, with those that failed or were not judged. A reading stands as \
         it was typed, with the value used in calculations below it.",
        Style::TEXT,
    )?;
    for attempt in &report.attempts {
        flow.y += 20.0;
        flow.need(230.0)?;
        flow.anchor(&attempt.id);
        flow.outline(1, &attempt.title);
        heading(flow, attempt)?;
        if !attempt.notice.is_empty() {
            flow.paragraph(&attempt.notice, Style::STRONG)?;
            flow.y += 6.0;
        }
        details(flow, attempt)?;
        limits(flow, attempt)?;
        flow.y += 8.0;
        readings(flow, attempt)?;
        for taken in &attempt.taken {
            behind(flow, taken)?;
        }
    }
    if report.attempts.is_empty() {
        flow.y += 8.0;
        flow.paragraph("No attempt is on record.", Style::TEXT)?;
    }
    Ok(())
}

/// The mark that an outcome is drawn with.
fn mark_of(outcome: AttemptOutcome) -> SheetMark {
    match outcome {
        AttemptOutcome::Pass => SheetMark::Within,
        AttemptOutcome::Fail => SheetMark::Outside,
        AttemptOutcome::NotJudged | AttemptOutcome::Interrupted => SheetMark::NotJudged,
        AttemptOutcome::InProgress | AttemptOutcome::Done => SheetMark::Computed,
    }
}

fn heading(flow: &mut Flow<'_>, attempt: &Attempt) -> Result<(), RenderError> {
    let top = flow.y;
    let mut x = flow.left;
    if let Some(mark) = verdict_mark(mark_of(attempt.outcome)) {
        for mark in mark.place(flow.setter, x, top + 3.0, 1.0)? {
            flow.mark(mark);
        }
        x += 44.0;
    }
    let room = flow.left + flow.width - x;
    flow.text_in(&attempt.title, Style::new(Face::Title, 18.0, 23.0), x, room)?;
    // A reason that begins with the result says it once.
    let result = match attempt.reason.starts_with(&attempt.result) {
        true => attempt.reason.clone(),
        false => format!("{}. {}", attempt.result.trim_end_matches('.'), attempt.reason),
    };
    flow.text_in(&result, Style::new(Face::Text, 13.5, 18.0), x, room)?;
    flow.y = flow.y.max(top + 40.0) + 8.0;
    Ok(())
}

fn details(flow: &mut Flow<'_>, attempt: &Attempt) -> Result<(), RenderError> {
    let time = if attempt.ended.is_empty() {
        attempt.started.clone()
    } else {
        format!("{} to {}", attempt.started, attempt.ended)
    };
    let none =
        |text: &str| if text.is_empty() { "none recorded".to_owned() } else { text.to_owned() };
    let mut pairs = vec![
        ("State", attempt.state.clone()),
        ("Checklist", attempt.checklist.clone()),
        ("Time of work", time),
        ("Performed", none(&attempt.performed_by)),
        ("Reviewed", none(&attempt.reviewed_by)),
        ("Witnessed", none(&attempt.witnessed_by)),
    ];
    if !attempt.assisted_by.is_empty() {
        pairs.push(("Assisted", attempt.assisted_by.clone()));
    }
    if !attempt.follows.is_empty() {
        pairs.push(("Follows", attempt.follows.clone()));
    }
    let rows: Vec<Row> = pairs
        .chunks(2)
        .map(|pair| {
            let mut row = Vec::new();
            for (name, value) in pair {
                row.push(Cell::new(name, Style::SMALL));
                row.push(Cell::text(value));
            }
            row
        })
        .collect();
    flow.table(&[left("", 0.12), left("", 0.38), left("", 0.12), left("", 0.38)], &rows)
}

fn readings(flow: &mut Flow<'_>, attempt: &Attempt) -> Result<(), RenderError> {
    if attempt.readings.is_empty() {
        return flow.paragraph("No reading was taken.", Style::TEXT);
    }
    let columns = [
        left("step", 0.06),
        left("reading", 0.27),
        left("as typed, as used", 0.195),
        left("instrument", 0.165),
        left("who, time of work", 0.18),
        left("entry, how", 0.13),
    ];
    let rows: Vec<Row> = attempt.readings.iter().map(|r| reading(r, attempt)).collect();
    flow.table(&columns, &rows)
}

/// Every limit, in the order of the checklist.
fn limits(flow: &mut Flow<'_>, attempt: &Attempt) -> Result<(), RenderError> {
    if attempt.limits.is_empty() {
        return Ok(());
    }
    let word = |outcome: AttemptOutcome| match outcome {
        AttemptOutcome::Pass => Cell::text("within"),
        AttemptOutcome::Fail => Cell::strong("OUTSIDE"),
        _ => Cell::strong("not judged"),
    };
    let rows: Vec<Row> = attempt
        .limits
        .iter()
        .map(|limit| {
            vec![
                Cell::text(&limit.title)
                    .and(&limit.reason, Style::SMALL)
                    .and(&limit.source, Style::SMALL),
                Cell::text(&limit.value),
                Cell::text(&limit.found),
                word(limit.outcome),
            ]
        })
        .collect();
    flow.y += 8.0;
    let columns =
        [left("limit, its source", 0.5), left("value", 0.17), left("found", 0.21), left("", 0.12)];
    flow.table(&columns, &rows)
}

/// Where the values of a measured table or of imported files come from.
fn behind(flow: &mut Flow<'_>, taken: &Taken) -> Result<(), RenderError> {
    let title = format!("{} {}, entry {}", taken.step, taken.title, taken.entry);
    flow.gap(14.0);
    flow.need(80.0)?;
    flow.paragraph(&title, Style::STRONG)?;
    flow.y += 3.0;
    let rows: Vec<Row> = taken
        .facts
        .iter()
        .map(|fact| {
            let hash = fact.value.len() == 64 && fact.value.bytes().all(|b| b.is_ascii_hexdigit());
            let style = if hash { Style::MONO } else { Style::TEXT };
            vec![Cell::new(&fact.name, Style::SMALL), Cell::new(&fact.value, style)]
        })
        .collect();
    flow.table(&[left("", 0.18), left("", 0.82)], &rows)
}

fn reading(r: &Reading, attempt: &Attempt) -> Row {
    // The performer's role stands at the head of the attempt.
    let name = r.who.split_once(", ").map_or(r.who.as_str(), |(name, _)| name);
    let who = if r.who == attempt.performed_by { name } else { &r.who };
    let calibration = match r.calibration {
        CalibrationState::InDate | CalibrationState::NotNeeded => Style::SMALL,
        CalibrationState::OutOfDate | CalibrationState::Unknown => Style::SMALL_STRONG,
    };
    let how = if r.how == "direct" { Style::SMALL } else { Style::SMALL_STRONG };
    vec![
        Cell::text(&r.step),
        Cell::text(&r.title).and(&r.remark, Style::SMALL),
        Cell::strong(&r.as_typed).and(&r.normalised, Style::SMALL),
        Cell::mono(&r.instrument).and(&r.calibration_text, calibration),
        Cell::text(who).and(&r.worked_at, Style::SMALL),
        Cell::mono(&r.entry).and(&r.how, how),
    ]
}
