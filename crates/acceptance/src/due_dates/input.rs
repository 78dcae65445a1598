//! What the calculation takes, and reading it.

use quantity::{Dimension, Duration, Ratio};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::task::{Known, Stated};
use crate::calendar::Day;
use crate::form::{Form, Place, between, free};
use crate::steps::whole;
use crate::time::Moment;
use crate::{Refusal, schema};

/// What the calculation takes.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// The moment for which it is asked what is due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub as_of: Option<String>,
    /// The tasks.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tasks: Vec<Task>,
    /// Window of every task that names none of its own: this share before and after. Left out, there
    /// is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub window: Option<String>,
    /// Holds whose length is looked at.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holds: Vec<Hold>,
    /// Where the intervals come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// A recurring task.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// What is to be done, and to what.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// The day it was last done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::day")]
    pub last_done: Option<String>,
    /// Interval by the calendar.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Every")]
    pub every: Option<Every>,
    /// Interval by operating hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub every_hours: Option<String>,
    /// Hours of the part when it was last done; counter and offset together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub hours_at_last: Option<String>,
    /// Hours of the part now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub hours_now: Option<String>,
    /// Hours that it runs a day, for the forecast; left out, as it ran since last done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub hours_per_day: Option<String>,
    /// Window of this task.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub window: Option<String>,
}

/// An interval by the calendar.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Every {
    /// How many.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::count")]
    pub count: Option<String>,
    /// Of what.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Unit")]
    pub unit: Option<Unit>,
}

/// Unit of an interval by the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Days.
    Days,
    /// Weeks.
    Weeks,
    /// Months.
    Months,
    /// Years.
    Years,
}

/// A hold with its beginning and end.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Hold {
    /// What was held.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub name: Option<String>,
    /// When it began.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub start: Option<String>,
    /// When it ended.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::moment")]
    pub end: Option<String>,
    /// How long it has to be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::duration")]
    pub required: Option<String>,
}

/// A hold, read.
#[derive(Debug)]
pub(super) struct Held {
    pub(super) name: String,
    pub(super) start: Moment,
    pub(super) end: Moment,
    /// In s.
    pub(super) required: Option<f64>,
    pub(super) required_text: String,
}

/// A task, read as far as it could be.
#[derive(Debug)]
pub(super) struct Planned {
    pub(super) name: String,
    pub(super) interval: String,
    pub(super) last: String,
    /// None where something is missing.
    pub(super) known: Option<Known>,
}

/// What was read.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) as_of: Option<Moment>,
    pub(super) tasks: Vec<Planned>,
    pub(super) holds: Vec<Held>,
    /// How many holds miss something.
    pub(super) holds_missing: usize,
    pub(super) source: Option<String>,
}

const HOURS: &[Dimension] = &[Dimension::Duration];
const EVERY: Place = free("every_hours", "interval by operating hours", HOURS);
const AT_LAST: Place = free("hours_at_last", "hours when last done", HOURS);
const NOW: Place = free("hours_now", "hours now", HOURS);
const PER_DAY: Place = between("hours_per_day", "hours a day", HOURS, (0, 24, "h"));
const WINDOW: Place = between("window", "window", &[Dimension::Ratio], (0, 50, "%"));
const REQUIRED: Place = free("required", "length that is required", HOURS);

fn hours(form: &mut Form, place: &Place, text: Option<&str>) -> Result<Option<f64>, Refusal> {
    let read = form.may::<Duration>(place, text)?.map(|time| time.seconds() / 3600.0);
    match read {
        Some(hours) if hours < 0.0 => Err(form.refuse(
            "negative",
            place.field,
            format!("The {} are below zero.", place.meaning),
            "Read the counter again.",
        )),
        read => Ok(read),
    }
}

/// Reads everything; none when there is nothing to compute with.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Plan>, Refusal> {
    let as_of = Moment::read(form, "as_of", "moment asked for", input.as_of.as_deref())?;
    if input.tasks.is_empty() && input.holds.is_empty() {
        form.miss("tasks", "tasks or holds");
    }
    if as_of.is_none() && !input.tasks.is_empty() {
        form.miss("as_of", "moment asked for");
    }
    let window = form.may::<Ratio>(&WINDOW, input.window.as_deref())?.map(Ratio::fraction);
    let mut tasks = Vec::new();
    for (number, task) in input.tasks.iter().enumerate() {
        let planned =
            form.within(&format!("tasks[{number}]"), |form| planned(form, task, as_of, window))?;
        let name = task.name.clone().unwrap_or_else(|| format!("task {}", number + 1));
        tasks.push(Planned { name, ..planned });
    }
    let mut holds = Vec::new();
    for (number, hold) in input.holds.iter().enumerate() {
        let held = form.within(&format!("holds[{number}]"), |form| held(form, hold))?;
        let name = hold.name.clone().unwrap_or_else(|| format!("hold {}", number + 1));
        holds.extend(held.map(|held| Held { name, ..held }));
    }
    if (as_of.is_none() && holds.is_empty()) || (tasks.is_empty() && input.holds.is_empty()) {
        return Ok(None);
    }
    let holds_missing = input.holds.len() - holds.len();
    Ok(Some(Plan { as_of, tasks, holds, holds_missing, source: input.source.clone() }))
}

