//! `sun-position`: where the sun stands at a moment, seen from a place.
//!
//! Azimuth is clockwise from true north, elevation from a level horizon, once without air
//! (geometric) and once as seen (lifted by refraction, which is what a sun sensor or a shadow
//! shows). With a mirror axis given, the angle between axis and sun. Source: NREL/TP-560-34302;
//! refraction as there, from pressure and temperature of the air; left out, they are those of the
//! standard atmosphere at the altitude. For the years 1950 to 2099; other dates are refused.

use quantity::{Angle, significant};
use serde_json::Value;

use crate::form::{self, Form};
use crate::registry::example;
use crate::sun::{
    Direction, Observation, Observer, SEPARATION, SPA, Sun, axis_or_none, beyond, degrees, moment,
    separation, sources, sun_input, transits, true_north,
};
use crate::time::Moment;
use crate::{Calculation, Line, Outcome, Refusal, Sheet, Verdict, schema};

const NAME: &str = "sun-position";
const TITLE: &str = "Position of the sun";
const VERSION: u32 = 1;

pub(crate) const CALCULATION: Calculation = Calculation {
    name: NAME,
    title: TITLE,
    purpose: "Azimuth and elevation of the sun at a moment, and its angle to a mirror axis.",
    version: VERSION,
    input_schema: schema::of::<Input>,
    output_schema: schema::of::<Sheet>,
    run,
    examples: &[
        example!("sun-position", "good-worked-example"),
        example!("sun-position", "good-southern-morning"),
        example!("sun-position", "good-altitude-missing"),
        example!("sun-position", "bad-latitude-with-letter"),
        example!("sun-position", "bad-moment-without-offset"),
        example!("sun-position", "bad-altitude-in-bar"),
        example!("sun-position", "bad-unknown-field"),
        example!("sun-position", "bad-longitude-null"),
        example!("sun-position", "wrong-latitude-beyond-the-pole"),
        example!("sun-position", "wrong-day-that-is-not"),
        example!("sun-position", "wrong-year-1805"),
        example!("sun-position", "wrong-axis-without-elevation"),
    ],
};

sun_input! {
    /// What the calculation takes.
    pub struct Input {
        /// The moment.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::moment")]
        pub at: Option<String>,
        /// Azimuth of a mirror axis from true north; together with its elevation.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_azimuth: Option<String>,
        /// Elevation of the mirror axis.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(schema_with = "schema::angle")]
        pub axis_elevation: Option<String>,
    }
}

/// Runs the calculation on its typed input.
///
/// # Errors
/// A reading that can't be read or is implausible, a text that is no moment, a date outside 1950
/// to 2099, half an axis.
pub fn calculate(input: &Input) -> Result<Sheet, Refusal> {
    let mut form = Form::default();
    let place = Observation::read(&mut form, &input.place())?;
    let moment = moment(&mut form, "at", "moment", input.at.as_deref())?;
    let (azimuth, elevation) = (input.axis_azimuth.as_deref(), input.axis_elevation.as_deref());
    let axis = axis_or_none(&mut form, azimuth, elevation)?;
    let (Some(place), Some(moment)) = (place, moment) else {
        return Ok(Sheet::blank(&CALCULATION, form));
    };
    let delta_t = place.delta_t(moment)?;
    let seen = Seen::look(&place.observer, moment, delta_t).map_err(|e| beyond("at", &e))?;
    Ok(sheet(form, &place, moment, &seen, axis))
}

fn run(input: &Value) -> Result<Sheet, Refusal> {
    calculate(&form::read::<Input>(NAME, input)?)
}

/// What is found at the moment.
struct Seen {
    sun: Sun,
    declination: Angle,
    /// Apparent less mean solar time, in minutes.
    equation: Option<f64>,
    delta_t: f64,
}

impl Seen {
    fn look(
        observer: &Observer,
        moment: Moment,
        delta_t: f64,
    ) -> Result<Self, solar_positioning::Error> {
        let unix = moment.unix();
        Ok(Self {
            sun: observer.sun(unix, delta_t)?,
            declination: Observer::declination(unix, delta_t)?,
            equation: equation_of_time(observer, unix, delta_t)?,
            delta_t,
        })
    }
}

/// The equation of time in minutes, between the passages of the meridian before and after: at a
/// passage it is noon by the sun, and mean solar time is universal time and 4 min a degree of
/// longitude. Between two passages it changes by at most half a minute, evenly.
fn equation_of_time(
    observer: &Observer,
    unix: f64,
    delta_t: f64,
) -> Result<Option<f64>, solar_positioning::Error> {
    let day = 86_400.0;
    let found = transits(observer, unix - 1.1 * day, unix + 1.1 * day, delta_t)?;
    let at = |transit: f64| {
        let mean = transit + degrees(observer.longitude) * 240.0;
        let late = (mean - 43_200.0).rem_euclid(day);
        let late = if late > day / 2.0 { late - day } else { late };
        -late / 60.0
    };
    let before = found.iter().copied().rfind(|transit| *transit <= unix);
    let after = found.iter().copied().find(|transit| *transit > unix);
    let (Some(before), Some(after)) = (before, after) else { return Ok(None) };
    let part = (unix - before) / (after - before);
    Ok(Some(at(before) + part * (at(after) - at(before))))
}

