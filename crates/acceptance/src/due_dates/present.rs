//! The sheet.

use quantity::{Duration, significant};

use super::CALCULATION;
use super::input::{Held, Plan, Planned};
use super::task::{Found, Standing, find};
use crate::calendar::Day;
use crate::form::Form;
use crate::stats::count;
use crate::steps::{flag, gravest, step, word};
use crate::time::Moment;
use crate::{
    Drawn, Figure, Finding, Flag, Line, Outcome, Point, RuleShown, Series, Sheet, Table, Verdict,
};

/// A task with what was found for it.
struct Row<'a> {
    task: &'a Planned,
    found: Option<Found>,
}

impl Row<'_> {
    fn verdict(&self) -> Verdict {
        match self.found.map(|found| found.standing) {
            None => Verdict::NotJudged,
            Some(Standing::Overdue) => Verdict::Fail,
            Some(_) => Verdict::Pass,
        }
    }
}

fn elapsed(held: &Held) -> f64 {
    Duration::from_seconds(held.end.unix() - held.start.unix()).seconds()
}

fn hold_verdict(held: &Held) -> Verdict {
    match held.required {
        None => Verdict::Computed,
        Some(required) if elapsed(held) >= required => Verdict::Pass,
        Some(_) => Verdict::Fail,
    }
}

