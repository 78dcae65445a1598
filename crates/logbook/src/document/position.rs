//! A dish position with what is fitted, its records, and the proofs that it owes or has.

use std::collections::BTreeMap;

use ledger::Subject;
use serde::{Deserialize, Serialize};

use super::Stamp;
use crate::Moment;
use crate::proof::Proof;

/// A serial in a slot, from one time of work to another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fitted {
    /// The slot.
    pub slot: String,
    /// The serial.
    pub serial: String,
    /// Claimed time of fitting.
    pub from: Moment,
    /// Claimed time of removal; none while it is fitted.
    pub to: Option<Moment>,
    /// Why it came off.
    pub removed_because: Option<String>,
    /// The fitting entry.
    pub by: Stamp,
}

/// A record of the position, in short.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct RecordOfPosition {
    /// The record.
    pub record: Subject,
    /// Id of its checklist.
    pub checklist: String,
    /// The requirement that it can prove.
    pub requirement: String,
}

/// A dish position.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PositionDoc {
    /// Its code.
    pub position: String,
    /// The subject of the entry that registered it.
    pub subject: Subject,
    /// The letter on the label.
    pub check_letter: String,
    /// Its cluster.
    pub cluster: String,
    /// The type of dish.
    pub dish_type: String,
    /// Named lists that checklists go through.
    pub lists: BTreeMap<String, Vec<String>>,
    /// What was and is fitted, in the order entered.
    pub fitted: Vec<Fitted>,
    /// Its records, in the order opened.
    pub records: Vec<RecordOfPosition>,
    /// Proofs by requirement, for every requirement with a record.
    pub proofs: BTreeMap<String, Proof>,
    /// The registering entry.
    pub registered: Stamp,
}

impl PositionDoc {
    /// What is fitted now, by slot.
    pub fn fitted_now(&self) -> BTreeMap<&str, &str> {
        self.fitted
            .iter()
            .filter(|fitted| fitted.to.is_none())
            .map(|fitted| (fitted.slot.as_str(), fitted.serial.as_str()))
            .collect()
    }

    /// The proof of a requirement; owed when nothing has been recorded for it.
    pub fn proof(&self, requirement: &str) -> Proof {
        self.proofs.get(requirement).cloned().unwrap_or_else(|| Proof::without_record(requirement))
    }
}
