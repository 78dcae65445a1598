//! The input as readings; and what of it is missing.

use quantity::{Area, Dimension, Irradiance, Power, Ratio, Temperature};

use super::input::{Input, Model, Normalisation};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::line::read_slope;

const POWER: &[Dimension] = &[Dimension::Power];
const IRRADIANCE: &[Dimension] = &[Dimension::Irradiance];
const TEMPERATURE: &[Dimension] = &[Dimension::Temperature];
const DIFFERENCE: &[Dimension] = &[Dimension::TemperatureDifference];
const RATIO: &[Dimension] = &[Dimension::Ratio];
const AREA: &[Dimension] = &[Dimension::Area];
const KILOWATTS: (i64, i64, &str) = (-10_000, 100_000, "kW");
const SUN: (i64, i64, &str) = (1, 1500, "W/m²");
const AIR: (i64, i64, &str) = (-60, 120, "°C");
const SQUARE_METRES: (i64, i64, &str) = (1, 100_000, "m²");
const P: Place = between("power", "net power", POWER, KILOWATTS);
const G: Place = between("irradiance", "direct irradiance", IRRADIANCE, SUN);
const T: Place = between("air_temperature", "air temperature", TEMPERATURE, AIR);
const G_REF: Place = between("reference_irradiance", "reference irradiance", IRRADIANCE, SUN);
const T_REF: Place =
    between("reference_air_temperature", "reference air temperature", TEMPERATURE, AIR);
const T_H: Place =
    between("hot_temperature", "temperature of the hot side", TEMPERATURE, (50, 1500, "°C"));
const NET: Place = between("net_area", "net area of the mirrors", AREA, SQUARE_METRES);
const GROSS: Place = between("gross_area", "gross area", AREA, SQUARE_METRES);

/// The linear model, in kW, W/m² and K.
#[derive(Debug, Clone, Copy)]
pub(super) struct Linear {
    pub(super) a1: f64,
    pub(super) a2: f64,
    pub(super) temperature: f64,
    pub(super) chi: f64,
    pub(super) chi_ref: f64,
    pub(super) own: f64,
}

/// What the rules compute with: kW, W/m², K. Not given is not a number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Values {
    pub(super) power: f64,
    pub(super) irradiance: f64,
    pub(super) air: Option<f64>,
    pub(super) slope: Option<f64>,
    pub(super) hot: Option<f64>,
    pub(super) model: Option<Linear>,
}

/// Where it is carried over to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reference {
    pub(super) irradiance: f64,
    pub(super) air: Option<f64>,
}

/// What was stated about the instruments.
#[derive(Debug, Clone)]
pub(super) struct Doubts {
    pub(super) power: Option<Stated>,
    pub(super) irradiance: Option<Stated>,
    pub(super) air: Option<Stated>,
    pub(super) hot: Option<Stated>,
    pub(super) slope: Option<Stated>,
    pub(super) area: Option<Stated>,
}

/// The whole case, read.
#[derive(Debug, Clone)]
pub(super) struct Case {
    pub(super) rule: Normalisation,
    pub(super) fixed_in: Option<String>,
    pub(super) values: Values,
    pub(super) reference: Reference,
    pub(super) doubts: Doubts,
    /// m².
    pub(super) net: Option<f64>,
    pub(super) gross: Option<f64>,
    pub(super) model_source: Option<String>,
    pub(super) limit: Option<ReadLimit<Power>>,
}

