//! What must hold inside a checklist beyond its form: names that name something, units that exist.

use std::collections::BTreeSet;

use quantity::Dimension;

use super::asks::{Asks, SeriesAsked, StepOption, SurveyAsked};
use super::checklist::Checklist;
use super::criteria::Criteria;
use super::judged_by::{Compared, InputFrom};
use super::reader::{Part, Path, Places};

fn step_path(index: usize, field: &str) -> Path {
    vec!["step".into(), index.into(), field.into()]
}

fn step_asks_path(index: usize, kind: &str, field: &str) -> Path {
    let mut path = step_path(index, "asks");
    path.extend([kind.into(), field.into()]);
    path
}

/// Notes every problem of one checklist.
pub(super) fn check(checklist: &Checklist, places: &mut Places<'_>) {
    if checklist.format != 1 {
        places.problem(&["format".into()], "this version reads format 1 only");
    }
    if checklist.cautions.is_empty() {
        places.problem(&["cautions".into()], "a checklist without cautions is not adopted");
    }
    let mut seen = BTreeSet::new();
    for (index, step) in checklist.steps.iter().enumerate() {
        if !seen.insert(step.id.as_str()) {
            places.problem(&step_path(index, "id"), format!("step `{}` stands twice", step.id));
        }
        check_step(checklist, index, places);
    }
    for (index, acceptance) in checklist.acceptance.iter().enumerate() {
        check_acceptance(checklist, index, &acceptance.by, places);
    }
    step_named(
        checklist,
        &checklist.on_failure.restart_from,
        places,
        &["on_failure".into(), "restart_from".into()],
    );
    step_named(
        checklist,
        &checklist.interruption.restart_from,
        places,
        &["interruption".into(), "restart_from".into()],
    );
    for (cause, step) in &checklist.interruption.earlier {
        step_named(
            checklist,
            step,
            places,
            &["interruption".into(), "earlier".into(), cause.as_str().into()],
        );
    }
}

fn step_named(checklist: &Checklist, id: &str, places: &mut Places<'_>, path: &[Part]) {
    if checklist.step(id).is_none() {
        places.problem(path, format!("there is no step `{id}`"));
    }
}

fn check_step(checklist: &Checklist, index: usize, places: &mut Places<'_>) {
    let Some(step) = checklist.steps.get(index) else { return };
    let kind = step.asks.name();
    match &step.asks {
        Asks::Reading(asked) => {
            instrument_named(checklist, asked.instrument.as_deref(), index, kind, places);
            if quantity::find_unit(asked.quantity, &asked.unit).is_none() {
                places.problem(
                    &step_asks_path(index, kind, "unit"),
                    format!("`{}` is no unit of {}", asked.unit, asked.quantity.name()),
                );
            } else if crate::typed::window(asked).is_err() {
                places.problem(
                    &step_asks_path(index, kind, "plausible"),
                    "the window needs two numbers, the lower one first",
                );
            }
        }
        Asks::Choice(asked) => options_differ(&asked.options, index, kind, places),
        Asks::Table(asked) => {
            options_differ(&asked.options, index, kind, places);
            instrument_named(checklist, asked.instrument.as_deref(), index, kind, places);
            if !asked.options.iter().any(|option| option.id == asked.good) {
                let path = step_asks_path(index, kind, "good");
                places.problem(&path, format!("there is no option `{}`", asked.good));
            }
        }
        Asks::Survey(asked) => check_survey(checklist, index, asked, places),
        Asks::Series(asked) => check_series(checklist, index, asked, places),
        Asks::Calculation(asked) => {
            if crate::judge::calculation(&asked.name).is_none() {
                let path = step_asks_path(index, kind, "name");
                places.problem(&path, format!("there is no calculation `{}`", asked.name));
            }
            for (input, from) in &asked.inputs {
                let mut path = step_asks_path(index, kind, "inputs");
                path.push(input.as_str().into());
                check_input(checklist, from, places, &path);
            }
        }
        Asks::Confirm(_)
        | Asks::Photo(_)
        | Asks::Hold(_)
        | Asks::Witness(_)
        | Asks::Signature(_) => {}
    }
}

fn check_survey(checklist: &Checklist, index: usize, asked: &SurveyAsked, places: &mut Places<'_>) {
    instrument_named(checklist, asked.instrument.as_deref(), index, "survey", places);
    let at = |field: &str| step_asks_path(index, "survey", field);
    if asked.list.trim().is_empty() {
        places.problem(&at("list"), "a survey goes through a list; none is named");
    }
    if asked.columns.is_empty() {
        places.problem(&at("columns"), "a survey needs at least one column");
    }
    let mut seen = BTreeSet::new();
    for (number, column) in asked.columns.iter().enumerate() {
        let within = |field: &str| {
            let mut path = at("columns");
            path.extend([number.into(), field.into()]);
            path
        };
        if !seen.insert(column.id.as_str()) {
            places.problem(&within("id"), format!("column `{}` stands twice", column.id));
        }
        if ["facet", "row", "state", "note"].contains(&column.id.as_str()) {
            let what = format!("`{}` names a part of every row; choose another id", column.id);
            places.problem(&within("id"), what);
        }
        unit_known(column.quantity, &column.unit, &within("unit"), places);
    }
}