fn sheet(
    form: Form,
    place: &Observation,
    moment: Moment,
    seen: &Seen,
    axis: Option<Direction>,
) -> Sheet {
    let apparent = seen.sun.apparent;
    let (az, el) = (degrees(apparent.azimuth), degrees(apparent.elevation));
    let mut working = place.working(seen.delta_t);
    working.extend(lines(moment, seen));
    let mut results = results(seen);
    let mut reason = format!(
        "At {} the sun is seen at azimuth {az:.2}° from true north, elevation {el:.2}°{}.",
        moment.shown(),
        if el < 0.0 { ", below the level horizon" } else { "" }
    );
    if let Some(axis) = axis {
        let angle = separation(axis, apparent);
        working.extend(axis_lines(axis, angle));
        results.push(Outcome::new(
            "angle_to_axis",
            "angle between mirror axis and sun",
            format!("{:.4}", degrees(angle)),
            "°",
        ));
        reason.push_str(&format!(" It is {:.2}° from the mirror axis.", degrees(angle)));
    }
    let mut flags = vec![true_north()];
    flags.extend(place.clock_flag(moment));
    Sheet {
        verdict: Verdict::Computed,
        reason,
        results,
        working,
        validity: "Years 1950 to 2099; position within 0.0003° for a clock that is right (one second \
                   is 0.004°). Refraction is that of calm air over a level horizon; near the horizon \
                   it can differ by 0.1° and more."
            .to_owned(),
        sources: sources(),
        flags,
        ..Sheet::blank(&CALCULATION, form)
    }
}

fn lines(moment: Moment, seen: &Seen) -> Vec<Line> {
    let sun = &seen.sun;
    let angle = |angle: Angle| format!("{:.6}", degrees(angle));
    let lift = degrees(sun.apparent.elevation) - degrees(sun.geometric.elevation);
    let mut lines = vec![
        Line::new("t", "moment", "as typed", moment.text(), ""),
        Line::new(
            "δ",
            "declination of the sun, from the middle of the earth",
            "by the algorithm, from t and ΔT",
            angle(seen.declination),
            "°",
        )
        .sourced(SPA),
        Line::new(
            "A",
            "azimuth of the sun, clockwise from true north",
            "by the algorithm, from t, ΔT, φ, λ, h",
            angle(sun.apparent.azimuth),
            "°",
        )
        .sourced(SPA),
        Line::new(
            "e₀",
            "elevation of the sun without air",
            "by the algorithm, from t, ΔT, φ, λ, h",
            angle(sun.geometric.elevation),
            "°",
        )
        .sourced(SPA),
        Line::new(
            "R",
            "refraction",
            "R = p_a/1010 hPa·283/(273 + T_a/°C)·1.02°/(60·tan(e₀ + 10.3°/(e₀/° + 5.11))); none \
             while the whole sun is below the horizon",
            format!("{lift:.6}"),
            "°",
        )
        .sourced(SPA),
        Line::new(
            "e",
            "elevation at which the sun is seen",
            "e = e₀ + R",
            angle(sun.apparent.elevation),
            "°",
        ),
    ];
    if let Some(minutes) = seen.equation {
        lines.push(Line::new(
            "E",
            "equation of time, apparent less mean solar time",
            "12 h − (UT + λ/(15°/h)) at the passages of the meridian before and after, in between \
             by the straight line",
            format!("{minutes:.3}"),
            "min",
        ));
    }
    lines
}

fn results(seen: &Seen) -> Vec<Outcome> {
    let sun = &seen.sun;
    let angle = |name: &str, meaning: &str, value: f64| {
        Outcome::new(name, meaning, format!("{value:.4}"), "°")
    };
    let elevation = degrees(sun.apparent.elevation);
    let mut out = vec![
        angle("azimuth", "azimuth, clockwise from true north", degrees(sun.apparent.azimuth)),
        angle("elevation", "elevation at which the sun is seen", elevation),
        angle("elevation_geometric", "elevation without air", degrees(sun.geometric.elevation)),
        angle("zenith", "angle from the zenith at which the sun is seen", 90.0 - elevation),
        angle(
            "zenith_geometric",
            "angle from the zenith without air",
            90.0 - degrees(sun.geometric.elevation),
        ),
        angle("declination", "declination", degrees(seen.declination)),
    ];
    if let Some(minutes) = seen.equation {
        out.push(Outcome::new(
            "equation_of_time",
            "equation of time, apparent less mean solar time",
            format!("{minutes:.2}"),
            "min",
        ));
    }
    out
}

fn axis_lines(axis: Direction, angle: Angle) -> Vec<Line> {
    let typed = |angle: Angle| significant(degrees(angle), 8);
    vec![
        Line::new(
            "A_m",
            "azimuth of the mirror axis, from true north",
            "as typed",
            typed(axis.azimuth),
            "°",
        ),
        Line::new("e_m", "elevation of the mirror axis", "as typed", typed(axis.elevation), "°"),
        Line::new(
            "σ",
            "angle between mirror axis and sun",
            SEPARATION,
            format!("{:.6}", degrees(angle)),
            "°",
        ),
    ]
}
