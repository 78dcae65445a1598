//! The locks board. It is never blank, and it never says that a place may be entered.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment};

/// The board.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LocksView {
    pub(crate) title: String,
    pub(crate) caption: String,
    /// What this version does not keep.
    pub(crate) notice: String,
    pub(crate) people: Vec<LockLine>,
    pub(crate) records: Vec<LockRecord>,
    pub(crate) cautions: Vec<String>,
    pub(crate) emergency: String,
    pub(crate) rescue: String,
    pub(crate) knowledge: Knowledge,
}

/// A person with a lock.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockLine {
    pub(crate) position: String,
    pub(crate) person: String,
    pub(crate) lock: String,
    pub(crate) since: Option<Moment>,
    pub(crate) text: String,
}

/// A lockout record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LockRecord {
    pub(crate) position: String,
    pub(crate) record: String,
    pub(crate) title: String,
    pub(crate) state_word: String,
    pub(crate) at: Moment,
    pub(crate) sky_svg: Option<String>,
    /// What the sun does over the job, in a sentence; may be empty.
    pub(crate) window: String,
}
