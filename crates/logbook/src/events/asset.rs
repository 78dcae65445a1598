//! Dish positions and what is fitted to them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::Moment;

/// A dish position: the permanent place, which no other dish ever takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PositionRegistered {
    /// Its code, such as `PC-04`.
    pub position: String,
    /// The letter on the label that catches a wrong dish.
    pub check_letter: String,
    /// The cluster it belongs to.
    pub cluster: String,
    /// The type of dish that stands there.
    pub dish_type: String,
    /// Named lists that checklists go through line by line, such as `joints`.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lists: BTreeMap<String, Vec<String>>,
}

/// A serial was fitted to a slot; the serial that was there before, if any, came off in the same act.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SerialFitted {
    /// The dish position.
    pub position: String,
    /// The slot, such as `engine`.
    pub slot: String,
    /// The serial on its plate.
    pub serial: String,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// Why, where another serial came off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}
