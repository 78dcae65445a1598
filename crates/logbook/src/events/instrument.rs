//! Instruments: what they are, and what each calibration found.

use chrono::NaiveDate;
use ledger::Digest;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// An instrument comes into use on the site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct InstrumentRegistered {
    /// The id on its label, such as `PG-03`.
    pub instrument: String,
    /// What it is, as checklists ask for it: `gauge`, `thermometer`, `barometer`, `tracer-detector`.
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
    /// The unit as displayed, such as `bar(g)`.
    pub unit: String,
    /// Who owns it: the site, or the hire firm.
    pub owner: String,
}

/// Whether the laboratory is accredited to ISO/IEC 17025 for this calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Accreditation {
    /// Accredited.
    Accredited,
    /// Not accredited.
    NotAccredited,
    /// Not stated on the certificate.
    NotStated,
}

/// How a stated uncertainty is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Distribution {
    /// A limit of error, ±: every value inside is as likely (GUM 4.3.7).
    Rectangular,
    /// An expanded uncertainty with coverage factor 2.
    ExpandedK2,
    /// A standard uncertainty.
    Standard,
}

/// One component of an instrument's uncertainty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Component {
    /// What it is: `scale` (common to all readings of one instrument), `repeatability`.
    pub name: String,
    /// Its size with unit, without sign, such as `0.25 bar`.
    pub value: String,
    /// How the size is meant.
    pub distribution: Distribution,
    /// Where the size comes from, such as "certificate K-2291, 0.10 % of full scale".
    pub source: String,
}

/// A calibration certificate was entered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct InstrumentCalibrated {
    /// Which instrument.
    pub instrument: String,
    /// Day of calibration.
    pub calibrated: NaiveDate,
    /// Last day on which it counts as in date.
    pub due: NaiveDate,
    /// Who calibrated.
    pub laboratory: String,
    /// Their accreditation.
    pub accreditation: Accreditation,
    /// Number of the certificate.
    pub certificate: String,
    /// The certificate's file, attached to the same entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional, type = "string")]
    pub file: Option<Digest>,
    /// What was found before any adjustment.
    pub as_found: String,
    /// What was left.
    pub as_left: String,
    /// The components of the uncertainty that the certificate or the maker states.
    pub components: Vec<Component>,
}
