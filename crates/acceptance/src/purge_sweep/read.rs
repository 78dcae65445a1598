//! From texts to a sweep.

use quantity::{AbsolutePressure, Dimension, Duration, Ratio, Temperature, Volume, VolumeFlow};

use super::input::{FlowState, Input, Line};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{self, ReadLimit, Side};

/// A sweep, read; SI units, fractions by volume.
#[derive(Debug)]
pub(super) struct Sweep {
    pub(super) volume: f64,
    pub(super) dead_ends: bool,
    /// As typed.
    pub(super) flow: f64,
    /// States of the flow and inside: pressure and temperature of each.
    pub(super) states: Option<[(f64, f64); 2]>,
    pub(super) time: Option<f64>,
    /// K.
    pub(super) mixing: f64,
    pub(super) start: f64,
    pub(super) supply: f64,
    pub(super) measured: Option<f64>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) doubt: Doubts,
}

/// What is stated about the inputs.
#[derive(Debug, Default)]
pub(super) struct Doubts {
    pub(super) flow: Option<Stated>,
    pub(super) volume: Option<Stated>,
    pub(super) mixing: Option<Stated>,
    pub(super) analyser: Option<Stated>,
}

impl Sweep {
    /// The flow at the state inside.
    pub(super) fn inside(&self) -> f64 {
        self.states.map_or(self.flow, |[(p_r, t_r), (p, t)]| self.flow * p_r / p * t / t_r)
    }

    /// What is left after a time.
    pub(super) fn left(&self, time: f64) -> f64 {
        let changes = self.inside() * time / (self.mixing * self.volume);
        self.supply + (self.start - self.supply) * libm::exp(-changes)
    }

    /// Volumes that bring the fraction to a level; none where the purge gas holds more.
    pub(super) fn volumes(&self, level: f64) -> Option<f64> {
        if level >= self.start {
            return Some(0.0);
        }
        (level > self.supply)
            .then(|| self.mixing * libm::log((self.start - self.supply) / (level - self.supply)))
    }
}

const VOLUME: Place =
    between("volume", "volume that is swept", &[Dimension::Volume], (0, 10_000, "m³"));
const FLOW: Place =
    between("flow", "flow of the purge gas", &[Dimension::VolumeFlow], (0, 100_000, "m³/h"));
const TIME: Place = free("time", "time of the sweep", &[Dimension::Duration]);
const MIXING: Place = free("mixing_factor", "mixing factor K", &[Dimension::Ratio]);
const START: Place =
    between("start_fraction", "fraction before the sweep", &[Dimension::Ratio], (0, 100, "%"));
const SUPPLY: Place =
    between("supply_fraction", "fraction in the purge gas", &[Dimension::Ratio], (0, 10, "%"));
const MEASURED: Place =
    between("measured", "content measured after the sweep", &[Dimension::Ratio], (0, 100, "%"));
const PRESSURE: Place = between(
    "absolute_pressure",
    "absolute pressure",
    &[Dimension::AbsolutePressure],
    (0, 300, "bar(a)"),
);
const TEMPERATURE: Place =
    between("temperature", "temperature", &[Dimension::Temperature], (-60, 130, "°C"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Sweep>, Refusal> {
    let volume = form.take_above_zero::<Volume>(&VOLUME, input.volume.as_deref())?;
    match input.line {
        Some(line) => form.show("line", "what is swept", line.text()),
        None => form.miss("line", "whether there are dead ends"),
    }
    let flow = form.take_above_zero::<VolumeFlow>(&FLOW, input.flow.as_deref())?;
    let states = states(form, input)?;
    let time = form.may_above_zero::<Duration>(&TIME, input.time.as_deref())?;
    let mixing = form.take_above_zero::<Ratio>(&MIXING, input.mixing_factor.as_deref())?;
    if mixing.is_some_and(|k| !(1.0..=10.0).contains(&k)) {
        return Err(form.refuse(
            "out_of_range",
            "mixing_factor",
            "The mixing factor K lies between 1, stirred through, and 10.",
            "It multiplies the volumes needed; some texts give its inverse, 0.1 to 1.",
        ));
    }
    let start = form.take::<Ratio>(&START, input.start_fraction.as_deref())?.map(Ratio::fraction);
    let supply = form.may::<Ratio>(&SUPPLY, input.supply_fraction.as_deref())?;
    let supply = supply.map_or(0.0, Ratio::fraction);
    if start.is_some_and(|start| start <= supply) {
        return Err(form.refuse(
            "nothing_driven_out",
            "supply_fraction",
            "The purge gas holds as much of what it has to drive out as is there, or more.",
            "Check both fractions, and that the right gas is at the inlet.",
        ));
    }
    let measured = form.may::<Ratio>(&MEASURED, input.measured.as_deref())?.map(Ratio::fraction);
    let meaning = "largest fraction left accepted";
    let limit = input.limit.as_ref();
    let limit = limit::read::<Ratio>(form, "limit", meaning, Side::AtMost, limit)?;
    let doubt = doubts(form, input)?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let (Some(volume), Some(line), Some(flow), Some(mixing), Some(start)) =
        (volume, input.line, flow, mixing, start)
    else {
        return Ok(None);
    };
    let dead_ends = line == Line::DeadEnds;
    Ok(Some(Sweep {
        volume,
        dead_ends,
        flow,
        states,
        time,
        mixing,
        start,
        supply,
        measured,
        limit,
        doubt,
    }))
}

/// Pressure and temperature of the flow and inside; both or neither.
fn states(form: &mut Form, input: &Input) -> Result<Option<[(f64, f64); 2]>, Refusal> {
    if input.flow_state.is_none() && input.inside.is_none() {
        return Ok(None);
    }
    let none = FlowState::default();
    let mut one = |part: &str, state: &Option<FlowState>| {
        let state = state.as_ref().unwrap_or(&none);
        form.within(part, |form| {
            let pressure = state.absolute_pressure.as_deref();
            let pressure = form.take_above_zero::<AbsolutePressure>(&PRESSURE, pressure)?;
            let temperature = state.temperature.as_deref();
            let temperature = form.take::<Temperature>(&TEMPERATURE, temperature)?;
            Ok::<_, Refusal>(pressure.zip(temperature.map(Temperature::kelvins)))
        })
    };
    let flow = one("flow_state", &input.flow_state)?;
    let inside = one("inside", &input.inside)?;
    Ok(flow.zip(inside).map(|(flow, inside)| [flow, inside]))
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    const RATIO: &[Dimension] = &[Dimension::Ratio];
    let Some(given) = &input.uncertainty else { return Ok(Doubts::default()) };
    form.within("uncertainty", |form| {
        Ok(Doubts {
            flow: stated(
                form,
                "flow",
                "uncertainty of the flow",
                &[Dimension::VolumeFlow],
                given.flow.as_ref(),
            )?,
            volume: stated(
                form,
                "volume",
                "uncertainty of the volume",
                &[Dimension::Volume],
                given.volume.as_ref(),
            )?,
            mixing: stated(
                form,
                "mixing_factor",
                "uncertainty of the mixing factor",
                RATIO,
                given.mixing_factor.as_ref(),
            )?,
            analyser: stated(
                form,
                "analyser",
                "uncertainty of the analyser",
                RATIO,
                given.analyser.as_ref(),
            )?,
        })
    })
}

impl Line {
    /// What is swept, in words.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::Through => "swept through, in at one end and out at the other",
            Self::DeadEnds => "dead ends",
        }
    }
}
