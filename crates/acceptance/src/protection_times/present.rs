//! The sheet.

use quantity::significant;

use super::judge;
use super::read::{Relay, capacitors};
use super::tables::{Tested, entered, figure, island, states_missing, tables, tested};
use super::{CALCULATION, standard};
use crate::form::Form;
use crate::steps::{flag, gravest, step, word};
use crate::{Finding, Flag, Line, Outcome, RuleShown, Sheet, Verdict};

pub(super) fn sheet(form: Form, relay: &Relay) -> Sheet {
    let tested = if relay.points.is_empty() { Vec::new() } else { tested(relay) };
    let states = states_missing(relay);
    let islands: Vec<_> = relay
        .islands
        .iter()
        .map(|(state, came)| (*state, island(relay.island_limit.as_ref(), *came)))
        .collect();
    let entered = entered(relay);
    let gaps = (!form.missing.is_empty() || !states.is_empty()).then_some(Verdict::NotJudged);
    let verdict = gravest(
        tested
            .iter()
            .map(|t| t.verdict)
            .chain(islands.iter().map(|(_, judged)| judged.verdict))
            .chain(entered.iter().map(|(_, judged)| judged.verdict))
            .chain(gaps),
    );
    let findings = findings(relay, &tested, &islands, &entered);
    let mut sentences: Vec<_> = findings.iter().map(|finding| finding.sentence.clone()).collect();
    if !states.is_empty() {
        sentences
            .push(format!("Loss of the grid not tried with capacitors {}.", states.join(", ")));
    }
    if !form.missing.is_empty() {
        sentences.push(form.missing_sentence());
    }
    if sentences.is_empty() {
        sentences.push(passed(relay));
    }
    Sheet {
        verdict,
        reason: sentences.join(" "),
        results: results(relay, &tested),
        working: working(relay),
        rule: Some(RuleShown {
            name: "simple".to_owned(),
            text: if relay.points.is_empty() {
                "Times are compared with their limits."
            } else {
                "Each function passes when its setting is that of the sheet, its pick-up and times \
                   are within tolerance, and a trip of its own was seen."
            }
            .to_owned(),
            limit: limits(relay),
            limit_source: source(relay),
            acceptance_limit: None,
            conformance_probability: None,
        }),
        validity: "Injection at the relay, one value at a time, in steady state; ride-through is \
                   not judged. The doubt of the injection set is not taken into account: it \
                   should be well below the tolerances. Rate of change of frequency and vector \
                   shift are not covered."
            .to_owned(),
        sources: sources(relay),
        flags: flags(relay),
        figure: figure(relay),
        tables: tables(relay, &tested),
        findings,
        ..Sheet::blank(&CALCULATION, form)
    }
}

/// The limits that were applied, in words.
fn limits(relay: &Relay) -> String {
    let sheet = (!relay.points.is_empty()).then(|| "the sheet of settings".to_owned());
    let island = relay.island_limit.as_ref().filter(|_| !relay.islands.is_empty());
    let island = island.map(|limit| format!("loss of the grid {}", limit.shown()));
    let wait = relay.enter_limit.as_ref().filter(|_| relay.entered.is_some());
    let wait = wait.map(|limit| format!("re-connection {}", limit.shown()));
    let all: Vec<_> = [sheet, island, wait].into_iter().flatten().collect();
    all.join("; ")
}

/// What a sheet without findings has shown, and no more than that.
fn passed(relay: &Relay) -> String {
    let parts = [
        (!relay.points.is_empty(), "every setting, pick-up and trip time is within the sheet"),
        (!relay.islands.is_empty(), "after loss of the grid it disconnected within its limit"),
        (relay.entered.is_some(), "it waited long enough before re-connection"),
    ];
    let said: Vec<_> =
        parts.into_iter().filter(|(given, _)| *given).map(|(_, text)| text).collect();
    let mut text = said.join("; ");
    if let Some(first) = text.get(..1).map(str::to_uppercase) {
        text.replace_range(..1, &first);
    }
    format!("{text}.")
}

fn source(relay: &Relay) -> Option<String> {
    match (&relay.source, relay.category) {
        (Some(source), Some(_)) => Some(format!("{}; agreed: {source}", standard::SOURCE)),
        (Some(source), None) => Some(source.clone()),
        (None, Some(_)) => Some(standard::SOURCE.to_owned()),
        (None, None) => None,
    }
}

fn sources(relay: &Relay) -> Vec<String> {
    let mut sources: Vec<_> = source(relay).into_iter().collect();
    if relay.accuracy.quoted {
        sources.push(standard::TABLE_3.to_owned());
    }
    if relay.category.is_some() && !relay.islands.is_empty() {
        sources.push(standard::ISLAND.to_owned());
    }
    if relay.category.is_some() && relay.entered.is_some() {
        sources.push(standard::ENTER.to_owned());
    }
    sources
}

