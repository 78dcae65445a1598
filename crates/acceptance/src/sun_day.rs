//! `sun-day`: rise, passage of the meridian and setting of the sun, and its height through a day.
//!
//! The day is the one of the moment, from midnight to midnight by a clock with the moment's offset;
//! on a day when the clocks change, its two midnights are given. The sun rises when its upper edge
//! shows above a level horizon: geometric elevation −0.833° (34′ of refraction, 16′ of radius).
//! Source: NREL/TP-560-34302. For the years 1950 to 2099; other dates are refused.

use quantity::significant;
use serde_json::Value;

use crate::form::{self, Form};
use crate::registry::example;
use crate::sun::{
    Observation, SPA, Span, beyond, degrees, moment, rim, sources, sun_input, transits, true_north,
    up,
};
use crate::time::Moment;
use crate::{
    Calculation, Figure, Flag, Line, Outcome, Point, Refusal, Series, Sheet, Verdict, schema,
};

const NAME: &str = "sun-day";
const TITLE: &str = "The sun through a day";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Sunrise, passage of the meridian and sunset of a day, and the sun's height through it.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("sun-day", "good-southern-september"),
        example!("sun-day", "good-clock-change"),
        example!("sun-day", "good-polar-night"),
        example!("sun-day", "good-longitude-missing"),
        example!("sun-day", "bad-latitude-without-unit"),
        example!("sun-day", "bad-date-without-time"),
        example!("sun-day", "bad-longitude-in-metres"),
        example!("sun-day", "bad-unknown-field"),
        example!("sun-day", "bad-moment-null"),
        example!("sun-day", "wrong-longitude-beyond-180"),
        example!("sun-day", "wrong-ends-before-it-starts"),
        example!("sun-day", "wrong-three-days"),
    ],
};

sun_input! {
    /// What the calculation takes.
    pub struct Input {
        /// A moment of the day.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::moment")]
        pub at: Option<String>,
        /// The midnight that begins the day. Left out, the one before the moment by a clock with
        /// its offset.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::moment")]
        pub day_start: Option<String>,
        /// The midnight that ends the day. Left out, 24 h after its beginning.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::moment")]
        pub day_end: Option<String>,
    }
}

/// Seconds between two points of the height.
const STEP: f64 = 900.0;
/// The longest day that the clocks make, in seconds. No civil time has shifted by more than two
/// hours at a time; a jump of the date line is not a day. Common practice, no source.
const LONGEST_DAY: f64 = 26.0 * 3600.0;

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a text that is no moment, a date outside 1950
/// to 2099, a day that ends before it begins or lasts more than 26 h.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    let place = Observation::read(&mut form, &input.place())?;
    let at = moment(&mut form, "at", "moment of the day", input.at.as_deref())?;
    let start = "midnight that begins the day";
    let start = Moment::read(&mut form, "day_start", start, input.day_start.as_deref())?;
    let end = "midnight that ends the day";
    let end = Moment::read(&mut form, "day_end", end, input.day_end.as_deref())?;
    let (Some(place), Some(at)) = (place, at) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let start = start.unwrap_or_else(|| at.midnight());
    let end = end.unwrap_or_else(|| start.after(86_400.0));
    let length = end.unix() - start.unix();
    if length <= 0.0 || length > LONGEST_DAY || at.unix() < start.unix() || at.unix() > end.unix() {
        return Err(Refusal::new(
            "not_a_day",
            if input.day_end.is_some() { "day_end" } else { "day_start" },
            format!("From {} to {} is no day that the moment lies in.", start.shown(), end.shown()),
            "Give the midnight before and the midnight after the moment, with their offsets.",
        ));
    }
    let delta_t = place.delta_t(start)?;
    let day = Day::look(&place, start, end, delta_t).map_err(|error| beyond("at", &error))?;
    Ok(sheet(form, &place, at, &day))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

/// What is found of a day.
struct Day {
    start: Moment,
    end: Moment,
    delta_t: f64,
    spans: Vec<Span>,
    noon: Option<f64>,
    /// Elevation at the passage of the meridian, as seen.
    noon_elevation: Option<f64>,
    /// Seconds from the start, elevation in degrees as seen.
    heights: Vec<(f64, f64)>,
}

impl Day {
    fn look(
        place: &Observation,
        start: Moment,
        end: Moment,
        delta_t: f64,
    ) -> Result<Self, solar_positioning::Error> {
        let (from, to) = (start.unix(), end.unix());
        let height = |unix: f64| {
            let sun = place.observer.sun(unix, delta_t)?;
            Ok::<_, solar_positioning::Error>(degrees(sun.apparent.elevation))
        };
        let noon = transits(&place.observer, from, to, delta_t)?.first().copied();
        let mut heights = Vec::new();
        let mut after = 0.0;
        while after < to - from {
            heights.push((after, height(from + after)?));
            after += STEP;
        }
        heights.push((to - from, height(to)?));
        Ok(Self {
            start,
            end,
            delta_t,
            spans: up(&place.observer, from, to, delta_t)?,
            noon,
            noon_elevation: noon.map(height).transpose()?,
            heights,
        })
    }

