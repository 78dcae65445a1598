//! The uncertainty budget: every source with its effect on the loss and on the mass lost.
//!
//! Source: JCGM 100:2008 (GUM) 5.1.2, first order, independent sources. The gauge's scale error is
//! one source that acts on both readings at once, so its two effects are added before squaring
//! (GUM 5.2.4). Repeatability, display steps, temperatures and barometer act on each reading alone.

use quantity::{Mass, Ratio, StandardUncertainty, root_sum_square};

use super::decay::Decay;
use super::input::Test;
use super::sources::Stated;
use crate::state::last_digit;
use crate::state::{PressureReadings, ReadState};

/// One source of doubt.
#[derive(Debug)]
pub(super) struct Source {
    pub(super) name: String,
    pub(super) statement: String,
    pub(super) standard: StandardUncertainty,
    pub(super) unit: Unit,
    /// Standard uncertainty of the loss (a fraction) from this source.
    pub(super) loss: StandardUncertainty,
    /// Standard uncertainty of the mass lost, in kg, from this source.
    pub(super) mass: StandardUncertainty,
}

/// The unit in which a source's standard uncertainty is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    /// Printed in bar, held in Pa.
    Pressure,
    /// Kelvin.
    Temperature,
    /// Printed in litres, held in m³.
    Volume,
    /// Printed in percent, held as a fraction.
    Relative,
}

/// The whole budget.
#[derive(Debug)]
pub(super) struct Budget {
    pub(super) sources: Vec<Source>,
    /// Of the loss over the actual time, as a fraction of the contents.
    pub(super) loss: StandardUncertainty,
    /// Of the mass lost.
    pub(super) mass: StandardUncertainty,
}

/// How loss and mass lost change with one input.
#[derive(Debug, Clone, Copy)]
struct Effect {
    loss: f64,
    mass: f64,
}

impl Effect {
    /// Both effects of one common error, the first scaled by `a`, the second by `b`.
    fn together(self, a: f64, other: Self, b: f64) -> Self {
        Self { loss: self.loss * a + other.loss * b, mass: self.mass * a + other.mass * b }
    }
}

/// The four sensitivities of a test.
struct Effects {
    p_start: Effect,
    p_end: Effect,
    t_start: Effect,
    t_end: Effect,
    volume: Effect,
}

fn effects(decay: &Decay) -> Effects {
    let (before, after, v) = (&decay.before, &decay.after, decay.volume().cubic_metres());
    let at_start = |slope: f64| Effect {
        loss: after.density / (before.density * before.density) * slope,
        mass: v * slope,
    };
    let at_end = |slope: f64| Effect { loss: -slope / before.density, mass: -v * slope };
    Effects {
        p_start: at_start(before.by_pressure),
        p_end: at_end(after.by_pressure),
        t_start: at_start(before.by_temperature),
        t_end: at_end(after.by_temperature),
        volume: Effect { loss: 0.0, mass: before.density - after.density },
    }
}

fn source(
    name: impl Into<String>,
    statement: impl Into<String>,
    standard: StandardUncertainty,
    unit: Unit,
    effect: Effect,
) -> Source {
    Source {
        name: name.into(),
        statement: statement.into(),
        standard,
        unit,
        loss: standard.through(effect.loss),
        mass: standard.through(effect.mass),
    }
}

/// Builds the budget of a test.
pub(super) fn budget(test: &Test, decay: &Decay) -> Budget {
    let effects = effects(decay);
    let mut sources = vec![scale(test, &effects)];
    for (when, state, p, t) in [
        ("start", &test.start, effects.p_start, effects.t_start),
        ("end", &test.end, effects.p_end, effects.t_end),
    ] {
        sources.extend(of_reading(test, when, state, p, t));
    }
    sources.push(volume(test, &effects));
    let loss = root_sum_square(sources.iter().map(|s| s.loss));
    let mass = root_sum_square(sources.iter().map(|s| s.mass));
    Budget { sources, loss, mass }
}

