//! How the answers of a checklist are judged: what feeds each calculation, and what is compared
//! with which limit.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Asks for a calculation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Calculated {
    /// Name of the calculation.
    pub name: String,
    /// Where each input comes from; keys are paths into the input, parts joined by dots.
    pub inputs: BTreeMap<String, InputFrom>,
}

/// Where an input of a calculation comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum InputFrom {
    /// The answer to a step: value and unit as typed, or the option chosen.
    Answer(String),
    /// The elapsed time of a hold step.
    Hold(String),
    /// The value of a limit.
    Limit(String),
    /// The span of a limit.
    LimitPer(String),
    /// The source of a limit, in words.
    LimitSource(String),
    /// The decision rule of a limit.
    LimitRule(String),
    /// What the calibration of the instrument used in a step says.
    Instrument(InstrumentPart),
    /// A stated uncertainty that is itself the answer to a step.
    Stated(StatedAnswer),
    /// A survey step: a list with every row of its list, each with its name, its state and its
    /// values by column id.
    Survey(String),
    /// A channel of a series step: unit, interval, label, times and values.
    Series(ChannelPart),
    /// A part of the adopted dish design.
    Design(DesignPart),
    /// A part of the description of the site.
    Site(SitePart),
    /// The claimed time of work of a step.
    WorkedAt(String),
    /// A fixed text.
    Text(String),
}

/// A part of what is known of the instrument that a step used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InstrumentPart {
    /// The step.
    pub of: String,
    /// `resolution`, or the name of a component of its uncertainty such as `scale`.
    pub part: String,
}

/// A stated uncertainty that is the answer to a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatedAnswer {
    /// The step.
    pub answer: String,
    /// How the number is meant: `rectangular`, `triangular` or `standard`.
    pub distribution: String,
}

/// A channel of a series step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChannelPart {
    /// The step.
    pub step: String,
    /// The channel.
    pub channel: String,
}

/// A part of the adopted dish design.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DesignPart {
    /// The focal length.
    FocalLength,
    /// The width of the aperture.
    ApertureAcross,
    /// The list of facets with their places and aim points.
    Facets,
    /// How each facet is held and turned; nothing where the design does not say.
    Adjusters,
    /// What has to be known of its light; nothing where the design does not say.
    Light,
}

/// A part of the description of the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SitePart {
    /// The latitude, north positive.
    Latitude,
    /// The longitude, east positive.
    Longitude,
    /// The altitude.
    Altitude,
    /// The name of the time zone.
    TimeZone,
}

/// One condition of acceptance.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// The limit, by its id in the criteria set.
    pub limit: String,
    /// What is compared with it.
    pub by: Compared,
}

/// What is compared with a limit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Compared {
    /// The verdict of a calculation step.
    Calculation(String),
    /// The elapsed time of a hold step: shorter is not judged.
    Hold(String),
    /// A table step: every line must have the option that is in order.
    Table(String),
    /// A reading step: the value must reach the limit.
    AtLeast(String),
    /// A reading step: the value must not pass the limit.
    AtMost(String),
    /// The gauge's stated uncertainty as a share of the pressure drop that the loss limit allows.
    GaugeShare(GaugeShare),
    /// The expanded uncertainty of a calculation step as a share of its limit.
    UncertaintyShare(String),
    /// A choice step: the option chosen must be one of those that are in order.
    Chosen(ChosenGood),
    /// A confirm step: it must be confirmed.
    Confirmed(String),
    /// A named result of a calculation step against the limit.
    Result(ResultCompared),
    /// A reading step: the value with the stated uncertainty of its instrument added must not pass
    /// the limit.
    AtMostWithDoubt(WithDoubt),
}

/// Which options of a choice are in order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChosenGood {
    /// The choice step.
    pub step: String,
    /// The options that are in order, by id.
    pub good: Vec<String>,
}

/// On which side of a limit a result must lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The limit or less.
    AtMost,
    /// The limit or more.
    AtLeast,
}

impl Side {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AtMost => "at most",
            Self::AtLeast => "at least",
        }
    }
}

/// A result of a calculation, by its name on the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ResultCompared {
    /// The calculation step.
    pub calculation: String,
    /// The name of the result.
    pub name: String,
    /// On which side of the limit it must lie.
    pub side: Side,
}

/// A reading with the uncertainty of its instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WithDoubt {
    /// The reading step.
    pub step: String,
    /// The component of its instrument's uncertainty.
    pub component: String,
}

/// What the share of a gauge's uncertainty is computed from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GaugeShare {
    /// The reading step of the gauge.
    pub gauge: String,
    /// The component of its uncertainty.
    pub component: String,
    /// The reading step of the barometer.
    pub barometer: String,
    /// The limit of the loss, by its id in the criteria set.
    pub loss: String,
}
