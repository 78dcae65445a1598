//! The doubt of a sum of contents.

use quantity::{AbsolutePressure, Reading, StandardUncertainty, Temperature, significant};

use super::{CircuitState, Instruments, ReadPart};
use crate::doubt::{Budget, Part, Stated, first_order};
use crate::state::PressureReadings;
use crate::{Flag, Gas, State};

/// A state whose contents are counted in a sum with a sign.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Counted<'a> {
    pub(crate) sign: f64,
    pub(crate) state: &'a CircuitState,
    /// The moment, for the budget's lines, as “after”.
    pub(crate) when: &'a str,
}

fn base(reading: &Reading) -> f64 {
    f64::try_from(reading.base()).unwrap_or(f64::NAN)
}

/// The doubt of a sum of contents, in kg; none where nothing is stated about any instrument.
pub(crate) fn budget(
    gas: Gas,
    parts: &[ReadPart],
    terms: &[Counted<'_>],
    instruments: &Instruments,
) -> Option<Budget> {
    let Instruments { gauge, barometer, temperature } = instruments;
    let nothing = gauge.is_none() && barometer.is_none() && temperature.is_none();
    if nothing && parts.iter().all(|part| part.doubt.is_none()) {
        return None;
    }
    let relative = gauge.as_ref().is_some_and(Stated::relative);
    let mut inputs = vec![match gauge {
        Some(stated) if relative => {
            part("gauge scale", &stated.text, 0.0, 100.0 * stated.of(1.0), "%")
        }
        Some(stated) => part("gauge scale", &stated.text, 0.0, stated.of(0.0) / 1e5, "bar"),
        None => part("gauge scale", "", 0.0, 0.0, "bar"),
    }];
    for one in parts {
        let name =
            if one.name.is_empty() { "volume".to_owned() } else { format!("volume, {}", one.name) };
        let (text, u) = statement(one.doubt.as_ref(), one.volume);
        inputs.push(part(&name, &text, 1e3 * one.volume, 1e3 * u, "L"));
    }
    for term in terms {
        inputs.extend(of_term(parts, term, barometer.as_ref(), temperature.as_ref()));
    }
    let sum = |values: &[f64]| {
        let mut values = values.iter().copied();
        let mut next = || values.next().unwrap_or(0.0);
        let scale = next();
        let volumes: Vec<f64> = parts.iter().map(|_| next() / 1e3).collect();
        let mut sum = 0.0;
        for term in terms {
            let shown = base(term.state.readings.instrument());
            let by_scale = if relative { scale / 100.0 * shown } else { scale * 1e5 };
            let pressure = term.state.pressure.pascals() + by_scale + 1e5 * (next() + next());
            for volume in &volumes {
                let state = State {
                    pressure: AbsolutePressure::from_pascals(pressure),
                    temperature: Temperature::from_kelvins(next()),
                };
                let density = gas.equation().density(state).kilograms_per_cubic_metre();
                sum += term.sign * volume * density;
            }
        }
        sum
    };
    let mut budget = first_order(&inputs, "kg", sum);
    budget.lines.retain(|line| line.standard_uncertainty != "0");
    Some(budget)
}

fn part(source: &str, statement: &str, value: f64, standard: f64, unit: &'static str) -> Part {
    Part { source: source.to_owned(), statement: statement.to_owned(), value, standard, unit }
}

fn statement(stated: Option<&Stated>, value: f64) -> (String, f64) {
    stated.map_or_else(|| (String::new(), 0.0), |stated| (stated.text.clone(), stated.of(value)))
}

/// Display step, barometer and temperatures of one state, as parts of the budget.
fn of_term(
    parts: &[ReadPart],
    term: &Counted<'_>,
    barometer: Option<&Stated>,
    temperature: Option<&Stated>,
) -> Vec<Part> {
    let named = |name: &str| {
        if term.when.is_empty() { name.to_owned() } else { format!("{name}, {}", term.when) }
    };
    let display = crate::state::last_digit(term.state.readings.instrument()) / 1e5;
    let text = format!("step {} bar (/√12)", significant(display, 3));
    let standard = StandardUncertainty::resolution(display).value();
    let mut out = vec![part(&named("gauge display"), &text, 0.0, standard, "bar")];
    let air = match &term.state.readings {
        PressureReadings::Gauge { barometer: shown, .. } => statement(barometer, base(shown)),
        PressureReadings::Absolute(_) => (String::new(), 0.0),
    };
    out.push(part(&named("barometer"), &air.0, 0.0, air.1 / 1e5, "bar"));
    for (one, (kelvins, _)) in parts.iter().zip(&term.state.temperatures) {
        let name = if one.name.is_empty() {
            named("gas temperature")
        } else {
            named(&format!("gas temperature, {}", one.name))
        };
        let (text, u) = statement(temperature, kelvins.kelvins());
        out.push(part(&name, &text, kelvins.kelvins(), u, "K"));
    }
    out
}

/// What a doubt leaves out because nothing is stated about it; empty when it is whole.
fn unstated(
    parts: &[ReadPart],
    terms: &[Counted<'_>],
    instruments: &Instruments,
) -> Vec<&'static str> {
    let gauge = |term: &Counted<'_>| matches!(term.state.readings, PressureReadings::Gauge { .. });
    let mut names = Vec::new();
    if instruments.gauge.is_none() {
        names.push("gauge");
    }
    if instruments.barometer.is_none() && terms.iter().any(gauge) {
        names.push("barometer");
    }
    if instruments.temperature.is_none() {
        names.push("gas temperature");
    }
    if parts.iter().any(|part| part.doubt.is_none()) {
        names.push("volume");
    }
    names
}

/// The warning that a doubt leaves something out; none when it is whole.
pub(crate) fn incomplete(
    parts: &[ReadPart],
    terms: &[Counted<'_>],
    instruments: &Instruments,
) -> Option<Flag> {
    let names = unstated(parts, terms, instruments);
    (!names.is_empty()).then(|| Flag {
        code: "doubt_incomplete".to_owned(),
        sentence: format!(
            "Nothing is stated about {}; the uncertainty shown does not contain it.",
            names.join(", ")
        ),
    })
}
