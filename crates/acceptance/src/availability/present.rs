//! The sheet.

use quantity::{Ratio, significant};

use super::CALCULATION;
use super::input::Log;
use super::sweep::{Events, Hours, State, events, sweep};
use crate::form::Form;
use crate::limit::{Judged, ReadLimit};
use crate::steps::{flag, gravest, outcome, step};
use crate::{Drawn, Figure, Flag, Line, Outcome, Point, Refusal, Series, Sheet, Table};

#[expect(clippy::cast_precision_loss, reason = "a number of seconds, far below 2^53")]
const fn in_hours(seconds: i64) -> f64 {
    seconds as f64 / 3600.0
}

/// An availability: with the hours that are not known as down, and as up.
#[derive(Clone, Copy)]
struct Share {
    sure: f64,
    at_best: f64,
}

fn share(hours: &Hours, down: i64) -> Share {
    let counted = in_hours(hours.counted());
    let sure = (counted - in_hours(down) - in_hours(hours.unknown)) / counted;
    Share { sure, at_best: sure + in_hours(hours.unknown) / counted }
}

pub(super) fn sheet(form: Form, log: &Log) -> Result<Sheet, Refusal> {
    let hours = sweep(log);
    let events = events(log);
    if hours.counted() <= 0 {
        return Err(form.refuse(
            "nothing_counted",
            "excluded",
            "The excluded hours leave nothing of the period.",
            "Check the excluded classes and their records.",
        ));
    }
    let operational = share(&hours, hours.down);
    let technical = log.technical_down.as_ref().map(|_| share(&hours, hours.technical_down));
    let judge = |what: &'static str, share: Share, limit: &Option<ReadLimit<Ratio>>| {
        let limit = limit.as_ref()?;
        Some((
            what,
            limit.judge(Ratio::from_fraction(share.sure), None),
            limit.value.fraction(),
            share,
        ))
    };
    let judged: Vec<_> = [
        technical.and_then(|share| judge("Technical availability", share, &log.limit)),
        judge("Operational availability", operational, &log.operational_limit),
    ]
    .into_iter()
    .flatten()
    .collect();
    let verdict = gravest(judged.iter().map(|(_, judged, ..)| judged.verdict));
    let mut flags = flags(log, &hours, &events);
    for (what, _, limit, share) in &judged {
        if share.sure < *limit && *limit <= share.at_best {
            flags.push(flag(
                "unknown_hours_decide",
                format!(
                    "{what} would reach its limit if the hours that are not known had been up: {} \
                     %.",
                    significant(100.0 * share.at_best, 5)
                ),
            ));
        }
    }
    Ok(Sheet {
        verdict,
        reason: reason(
            &judged.iter().map(|(w, j, ..)| (*w, j)).collect::<Vec<_>>(),
            operational,
            technical,
        ),
        results: results(&hours, &events, operational, technical),
        working: working(log, &hours, &events, operational, technical),
        rule: judged.into_iter().next().map(|(_, judged, ..)| judged.rule),
        validity: "By the definition given as input: no standard names the categories of a dish. \
                   Elapsed hours between moments with their offsets. An hour under several records \
                   counts once, for the one that began first; excluded goes before down, down \
                   before not known. Repair times are elapsed hours, nights included."
            .to_owned(),
        sources: vec![
            match &log.definition_source {
                Some(source) => format!("definition: {source}"),
                None => "definition: as typed, without a source".to_owned(),
            },
            "IEC TS 61400-26-1 for the way of thinking; not standardised for dishes".to_owned(),
        ],
        flags,
        figure: Some(figure(log, &hours)),
        tables: vec![table(&hours)],
        ..Sheet::blank(&CALCULATION, form)
    })
}

fn reason(judged: &[(&str, &Judged)], operational: Share, technical: Option<Share>) -> String {
    if !judged.is_empty() {
        let sentences: Vec<_> =
            judged.iter().map(|(what, j)| format!("{what} {}.", j.sentence)).collect();
        return sentences.join(" ");
    }
    let technical = technical
        .map(|share| format!(", technical {} %", significant(100.0 * share.sure, 4)))
        .unwrap_or_default();
    format!(
        "Operational availability {} %{technical}; no limit is given.",
        significant(100.0 * operational.sure, 4)
    )
}

fn results(
    hours: &Hours,
    events: &Events,
    operational: Share,
    technical: Option<Share>,
) -> Vec<Outcome> {
    let mut r = Vec::new();
    let mut shares = vec![("operational", "operational availability", operational)];
    shares.extend(technical.map(|share| ("technical", "technical availability", share)));
    for (name, meaning, share) in shares {
        r.push(outcome(name, meaning, 100.0 * share.sure, "%"));
        if hours.unknown > 0 {
            let name = format!("{name}_at_best");
            let meaning = format!("{meaning}, if all hours not known had been up");
            r.push(outcome(&name, &meaning, 100.0 * share.at_best, "%"));
        }
    }
    for (name, meaning, seconds) in [
        ("counted", "hours that count", hours.counted()),
        ("up", "hours up", hours.up()),
        ("down", "hours down", hours.down),
        ("unknown", "hours not known", hours.unknown),
        ("excluded", "hours excluded", hours.excluded),
    ] {
        r.push(outcome(name, meaning, in_hours(seconds), "h"));
    }
    let failures = Outcome::new("failures", "failures", events.failures.to_string(), "1");
    r.push(failures);
    if events.failures > 0 {
        let mean = in_hours(hours.up()) / f64::from(events.failures);
        r.push(outcome("mean_time_between_failures", "mean time between failures", mean, "h"));
    }
    if events.events > 0 {
        let mean = in_hours(events.length) / f64::from(events.events);
        r.push(outcome("mean_time_to_repair", "mean time to repair", mean, "h"));
    }
    r
}

