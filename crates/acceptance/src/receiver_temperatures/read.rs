//! From texts to channels, scans and the warming test.

use std::collections::BTreeMap;

use quantity::{Angle, Dimension, Ratio, Temperature, TemperatureDifference, significant};

use super::input::{Input, Pattern, SpreadOf};
use super::thermocouple::tolerance;
use crate::Refusal;
use crate::doubt::stated;
use crate::form::{Form, Place, between};
use crate::limit::{self, ReadLimit, Side};

/// A thermocouple.
#[derive(Debug, Clone)]
pub(super) struct Channel {
    pub(super) name: String,
    pub(super) quadrant: String,
    pub(super) place: Option<String>,
    /// In rad, clockwise from up.
    pub(super) bearing: Option<f64>,
}

/// What a channel showed: kelvin, or none where it is open.
pub(super) type Shown = Option<f64>;

/// A place that was warmed: number of its channel, and the rise of each channel in K.
#[derive(Debug, Clone)]
pub(super) struct Warmed {
    pub(super) place: usize,
    pub(super) rises: Vec<f64>,
}

/// What is known of each channel's error.
#[derive(Debug, Clone)]
pub(super) struct Doubt {
    pub(super) text: String,
    /// Standard uncertainty of each channel at its last reading, in K; none where it is open.
    pub(super) standard: Vec<Option<f64>>,
    pub(super) by_class: bool,
}

/// Everything, read.
#[derive(Debug)]
pub(super) struct Survey {
    pub(super) channels: Vec<Channel>,
    /// Scan by scan, channel by channel.
    pub(super) scans: Vec<Vec<Shown>>,
    pub(super) scan_name: Option<String>,
    pub(super) pattern: Option<Pattern>,
    /// In K, channel by channel.
    pub(super) expected: Vec<f64>,
    pub(super) false_alarm: f64,
    pub(super) warming: Vec<Warmed>,
    pub(super) answer: f64,
    pub(super) set_point: Option<f64>,
    pub(super) spread_of: Option<SpreadOf>,
    pub(super) spread_alarm: Option<ReadLimit<TemperatureDifference>>,
    pub(super) spread_trip: Option<ReadLimit<TemperatureDifference>>,
    pub(super) highest: Option<ReadLimit<Temperature>>,
    /// Source of the rule that every thermocouple is identified.
    pub(super) identity: Option<Option<String>>,
    pub(super) doubt: Option<Doubt>,
}

const READING: Place = between("reading", "reading", &[Dimension::Temperature], (-60, 1800, "°C"));
const OPEN_AT: Place =
    between("open_at", "reading of an open circuit", &[Dimension::Temperature], (0, 10_000, "°C"));
const SET_POINT: Place =
    between("set_point", "set point", &[Dimension::Temperature], (0, 1500, "°C"));
const EXPECTED: Place =
    between("expected", "temperature expected", &[Dimension::Temperature], (-60, 1800, "°C"));
const RISE: Place = between("rise", "rise", &[Dimension::TemperatureDifference], (-200, 1000, "K"));
const ANSWER: Place = between(
    "answer_at_least",
    "rise from which a channel answers",
    &[Dimension::TemperatureDifference],
    (0, 500, "K"),
);
const BEARING: Place = between("bearing", "bearing", &[Dimension::Angle], (-360, 360, "°"));
const FALSE_ALARM: Place =
    between("false_alarm", "probability of a false alarm", &[Dimension::Ratio], (0, 100, "%"));
/// Probability of a false alarm where none is asked for. Common practice, no source.
const USUAL: f64 = 0.01;
/// Most channels and scans.
const MOST: usize = 200;

