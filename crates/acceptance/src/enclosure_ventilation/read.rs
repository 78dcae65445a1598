//! From texts to an enclosure.

use quantity::{
    AbsolutePressure, Dimension, Duration, MassFlow, Ratio, Temperature, Volume, VolumeFlow,
};

use super::course::Course;
use super::input::{Input, LimitStatus};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::gas::MOLAR_GAS_CONSTANT;
use crate::limit::{self, ReadLimit, Side};
use crate::state::AIR_PRESSURE;
use crate::{Line, Refusal};

/// A level that is asked after.
#[derive(Debug, Clone)]
pub(super) struct Level {
    pub(super) name: String,
    /// As a share of the flammable limit.
    pub(super) share: f64,
    /// Whether a detector acts at it.
    pub(super) alarm: bool,
    /// Whether it is a limit, for which the ventilation needed is worked out.
    pub(super) bound: bool,
}

/// What is stated about the inputs.
#[derive(Debug, Default)]
pub(super) struct Doubts {
    pub(super) release: Option<Stated>,
    pub(super) ventilation: Option<Stated>,
    pub(super) volume: Option<Stated>,
}

/// An enclosure, read.
#[derive(Debug)]
pub(super) struct Enclosure {
    pub(super) course: Course,
    /// How the flows follow from what was typed.
    pub(super) lines: Vec<Line>,
    /// Lower flammable limit as a fraction.
    pub(super) flammable: f64,
    pub(super) flammable_text: String,
    pub(super) status: LimitStatus,
    pub(super) flammable_source: Option<String>,
    /// In their order of size, the flammable limit itself last.
    pub(super) levels: Vec<Level>,
    pub(super) at: Option<f64>,
    pub(super) delay: Option<f64>,
    pub(super) limit: Option<ReadLimit<Ratio>>,
    pub(super) doubt: Doubts,
}

const VOLUME: Place = between("volume", "volume of air", &[Dimension::Volume], (0, 100_000, "m³"));
const AIR: Place =
    between("ventilation", "fresh air", &[Dimension::VolumeFlow], (0, 1_000_000, "m³/h"));
const RELEASE: Place =
    between("release", "release", &[Dimension::VolumeFlow], (0, 100_000, "m³/h"));
const MASS: Place = between("release_mass", "release", &[Dimension::MassFlow], (0, 10_000, "kg/h"));
const TEMPERATURE: Place = between(
    "ambient_temperature",
    "temperature of the air",
    &[Dimension::Temperature],
    (-60, 80, "°C"),
);
const BAROMETER: Place =
    between("barometer", "pressure of the air", &[Dimension::AbsolutePressure], AIR_PRESSURE);
const MIXING: Place = free("mixing_factor", "mixing factor f", &[Dimension::Ratio]);
const CHANGES: Place = free("air_changes", "air changes per hour", &[Dimension::Ratio]);
const START: Place =
    between("start_fraction", "fraction at the beginning", &[Dimension::Ratio], (0, 100, "%"));
const LASTS: Place =
    free("release_duration", "time that the release lasts", &[Dimension::Duration]);
const AT: Place = free("at", "time for which the fraction is wanted", &[Dimension::Duration]);
const DELAY: Place =
    between("detector_delay", "delay of the detector", &[Dimension::Duration], (0, 3600, "s"));
/// No gas has a lower flammable limit beyond this in air.
const FLAMMABLE: Place =
    between("value", "lower flammable limit", &[Dimension::Ratio], (0, 30, "%"));
