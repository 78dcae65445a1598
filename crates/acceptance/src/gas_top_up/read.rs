//! From texts to a list of top-ups.

use quantity::{Dimension, Duration, Mass, MassFlow, Ratio};

use super::input::{Input, Reason, TopUp};
use crate::circuit::{self, CircuitState, Instruments, ReadPart, read_circuit_state};
use crate::doubt::stated;
use crate::form::{Form, Place, between, free};
use crate::limit::{self, ReadLimit, Side};
use crate::state::{Places, places};
use crate::steps::whole;
use crate::time::Moment;
use crate::{Gas, InstrumentDoubt, Refusal};

/// A top-up, read.
#[derive(Debug)]
pub(super) struct ReadTopUp {
    /// Days since 1970-01-01, by the moment or by the day.
    pub(super) days: f64,
    /// Day or moment as typed.
    pub(super) text: String,
    pub(super) before: Option<CircuitState>,
    pub(super) after: Option<CircuitState>,
    /// Weighed mass in kg with its standard uncertainty, where one is stated.
    pub(super) weighed: Option<(f64, Option<f64>)>,
    pub(super) reason: Option<Reason>,
}

impl ReadTopUp {
    /// Whether the interval that ends here counts as consumption.
    pub(super) const fn counts(&self) -> bool {
        !matches!(self.reason, Some(Reason::AfterRepair | Reason::FirstFill))
    }
}

/// The rule of short intervals.
#[derive(Debug, Clone, Copy)]
pub(super) struct Short {
    pub(super) share: f64,
    pub(super) in_a_row: usize,
    pub(super) earlier: usize,
    /// In days.
    pub(super) window: Option<f64>,
}

/// The rule of many top-ups; the time in days.
#[derive(Debug, Clone, Copy)]
pub(super) struct Many {
    pub(super) top_ups: usize,
    pub(super) within: Option<f64>,
}

/// The rule of much loss; mass in kg, time in days.
#[derive(Debug, Clone, Copy)]
pub(super) struct Much {
    pub(super) mass: f64,
    pub(super) within: Option<f64>,
}

/// The whole list.
#[derive(Debug)]
pub(super) struct List {
    /// Gas and parts, where a mass follows from readings.
    pub(super) circuit: Option<(Gas, Vec<ReadPart>)>,
    pub(super) top_ups: Vec<ReadTopUp>,
    /// Days of services since 1970-01-01, sorted.
    pub(super) services: Vec<f64>,
    pub(super) short: Option<Short>,
    pub(super) many: Option<Many>,
    pub(super) much: Option<Much>,
    pub(super) source: Option<String>,
    pub(super) rate_limit: Option<ReadLimit<MassFlow>>,
    pub(super) instruments: Instruments,
    /// Whether some top-up has a day only.
    pub(super) days_only: bool,
}

const BEFORE: Places =
    places!("before.", " before", (0, 300, "bar(g)"), (0, 300, "bar(a)"), (-60, 130, "°C"));
const AFTER: Places =
    places!("after.", " after", (0, 300, "bar(g)"), (0, 300, "bar(a)"), (-60, 130, "°C"));
const MASS: Place = between("mass", "mass added", &[Dimension::Mass], (0, 1000, "kg"));
const SHARE: Place =
    between("share", "share of the median interval", &[Dimension::Ratio], (0, 100, "%"));
const WINDOW: Place = free("window", "time that the median reaches back", &[Dimension::Duration]);
const WITHIN: Place = free("within", "time in which is counted", &[Dimension::Duration]);
const LOSS: Place =
    between("mass", "loss that raises an alert", &[Dimension::Mass], (0, 1000, "kg"));