/// Reads the input; none when something needed is missing.
pub(super) fn read(form: &mut Form, input: &Input) -> Result<Option<Survey>, Refusal> {
    let channels = channels(form, input)?;
    if input.scans.is_empty() && input.warming.is_empty() {
        form.miss("scans", "readings of the channels");
    }
    if channels.len() > MOST || input.scans.len() > MOST {
        return Err(form.refuse(
            "too_many",
            "channels",
            format!("There are more than {MOST} channels or scans."),
            "Give the channels of one receiver.",
        ));
    }
    let open_at = form.may::<Temperature>(&OPEN_AT, input.open_at.as_deref())?;
    let scans = scans(form, input, &channels, open_at.map(Temperature::kelvins))?;
    let expected = pattern(form, input, &channels)?;
    let false_alarm = form.may::<Ratio>(&FALSE_ALARM, input.false_alarm.as_deref())?;
    let false_alarm = false_alarm.map_or(USUAL, Ratio::fraction);
    if !(false_alarm > 0.0 && false_alarm < 0.5) {
        return Err(form.refuse(
            "out_of_range",
            "false_alarm",
            "That is no probability of a false alarm.",
            "Give more than 0 % and less than 50 %; 1 % is usual.",
        ));
    }
    let warming = warming(form, input, &channels)?;
    let answer = match input.warming.is_empty() {
        true => form.may::<TemperatureDifference>(&ANSWER, input.answer_at_least.as_deref())?,
        false => form.take::<TemperatureDifference>(&ANSWER, input.answer_at_least.as_deref())?,
    };
    let set_point = form.may::<Temperature>(&SET_POINT, input.set_point.as_deref())?;
    let limits = &input.limits;
    let (alarm, trip, highest) = edges(form, input)?;
    if limits.identity.is_some() && input.warming.is_empty() {
        form.miss("warming", "warming test of the thermocouples");
    }
    let of_scans =
        limits.spread_alarm.is_some() || limits.spread_trip.is_some() || limits.highest.is_some();
    if of_scans && input.scans.is_empty() && !input.warming.is_empty() {
        form.miss("scans", "readings of the channels");
    }
    let doubt = doubt(form, input, scans.last())?;
    if !form.missing.is_empty() {
        return Ok(None);
    }
    Ok(Some(Survey {
        channels,
        scans,
        scan_name: input.scans.last().and_then(|scan| scan.name.clone()),
        pattern: input.pattern,
        expected,
        false_alarm,
        warming,
        answer: answer.map_or(f64::INFINITY, TemperatureDifference::kelvins),
        set_point: set_point.map(Temperature::kelvins),
        spread_of: limits.spread_of,
        spread_alarm: alarm,
        spread_trip: trip,
        highest,
        identity: limits.identity.as_ref().map(|rule| rule.source.clone()),
        doubt,
    }))
}

fn channels(form: &mut Form, input: &Input) -> Result<Vec<Channel>, Refusal> {
    if input.channels.is_empty() {
        form.miss("channels", "thermocouples of the receiver");
    }
    let mut quadrants = BTreeMap::new();
    for (row, given) in input.quadrants.iter().enumerate() {
        let bearing = form.within(&format!("quadrants[{row}]"), |form| {
            form.take::<Angle>(&BEARING, Some(&given.bearing))
        })?;
        quadrants.insert(given.quadrant.as_str(), bearing.map(Angle::radians));
    }
    let shown = form.inputs.len();
    let mut out: Vec<Channel> = Vec::new();
    for (row, given) in input.channels.iter().enumerate() {
        let bearing = form.within(&format!("channels[{row}]"), |form| {
            form.show("channel", "channel", &format!("{}, {}", given.channel, given.quadrant));
            if out.iter().any(|channel| channel.name == given.channel) {
                return Err(form.refuse(
                    "channel_twice",
                    "channel",
                    format!("Channel {} stands twice.", given.channel),
                    "Give every channel once.",
                ));
            }
            form.may::<Angle>(&BEARING, given.bearing.as_deref())
        })?;
        let bearing = bearing
            .map(Angle::radians)
            .or_else(|| quadrants.get(given.quadrant.as_str()).copied().flatten());
        out.push(Channel {
            name: given.channel.clone(),
            quadrant: given.quadrant.clone(),
            place: given.place.clone(),
            bearing,
        });
    }
    form.fold(shown, "channels", "thermocouples of the receiver", input.channels.len());
    Ok(out)
}

/// Refuses a channel that the receiver does not have.
fn known<'a>(
    form: &Form,
    field: &str,
    channels: &[Channel],
    mut names: impl Iterator<Item = &'a String>,
) -> Result<(), Refusal> {
    match names.find(|name| !channels.iter().any(|channel| channel.name == **name)) {
        Some(name) => Err(form.refuse(
            "unknown_channel",
            field,
            format!("“{name}” is none of the channels."),
            "Check its name, or add it to the channels with its quadrant.",
        )),
        None => Ok(()),
    }
}

