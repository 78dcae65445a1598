//! The files that a site adopts: checklists, criteria, re-test rules, dish designs. Written as
//! TOML.
//!
//! Reading collects every problem with its file, line and column, not just the first. Unknown
//! fields are refused: a misspelt limit must not silently be no limit.

mod asks;
mod checklist;
mod checklist_checks;
mod criteria;
mod design;
mod judged_by;
mod reader;
mod retest;
mod schema;

pub use asks::{
    Asks, ChannelAsked, Choice, ColumnAsked, Confirm, DESIGN_FACETS, HoldAsked, Photo,
    PlausibleWindow, ReadingAsked, SeriesAsked, Signature, StepOption, SurveyAsked, TableAsked,
    WitnessAsked,
};
pub use checklist::{
    Checklist, Instrument, Interruption, OnFailure, People, Prerequisite, PrerequisiteKind,
    Recording, Recurrence, ReviewPeople, Step, WeatherLimit,
};
pub(crate) use checklist_checks::limits_lacking;
pub use criteria::{Criteria, DecisionRule, Limit, SourceStatus};
pub use design::{DishDesign, Facet, Rack};
pub use judged_by::{
    Acceptance, Calculated, ChannelPart, ChosenGood, Compared, DesignPart, GaugeShare, InputFrom,
    InstrumentPart, ResultCompared, Side, SitePart, StatedAnswer, WithDoubt,
};
pub use reader::{Problem, Problems};
pub use retest::{Effect, Requirement, RetestEffect, RetestRules, Work};
pub use schema::{schema, schemas};

use ledger::Digest;
use sha2::{Digest as _, Sha256};

/// SHA-256 of a file's bytes.
pub fn content_hash(content: &str) -> Digest {
    Digest::from_bytes(Sha256::digest(content.as_bytes()).into())
}
