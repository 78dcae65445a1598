//! From texts to a release.

use core::f64::consts::PI;

use quantity::{
    AbsolutePressure, Area, Dimension, GaugePressure, Length, Reading, Temperature, Volume,
    VolumeFlow,
};

use super::flow::{Opening, heat_capacity_ratio};
use super::input::Input;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::state::{AIR_PRESSURE, value};
use crate::{Gas, Refusal};

/// A release, read.
#[derive(Debug)]
pub(super) struct Release {
    pub(super) gas: Gas,
    pub(super) opening: Opening,
    /// Diameter in m, where the opening has one.
    pub(super) diameter: Option<f64>,
    /// Source of γ, where it was not typed.
    pub(super) ratio_source: Option<&'static str>,
    /// Pressure inside in Pa, absolute.
    pub(super) pressure: f64,
    /// How it was read.
    pub(super) pressure_formula: String,
    /// Temperature inside in K.
    pub(super) kelvins: f64,
    /// Temperature of the air in K.
    pub(super) air_kelvins: f64,
    /// Volume in m³ and absolute pressure at the end in Pa.
    pub(super) emptied: Option<(f64, f64)>,
    pub(super) limit: Option<ReadLimit<VolumeFlow>>,
    pub(super) doubt: Doubts,
}

/// What is stated about the inputs.
#[derive(Debug, Default)]
pub(super) struct Doubts {
    pub(super) pressure: Option<Stated>,
    pub(super) temperature: Option<Stated>,
    pub(super) hole: Option<Stated>,
    pub(super) coefficient: Option<Stated>,
}

const GAUGE: Place =
    between("gauge_pressure", "pressure inside", &[Dimension::GaugePressure], (0, 700, "bar(g)"));
const ABSOLUTE: Place = between(
    "absolute_pressure",
    "pressure inside",
    &[Dimension::AbsolutePressure],
    (0, 700, "bar(a)"),
);
const BAROMETER: Place =
    between("barometer", "pressure of the air", &[Dimension::AbsolutePressure], AIR_PRESSURE);
const TEMPERATURE: Place =
    between("temperature", "temperature inside", &[Dimension::Temperature], (-60, 130, "°C"));
const AMBIENT: Place = between(
    "ambient_temperature",
    "temperature of the air",
    &[Dimension::Temperature],
    (-60, 60, "°C"),
);
/// An opening beyond this is no leak and empties what is before it first.
const AREA: Place =
    between("hole_area", "area of the opening", &[Dimension::Area], (0, 500, "mm²"));
const DIAMETER: Place =
    between("hole_diameter", "diameter of the opening", &[Dimension::Length], (0, 25, "mm"));
const VOLUME: Place =
    between("volume", "volume that empties", &[Dimension::Volume], (0, 10_000, "L"));
const FINAL: Place = between(
    "final_pressure",
    "pressure at the end of the emptying",
    &[Dimension::GaugePressure],
    (0, 700, "bar(g)"),
);

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Release>, Refusal> {
    match input.gas {
        Some(gas) => form.show("gas", "gas", gas.name()),
        None => form.miss("gas", "gas"),
    }
    let air = form.needed(&BAROMETER, input.barometer.as_deref())?;
    let inside = inside(form, input, air.as_ref())?;
    let kelvins = form.take::<Temperature>(&TEMPERATURE, input.temperature.as_deref())?;
    let air_kelvins = form.take::<Temperature>(&AMBIENT, input.ambient_temperature.as_deref())?;
    let hole = hole(form, input)?;
    let coefficient = coefficient(form, input)?;
    let ratio = number(form, "heat_capacity_ratio", "γ", input.heat_capacity_ratio.as_deref())?;
    if ratio.is_some_and(|ratio| !(ratio > 1.0 && ratio < 1.7)) {
        return Err(form.refuse(
            "out_of_range",
            "heat_capacity_ratio",
            "A ratio of heat capacities lies between 1 and 5/3.",
            "Leave it out to have that of the gas.",
        ));
    }
    let volume = form.may::<Volume>(&VOLUME, input.volume.as_deref())?;
    let end = form.may::<GaugePressure>(&FINAL, input.final_pressure.as_deref())?;
    match (volume, end) {
        (Some(_), None) => form.miss(FINAL.field, FINAL.meaning),
        (None, Some(_)) => form.miss(VOLUME.field, VOLUME.meaning),
        _ => {}
    }
    let meaning = "largest volume flow accepted";
    let stated = input.limit.as_ref();
    let limit = limit::read::<VolumeFlow>(form, "limit", meaning, Side::AtMost, stated)?;
    let doubt = doubts(form, input)?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let (Some(gas), Some(air), Some((pressure, pressure_formula))) = (input.gas, air, inside)
    else {
        return Ok(None);
    };
    let (Some(kelvins), Some(air_kelvins), Some((area, diameter)), Some(coefficient)) =
        (kelvins, air_kelvins, hole, coefficient)
    else {
        return Ok(None);
    };
    let air = value::<AbsolutePressure>(form, &BAROMETER, &air)?.pascals();
    let (usual, source) = heat_capacity_ratio(gas);
    let opening = Opening {
        molar_mass: gas.equation().molar_mass(),
        ratio: ratio.unwrap_or(usual),
        coefficient,
        area,
        air,
    };
    let emptied = volume.map(Volume::cubic_metres).zip(end.map(|end| end.pascals() + air));
    check(form, pressure, air, emptied)?;
    Ok(Some(Release {
        gas,
        opening,
        diameter,
        ratio_source: ratio.is_none().then_some(source),
        pressure,
        pressure_formula,
        kelvins: kelvins.kelvins(),
        air_kelvins: air_kelvins.kelvins(),
        emptied,
        limit,
        doubt,
    }))
}