    fn moment(&self, unix: f64) -> Moment {
        self.start.after(unix - self.start.unix())
    }

    fn rise(&self) -> Option<f64> {
        self.spans.iter().find(|span| span.rises).map(|span| span.from)
    }

    fn set(&self) -> Option<f64> {
        self.spans.iter().find(|span| span.sets).map(|span| span.to)
    }

    /// Hours of sun within the day.
    fn sunshine(&self) -> f64 {
        self.spans.iter().map(|span| span.to - span.from).fold(0.0, |a, b| a + b) / 3600.0
    }
}

fn sheet(form: Form, place: &Observation, at: Moment, day: &Day) -> Sheet {
    let mut flags = vec![true_north()];
    flags.extend(place.clock_flag(at));
    let whole = match day.spans.as_slice() {
        [] => Some(("sun_down_all_day", "The sun does not rise on this day.")),
        [only] if !only.rises && !only.sets => {
            Some(("sun_up_all_day", "The sun does not set on this day."))
        }
        _ => None,
    };
    if let Some((code, sentence)) = whole {
        flags.push(Flag { code: code.to_owned(), sentence: sentence.to_owned() });
    }
    Sheet {
        verdict: Verdict::Computed,
        reason: reason(day, whole.map(|(_, sentence)| sentence)),
        results: results(day),
        working: working(place, day),
        validity:
            "Years 1950 to 2099, a level horizon at the height of the observer. A ridge, a slope \
                   or unusual air moves rise and setting by minutes."
                .to_owned(),
        sources: sources(),
        flags,
        figure: Some(figure(day)),
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn reason(day: &Day, whole: Option<&str>) -> String {
    let mut parts = Vec::new();
    for (what, when) in
        [("rises", day.rise()), ("is in the meridian", day.noon), ("sets", day.set())]
    {
        if let Some(unix) = when {
            parts.push(format!("{what} at {}", day.moment(unix).shown()));
        }
    }
    let told =
        if parts.is_empty() { String::new() } else { format!("The sun {}.", parts.join(", ")) };
    [whole.unwrap_or_default(), &told].join(" ").trim().to_owned()
}

fn results(day: &Day) -> Vec<Outcome> {
    let mut out = Vec::new();
    for (name, meaning, when) in [
        ("sunrise", "sunrise, upper edge on a level horizon", day.rise()),
        ("noon", "passage of the sun through the meridian", day.noon),
        ("sunset", "sunset, upper edge on a level horizon", day.set()),
    ] {
        if let Some(unix) = when {
            out.push(Outcome::new(name, meaning, day.moment(unix).text(), ""));
        }
    }
    if let Some(elevation) = day.noon_elevation {
        let meaning = "elevation at the passage of the meridian";
        out.push(Outcome::new("noon_elevation", meaning, format!("{elevation:.3}"), "°"));
    }
    out.push(Outcome::new("day_start", "beginning of the day", day.start.text(), ""));
    out.push(Outcome::new("day_end", "end of the day", day.end.text(), ""));
    out.push(Outcome::new(
        "sunshine",
        "time that the sun is above the level horizon",
        format!("{:.3}", day.sunshine()),
        "h",
    ));
    out
}

fn working(place: &Observation, day: &Day) -> Vec<Line> {
    let mut lines = place.working(day.delta_t);
    lines.push(Line::new(
        "e_r",
        "elevation of the sun's middle without air at rise and setting",
        "e_r = −(34′ of refraction + 16′ of radius)",
        significant(rim(), 6),
        "°",
    ));
    let mut event = |symbol: &str, meaning: &str, formula: &str, when: Option<f64>| {
        if let Some(unix) = when {
            let text = day.moment(unix).text();
            lines.push(Line::new(symbol, meaning, formula, text, "").sourced(SPA));
        }
    };
    event("t_r", "sunrise", "e₀(t_r) = e_r, rising", day.rise());
    event("t_n", "passage of the meridian", "hour angle 0", day.noon);
    event("t_s", "sunset", "e₀(t_s) = e_r, falling", day.set());
    lines
}

fn figure(day: &Day) -> Figure {
    Figure {
        title: "Height of the sun through the day".to_owned(),
        x_label: "hours since the beginning of the day".to_owned(),
        y_label: "elevation at which the sun is seen, in °".to_owned(),
        series: vec![Series {
            name: "height".to_owned(),
            meaning: "height of the sun".to_owned(),
            drawn: None,
            points: day
                .heights
                .iter()
                .map(|(after, elevation)| Point {
                    x: format!("{:.4}", after / 3600.0),
                    y: format!("{elevation:.2}"),
                })
                .collect(),
        }],
        bars: Vec::new(),
        grid: None,
        axes: None,
    }
}
