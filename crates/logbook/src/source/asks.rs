//! What a step of a checklist asks for.

use quantity::Dimension;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::judged_by::Calculated;
use crate::events::Role;

/// What a step asks for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Asks {
    /// Yes, done or seen.
    Confirm(Confirm),
    /// A measured value.
    Reading(ReadingAsked),
    /// One of a list.
    Choice(Choice),
    /// A photo.
    Photo(Photo),
    /// A timed wait.
    Hold(HoldAsked),
    /// One line for each thing on a list.
    Table(TableAsked),
    /// A measured table: values for each thing on a list.
    Survey(SurveyAsked),
    /// Time series from the files of loggers and meters.
    Series(SeriesAsked),
    /// Computed from other answers.
    Calculation(Calculated),
    /// A second qualified person, with their own signature.
    Witness(WitnessAsked),
    /// The performer's signature on the attempt.
    Signature(Signature),
}

impl Asks {
    /// The kind of step in a word.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Confirm(_) => "confirm",
            Self::Reading(_) => "reading",
            Self::Choice(_) => "choice",
            Self::Photo(_) => "photo",
            Self::Hold(_) => "hold",
            Self::Table(_) => "table",
            Self::Survey(_) => "survey",
            Self::Series(_) => "series",
            Self::Calculation(_) => "calculation",
            Self::Witness(_) => "witness",
            Self::Signature(_) => "signature",
        }
    }

    /// True for the kinds that an answer entry answers.
    pub fn takes_answer(&self) -> bool {
        matches!(
            self,
            Self::Confirm(_) | Self::Reading(_) | Self::Choice(_) | Self::Photo(_) | Self::Table(_)
        )
    }

    /// True for the kinds that an entry of many values answers: measured tables and series.
    pub fn takes_many(&self) -> bool {
        matches!(self, Self::Survey(_) | Self::Series(_))
    }
}

/// Asks for a confirmation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Confirm {}

/// Asks for a measured value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingAsked {
    /// What is measured; gauge and absolute pressure are different things.
    pub quantity: Dimension,
    /// The unit in which the checklist speaks, such as `bar(g)`.
    pub unit: String,
    /// The part of the instrument that measures it; none for what is read from a plate or drawing.
    #[serde(default)]
    pub instrument: Option<String>,
    /// Wider than any acceptance: outside it the entry is probably a slip, and is asked about.
    #[serde(default)]
    pub plausible: Option<PlausibleWindow>,
}

/// A window of plausible values, in the unit of the step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlausibleWindow {
    /// Lower end.
    pub low: String,
    /// Upper end.
    pub high: String,
}

/// One option of a choice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepOption {
    /// Its id.
    pub id: String,
    /// In words.
    pub text: String,
}

/// Asks for one option.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    /// The options.
    pub options: Vec<StepOption>,
}

/// Asks for a photo.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// What must be on it.
    pub shows: String,
}

/// Asks for a timed wait.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoldAsked {
    /// The shortest time, by the limit's id in the criteria set.
    pub at_least: String,
}

/// Asks for one option a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TableAsked {
    /// The position's list whose lines are gone through.
    pub list: String,
    /// The options for a line.
    pub options: Vec<StepOption>,
    /// The option that is in order.
    pub good: String,
    /// The part of the instrument that looks at every line.
    #[serde(default)]
    pub instrument: Option<String>,
}

/// Asks for a witness.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WitnessAsked {
    /// Any one of these roles.
    pub roles: Vec<Role>,
    /// The notice that an invitation gives, by the limit's id in the criteria set.
    pub notice: String,
}

/// Asks for the performer's signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Signature {}

/// The list of the facets of the adopted dish design, by the name that a survey gives it.
pub const DESIGN_FACETS: &str = "design.facets";

/// Asks for a measured table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyAsked {
    /// The position's list whose lines are measured, or `design.facets` for the facets of the
    /// adopted dish design.
    pub list: String,
    /// What is measured of each.
    pub columns: Vec<ColumnAsked>,
    /// The part of the instrument that measures them.
    #[serde(default)]
    pub instrument: Option<String>,
}

impl SurveyAsked {
    /// Under which key calculations get the name of a row.
    pub fn row_key(&self) -> &'static str {
        if self.list == DESIGN_FACETS || self.list == "facets" { "facet" } else { "row" }
    }
}

/// A column of a measured table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ColumnAsked {
    /// Its id, under which calculations get the value.
    pub id: String,
    /// In words.
    pub title: String,
    /// What is measured.
    pub quantity: Dimension,
    /// The unit in which the checklist speaks.
    pub unit: String,
}

/// Asks for time series.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeriesAsked {
    /// The channels.
    pub channels: Vec<ChannelAsked>,
}

impl SeriesAsked {
    /// A channel by its id.
    pub fn channel(&self, id: &str) -> Option<&ChannelAsked> {
        self.channels.iter().find(|channel| channel.id == id)
    }
}

/// A channel of time series.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChannelAsked {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// What is measured.
    pub quantity: Dimension,
    /// The unit in which the checklist speaks.
    pub unit: String,
    /// The part of the instrument that measures it.
    #[serde(default)]
    pub instrument: Option<String>,
    /// True when the step is complete without it.
    #[serde(default)]
    pub optional: bool,
}
