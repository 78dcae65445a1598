//! An open item and what became of it.

use ledger::Subject;
use serde::{Deserialize, Serialize};

use super::Stamp;
use crate::Moment;
use crate::events::PunchCategory;

/// An open or closed item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FindingDoc {
    /// The finding.
    pub finding: Subject,
    /// The dish position.
    pub position: String,
    /// What is wrong.
    pub text: String,
    /// Where on the dish.
    pub place: Option<String>,
    /// How much it blocks.
    pub category: PunchCategory,
    /// The record in which it came up.
    pub record: Option<Subject>,
    /// Claimed time.
    pub worked_at: Moment,
    /// The raising entry.
    pub raised: Stamp,
    /// Who did the work, and what, once closed.
    pub done: Option<(String, String)>,
    /// The closing entry, by the verifier.
    pub closed: Option<Stamp>,
}
