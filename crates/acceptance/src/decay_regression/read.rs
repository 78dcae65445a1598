//! From texts to a test.

use quantity::{
    Dimension, Duration, Leak, MassFlow, MolarFlow, PressureDifference, Ratio, Reading, Si,
    Temperature, quantile,
};

use super::input::{Input, LeakLimit, SlopeDoubt};
use crate::circuit::{self, CircuitState, ReadPart, read_circuit_state};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::gas::MOLAR_GAS_CONSTANT;
use crate::pressure_decay::Rule;
use crate::state::{Places, PressureReadings, places, value};
use crate::time::Moment;
use crate::{Gas, Refusal};

/// A reading with its time.
#[derive(Debug)]
pub(super) struct Sample {
    /// Seconds since the first reading of the list.
    pub(super) time: f64,
    pub(super) state: CircuitState,
    /// Why it is left out of the line.
    pub(super) left_out: Option<String>,
}

/// What a limit limits.
#[derive(Debug, Clone)]
pub(super) enum Kind {
    /// Percent of the contents at the start per time base in seconds.
    Loss { per: f64, per_text: String },
    /// A flow: kg/s in one of the limit's own unit.
    Flow { unit: String, kilograms_per_second: f64 },
}

/// The limit in its own unit.
#[derive(Debug, Clone)]
pub(super) struct Limit {
    pub(super) kind: Kind,
    /// In percent for a loss, in the unit typed for a flow.
    pub(super) value: f64,
    pub(super) digits: quantity::Decimal,
    pub(super) source: Option<String>,
}

/// What is common to all readings.
#[derive(Debug, Default)]
pub(super) struct Common {
    pub(super) gauge_scale: Option<Stated>,
    pub(super) gauge_drift: Option<Stated>,
    pub(super) barometer: Option<Stated>,
    pub(super) temperature: Option<Stated>,
    pub(super) temperature_drift: Option<Stated>,
    /// Step of the gauge's display in Pa.
    pub(super) gauge_step: Option<f64>,
}

/// A whole test, read.
#[derive(Debug)]
pub(super) struct Test {
    pub(super) gas: Gas,
    pub(super) parts: Vec<ReadPart>,
    pub(super) samples: Vec<Sample>,
    pub(super) by_moments: bool,
    pub(super) required_hold: Option<f64>,
    pub(super) limit: Option<(Limit, Rule)>,
    /// The probability of the bound, in percent as shown.
    pub(super) confidence: f64,
    /// Its normal quantile.
    pub(super) quantile: f64,
    pub(super) common: Common,
    /// Whether anything was stated about the instruments.
    pub(super) doubted: bool,
}

const PLACES: Places = places!("", "", (0, 700, "bar(g)"), (0, 700, "bar(a)"), (-60, 800, "°C"));
const ELAPSED: Place = free("elapsed", "time since the start", &[Dimension::Duration]);
const HOLD: Place =
    free("required_hold", "hold that the procedure asks for", &[Dimension::Duration]);
const CONFIDENCE: Place = free("confidence", "probability of the bound", &[Dimension::Ratio]);
/// A limit beyond a fifth of the contents is a slip: 1.0 typed without the percent sign.
const LOSS: Place = between("loss", "largest loss accepted", &[Dimension::Ratio], (0, 20, "%"));
const PER: Place = free("per", "time base of the limit", &[Dimension::Duration]);
const FLOW: Place = free(
    "flow",
    "largest leak accepted",
    &[Dimension::MassFlow, Dimension::MolarFlow, Dimension::Leak],
);
const AT: Place = between(
    "at_temperature",
    "temperature of the limit",
    &[Dimension::Temperature],
    (-50, 100, "°C"),
);
const STEP: Place =
    free("gauge_resolution", "display step of the gauge", &[Dimension::PressureDifference]);
