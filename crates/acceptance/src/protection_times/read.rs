//! Reading the tests, in pu, Hz and s.

use quantity::{Dimension, Duration, Frequency, Ratio, Si, Voltage};
use rust_decimal::prelude::ToPrimitive;

use super::input::{Capacitors, Category, EnterService, Input, Island, Kind, Test, Tolerances};
use super::lines::{Line, sheet};
use super::standard;
use super::values::{NOMINAL_VOLTAGE, SET_TIME, TIME, Typed, relay_value, seconds};
use crate::form::{Form, Place, between, free};
use crate::limit::{ReadLimit, Side, StatedLimit};
use crate::{Refusal, limit};

/// What came of an injection.
#[derive(Debug, Clone, Copy)]
pub(super) enum Came {
    Trip(f64),
    NoTrip(f64),
}

/// An injection test, read; `line` is its place in the sheet.
#[derive(Debug)]
pub(super) struct Point {
    pub(super) line: usize,
    pub(super) set_value: Option<Typed>,
    pub(super) set_time: Option<Typed>,
    pub(super) pickup: Option<f64>,
    pub(super) injected: Option<f64>,
    pub(super) came: Option<Came>,
    pub(super) must_not_trip: bool,
    pub(super) others_blocked: bool,
}

/// Tolerances in pu, Hz, as a share, and in s.
#[derive(Debug, Clone, Copy)]
pub(super) struct Accuracy {
    pub(super) voltage: f64,
    pub(super) frequency: f64,
    pub(super) long_time: f64,
    pub(super) short_time: f64,
    /// Whether any of them is the standard's.
    pub(super) quoted: bool,
}

impl Accuracy {
    pub(super) fn of(&self, kind: Kind) -> f64 {
        if kind.of_voltage() { self.voltage } else { self.frequency }
    }

    pub(super) fn of_time(&self, seconds: f64) -> f64 {
        if seconds >= 5.0 { self.long_time * seconds } else { self.short_time }
    }
}

/// A re-connection, read.
#[derive(Debug)]
pub(super) struct Entered {
    pub(super) delay: Option<f64>,
    pub(super) voltage: Option<f64>,
    pub(super) frequency: Option<f64>,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Relay {
    pub(super) category: Option<Category>,
    pub(super) source: Option<String>,
    pub(super) lines: Vec<Line>,
    pub(super) accuracy: Accuracy,
    pub(super) breaker: Option<f64>,
    pub(super) points: Vec<Point>,
    pub(super) islands: Vec<(Capacitors, Came)>,
    pub(super) island_limit: Option<ReadLimit<Duration>>,
    pub(super) entered: Option<Entered>,
    pub(super) enter_limit: Option<ReadLimit<Duration>>,
}

const NOMINAL: Place =
    between("nominal_frequency", "nominal frequency", &[Dimension::Frequency], (10, 1000, "Hz"));
const BREAKER: Place = between("breaker_time", "opening time of the breaker", TIME, (0, 10, "s"));
const TRIP: Place = free("trip_time", "time to trip", TIME);
const NO_TRIP: Place = free("no_trip_for", "time without a trip", TIME);
const DELAY: Place = free("delay", "time to re-connection", TIME);

/// Reads everything; none when nothing can be judged for what is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Relay>, Refusal> {
    let nominal = form.may::<Frequency>(&NOMINAL, input.nominal_frequency.as_deref())?;
    let nominal = nominal.map(Si::si);
    let volts = form.may::<Voltage>(&NOMINAL_VOLTAGE, input.nominal_voltage.as_deref())?;
    let volts = volts.map(Si::si);
    if nominal.is_none() && (!input.tests.is_empty() || input.ieee_1547.is_some()) {
        form.miss(NOMINAL.field, NOMINAL.meaning);
    }
    if let (Some(_), Some(hertz)) = (input.ieee_1547, nominal)
        && (hertz - 60.0).abs() > 1e-9
    {
        return Err(form.refuse(
            "standard_is_for_60_hz",
            "ieee_1547",
            format!("The thresholds of IEEE 1547 are for 60 Hz, and the network has {hertz} Hz."),
            "Give the utility's own sheet, without a category.",
        ));
    }
    let lines = sheet(form, input, volts)?;
    let nothing =
        input.tests.is_empty() && input.islands.is_empty() && input.enter_service.is_none();
    if nothing {
        form.miss("tests", "injection tests");
    }
    if lines.is_empty() && input.sheet.is_empty() && !input.tests.is_empty() {
        form.miss("sheet", "sheet of settings");
    }
    let accuracy = accuracy(form, &input.tolerances, nominal)?;
    let breaker = seconds(form, &BREAKER, input.breaker_time.as_deref())?;
    // A sheet that could not be read in full is no sheet to find functions on.
    let whole = lines.len() >= input.sheet.len();
    let mut points = Vec::new();
    for (number, test) in input.tests.iter().enumerate().filter(|_| whole && !lines.is_empty()) {
        let path = format!("tests[{number}]");
        points.extend(form.within(&path, |form| point(form, test, &lines, volts))?);
    }
    if whole && !lines.is_empty() {
        needs_settings(form, input, &lines, &points);
    }
    let mut islands = Vec::new();
    for (number, case) in input.islands.iter().enumerate() {
        islands.extend(form.within(&format!("islands[{number}]"), |form| island(form, case))?);
    }
    let entered = match &input.enter_service {
        Some(case) => Some(form.within("enter_service", |form| entered(form, case, volts))?),
        None => None,
    };
    let island_limit = time_limit(
        form,
        ("island_limit", "longest time to trip after loss of the grid", Side::AtMost),
        input.island_limit.as_ref(),
        (input.ieee_1547.is_some(), "2 s", standard::ISLAND),
        !input.islands.is_empty(),
    )?;
    let enter_limit = time_limit(
        form,
        ("enter_service_limit", "shortest wait before re-connection", Side::AtLeast),
        input.enter_service_limit.as_ref(),
        (input.ieee_1547.is_some(), "300 s", standard::ENTER),
        input.enter_service.is_some(),
    )?;
    let nothing_read = points.is_empty() && islands.is_empty() && entered.is_none();
    let Some(accuracy) = accuracy.filter(|_| !nothing_read) else { return Ok(None) };
    if !whole || (nominal.is_none() && !points.is_empty()) {
        return Ok(None);
    }
    Ok(Some(Relay {
        category: input.ieee_1547,
        source: input.sheet_source.clone(),
        lines,
        accuracy,
        breaker,
        points,
        islands,
        island_limit,
        entered,
        enter_limit,
    }))
}

