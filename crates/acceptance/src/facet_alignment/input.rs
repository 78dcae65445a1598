//! The input as JSON, and as readings.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::light::Light;
use super::studs::Adjusters;
use crate::pressure_decay::{Distribution, Rule};
use crate::schema;

/// What the calculation takes. What is missing is left out; nothing has a default but the place of
/// the board, which is the focal plane.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Input {
    /// When the survey was taken. As found it is shown and not judged; left out, it is judged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "SurveyState")]
    pub state: Option<SurveyState>,
    /// Focal length of the dish.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub focal_length: Option<String>,
    /// Every facet of the design.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<FacetPlace>")]
    pub facets: Option<Vec<FacetPlace>>,
    /// What was found at each facet. A facet that has no row was not measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Vec<FacetReading>")]
    pub survey: Option<Vec<FacetReading>>,
    /// Where the light came from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Method")]
    pub method: Option<Method>,
    /// Distance of the lamp from the vertex, along the axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub lamp_distance: Option<String>,
    /// Distance of the board from the vertex, along the axis. Left out, the focal plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub board_distance: Option<String>,
    /// Distance of the site's quick rule d/(2L), which is shown beside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub quick_distance: Option<String>,
    /// How a facet is held and turned. With it, the turns of each stud are worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Adjusters")]
    pub adjusters: Option<Adjusters>,
    /// Smallest error on an axis that is worth turning for, beside facets beyond the limit, which
    /// always are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub worth_turning: Option<String>,
    /// What has to be known of the dish's light to say what misalignment costs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Light")]
    pub light: Option<Light>,
    /// The limits.
    #[serde(default)]
    pub limits: Limits,
    /// What is known of the readings.
    #[serde(default)]
    pub uncertainty: Uncertainty,
}

/// When a survey was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SurveyState {
    /// Before any facet was touched.
    AsFound,
    /// After the last facet was adjusted.
    AsLeft,
}

/// Where the light came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Spots on a board: light parallel to the axis, or a lamp whose distance is given.
    TargetBoard,
    /// A lamp on the axis, far off but not so far that its light is parallel.
    DistantLight,
    /// Moon or star on the axis: parallel light.
    StarImage,
}

impl Method {
    /// In words.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::TargetBoard => "target board",
            Self::DistantLight => "distant light",
            Self::StarImage => "image of moon or star",
        }
    }
}

/// A facet of the design.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FacetPlace {
    /// Its name, as `R09/F14`.
    pub facet: String,
    /// The rack that it is fitted on.
    pub rack: String,
    /// Distance of its middle from the dish axis.
    #[schemars(schema_with = "schema::length")]
    pub radius: String,
    /// Bearing of its middle, clockwise from up, seen from the focus.
    #[schemars(schema_with = "schema::angle")]
    pub bearing: String,
    /// Where on the focal plane its light goes by design: to the right.
    #[schemars(schema_with = "schema::length")]
    pub aim_x: String,
    /// The same, upward.
    #[schemars(schema_with = "schema::length")]
    pub aim_y: String,
    /// Turn of its studs against those of the design, clockwise seen from the focus; left out where
    /// there is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub turned: Option<String>,
}

/// What was found at a facet.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FacetReading {
    /// Its name.
    pub facet: String,
    /// Whether it was measured.
    pub state: FacetState,
    /// Shift of its spot to the right, from the centre of the board; with `measured` only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub dx: Option<String>,
    /// The same, upward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::length")]
    pub dy: Option<String>,
}

/// What is known of a facet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FacetState {
    /// Measured, with two shifts.
    Measured,
    /// Looked at and found within the limits, without a number.
    Within,
    /// Not measured.
    NotMeasured,
    /// Covered or broken, and sends no light.
    Masked,
}

impl FacetState {
    /// In words, as tables show it.
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Within => "within",
            Self::NotMeasured => "not measured",
            Self::Masked => "masked",
        }
    }
}

/// The limits. One that is missing is named, and what depends on it is not said.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Largest error of a facet on each axis.
    #[serde(default)]
    pub axis: AngleLimit,
    /// Largest RMS in two dimensions, over all facets.
    #[serde(default)]
    pub rms: AngleLimit,
    /// When a rack counts as moved.
    #[serde(default)]
    pub rack: RackLimit,
}

/// A limit of an angle.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AngleLimit {
    /// The limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::angle")]
    pub value: Option<String>,
    /// The decision rule, chosen before the survey.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Rule")]
    pub rule: Option<Rule>,
    /// Where the limit comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// When a rack counts as moved: its common turn is above the limit of one axis, and explains most
/// of what its facets show.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RackLimit {
    /// Share of the sum of squares that the turn has to explain, at least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::ratio")]
    pub explained: Option<String>,
    /// Where the figure comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "String")]
    pub source: Option<String>,
}

/// What is known of the readings.
#[derive(Debug, Clone, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Uncertainty {
    /// Reading of a spot on the board: an error of each shift. May be left out with the simple
    /// rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "ReadingDoubt")]
    pub reading: Option<ReadingDoubt>,
}

/// A statement about the reading of a shift.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingDoubt {
    /// The number with its unit, without sign.
    #[schemars(schema_with = "schema::length")]
    pub value: String,
    /// How the number is meant.
    pub distribution: Distribution,
    /// Coverage factor; needed for `expanded` and for nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "schema::number")]
    pub coverage_factor: Option<String>,
}
