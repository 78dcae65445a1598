//! Who has what: every chain that this tablet knows.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment};

/// The chains known here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ExchangeView {
    pub(crate) chains: Vec<ChainView>,
    pub(crate) sentence: String,
    pub(crate) knowledge: Knowledge,
}

/// A chain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ChainView {
    pub(crate) chain: String,
    pub(crate) installation: String,
    pub(crate) entries: u32,
    pub(crate) last: Moment,
    /// True for the chain that this installation writes.
    pub(crate) this: bool,
}