/// A bound that is asked for without a probability.
const USUAL: f64 = 0.95;
/// More readings than this are a logger's file that has to be thinned out first.
const MOST: usize = 2000;

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Test>, Refusal> {
    match input.gas {
        Some(gas) => form.show("gas", "gas in the circuit", gas.name()),
        None => form.miss("gas", "gas in the circuit"),
    }
    let doubt = input.uncertainty.as_ref();
    let volume_doubt = doubt.and_then(|doubt| doubt.volume.as_ref());
    let parts = circuit::read_parts(form, input.volume.as_deref(), volume_doubt, &input.parts)?;
    let samples = samples(form, input)?;
    let required_hold = form.may_above_zero::<Duration>(&HOLD, input.required_hold.as_deref())?;
    let molar = input.gas.map(|gas| gas.equation().molar_mass());
    let limit = match &input.limit {
        Some(stated) => Some(limit(form, stated, molar)?),
        None => None,
    };
    if let Some(rule) = input.rule {
        let name = if rule == Rule::Simple { "simple" } else { "guarded" };
        form.show("rule", "decision rule", name);
    } else if limit.is_some() {
        form.miss("rule", "decision rule, simple or guarded");
    }
    let (confidence, quantile) = confidence(form, input)?;
    let from_vacuum = samples.as_ref().is_none_or(|(samples, _)| {
        samples.iter().all(|s| matches!(s.state.readings, PressureReadings::Absolute(_)))
    });
    let needed = limit.is_some();
    let common = common(form, doubt, needed, from_vacuum)?;
    let (Some(gas), Some(parts), Some((samples, by_moments)), true) =
        (input.gas, parts, samples, form.missing.is_empty())
    else {
        return Ok(None);
    };
    if needed && parts.iter().any(|part| part.doubt.is_none()) {
        match parts.iter().position(|part| part.doubt.is_none()) {
            Some(place) if !input.parts.is_empty() => {
                let field = format!("parts[{place}].volume_uncertainty");
                form.miss(&field, "uncertainty of the part's volume");
            }
            _ => form.miss("uncertainty.volume", "uncertainty of the volume"),
        }
        return Ok(None);
    }
    for (place, sample) in samples.iter().enumerate() {
        sample.state.require(gas, &format!("readings[{place}]"))?;
    }
    Ok(Some(Test {
        gas,
        parts,
        samples,
        by_moments,
        required_hold,
        limit: limit.flatten().zip(input.rule),
        confidence,
        quantile,
        common,
        doubted: doubt.is_some(),
    }))
}

type Samples = (Vec<Sample>, bool);

/// The readings with their times; none when one is incomplete.
fn samples(form: &mut Form, input: &Input) -> Result<Option<Samples>, Refusal> {
    if input.readings.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "readings",
            format!("There are {} readings.", input.readings.len()),
            format!("Up to {MOST} are taken; keep every second or fifth of them."),
        ));
    }
    let count = input.parts.len();
    let by_moments = input.readings.iter().any(|reading| reading.at.is_some());
    let (mut out, mut times) = (Vec::new(), Vec::new());
    for (index, reading) in input.readings.iter().enumerate() {
        let part = format!("readings[{index}]");
        let read = form.within(&part, |form| {
            if by_moments && reading.elapsed.is_some() {
                return Err(form.refuse(
                    "two_times",
                    "elapsed",
                    "Some readings have a moment and some an elapsed time.",
                    "Give all readings moments, or all of them elapsed times.",
                ));
            }
            let time = if by_moments {
                moment(form, reading.at.as_deref())?
            } else {
                form.take::<Duration>(&ELAPSED, reading.elapsed.as_deref())?.map(Duration::seconds)
            };
            let state = read_circuit_state(form, &PLACES, "", &reading.state(), count)?;
            if let Some(reason) = &reading.left_out {
                form.show("left_out", "why the reading is left out", reason);
            }
            Ok(time.zip(state))
        })?;
        let Some((time, state)) = read else { continue };
        if times.last().is_some_and(|last| time <= *last) {
            return Err(Refusal::new(
                "not_in_order",
                &format!("{part}.{}", if by_moments { "at" } else { "elapsed" }),
                "This reading is not after the one before it.",
                "Give the readings in the order of their time, each moment once.",
            ));
        }
        times.push(time);
        let start = times.first().copied().unwrap_or(time);
        let left_out = reading.left_out.clone();
        out.push(Sample { time: time - start, state, left_out });
    }
    let used = input.readings.iter().filter(|reading| reading.left_out.is_none()).count();
    if used < 2 {
        form.miss("readings", "two or more readings that are used");
    }
    Ok((used >= 2 && out.len() == input.readings.len()).then_some((out, by_moments)))
}

