//! From texts to dry periods.

use quantity::{Dimension, Field, Ratio};
use rust_decimal::prelude::ToPrimitive as _;

use super::input::{EventKind, Input, RateFrom};
use crate::Refusal;
use crate::doubt::{Stated, stated};
use crate::form::{Form, Place, between};
use crate::pressure_decay::Rule;
use crate::time::Moment;

/// Cleanliness at a time, in days by the wall clock since 1970-01-01.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    pub(super) day: f64,
    pub(super) value: f64,
}

/// Something that ended a dry period.
#[derive(Debug, Clone, Copy)]
pub(super) struct Event {
    pub(super) day: f64,
    pub(super) kind: EventKind,
}

/// A dry period: what began it, and its readings in order of time.
#[derive(Debug, Clone)]
pub(super) struct Period {
    pub(super) begun_by: Option<Event>,
    pub(super) readings: Vec<Reading>,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Survey {
    /// In order of time; the last is that after the last event, and may be without a reading.
    pub(super) periods: Vec<Period>,
    pub(super) threshold: Option<f64>,
    pub(super) threshold_source: Option<String>,
    pub(super) rate_from: RateFrom,
    pub(super) planned: Option<f64>,
    pub(super) rule: Rule,
    pub(super) confidence: f64,
    /// Cost of a wash, and what a clean day brings.
    pub(super) economics: Option<(f64, f64)>,
    pub(super) shared: Option<Stated>,
}

const RATIO: &[Dimension] = &[Dimension::Ratio];
/// A little above 1, since a reading against a reference scatters.
const VALUE: Place = between("value", "cleanliness", RATIO, (0, 110, "%"));
const THRESHOLD: Place = between("threshold", "threshold of the wash", RATIO, (0, 110, "%"));
const CONFIDENCE: Place = between("confidence", "confidence", RATIO, (0, 100, "%"));
/// Confidence of the intervals where none is asked for. Common practice, no source.
const USUAL: f64 = 0.95;
/// Gaps that are named before the reading of a long list stops.
const GAPS: usize = 20;
/// Most points: their pairs are what takes time.
const MOST: usize = 1_000;

/// A time as typed: its place in days, and whether only the day is known.
#[derive(Debug, Clone, Copy)]
struct When {
    day: f64,
    whole: bool,
}

/// Reads the input; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let threshold = form.may::<Ratio>(&THRESHOLD, input.threshold.as_deref())?.map(Ratio::fraction);
    let confidence = confidence(form, input)?;
    let planned = planned(form, input)?;
    if planned.is_some() && threshold.is_none() {
        form.miss("threshold", THRESHOLD.meaning);
    }
    let economics = economics(form, input)?;
    let shared = form.within("uncertainty", |form| {
        let of = "uncertainty that all points share";
        stated(form, "shared", of, RATIO, input.uncertainty.shared.as_ref())
    })?;
    if input.points.is_empty() {
        form.miss("points", "cleanliness, day by day");
    }
    if input.points.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "points",
            format!("There are more than {MOST} points."),
            "Give the mean of each survey, not each spot.",
        ));
    }
    let events = events(form, input)?;
    let points = points(form, input, &events)?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    let events: Vec<Event> = events.into_iter().map(|(event, _)| event).collect();
    Ok(Some(Survey {
        periods: periods(points, &events),
        threshold,
        threshold_source: input.threshold_source.clone(),
        rate_from: input.rate_from.unwrap_or(RateFrom::AllPeriods),
        planned,
        rule: input.rule.unwrap_or(Rule::Simple),
        confidence,
        economics,
        shared,
    }))
}

fn confidence(form: &mut Form, input: &Input) -> Result<f64, Refusal> {
    let read = form.may::<Ratio>(&CONFIDENCE, input.confidence.as_deref())?;
    let confidence = read.map_or(USUAL, Ratio::fraction);
    if (0.5..1.0).contains(&confidence) {
        return Ok(confidence);
    }
    Err(form.refuse(
        "out_of_range",
        "confidence",
        "That is no confidence of an interval.",
        "Give 50 % to below 100 %; 95 % is usual.",
    ))
}

/// Reads a day or a moment.
fn when(form: &mut Form, meaning: &str, text: Option<&str>) -> Result<Option<When>, Refusal> {
    let Some(text) = text else {
        form.miss("at", meaning);
        return Ok(None);
    };
    form.show("at", meaning, text);
    let whole = text.len() == 10;
    let moment = match whole {
        // By noon, which is where a survey lies on average.
        true => Moment::parse(&format!("{text}T12:00:00+00:00")),
        false => Moment::parse(text),
    };
    let Some(moment) = moment else {
        return Err(form.refuse(
            "malformed",
            "at",
            format!("“{text}” is neither a day nor a moment."),
            "Write it as 2026-08-25, or as 2026-08-25T18:10:00-04:00.",
        ));
    };
    #[expect(clippy::cast_precision_loss, reason = "a number of seconds, far below 2^53")]
    let local = (moment.seconds + moment.offset) as f64;
    Ok(Some(When { day: local / 86_400.0, whole }))
}

