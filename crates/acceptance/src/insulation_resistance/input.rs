//! What the calculation takes, and reading it.

use quantity::{Dimension, Ratio, Reading, Resistance, Temperature, Voltage};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::bounded::Bounded;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::{Refusal, Statement, limit, schema};

/// How resistance changes with temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Insulation {
    /// Asphaltic mica and other old systems that soften: halves every 10 °C.
    Thermoplastic,
    /// Epoxy and polyester systems that stay hard: changes less.
    Thermosetting,
    /// Nothing is corrected: cables, and limits meant at the temperature of the test.
    AsMeasured,
}

/// A kind of winding or circuit whose minimum a standard names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Winding {
    /// Made before about 1970, and all field windings: kV + 1 MΩ at 40 °C.
    #[serde(rename = "before_1970_or_field")]
    Before1970OrField,
    /// Form-wound coils made after about 1970: 100 MΩ at 40 °C.
    FormWound,
    /// Random-wound, form-wound below 1 kV, and direct-current armatures: 5 MΩ at 40 °C.
    #[serde(rename = "random_wound_or_below_1_kv")]
    RandomWoundOrBelow1Kv,
    /// A cable or circuit of a low-voltage installation: 1 MΩ as measured.
    LowVoltageCircuit,
}

/// Thermal class of the insulation, which decides on the least polarisation index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ThermalClass {
    /// Class 105 (A): 1.5.
    #[serde(rename = "class_105")]
    Class105,
    /// Class 130 (B) and above: 2.0.
    #[serde(rename = "class_130_and_up")]
    Class130AndUp,
}

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// What the tester shows after one minute; with its > when it shows more than it can read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::bounded_resistance")]
    pub resistance: Option<String>,
    /// After 30 seconds, for the absorption ratio.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::bounded_resistance")]
    pub resistance_30_s: Option<String>,
    /// After ten minutes, for the polarisation index.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::bounded_resistance")]
    pub resistance_10_min: Option<String>,
    /// Temperature of the winding; not needed when nothing is corrected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub temperature: Option<String>,
    /// Kind of insulation; there is no default, because it changes the verdict.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Insulation")]
    pub insulation: Option<Insulation>,
    /// Kind of winding whose minimum by the standard applies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Winding")]
    pub winding: Option<Winding>,
    /// The site's own minimum, which goes before that of the standard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub limit: Option<StatedLimit>,
    /// Thermal class, for the least polarisation index by the standard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "ThermalClass")]
    pub thermal_class: Option<ThermalClass>,
    /// The site's own least polarisation index.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub index_limit: Option<StatedLimit>,
    /// The site's own least absorption ratio.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "StatedLimit")]
    pub absorption_limit: Option<StatedLimit>,
    /// Rated voltage between lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub rated_voltage: Option<String>,
    /// Direct voltage that was applied.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::voltage")]
    pub test_voltage: Option<String>,
    /// Temperature of the air at the winding, for the dew point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::temperature")]
    pub air_temperature: Option<String>,
    /// Relative humidity of the air, for the dew point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub humidity: Option<String>,
    /// What is stated about the instruments.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// What is stated about the instruments.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Of the insulation tester.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub resistance: Option<Statement>,
    /// Of the thermometer, with what the winding may differ from where it measures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Statement")]
    pub temperature: Option<Statement>,
}

/// A test, read.
#[derive(Debug)]
pub(super) struct Test {
    pub(super) one_minute: Reading,
    pub(super) half_minute: Option<Bounded>,
    pub(super) ten_minutes: Option<Bounded>,
    pub(super) insulation: Insulation,
    /// Of the winding, in °C.
    pub(super) celsius: Option<f64>,
    pub(super) winding: Option<Winding>,
    pub(super) limit: Option<ReadLimit<Resistance>>,
    pub(super) thermal_class: Option<ThermalClass>,
    pub(super) index_limit: Option<ReadLimit<Ratio>>,
    pub(super) absorption_limit: Option<ReadLimit<Ratio>>,
    /// In V.
    pub(super) rated: Option<f64>,
    /// In V.
    pub(super) applied: Option<f64>,
    /// Temperature in °C and relative humidity of the air.
    pub(super) air: Option<(f64, f64)>,
    pub(super) doubt_resistance: Option<Stated>,
    pub(super) doubt_temperature: Option<Stated>,
}

const OHMS: &[Dimension] = &[Dimension::Resistance];
const ONE: Place = free("resistance", "resistance after one minute", OHMS);
const HALF: Place = free("resistance_30_s", "resistance after 30 s", OHMS);
const TEN: Place = free("resistance_10_min", "resistance after ten minutes", OHMS);
const WINDING: Place =
    between("temperature", "winding temperature", &[Dimension::Temperature], (-40, 155, "°C"));
const AIR: Place =
    between("air_temperature", "air temperature", &[Dimension::Temperature], (-40, 60, "°C"));
const HUMIDITY: Place =
    between("humidity", "relative humidity", &[Dimension::Ratio], (0, 100, "%"));
const RATED: Place =
    between("rated_voltage", "rated voltage", &[Dimension::Voltage], (10, 50_000, "V"));
const APPLIED: Place =
    between("test_voltage", "test voltage", &[Dimension::Voltage], (10, 15_000, "V"));

