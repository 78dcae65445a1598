//! What the calculation takes, and reading it.

use quantity::{Current, Dimension, Frequency, Power, ReactivePower, RotationalSpeed, Si, Voltage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::electric::{Electric, Output, output};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::steps::whole;
use crate::{Refusal, Statement, limit, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// Frequency of the network.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::frequency")]
    pub frequency: Option<String>,
    /// Number of poles, from the plate: 2, 4, 6 …
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub poles: Option<String>,
    /// Speed of the machine's shaft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::rotational_speed")]
    pub speed: Option<String>,
    /// Real power of all three phases, without sign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::power")]
    pub real_power: Option<String>,
    /// Reactive power that the machine draws.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::reactive_power")]
    pub reactive_power: Option<String>,
    /// Voltage between lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub voltage: Option<String>,
    /// Current of one line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::current")]
    pub current: Option<String>,
    /// Rated speed from the plate, to compare the slip with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::rotational_speed")]
    pub rated_speed: Option<String>,
    /// Highest speed seen when the network was lost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::rotational_speed")]
    pub peak_speed: Option<String>,
    /// Largest peak speed, in r/min.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// What is stated about the instruments.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// What is stated about the instruments.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub speed: Option<Statement>,
    /// Of the frequency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub frequency: Option<Statement>,
}

/// Radians per second of one turn per minute: 2π/60.
pub(super) const RPM: f64 = core::f64::consts::PI / 30.0;

/// What was read; speeds in r/min.
#[derive(Debug)]
pub(super) struct Machine {
    pub(super) frequency: f64,
    pub(super) poles: f64,
    pub(super) speed: f64,
    pub(super) rated: Option<f64>,
    pub(super) peak: Option<RotationalSpeed>,
    pub(super) limit: Option<ReadLimit<RotationalSpeed>>,
    pub(super) output: Output,
    pub(super) doubt_speed: Option<Stated>,
    pub(super) doubt_frequency: Option<Stated>,
}

const TURNS: &[Dimension] = &[Dimension::RotationalSpeed];
const FREQUENCY: Place =
    between("frequency", "frequency of the network", &[Dimension::Frequency], (1, 1000, "Hz"));
const SPEED_RANGE: (i64, i64, &str) = (0, 100_000, "r/min");
const SPEED: Place = between("speed", "speed of the shaft", TURNS, SPEED_RANGE);
const RATED: Place = between("rated_speed", "rated speed", TURNS, SPEED_RANGE);
const PEAK: Place = between("peak_speed", "peak speed", TURNS, SPEED_RANGE);
const REAL: Place = free("real_power", "real power", &[Dimension::Power]);
const REACTIVE: Place = free("reactive_power", "reactive power", &[Dimension::ReactivePower]);
const VOLTAGE: Place =
    between("voltage", "voltage between lines", &[Dimension::Voltage], (0, 50_000, "V"));
const CURRENT: Place = between("current", "line current", &[Dimension::Current], (0, 10_000, "A"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Machine>, Refusal> {
    for (given, place) in [(&input.frequency, &FREQUENCY), (&input.speed, &SPEED)] {
        if given.is_none() {
            form.miss(place.field, place.meaning);
        }
    }
    let frequency = form.may_above_zero::<Frequency>(&FREQUENCY, input.frequency.as_deref())?;
    let poles = whole(form, "poles", "number of poles", (2, 200), input.poles.as_deref())?;
    match poles {
        None => form.miss("poles", "number of poles"),
        Some(poles) if poles % 2 == 1 => {
            return Err(form.refuse(
                "odd_poles",
                "poles",
                format!("A machine with {poles} poles doesn't exist: poles come in pairs."),
                "Give poles, not pairs of poles, as the plate shows them.",
            ));
        }
        Some(_) => {}
    }
    let speed = form.may::<RotationalSpeed>(&SPEED, input.speed.as_deref())?;
    let rated = form.may_above_zero::<RotationalSpeed>(&RATED, input.rated_speed.as_deref())?;
    let peak = form.may::<RotationalSpeed>(&PEAK, input.peak_speed.as_deref())?;
    let electric = Electric {
        real: form.may::<Power>(&REAL, input.real_power.as_deref())?.map(Power::watts),
        reactive: form
            .may::<ReactivePower>(&REACTIVE, input.reactive_power.as_deref())?
            .map(ReactivePower::vars),
        voltage: form.may_above_zero::<Voltage>(&VOLTAGE, input.voltage.as_deref())?,
        current: form.may_above_zero::<Current>(&CURRENT, input.current.as_deref())?,
    };
    let output = output(form, electric)?;
    let limit =
        limit::read(form, "limit", "largest peak speed", Side::AtMost, input.limit.as_ref())?;
    if limit.is_some() && peak.is_none() {
        form.miss(PEAK.field, PEAK.meaning);
    }
    let doubt_speed = stated(
        form,
        "uncertainty.speed",
        "uncertainty of the speed",
        TURNS,
        input.uncertainty.speed.as_ref(),
    )?;
    let doubt_frequency = stated(
        form,
        "uncertainty.frequency",
        "uncertainty of the frequency",
        &[Dimension::Frequency],
        input.uncertainty.frequency.as_ref(),
    )?;
    let (Some(frequency), Some(poles), Some(speed), true) =
        (frequency, poles, speed, form.missing.is_empty())
    else {
        return Ok(None);
    };
    Ok(Some(Machine {
        frequency,
        poles: f64::from(poles),
        speed: speed.si() / RPM,
        rated: rated.map(|rated| rated / RPM),
        peak,
        limit,
        output,
        doubt_speed,
        doubt_frequency,
    }))
}