fn check_series(checklist: &Checklist, index: usize, asked: &SeriesAsked, places: &mut Places<'_>) {
    let at = || step_asks_path(index, "series", "channels");
    if asked.channels.iter().all(|channel| channel.optional) {
        places.problem(&at(), "a series needs at least one channel that is not optional");
    }
    let mut seen = BTreeSet::new();
    for (number, channel) in asked.channels.iter().enumerate() {
        let within = |field: &str| {
            let mut path = at();
            path.extend([number.into(), field.into()]);
            path
        };
        if !seen.insert(channel.id.as_str()) {
            places.problem(&within("id"), format!("channel `{}` stands twice", channel.id));
        }
        unit_known(channel.quantity, &channel.unit, &within("unit"), places);
        let role = channel.instrument.as_deref();
        role_named(checklist, role, &within("instrument"), places);
    }
}

fn unit_known(quantity: Dimension, unit: &str, path: &[Part], places: &mut Places<'_>) {
    if quantity::find_unit(quantity, unit).is_none() {
        places.problem(path, format!("`{unit}` is no unit of {}", quantity.name()));
    }
}

fn instrument_named(
    checklist: &Checklist,
    role: Option<&str>,
    index: usize,
    kind: &str,
    places: &mut Places<'_>,
) {
    role_named(checklist, role, &step_asks_path(index, kind, "instrument"), places);
}

fn role_named(checklist: &Checklist, role: Option<&str>, path: &[Part], places: &mut Places<'_>) {
    let Some(role) = role else { return };
    if !checklist.instruments.iter().any(|instrument| instrument.role == role) {
        places.problem(path, format!("the list of instruments has no `{role}`"));
    }
}

fn options_differ(options: &[StepOption], index: usize, kind: &str, places: &mut Places<'_>) {
    let mut seen = BTreeSet::new();
    for option in options {
        if !seen.insert(option.id.as_str()) {
            let path = step_asks_path(index, kind, "options");
            places.problem(&path, format!("option `{}` stands twice", option.id));
        }
    }
    if options.len() < 2 {
        let path = step_asks_path(index, kind, "options");
        places.problem(&path, "a choice needs at least two options");
    }
}

/// The kinds of step that have a time of work of their own.
const WORKED: &[&str] = &["confirm", "reading", "choice", "photo", "table", "survey", "series"];

fn check_input(checklist: &Checklist, from: &InputFrom, places: &mut Places<'_>, path: &[Part]) {
    let wanted: Option<(&String, &[&str])> = match from {
        InputFrom::Answer(step) => Some((step, &["reading", "choice"])),
        InputFrom::Hold(step) => Some((step, &["hold"])),
        InputFrom::Instrument(part) => Some((&part.of, &["reading"])),
        InputFrom::Stated(stated) => Some((&stated.answer, &["reading"])),
        InputFrom::Survey(step) => Some((step, &["survey"])),
        InputFrom::Series(part) => Some((&part.step, &["series"])),
        InputFrom::WorkedAt(step) => Some((step, WORKED)),
        InputFrom::Limit(_)
        | InputFrom::LimitPer(_)
        | InputFrom::LimitSource(_)
        | InputFrom::LimitRule(_)
        | InputFrom::Design(_)
        | InputFrom::Site(_)
        | InputFrom::Text(_) => None,
    };
    if let InputFrom::Stated(stated) = from
        && !["rectangular", "triangular", "standard"].contains(&stated.distribution.as_str())
    {
        places.problem(path, format!("`{}` is no distribution", stated.distribution));
    }
    let Some((id, kinds)) = wanted else { return };
    step_is(checklist, id, kinds, places, path);
    if let InputFrom::Series(part) = from
        && let Some(Asks::Series(asked)) = checklist.step(&part.step).map(|step| &step.asks)
        && asked.channel(&part.channel).is_none()
    {
        let what = format!("step `{}` has no channel `{}`", part.step, part.channel);
        places.problem(path, what);
    }
}

/// Notes where a step does not exist, or is of another kind than is needed.
fn step_is(
    checklist: &Checklist,
    id: &str,
    kinds: &[&str],
    places: &mut Places<'_>,
    path: &[Part],
) {
    match checklist.step(id) {
        None => places.problem(path, format!("there is no step `{id}`")),
        Some(step) if !kinds.contains(&step.asks.name()) => {
            let kinds = kinds.join(" or ");
            let what = format!(
                "step `{id}` is a {} step; a {kinds} step is needed here",
                step.asks.name()
            );
            places.problem(path, what);
        }
        Some(_) => {}
    }
}

