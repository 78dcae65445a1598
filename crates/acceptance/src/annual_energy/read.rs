//! Reading the input.

use quantity::{Area, Dimension, Duration, Energy, Field, Irradiance, Power, Ratio, Si};

use super::input::{Bin, GapRule, Input, Model, Year};
use super::sum::{Dish, Stretch};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};
use crate::time::Moment;

const POWER: &[Dimension] = &[Dimension::Power];
const RATIO: &[Dimension] = &[Dimension::Ratio];
/// Direct irradiance at the ground stays below the sun's own 1 361 W/m²; edges of clouds and an
/// instrument's noise in the night reach further.
const LIGHT: (i64, i64, &str) = (-20, 1500, "W/m²");
const AT_ZERO: Place = between("at_zero", "net power at no irradiance", POWER, (-500, 0, "kW"));
const RISE: Place = between("rise_per_1000", "rise of net power", POWER, (0, 1000, "kW"));
const LARGEST: Place = between("largest", "largest net power", POWER, (0, 1000, "kW"));
const STANDBY: Place =
    between("standby", "supply drawn while it does not run", POWER, (0, 50, "kW"));
const OWN_USE: Place = between("own_use", "own use while it runs", POWER, (0, 100, "kW"));
const RATED: Place = between("rated", "rated net power", POWER, (0, 1000, "kW"));
const RUNS_FROM: Place =
    between("runs_from", "irradiance from which it runs", &[Dimension::Irradiance], LIGHT);
const CLEANLINESS: Place = between("cleanliness", "cleanliness", RATIO, (0, 1, "1"));
const AVAILABILITY: Place = between("availability", "availability", RATIO, (0, 1, "1"));
const AREA: Place = between("mirror_area", "mirror area", &[Dimension::Area], (0, 2000, "m²"));
const STEP: Place = between("step", "length of a step", &[Dimension::Duration], (1, 86_400, "s"));
const IRRADIANCE: Place =
    between("irradiance", "irradiance of the bin", &[Dimension::Irradiance], LIGHT);
const LASTED: Place =
    between("duration", "duration of the bin", &[Dimension::Duration], (0, 8784, "h"));
/// More values than a year of minutes are no year.
const MOST: usize = 530_000;

/// A year, read.
#[derive(Debug)]
pub(super) struct Case {
    /// The known steps, in order; a bin is a step of its own.
    pub(super) time: Vec<Stretch>,
    /// Hours of the whole time, missing steps included.
    pub(super) hours: f64,
    pub(super) missing: usize,
    pub(super) steps: usize,
    pub(super) gaps: Option<GapRule>,
    /// For each known step the month it begins in, as "2026-09"; empty without a start.
    pub(super) months: Vec<String>,
    pub(super) dish: Dish,
    pub(super) threshold_from_line: bool,
    pub(super) rated: Option<f64>,
    pub(super) area: Option<f64>,
    pub(super) limit: Option<ReadLimit<Energy>>,
    pub(super) irradiance_doubt: Option<Stated>,
    pub(super) line_doubt: Option<Stated>,
}

struct Time {
    known: Vec<Stretch>,
    hours: f64,
    missing: usize,
    steps: usize,
    months: Vec<String>,
}