/// More top-ups than this are the list of more than one circuit.
const MOST: usize = 100;
const SECONDS_IN_A_DAY: f64 = 86_400.0;

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<List>, Refusal> {
    if input.top_ups.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "top_ups",
            format!("There are {} top-ups.", input.top_ups.len()),
            format!("Up to {MOST} are taken; begin later."),
        ));
    }
    let by_states = input.top_ups.iter().any(|one| one.before.is_some() || one.after.is_some());
    if let Some(gas) = input.gas {
        form.show("gas", "gas in the circuit", gas.name());
    } else if by_states {
        form.miss("gas", "gas in the circuit");
    }
    let parts = if by_states || input.volume.is_some() || !input.parts.is_empty() {
        let doubt = input.uncertainty.as_ref().and_then(|doubt| doubt.volume.as_ref());
        circuit::read_parts(form, input.volume.as_deref(), doubt, &input.parts)?
    } else {
        None
    };
    let top_ups = top_ups(form, input)?;
    if input.top_ups.len() < 2 {
        form.miss("top_ups", "two or more top-ups");
    }
    let services = services(form, &input.services)?;
    let rules = input.alerts.clone().unwrap_or_default();
    let (short, many, much) = form.within("alerts", |form| {
        let source = &rules.source;
        if let Some(source) = source {
            form.show("source", "source of the alert rules", source);
        }
        Ok::<_, Refusal>((
            short(form, rules.interval.as_ref())?,
            many(form, rules.count.as_ref(), !services.is_empty())?,
            much(form, rules.loss.as_ref())?,
        ))
    })?;
    let meaning = "largest mean consumption";
    let limit = input.rate_limit.as_ref();
    let rate_limit = limit::read::<MassFlow>(form, "rate_limit", meaning, Side::AtMost, limit)?;
    let instruments = InstrumentDoubt::read(form, input.uncertainty.as_ref())?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let circuit = input.gas.zip(parts).filter(|_| by_states);
    if let Some((gas, _)) = &circuit {
        for (place, one) in top_ups.iter().enumerate() {
            for (state, name) in [(&one.before, "before"), (&one.after, "after")] {
                if let Some(state) = state {
                    state.require(*gas, &format!("top_ups[{place}].{name}"))?;
                }
            }
        }
    }
    Ok(Some(List {
        circuit,
        days_only: input.top_ups.iter().any(|one| one.day.is_some()),
        top_ups,
        services,
        short,
        many,
        much,
        source: rules.source,
        rate_limit,
        instruments,
    }))
}

/// The top-ups that are complete; what is missing is named in the form.
fn top_ups(form: &mut Form, input: &Input) -> Result<Vec<ReadTopUp>, Refusal> {
    let mut out: Vec<ReadTopUp> = Vec::new();
    for (index, one) in input.top_ups.iter().enumerate() {
        let part = format!("top_ups[{index}]");
        let read = form.within(&part, |form| top_up(form, one, input.parts.len()))?;
        let Some(read) = read else { continue };
        if out.last().is_some_and(|last| read.days <= last.days) {
            return Err(Refusal::new(
                "not_in_order",
                &format!("{part}.{}", if one.at.is_some() { "at" } else { "day" }),
                format!("The top-up of {} is not after the one before it.", read.text),
                "Give the top-ups in the order of their time; put those of one day together, or \
                 give their moments.",
            ));
        }
        out.push(read);
    }
    Ok(out)
}

fn top_up(form: &mut Form, one: &TopUp, parts: usize) -> Result<Option<ReadTopUp>, Refusal> {
    let (days, text) = match (&one.at, &one.day) {
        (Some(_), Some(_)) => {
            return Err(form.refuse(
                "two_times",
                "day",
                "Both a moment and a day are given.",
                "Give the moment alone, which has the day in it.",
            ));
        }
        (Some(at), None) => (day_of(form, "at", at, at)?, at.clone()),
        (None, Some(day)) => (day_of(form, "day", day, &format!("{day}T00:00:00Z"))?, day.clone()),
        (None, None) => {
            form.miss("at", "moment or day of the top-up");
            (f64::NAN, String::new())
        }
    };
    let state = |form: &mut Form, places, prefix, texts: &Option<_>| match texts {
        Some(texts) => read_circuit_state(form, places, prefix, texts, parts),
        None => Ok(None),
    };
    let before = state(form, &BEFORE, "before.", &one.before)?;
    let after = state(form, &AFTER, "after.", &one.after)?;
    let mass = form.may::<Mass>(&MASS, one.mass.as_deref())?.map(Mass::kilograms);
    let meaning = "uncertainty of the weighing";
    let statement = one.mass_uncertainty.as_ref();
    let doubt = stated(form, "mass_uncertainty", meaning, &[Dimension::Mass], statement)?;
    if mass.is_some() && before.is_some() && after.is_some() {
        return Err(form.refuse(
            "two_masses",
            "mass",
            "The mass is weighed and follows from readings before and after as well.",
            "Give the one that is trusted more.",
        ));
    }
    if let Some(reason) = one.reason {
        form.show("reason", "why gas was added", reason.text());
    }
    Ok((!text.is_empty()).then(|| ReadTopUp {
        days,
        text,
        before,
        after,
        weighed: mass.map(|mass| (mass, doubt.map(|stated| stated.of(mass)))),
        reason: one.reason,
    }))
}