/// Refuses pressures that let nothing out.
fn check(form: &Form, pressure: f64, air: f64, emptied: Option<(f64, f64)>) -> Result<(), Refusal> {
    if pressure.is_nan() || pressure <= air {
        return Err(form.refuse(
            "no_release",
            "gauge_pressure",
            "The pressure inside is not above that of the air, so nothing goes out.",
            "Check both readings; an absolute pressure belongs into absolute_pressure.",
        ));
    }
    let Some((volume, end)) = emptied else { return Ok(()) };
    if volume.is_nan() || volume <= 0.0 {
        return Err(form.refuse(
            "out_of_range",
            "volume",
            "The volume is not more than zero.",
            "Give the volume that empties.",
        ));
    }
    if end.is_nan() || end >= pressure {
        return Err(form.refuse(
            "not_lowered",
            "final_pressure",
            "The pressure at the end is not below the one inside.",
            "Type the gauge pressure down to which it empties; 0 for even with the air.",
        ));
    }
    Ok(())
}

type Inside = (f64, String);

/// The absolute pressure inside, and how it was read.
fn inside(
    form: &mut Form,
    input: &Input,
    air: Option<&Reading>,
) -> Result<Option<Inside>, Refusal> {
    match (&input.gauge_pressure, &input.absolute_pressure) {
        (Some(_), Some(_)) => Err(form.refuse(
            "two_pressures",
            "absolute_pressure",
            "Both a gauge and an absolute pressure are given.",
            "Give the one that was read.",
        )),
        (None, None) => {
            form.miss(GAUGE.field, GAUGE.meaning);
            Ok(None)
        }
        (Some(text), None) => {
            let Some(gauge) = form.optional(&GAUGE, Some(text))? else { return Ok(None) };
            let pascals = value::<GaugePressure>(form, &GAUGE, &gauge)?;
            let Some(air) = air else { return Ok(None) };
            let sum = pascals + value::<AbsolutePressure>(form, &BAROMETER, air)?;
            Ok(Some((sum.pascals(), format!("p₀ = p_g + p_a = {gauge} + {air}"))))
        }
        (None, Some(text)) => {
            let Some(reading) = form.optional(&ABSOLUTE, Some(text))? else { return Ok(None) };
            let pascals = value::<AbsolutePressure>(form, &ABSOLUTE, &reading)?.pascals();
            Ok(Some((pascals, format!("p₀ = {reading}"))))
        }
    }
}

/// Area in m², and diameter in m where that was given.
fn hole(form: &mut Form, input: &Input) -> Result<Option<(f64, Option<f64>)>, Refusal> {
    let read = match (&input.hole_area, &input.hole_diameter) {
        (Some(_), Some(_)) => {
            return Err(form.refuse(
                "two_openings",
                "hole_diameter",
                "Both an area and a diameter are given.",
                "Give the area, or the diameter of a round opening.",
            ));
        }
        (None, None) => {
            form.miss(AREA.field, "area of the opening, or its diameter");
            return Ok(None);
        }
        (Some(area), None) => {
            form.may::<Area>(&AREA, Some(area))?.map(|area| (area.square_metres(), None))
        }
        (None, Some(diameter)) => form.may::<Length>(&DIAMETER, Some(diameter))?.map(|diameter| {
            let d = diameter.metres();
            (PI * d * d / 4.0, Some(d))
        }),
    };
    if read.is_some_and(|(area, _)| area.is_nan() || area <= 0.0) {
        let field = if input.hole_area.is_some() { "hole_area" } else { "hole_diameter" };
        return Err(form.refuse(
            "out_of_range",
            field,
            "The opening is not more than zero.",
            "Type its size with the unit, such as 0.25 mm².",
        ));
    }
    Ok(read)
}

fn number(
    form: &mut Form,
    field: &'static str,
    meaning: &'static str,
    text: Option<&str>,
) -> Result<Option<f64>, Refusal> {
    let place = crate::form::free(field, meaning, &[Dimension::Ratio]);
    Ok(form.may::<quantity::Ratio>(&place, text)?.map(quantity::Ratio::fraction))
}

fn coefficient(form: &mut Form, input: &Input) -> Result<Option<f64>, Refusal> {
    let (field, meaning) = ("discharge_coefficient", "discharge coefficient");
    let Some(coefficient) = number(form, field, meaning, input.discharge_coefficient.as_deref())?
    else {
        form.miss(field, meaning);
        return Ok(None);
    };
    if coefficient > 0.0 && coefficient <= 1.0 {
        return Ok(Some(coefficient));
    }
    Err(form.refuse(
        "out_of_range",
        field,
        "A discharge coefficient lies above 0 and is at most 1.",
        "Take 0.75 for a sharp opening, 0.95 for a rounded one, or 1 for the worst.",
    ))
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    let Some(given) = &input.uncertainty else { return Ok(Doubts::default()) };
    let hole: &'static [Dimension] =
        if input.hole_diameter.is_some() { &[Dimension::Length] } else { &[Dimension::Area] };
    form.within("uncertainty", |form| {
        Ok(Doubts {
            pressure: stated(
                form,
                "pressure",
                "uncertainty of the pressure inside",
                &[Dimension::PressureDifference],
                given.pressure.as_ref(),
            )?,
            temperature: stated(
                form,
                "temperature",
                "uncertainty of the temperature inside",
                &[Dimension::TemperatureDifference],
                given.temperature.as_ref(),
            )?,
            hole: stated(form, "hole", "uncertainty of the opening", hole, given.hole.as_ref())?,
            coefficient: stated(
                form,
                "discharge_coefficient",
                "uncertainty of the discharge coefficient",
                &[Dimension::Ratio],
                given.discharge_coefficient.as_ref(),
            )?,
        })
    })
}
