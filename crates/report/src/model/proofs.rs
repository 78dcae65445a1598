//! Proofs as the report shows them: one table line and one sector of the dish face each.

use serde::{Deserialize, Serialize};

/// State of a required proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ProofState {
    /// Accepted, and nothing has voided it.
    Stands,
    /// Done, not yet accepted.
    UnderReview,
    /// Voided by later work.
    Voided,
    /// Its time ran out.
    Lapsed,
    /// The order of two pieces of work is not known.
    Undecided,
    /// Owed.
    Owed,
    /// Owed, and waiting for another proof first.
    OwedWaiting,
    /// Not required for this release.
    NotRequired,
}

impl ProofState {
    /// The word printed beside the state's drawing.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Stands => "stands",
            Self::UnderReview => "under review",
            Self::Voided => "voided",
            Self::Lapsed => "lapsed",
            Self::Undecided => "undecided",
            Self::Owed => "owed",
            Self::OwedWaiting => "owed, waits",
            Self::NotRequired => "not required",
        }
    }
}

/// One required proof.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Proof {
    /// Requirement, such as "leak".
    pub requirement: String,
    /// Its name where there is little room, as on the face; empty where that is the requirement.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub short: String,
    /// Its state.
    pub state: ProofState,
    /// Result as printed, such as "0.76 % ± 0.25 % in 12 h"; for an owed proof, why it is owed.
    pub result: String,
    /// Limit as printed; may be empty.
    pub limit: String,
    /// Day of acceptance as printed; may be empty.
    pub accepted: String,
    /// Attempt that stands, and how many there were, such as "3 of 3"; may be empty.
    pub attempt: String,
    /// Who performed, reviewed and witnessed, such as "I. Brize; T. Manquel"; may be empty.
    pub people: String,
    /// The `id` of the attempt to turn to; the page number is found by layout. May be empty.
    pub turn_to: String,
}

impl Proof {
    /// Its name where there is little room.
    #[must_use]
    pub fn name(&self) -> &str {
        if self.short.is_empty() { &self.requirement } else { &self.short }
    }
}

/// What the dish face shows beside the states of the proofs.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Face {
    /// Hold points in order; empty when none is shown.
    pub holds: Vec<FaceHold>,
    /// Open findings.
    pub ticks: Vec<FaceTick>,
    /// Locks known to be in force.
    pub locks: u32,
    /// What is known about locks, with its age, such as "none known to this tablet as of 07:31".
    pub locks_sentence: String,
}

/// A hold point on the face.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaceHold {
    /// Number of the hold point, from 1.
    pub number: u32,
    /// Requirement whose sector it closes.
    pub after: String,
    /// Whether it is released.
    pub state: HoldState,
}

/// Whether a hold point is released.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoldState {
    /// Released.
    Released,
    /// Held.
    Held,
}

/// An open finding on the rim.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaceTick {
    /// Requirement that it bears on.
    pub requirement: String,
    /// Class of the finding.
    pub class: TickClass,
}

/// Class of an open finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TickClass {
    /// Stops work.
    A,
    /// Before hand-over.
    B,
    /// After hand-over.
    C,
}