/// Name of a rule for people.
pub(super) const fn name(rule: Normalisation) -> &'static str {
    match rule {
        Normalisation::IrradianceRatio => "irradiance ratio",
        Normalisation::Line => "line",
        Normalisation::Carnot => "irradiance ratio and Carnot",
        Normalisation::AirTemperature => "irradiance ratio and air temperature",
        Normalisation::LinearModel => "linear model",
    }
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    match input.rule {
        Some(rule) => form.show("rule", "rule", name(rule)),
        None => form.miss("rule", "rule, as the test plan fixed it"),
    }
    if let Some(text) = &input.fixed_in {
        form.show("fixed_in", "rule fixed in", text);
    }
    let power = form.take::<Power>(&P, input.power.as_deref())?;
    let irradiance = form.take::<Irradiance>(&G, input.irradiance.as_deref())?;
    let reference = form.take::<Irradiance>(&G_REF, input.reference_irradiance.as_deref())?;
    let air = form.may::<Temperature>(&T, input.air_temperature.as_deref())?;
    let reference_air =
        form.may::<Temperature>(&T_REF, input.reference_air_temperature.as_deref())?;
    let slope = read_slope(form, "slope", "slope", input.slope.as_deref())?;
    let hot = form.may::<Temperature>(&T_H, input.hot_temperature.as_deref())?;
    let linear = match &input.model {
        Some(typed) => form.within("model", |form| model(form, typed))?,
        None => None,
    };
    let net = form.may::<Area>(&NET, input.net_area.as_deref())?.map(Area::square_metres);
    let gross = form.may::<Area>(&GROSS, input.gross_area.as_deref())?.map(Area::square_metres);
    let doubts = doubts(form, input)?;
    let limit = limit::read(
        form,
        "limit",
        "limit of the power at the reference",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    if let Some(rule) = input.rule {
        needs(form, rule, input);
    }
    contradictions(form, air.max_of(reference_air), hot, (net, gross))?;
    let (Some(rule), Some(power), Some(irradiance), Some(reference)) =
        (input.rule, power, irradiance, reference)
    else {
        return Ok(None);
    };
    if !form.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Case {
        rule,
        fixed_in: input.fixed_in.clone(),
        values: Values {
            power: power.watts() / 1e3,
            irradiance: irradiance.watts_per_square_metre(),
            air: air.map(Temperature::kelvins),
            slope,
            hot: hot.map(Temperature::kelvins),
            model: linear,
        },
        reference: Reference {
            irradiance: reference.watts_per_square_metre(),
            air: reference_air.map(Temperature::kelvins),
        },
        doubts,
        net,
        gross,
        model_source: input.model.as_ref().and_then(|model| model.source.clone()),
        limit,
    }))
}

/// The warmer of two temperatures that may be absent.
trait Warmer {
    fn max_of(self, other: Self) -> Self;
}

impl Warmer for Option<Temperature> {
    fn max_of(self, other: Self) -> Self {
        match (self, other) {
            (Some(one), Some(other)) if one.kelvins() < other.kelvins() => Some(other),
            (one, other) => one.or(other),
        }
    }
}

/// Names what the rule needs and was not given.
fn needs(form: &mut Form, rule: Normalisation, input: &Input) {
    use Normalisation::{Carnot, IrradianceRatio, Line, LinearModel};
    if rule == Line && input.slope.is_none() {
        form.miss("slope", "slope of power over irradiance");
    }
    if !matches!(rule, IrradianceRatio | Line) {
        for (place, text) in
            [(T, &input.air_temperature), (T_REF, &input.reference_air_temperature)]
        {
            if text.is_none() {
                form.miss(place.field, place.meaning);
            }
        }
    }
    if rule == Carnot && input.hot_temperature.is_none() {
        form.miss(T_H.field, T_H.meaning);
    }
    if rule == LinearModel && input.model.is_none() {
        form.miss("model", "linear model of power");
    }
}

fn contradictions(
    form: &Form,
    air: Option<Temperature>,
    hot: Option<Temperature>,
    (net, gross): (Option<f64>, Option<f64>),
) -> Result<(), Refusal> {
    if let (Some(air), Some(hot)) = (air, hot)
        && hot.kelvins() <= air.kelvins()
    {
        return Err(form.refuse(
            "contradiction",
            T_H.field,
            "The hot side is not hotter than the air.",
            "Compare the two temperatures and their units.",
        ));
    }
    if let (Some(net), Some(gross)) = (net, gross)
        && net > gross
    {
        return Err(form.refuse(
            "contradiction",
            NET.field,
            "The net area of the mirrors is larger than the circle around them.",
            "The net area is that of the mirrors without gaps; exchange the two if they are mixed up.",
        ));
    }
    Ok(())
}

