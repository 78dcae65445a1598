//! What must hold inside a checklist beyond its form: names that name something, units that exist.

use std::collections::BTreeSet;

use super::checklist::{Asks, Checklist, Compared, InputFrom, StepOption};
use super::criteria::Criteria;
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

fn instrument_named(
    checklist: &Checklist,
    role: Option<&str>,
    index: usize,
    kind: &str,
    places: &mut Places<'_>,
) {
    let Some(role) = role else { return };
    if !checklist.instruments.iter().any(|instrument| instrument.role == role) {
        let path = step_asks_path(index, kind, "instrument");
        places.problem(&path, format!("the list of instruments has no `{role}`"));
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

fn check_input(checklist: &Checklist, from: &InputFrom, places: &mut Places<'_>, path: &[Part]) {
    let wanted = match from {
        InputFrom::Answer(step) => Some((step, "reading or choice")),
        InputFrom::Hold(step) => Some((step, "hold")),
        InputFrom::Instrument(part) => Some((&part.of, "reading")),
        InputFrom::Stated(stated) => Some((&stated.answer, "reading")),
        InputFrom::Limit(_)
        | InputFrom::LimitPer(_)
        | InputFrom::LimitSource(_)
        | InputFrom::LimitRule(_)
        | InputFrom::Text(_) => None,
    };
    if let InputFrom::Stated(stated) = from
        && !["rectangular", "triangular", "standard"].contains(&stated.distribution.as_str())
    {
        places.problem(path, format!("`{}` is no distribution", stated.distribution));
    }
    let Some((id, kinds)) = wanted else { return };
    match checklist.step(id) {
        None => places.problem(path, format!("there is no step `{id}`")),
        Some(step) if !kinds.contains(step.asks.name()) => places.problem(
            path,
            format!("step `{id}` is a {} step; a {kinds} step is needed here", step.asks.name()),
        ),
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
    };
    let path = vec!["acceptance".into(), index.into(), "by".into()];
    for (id, kind) in named {
        match checklist.step(id) {
            None => places.problem(&path, format!("there is no step `{id}`")),
            Some(step) if step.asks.name() != kind => places.problem(
                &path,
                format!("step `{id}` is a {} step; a {kind} step is needed here", step.asks.name()),
            ),
            Some(_) => {}
        }
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