/// Reads the input; none when something is missing, which the form then names.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Case>, Refusal> {
    let time = match (&input.year, input.bins.is_empty()) {
        (Some(_), false) => {
            return Err(form.refuse(
                "two_years",
                "bins",
                "Both a year of values and a table of hours are given.",
                "Give one of them.",
            ));
        }
        (Some(year), true) => form.within("year", |form| year_of(form, year))?,
        (None, false) => bins(form, &input.bins)?,
        (None, true) => {
            form.miss("year", "irradiance of the year, or a table of hours (bins)");
            None
        }
    };
    let model = form.within("model", |form| model(form, &input.model))?;
    let limit = limit::read::<Energy>(
        form,
        "limit",
        "net energy of the year",
        Side::AtLeast,
        input.limit.as_ref(),
    )?;
    let doubts = &input.uncertainty;
    let irradiance_doubt = stated(
        form,
        "uncertainty.irradiance",
        "uncertainty of the irradiance",
        RATIO,
        doubts.irradiance.as_ref(),
    )?;
    let line_doubt =
        stated(form, "uncertainty.line", "uncertainty of the line", RATIO, doubts.line.as_ref())?;
    let (Some(time), Some(model)) = (time, model) else { return Ok(None) };
    let rule = input.year.as_ref().and_then(|year| year.gaps);
    if time.missing > 0 && rule.is_none() {
        form.miss("year.gaps", "rule for the missing values");
        return Ok(None);
    }
    if limit.is_none() && input.limit.is_some() {
        return Ok(None);
    }
    Ok(Some(Case {
        hours: time.hours,
        missing: time.missing,
        steps: time.steps,
        gaps: rule,
        months: time.months,
        time: time.known,
        dish: model.dish,
        threshold_from_line: model.threshold_from_line,
        rated: model.rated,
        area: model.area,
        limit,
        irradiance_doubt,
        line_doubt,
    }))
}

fn year_of(form: &mut Form, year: &Year) -> Result<Option<Time>, Refusal> {
    if let Some(source) = &year.source {
        form.show("source", "source of the values", source);
    }
    if year.values.is_empty() {
        form.miss("values", "values of irradiance");
    } else {
        form.show("values", "values of irradiance", &format!("{} values", year.values.len()));
    }
    if year.values.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "values",
            format!("There are {} values, more than a year of minutes has.", year.values.len()),
            "Give one year, in means of a minute or longer.",
        ));
    }
    let unit = year.unit.as_deref();
    match unit {
        Some(unit) => form.show("unit", "unit of the values", unit),
        None => form.miss("unit", "unit of the values"),
    }
    let step = form.take::<Duration>(&STEP, year.step.as_deref())?;
    let start = Moment::read(form, "start", "beginning of the first step", year.start.as_deref())?;
    if let Some(rule) = year.gaps {
        let words = match rule {
            GapRule::LeftOut => "left out",
            GapRule::Scaled => "scaled to the whole time",
        };
        form.show("gaps", "rule for missing values", words);
    }
    let (Some(unit), Some(step)) = (unit, step) else { return Ok(None) };
    if year.values.is_empty() {
        return Ok(None);
    }
    let hours = step.seconds() / 3600.0;
    let (mut known, mut months, mut missing) = (Vec::new(), Vec::new(), 0);
    let mut at = 0.0;
    for (place, text) in year.values.iter().enumerate() {
        if text.trim().is_empty() {
            missing += 1;
        } else {
            let irradiance = value(form, place, text, unit)?;
            known.push(Stretch { irradiance, hours });
            if let Some(start) = start {
                months.push(start.after(at).day().get(..7).unwrap_or_default().to_owned());
            }
        }
        at += step.seconds();
    }
    let steps = year.values.len();
    Ok(Some(Time { known, hours: crate::stats::count(steps) * hours, missing, steps, months }))
}

fn value(form: &Form, place: usize, text: &str, unit: &str) -> Result<f64, Refusal> {
    let field = format!("values[{place}]");
    let typed = format!("{} {unit}", text.trim());
    let reading = quantity::parse(&typed, &Field::of(Dimension::Irradiance)).map_err(|error| {
        form.refuse(
            error.code(),
            &field,
            format!("Value {} can't be read: {error}.", place + 1),
            "Correct it, or leave an empty text where the value is missing.",
        )
    })?;
    let irradiance = Irradiance::from_reading(&reading).map_err(|unusable| {
        form.refuse(
            "not_a_value",
            &field,
            format!("Value {} can't be used: {unusable}.", place + 1),
            "Leave an empty text where the value is missing.",
        )
    })?;
    let watts = irradiance.watts_per_square_metre();
    if !(-20.0..=1500.0).contains(&watts) {
        return Err(form.refuse(
            "implausible",
            &field,
            format!("Value {} is {typed}, outside of -20 to 1500 W/m².", place + 1),
            "Check the unit; a marker for a missing value becomes an empty text.",
        ));
    }
    Ok(watts)
}