const LEVEL: Place =
    between("level", "level as a share of the flammable limit", &[Dimension::Ratio], (0, 100, "%"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Enclosure>, Refusal> {
    let volume = form.take::<Volume>(&VOLUME, input.volume.as_deref())?.map(Volume::cubic_metres);
    form.above_zero(&VOLUME, volume)?;
    let mut lines = Vec::new();
    let air = air(form, input, volume, &mut lines)?;
    let release = release(form, input, &mut lines)?;
    let mixing = form.take::<Ratio>(&MIXING, input.mixing_factor.as_deref())?.map(Ratio::fraction);
    if mixing.is_some_and(|f| !(1.0..=20.0).contains(&f)) {
        return Err(form.refuse(
            "out_of_range",
            "mixing_factor",
            "The mixing factor f is 1 or more; it is how many times more gas stands at the worst \
             place than on the mean.",
            "Take 1 for air that is stirred through, up to 5 where much hangs in the way.",
        ));
    }
    let start = form.may::<Ratio>(&START, input.start_fraction.as_deref())?.map(Ratio::fraction);
    let mut time = |place: &Place, text: &Option<String>| {
        let time = form.may::<Duration>(place, text.as_deref())?.map(Duration::seconds);
        form.above_zero(place, time)?;
        Ok::<_, Refusal>(time)
    };
    let stops = time(&LASTS, &input.release_duration)?;
    let at = time(&AT, &input.at)?;
    let delay =
        form.may::<Duration>(&DELAY, input.detector_delay.as_deref())?.map(Duration::seconds);
    if delay.is_none() && !input.alarms.is_empty() {
        form.miss(DELAY.field, DELAY.meaning);
    }
    let flammable = flammable(form, input)?;
    let meaning = "largest share of the flammable limit accepted";
    let stated = input.limit.as_ref();
    let limit = limit::read::<Ratio>(form, "limit", meaning, Side::AtMost, stated)?;
    let levels = levels(form, input, limit.as_ref())?;
    let doubt = doubts(form, input)?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let (Some(volume), Some(air), Some(release), Some(mixing), Some((flammable, text, status))) =
        (volume, air, release, mixing, flammable)
    else {
        return Ok(None);
    };
    Ok(Some(Enclosure {
        course: Course { volume, air, release, mixing, start: start.unwrap_or(0.0), stops },
        lines,
        flammable,
        flammable_text: text,
        status,
        flammable_source: input.flammable_limit.as_ref().and_then(|limit| limit.source.clone()),
        levels,
        at,
        delay,
        limit,
        doubt,
    }))
}

/// Fresh air in m³/s.
fn air(
    form: &mut Form,
    input: &Input,
    volume: Option<f64>,
    lines: &mut Vec<Line>,
) -> Result<Option<f64>, Refusal> {
    match (&input.ventilation, &input.air_changes) {
        (Some(_), Some(_)) => Err(form.refuse(
            "two_flows",
            "air_changes",
            "Both a flow of fresh air and air changes are given.",
            "Give the one that was measured.",
        )),
        (None, None) => {
            form.miss(
                AIR.field,
                "fresh air, as a flow or as air changes; 0 for a closed enclosure",
            );
            Ok(None)
        }
        (Some(flow), None) => {
            Ok(form.may::<VolumeFlow>(&AIR, Some(flow))?.map(VolumeFlow::cubic_metres_per_second))
        }
        (None, Some(changes)) => {
            let Some(changes) = form.may::<Ratio>(&CHANGES, Some(changes))?.map(Ratio::fraction)
            else {
                return Ok(None);
            };
            if changes.is_nan() || changes < 0.0 {
                return Err(form.refuse(
                    "out_of_range",
                    "air_changes",
                    "Air changes can't be negative.",
                    "Type for example 12.",
                ));
            }
            let flow = volume.map(|volume| changes * volume / 3600.0);
            lines.extend(flow.map(|_| {
                let value = quantity::significant(changes, 6);
                Line::new("n_h", "air changes", "as typed; Q_1 = n_h·V/3600 s", value, "1/h")
            }));
            Ok(flow)
        }
    }
}

/// Release in m³/s at the state of the air.
fn release(form: &mut Form, input: &Input, lines: &mut Vec<Line>) -> Result<Option<f64>, Refusal> {
    let flow = match (&input.release, &input.release_mass) {
        (Some(_), Some(_)) => {
            return Err(form.refuse(
                "two_flows",
                "release_mass",
                "The release is given as a volume flow and as a mass flow.",
                "Give one of them.",
            ));
        }
        (None, None) => {
            form.miss(RELEASE.field, "release, as a volume flow or as a mass flow");
            return Ok(None);
        }
        (Some(flow), None) => {
            if let Some(gas) = input.gas {
                form.show("gas", "gas", gas.name());
            }
            form.may::<VolumeFlow>(&RELEASE, Some(flow))?.map(VolumeFlow::cubic_metres_per_second)
        }
        (None, Some(mass)) => {
            let mass = form.may::<MassFlow>(&MASS, Some(mass))?;
            match input.gas {
                Some(gas) => form.show("gas", "gas", gas.name()),
                None => form.miss("gas", "gas"),
            }
            let kelvins =
                form.take::<Temperature>(&TEMPERATURE, input.ambient_temperature.as_deref())?;
            let air = form.take::<AbsolutePressure>(&BAROMETER, input.barometer.as_deref())?;
            let (Some(mass), Some(gas), Some(kelvins), Some(air)) = (mass, input.gas, kelvins, air)
            else {
                return Ok(None);
            };
            let (w, m) = (mass.kilograms_per_second(), gas.equation().molar_mass());
            let (t, p) = (kelvins.kelvins(), air.pascals());
            let line = |symbol: &str, meaning: &str, formula: &str, value: String, unit: &str| {
                Line::new(symbol, meaning, formula, value, unit)
            };
            lines.extend([
                line("W", "release", "as typed", quantity::scientific(w, 7), "kg/s"),
                line("M", "molar mass", "constant", m.to_string(), "kg/mol")
                    .sourced(gas.equation().source()),
                line(
                    "R",
                    "molar gas constant",
                    "constant",
                    MOLAR_GAS_CONSTANT.to_string(),
                    "J/(mol·K)",
                )
                .sourced("SI Brochure, 9th edition (2019), exact"),
                line(
                    "T_a",
                    "temperature of the air",
                    "in kelvin",
                    quantity::significant(t, 7),
                    "K",
                ),
                line(
                    "p_a",
                    "pressure of the air",
                    "as typed; Q_g = W·R·T_a/(M·p_a)",
                    quantity::significant(p, 8),
                    "Pa",
                ),
            ]);
            Some(w * MOLAR_GAS_CONSTANT * t / (m * p))
        }
    };
    let place = if input.release.is_some() { &RELEASE } else { &MASS };
    form.above_zero(place, flow)?;
    Ok(flow)
}

type Flammable = (f64, String, LimitStatus);

fn flammable(form: &mut Form, input: &Input) -> Result<Option<Flammable>, Refusal> {
    let Some(limit) = &input.flammable_limit else {
        form.miss("flammable_limit", "lower flammable limit with its status");
        return Ok(None);
    };
    form.within("flammable_limit", |form| {
        let value = form.take::<Ratio>(&FLAMMABLE, limit.value.as_deref())?.map(Ratio::fraction);
        form.above_zero(&FLAMMABLE, value)?;
        match limit.status {
            Some(status) => form.show("status", "how well the limit is known", status.text()),
            None => form.miss("status", "how well the limit is known"),
        }
        if let Some(source) = &limit.source {
            form.show("source", "source of the flammable limit", source);
        }
        let text = limit.value.clone().unwrap_or_default();
        Ok(value.zip(limit.status).map(|(value, status)| (value, text, status)))
    })
}

/// The levels in order of their size.
fn levels(
    form: &mut Form,
    input: &Input,
    limit: Option<&ReadLimit<Ratio>>,
) -> Result<Vec<Level>, Refusal> {
    let mut out = Vec::new();
    if let Some(limit) = limit {
        let share = limit.value.fraction();
        if share.is_nan() || share <= 0.0 || share > 1.0 {
            return Err(form.refuse(
                "out_of_range",
                "limit.value",
                "The limit is a share of the lower flammable limit, above 0 and at most 100 %.",
                "Type for example 25 % for a quarter of the flammable limit.",
            ));
        }
        out.push(Level { name: "limit".to_owned(), share, alarm: false, bound: true });
    }
    for (index, alarm) in input.alarms.iter().enumerate() {
        let name = alarm.name.clone().unwrap_or_else(|| format!("alarm {}", index + 1));
        let level = form.within(&format!("alarms[{index}]"), |form| {
            form.show("name", "level of the detector", &name);
            let level = form.take::<Ratio>(&LEVEL, alarm.level.as_deref())?.map(Ratio::fraction);
            form.above_zero(&LEVEL, level)?;
            Ok::<_, Refusal>(level)
        })?;
        out.extend(level.map(|share| Level { name, share, alarm: true, bound: false }));
    }
    let name = "lower flammable limit".to_owned();
    out.push(Level { name, share: 1.0, alarm: false, bound: true });
    out.sort_by(|one, other| one.share.total_cmp(&other.share));
    // Levels of one height are one level of several names.
    out.dedup_by(|later, first| {
        let same = (later.share - first.share).abs() < 1e-12;
        if same {
            first.name = format!("{}, {}", first.name, later.name);
            first.alarm = first.alarm || later.alarm;
            first.bound = first.bound || later.bound;
        }
        same
    });
    Ok(out)
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    let Some(given) = &input.uncertainty else { return Ok(Doubts::default()) };
    const FLOW: &[Dimension] = &[Dimension::VolumeFlow];
    const MASS_FLOW: &[Dimension] = &[Dimension::MassFlow];
    form.within("uncertainty", |form| {
        let by_mass = input.release_mass.is_some();
        let release = given.release.as_ref();
        if by_mass && release.is_some_and(|release| !release.value.trim_end().ends_with('%')) {
            return Err(form.refuse(
                "wrong_unit",
                "release",
                "With a release as a mass flow its uncertainty is in percent.",
                "Type for example 20 %.",
            ));
        }
        let flow = if by_mass { MASS_FLOW } else { FLOW };
        Ok(Doubts {
            release: stated(form, "release", "uncertainty of the release", flow, release)?,
            ventilation: stated(
                form,
                "ventilation",
                "uncertainty of the fresh air",
                FLOW,
                given.ventilation.as_ref(),
            )?,
            volume: stated(
                form,
                "volume",
                "uncertainty of the volume",
                &[Dimension::Volume],
                given.volume.as_ref(),
            )?,
        })
    })
}

impl LimitStatus {
    /// The status in words.
    pub(super) const fn text(self) -> &'static str {
        match self {
            Self::Read => "read in the source itself",
            Self::Quoted => "read as quoted elsewhere",
            Self::Remembered => "known by heart",
        }
    }
}
