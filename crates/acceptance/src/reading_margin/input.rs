//! What the calculation takes, and reading it.

use quantity::{Bound, Decimal, Dimension, Reading, Unit};
use rust_decimal::prelude::ToPrimitive;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::correct::{Band, Correction};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, free};
use crate::pressure_decay::Rule;
use crate::{Refusal, Statement, schema};

/// How the error goes with the reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Applies {
    /// As large at every reading, as after a shifted zero.
    SameEverywhere,
    /// In proportion to the reading, as with a wrong scale.
    InProportion,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Which kind of quantity the instrument measures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Dimension")]
    pub measures: Option<Dimension>,
    /// The earlier readings.
    #[serde(default)]
    pub readings: Vec<PastReading>,
    /// The instrument showed too little, by this much; without sign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub shows_low_by: Option<String>,
    /// The instrument showed too much, by this much; without sign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub shows_high_by: Option<String>,
    /// What the instrument showed when that was found; needed for an error in proportion.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub found_at: Option<String>,
    /// As-found points of the certificate, instead.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Point>,
    /// How the error goes with the reading; not needed with two points or more.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Applies")]
    pub applies: Option<Applies>,
    /// The error that the instrument is allowed, without sign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub tolerance: Option<String>,
    /// Upper limit of every reading that names none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub at_most: Option<String>,
    /// Lower limit of every reading that names none of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub at_least: Option<String>,
    /// Where the limits come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub limit_source: Option<String>,
    /// The decision rule; simple when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Of a corrected reading; needed for the guarded rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub uncertainty: Option<Statement>,
}

/// An earlier reading.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PastReading {
    /// Which record it is of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// What was written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub value: Option<String>,
    /// Upper limit of this reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub at_most: Option<String>,
    /// Lower limit of this reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub at_least: Option<String>,
}

/// A point of a certificate, as found.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The value of the reference.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub reference: Option<String>,
    /// What the instrument showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::any_reading")]
    pub shown: Option<String>,
}

/// A reading with its limits, read.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) name: String,
    pub(super) reading: Reading,
    pub(super) band: Band,
    /// The limits as typed.
    pub(super) limits: String,
}

/// What was read.
#[derive(Debug)]
pub(super) struct Review {
    pub(super) dimension: Dimension,
    pub(super) rows: Vec<Row>,
    pub(super) correction: Correction,
    /// What was found, in words.
    pub(super) found: String,
    /// The largest error that was found, in the base unit.
    pub(super) error: Decimal,
    pub(super) tolerance: Option<Reading>,
    pub(super) source: Option<String>,
    pub(super) rule: Rule,
    pub(super) doubt: Option<Stated>,
}

static ALL: [Dimension; 32] = Dimension::ALL;

/// The dimension alone, as a list that lives as long as the program.
fn alone(dimension: Dimension) -> &'static [Dimension] {
    let place = ALL.iter().position(|other| *other == dimension).unwrap_or(0);
    ALL.get(place..=place).unwrap_or_default()
}

/// What a difference of two readings is.
fn difference(dimension: Dimension) -> &'static [Dimension] {
    alone(match dimension {
        Dimension::GaugePressure | Dimension::AbsolutePressure => Dimension::PressureDifference,
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    })
}

/// Reads a text; a bound is refused, except where a record may hold one.
fn value(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
    bounds: bool,
) -> Result<Option<Reading>, Refusal> {
    let reading = form.optional(place, text)?;
    match &reading {
        Some(found) if !bounds && found.bound() != Bound::Exact => Err(form.refuse(
            "not_a_value",
            place.field,
            format!("The {} “{}” is only a bound.", place.meaning, found.text()),
            "Give the value itself.",
        )),
        _ => Ok(reading),
    }
}

