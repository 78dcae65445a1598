//! The input as JSON, and as cycles in pascals.

use std::collections::BTreeMap;

use quantity::{
    AbsolutePressure, Decimal, Dimension, GaugePressure, Ratio, Reading, Temperature, Volume,
};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, exact};
use crate::pressure_decay::Rule;
use crate::state::{AIR_PRESSURE, place};
use crate::{Gas, Refusal, Statement, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The cycles by their number, `1` the first, none left out between.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(schema_with = "numbered")]
    pub cycles: BTreeMap<String, Cycle>,
    /// What the barometer shows; one reading for all cycles.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Fraction of what is driven out before the first cycle, such as 20.9 % of oxygen in air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub start_fraction: Option<String>,
    /// Fraction of the same in the purge gas, from its certificate. Left out, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub supply_fraction: Option<String>,
    /// The purge gas, for the ratio of real densities; together with its temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub purge_gas: Option<Gas>,
    /// Temperature of the gas in the circuit. Left out, the ratio of real densities is too.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Volume of the circuit, for the mass of purge gas. May be left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// The content that an analyser shows after the last cycle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub measured: Option<String>,
    /// The limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Limit")]
    pub limit: Option<Limit>,
    /// What is known of the instruments; left out, the fraction has no uncertainty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "PurgeDoubt")]
    pub uncertainty: Option<PurgeDoubt>,
}

/// What is known of the instruments of a purge.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PurgeDoubt {
    /// Scale of the gauge: one error common to all readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub gauge: Option<Statement>,
    /// Barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub barometer: Option<Statement>,
    /// Analyser, in percent of its reading; or as a fraction without unit, such as 0.001 for 0.1 %
    /// by volume.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub analyser: Option<Statement>,
}

/// A cycle.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cycle {
    /// Gauge pressure before the purge gas is let in; negative after a vacuum pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub low: Option<String>,
    /// Gauge pressure with the purge gas in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub high: Option<String>,
    /// Pressure above vacuum before the purge gas, instead of the gauge's; as a vacuum gauge reads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub low_absolute: Option<String>,
    /// Pressure above vacuum with the purge gas in, instead of the gauge's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub high_absolute: Option<String>,
}

/// The largest fraction that is accepted.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Fraction left, at most.
    #[schemars(schema_with = "schema::ratio")]
    pub residual: String,
    /// The decision rule; simple when it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

fn numbered(generator: &mut SchemaGenerator) -> Schema {
    let cycle = generator.subschema_for::<Cycle>();
    json_schema!({
        "type": "object",
        "description": "The cycles by their number, 1 the first, none left out between.",
        "patternProperties": { "^[1-9][0-9]?$": cycle },
        "additionalProperties": false,
    })
}

/// What is stated about the instruments, read.
#[derive(Debug, Clone, Default)]
pub(super) struct Doubts {
    pub(super) gauge: Option<Stated>,
    pub(super) barometer: Option<Stated>,
    pub(super) analyser: Option<Stated>,
}

/// A cycle, read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pressures {
    pub(super) low: AbsolutePressure,
    pub(super) high: AbsolutePressure,
}

/// A whole purge, read.
#[derive(Debug, Clone)]
pub(super) struct Purge {
    pub(super) cycles: Vec<Pressures>,
    /// The gauge readings of each cycle, for the page.
    pub(super) gauges: Vec<[Reading; 2]>,
    pub(super) barometer: AbsolutePressure,
    pub(super) barometer_reading: Reading,
    pub(super) start: Ratio,
    pub(super) supply: Ratio,
    pub(super) real: Option<(Gas, Temperature)>,
    pub(super) measured: Option<Ratio>,
    pub(super) limit: Ratio,
    /// The limit in percent, with the digits typed.
    pub(super) limit_percent: Decimal,
    pub(super) source: Option<String>,
    pub(super) rule: Rule,
    /// Volume in m³.
    pub(super) volume: Option<f64>,
    pub(super) doubt: Doubts,
}

/// No circuit or cylinder is purged beyond this. Common practice, no source.
const GAUGE: (i64, i64, &str) = (-1, 300, "bar(g)");
const LOW: Place =
    place("low", "pressure before the purge gas", &[Dimension::GaugePressure], GAUGE);
const HIGH: Place =
    place("high", "pressure with the purge gas", &[Dimension::GaugePressure], GAUGE);