/// Every tested function needs what it is set to, once.
fn needs_settings(form: &mut Form, input: &Input, lines: &[Line], points: &[Point]) {
    for place in 0..lines.len() {
        let of = || points.iter().filter(|point| point.line == place);
        let Some(first) = input.tests.iter().position(|test| {
            lines
                .get(place)
                .is_some_and(|line| Some(line.name.as_str()) == test.function.as_deref())
        }) else {
            continue;
        };
        form.within(&format!("tests[{first}]"), |form| {
            if of().all(|point| point.set_value.is_none()) {
                form.miss("set_value", "threshold that the relay is set to");
            }
            if of().all(|point| point.set_time.is_none()) {
                form.miss("set_time", "delay that the relay is set to");
            }
        });
    }
}

fn time_limit(
    form: &mut Form,
    (field, meaning, side): (&'static str, &'static str, Side),
    stated: Option<&StatedLimit>,
    (standard, value, source): (bool, &str, &str),
    needed: bool,
) -> Result<Option<ReadLimit<Duration>>, Refusal> {
    if stated.is_some() || !standard {
        if stated.is_none() && needed {
            form.miss(field, meaning);
        }
        return limit::read(form, field, meaning, side, stated);
    }
    let quoted = StatedLimit {
        value: Some(value.to_owned()),
        source: Some(source.to_owned()),
        ..StatedLimit::default()
    };
    limit::read(&mut Form::default(), field, meaning, side, Some(&quoted))
}

fn accuracy(
    form: &mut Form,
    tolerances: &Tolerances,
    nominal: Option<f64>,
) -> Result<Option<Accuracy>, Refusal> {
    form.within("tolerances", |form| {
        let voltage = free("voltage", "tolerance of voltage", &[Dimension::Ratio]);
        let voltage = form.may::<Ratio>(&voltage, tolerances.voltage.as_deref())?.map(Si::si);
        let frequency = free("frequency", "tolerance of frequency", &[Dimension::Frequency]);
        let frequency =
            form.may::<Frequency>(&frequency, tolerances.frequency.as_deref())?.map(Si::si);
        let long = free("long_time", "tolerance of a time from 5 s", &[Dimension::Ratio]);
        let long = form.may::<Ratio>(&long, tolerances.long_time.as_deref())?.map(Si::si);
        let short = free("short_time", "tolerance of a time below 5 s", TIME);
        let short = seconds(form, &short, tolerances.short_time.as_deref())?;
        if [voltage, frequency, long].into_iter().flatten().any(|size| size < 0.0) {
            return Err(form.refuse(
                "negative",
                "voltage",
                "A tolerance is below zero.",
                "Type tolerances without sign.",
            ));
        }
        let quoted = [voltage, frequency, long, short].iter().any(Option::is_none);
        // Without a nominal frequency no injection is judged, and no cycle is needed.
        let cycle = nominal.map_or(0.0, |hertz| 1.0 / hertz);
        Ok(Some(Accuracy {
            voltage: voltage.unwrap_or(standard::VOLTAGE),
            frequency: frequency.unwrap_or(standard::FREQUENCY),
            long_time: long.unwrap_or(standard::TIME_SHARE),
            short_time: short.unwrap_or(standard::TIME_CYCLES * cycle),
            quoted,
        }))
    })
}

