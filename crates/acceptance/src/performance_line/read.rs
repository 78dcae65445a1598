//! The input as readings; and what of it is missing.

use quantity::{Dimension, Irradiance, Power, Ratio};

use super::input::{Input, Method, PointInput};
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between, free};
use crate::limit::{self, ReadLimit, Side};
use crate::line::{Datum, read_slope};
use crate::{Refusal, Statement};

const IRRADIANCE: &[Dimension] = &[Dimension::Irradiance];
const POWER: &[Dimension] = &[Dimension::Power];
/// From a night's zero error to more than the sun gives at the top of the air.
const PLAUSIBLE: (i64, i64, &str) = (-20, 1500, "W/m²");
const G: Place = between("irradiance", "direct irradiance", IRRADIANCE, PLAUSIBLE);
const P: Place = between("power", "net power", POWER, (-10_000, 100_000, "kW"));
const G_REF: Place =
    between("reference_irradiance", "reference irradiance", IRRADIANCE, (0, 1500, "W/m²"));
const LEVEL: Place =
    between("level", "level of the intervals", &[Dimension::Ratio], (50, 100, "%"));
/// Ratios of doubts that differ by less are one ratio.
const SAME: f64 = 1e-6;

/// A point, read; power in kW, irradiance in W/m².
#[derive(Debug, Clone)]
pub(super) struct Point {
    pub(super) name: String,
    pub(super) datum: Datum,
    pub(super) left_out: Option<String>,
}

/// The whole case, read.
#[derive(Debug, Clone)]
pub(super) struct Case {
    pub(super) points: Vec<Point>,
    pub(super) method: Method,
    /// Whether every point has both doubts.
    pub(super) doubts: bool,
    /// Doubt of power over doubt of irradiance, in kW/(W/m²), where it is one for all points.
    pub(super) ratio: Option<f64>,
    pub(super) irradiance_doubt: Option<Stated>,
    pub(super) power_doubt: Option<Stated>,
    pub(super) correlation: f64,
    pub(super) irradiance_common: Option<Stated>,
    pub(super) power_common: Option<Stated>,
    /// W/m².
    pub(super) reference: Option<f64>,
    pub(super) level: f64,
    pub(super) limit: Option<ReadLimit<Power>>,
}

impl Case {
    /// The points that count.
    pub(super) fn used(&self) -> impl Iterator<Item = &Point> {
        self.points.iter().filter(|point| point.left_out.is_none())
    }
}

/// Reads everything; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    match input.method {
        Some(Method::Ols) => form.show("method", "line", "ordinary least squares"),
        Some(Method::Deming) => form.show("method", "line", "Deming"),
        Some(Method::York) => form.show("method", "line", "York"),
        None => form.miss("method", "line: ols, deming or york"),
    }
    let irradiance_doubt = of_irradiance(form, "irradiance_doubt", &input.irradiance_doubt)?;
    let power_doubt = of_power(form, "power_doubt", &input.power_doubt)?;
    let correlation = correlation(form, input.correlation.as_deref())?.unwrap_or(0.0);
    let ratio = read_slope(
        form,
        "doubt_ratio",
        "doubt of power over doubt of irradiance",
        input.doubt_ratio.as_deref(),
    )?;
    let irradiance_common = of_irradiance(form, "irradiance_common", &input.irradiance_common)?;
    let power_common = of_power(form, "power_common", &input.power_common)?;
    let reference = form.may::<Irradiance>(&G_REF, input.reference_irradiance.as_deref())?;
    let level = form.may::<Ratio>(&LEVEL, input.level.as_deref())?.map_or(0.95, Ratio::fraction);
    if level >= 1.0 {
        return Err(form.refuse(
            "out_of_range",
            "level",
            "No interval holds with certainty.",
            "Give a level below 100 %, as 95 %.",
        ));
    }
    let limit = limit::read(
        form,
        "limit",
        "limit of the power at the reference irradiance",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    if limit.is_some() && reference.is_none() {
        form.miss(G_REF.field, G_REF.meaning);
    }
    let mut case = Case {
        points: Vec::new(),
        method: input.method.unwrap_or(Method::Ols),
        doubts: true,
        ratio,
        irradiance_doubt,
        power_doubt,
        correlation,
        irradiance_common,
        power_common,
        reference: reference.map(Irradiance::watts_per_square_metre),
        level,
        limit,
    };
    let from = form.inputs.len();
    for (place, typed) in input.points.iter().enumerate() {
        let point =
            form.within(&format!("points[{place}]"), |form| point(form, typed, place, &mut case))?;
        case.points.extend(point);
    }
    form.fold(from, "points", "points", input.points.len());
    if input.points.is_empty() {
        form.miss("points", "points of irradiance and power");
    }
    let needs_doubts = match input.method {
        Some(Method::York) => true,
        Some(Method::Deming) => ratio.is_none(),
        Some(Method::Ols) | None => false,
    };
    if needs_doubts && !case.doubts && !input.points.is_empty() {
        missing_doubts(form, input);
    }
    if !form.missing.is_empty() {
        return Ok(None);
    }
    consistent(form, &mut case)?;
    Ok(Some(case))
}

