//! The calculations that can be run by hand.

use serde::Serialize;
use ts_rs::TS;

use super::verdict::SheetView;
use crate::calc;

/// Every calculation, topic by topic.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationsView {
    pub(crate) topics: Vec<TopicView>,
}

/// The calculations of one topic.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct TopicView {
    pub(crate) title: String,
    pub(crate) list: Vec<CalculationLine>,
}

/// One calculation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationLine {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) purpose: String,
}

/// What came of running a calculation by hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case", tag = "came")]
pub(crate) enum Calculated {
    /// A sheet.
    Sheet {
        /// The sheet.
        sheet: Box<SheetView>,
    },
    /// The input can't be calculated with.
    Refused {
        /// Path of the field, as `end.temperature`; empty when the whole input is meant.
        field: String,
        /// What is wrong.
        sentence: String,
        /// What to do.
        next_step: String,
    },
}

impl CalculationsView {
    /// Every calculation, in the order of the work.
    pub(crate) fn all() -> Self {
        let line = |one: calc::Listed| CalculationLine {
            name: one.name.to_owned(),
            title: one.title.to_owned(),
            purpose: one.purpose.to_owned(),
        };
        let topic = |one: calc::ListedTopic| TopicView {
            title: one.title.to_owned(),
            list: one.list.into_iter().map(line).collect(),
        };
        Self { topics: calc::topics().into_iter().map(topic).collect() }
    }
}
