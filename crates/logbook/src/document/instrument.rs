//! An instrument with its calibrations, and its state on a given day.

use chrono::NaiveDate;
use ledger::{Digest, Subject};
use serde::{Deserialize, Serialize};

use super::Stamp;
use crate::events::{Accreditation, Component};

/// One calibration.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Calibration {
    /// Day of calibration.
    pub calibrated: NaiveDate,
    /// Last day in date.
    pub due: NaiveDate,
    /// Who calibrated.
    pub laboratory: String,
    /// Their accreditation.
    pub accreditation: Accreditation,
    /// Number of the certificate.
    pub certificate: String,
    /// The certificate's file.
    pub file: Option<Digest>,
    /// Found before any adjustment.
    pub as_found: String,
    /// Left.
    pub as_left: String,
    /// Components of the uncertainty.
    pub components: Vec<Component>,
    /// The entry.
    pub by: Stamp,
}

/// Calibration state of an instrument on one day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum CalibrationState {
    /// In date.
    InDate {
        /// Last day in date.
        due: NaiveDate,
    },
    /// In date, and due soon.
    DueSoon {
        /// Last day in date.
        due: NaiveDate,
        /// Days left.
        days: i64,
    },
    /// Past its due day.
    Overdue {
        /// Last day in date.
        due: NaiveDate,
        /// Days past.
        days: i64,
    },
    /// No calibration on or before that day is known.
    NoneKnown,
    /// The instrument is not on the site's list.
    NotRegistered,
}

impl CalibrationState {
    /// True when a reading may count towards acceptance.
    pub fn counts(&self) -> bool {
        matches!(self, Self::InDate { .. } | Self::DueSoon { .. })
    }

    /// In plain words.
    pub fn words(&self) -> String {
        match self {
            Self::InDate { due } => format!("in date, due {}", due.format("%-d %b %Y")),
            Self::DueSoon { due, days } => {
                format!("in date, due {} ({days} d left)", due.format("%-d %b %Y"))
            }
            Self::Overdue { due, days } => {
                format!("overdue since {} ({days} d)", due.format("%-d %b %Y"))
            }
            Self::NoneKnown => "no calibration known on that day".into(),
            Self::NotRegistered => "not on the site's list of instruments".into(),
        }
    }
}

/// An instrument as it was when a reading was taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InstrumentUse {
    /// The id on its label.
    pub instrument: String,
    /// What it is.
    pub description: String,
    /// The maker's serial number.
    pub maker_serial: String,
    /// The smallest step that it shows, with unit.
    pub resolution: String,
    /// Its calibration state at the time of work.
    pub state: CalibrationState,
    /// The calibration that held then.
    pub calibration: Option<Calibration>,
}

/// An instrument.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InstrumentDoc {
    /// The id on its label.
    pub instrument: String,
    /// The subject of the entry that registered it.
    pub subject: Subject,
    /// What it is, as checklists ask for it.
    pub kind: String,
    /// In words.
    pub description: String,
    /// The maker's serial number.
    pub maker_serial: String,
    /// Lower end of the range, with unit.
    pub range_low: String,
    /// Upper end of the range, with unit.
    pub range_high: String,
    /// The smallest step that it shows, with unit.
    pub resolution: String,
    /// The unit as displayed.
    pub unit: String,
    /// Who owns it.
    pub owner: String,
    /// Calibrations in the order entered.
    pub calibrations: Vec<Calibration>,
    /// The registering entry.
    pub registered: Stamp,
}

impl InstrumentDoc {
    /// The calibration that holds on a day: the latest one made on or before it.
    pub fn calibration_on(&self, day: NaiveDate) -> Option<&Calibration> {
        self.calibrations
            .iter()
            .filter(|calibration| calibration.calibrated <= day)
            .max_by_key(|calibration| calibration.calibrated)
    }

    /// The state on a day. `warn_days` before the due day it says so.
    pub fn state_on(&self, day: NaiveDate, warn_days: i64) -> CalibrationState {
        let Some(calibration) = self.calibration_on(day) else {
            return CalibrationState::NoneKnown;
        };
        let due = calibration.due;
        match (due - day).num_days() {
            days if days < 0 => CalibrationState::Overdue { due, days: -days },
            days if days <= warn_days => CalibrationState::DueSoon { due, days },
            _ => CalibrationState::InDate { due },
        }
    }

    /// The instrument as it is on a day.
    pub fn used_on(&self, day: NaiveDate, warn_days: i64) -> InstrumentUse {
        InstrumentUse {
            instrument: self.instrument.clone(),
            description: self.description.clone(),
            maker_serial: self.maker_serial.clone(),
            resolution: self.resolution.clone(),
            state: self.state_on(day, warn_days),
            calibration: self.calibration_on(day).cloned(),
        }
    }
}