fn of_irradiance(
    form: &mut Form,
    field: &'static str,
    statement: &Option<Statement>,
) -> Result<Option<Stated>, Refusal> {
    stated(form, field, "doubt of the irradiance", IRRADIANCE, statement.as_ref())
}

fn of_power(
    form: &mut Form,
    field: &'static str,
    statement: &Option<Statement>,
) -> Result<Option<Stated>, Refusal> {
    stated(form, field, "doubt of the power", POWER, statement.as_ref())
}

fn correlation(form: &mut Form, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let place = free("correlation", "correlation of the errors", &[Dimension::Ratio]);
    let r = form.may::<Ratio>(&place, text)?.map(Ratio::fraction);
    if r.is_some_and(|r| r.abs() >= 1.0) {
        return Err(form.refuse(
            "out_of_range",
            "correlation",
            "A correlation of the errors lies between −1 and 1.",
            "Give 0, or leave it out, when the two instruments have nothing in common.",
        ));
    }
    Ok(r)
}

fn point(
    form: &mut Form,
    typed: &PointInput,
    place: usize,
    case: &mut Case,
) -> Result<Option<Point>, Refusal> {
    let name = typed.name.clone().unwrap_or_else(|| (place + 1).to_string());
    let x = form.take::<Irradiance>(&G, typed.irradiance.as_deref())?;
    let y = form.take::<Power>(&P, typed.power.as_deref())?;
    let u_x = of_irradiance(form, "irradiance_doubt", &typed.irradiance_doubt)?;
    let u_y = of_power(form, "power_doubt", &typed.power_doubt)?;
    let r = correlation(form, typed.correlation.as_deref())?;
    if let Some(reason) = &typed.left_out {
        form.show("left_out", "left out, because", reason);
    }
    let (Some(x), Some(y)) = (x, y) else { return Ok(None) };
    let (x, watts) = (x.watts_per_square_metre(), y.watts());
    let u_x = u_x.as_ref().or(case.irradiance_doubt.as_ref()).map(|stated| stated.of(x));
    let u_y = u_y.as_ref().or(case.power_doubt.as_ref()).map(|stated| stated.of(watts) / 1e3);
    if typed.left_out.is_none() && (u_x.is_none() || u_y.is_none()) {
        case.doubts = false;
    }
    let datum = Datum {
        x,
        y: watts / 1e3,
        u_x: u_x.unwrap_or(0.0),
        u_y: u_y.unwrap_or(0.0),
        r: r.unwrap_or(case.correlation),
    };
    Ok(Some(Point { name, datum, left_out: typed.left_out.clone() }))
}

fn missing_doubts(form: &mut Form, input: &Input) {
    let lacks = |own: fn(&PointInput) -> bool| input.points.iter().any(own);
    if input.irradiance_doubt.is_none() && lacks(|point| point.irradiance_doubt.is_none()) {
        form.miss("irradiance_doubt", "doubt of the irradiance of every point");
    }
    if input.power_doubt.is_none() && lacks(|point| point.power_doubt.is_none()) {
        form.miss("power_doubt", "doubt of the power of every point");
    }
}

/// Refuses what contradicts itself, and finds the one ratio of doubts where there is one.
fn consistent(form: &Form, case: &mut Case) -> Result<(), Refusal> {
    let data: Vec<Datum> = case.used().map(|point| point.datum).collect();
    if data.len() < 3 {
        return Err(form.refuse(
            "too_few",
            "points",
            format!("{} points that count make no line with a doubt.", data.len()),
            "Give three points or more; ten over a wide range of irradiance are usual.",
        ));
    }
    let (low, high) = data
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.x), high.max(p.x)));
    if high - low <= 1e-9 * high.abs() {
        return Err(form.refuse(
            "one_irradiance",
            "points",
            "All points have one irradiance, and no slope follows from them.",
            "Give points over a range of irradiance.",
        ));
    }
    if case.method == Method::York && data.iter().any(|p| p.u_x <= 0.0 && p.u_y <= 0.0) {
        return Err(form.refuse(
            "out_of_range",
            "power_doubt",
            "A point has no doubt at all, and York's line would pass through it.",
            "State a doubt of irradiance or power above zero for every point.",
        ));
    }
    if let Some(ratio) = case.ratio {
        if ratio <= 0.0 {
            return Err(form.refuse(
                "out_of_range",
                "doubt_ratio",
                "The ratio of the doubts is not above zero.",
                "Type it as 0.02 kW/(W/m²).",
            ));
        }
        return Ok(());
    }
    let ratios: Vec<f64> = data.iter().map(|p| p.u_y / p.u_x).collect();
    let first = ratios.first().copied().unwrap_or(f64::NAN);
    let one = ratios.iter().all(|ratio| (ratio - first).abs() <= SAME * first) && first > 0.0;
    case.ratio = (case.doubts && one && first.is_finite()).then_some(first);
    if case.method == Method::Deming && case.ratio.is_none() {
        return Err(form.refuse(
            "ratio_differs",
            "method",
            "Deming's line needs one ratio of the doubts for all points, above zero.",
            "State doubts in units that are the same at every point, or take york.",
        ));
    }
    Ok(())
}