fn came(
    form: &mut Form,
    trip: Option<&str>,
    no_trip: Option<&str>,
    needed: bool,
) -> Result<Option<Came>, Refusal> {
    let trip = seconds(form, &TRIP, trip)?;
    let none = seconds(form, &NO_TRIP, no_trip)?;
    match (trip, none) {
        (Some(_), Some(_)) => Err(form.refuse(
            "trip_and_no_trip",
            NO_TRIP.field,
            "A time to trip and a time without a trip are given.",
            "Give one of them.",
        )),
        (Some(time), None) => Ok(Some(Came::Trip(time))),
        (None, Some(time)) => Ok(Some(Came::NoTrip(time))),
        (None, None) => {
            if needed {
                form.miss(TRIP.field, "time to trip, or time without a trip");
            }
            Ok(None)
        }
    }
}

fn point(
    form: &mut Form,
    test: &Test,
    lines: &[Line],
    volts: Option<f64>,
) -> Result<Option<Point>, Refusal> {
    let Some(name) = &test.function else {
        form.miss("function", "function that is tested");
        return Ok(None);
    };
    form.show("function", "function that is tested", name);
    let Some((place, line)) = lines.iter().enumerate().find(|(_, line)| line.name == *name) else {
        let known: Vec<_> = lines.iter().map(|line| line.name.as_str()).collect();
        return Err(form.refuse(
            "not_on_the_sheet",
            "function",
            format!("“{name}” is not on the sheet."),
            format!("The sheet has {}.", known.join(", ")),
        ));
    };
    let voltage = line.kind.of_voltage();
    let mut value = |field, meaning, text: &Option<String>| {
        relay_value(form, (field, meaning), voltage, volts, text.as_deref())
    };
    let set_value = value("set_value", "threshold that the relay is set to", &test.set_value)?;
    let pickup = value("pickup", "pick-up value", &test.pickup)?;
    let injected = value("injected", "injected value", &test.injected)?;
    let set_reading = form.optional(&SET_TIME, test.set_time.as_deref())?;
    let set_time = match &set_reading {
        Some(reading) => {
            let time = crate::form::exact::<Duration>(&SET_TIME, reading)
                .map_err(|refusal| Refusal { field: form.path(SET_TIME.field), ..refusal })?;
            let digit = reading.base_resolution().to_f64().unwrap_or(0.0);
            Some(Typed { value: time.seconds(), half_digit: 0.5 * digit })
        }
        None => None,
    };
    let came =
        came(form, test.trip_time.as_deref(), test.no_trip_for.as_deref(), injected.is_some())?;
    if test.injected.is_none() && came.is_some() {
        form.miss("injected", "injected value");
    }
    if set_time.is_some_and(|time| time.value < 0.0) {
        return Err(form.refuse(
            "negative",
            SET_TIME.field,
            "The set time is below zero.",
            "Type the time without sign.",
        ));
    }
    Ok(Some(Point {
        line: place,
        set_value,
        set_time,
        pickup: pickup.map(|typed| typed.value),
        injected: injected.map(|typed| typed.value),
        came,
        must_not_trip: test.must_not_trip,
        others_blocked: test.others_blocked,
    }))
}

fn island(form: &mut Form, case: &Island) -> Result<Option<(Capacitors, Came)>, Refusal> {
    match case.capacitors {
        Some(state) => form.show("capacitors", "capacitor bank", capacitors(state)),
        None => form.miss("capacitors", "state of the capacitor bank"),
    }
    let came = came(form, case.trip_time.as_deref(), case.no_trip_for.as_deref(), true)?;
    Ok(case.capacitors.zip(came))
}

pub(super) const fn capacitors(state: Capacitors) -> &'static str {
    match state {
        Capacitors::In => "in",
        Capacitors::Out => "out",
        Capacitors::NoneFitted => "none fitted",
    }
}

fn entered(form: &mut Form, case: &EnterService, volts: Option<f64>) -> Result<Entered, Refusal> {
    let delay = seconds(form, &DELAY, case.delay.as_deref())?;
    if delay.is_none() {
        form.miss(DELAY.field, DELAY.meaning);
    }
    let names = ("voltage", "voltage when it connected");
    let voltage = relay_value(form, names, true, volts, case.voltage.as_deref())?;
    let names = ("frequency", "frequency when it connected");
    let frequency = relay_value(form, names, false, volts, case.frequency.as_deref())?;
    Ok(Entered {
        delay,
        voltage: voltage.map(|typed| typed.value),
        frequency: frequency.map(|typed| typed.value),
    })
}
