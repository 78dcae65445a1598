//! The calculations that can be run by hand.

use serde::Serialize;
use ts_rs::TS;

/// Every calculation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationsView {
    pub(crate) list: Vec<CalculationLine>,
}

/// One calculation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationLine {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) purpose: String,
    pub(crate) version: u32,
}