fn resistance(
    form: &mut Form,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<Reading>, Refusal> {
    let reading = form.optional(place, text)?;
    match reading {
        Some(reading) if Bounded::of(&reading).number <= 0.0 => Err(form.refuse(
            "not_above_zero",
            place.field,
            format!("The {} is not above zero.", place.meaning),
            "A tester that shows 0 has found a short, or it is in a smaller unit: type it as “< \
             0.01 MΩ”, with the least that it can show.",
        )),
        reading => Ok(reading),
    }
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Test>, Refusal> {
    let one = resistance(form, &ONE, input.resistance.as_deref())?;
    if one.is_none() {
        form.miss(ONE.field, ONE.meaning);
    }
    let half = resistance(form, &HALF, input.resistance_30_s.as_deref())?;
    let ten = resistance(form, &TEN, input.resistance_10_min.as_deref())?;
    match input.insulation {
        Some(insulation) => form.show("insulation", "kind of insulation", name(insulation)),
        None => form.miss("insulation", "kind of insulation"),
    }
    let corrected = input.insulation.is_some_and(|kind| kind != Insulation::AsMeasured);
    let celsius = if corrected {
        form.take::<Temperature>(&WINDING, input.temperature.as_deref())?
    } else {
        form.may::<Temperature>(&WINDING, input.temperature.as_deref())?
    };
    let rated = form.may::<Voltage>(&RATED, input.rated_voltage.as_deref())?;
    let applied = form.may::<Voltage>(&APPLIED, input.test_voltage.as_deref())?;
    let air = air(form, input)?;
    if let Some(winding) = input.winding {
        form.show("winding", "kind of winding", winding_name(winding));
        let cable = winding == Winding::LowVoltageCircuit;
        if input.insulation.is_some() && cable == corrected {
            return Err(Refusal::new(
                "contradiction",
                "winding",
                format!(
                    "The minimum of a {} is not meant for insulation that is {}.",
                    winding_name(winding),
                    input.insulation.map_or("", name)
                ),
                "Give as_measured with low_voltage_circuit, and a class of insulation with the \
                 windings.",
            ));
        }
        if winding == Winding::Before1970OrField && rated.is_none() {
            form.miss(RATED.field, RATED.meaning);
        }
    }
    let limit =
        limit::read(form, "limit", "least resistance", Side::AtLeast, input.limit.as_ref())?;
    if let Some(class) = input.thermal_class {
        form.show("thermal_class", "thermal class", class_name(class));
    }
    let index_limit = limit::read(
        form,
        "index_limit",
        "least polarisation index",
        Side::AtLeast,
        input.index_limit.as_ref(),
    )?;
    let absorption_limit = limit::read(
        form,
        "absorption_limit",
        "least absorption ratio",
        Side::AtLeast,
        input.absorption_limit.as_ref(),
    )?;
    if (index_limit.is_some() || input.thermal_class.is_some()) && ten.is_none() {
        form.miss(TEN.field, TEN.meaning);
    }
    if absorption_limit.is_some() && half.is_none() {
        form.miss(HALF.field, HALF.meaning);
    }
    let doubts = &input.uncertainty;
    let doubt_resistance = stated(
        form,
        "uncertainty.resistance",
        "uncertainty of the resistance",
        OHMS,
        doubts.resistance.as_ref(),
    )?;
    let doubt_temperature = stated(
        form,
        "uncertainty.temperature",
        "uncertainty of the temperature",
        &[Dimension::TemperatureDifference],
        doubts.temperature.as_ref(),
    )?;
    let (Some(one_minute), Some(insulation), true) =
        (one, input.insulation, form.missing.is_empty())
    else {
        return Ok(None);
    };
    Ok(Some(Test {
        one_minute,
        half_minute: half.as_ref().map(Bounded::of),
        ten_minutes: ten.as_ref().map(Bounded::of),
        insulation,
        celsius: celsius.map(celsius_of),
        winding: input.winding,
        limit,
        thermal_class: input.thermal_class,
        index_limit,
        absorption_limit,
        rated: rated.map(Voltage::volts),
        applied: applied.map(Voltage::volts),
        air,
        doubt_resistance,
        doubt_temperature,
    }))
}

fn air(form: &mut Form, input: &Input) -> Result<Option<(f64, f64)>, Refusal> {
    let air = form.may::<Temperature>(&AIR, input.air_temperature.as_deref())?;
    let humidity = form.may::<Ratio>(&HUMIDITY, input.humidity.as_deref())?;
    match (air, humidity) {
        (Some(_), None) => form.miss(HUMIDITY.field, HUMIDITY.meaning),
        (None, Some(_)) => form.miss(AIR.field, AIR.meaning),
        _ => {}
    }
    let Some((air, humidity)) = air.zip(humidity) else { return Ok(None) };
    if humidity.fraction() <= 0.0 {
        return Err(form.refuse(
            "out_of_range",
            HUMIDITY.field,
            "Air with a relative humidity of 0 has no dew point.",
            "Read the instrument again, or leave air temperature and humidity out.",
        ));
    }
    Ok(Some((celsius_of(air), humidity.fraction())))
}

fn celsius_of(temperature: Temperature) -> f64 {
    temperature.kelvins() - 273.15
}

/// What a kind of insulation is called.
pub(super) const fn name(insulation: Insulation) -> &'static str {
    match insulation {
        Insulation::Thermoplastic => "thermoplastic",
        Insulation::Thermosetting => "thermosetting",
        Insulation::AsMeasured => "judged as measured",
    }
}

/// What a kind of winding is called.
pub(super) const fn winding_name(winding: Winding) -> &'static str {
    match winding {
        Winding::Before1970OrField => "winding made before about 1970 or field winding",
        Winding::FormWound => "form-wound winding",
        Winding::RandomWoundOrBelow1Kv => "random-wound winding, or form-wound below 1 kV",
        Winding::LowVoltageCircuit => "low-voltage circuit",
    }
}

const fn class_name(class: ThermalClass) -> &'static str {
    match class {
        ThermalClass::Class105 => "105",
        ThermalClass::Class130AndUp => "130 and up",
    }
}