fn planned(form: &mut Form, input: &Input) -> Result<Option<f64>, Refusal> {
    let Some(text) = input.planned_wash.as_deref() else { return Ok(None) };
    form.show("planned_wash", "day of the planned wash", text);
    let Some(moment) = Moment::parse(&format!("{text}T00:00:00+00:00")) else {
        return Err(form.refuse(
            "malformed",
            "planned_wash",
            format!("“{text}” is no day."),
            "Write it as 2026-08-25.",
        ));
    };
    Ok(Some(moment.unix() / 86_400.0))
}

fn economics(form: &mut Form, input: &Input) -> Result<Option<(f64, f64)>, Refusal> {
    let Some(given) = &input.economics else { return Ok(None) };
    form.within("economics", |form| {
        let mut money = |field: &str, meaning: &str, text: Option<&str>| {
            let Some(text) = text else {
                form.miss(field, meaning);
                return Ok(None);
            };
            form.show(field, meaning, text);
            quantity::parse(text, &Field::of(Dimension::Ratio))
                .ok()
                .filter(|reading| reading.unit().symbol() == "1")
                .and_then(|reading| reading.base().to_f64())
                .filter(|amount| *amount > 0.0)
                .map(Some)
                .ok_or_else(|| {
                    form.refuse(
                        "out_of_range",
                        field,
                        format!("“{text}” is no amount above zero."),
                        "Type a number; both amounts are in the same currency.",
                    )
                })
        };
        let wash = money("wash_cost", "cost of a wash", given.wash_cost.as_deref())?;
        let day = money("clean_day", "what a clean day brings", given.clean_day.as_deref())?;
        Ok(wash.zip(day))
    })
}

fn events(form: &mut Form, input: &Input) -> Result<Vec<(Event, bool)>, Refusal> {
    let mut out = Vec::new();
    for (row, event) in input.events.iter().enumerate() {
        form.within(&format!("events[{row}]"), |form| {
            match event.kind {
                Some(kind) => form.show("kind", "what it was", kind.words()),
                None => form.miss("kind", "what it was"),
            }
            let at = when(form, "when it was", event.at.as_deref())?;
            if let (Some(kind), Some(at)) = (event.kind, at) {
                out.push((Event { day: at.day, kind }, at.whole));
            }
            Ok::<_, Refusal>(())
        })?;
        if form.missing.len() > GAPS {
            break;
        }
    }
    out.sort_by(|one, other| one.0.day.total_cmp(&other.0.day));
    Ok(out)
}

fn points(
    form: &mut Form,
    input: &Input,
    events: &[(Event, bool)],
) -> Result<Vec<Reading>, Refusal> {
    let shown = form.inputs.len();
    let mut out = Vec::new();
    for (row, point) in input.points.iter().enumerate() {
        let read = form.within(&format!("points[{row}]"), |form| {
            let at = when(form, "when it was read", point.at.as_deref())?;
            let value = form.take::<Ratio>(&VALUE, point.value.as_deref())?;
            let Some((at, value)) = at.zip(value) else { return Ok(None) };
            let same_day = events.iter().find(|(event, whole)| {
                (event.day.floor() - at.day.floor()).abs() < 0.5 && (*whole || at.whole)
            });
            if let Some((event, _)) = same_day {
                return Err(form.refuse(
                    "same_day",
                    "at",
                    format!(
                        "The reading and a {} are on one day, and which came first is not said.",
                        event.kind.words()
                    ),
                    "Give both as moments, as 2026-09-08T11:30:00-03:00.",
                ));
            }
            Ok(Some(Reading { day: at.day, value: value.fraction() }))
        })?;
        out.extend(read);
        if form.missing.len() > GAPS {
            break;
        }
    }
    form.fold(shown, "points", "cleanliness, day by day", input.points.len());
    out.sort_by(|one, other| one.day.total_cmp(&other.day));
    Ok(out)
}

fn periods(points: Vec<Reading>, events: &[Event]) -> Vec<Period> {
    let mut out = vec![Period { begun_by: None, readings: Vec::new() }];
    out.extend(events.iter().map(|event| Period { begun_by: Some(*event), readings: Vec::new() }));
    for point in points {
        let place = events.iter().filter(|event| event.day <= point.day).count();
        if let Some(period) = out.get_mut(place) {
            period.readings.push(point);
        }
    }
    out
}

/// The day of the calendar of a place in days.
pub(super) fn date(day: f64) -> String {
    let midnight = Moment { seconds: 0, offset: 0 }.after(86_400.0 * day.floor());
    midnight.text().split('T').next().unwrap_or_default().to_owned()
}
