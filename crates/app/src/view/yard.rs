//! The yard: where the dishes stand, and the morning list.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Target};

/// The first screen.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct YardView {
    pub(crate) site: String,
    pub(crate) day: String,
    pub(crate) dishes: Vec<YardDish>,
    /// What needs deciding first, what can be signed last.
    pub(crate) list: Vec<MorningItem>,
    pub(crate) knowledge: Knowledge,
}

/// A dish on the plan of the yard.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct YardDish {
    pub(crate) position: String,
    /// With its check letter, as on the dish.
    pub(crate) label: String,
    pub(crate) phrase: String,
    /// The face, medium cut.
    pub(crate) face_svg: String,
    /// Metres east of the plan's origin.
    pub(crate) east: f64,
    /// Metres north of it.
    pub(crate) north: f64,
}

/// A line of the morning list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct MorningItem {
    pub(crate) position: String,
    pub(crate) subject: String,
    pub(crate) reason: String,
    pub(crate) verb: String,
    /// The face, small cut.
    pub(crate) face_svg: String,
    pub(crate) target: Target,
    /// True for what only waits for a signature.
    pub(crate) ready: bool,
}