fn findings(
    relay: &Relay,
    tested: &[Tested<'_>],
    islands: &[(super::input::Capacitors, judge::Judgement)],
    entered: &[(&'static str, judge::Judgement)],
) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut push = |code: &str, place: &str, sentence: String| {
        findings.push(Finding { code: code.to_owned(), place: place.to_owned(), sentence });
    };
    for t in tested {
        let name = &t.line.name;
        if t.setting.verdict == Verdict::Fail {
            push("setting", name, format!("{name}: {}.", t.setting.words));
        }
        if !t.shown {
            push("not_tested", name, format!("{name}: no trip of its own was seen."));
        }
    }
    for point in &relay.points {
        let Some(line) = relay.lines.get(point.line) else { continue };
        let both = [judge::pickup(relay, point, line), judge::point(relay, point)];
        for judged in both.into_iter().flatten() {
            if !matches!(judged.verdict, Verdict::Pass | Verdict::Computed) {
                let at = point.injected.or(point.pickup).unwrap_or(f64::NAN);
                let at = format!("{} {}", significant(at, 5), line.kind.unit());
                let verdict = word(judged.verdict);
                let sentence = format!("{} at {at}: {} ({verdict}).", line.name, judged.words);
                push("point", &line.name, sentence);
            }
        }
    }
    for (state, judged) in islands.iter().filter(|(_, judged)| judged.verdict != Verdict::Pass) {
        let state = capacitors(*state);
        push("island", state, format!("Loss of the grid, capacitors {state}: {}.", judged.words));
    }
    for (name, judged) in entered.iter().filter(|(_, judged)| judged.verdict != Verdict::Pass) {
        push("enter_service", name, format!("Re-connection, {name}: {}.", judged.words));
    }
    findings
}

fn results(relay: &Relay, tested: &[Tested<'_>]) -> Vec<Outcome> {
    let number = |wanted: Verdict| tested.iter().filter(|t| t.verdict == wanted).count();
    let mut results = Vec::new();
    if !tested.is_empty() {
        for (name, meaning, count) in [
            ("functions", "functions on the sheet", tested.len()),
            ("pass", "functions that pass", number(Verdict::Pass)),
            ("fail", "functions that fail", number(Verdict::Fail)),
            ("not_judged", "functions that are not judged", number(Verdict::NotJudged)),
        ] {
            results.push(Outcome::new(name, meaning, count.to_string(), "1"));
        }
    }
    let longest = relay
        .islands
        .iter()
        .map(|(_, came)| match came {
            super::read::Came::Trip(time) | super::read::Came::NoTrip(time) => *time,
        })
        .max_by(f64::total_cmp);
    if let Some(time) = longest {
        let meaning = "longest time connected after loss of the grid";
        results.push(Outcome::new("island", meaning, significant(time, 4), "s"));
    }
    if let Some(delay) = relay.entered.as_ref().and_then(|entered| entered.delay) {
        let meaning = "time to re-connection";
        results.push(Outcome::new("enter_service", meaning, significant(delay, 5), "s"));
    }
    results
}

fn working(relay: &Relay) -> Vec<Line> {
    let a = &relay.accuracy;
    if relay.points.is_empty() {
        return Vec::new();
    }
    let mut w = vec![
        step("δU", "tolerance of voltage", "as typed, or Table 3", a.voltage, "pu"),
        step("δf", "tolerance of frequency", "as typed, or Table 3", a.frequency, "Hz"),
        step("δt", "tolerance of a time from 5 s", "as typed, or Table 3", a.long_time, "1"),
        step("δt_s", "tolerance of a time below 5 s", "as typed, or two cycles", a.short_time, "s"),
    ];
    for line in w.iter_mut().filter(|_| a.quoted) {
        line.source = Some(standard::TABLE_3.to_owned());
    }
    if let Some(breaker) = relay.breaker {
        w.push(step("t_B", "opening time of the breaker", "as typed", breaker, "s"));
    }
    for line in &relay.lines {
        let unit = line.kind.unit();
        let formula = match (line.agreed, relay.category) {
            (true, _) => "agreed on",
            (false, Some(_)) => "default of the standard",
            (false, None) => "sheet",
        };
        let meaning = format!("{}: threshold, {}", line.name, line.kind.word());
        w.push(step(&line.name, &meaning, formula, line.threshold, unit));
        let formula = match (line.clearing, relay.breaker) {
            (Some(_), _) => "clearing time of the sheet",
            (None, Some(_)) => "set time + tolerance + t_B",
            (None, None) => "set time + tolerance",
        };
        let symbol = format!("t({})", line.name);
        let meaning = format!("{}: disconnected by", line.name);
        w.push(step(&symbol, &meaning, formula, relay.latest(line), "s"));
    }
    w
}

fn flags(relay: &Relay) -> Vec<Flag> {
    let mut flags = Vec::new();
    if relay.breaker.is_none() && !relay.points.is_empty() {
        flags.push(flag(
            "breaker_time_not_stated",
            "No opening time of the breaker is given: the times are taken to hold it. Were they \
             taken at the relay's contact, the machine is disconnected later than shown.",
        ));
    }
    if relay.accuracy.quoted && !relay.points.is_empty() {
        flags.push(flag(
            "quoted_tolerances",
            "Tolerances that are not given are those of IEEE 1547 Table 3 as quoted; a utility's \
             sheet may have its own.",
        ));
    }
    let agreed: Vec<_> =
        relay.lines.iter().filter(|line| line.agreed).map(|line| line.name.as_str()).collect();
    if !agreed.is_empty() {
        flags.push(flag(
            "not_the_default",
            format!("Agreed on, away from the standard's default: {}.", agreed.join(", ")),
        ));
    }
    if !relay.points.is_empty() && relay.islands.is_empty() {
        flags.push(flag(
            "loss_of_grid_not_shown",
            "Injection tests the relay, not the loss of the grid under load, which needs a test \
             of its own with capacitors in and out.",
        ));
    }
    if relay.points.is_empty() {
        flags.push(flag(
            "relay_not_tested",
            "No injection tests are given: nothing is said about the settings and times of the \
             relay.",
        ));
    }
    if !relay.islands.is_empty() {
        flags.push(flag(
            "machine_islands",
            "Methods that test inverters for islanding do not fit a directly coupled machine, \
             which capacitors can keep excited; the utility's rule decides.",
        ));
    }
    flags
}