/// Days since 1970-01-01 of a moment.
fn day_of(form: &mut Form, field: &str, typed: &str, moment: &str) -> Result<f64, Refusal> {
    form.show(field, "time of the top-up", typed);
    Moment::parse(moment).map(|moment| moment.unix() / SECONDS_IN_A_DAY).ok_or_else(|| {
        form.refuse(
            "malformed",
            field,
            format!("“{typed}” is no {}.", if field == "day" { "day" } else { "moment" }),
            "Write a moment as 2026-08-25T18:10:00-04:00, a day as 2026-08-25.",
        )
    })
}

fn services(form: &mut Form, texts: &[String]) -> Result<Vec<f64>, Refusal> {
    let mut out = Vec::new();
    for (index, text) in texts.iter().enumerate() {
        let field = format!("services[{index}]");
        form.show(&field, "day of a service", text);
        let moment = Moment::parse(&format!("{text}T00:00:00Z")).ok_or_else(|| {
            form.refuse("malformed", &field, format!("“{text}” is no day."), "Write 2026-08-25.")
        })?;
        out.push(moment.unix() / SECONDS_IN_A_DAY);
    }
    out.sort_by(f64::total_cmp);
    Ok(out)
}

/// A whole number of one or more that is needed.
fn number(
    form: &mut Form,
    field: &str,
    meaning: &str,
    text: Option<&str>,
) -> Result<Option<usize>, Refusal> {
    if text.is_none() {
        form.miss(field, meaning);
    }
    let number = whole(form, field, meaning, (1, 10_000), text)?;
    Ok(number.and_then(|number| usize::try_from(number).ok()))
}

fn in_days(seconds: Option<f64>) -> Option<f64> {
    seconds.map(|seconds| seconds / SECONDS_IN_A_DAY)
}

fn short(form: &mut Form, rule: Option<&super::IntervalRule>) -> Result<Option<Short>, Refusal> {
    let Some(rule) = rule else { return Ok(None) };
    form.within("interval", |form| {
        if rule.share.is_none() {
            form.miss("share", SHARE.meaning);
        }
        let share = form.may_above_zero::<Ratio>(&SHARE, rule.share.as_deref())?;
        let meaning = "short intervals in a row that raise an alert";
        let in_a_row = number(form, "in_a_row", meaning, rule.in_a_row.as_deref())?;
        let meaning = "earlier intervals that the median needs";
        let earlier = number(form, "earlier", meaning, rule.earlier.as_deref())?;
        let window = in_days(form.may_above_zero::<Duration>(&WINDOW, rule.window.as_deref())?);
        let (Some(share), Some(in_a_row), Some(earlier)) = (share, in_a_row, earlier) else {
            return Ok(None);
        };
        Ok(Some(Short { share, in_a_row, earlier, window }))
    })
}

fn many(
    form: &mut Form,
    rule: Option<&super::CountRule>,
    serviced: bool,
) -> Result<Option<Many>, Refusal> {
    let Some(rule) = rule else { return Ok(None) };
    form.within("count", |form| {
        let meaning = "top-ups that raise an alert";
        let top_ups = number(form, "top_ups", meaning, rule.top_ups.as_deref())?;
        let within = in_days(form.may_above_zero::<Duration>(&WITHIN, rule.within.as_deref())?);
        if within.is_none() && !serviced {
            form.miss("within", "time in which top-ups are counted, or the days of the services");
        }
        Ok(top_ups.map(|top_ups| Many { top_ups, within }))
    })
}

fn much(form: &mut Form, rule: Option<&super::LossRule>) -> Result<Option<Much>, Refusal> {
    let Some(rule) = rule else { return Ok(None) };
    form.within("loss", |form| {
        if rule.mass.is_none() {
            form.miss("mass", LOSS.meaning);
        }
        let mass = form.may_above_zero::<Mass>(&LOSS, rule.mass.as_deref())?;
        let within = in_days(form.may_above_zero::<Duration>(&WITHIN, rule.within.as_deref())?);
        Ok(mass.map(|mass| Much { mass, within }))
    })
}

impl Reason {
    /// The reason in words.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::Routine => "routine",
            Self::Unexplained => "unexplained",
            Self::AfterRepair => "after repair",
            Self::FirstFill => "first fill",
        }
    }
}