fn moment(form: &mut Form, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let Some(text) = text else {
        form.miss("at", "moment of the reading");
        return Ok(None);
    };
    form.show("at", "moment of the reading", text);
    Moment::parse(text).map(|moment| Some(moment.unix())).ok_or_else(|| {
        form.refuse(
            "malformed",
            "at",
            format!("“{text}” is no moment."),
            "Write it as 2026-08-25T18:10:00-04:00, with the offset from UTC.",
        )
    })
}

/// The probability of the bound, and its normal quantile.
fn confidence(form: &mut Form, input: &Input) -> Result<(f64, f64), Refusal> {
    let given = form.may::<Ratio>(&CONFIDENCE, input.confidence.as_deref())?;
    let p = given.map_or(USUAL, Ratio::fraction);
    match quantile(p) {
        Some(z) if z > 0.0 => Ok((p, z)),
        _ => Err(form.refuse(
            "out_of_range",
            "confidence",
            "The probability of a bound lies between 50 % and 100 %.",
            "Type for example 95 %.",
        )),
    }
}

/// The limit; none when a part of it is missing.
fn limit(
    form: &mut Form,
    stated: &LeakLimit,
    molar_mass: Option<f64>,
) -> Result<Option<Limit>, Refusal> {
    form.within("limit", |form| {
        if let Some(source) = &stated.source {
            form.show("source", "source of the limit", source);
        }
        let by_loss = stated.loss.is_some() || stated.per.is_some();
        if by_loss && stated.flow.is_some() {
            return Err(form.refuse(
                "two_limits",
                "flow",
                "Both a loss and a flow are given as the limit.",
                "Give loss and time base, or the flow alone.",
            ));
        }
        if by_loss { loss(form, stated) } else { flow(form, stated, molar_mass) }
    })
}

fn loss(form: &mut Form, stated: &LeakLimit) -> Result<Option<Limit>, Refusal> {
    let loss = form.needed(&LOSS, stated.loss.as_deref())?;
    if stated.per.is_none() {
        form.miss("per", PER.meaning);
    }
    let per = form.may_above_zero::<Duration>(&PER, stated.per.as_deref())?;
    let (Some(loss), Some(per), Some(text)) = (loss, per, stated.per.as_ref()) else {
        return Ok(None);
    };
    let percent = 100.0 * value::<Ratio>(form, &LOSS, &loss)?.fraction();
    above_zero(form, &LOSS, percent)?;
    let digits = if loss.unit().symbol() == "%" {
        loss.value()
    } else {
        (loss.base() * quantity::Decimal::ONE_HUNDRED).normalize()
    };
    let kind = Kind::Loss { per, per_text: text.trim().to_owned() };
    Ok(Some(Limit { kind, value: percent, digits, source: stated.source.clone() }))
}

