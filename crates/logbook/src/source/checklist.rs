//! Checklists: what a procedure asks, of whom, with what, and how the answers are judged.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::asks::Asks;
use super::checklist_checks;
use super::judged_by::{Acceptance, Calculated};
use super::reader::{self, Problems};
use crate::events::Role;

/// A checklist.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Dishwright checklist")]
pub struct Checklist {
    /// Version of this file form; 1.
    pub format: u32,
    /// Its id.
    pub id: String,
    /// Its revision label.
    pub revision: String,
    /// Its title.
    pub title: String,
    /// The requirement that an accepted record proves.
    pub proves: String,
    /// The criteria set that judges it, by id.
    pub criteria: String,
    /// What it is for.
    pub purpose: String,
    /// Cautions, in the order in which they are read.
    pub cautions: Vec<String>,
    /// Who may do the work.
    pub performer: People,
    /// Who may review it; never the one who did the work.
    pub reviewer: ReviewPeople,
    /// How entries are marked.
    pub recording: Recording,
    /// What must stand before the work begins.
    #[serde(rename = "prerequisite")]
    pub prerequisites: Vec<Prerequisite>,
    /// The weather in which it may be done.
    #[serde(rename = "weather", default)]
    pub weather: Vec<WeatherLimit>,
    /// The instruments it needs.
    #[serde(rename = "instrument", default)]
    pub instruments: Vec<Instrument>,
    /// The steps, in order.
    #[serde(rename = "step")]
    pub steps: Vec<Step>,
    /// What must hold for acceptance.
    #[serde(rename = "acceptance")]
    pub acceptance: Vec<Acceptance>,
    /// What follows a failure.
    pub on_failure: OnFailure,
    /// When it is due again.
    pub recurrence: Recurrence,
    /// What an interruption does.
    pub interruption: Interruption,
}

/// Who may perform.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Any one of these roles.
    pub roles: Vec<Role>,
    /// All of these papers, good on the day of work.
    #[serde(default)]
    pub papers: Vec<String>,
}

/// Who may review.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewPeople {
    /// Any one of these roles.
    pub roles: Vec<Role>,
}

/// When an entry is marked for the reader.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Recording {
    /// Entered later than this after the work: marked as late. Hours.
    pub late_after_hours: u32,
    /// Calibration due within this many days: marked as due soon.
    pub calibration_warning_days: u32,
    /// So many steps …
    pub clustered_steps: u32,
    /// … entered within so many seconds: marked as clustered.
    pub clustered_seconds: u32,
    /// The two measures of a hold's length differ by more than so many seconds: the clock was set.
    pub clock_difference_seconds: u32,
    /// Where these figures come from.
    pub source: String,
}

/// What kind of thing must stand beforehand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PrerequisiteKind {
    /// A lockout.
    Lockout,
    /// A standing proof of another requirement.
    Proof,
    /// A document at hand.
    Document,
    /// A condition at the dish.
    Condition,
}

/// Something that must stand before the work begins.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Prerequisite {
    /// Its id.
    pub id: String,
    /// What kind of thing it is.
    pub kind: PrerequisiteKind,
    /// What, in a sentence.
    pub text: String,
}

/// A limit on the weather.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeatherLimit {
    /// The quantity's id, such as `wind-gust`.
    pub quantity: String,
    /// In words.
    pub title: String,
    /// Over which time it is averaged.
    #[serde(default)]
    pub averaging: Option<String>,
    /// The limit, by its id in the criteria set.
    pub limit: String,
    /// What to do beyond the limit, and when work may resume.
    pub action: String,
}

/// An instrument that the checklist needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// The part that it plays here, which steps name.
    pub role: String,
    /// The kind of instrument.
    pub kind: String,
    /// What it must be able to do.
    pub text: String,
}

/// A step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Its id, by which answers name it.
    pub id: String,
    /// Its number on paper and screen.
    pub number: String,
    /// What it is, in a few words.
    pub title: String,
    /// What to do.
    pub text: String,
    /// A caution that stands with this step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caution: Option<String>,
    /// What it asks for.
    pub asks: Asks,
    /// True when the attempt can be finished without an answer.
    #[serde(default)]
    pub optional: bool,
}

/// What follows a failure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OnFailure {
    /// What to do.
    pub text: String,
    /// Where the next attempt begins.
    pub restart_from: String,
}

/// When it is due again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Recurrence {
    /// In words.
    pub text: String,
    /// Calendar interval, by the limit's id in the criteria set.
    #[serde(default)]
    pub interval: Option<String>,
}

/// What an interruption does.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Interruption {
    /// In words.
    pub text: String,
    /// Where the next attempt begins.
    pub restart_from: String,
    /// What makes an earlier start necessary, and where it then begins.
    #[serde(default)]
    pub earlier: BTreeMap<String, String>,
}

impl Checklist {
    /// Reads a checklist.
    ///
    /// # Errors
    /// Every problem in the file: syntax, unknown fields, names of steps that do not exist.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let (checklist, mut places) = reader::read::<Self>(file, text)?;
        checklist_checks::check(&checklist, &mut places);
        places.finish(checklist)
    }

    /// Checks every limit that the checklist names against the criteria set that judges it.
    ///
    /// # Errors
    /// Every limit that the set does not have.
    pub fn parse_with(
        file: &str,
        text: &str,
        criteria: &super::Criteria,
    ) -> Result<Self, Problems> {
        let (checklist, mut places) = reader::read::<Self>(file, text)?;
        checklist_checks::check(&checklist, &mut places);
        checklist_checks::check_limits(&checklist, criteria, &mut places);
        places.finish(checklist)
    }

    /// A step by its id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }

    /// The place of a step in the order, from 0.
    pub fn place(&self, id: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.id == id)
    }

    /// The first step.
    pub fn first_step(&self) -> Option<&Step> {
        self.steps.first()
    }

    /// The calculation steps, in order.
    pub fn calculations(&self) -> impl Iterator<Item = (&Step, &Calculated)> {
        self.steps.iter().filter_map(|step| match &step.asks {
            Asks::Calculation(calculated) => Some((step, calculated)),
            _ => None,
        })
    }

    /// The calculation of a step.
    pub fn calculation(&self, step: &str) -> Option<(&Step, &Calculated)> {
        self.calculations().find(|(one, _)| one.id == step)
    }
}
