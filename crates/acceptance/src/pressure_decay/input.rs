//! The input as JSON, and as readings.

use quantity::{Decimal, Dimension, Duration, Ratio, Reading, Si, Volume, quantile};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::sources::{Stated, Statements};
use crate::form::{Form, Place, exact};
use crate::state::{Places, ReadState, Texts, place, places, read_state};
use crate::{Gas, Refusal, schema, time};

/// What the calculation takes. A reading that is missing is left out; nothing has a default.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The gas in the circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Gas")]
    pub gas: Option<Gas>,
    /// Volume of the circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::volume")]
    pub volume: Option<String>,
    /// Readings at the start of the hold.
    #[serde(default)]
    pub start: Readings,
    /// Readings at the end of the hold.
    #[serde(default)]
    pub end: Readings,
    /// Elapsed time of the hold; may be left out if both moments are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub elapsed: Option<String>,
    /// The hold that the procedure asks for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub required_hold: Option<String>,
    /// The limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Limit")]
    pub limit: Option<Limit>,
    /// The decision rule, chosen before the test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// With the guarded rule: the conformance probability that is asked for. Left out, the limit
    /// is tightened by the expanded uncertainty (k = 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub conformance: Option<String>,
    /// What is known of the instruments.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// Readings at one moment. Pressure is either gauge with barometer, or absolute.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Readings {
    /// What the gauge shows above the surrounding air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::gauge_pressure")]
    pub gauge_pressure: Option<String>,
    /// What the barometer shows at the same time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub barometer: Option<String>,
    /// Pressure above vacuum, instead of gauge and barometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::absolute_pressure")]
    pub absolute_pressure: Option<String>,
    /// Temperature of the gas.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// The moment of the readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub at: Option<String>,
}

/// The largest loss that is accepted.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Loss in percent of the contents at the start.
    #[schemars(schema_with = "schema::ratio")]
    pub loss: String,
    /// Time base of the loss.
    #[schemars(schema_with = "schema::duration")]
    pub per: String,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// The decision rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// The value against the limit.
    Simple,
    /// The value against the limit tightened by a guard band.
    Guarded,
}

/// How the number of a statement is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Distribution {
    /// Half-width; any value within is equally likely.
    Rectangular,
    /// Half-width; values near the middle are likelier.
    Triangular,
    /// One standard deviation.
    Standard,
    /// Expanded uncertainty with a coverage factor.
    Expanded,
}

macro_rules! statements {
    ($($(#[$doc:meta])* $name:ident $schema:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            /// The number with its unit, without sign.
            #[schemars(schema_with = $schema)]
            pub value: String,
            /// How the number is meant.
            pub distribution: Distribution,
            /// Coverage factor; needed for `expanded` and for nothing else.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(schema_with = "schema::number")]
            pub coverage_factor: Option<String>,
        }

        impl $name {
            pub(super) fn parts(&self) -> (&str, Distribution, Option<&str>) {
                (&self.value, self.distribution, self.coverage_factor.as_deref())
            }
        }
    )*};
}

statements! {
    /// A statement about the gauge's scale: in a unit of pressure (the same offset at both
    /// readings) or in percent of the reading.
    GaugeDoubt "schema::pressure_doubt";
    /// A statement about a pressure.
    PressureDoubt "schema::pressure_difference";
    /// A statement about a temperature.
    TemperatureDoubt "schema::temperature_doubt";
    /// A statement about the volume, in a unit of volume or in percent.
    VolumeDoubt "schema::volume_doubt";
}

/// What is known of the instruments, from their certificates.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Scale of the gauge: one error common to both readings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "GaugeDoubt")]
    pub gauge_scale: Option<GaugeDoubt>,
    /// Repeatability of the gauge: an error of each reading. May be left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "PressureDoubt")]
    pub gauge_repeatability: Option<PressureDoubt>,
    /// Step of the gauge's display. Left out, the place of the last digit typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::pressure_difference")]
    pub gauge_resolution: Option<String>,
    /// Gas temperature: an error of each reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "TemperatureDoubt")]
    pub temperature: Option<TemperatureDoubt>,
    /// Barometer: an error of each reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "PressureDoubt")]
    pub barometer: Option<PressureDoubt>,
    /// Volume of the circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "VolumeDoubt")]
    pub volume: Option<VolumeDoubt>,
}

/// A whole test, read.
#[derive(Debug)]
pub(super) struct Test {
    pub(super) gas: Gas,
    pub(super) volume: Volume,
    pub(super) start: ReadState,
    pub(super) end: ReadState,
    pub(super) elapsed: Duration,
    pub(super) elapsed_from_moments: bool,
    /// Seconds by which the moments differ from the elapsed time typed.
    pub(super) moments_differ: Option<Duration>,
    pub(super) required_hold: Duration,
    pub(super) limit: Ratio,
    /// The limit in percent, with the digits typed.
    pub(super) limit_percent: Decimal,
    pub(super) limit_per: Duration,
    pub(super) limit_per_text: String,
    pub(super) limit_source: Option<String>,
    pub(super) rule: Rule,
    /// Guard band over standard uncertainty, with its reason; none for the simple rule.
    pub(super) guard: Option<(Ratio, String)>,
    pub(super) statements: Statements,
}