const LOW_ABSOLUTE: Place = place(
    "low_absolute",
    "absolute pressure before the purge gas",
    &[Dimension::AbsolutePressure],
    (0, 300, "bar(a)"),
);
const HIGH_ABSOLUTE: Place = place(
    "high_absolute",
    "absolute pressure with the purge gas",
    &[Dimension::AbsolutePressure],
    (0, 300, "bar(a)"),
);
const VOLUME: Place =
    place("volume", "volume of the circuit", &[Dimension::Volume], (0, 10_000, "L"));
const BAROMETER: Place =
    place("barometer", "barometer reading", &[Dimension::AbsolutePressure], AIR_PRESSURE);
const START: Place =
    place("start_fraction", "fraction before the first cycle", &[Dimension::Ratio], (0, 100, "%"));
const SUPPLY: Place =
    place("supply_fraction", "fraction in the purge gas", &[Dimension::Ratio], (0, 10, "%"));
const TEMPERATURE: Place =
    place("temperature", "gas temperature", &[Dimension::Temperature], (-50, 130, "°C"));
const MEASURED: Place =
    place("measured", "content measured after the last cycle", &[Dimension::Ratio], (0, 100, "%"));
/// A limit beyond a fifth is a slip: 1.0 typed without the percent sign.
const RESIDUAL: Place =
    place("limit.residual", "largest fraction accepted", &[Dimension::Ratio], (0, 20, "%"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Purge>, Refusal> {
    let cycles = cycles(form, input)?;
    let barometer = form.needed(&BAROMETER, input.barometer.as_deref())?;
    let start = form.needed(&START, input.start_fraction.as_deref())?;
    let supply = form.optional(&SUPPLY, input.supply_fraction.as_deref())?;
    if let Some(gas) = input.purge_gas {
        form.show("purge_gas", "purge gas", gas.name());
    }
    let temperature = form.optional(&TEMPERATURE, input.temperature.as_deref())?;
    let measured = form.optional(&MEASURED, input.measured.as_deref())?;
    let residual = input.limit.as_ref().map(|limit| limit.residual.as_str());
    let residual = form.needed(&RESIDUAL, residual)?;
    let source = input.limit.as_ref().and_then(|limit| limit.source.clone());
    if let Some(text) = &source {
        form.show("limit.source", "source of the limit", text);
    }
    let rule = input.limit.as_ref().and_then(|limit| limit.rule).unwrap_or(Rule::Simple);
    let volume = form.may::<Volume>(&VOLUME, input.volume.as_deref())?.map(Volume::cubic_metres);
    let doubt = doubts(form, input)?;
    let (Some(gauges), Some(barometer), Some(start), Some(residual)) =
        (cycles, barometer, start, residual)
    else {
        return Ok(None);
    };
    let air: AbsolutePressure = exact(&BAROMETER, &barometer)?;
    let fraction = |place: &Place, reading: &Option<Reading>| match reading {
        Some(reading) => exact::<Ratio>(place, reading).map(Some),
        None => Ok(None),
    };
    let kelvins = match &temperature {
        Some(reading) => Some(exact::<Temperature>(&TEMPERATURE, reading)?),
        None => None,
    };
    Ok(Some(Purge {
        cycles: pressures(&gauges, air)?,
        gauges,
        barometer: air,
        start: exact(&START, &start)?,
        supply: fraction(&SUPPLY, &supply)?.unwrap_or(Ratio::from_fraction(0.0)),
        real: input.purge_gas.zip(kelvins),
        measured: fraction(&MEASURED, &measured)?,
        limit: exact(&RESIDUAL, &residual)?,
        limit_percent: if residual.unit().symbol() == "%" {
            residual.value()
        } else {
            (residual.base() * Decimal::ONE_HUNDRED).normalize()
        },
        barometer_reading: barometer,
        source,
        rule,
        volume,
        doubt,
    }))
}

/// The readings of every cycle; none when one is missing.
fn cycles(form: &mut Form, input: &Input) -> Result<Option<Vec<[Reading; 2]>>, Refusal> {
    let mut numbered = BTreeMap::new();
    for (name, cycle) in &input.cycles {
        let number = name.parse::<u8>().ok().filter(|n| (1..100).contains(n));
        let Some(number) = number else {
            return Err(Refusal::new(
                "not_a_number",
                &format!("cycles.{name}"),
                format!("“{name}” is not the number of a cycle."),
                "Number the cycles 1, 2, 3 and so on, up to 99.",
            ));
        };
        numbered.insert(number, cycle);
    }
    let last = numbered.keys().next_back().copied().unwrap_or(1);
    let (mut read, mut complete) = (Vec::new(), true);
    let none = Cycle::default();
    for number in 1..=last {
        let cycle = numbered.get(&number).copied().unwrap_or(&none);
        let low = either(
            form,
            number,
            (&LOW, cycle.low.as_deref()),
            (&LOW_ABSOLUTE, cycle.low_absolute.as_deref()),
        )?;
        let high = either(
            form,
            number,
            (&HIGH, cycle.high.as_deref()),
            (&HIGH_ABSOLUTE, cycle.high_absolute.as_deref()),
        )?;
        match (low, high) {
            (Some(low), Some(high)) => read.push([low, high]),
            _ => complete = false,
        }
    }
    Ok(complete.then_some(read))
}

/// The gauge's reading of a cycle, or the absolute one.
fn either(
    form: &mut Form,
    number: u8,
    gauge: (&Place, Option<&str>),
    absolute: (&Place, Option<&str>),
) -> Result<Option<Reading>, Refusal> {
    if gauge.1.is_some() && absolute.1.is_some() {
        return Err(Refusal::new(
            "two_pressures",
            &format!("cycles.{number}.{}", absolute.0.field),
            format!("Cycle {number} has a gauge reading and an absolute pressure for the same."),
            "Give the one that was read.",
        ));
    }
    match absolute.1 {
        Some(_) => one(form, number, absolute.0, absolute.1),
        None => one(form, number, gauge.0, gauge.1),
    }
}

/// A reading of a cycle, under the name of the cycle.
fn one(
    form: &mut Form,
    number: u8,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<Reading>, Refusal> {
    let (field, meaning) = (
        format!("cycles.{number}.{}", place.field),
        format!("{} in cycle {number}", place.meaning),
    );
    let Some(text) = text else {
        form.miss(&field, &meaning);
        return Ok(None);
    };
    // Read under the place's own name, then shown under the cycle's.
    let shown = form.inputs.len();
    let reading = form.optional(place, Some(text));
    form.inputs.truncate(shown);
    form.show(&field, &meaning, text);
    reading.map_err(|refusal| Refusal { field, ..refusal })
}

fn pressures(gauges: &[[Reading; 2]], air: AbsolutePressure) -> Result<Vec<Pressures>, Refusal> {
    let mut out = Vec::new();
    for (index, [low, high]) in gauges.iter().enumerate() {
        let number = index + 1;
        let absolute = |gauge: &Place, place: &Place, reading: &Reading| {
            if reading.dimension() == Dimension::AbsolutePressure {
                return exact::<AbsolutePressure>(place, reading);
            }
            exact::<GaugePressure>(gauge, reading).map(|pressure| pressure + air)
        };
        let cycle = Pressures {
            low: absolute(&LOW, &LOW_ABSOLUTE, low)?,
            high: absolute(&HIGH, &HIGH_ABSOLUTE, high)?,
        };
        let refused = |code: &str, part: &str, sentence: String| {
            let next_step = "Read the gauge again, and check digits, sign and unit.";
            Err(Refusal::new(code, &format!("cycles.{number}.{part}"), sentence, next_step))
        };
        if cycle.low.pascals() <= 0.0 {
            let sentence = format!(
                "In cycle {number}, {low} under a barometer of the place lies below vacuum."
            );
            return refused("below_vacuum", "low", sentence);
        }
        if cycle.high.pascals() <= cycle.low.pascals() {
            let sentence = format!(
                "In cycle {number} the pressure with the purge gas, {high}, is not above the one \
                 before, {low}."
            );
            return refused("not_raised", "high", sentence);
        }
        out.push(cycle);
    }
    Ok(out)
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    const PRESSURE: &[Dimension] = &[Dimension::PressureDifference];
    let Some(given) = &input.uncertainty else { return Ok(Doubts::default()) };
    form.within("uncertainty", |form| {
        let barometer = given.barometer.as_ref();
        Ok(Doubts {
            gauge: stated(form, "gauge", "scale of the gauge", PRESSURE, given.gauge.as_ref())?,
            barometer: stated(
                form,
                "barometer",
                "uncertainty of the barometer",
                PRESSURE,
                barometer,
            )?,
            analyser: stated(
                form,
                "analyser",
                "uncertainty of the analyser",
                &[Dimension::Ratio],
                given.analyser.as_ref(),
            )?,
        })
    })
}
