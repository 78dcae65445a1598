//! What the calculation takes, and reading it.

use quantity::{Dimension, Duration, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::estimate::Tails;
use crate::form::{Form, Place, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::pressure_decay::Rule;
use crate::steps::whole;
use crate::{Refusal, limit, schema};

/// What ended the count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Ended {
    /// The time was up: a date, a run of planned length, today.
    AfterTime,
    /// It was counted until a failure.
    AtFailure,
}

/// Which bounds are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Interval {
    /// A lower and an upper bound, with half of the doubt on each side.
    TwoSided,
    /// The upper bound of the rate alone.
    UpperOnly,
}

/// What the calculation takes: failures in operating hours, on demand, or both.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Failures in operating time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Operating")]
    pub operating: Option<Operating>,
    /// A second set to compare with, such as the time before a change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Operating")]
    pub compared: Option<Operating>,
    /// Failures when something was called upon, such as a defocus.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Demands")]
    pub on_demand: Option<Demands>,
    /// Confidence of the bounds; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub confidence: Option<String>,
    /// Which bounds; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Interval")]
    pub interval: Option<Interval>,
    /// Least mean time between failures, to be shown by its lower bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Largest probability of failure on demand, to be shown by its upper bound.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub demand_limit: Option<StatedLimit>,
}

/// Failures in operating time.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Operating {
    /// How many failures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub failures: Option<String>,
    /// Operating time of all machines together, failed ones included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub time: Option<String>,
    /// What ended the count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Ended")]
    pub ended: Option<Ended>,
}

/// Failures on demand.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Demands {
    /// How many failures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub failures: Option<String>,
    /// How often it was called upon, failures included.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub demands: Option<String>,
}

/// A set of failures in time, read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Set {
    pub(super) failures: u32,
    pub(super) hours: f64,
    pub(super) at_failure: bool,
}

/// What was read.
#[derive(Debug)]
pub(super) struct Data {
    pub(super) operating: Option<Set>,
    pub(super) compared: Option<Set>,
    /// Failures and demands.
    pub(super) on_demand: Option<(u32, u32)>,
    pub(super) confidence: f64,
    pub(super) interval: Interval,
    pub(super) limit: Option<ReadLimit<Duration>>,
    pub(super) demand_limit: Option<ReadLimit<Ratio>>,
}

impl Data {
    /// The probabilities left out below and above.
    pub(super) fn tails(&self) -> Tails {
        let out = 1.0 - self.confidence;
        match self.interval {
            Interval::TwoSided => Tails { low: Some(0.5 * out), high: 0.5 * out },
            Interval::UpperOnly => Tails { low: None, high: out },
        }
    }
}

const TIME: Place = free("time", "operating time", &[Dimension::Duration]);
const CONFIDENCE: Place = free("confidence", "confidence of the bounds", &[Dimension::Ratio]);
/// The quantiles are good to this many degrees of freedom and beyond.
const MOST: u32 = 4000;

fn set(form: &mut Form, part: &str, input: Option<&Operating>) -> Result<Option<Set>, Refusal> {
    let Some(input) = input else { return Ok(None) };
    form.within(part, |form| {
        let failures = whole(form, "failures", "failures", (0, MOST), input.failures.as_deref())?;
        if failures.is_none() {
            form.miss("failures", "failures");
        }
        let time = form.take_above_zero::<Duration>(&TIME, input.time.as_deref())?;
        match input.ended {
            Some(Ended::AfterTime) => form.show("ended", "what ended the count", "after a time"),
            Some(Ended::AtFailure) => form.show("ended", "what ended the count", "at a failure"),
            None => form.miss("ended", "what ended the count"),
        }
        if failures == Some(0) && input.ended == Some(Ended::AtFailure) {
            return Err(form.refuse(
                "no_failure_to_end_at",
                "ended",
                "Without any failure the count can't have been ended at one.",
                "Give after_time.",
            ));
        }
        let (Some(failures), Some(time), Some(ended)) = (failures, time, input.ended) else {
            return Ok(None);
        };
        let hours = time / 3600.0;
        Ok(Some(Set { failures, hours, at_failure: ended == Ended::AtFailure }))
    })
}

fn demands(form: &mut Form, input: Option<&Demands>) -> Result<Option<(u32, u32)>, Refusal> {
    let Some(input) = input else { return Ok(None) };
    form.within("on_demand", |form| {
        let failures =
            whole(form, "failures", "failures", (0, 100_000), input.failures.as_deref())?;
        let demands = whole(form, "demands", "demands", (1, 1_000_000), input.demands.as_deref())?;
        for (given, name) in [(failures, "failures"), (demands, "demands")] {
            if given.is_none() {
                form.miss(name, name);
            }
        }
        match failures.zip(demands) {
            Some((failures, demands)) if failures > demands => Err(form.refuse(
                "more_failures_than_demands",
                "failures",
                format!("{failures} failures in {demands} demands are too many."),
                "Count every demand, those that failed too.",
            )),
            both => Ok(both),
        }
    })
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Data>, Refusal> {
    let operating = set(form, "operating", input.operating.as_ref())?;
    let compared = set(form, "compared", input.compared.as_ref())?;
    let on_demand = demands(form, input.on_demand.as_ref())?;
    let needs_operating = input.limit.is_some() || input.compared.is_some();
    if input.operating.is_none() && (needs_operating || input.on_demand.is_none()) {
        form.miss("operating", "failures in operating time");
    }
    if input.on_demand.is_none() && input.demand_limit.is_some() {
        form.miss("on_demand", "failures on demand");
    }
    let confidence =
        form.take::<Ratio>(&CONFIDENCE, input.confidence.as_deref())?.map(Ratio::fraction);
    if let Some(confidence) = confidence
        && !(0.5..1.0).contains(&confidence)
    {
        return Err(form.refuse(
            "confidence",
            CONFIDENCE.field,
            "A confidence of this size can't be asked for.",
            "Give 50 % to below 100 %; 90 % is usual.",
        ));
    }
    match input.interval {
        Some(Interval::TwoSided) => form.show("interval", "which bounds", "two sides"),
        Some(Interval::UpperOnly) => form.show("interval", "which bounds", "upper alone"),
        None => form.miss("interval", "which bounds"),
    }
    for (field, stated) in [("limit", &input.limit), ("demand_limit", &input.demand_limit)] {
        if stated.as_ref().is_some_and(|stated| stated.rule == Some(Rule::Guarded)) {
            return Err(form.refuse(
                "guarded",
                field,
                "A confidence bound already holds the doubt: it is compared with the limit itself.",
                "Use the simple rule, and say by the confidence how sure it has to be.",
            ));
        }
    }
    let limit = limit::read::<Duration>(
        form,
        "limit",
        "least mean time between failures",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let demand_limit = limit::read::<Ratio>(
        form,
        "demand_limit",
        "largest probability of failure on demand",
        Side::AtMost,
        input.demand_limit.as_ref(),
    )?;
    let (Some(confidence), Some(interval), true) =
        (confidence, input.interval, form.missing.is_empty())
    else {
        return Ok(None);
    };
    Ok(Some(Data { operating, compared, on_demand, confidence, interval, limit, demand_limit }))
}
