//! The three studs that hold a facet: what the input says of them, read.

use quantity::{Angle, Dimension, Length};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::form::{Form, Place, between};
use crate::steps::whole;
use crate::{Refusal, schema};

/// How a facet is held and turned: three studs, of which one may be fixed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Adjusters {
    /// The three studs.
    pub studs: Vec<Stud>,
    /// How far a stud moves in one turn.
    #[schemars(schema_with = "schema::length")]
    pub thread_pitch: String,
    /// Which way to turn so that the facet moves towards the focus at that stud, as the one who
    /// turns sees it from behind the mirror.
    pub raises: Hand,
    /// Parts of a turn that are called out: 8 for eighths.
    #[schemars(schema_with = "schema::count")]
    pub steps_per_turn: String,
    /// The stud that is never turned: fixed, or a ball joint. Left out where all three turn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub fixed_stud: Option<String>,
    /// What stays where all three turn; left out with a fixed stud.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Keeps")]
    pub keeps: Option<Keeps>,
    /// How far a stud can go from the middle of its thread, each way.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub travel: Option<String>,
}

impl Adjusters {
    /// Whether they hold a plane and can be read, as a design is checked before it is adopted.
    ///
    /// # Errors
    /// What the calculation would refuse, with the field's path below `adjusters`.
    pub fn check(&self) -> Result<(), Refusal> {
        read(&mut Form::default(), self).map(|_| ())
    }
}

/// A stud, in the facet's own plane.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stud {
    /// Its name, as people call it out.
    pub name: String,
    /// Distance from the middle of the facet.
    #[schemars(schema_with = "schema::length")]
    pub distance: String,
    /// Bearing from the middle of the facet, clockwise seen from the focus: 0° is outward, away
    /// from the dish axis; 90° is along increasing bearing of the dish.
    #[schemars(schema_with = "schema::angle")]
    pub bearing: String,
}

/// A way of turning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hand {
    /// As the hands of a clock go.
    Clockwise,
    /// Against the hands of a clock.
    CounterClockwise,
}

/// What stays when all three studs turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Keeps {
    /// The middle of the facet, to half a step.
    Centre,
    /// Whatever needs the least turning: one stud is left alone.
    LeastTurning,
}

/// The studs, read.
#[derive(Debug, Clone)]
pub(super) struct Studs {
    pub(super) names: [String; 3],
    /// Distance in m and bearing in rad of each.
    pub(super) places: [(f64, f64); 3],
    /// In m.
    pub(super) pitch: f64,
    pub(super) raises: Hand,
    pub(super) steps: u32,
    pub(super) stays: Stays,
    pub(super) travel: Option<f64>,
}

/// What a facet turns about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stays {
    /// The stud of this place in the list.
    Stud(usize),
    Centre,
    LeastTurning,
}

const LENGTH: &[Dimension] = &[Dimension::Length];
const PITCH: Place = between("thread_pitch", "pitch of the studs' thread", LENGTH, (0, 10, "mm"));
const TRAVEL: Place =
    between("travel", "travel of a stud from its middle, each way", LENGTH, (0, 500, "mm"));
const DISTANCE: Place =
    between("distance", "distance of the stud from the facet's middle", LENGTH, (0, 5000, "mm"));
const BEARING: Place = between(
    "bearing",
    "bearing of the stud, clockwise from outward seen from the focus",
    &[Dimension::Angle],
    (-360, 360, "°"),
);
/// Twice the area of the triangle over the square of its longest side, below which three studs
/// stand so nearly in a line that a tilt across it can't be set.
const THIN: f64 = 0.02;

/// Reads the studs, with their fields named below `adjusters`.
pub(super) fn read(form: &mut Form, input: &Adjusters) -> Result<Studs, Refusal> {
    form.within("adjusters", |form| inner(form, input))
}

