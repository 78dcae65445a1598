//! Documents: what the fold knows about each thing, ready to be shown.
//!
//! A document is derived. It can be thrown away and comes out equal from the entries.

mod adopted;
mod finding;
mod instrument;
mod measured;
mod person;
mod position;
mod record;
mod report;
mod site;

pub use adopted::AdoptedDoc;
pub use finding::FindingDoc;
pub use instrument::{Calibration, CalibrationState, InstrumentDoc, InstrumentUse};
pub use measured::{SeriesDoc, SeriesGiven, SurveyDoc, SurveyGiven};
pub use person::{Certified, PersonDoc};
pub use position::{Fitted, PositionDoc, RecordOfPosition};
pub use record::{
    AnswerDoc, AttemptDoc, AttemptState, Elapsed, Flag, Given, HoldDoc, HoldMark, Interruption,
    RecordDoc, ReviewDoc, SerialFittedThen, VerdictDoc, WeatherDoc, WitnessDoc,
};
pub use report::{ReportDoc, SignatureDoc};
pub use site::{Adopted, ChainHeard, Described, SiteDoc, StatusDoc, UnreadKind};

use ledger::{ChainId, EntryId};
use serde::{Deserialize, Serialize};

use crate::Moment;
use crate::events::{Origin, Role};

/// Which entry says so: its place in the ledger, who acted, and when they claim it was entered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// The entry.
    pub entry: EntryId,
    /// Its chain.
    pub chain: ChainId,
    /// Its number in the chain.
    pub number: u64,
    /// Claimed time of entry.
    pub claimed: Moment,
    /// Who acted, by opaque id; empty when no person did.
    pub person: String,
    /// In which role, where the entry says so.
    pub role: Option<Role>,
}

impl Origin {
    /// Who did the work: the person of the entry, or the performer named on the paper.
    pub(crate) fn performer<'o>(&'o self, stamp: &'o Stamp) -> (&'o str, Option<Role>) {
        match self {
            Self::Direct {} => (&stamp.person, stamp.role),
            Self::Transcribed { performer, performer_role, .. } => {
                (performer, Some(*performer_role))
            }
        }
    }
}

/// Why an entry was kept but not taken into account.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UnreadWhy {
    /// Its kind needs a newer version of this program.
    Newer,
    /// A known kind with bytes that do not fit it.
    Malformed,
    /// It fits its kind and contradicts what stands before it.
    Misplaced,
    /// Its payload was redacted or has not arrived.
    Absent,
}

/// An entry that bears on something and could not be taken into account. It is kept, and as long
/// as it stands no verdict about its item is given and no proof of its item closes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unread {
    /// The entry.
    pub entry: EntryId,
    /// Its kind.
    pub kind: String,
    /// The kind's version.
    pub version: u32,
    /// Why it was not taken into account.
    pub why: UnreadWhy,
    /// What is wrong, in a sentence.
    pub what: String,
}