fn scans(
    form: &mut Form,
    input: &Input,
    channels: &[Channel],
    open_at: Option<f64>,
) -> Result<Vec<Vec<Shown>>, Refusal> {
    let shown = form.inputs.len();
    let mut rows = 0;
    let mut out = Vec::new();
    for (place, scan) in input.scans.iter().enumerate() {
        let part = format!("scans[{place}].readings");
        known(form, &part, channels, scan.readings.keys())?;
        let read = form.within(&part, |form| {
            let mut values = Vec::new();
            for channel in channels {
                let Some(text) = scan.readings.get(&channel.name) else {
                    form.miss(&channel.name, "reading of the channel");
                    continue;
                };
                rows += 1;
                values.push(shown_by(form, &channel.name, text, open_at)?);
            }
            Ok::<_, Refusal>(values)
        })?;
        out.push(read);
    }
    form.fold(shown, "scans", "readings of the channels", rows);
    Ok(out)
}

fn shown_by(
    form: &mut Form,
    name: &str,
    text: &str,
    open_at: Option<f64>,
) -> Result<Shown, Refusal> {
    if text == "open" {
        form.show(name, "reading", text);
        return Ok(None);
    }
    // An open circuit may read far beyond any temperature of a receiver.
    let place = Place { plausible: open_at.map_or(READING.plausible, |_| None), ..READING };
    let read = named(form, name, &place, Some(text))?;
    let kelvins = read.map(Temperature::kelvins);
    Ok(kelvins.filter(|kelvins| open_at.is_none_or(|open| *kelvins < open)))
}

/// Reads a text of a map, named by its key.
fn named<Q: quantity::Si>(
    form: &mut Form,
    name: &str,
    place: &Place,
    text: Option<&str>,
) -> Result<Option<Q>, Refusal> {
    let path = form.path(name);
    let wrong = form.path(place.field);
    let read = form.may::<Q>(place, text).map_err(|refusal| {
        let field = if refusal.field == wrong { path.clone() } else { refusal.field.clone() };
        Refusal { field, ..refusal }
    })?;
    if let Some(line) = form.inputs.last_mut() {
        line.field = path;
    }
    Ok(read)
}

fn pattern(form: &mut Form, input: &Input, channels: &[Channel]) -> Result<Vec<f64>, Refusal> {
    match input.pattern {
        Some(Pattern::Expected) => {
            let shown = form.inputs.len();
            let mut out = Vec::new();
            known(form, "expected", channels, input.expected.keys())?;
            form.within("expected", |form| {
                for channel in channels {
                    let text = input.expected.get(&channel.name).map(String::as_str);
                    if text.is_none() {
                        form.miss(&channel.name, "temperature expected at the channel");
                    }
                    let read = named::<Temperature>(form, &channel.name, &EXPECTED, text)?;
                    out.extend(read.map(Temperature::kelvins));
                }
                Ok::<_, Refusal>(())
            })?;
            form.fold(shown, "expected", "temperatures expected", channels.len());
            return Ok(out);
        }
        Some(Pattern::Symmetrical) => {
            for (row, channel) in channels.iter().enumerate() {
                if channel.place.is_none() {
                    form.miss(&format!("channels[{row}].place"), "place within the quadrant");
                }
            }
        }
        Some(Pattern::FirstScan) if input.scans.len() < 2 => {
            form.miss("scans[1]", "a scan after the first");
        }
        _ => {}
    }
    if input.expected.is_empty() {
        return Ok(Vec::new());
    }
    Err(form.refuse(
        "does_not_belong",
        "expected",
        "Expected temperatures are given, and the pattern is another.",
        "Set pattern to expected, or take them out.",
    ))
}

fn warming(form: &mut Form, input: &Input, channels: &[Channel]) -> Result<Vec<Warmed>, Refusal> {
    let shown = form.inputs.len();
    let mut rows = 0;
    let mut out: Vec<Warmed> = Vec::new();
    for (row, given) in input.warming.iter().enumerate() {
        let warmed = form.within(&format!("warming[{row}]"), |form| {
            known(form, "warmed", channels, core::iter::once(&given.warmed))?;
            known(form, "rises", channels, given.rises.keys())?;
            form.show("warmed", "place warmed", &given.warmed);
            let place = channels.iter().position(|channel| channel.name == given.warmed);
            let place = place.unwrap_or_default();
            if out.iter().any(|other| other.place == place) {
                return Err(form.refuse(
                    "warmed_twice",
                    "warmed",
                    format!("The place of {} was warmed twice.", given.warmed),
                    "Give the test that counts.",
                ));
            }
            let mut rises = Vec::new();
            for channel in channels {
                let text = given.rises.get(&channel.name).map(String::as_str);
                rows += usize::from(text.is_some());
                let read = match text {
                    Some(_) => named::<TemperatureDifference>(form, &channel.name, &RISE, text)?,
                    None => None,
                };
                rises.push(read.map_or(0.0, TemperatureDifference::kelvins));
            }
            Ok(Warmed { place, rises })
        })?;
        out.push(warmed);
    }
    form.fold(shown, "warming", "warming test", rows);
    Ok(out)
}