fn bins(form: &mut Form, bins: &[Bin]) -> Result<Option<Time>, Refusal> {
    let mut known = Vec::new();
    for (place, bin) in bins.iter().enumerate() {
        let read = form.within(&format!("bins[{place}]"), |form| {
            let irradiance = form.take::<Irradiance>(&IRRADIANCE, bin.irradiance.as_deref())?;
            let duration = form.take::<Duration>(&LASTED, bin.duration.as_deref())?;
            Ok::<_, Refusal>(irradiance.zip(duration))
        })?;
        if let Some((irradiance, duration)) = read {
            known.push(Stretch {
                irradiance: irradiance.watts_per_square_metre(),
                hours: duration.seconds() / 3600.0,
            });
        }
    }
    if known.len() < bins.len() {
        return Ok(None);
    }
    let hours = known.iter().map(|stretch| stretch.hours).sum();
    Ok(Some(Time { steps: known.len(), known, hours, missing: 0, months: Vec::new() }))
}

struct ReadModel {
    dish: Dish,
    threshold_from_line: bool,
    rated: Option<f64>,
    area: Option<f64>,
}

fn model(form: &mut Form, model: &Model) -> Result<Option<ReadModel>, Refusal> {
    if let Some(source) = &model.source {
        form.show("source", "source of the line", source);
    }
    let kilowatts = |power: Power| power.watts() / 1000.0;
    let at_zero = form.take::<Power>(&AT_ZERO, model.at_zero.as_deref())?.map(kilowatts);
    let rise = form.take::<Power>(&RISE, model.rise_per_1000.as_deref())?.map(kilowatts);
    let largest = form.may::<Power>(&LARGEST, model.largest.as_deref())?.map(kilowatts);
    let runs_from = form.may::<Irradiance>(&RUNS_FROM, model.runs_from.as_deref())?;
    let standby = form.take::<Power>(&STANDBY, model.standby.as_deref())?.map(kilowatts);
    let own_use = form.may::<Power>(&OWN_USE, model.own_use.as_deref())?.map(kilowatts);
    let cleanliness = form.may::<Ratio>(&CLEANLINESS, model.cleanliness.as_deref())?;
    let availability = form.may::<Ratio>(&AVAILABILITY, model.availability.as_deref())?;
    let rated = form.may::<Power>(&RATED, model.rated.as_deref())?.map(kilowatts);
    let area = form.may::<Area>(&AREA, model.mirror_area.as_deref())?;
    let (Some(at_zero), Some(rise), Some(standby)) = (at_zero, rise, standby) else {
        return Ok(None);
    };
    let refuse = |field: &str, what: &str| {
        form.refuse(
            "not_above_zero",
            field,
            format!("The {what} is not above zero."),
            "Check the number; leave the field out when it is not known.",
        )
    };
    if rise <= 0.0 {
        return Err(refuse("rise_per_1000", "rise of net power"));
    }
    if rated.is_some_and(|rated| rated <= 0.0) {
        return Err(refuse("rated", "rated net power"));
    }
    if area.is_some_and(|area| area.square_metres() <= 0.0) {
        return Err(refuse("mirror_area", "mirror area"));
    }
    let rise = rise / 1000.0;
    let meets_zero = -at_zero / rise;
    Ok(Some(ReadModel {
        threshold_from_line: runs_from.is_none(),
        dish: Dish {
            at_zero,
            rise,
            largest,
            runs_from: runs_from.map_or(meets_zero, Irradiance::watts_per_square_metre),
            standby,
            own_use: own_use.unwrap_or(0.0),
            cleanliness: cleanliness.map_or(1.0, Ratio::fraction),
            availability: availability.map_or(1.0, Ratio::fraction),
        },
        rated,
        area: area.map(Area::square_metres),
    }))
}