fn flow(
    form: &mut Form,
    stated: &LeakLimit,
    molar_mass: Option<f64>,
) -> Result<Option<Limit>, Refusal> {
    let flow = form.needed(&FLOW, stated.flow.as_deref())?;
    let at = form.may::<Temperature>(&AT, stated.at_temperature.as_deref())?;
    let Some(flow) = flow else { return Ok(None) };
    let is_leak = flow.dimension() == Dimension::Leak;
    if is_leak && at.is_none() {
        form.miss("at_temperature", "temperature that the leak limit is meant at");
        return Ok(None);
    }
    if !is_leak && at.is_some() {
        return Err(form.refuse(
            "two_temperatures",
            "at_temperature",
            "This limit needs no temperature: its unit has one, or none is meant.",
            "Leave the temperature out.",
        ));
    }
    let Some(molar_mass) = molar_mass else { return Ok(None) };
    let (kilograms, unit) = kilograms(form, &flow, at, molar_mass)?;
    above_zero(form, &FLOW, kilograms)?;
    let value = f64::try_from(flow.value()).unwrap_or(f64::NAN);
    let kind = Kind::Flow { unit, kilograms_per_second: kilograms / value };
    Ok(Some(Limit { kind, value, digits: flow.value(), source: stated.source.clone() }))
}

fn above_zero(form: &Form, place: &Place, value: f64) -> Result<(), Refusal> {
    if value > 0.0 {
        return Ok(());
    }
    Err(form.refuse(
        "out_of_range",
        place.field,
        "The limit is not more than zero.",
        "No test can show a leak of zero; type the largest that is accepted.",
    ))
}

/// A flow in kg/s, and its unit with its state.
fn kilograms(
    form: &Form,
    flow: &Reading,
    at: Option<Temperature>,
    molar_mass: f64,
) -> Result<(f64, String), Refusal> {
    let symbol = flow.unit().symbol();
    Ok(match (flow.dimension(), at) {
        (Dimension::MassFlow, _) => (value::<MassFlow>(form, &FLOW, flow)?.si(), symbol.to_owned()),
        (Dimension::MolarFlow, _) => {
            (value::<MolarFlow>(form, &FLOW, flow)?.si() * molar_mass, symbol.to_owned())
        }
        (_, at) => {
            let kelvins = at.map_or(f64::NAN, Temperature::kelvins);
            let leak = value::<Leak>(form, &FLOW, flow)?.si();
            let unit = format!("{symbol} at {kelvins} K");
            (leak * molar_mass / (MOLAR_GAS_CONSTANT * kelvins), unit)
        }
    })
}

/// What is stated about the instruments.
fn common(
    form: &mut Form,
    doubt: Option<&SlopeDoubt>,
    needed: bool,
    from_vacuum: bool,
) -> Result<Common, Refusal> {
    const PRESSURE: &[Dimension] = &[Dimension::PressureDifference];
    const KELVIN: &[Dimension] = &[Dimension::TemperatureDifference];
    let none = SlopeDoubt::default();
    let doubt = doubt.unwrap_or(&none);
    form.within("uncertainty", |form| {
        let mut one = |field, meaning, dimensions, statement: Option<&_>, needed: bool| {
            if statement.is_none() && needed {
                form.miss(field, meaning);
            }
            stated(form, field, meaning, dimensions, statement)
        };
        let gauge_scale =
            one("gauge_scale", "scale of the gauge", PRESSURE, doubt.gauge_scale.as_ref(), needed)?;
        let gauge_drift =
            one("gauge_drift", "drift of the gauge", PRESSURE, doubt.gauge_drift.as_ref(), false)?;
        let barometer = one(
            "barometer",
            "uncertainty of the barometer",
            PRESSURE,
            doubt.barometer.as_ref(),
            needed && !from_vacuum,
        )?;
        let temperature = one(
            "temperature",
            "uncertainty of the thermometer",
            KELVIN,
            doubt.temperature.as_ref(),
            needed,
        )?;
        let temperature_drift = one(
            "temperature_drift",
            "change of the difference between gas and probe over the hold",
            KELVIN,
            doubt.temperature_drift.as_ref(),
            needed,
        )?;
        let gauge_step =
            form.may::<PressureDifference>(&STEP, doubt.gauge_resolution.as_deref())?;
        Ok(Common {
            gauge_scale,
            gauge_drift,
            barometer,
            temperature,
            temperature_drift,
            gauge_step: gauge_step.map(|step| step.pascals().abs()),
        })
    })
}
