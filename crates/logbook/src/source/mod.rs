//! The files that a site adopts: checklists, criteria, re-test rules. Written as TOML.
//!
//! Reading collects every problem with its file, line and column, not just the first. Unknown
//! fields are refused: a misspelt limit must not silently be no limit.

mod checklist;
mod checklist_checks;
mod criteria;
mod reader;
mod retest;
mod schema;

pub use checklist::{
    Acceptance, Asks, Calculated, Checklist, Choice, Compared, Confirm, GaugeShare, HoldAsked,
    InputFrom, Instrument, InstrumentPart, Interruption, OnFailure, People, Photo, PlausibleWindow,
    Prerequisite, PrerequisiteKind, ReadingAsked, Recording, Recurrence, ReviewPeople, Signature,
    StatedAnswer, Step, StepOption, TableAsked, WeatherLimit, WitnessAsked,
};
pub(crate) use checklist_checks::limits_lacking;
pub use criteria::{Criteria, DecisionRule, Limit, SourceStatus};
pub use reader::{Problem, Problems};
pub use retest::{Effect, Requirement, RetestEffect, RetestRules, Work};
pub use schema::{schema, schemas};

use ledger::Digest;
use sha2::{Digest as _, Sha256};

/// SHA-256 of a file's bytes.
pub fn content_hash(content: &str) -> Digest {
    Digest::from_bytes(Sha256::digest(content.as_bytes()).into())
}