fn scale(test: &Test, effects: &Effects) -> Source {
    let stated = &test.statements.gauge_scale;
    let name = "gauge scale, common to both readings";
    if !stated.relative {
        let common = effects.p_start.together(1.0, effects.p_end, 1.0);
        return source(name, &stated.text, stated.standard, Unit::Pressure, common);
    }
    let shown =
        |state: &ReadState| f64::try_from(state.pressure.instrument().base()).unwrap_or(f64::NAN);
    let common = effects.p_start.together(shown(&test.start), effects.p_end, shown(&test.end));
    source(name, &stated.text, stated.standard, Unit::Relative, common)
}

fn of_reading(test: &Test, when: &str, state: &ReadState, p: Effect, t: Effect) -> Vec<Source> {
    let display = |name: &str, step: f64, text: String, unit: Unit, effect: Effect| {
        let standard = StandardUncertainty::resolution(step);
        source(format!("{name} display, {when}"), text, standard, unit, effect)
    };
    let stated = |name: &str, stated: &Stated, unit: Unit, effect: Effect| {
        source(format!("{name}, {when}"), &stated.text, stated.standard, unit, effect)
    };
    let mut sources = Vec::new();
    if let Some(repeatability) = test.repeatability() {
        sources.push(stated("gauge repeatability", repeatability, Unit::Pressure, p));
    }
    let gauge = test.statements.gauge_resolution.map_or_else(
        || last_digit(state.pressure.instrument()),
        quantity::PressureDifference::pascals,
    );
    let steps =
        |step: f64, unit: &str| format!("step {} {unit} (/√12)", quantity::significant(step, 3));
    sources.push(display("gauge", gauge, steps(gauge / 1e5, "bar"), Unit::Pressure, p));
    sources.push(stated("gas temperature", &test.statements.temperature, Unit::Temperature, t));
    let kelvin = last_digit(&state.temperature);
    sources.push(display("thermometer", kelvin, steps(kelvin, "K"), Unit::Temperature, t));
    if let PressureReadings::Gauge { barometer, .. } = &state.pressure {
        if let Some(statement) = &test.statements.barometer {
            sources.push(stated("barometer", statement, Unit::Pressure, p));
        }
        let pascal = last_digit(barometer);
        sources.push(display("barometer", pascal, steps(pascal / 1e5, "bar"), Unit::Pressure, p));
    }
    sources
}

fn volume(test: &Test, effects: &Effects) -> Source {
    let stated = &test.statements.volume;
    let name = "volume (acts on mass and leak, cancels in the loss)";
    if !stated.relative {
        return source(name, &stated.text, stated.standard, Unit::Volume, effects.volume);
    }
    let by_fraction = Effect { loss: 0.0, mass: effects.volume.mass * test.volume.cubic_metres() };
    source(name, &stated.text, stated.standard, Unit::Relative, by_fraction)
}

impl Budget {
    /// Expanded uncertainty (k = 2) of the loss over the actual time.
    pub(super) fn expanded_loss(&self) -> Ratio {
        Ratio::from_fraction(2.0 * self.loss.value())
    }

    /// Standard uncertainty of the mass lost.
    pub(super) fn mass_lost(&self) -> Mass {
        Mass::from_kilograms(self.mass.value())
    }

    /// The share of a source in the variance of the loss, in percent.
    pub(super) fn share(&self, source: &Source) -> f64 {
        share(source.loss, self.loss)
    }

    /// The share of a source in the variance of the mass lost, in percent.
    pub(super) fn share_of_mass(&self, source: &Source) -> f64 {
        share(source.mass, self.mass)
    }
}

fn share(part: StandardUncertainty, whole: StandardUncertainty) -> f64 {
    let (part, whole) = (part.value(), whole.value());
    if whole > 0.0 { 100.0 * part * part / (whole * whole) } else { 0.0 }
}
