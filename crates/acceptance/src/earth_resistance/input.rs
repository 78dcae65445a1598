//! What the calculation takes, and reading it.

use quantity::{Dimension, Length, Ratio, Resistance, Resistivity};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fall::Line;
use super::soil;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::{Refusal, Statement, limit, schema};

/// How the reading is taken from the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// At 61.8 % of the distance: a small electrode, with its middle at the tape's beginning.
    GoldenShare,
    /// Tagg's slope method: an extended electrode whose middle is not known.
    Slope,
}

/// How wet the soil was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SoilState {
    /// Dry.
    Dry,
    /// Moist.
    Moist,
    /// Wet, as after rain.
    Wet,
    /// Frozen.
    Frozen,
}

/// What the calculation takes: a measurement, the soil, a model, or several of them.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// What an earth tester or a clamp shows for the electrode, read once.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::resistance")]
    pub resistance: Option<String>,
    /// Or readings along a line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FallOfPotential")]
    pub fall_of_potential: Option<FallOfPotential>,
    /// Largest resistance of the electrode.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// How wet the soil was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SoilState")]
    pub soil_state: Option<SoilState>,
    /// Resistivity of the soil, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::resistivity")]
    pub resistivity: Option<String>,
    /// Or readings with four probes in line.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wenner: Vec<Spacing>,
    /// A rod to compute in that soil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rod")]
    pub rod: Option<Rod>,
    /// A hemisphere to compute in that soil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Hemisphere")]
    pub hemisphere: Option<Hemisphere>,
    /// What is stated about the instrument.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// Readings along a line from the electrode to the current probe.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FallOfPotential {
    /// Distance of the current probe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub current_distance: Option<String>,
    /// The readings; around 20, 40, 60 and 62 % of that distance at least.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Probe>,
    /// How the reading is taken from the line; there is no default.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Method")]
    pub method: Option<Method>,
    /// Largest spread allowed of the readings at 52, 62 and 72 %, of the one in the middle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub agreement: Option<String>,
}

/// A reading of the line.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Probe {
    /// Distance of the potential probe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub distance: Option<String>,
    /// What the tester shows there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::resistance")]
    pub resistance: Option<String>,
}

/// A reading with four probes in line, evenly spaced.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spacing {
    /// From a probe to the next.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub spacing: Option<String>,
    /// What the tester shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::resistance")]
    pub resistance: Option<String>,
    /// How deep the probes are; left out where that is below a twentieth of the spacing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub depth: Option<String>,
}

/// A rod driven in from the surface.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rod {
    /// Length in the soil.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub length: Option<String>,
    /// Diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub diameter: Option<String>,
}

/// A hemisphere, as a stand-in for a compact electrode.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hemisphere {
    /// Radius.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub radius: Option<String>,
}

/// What is stated about the instrument.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the earth tester.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub resistance: Option<Statement>,
}

/// A line of readings, read.
#[derive(Debug)]
pub(super) struct Fall {
    /// Distance of the current probe in m; none where only the model's curve is wanted.
    pub(super) current: f64,
    pub(super) line: Line,
    pub(super) method: Option<Method>,
    pub(super) agreement: Option<f64>,
}

/// A Wenner reading in m and Ω, with its resistivity in Ω·m.
#[derive(Debug)]
pub(super) struct Sounding {
    pub(super) spacing: f64,
    pub(super) depth: Option<f64>,
    pub(super) ohms: f64,
    pub(super) resistivity: f64,
}

/// What was read; SI units.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) direct: Option<f64>,
    pub(super) fall: Option<Fall>,
    pub(super) limit: Option<ReadLimit<Resistance>>,
    pub(super) soil_state: Option<SoilState>,
    pub(super) stated: Option<f64>,
    pub(super) soundings: Vec<Sounding>,
    /// Length and radius.
    pub(super) rod: Option<(f64, f64)>,
    /// Radius.
    pub(super) hemisphere: Option<f64>,
    pub(super) doubt: Option<Stated>,
}