fn check_acceptance(checklist: &Checklist, index: usize, by: &Compared, places: &mut Places<'_>) {
    let named: Vec<(&str, &str)> = match by {
        Compared::Calculation(step) | Compared::UncertaintyShare(step) => {
            vec![(step, "calculation")]
        }
        Compared::Hold(step) => vec![(step, "hold")],
        Compared::Table(step) => vec![(step, "table")],
        Compared::AtLeast(step) | Compared::AtMost(step) => vec![(step, "reading")],
        Compared::GaugeShare(share) => {
            vec![(&share.gauge, "reading"), (&share.barometer, "reading")]
        }
        Compared::Chosen(chosen) => vec![(&chosen.step, "choice")],
        Compared::Confirmed(step) => vec![(step, "confirm")],
        Compared::Result(result) => vec![(&result.calculation, "calculation")],
        Compared::AtMostWithDoubt(doubt) => vec![(&doubt.step, "reading")],
    };
    let path = vec!["acceptance".into(), index.into(), "by".into()];
    for (id, kind) in named {
        step_is(checklist, id, &[kind], places, &path);
    }
    match by {
        Compared::Chosen(chosen) => {
            let asked = checklist.step(&chosen.step).map(|step| &step.asks);
            let Some(Asks::Choice(choice)) = asked else { return };
            if chosen.good.is_empty() {
                places.problem(&path, "no option is in order; name at least one");
            }
            for good in &chosen.good {
                if !choice.options.iter().any(|option| option.id == *good) {
                    let what = format!("step `{}` has no option `{good}`", chosen.step);
                    places.problem(&path, what);
                }
            }
        }
        Compared::AtMostWithDoubt(doubt) => {
            let asked = checklist.step(&doubt.step).map(|step| &step.asks);
            if matches!(asked, Some(Asks::Reading(reading)) if reading.instrument.is_none()) {
                let what = format!("step `{}` is read with no instrument", doubt.step);
                places.problem(&path, what);
            }
        }
        _ => {}
    }
}

/// Ids of the limits that a checklist names and a criteria set does not have.
pub(crate) fn limits_lacking<'c>(checklist: &'c Checklist, criteria: &Criteria) -> Vec<&'c str> {
    let mut lacking: Vec<&str> = limits_named(checklist)
        .into_iter()
        .map(|(_, limit)| limit)
        .filter(|limit| criteria.limit(limit).is_none())
        .collect();
    lacking.sort_unstable();
    lacking.dedup();
    lacking
}

/// Notes every limit that the criteria set does not have.
pub(super) fn check_limits(checklist: &Checklist, criteria: &Criteria, places: &mut Places<'_>) {
    if checklist.criteria != criteria.id {
        places.problem(
            &["criteria".into()],
            format!("the criteria set at hand is `{}`", criteria.id),
        );
    }
    for (path, limit) in limits_named(checklist) {
        if criteria.limit(limit).is_none() {
            places.problem(&path, format!("criteria set `{}` has no limit `{limit}`", criteria.id));
        }
    }
}

fn limits_named(checklist: &Checklist) -> Vec<(Path, &str)> {
    let mut named: Vec<(Path, &str)> = Vec::new();
    for (index, weather) in checklist.weather.iter().enumerate() {
        named.push((vec!["weather".into(), index.into(), "limit".into()], &weather.limit));
    }
    for (index, acceptance) in checklist.acceptance.iter().enumerate() {
        named.push((vec!["acceptance".into(), index.into(), "limit".into()], &acceptance.limit));
        if let Compared::GaugeShare(share) = &acceptance.by {
            named.push((vec!["acceptance".into(), index.into(), "by".into()], &share.loss));
        }
    }
    for (index, step) in checklist.steps.iter().enumerate() {
        match &step.asks {
            Asks::Hold(asked) => {
                named.push((step_asks_path(index, "hold", "at_least"), &asked.at_least));
            }
            Asks::Witness(asked) => {
                named.push((step_asks_path(index, "witness", "notice"), &asked.notice));
            }
            Asks::Calculation(asked) => {
                for (input, from) in &asked.inputs {
                    if let InputFrom::Limit(limit)
                    | InputFrom::LimitPer(limit)
                    | InputFrom::LimitSource(limit)
                    | InputFrom::LimitRule(limit) = from
                    {
                        let mut path = step_asks_path(index, "calculation", "inputs");
                        path.push(input.as_str().into());
                        named.push((path, limit));
                    }
                }
            }
            _ => {}
        }
    }
    if let Some(interval) = &checklist.recurrence.interval {
        named.push((vec!["recurrence".into(), "interval".into()], interval));
    }
    named
}