fn model(form: &mut Form, typed: &Model) -> Result<Option<Linear>, Refusal> {
    const A2: Place = between("a2", "constant a₂ of the model", POWER, KILOWATTS);
    const T_M: Place = between("temperature", "temperature of the model", TEMPERATURE, AIR);
    const CHI: Place = between("cleanliness", "cleanliness during the test", RATIO, (0, 100, "%"));
    const CHI_REF: Place =
        between("reference_cleanliness", "reference cleanliness", RATIO, (0, 100, "%"));
    const OWN: Place =
        between("own_power", "power used by the dish itself", POWER, (0, 1000, "kW"));
    let a1 = read_slope(form, "a1", "constant a₁ of the model", typed.a1.as_deref())?;
    if a1.is_none() {
        form.miss("a1", "constant a₁ of the model");
    }
    let a2 = form.take::<Power>(&A2, typed.a2.as_deref())?;
    let temperature = form.take::<Temperature>(&T_M, typed.temperature.as_deref())?;
    let chi = form.take::<Ratio>(&CHI, typed.cleanliness.as_deref())?.map(Ratio::fraction);
    let chi_ref =
        form.may::<Ratio>(&CHI_REF, typed.reference_cleanliness.as_deref())?.map(Ratio::fraction);
    let own = form.may::<Power>(&OWN, typed.own_power.as_deref())?;
    let (Some(a1), Some(a2), Some(temperature), Some(chi)) = (a1, a2, temperature, chi) else {
        return Ok(None);
    };
    Ok(Some(Linear {
        a1,
        a2: a2.watts() / 1e3,
        temperature: temperature.kelvins(),
        chi,
        chi_ref: chi_ref.unwrap_or(chi),
        own: own.map_or(0.0, |own| own.watts() / 1e3),
    }))
}

fn doubts(form: &mut Form, input: &Input) -> Result<Doubts, Refusal> {
    let doubts = Doubts {
        power: stated(
            form,
            "power_doubt",
            "doubt of the power",
            POWER,
            input.power_doubt.as_ref(),
        )?,
        irradiance: stated(
            form,
            "irradiance_doubt",
            "doubt of the irradiance",
            IRRADIANCE,
            input.irradiance_doubt.as_ref(),
        )?,
        air: stated(
            form,
            "air_temperature_doubt",
            "doubt of the air temperature",
            DIFFERENCE,
            input.air_temperature_doubt.as_ref(),
        )?,
        hot: stated(
            form,
            "hot_temperature_doubt",
            "doubt of the hot side's temperature",
            DIFFERENCE,
            input.hot_temperature_doubt.as_ref(),
        )?,
        slope: stated(
            form,
            "slope_doubt",
            "doubt of the slope",
            RATIO,
            input.slope_doubt.as_ref(),
        )?,
        area: stated(form, "area_doubt", "doubt of the area", AREA, input.area_doubt.as_ref())?,
    };
    let in_percent =
        [("air_temperature_doubt", &doubts.air), ("hot_temperature_doubt", &doubts.hot)];
    for (field, doubt) in in_percent {
        if doubt.as_ref().is_some_and(Stated::relative) {
            return Err(form.refuse(
                "wrong_unit",
                field,
                "Percent of a temperature means another thing in °C than in K.",
                "State it in K.",
            ));
        }
    }
    if doubts.slope.as_ref().is_some_and(|doubt| !doubt.relative()) {
        return Err(form.refuse(
            "wrong_unit",
            "slope_doubt",
            "The doubt of the slope is not in percent of it.",
            "State it as 0.4 %.",
        ));
    }
    Ok(doubts)
}