const OHMS: &[Dimension] = &[Dimension::Resistance];
const LENGTH: &[Dimension] = &[Dimension::Length];
const R: (i64, i64, &str) = (0, 100_000, "Ω");
const DIRECT: Place = between("resistance", "resistance of the electrode", OHMS, R);
const CURRENT: Place =
    between("current_distance", "distance of the current probe", LENGTH, (0, 5000, "m"));
const DISTANCE: Place =
    between("distance", "distance of the potential probe", LENGTH, (0, 5000, "m"));
const AT_PROBE: Place = between("resistance", "resistance read there", OHMS, R);
const AGREEMENT: Place = free("agreement", "allowed spread", &[Dimension::Ratio]);
const SPACING: Place = between("spacing", "spacing of the probes", LENGTH, (0, 500, "m"));
const DEPTH: Place = between("depth", "depth of the probes", LENGTH, (0, 50, "m"));
const SOIL: Place = free("resistivity", "resistivity of the soil", &[Dimension::Resistivity]);
const ROD_LENGTH: Place = between("length", "length of the rod", LENGTH, (0, 200, "m"));
const DIAMETER: Place = between("diameter", "diameter of the rod", LENGTH, (0, 1000, "mm"));
const RADIUS: Place = between("radius", "radius of the hemisphere", LENGTH, (0, 100, "m"));

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let direct = form.may_above_zero::<Resistance>(&DIRECT, input.resistance.as_deref())?;
    let fall = match &input.fall_of_potential {
        Some(fall) => form.within("fall_of_potential", |form| read_fall(form, fall, input))?,
        None => None,
    };
    let limit =
        limit::read(form, "limit", "largest resistance", Side::AtMost, input.limit.as_ref())?;
    if let Some(state) = input.soil_state {
        form.show("soil_state", "state of the soil", state_name(state));
    }
    let stated_soil = form.may_above_zero::<Resistivity>(&SOIL, input.resistivity.as_deref())?;
    let soundings = soundings(form, &input.wenner)?;
    let rod = match &input.rod {
        Some(rod) => form.within("rod", |form| read_rod(form, rod))?,
        None => None,
    };
    let hemisphere = match &input.hemisphere {
        Some(h) => form.within("hemisphere", |form| {
            form.take_above_zero::<Length>(&RADIUS, h.radius.as_deref())
        })?,
        None => None,
    };
    if input.resistivity.is_some() && !input.wenner.is_empty() {
        return Err(form.refuse(
            "two_soils",
            SOIL.field,
            "The soil is given by its resistivity and by readings.",
            "Give one of them.",
        ));
    }
    let models = input.rod.is_some() || input.hemisphere.is_some();
    let soil = input.resistivity.is_some() || !input.wenner.is_empty();
    if models && !soil {
        form.miss(SOIL.field, SOIL.meaning);
    }
    let readings = input.fall_of_potential.as_ref().is_some_and(|fall| !fall.readings.is_empty());
    if direct.is_some() && readings {
        return Err(form.refuse(
            "two_measurements",
            DIRECT.field,
            "The electrode is given by one reading and by a line of readings.",
            "Judge each in a sheet of its own.",
        ));
    }
    let nothing = direct.is_none() && input.fall_of_potential.is_none();
    if nothing && (input.limit.is_some() || !soil) {
        form.miss(DIRECT.field, DIRECT.meaning);
    }
    let doubt = stated(
        form,
        "uncertainty.resistance",
        "uncertainty of the resistance",
        OHMS,
        input.uncertainty.resistance.as_ref(),
    )?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Survey {
        direct,
        fall,
        limit,
        soil_state: input.soil_state,
        stated: stated_soil,
        soundings,
        rod,
        hemisphere,
        doubt,
    }))
}

