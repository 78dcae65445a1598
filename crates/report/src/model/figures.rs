//! What figures show, as finished text and decimal strings.

use serde::{Deserialize, Serialize};

/// A figure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Figure {
    /// Lines and marks over two axes.
    Lines(Lines),
    /// Lengths beside each other.
    Bars(Bars),
    /// Values over a plane. Boxed: it is large, and most figures are lines.
    Plane(Box<Plane>),
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
            Self::Bars(bars) => &bars.title,
            Self::Plane(plane) => &plane.title,
            Self::FacetMap(map) => &map.title,
            Self::Sky(sky) => &sky.title,
        }
    }
}

/// A figure of lines and marks over two axes. Labels stand at the ends of the lines; what has no
/// end at the right edge, as marks and circles, is named below.
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
    /// How the axes are scaled.
    #[serde(default, skip_serializing_if = "Scaled::is_even")]
    pub scaled: Scaled,
    /// The lines, first drawn lowest.
    pub series: Vec<FigureSeries>,
}

/// How the axes of a figure are scaled.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Scaled {
    /// Evenly, each by itself.
    #[default]
    Even,
    /// Evenly, a unit as long on both.
    Equal,
    /// The level axis by powers of ten.
    LogX,
    /// The upright axis by powers of ten.
    LogY,
    /// Both by powers of ten.
    LogBoth,
}

impl Scaled {
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
    fn is_even(&self) -> bool {
        *self == Self::Even
    }
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
    /// A mark for each point, no line: readings.
    Points,
    /// A mark struck out for each point: readings that were left out.
    Crosses,
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
    /// True for a line alone: its points are not marked, however few they are.
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    pub plain: bool,
    /// Its points, in the order of the line.
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

/// Lengths of one unit, beside each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bars {
    /// Heading.
    pub title: String,
    /// The unit of every length; may be empty.
    pub unit: String,
    /// The lengths, first on top.
    pub bars: Vec<FigureBar>,
}

/// A length.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FigureBar {
    /// What it is.
    pub label: String,
    /// The length, as a decimal; what is below zero goes to the left.
    pub value: String,
    /// True for a limit: it is drawn as a dashed line across the others.
    #[serde(default, skip_serializing_if = "core::ops::Not::not")]
    pub limit: bool,
}

/// Values over a plane, as a map in steps of lightness, with lines over it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plane {
    /// Heading.
    pub title: String,
    /// What the level axis shows, with its unit.
    pub x_title: String,
    /// What the upright axis shows, with its unit.
    pub y_title: String,
    /// True where a unit is as long on both axes.
    pub equal: bool,
    /// What the values are.
    pub meaning: String,
    /// Their unit; may be empty.
    pub unit: String,
    /// Middle of the first cell along the level axis.
    pub x_from: String,
    /// From a cell to the next.
    pub x_step: String,
    /// Middle of the first row along the upright axis.
    pub y_from: String,
    /// From a row to the next.
    pub y_step: String,
    /// The values as decimals, from the bottom row upward; an empty text where there is none.
    pub rows: Vec<Vec<String>>,
    /// Lines and marks over the map.
    pub series: Vec<FigureSeries>,
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