fn inner(form: &mut Form, input: &Adjusters) -> Result<Studs, Refusal> {
    let [a, b, c] = input.studs.as_slice() else {
        return Err(form.refuse(
            "three_studs",
            "studs",
            format!("{} studs are given, and three hold a facet's plane.", input.studs.len()),
            "Give the three studs that are turned, with a ball joint or fixed stud among them.",
        ));
    };
    let names = [a, b, c].map(|stud| stud.name.trim().to_owned());
    let plain = |name: &String| !name.is_empty() && name.chars().count() <= 12;
    let [first, second, third] = &names;
    if !names.iter().all(plain) || first == second || second == third || first == third {
        return Err(form.refuse(
            "stud_names",
            "studs",
            "Each stud needs a short name of its own, by which it is called out.",
            "Call them A, B and C, and mark them so on the rack.",
        ));
    }
    let mut places = [(0.0, 0.0); 3];
    for ((place, stud), at) in places.iter_mut().zip([a, b, c]).zip(0..) {
        *place = form.within(&format!("studs[{at}]"), |form| {
            let distance = form.may::<Length>(&DISTANCE, Some(&stud.distance))?;
            let bearing = form.may::<Angle>(&BEARING, Some(&stud.bearing))?;
            let distance = distance.map_or(f64::NAN, Length::metres);
            Ok::<_, Refusal>((distance, bearing.map_or(f64::NAN, Angle::radians)))
        })?;
    }
    triangle(form, places)?;
    let pitch = form.may_above_zero::<Length>(&PITCH, Some(&input.thread_pitch))?;
    let seen = "way of turning that moves the facet towards the focus, seen from behind the mirror";
    form.show("raises", seen, input.raises.words());
    let parts = Some(input.steps_per_turn.as_str());
    let steps = whole(form, "steps_per_turn", "parts of a turn called out", (1, 360), parts)?;
    let stays = stays(form, input, &names)?;
    let travel = form.may_above_zero::<Length>(&TRAVEL, input.travel.as_deref())?;
    let (pitch, steps) = (pitch.unwrap_or(f64::NAN), steps.unwrap_or(1));
    Ok(Studs { names, places, pitch, raises: input.raises, steps, stays, travel })
}

impl Hand {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Clockwise => "clockwise",
            Self::CounterClockwise => "counter-clockwise",
        }
    }
}

/// Refuses studs that stand in a line, or nearly.
fn triangle(form: &Form, places: [(f64, f64); 3]) -> Result<(), Refusal> {
    let [a, b, c] = places.map(|(d, bearing)| (d * libm::cos(bearing), d * libm::sin(bearing)));
    let side = |p: (f64, f64), q: (f64, f64)| (q.0 - p.0, q.1 - p.1);
    let (ab, ac, bc) = (side(a, b), side(a, c), side(b, c));
    let square = |s: (f64, f64)| s.0 * s.0 + s.1 * s.1;
    let longest = square(ab).max(square(ac)).max(square(bc));
    let area = (ab.0 * ac.1 - ab.1 * ac.0).abs();
    if area > THIN * longest {
        return Ok(());
    }
    Err(form.refuse(
        "studs_in_a_line",
        "studs",
        "The three studs stand in a line, or so nearly that they can't tilt the facet across it.",
        "Compare distances and bearings with the drawing of the facet's back; bearings count \
         clockwise from outward, seen from the focus.",
    ))
}

fn stays(form: &mut Form, input: &Adjusters, names: &[String; 3]) -> Result<Stays, Refusal> {
    match (&input.fixed_stud, input.keeps) {
        (Some(fixed), None) => {
            form.show("fixed_stud", "stud that is never turned", fixed);
            names.iter().position(|name| name == fixed.trim()).map(Stays::Stud).ok_or_else(|| {
                form.refuse(
                    "unknown_stud",
                    "fixed_stud",
                    format!("No stud is called “{fixed}”."),
                    format!("Name one of {}.", names.join(", ")),
                )
            })
        }
        (None, Some(keeps)) => {
            let (stays, words) = match keeps {
                Keeps::Centre => (Stays::Centre, "the middle of the facet"),
                Keeps::LeastTurning => (Stays::LeastTurning, "what needs the least turning"),
            };
            form.show("keeps", "what stays when all three turn", words);
            Ok(stays)
        }
        (fixed, _) => Err(form.refuse(
            "what_stays",
            "keeps",
            match fixed {
                Some(_) => "A stud is fixed, and something else is to stay as well.",
                None => "No stud is fixed, and it isn't said what stays when all three turn.",
            },
            "Give either fixed_stud, or keeps with centre or least-turning.",
        )),
    }
}