const PRESSURE: (i64, i64, &str) = (0, 300, "bar(g)");
const ABSOLUTE: (i64, i64, &str) = (0, 300, "bar(a)");
const TEMPERATURE: (i64, i64, &str) = (-50, 130, "°C");
const START: Places = places!("start.", " at the start", PRESSURE, ABSOLUTE, TEMPERATURE);
const END: Places = places!("end.", " at the end", PRESSURE, ABSOLUTE, TEMPERATURE);
const VOLUME: Place =
    place("volume", "volume of the circuit", &[Dimension::Volume], (0, 10_000, "L"));
const ELAPSED: Place = free("elapsed", "elapsed time of the hold", &[Dimension::Duration]);
const HOLD: Place =
    free("required_hold", "hold that the procedure asks for", &[Dimension::Duration]);
/// A limit beyond a fifth of the contents is a slip: 1.0 typed without the percent sign.
const LOSS: Place = place("limit.loss", "largest loss accepted", &[Dimension::Ratio], (0, 20, "%"));
const PER: Place = free("limit.per", "time base of the limit", &[Dimension::Duration]);
const CONFORMANCE: Place = free("conformance", "conformance probability", &[Dimension::Ratio]);

/// A place without a plausible range.
pub(super) const fn free(
    field: &'static str,
    meaning: &'static str,
    dimensions: &'static [Dimension],
) -> Place {
    Place { field, meaning, dimensions, plausible: None }
}

fn texts(readings: &Readings) -> Texts<'_> {
    Texts {
        gauge: readings.gauge_pressure.as_deref(),
        barometer: readings.barometer.as_deref(),
        absolute: readings.absolute_pressure.as_deref(),
        temperature: readings.temperature.as_deref(),
    }
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Test>, Refusal> {
    match input.gas {
        Some(gas) => form.show("gas", "gas in the circuit", gas.name()),
        None => form.miss("gas", "gas in the circuit"),
    }
    let volume = form.needed(&VOLUME, input.volume.as_deref())?;
    let start = read_state(form, &START, &texts(&input.start))?;
    let end = read_state(form, &END, &texts(&input.end))?;
    let elapsed = elapsed(form, input)?;
    let hold = positive(form.needed(&HOLD, input.required_hold.as_deref())?, &HOLD)?;
    let limit = limit(form, input)?;
    let rule = rule(form, input)?;
    let statements = Statements::read(form, &input.uncertainty, start.as_ref().or(end.as_ref()))?;
    let (Some(gas), Some(volume), Some(start), Some(end)) = (input.gas, volume, start, end) else {
        return Ok(None);
    };
    let (Some(elapsed), Some(required_hold), Some(limit), Some((rule, guard)), Some(statements)) =
        (elapsed, hold, limit, rule, statements)
    else {
        return Ok(None);
    };
    Ok(Some(Test {
        gas,
        volume: exact(&VOLUME, &volume)?,
        start,
        end,
        elapsed: elapsed.time,
        elapsed_from_moments: elapsed.from_moments,
        moments_differ: elapsed.differ,
        required_hold,
        limit: exact(&LOSS, &limit.loss)?,
        limit_percent: percent(&limit.loss),
        limit_per: limit.per,
        limit_per_text: limit.per_text,
        limit_source: limit.source,
        rule,
        guard,
        statements,
    }))
}

struct Elapsed {
    time: Duration,
    from_moments: bool,
    differ: Option<Duration>,
}

fn elapsed(form: &mut Form, input: &Input) -> Result<Option<Elapsed>, Refusal> {
    for (field, meaning, at) in [
        ("start.at", "moment of the start", &input.start.at),
        ("end.at", "moment of the end", &input.end.at),
    ] {
        if let Some(text) = at {
            form.show(field, meaning, text);
            if time::between(text, text).is_none() {
                return Err(Refusal::new(
                    "malformed",
                    field,
                    format!("“{text}” is no moment."),
                    "Write it as 2026-08-25T18:10:00-04:00, with the offset from UTC.",
                ));
            }
        }
    }
    let moments = match (&input.start.at, &input.end.at) {
        (Some(start), Some(end)) => time::between(start, end),
        _ => None,
    };
    if let Some(span) = moments
        && span.seconds() <= 0.0
    {
        return Err(not_after("end.at"));
    }
    let typed = match form.optional(&ELAPSED, input.elapsed.as_deref())? {
        Some(reading) => Some(exact::<Duration>(&ELAPSED, &reading)?),
        None => None,
    };
    if let Some(typed) = typed
        && typed.seconds() <= 0.0
    {
        return Err(not_after(ELAPSED.field));
    }
    Ok(match (typed, moments) {
        (Some(time), Some(span)) => {
            let apart = Duration::from_seconds((time.seconds() - span.seconds()).abs());
            let differ = (apart.seconds() > 60.0).then_some(apart);
            Some(Elapsed { time, from_moments: false, differ })
        }
        (Some(time), None) => Some(Elapsed { time, from_moments: false, differ: None }),
        (None, Some(time)) => Some(Elapsed { time, from_moments: true, differ: None }),
        (None, None) => {
            form.miss(ELAPSED.field, ELAPSED.meaning);
            None
        }
    })
}

