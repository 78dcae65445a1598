//! The calculations that can be run by hand.

use serde::Serialize;
use ts_rs::TS;

use crate::calc;

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

impl CalculationsView {
    /// Every calculation, in order of name.
    pub(crate) fn all() -> Self {
        let line = |one: calc::Listed| CalculationLine {
            name: one.name.to_owned(),
            title: one.title.to_owned(),
            purpose: one.purpose.to_owned(),
            version: one.version,
        };
        Self { list: calc::list().into_iter().map(line).collect() }
    }
}