fn working(
    log: &Log,
    hours: &Hours,
    events: &Events,
    operational: Share,
    technical: Option<Share>,
) -> Vec<Line> {
    let period = format!("{} to {}", log.from.text(), log.to.text());
    let h = in_hours;
    let mut w = vec![
        step("T", "period", &period, h(hours.period), "h"),
        step("X", "excluded", "sum of its classes", h(hours.excluded), "h"),
        step("D", "down", "sum of its classes", h(hours.down), "h"),
        step("U", "not known", "covered by no other record", h(hours.unknown), "h"),
        step("H_up", "up", "H_up = T − X − D − U", h(hours.up()), "h"),
        step("A_o", "operational availability", "A_o = H_up/(T − X)", operational.sure, "1"),
    ];
    if let Some(share) = technical {
        let meaning = "down in the technical sense";
        let formula = "hours that a record of its classes covers";
        w.push(step("D_t", meaning, formula, h(hours.technical_down), "h"));
        let formula = "A_t = (T − X − D_t − U)/(T − X)";
        w.push(step("A_t", "technical availability", formula, share.sure, "1"));
    }
    w.push(step(
        "n",
        "failures",
        "forced events that began in the period",
        f64::from(events.failures),
        "1",
    ));
    if events.failures > 0 {
        let mean = h(hours.up()) / f64::from(events.failures);
        w.push(step("MTBF", "mean time between failures", "MTBF = H_up/n", mean, "h"));
    }
    if events.events > 0 {
        let count = f64::from(events.events);
        w.push(step("n_e", "forced events, merged", "count", count, "1"));
        w.push(step("R", "hours of forced events", "sum", h(events.length), "h"));
        w.push(step("MTTR", "mean time to repair", "MTTR = R/n_e", h(events.length) / count, "h"));
    }
    w
}

fn flags(log: &Log, hours: &Hours, events: &Events) -> Vec<Flag> {
    let mut flags = Vec::new();
    let (start, end) = (log.from.seconds, log.to.seconds);
    let beyond: Vec<_> = log
        .spans
        .iter()
        .filter(|span| span.to <= start || span.from >= end)
        .map(|span| span.name.clone())
        .collect();
    if !beyond.is_empty() {
        flags.push(flag(
            "outside_the_period",
            format!("Not in the period, and not counted: {}.", beyond.join("; ")),
        ));
    }
    if log.spans.iter().any(|span| span.open && span.from < end) {
        flags.push(flag(
            "still_down",
            "A downtime has no end: it is counted to the end of the period.",
        ));
    }
    if events.open {
        flags.push(flag(
            "repair_not_over",
            "A forced event was not over when the period ended: the mean time to repair is at \
             least what is shown.",
        ));
    }
    if events.before {
        flags.push(flag(
            "failed_before",
            "A forced event ran already when the period began: its hours count as down, and it is \
             no failure of the period.",
        ));
    }
    if hours.unknown > 0 {
        flags.push(flag(
            "unknown_hours",
            format!(
                "{} h are not known and are not counted as up.",
                significant(in_hours(hours.unknown), 5)
            ),
        ));
    }
    if (1..5).contains(&events.failures) {
        flags.push(flag(
            "few_failures",
            "So few failures say little about a mean time between them: see failure-rate for the \
             bounds.",
        ));
    }
    let mut sorted: Vec<_> =
        log.spans.iter().filter(|s| s.to > s.from).map(|s| (s.from, s.to)).collect();
    sorted.sort_unstable();
    if sorted.windows(2).any(|pair| matches!(pair, [(_, to), (from, _)] if from < to)) {
        flags.push(flag(
            "records_overlap",
            "Records overlap: an hour that several cover counts once, for the one that began \
             first.",
        ));
    }
    if log.definition_source.is_none() {
        flags.push(flag(
            "definition_without_source",
            "The definition of what counts has no source: two parties can read the same hours \
             differently.",
        ));
    }
    flags
}

fn table(hours: &Hours) -> Table {
    let row = |name: &str, (all, forced): (i64, i64)| {
        let of_period = 100.0 * in_hours(all) / in_hours(hours.period);
        vec![
            name.to_owned(),
            significant(in_hours(all), 6),
            significant(in_hours(forced), 6),
            format!("{of_period:.2}"),
        ]
    };
    let mut rows = vec![row("up", (hours.up(), 0))];
    rows.extend(hours.classes.iter().map(|(class, counts)| row(class.word(), *counts)));
    Table {
        name: "classes".to_owned(),
        title: "Hours by class".to_owned(),
        columns: ["class", "hours", "of them forced", "of the period in %"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }
}

/// Up and down over the period.
fn figure(log: &Log, hours: &Hours) -> Figure {
    let at = |seconds: i64| in_hours(seconds - log.from.seconds);
    let mut line = Vec::new();
    let mut excluded = Vec::new();
    for piece in &hours.pieces {
        let level = match piece.state {
            State::Up => 1.0,
            State::Unknown => 0.5,
            State::Down(_) => 0.0,
            State::Excluded => {
                excluded.push(Point::of(0.5 * (at(piece.from) + at(piece.to)), 0.5));
                continue;
            }
        };
        line.extend([Point::of(at(piece.from), level), Point::of(at(piece.to), level)]);
    }
    let mut series = vec![Series::new("state", "up, down or not known", Drawn::Thick, line)];
    if !excluded.is_empty() {
        let meaning = "middle of an excluded time";
        series.push(Series::new("excluded", meaning, Drawn::Crosses, excluded));
    }
    Figure::lines(
        "Up and down over the period",
        "hours from the beginning of the period",
        "1 up, 0 down, 0.5 not known",
        series,
    )
}