type Edges = (
    Option<ReadLimit<TemperatureDifference>>,
    Option<ReadLimit<TemperatureDifference>>,
    Option<ReadLimit<Temperature>>,
);

fn edges(form: &mut Form, input: &Input) -> Result<Edges, Refusal> {
    let given = &input.limits;
    form.within("limits", |form| {
        let alarm = given.spread_alarm.as_ref();
        let trip = given.spread_trip.as_ref();
        let highest = given.highest.as_ref();
        if (alarm.is_some() || trip.is_some()) && given.spread_of.is_none() {
            form.miss("spread_of", "which spread the limit is of");
        }
        if let Some(of) = given.spread_of {
            form.show("spread_of", "which spread the limit is of", of.words());
        }
        Ok((
            limit::read(form, "spread_alarm", "limit of the spread, alarm", Side::AtMost, alarm)?,
            limit::read(form, "spread_trip", "limit of the spread, trip", Side::AtMost, trip)?,
            limit::read(form, "highest", "limit of the hottest channel", Side::AtMost, highest)?,
        ))
    })
}

impl SpreadOf {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::QuadrantMeans => "means of the quadrants",
            Self::Channels => "single channels",
        }
    }
}

fn doubt(
    form: &mut Form,
    input: &Input,
    last: Option<&Vec<Shown>>,
) -> Result<Option<Doubt>, Refusal> {
    let given = &input.uncertainty;
    form.within("uncertainty", |form| {
        let scan: &[Shown] = last.map_or(&[], Vec::as_slice);
        if let Some(statement) = &given.channel {
            if given.thermocouple.is_some() || given.class.is_some() {
                return Err(form.refuse(
                    "two_statements",
                    "channel",
                    "Both a class of the thermocouple and a statement in kelvin are given.",
                    "Give the one that is known.",
                ));
            }
            if statement.value.contains('%') {
                return Err(form.refuse(
                    "wrong_unit",
                    "channel",
                    "An uncertainty in percent is given, but percent of °C or of kelvin?",
                    "Give it in kelvin, or type and class of the thermocouple.",
                ));
            }
            const KELVIN: &[Dimension] = &[Dimension::TemperatureDifference];
            let meaning = "uncertainty of a channel";
            let Some(read) = stated(form, "channel", meaning, KELVIN, Some(statement))? else {
                return Ok(None);
            };
            let standard = scan.iter().map(|shown| shown.map(|_| read.of(0.0))).collect();
            return Ok(Some(Doubt { text: read.text, standard, by_class: false }));
        }
        let (kind, class) = match (given.thermocouple, given.class) {
            (None, None) => return Ok(None),
            (Some(kind), Some(class)) => (kind, class),
            (None, _) => {
                form.miss("thermocouple", "type of the thermocouples");
                return Ok(None);
            }
            (_, None) => {
                form.miss("class", "class of the thermocouples");
                return Ok(None);
            }
        };
        let text = format!("type {kind:?}, class {}", class.text());
        form.show("thermocouple", "type and class of the thermocouples", &text);
        let mut standard = Vec::new();
        for shown in scan {
            let Some(kelvins) = shown else {
                standard.push(None);
                continue;
            };
            let celsius = kelvins - 273.15;
            let Some(most) = tolerance(kind, class, celsius) else {
                return Err(form.refuse(
                    "outside_validity",
                    "class",
                    format!(
                        "Thermocouples of {text} have no tolerance at {} °C.",
                        significant(celsius, 4)
                    ),
                    "Check type and class, or give an uncertainty in kelvin.",
                ));
            };
            standard.push(Some(most / libm::sqrt(3.0)));
        }
        let text = format!("{text}: largest error as delivered, rectangular (/√3)");
        Ok(Some(Doubt { text, standard, by_class: true }))
    })
}