fn not_after(field: &str) -> Refusal {
    Refusal::new(
        "end_before_start",
        field,
        "The end of the hold is not after its start.",
        "Check the two moments, with date and offset, or type the elapsed time.",
    )
}

/// The value of a reading that must be more than zero.
fn positive<Q: Si>(reading: Option<Reading>, place: &Place) -> Result<Option<Q>, Refusal> {
    let Some(reading) = reading else { return Ok(None) };
    let value: Q = exact(place, &reading)?;
    if value.si() > 0.0 {
        return Ok(Some(value));
    }
    Err(Refusal::new(
        "out_of_range",
        place.field,
        format!("The {} is not more than zero.", place.meaning),
        "Type a value above zero.",
    ))
}

struct ReadLimit {
    loss: Reading,
    per: Duration,
    per_text: String,
    source: Option<String>,
}

fn limit(form: &mut Form, input: &Input) -> Result<Option<ReadLimit>, Refusal> {
    let Some(limit) = &input.limit else {
        form.miss("limit", "limit of the loss");
        return Ok(None);
    };
    let loss = form.optional(&LOSS, Some(&limit.loss))?;
    let per = form.optional(&PER, Some(&limit.per))?;
    let per_text = limit.per.trim().to_owned();
    if let Some(source) = &limit.source {
        form.show("limit.source", "source of the limit", source);
    }
    positive::<Ratio>(loss.clone(), &LOSS)?;
    let per = positive(per, &PER)?;
    Ok(loss.zip(per).map(|(loss, per)| ReadLimit {
        loss,
        per,
        per_text,
        source: limit.source.clone(),
    }))
}

/// The limit in percent, with the digits that were typed.
fn percent(loss: &Reading) -> Decimal {
    if loss.unit().symbol() == "%" {
        return loss.value();
    }
    (loss.base() * Decimal::ONE_HUNDRED).normalize()
}

type ReadRule = (Rule, Option<(Ratio, String)>);

fn rule(form: &mut Form, input: &Input) -> Result<Option<ReadRule>, Refusal> {
    let Some(rule) = input.rule else {
        form.miss("rule", "decision rule, simple or guarded");
        return Ok(None);
    };
    let name = if rule == Rule::Simple { "simple" } else { "guarded" };
    form.show("rule", "decision rule", name);
    let conformance = form.optional(&CONFORMANCE, input.conformance.as_deref())?;
    match (rule, conformance) {
        (Rule::Simple, None) => Ok(Some((rule, None))),
        (Rule::Simple, Some(_)) => Err(Refusal::new(
            "conformance_without_guard",
            CONFORMANCE.field,
            "A conformance probability goes with the guarded rule only.",
            "Choose the guarded rule, or leave the probability out.",
        )),
        (Rule::Guarded, None) => {
            let why = "guard band w = U, the expanded uncertainty for k = 2".to_owned();
            Ok(Some((rule, Some((Ratio::from_fraction(2.0), why)))))
        }
        (Rule::Guarded, Some(reading)) => {
            let p = exact::<Ratio>(&CONFORMANCE, &reading)?.fraction();
            let factor = quantile(p).filter(|factor| *factor > 0.0).ok_or_else(|| {
                Refusal::new(
                    "out_of_range",
                    CONFORMANCE.field,
                    "A conformance probability lies between 50 % and 100 %.",
                    "Type for example 95 %.",
                )
            })?;
            let why =
                format!("guard band w = {factor:.4}·u, for a conformance probability of {reading}");
            Ok(Some((rule, Some((Ratio::from_fraction(factor), why)))))
        }
    }
}

impl Test {
    /// The step of the gauge's display: as stated, or the coarser of the two readings.
    pub(super) fn gauge_step(&self) -> quantity::PressureDifference {
        self.statements.gauge_step(&self.start, &self.end)
    }

    /// What was stated about a source of doubt, or nothing.
    pub(super) fn repeatability(&self) -> Option<&Stated> {
        self.statements.gauge_repeatability.as_ref()
    }
}
