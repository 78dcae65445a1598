//! What figures show, as finished text and decimal strings.

use serde::{Deserialize, Serialize};

/// A figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Figure {
    /// Lines over an axis.
    Lines(Lines),
    /// The mirror with the error of each facet.
    FacetMap(FacetMap),
    /// The sky over a job.
    Sky(Box<Sky>),
}

impl Figure {
    /// Its heading.
    #[must_use]
    pub fn title(&self) -> &str {
        match self {
            Self::Lines(lines) => &lines.title,
            Self::FacetMap(map) => &map.title,
            Self::Sky(sky) => &sky.title,
        }
    }
}

/// A figure of lines over an axis. The labels stand at the ends of the lines: there is no key.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lines {
    /// Heading, such as "Gas left over the hold".
    pub title: String,
    /// What the upright axis shows, such as "% of the gas at the start".
    pub y_title: String,
    /// Unit written after the numbers of the level axis, such as "h".
    pub x_unit: String,
    /// What the level axis shows, where the heading does not say it; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub x_title: String,
    /// The lines, first drawn lowest.
    pub series: Vec<FigureSeries>,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineStyle {
    /// Thick line with filled points and bars of doubt: the result.
    Thick,
    /// Thin line with hollow points: what the gauge alone would say.
    Thin,
    /// Dashed: a limit.
    Dashed,
}

/// One line of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FigureSeries {
    /// Label at the line's end, such as "gas left 99.24 %"; empty for a line that goes on.
    pub label: String,
    /// Second line of the label; may be empty.
    pub second: String,
    /// How it is drawn.
    pub style: LineStyle,
    /// Its points, from left to right.
    pub points: Vec<FigurePoint>,
}

/// A point, as decimal strings.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FigurePoint {
    /// Along the level axis.
    pub x: String,
    /// Along the upright axis.
    pub y: String,
    /// Half length of the bar of doubt, in the unit of `y`; empty for none.
    pub bar: String,
}

/// A mirror with what is known of its facets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FacetMap {
    /// Heading, such as "Where each facet sends its light".
    pub title: String,
    /// What it shows, in words, such as the dish position.
    pub name: String,
    /// The racks.
    pub racks: Vec<MapRack>,
    /// Those of them that moved as a whole, by id.
    pub moved: Vec<String>,
    /// The facets.
    pub facets: Vec<MapFacet>,
}

/// A rack: a wedge of the mirror.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapRack {
    /// Its name, such as "R09".
    pub id: String,
    /// Bearing at which it begins, in degrees clockwise from up.
    pub from: String,
    /// Bearing at which it ends.
    pub to: String,
}

/// A facet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MapFacet {
    /// Its name, such as "R09/F14".
    pub id: String,
    /// Its rack.
    pub rack: String,
    /// Distance from the axis, in the same unit for all.
    pub radius: String,
    /// Bearing in degrees.
    pub bearing: String,
    /// What is known of it.
    pub state: MapState,
    /// Its error to the right in mrad; empty where none was measured.
    pub x: String,
    /// Its error upward.
    pub y: String,
}

/// What is known of a facet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MapState {
    /// Measured, within the limit on both axes.
    In,
    /// Measured, beyond the limit.
    Out,
    /// Found within the limits, without a number.
    Within,
    /// Not measured.
    NotMeasured,
    /// Masked.
    Masked,
}

/// A sky with a parked dish under it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sky {
    /// Heading, such as "The sky over the job".
    pub title: String,
    /// What it shows, in words.
    pub name: String,
    /// Where the mirror axis points.
    pub axis: SkyPlace,
    /// The angle kept free round the axis, in degrees.
    pub margin: String,
    /// What is written at that circle, such as "30° free".
    pub margin_label: String,
    /// The sun over the job: a line from each rise or beginning to each setting or end.
    pub sun: Vec<Vec<SkyPlace>>,
    /// The sun through the day, beyond the job; may be empty.
    pub day: Vec<SkyPlace>,
    /// The sun at the beginning of the job, if it is up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begins: Option<SkyMark>,
    /// The sun at the end of the job, or where it sets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends: Option<SkyMark>,
    /// The sun where it comes nearest to the axis, with the angle as a label.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nearest: Option<SkyMark>,
}

/// A place on the sky, in degrees.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkyPlace {
    /// Clockwise from true north.
    pub azimuth: String,
    /// Above the level horizon.
    pub elevation: String,
}

/// A place with what is written at it, such as the time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkyMark {
    /// Where.
    pub place: SkyPlace,
    /// What is written.
    pub label: String,
}
