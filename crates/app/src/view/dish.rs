//! One dish: what it has shown, what it owes, what is fitted, what is open, what happened.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, LocksShort, Moment, Proof};

/// A dish.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct DishView {
    pub(crate) position: String,
    pub(crate) label: String,
    pub(crate) dish_type: String,
    /// The face, large cut, with its targets.
    pub(crate) face_svg: String,
    /// How many proofs do not stand.
    pub(crate) owes: u32,
    pub(crate) headline: String,
    pub(crate) proofs: Vec<Proof>,
    pub(crate) serials: Vec<Serial>,
    /// Open findings, the gravest first.
    pub(crate) findings: Vec<FindingView>,
    /// What happened, the latest first.
    pub(crate) history: Vec<HistoryItem>,
    pub(crate) locks: LocksShort,
    pub(crate) knowledge: Knowledge,
}

/// A serial that is fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Serial {
    pub(crate) slot: String,
    pub(crate) serial: String,
    pub(crate) since: String,
}

/// An open finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FindingView {
    pub(crate) finding: String,
    #[ts(type = "\"A\" | \"B\" | \"C\"")]
    pub(crate) category: &'static str,
    pub(crate) text: String,
    pub(crate) place: String,
    pub(crate) raised: String,
}

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct HistoryItem {
    pub(crate) at: Moment,
    pub(crate) text: String,
    pub(crate) record: Option<String>,
}