fn planned(
    form: &mut Form,
    task: &Task,
    as_of: Option<Moment>,
    common: Option<f64>,
) -> Result<Planned, Refusal> {
    if let Some(name) = &task.name {
        form.show("name", "task", name);
    }
    let last = Day::read(form, "last_done", "day last done", task.last_done.as_deref())?;
    if last.is_none() {
        form.miss("last_done", "day last done");
    }
    let every = match &task.every {
        Some(every) => form.within("every", |form| interval(form, every))?,
        None => None,
    };
    let by_hours = hours(form, &EVERY, task.every_hours.as_deref())?;
    if by_hours.is_some_and(|hours| hours <= 0.0) {
        return Err(form.refuse(
            "not_above_zero",
            EVERY.field,
            "An interval of no hours is none.",
            "Leave it out where the task goes by the calendar alone.",
        ));
    }
    let at_last = hours(form, &AT_LAST, task.hours_at_last.as_deref())?;
    let now = hours(form, &NOW, task.hours_now.as_deref())?;
    let per_day = hours(form, &PER_DAY, task.hours_per_day.as_deref())?;
    let window = form.may::<Ratio>(&WINDOW, task.window.as_deref())?.map(Ratio::fraction);
    if task.every.is_none() && by_hours.is_none() {
        form.miss("every", "interval by calendar or by hours");
    }
    if by_hours.is_some() {
        for (given, place) in [(at_last, &AT_LAST), (now, &NOW)] {
            if given.is_none() {
                form.miss(place.field, place.meaning);
            }
        }
    }
    if let Some((before, after)) = at_last.zip(now)
        && after < before
    {
        return Err(form.refuse(
            "runs_backwards",
            NOW.field,
            "The hours now are fewer than when the task was last done.",
            "After a change of the counter add its offset: hours follow the part, not the counter.",
        ));
    }
    if let Some((last, as_of)) = last.zip(as_of)
        && Day::of(as_of) < last
    {
        return Err(form.refuse(
            "done_in_the_future",
            "last_done",
            "The task was last done after the moment asked for.",
            "Check the day, and the clock of the device that recorded it.",
        ));
    }
    let words: Vec<_> = [
        every.as_ref().map(|(_, _, words)| words.clone()),
        task.every_hours.as_ref().map(|text| text.trim().to_owned()),
    ]
    .into_iter()
    .flatten()
    .collect();
    let hours_known = by_hours.is_none() || (at_last.is_some() && now.is_some());
    let calendar_known = task.every.is_none() || every.is_some();
    let any = every.is_some() || by_hours.is_some();
    let known = last.filter(|_| hours_known && calendar_known && any).map(|last| Known {
        last,
        every: every.map(|(count, unit, _)| (count, unit)),
        hours: by_hours.zip(at_last).zip(now).map(|((interval, at_last), now)| Stated {
            interval,
            run: now - at_last,
            per_day,
        }),
        window: window.or(common).unwrap_or(0.0),
    });
    Ok(Planned {
        name: String::new(),
        interval: if words.is_empty() { "–".to_owned() } else { words.join(" or ") },
        last: last.map_or_else(|| "–".to_owned(), Day::text),
        known,
    })
}

fn interval(form: &mut Form, every: &Every) -> Result<Option<(i64, Unit, String)>, Refusal> {
    let count = whole(form, "count", "number of an interval", (1, 1200), every.count.as_deref())?;
    if count.is_none() {
        form.miss("count", "number of an interval");
    }
    let Some(unit) = every.unit else {
        form.miss("unit", "unit of an interval");
        return Ok(None);
    };
    let word = match unit {
        Unit::Days => "d",
        Unit::Weeks => "weeks",
        Unit::Months => "months",
        Unit::Years => "years",
    };
    form.show("unit", "unit of an interval", word);
    Ok(count.map(|count| (i64::from(count), unit, format!("{count} {word}"))))
}

fn held(form: &mut Form, hold: &Hold) -> Result<Option<Held>, Refusal> {
    let read = |form: &mut Form, field: &'static str, meaning: &'static str, text: Option<&str>| {
        if text.is_none() {
            form.miss(field, meaning);
        }
        let path = form.path(field);
        Moment::read(form, field, meaning, text)
            .map_err(|refusal| Refusal { field: path, ..refusal })
    };
    let start = read(form, "start", "beginning of the hold", hold.start.as_deref())?;
    let end = read(form, "end", "end of the hold", hold.end.as_deref())?;
    let required = form.may::<Duration>(&REQUIRED, hold.required.as_deref())?;
    let Some((start, end)) = start.zip(end) else { return Ok(None) };
    if end.seconds < start.seconds {
        return Err(form.refuse(
            "end_before_start",
            "end",
            "The hold ends before it begins.",
            "Check days, times and offsets from UTC.",
        ));
    }
    Ok(Some(Held {
        name: String::new(),
        start,
        end,
        required: required.map(Duration::seconds),
        required_text: hold.required.clone().unwrap_or_else(|| "–".to_owned()),
    }))
}