pub(super) fn sheet(form: Form, plan: &Plan) -> Sheet {
    let rows: Vec<_> = plan
        .tasks
        .iter()
        .map(|task| Row {
            task,
            found: task.known.as_ref().zip(plan.as_of).map(|(known, as_of)| find(known, as_of)),
        })
        .collect();
    let verdicts = rows.iter().map(Row::verdict).chain(plan.holds.iter().map(hold_verdict));
    let incomplete = (plan.holds_missing > 0).then_some(Verdict::NotJudged);
    let verdict = gravest(verdicts.chain(incomplete));
    let mut sentences = Vec::new();
    if !form.missing.is_empty() {
        sentences.push(form.missing_sentence());
    }
    let findings = findings(plan, &rows);
    sentences.extend(findings.iter().map(|finding| finding.sentence.clone()));
    if let Some((row, due)) = next(&rows) {
        sentences.push(format!("Next: {}, due {}.", row.task.name, due.text()));
    }
    if sentences.is_empty() {
        sentences.push("Every hold was as long as required, or none is required.".to_owned());
    }
    Sheet {
        verdict,
        reason: sentences.join(" "),
        results: results(plan, &rows),
        working: working(plan, &rows),
        rule: (!rows.is_empty()).then(|| RuleShown {
            name: "simple".to_owned(),
            text:
                "A task is late after the end of its window by calendar or by hours, whichever is \
                   first."
                    .to_owned(),
            limit: "the interval of each task with its window".to_owned(),
            limit_source: plan.source.clone(),
            acceptance_limit: None,
            conformance_probability: None,
        }),
        validity: "Intervals count from when a task was last done, not from when it had been due: \
                   done early, the next is early too. Forecasts go on as the hours a day did. Days \
                   are those of the clock of the moment asked for."
            .to_owned(),
        sources: vec![
            "common practice, no source; Gregorian calendar, months end on their last day"
                .to_owned(),
            "RFC 3339: moments with their offset from UTC".to_owned(),
        ],
        flags: flags(plan, &rows),
        figure: figure(plan, &rows),
        tables: tables(plan, &rows),
        findings,
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The known task that is due first.
fn next<'a>(rows: &'a [Row<'a>]) -> Option<(&'a Row<'a>, Day)> {
    rows.iter().filter_map(|row| Some((row, row.found?.due?))).min_by_key(|(_, due)| *due)
}

fn findings(plan: &Plan, rows: &[Row<'_>]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in rows {
        let Some(found) = row.found.filter(|f| f.standing >= Standing::PastDue) else { continue };
        let since = found.latest.filter(|_| found.standing == Standing::Overdue);
        findings.push(Finding {
            code: if since.is_some() || found.standing == Standing::Overdue {
                "overdue"
            } else {
                "past_due"
            }
            .to_owned(),
            place: row.task.name.clone(),
            sentence: match (found.standing, since) {
                (Standing::Overdue, Some(day)) => {
                    format!("{}: overdue, its window ended on {}.", row.task.name, day.text())
                }
                (standing, _) => format!("{}: {}.", row.task.name, standing.word()),
            },
        });
    }
    for held in plan.holds.iter().filter(|held| hold_verdict(held) == Verdict::Fail) {
        findings.push(Finding {
            code: "hold_too_short".to_owned(),
            place: held.name.clone(),
            sentence: format!(
                "{}: held {} h of {}.",
                held.name,
                significant(elapsed(held) / 3600.0, 5),
                held.required_text
            ),
        });
    }
    findings
}

fn results(plan: &Plan, rows: &[Row<'_>]) -> Vec<Outcome> {
    let number = |wanted: Standing| {
        rows.iter().filter(|row| row.found.is_some_and(|f| f.standing == wanted)).count()
    };
    let unknown = rows.iter().filter(|row| row.found.is_none()).count();
    let mut results = Vec::new();
    let mut push = |name: &str, meaning: &str, n: usize| {
        results.push(Outcome::new(name, meaning, n.to_string(), "1"));
    };
    if !rows.is_empty() {
        push("overdue", "tasks overdue", number(Standing::Overdue));
        push("past_due", "tasks past due in their window", number(Standing::PastDue));
        push("window_open", "tasks whose window is open", number(Standing::Open));
        push("not_yet", "tasks not yet due", number(Standing::NotYet));
        push("not_known", "tasks of which something is not known", unknown);
    }
    if !plan.holds.is_empty() {
        let short = plan.holds.iter().filter(|h| hold_verdict(h) == Verdict::Fail).count();
        push("holds_too_short", "holds that were too short", short);
    }
    if let Some((_, due)) = next(rows) {
        results.push(Outcome::new("next_due", "first day on which a task is due", due.text(), ""));
    }
    results
}

fn working(plan: &Plan, rows: &[Row<'_>]) -> Vec<Line> {
    let mut w = Vec::new();
    let dated = |symbol: String, meaning: &str, formula: &str, day: Day| {
        Line::new(&symbol, meaning, formula, day.text(), "")
    };
    for (place, row) in rows.iter().enumerate() {
        let (n, Some(found)) = (place + 1, row.found) else { continue };
        if let Some(c) = found.calendar {
            let formula = format!("{} and {}", row.task.last, row.task.interval);
            let meaning = format!("{}: due by the calendar", row.task.name);
            w.push(dated(format!("D({n})"), &meaning, &formula, c.due));
        }
        let Some(h) = found.hours else { continue };
        let meaning = format!("{}: hours since last done", row.task.name);
        w.push(step(&format!("h({n})"), &meaning, "hours now − hours when last done", h.run, "h"));
        let symbol = format!("h_due({n})");
        w.push(step(&symbol, "due at, since last done", "the interval", h.interval, "h"));
        let symbol = format!("h_max({n})");
        w.push(step(&symbol, "end of the window", "interval·(1 + w)", h.to, "h"));
        let symbol = format!("h_min({n})");
        w.push(step(&symbol, "beginning of the window", "interval·(1 − w)", h.from, "h"));
        if let (Some(mean), Some([_, due, _])) = (h.per_day, h.days) {
            let meaning = "hours a day, stated or as run since last done";
            w.push(step(
                &format!("m({n})"),
                meaning,
                "h/days since last done, or stated",
                mean,
                "h",
            ));
            let formula = "moment asked for + (interval − h)/m days";
            w.push(dated(format!("D_h({n})"), "forecast of the due hour", formula, due));
        }
    }
    for (place, held) in plan.holds.iter().enumerate() {
        let meaning = format!("{}: length", held.name);
        let formula = format!("{} − {}", held.end.text(), held.start.text());
        let hours = elapsed(held) / 3600.0;
        w.push(
            step(&format!("t({})", place + 1), &meaning, &formula, hours, "h").sourced("RFC 3339"),
        );
    }
    w
}

fn flags(plan: &Plan, rows: &[Row<'_>]) -> Vec<Flag> {
    let mut flags = Vec::new();
    for held in plan.holds.iter().filter(|held| held.start.offset != held.end.offset) {
        let on_the_wall = elapsed(held) + wall(held.end) - wall(held.start);
        flags.push(flag(
            "clocks_changed",
            format!(
                "{}: the clocks changed between beginning and end; by the clock on the wall it \
                 looks like {} h and was {} h.",
                held.name,
                significant(on_the_wall / 3600.0, 5),
                significant(elapsed(held) / 3600.0, 5)
            ),
        ));
    }
    let blind =
        |row: &&Row<'_>| row.found.is_some_and(|f| f.hours.is_some_and(|h| h.days.is_none()));
    for row in rows.iter().filter(blind) {
        flags.push(flag(
            "no_forecast",
            format!(
                "{}: it has not run since it was last done and no hours a day are stated, so \
                 there is no forecast of its due hour.",
                row.task.name
            ),
        ));
    }
    flags
}

fn wall(moment: Moment) -> f64 {
    f64::from(moment.offset_minutes()) * 60.0
}

fn tables(plan: &Plan, rows: &[Row<'_>]) -> Vec<Table> {
    let mut tables = Vec::new();
    let dash = || "–".to_owned();
    if !rows.is_empty() {
        let row = |row: &Row<'_>| {
            let (calendar, hours) =
                row.found.map_or((None, None), |found| (found.calendar, found.hours));
            let span = |low: String, high: String| format!("{low} to {high}");
            vec![
                row.task.name.clone(),
                row.task.interval.clone(),
                row.task.last.clone(),
                calendar.map_or_else(dash, |c| c.due.text()),
                calendar.map_or_else(dash, |c| span(c.from.text(), c.to.text())),
                hours.map_or_else(dash, |h| significant(h.run, 6)),
                hours.map_or_else(dash, |h| span(significant(h.from, 6), significant(h.to, 6))),
                hours.and_then(|h| h.days).map_or_else(dash, |[_, due, _]| due.text()),
                row.found.and_then(|f| f.due).map_or_else(dash, Day::text),
                row.found
                    .map_or("–", |f| if f.by_hours_first { "hours" } else { "calendar" })
                    .to_owned(),
                row.found.map_or("not known", |f| f.standing.word()).to_owned(),
            ]
        };
        tables.push(Table {
            name: "tasks".to_owned(),
            title: "Tasks".to_owned(),
            columns: [
                "task",
                "interval",
                "last done",
                "due by calendar",
                "window by calendar",
                "hours run",
                "window in h",
                "forecast by hours",
                "due first",
                "reached by",
                "standing",
            ]
            .map(str::to_owned)
            .to_vec(),
            rows: rows.iter().map(row).collect(),
        });
    }
    if !plan.holds.is_empty() {
        let row = |held: &Held| {
            vec![
                held.name.clone(),
                held.start.text(),
                held.end.text(),
                significant(elapsed(held) / 3600.0, 6),
                held.required_text.clone(),
                word(hold_verdict(held)).to_owned(),
            ]
        };
        tables.push(Table {
            name: "holds".to_owned(),
            title: "Holds".to_owned(),
            columns: ["hold", "begun", "ended", "length in h", "required", "verdict"]
                .map(str::to_owned)
                .to_vec(),
            rows: plan.holds.iter().map(row).collect(),
        });
    }
    tables
}

/// Windows and due days of the tasks, in days from the moment asked for.
fn figure(plan: &Plan, rows: &[Row<'_>]) -> Option<Figure> {
    let today = Day::of(plan.as_of?);
    #[expect(clippy::cast_precision_loss, reason = "a number of days, far below 2^53")]
    let from_today = |day: Day| (day.number - today.number) as f64;
    let mut series = Vec::new();
    let mut due = Vec::new();
    for (place, row) in rows.iter().enumerate() {
        let y = count(place + 1);
        let Some(found) = row.found else { continue };
        if let Some((from, to)) = found.earliest.zip(found.latest) {
            let points = vec![Point::of(from_today(from), y), Point::of(from_today(to), y)];
            let name = format!("window_{}", place + 1);
            series.push(Series::new(&name, &row.task.name, Drawn::Thick, points));
        }
        due.extend(found.due.map(|day| Point::of(from_today(day), y)));
    }
    if due.is_empty() {
        return None;
    }
    series.push(Series::new("due", "due", Drawn::Points, due));
    let top = count(rows.len()) + 0.5;
    let at = vec![Point::of(0.0, 0.5), Point::of(0.0, top)];
    series.push(Series::new("asked", "moment asked for", Drawn::Dashed, at));
    Some(Figure::lines(
        "Windows of the tasks",
        &format!("days from {}", today.text()),
        "number of the task",
        series,
    ))
}