const fn state_name(state: SoilState) -> &'static str {
    match state {
        SoilState::Dry => "dry",
        SoilState::Moist => "moist",
        SoilState::Wet => "wet",
        SoilState::Frozen => "frozen",
    }
}

fn read_fall(
    form: &mut Form,
    fall: &FallOfPotential,
    all: &Input,
) -> Result<Option<Fall>, Refusal> {
    let current = form.take_above_zero::<Length>(&CURRENT, fall.current_distance.as_deref())?;
    let mut points = Vec::new();
    for (number, probe) in fall.readings.iter().enumerate() {
        let point = form.within(&format!("readings[{number}]"), |form| {
            let x = form.take_above_zero::<Length>(&DISTANCE, probe.distance.as_deref())?;
            let r = form.take_above_zero::<Resistance>(&AT_PROBE, probe.resistance.as_deref())?;
            if let Some((x, c)) = x.zip(current)
                && x >= c
            {
                return Err(form.refuse(
                    "beyond_the_current_probe",
                    DISTANCE.field,
                    "The potential probe is not between the electrode and the current probe.",
                    "Check the distances: both are measured from the electrode, along one line.",
                ));
            }
            Ok(x.zip(r).zip(current).map(|((x, r), c)| (x / c, r)))
        })?;
        points.extend(point);
    }
    points.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    if points.windows(2).any(|pair| matches!(pair, [(a, _), (b, _)] if (b - a).abs() < 1e-9)) {
        return Err(form.refuse(
            "distance_twice",
            "readings",
            "Two readings have the same distance.",
            "Give each distance once.",
        ));
    }
    if let Some(method) = fall.method {
        let word = match method {
            Method::GoldenShare => "at 61.8 %",
            Method::Slope => "slope method",
        };
        form.show("method", "how the reading is taken from the line", word);
    }
    let curve_alone = fall.readings.is_empty() && all.hemisphere.is_some() && all.limit.is_none();
    if !curve_alone {
        if fall.readings.is_empty() {
            form.miss("readings", "readings along the line");
        }
        if fall.method.is_none() {
            form.miss("method", "how the reading is taken from the line");
        }
    }
    let agreement = form.may::<Ratio>(&AGREEMENT, fall.agreement.as_deref())?.map(Ratio::fraction);
    Ok(current.map(|current| Fall {
        current,
        line: Line { points },
        method: fall.method,
        agreement,
    }))
}

fn soundings(form: &mut Form, wenner: &[Spacing]) -> Result<Vec<Sounding>, Refusal> {
    let mut out = Vec::new();
    for (number, reading) in wenner.iter().enumerate() {
        let sounding = form.within(&format!("wenner[{number}]"), |form| {
            let a = form.take_above_zero::<Length>(&SPACING, reading.spacing.as_deref())?;
            let r = form.take_above_zero::<Resistance>(&AT_PROBE, reading.resistance.as_deref())?;
            let depth = form.may_above_zero::<Length>(&DEPTH, reading.depth.as_deref())?;
            Ok::<_, Refusal>(a.zip(r).map(|(spacing, ohms)| Sounding {
                spacing,
                depth,
                ohms,
                resistivity: soil::wenner(spacing, depth, ohms),
            }))
        })?;
        out.extend(sounding);
    }
    Ok(out)
}

fn read_rod(form: &mut Form, rod: &Rod) -> Result<Option<(f64, f64)>, Refusal> {
    let length = form.take_above_zero::<Length>(&ROD_LENGTH, rod.length.as_deref())?;
    let diameter = form.take_above_zero::<Length>(&DIAMETER, rod.diameter.as_deref())?;
    match length.zip(diameter) {
        Some((length, diameter)) if length < 5.0 * diameter => Err(form.refuse(
            "no_rod",
            ROD_LENGTH.field,
            "The rod is not much longer than it is thick: the formula is for slender rods.",
            "Check length and diameter and their units.",
        )),
        both => Ok(both.map(|(length, diameter)| (length, 0.5 * diameter))),
    }
}