fn size(form: &mut Form, place: &Place, text: Option<&str>) -> Result<Option<Reading>, Refusal> {
    let reading = value(form, place, text, false)?;
    match &reading {
        Some(found) if found.value() < Decimal::ZERO => Err(form.refuse(
            "signed",
            place.field,
            format!("The {} is a size without sign.", place.meaning),
            "Say by the field whether the instrument shows low or high.",
        )),
        _ => Ok(reading),
    }
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Review>, Refusal> {
    let Some(dimension) = input.measures else {
        form.miss("measures", "kind of quantity that the instrument measures");
        return Ok(None);
    };
    form.show("measures", "kind of quantity", dimension.name());
    let here = alone(dimension);
    let correction = correction(form, input, dimension)?;
    let limit = |form: &mut Form, most: Option<&str>, least: Option<&str>| {
        let most = value(form, &free("at_most", "upper limit", here), most, false)?;
        let least = value(form, &free("at_least", "lower limit", here), least, false)?;
        if let (Some(low), Some(high)) = (&least, &most)
            && low.base() > high.base()
        {
            return Err(form.refuse(
                "limits_exchanged",
                "at_least",
                "The lower limit is above the upper one.",
                "Exchange them.",
            ));
        }
        Ok::<_, Refusal>((least, most))
    };
    let common = limit(form, input.at_most.as_deref(), input.at_least.as_deref())?;
    if input.readings.is_empty() {
        form.miss("readings", "earlier readings");
    }
    let mut rows = Vec::new();
    for (number, past) in input.readings.iter().enumerate() {
        let row = form.within(&format!("readings[{number}]"), |form| {
            let place = free("value", "reading", here);
            let reading = value(form, &place, past.value.as_deref(), true)?;
            let own = limit(form, past.at_most.as_deref(), past.at_least.as_deref())?;
            if reading.is_none() {
                form.miss("value", "reading");
            }
            Ok::<_, Refusal>(reading.map(|reading| (reading, own)))
        })?;
        let Some((reading, own)) = row else { continue };
        let (least, most) = if own.0.is_some() || own.1.is_some() { own } else { common.clone() };
        rows.push(Row {
            name: past.name.clone().unwrap_or_else(|| format!("{}", number + 1)),
            reading,
            band: Band {
                at_least: least.as_ref().map(Reading::base),
                at_most: most.as_ref().map(Reading::base),
            },
            limits: shown(least.as_ref(), most.as_ref()),
        });
    }
    let place = free("tolerance", "allowed error", difference(dimension));
    let tolerance = size(form, &place, input.tolerance.as_deref())?;
    let doubt = stated(
        form,
        "uncertainty",
        "uncertainty of a corrected reading",
        difference(dimension),
        input.uncertainty.as_ref(),
    )?;
    let rule = input.rule.unwrap_or(Rule::Simple);
    if rule == Rule::Guarded && doubt.is_none() {
        form.miss("uncertainty", "uncertainty of a corrected reading");
    }
    let (Some((correction, found, error)), true) = (correction, form.missing.is_empty()) else {
        return Ok(None);
    };
    Ok(Some(Review {
        dimension,
        rows,
        correction,
        found,
        error,
        tolerance,
        source: input.limit_source.clone(),
        rule,
        doubt,
    }))
}

fn shown(least: Option<&Reading>, most: Option<&Reading>) -> String {
    let least = least.map(|low| format!("≥ {low}"));
    let most = most.map(|high| format!("≤ {high}"));
    let both: Vec<_> = [least, most].into_iter().flatten().collect();
    if both.is_empty() { "none".to_owned() } else { both.join(", ") }
}

type Found = Option<(Correction, String, Decimal)>;

/// The correction, what was found in words, and the largest error.
fn correction(form: &mut Form, input: &Input, dimension: Dimension) -> Result<Found, Refusal> {
    let error_place = |field, meaning| free(field, meaning, difference(dimension));
    let low = error_place("shows_low_by", "error by which it shows too little");
    let high = error_place("shows_high_by", "error by which it shows too much");
    let low = size(form, &low, input.shows_low_by.as_deref())?;
    let high = size(form, &high, input.shows_high_by.as_deref())?;
    let found_at = free("found_at", "reading at which the error was found", alone(dimension));
    let found_at = value(form, &found_at, input.found_at.as_deref(), false)?;
    let points = points(form, &input.points, dimension)?;
    if let Some(applies) = input.applies {
        let word = match applies {
            Applies::SameEverywhere => "the same everywhere",
            Applies::InProportion => "in proportion to the reading",
        };
        form.show("applies", "how the error goes with the reading", word);
    }
    let ways = [low.is_some(), high.is_some(), !input.points.is_empty()];
    if ways.iter().filter(|given| **given).count() > 1 {
        return Err(form.refuse(
            "two_errors",
            "shows_low_by",
            "The error is stated in more than one way.",
            "Give one of shows_low_by, shows_high_by and points.",
        ));
    }
    let single = match (&low, &high, points.as_slice()) {
        (Some(low), ..) => Some((low.base(), found_at.as_ref(), format!("shows {low} too little"))),
        (_, Some(high), _) => {
            Some((-high.base(), found_at.as_ref(), format!("shows {high} too much")))
        }
        (.., [(reference, shown)]) => Some((
            reference.base() - shown.base(),
            Some(shown),
            format!("shows {shown} at {reference}"),
        )),
        (.., []) => {
            form.miss("points", "error of the instrument as found");
            None
        }
        _ => return several(form, points).map(Some),
    };
    let Some((error, at, words)) = single else { return Ok(None) };
    match input.applies {
        None => {
            form.miss("applies", "how the error goes with the reading");
            Ok(None)
        }
        Some(Applies::SameEverywhere) => Ok(Some((Correction::Same(error), words, error))),
        Some(Applies::InProportion) => {
            let Some(at) = at else {
                form.miss("found_at", "reading at which the error was found");
                return Ok(None);
            };
            let factor = (at.base() + error).checked_div(at.base()).filter(|factor| {
                dimension != Dimension::Temperature && factor.to_f64().is_some_and(|f| f > 0.0)
            });
            let Some(factor) = factor else {
                return Err(form.refuse(
                    "no_proportion",
                    "applies",
                    "An error in proportion needs a reading above zero and a scale that starts at \
                     zero, which a temperature's does not.",
                    "Use same_everywhere, or give the points of the certificate.",
                ));
            };
            Ok(Some((Correction::Proportion(factor), words, error)))
        }
    }
}

fn points(
    form: &mut Form,
    points: &[Point],
    dimension: Dimension,
) -> Result<Vec<(Reading, Reading)>, Refusal> {
    let mut out = Vec::new();
    for (number, point) in points.iter().enumerate() {
        let both = form.within(&format!("points[{number}]"), |form| {
            let reference = free("reference", "value of the reference", alone(dimension));
            let shown = free("shown", "what the instrument showed", alone(dimension));
            for (place, text) in [(&reference, &point.reference), (&shown, &point.shown)] {
                if text.is_none() {
                    form.miss(place.field, place.meaning);
                }
            }
            let reference = value(form, &reference, point.reference.as_deref(), false)?;
            let shown = value(form, &shown, point.shown.as_deref(), false)?;
            Ok::<_, Refusal>(reference.zip(shown))
        })?;
        out.extend(both);
    }
    Ok(out)
}

fn several(
    form: &Form,
    points: Vec<(Reading, Reading)>,
) -> Result<(Correction, String, Decimal), Refusal> {
    let mut table: Vec<_> = points
        .iter()
        .map(|(reference, shown)| (shown.base(), reference.base() - shown.base()))
        .collect();
    table.sort_by_key(|(shown, _)| *shown);
    if table.windows(2).any(|pair| matches!(pair, [(a, _), (b, _)] if a == b)) {
        return Err(form.refuse(
            "point_twice",
            "points",
            "Two points have the same shown value.",
            "Give each value that the instrument showed once; take the mean of repeated points.",
        ));
    }
    let largest = table.iter().map(|(_, c)| *c).max_by_key(Decimal::abs).unwrap_or_default();
    let words = format!("was found at {} points", table.len());
    Ok((Correction::Points(table), words, largest))
}

/// A base value in a unit, to 12 significant digits; none outside of the range of decimals.
pub(super) fn in_unit(unit: &Unit, base: Decimal) -> Option<Decimal> {
    unit.from_base(base)?.round_sf(12).map(|number| number.normalize())
}

/// A difference of base values in a unit.
pub(super) fn difference_in(unit: &Unit, base: Decimal) -> Option<Decimal> {
    base.checked_div(unit.factor()?)?.round_sf(12).map(|number| number.normalize())
}
