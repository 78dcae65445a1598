//! What each command takes: one small struct a command, refused when a field is unknown.

use logbook::events::Role;
use serde::Deserialize;
use ts_rs::TS;

use crate::request::{LoggerFile, Upload};

/// A command that takes nothing.
#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(type = "Record<string, never>")]
pub(super) struct Nothing {}

#[derive(Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct UnlockArgs {
    pub(super) passphrase: String,
}

#[derive(Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct ActAsArgs {
    pub(super) person: String,
    #[ts(type = "string")]
    pub(super) role: Role,
    pub(super) pin: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct PositionArgs {
    /// With or without its check letter.
    pub(super) position: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct RecordArgs {
    pub(super) record: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct StepArgs {
    pub(super) record: String,
    pub(super) step: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct WeighArgs {
    pub(super) record: String,
    pub(super) step: String,
    /// What stands in the field, exactly.
    pub(super) text: String,
    /// The unit chosen beside the field; none for the step's own.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(super) unit: Option<String>,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct DraftKeepArgs {
    pub(super) name: String,
    pub(super) text: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct DraftArgs {
    pub(super) name: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct SurveyReadArgs {
    pub(super) record: String,
    pub(super) step: String,
    pub(super) file: Upload,
    /// Answers to earlier questions about the file.
    #[serde(default)]
    #[ts(optional, as = "Option<std::collections::BTreeMap<String, String>>")]
    pub(super) answers: std::collections::BTreeMap<String, String>,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct SeriesReadArgs {
    pub(super) record: String,
    pub(super) step: String,
    pub(super) files: Vec<LoggerFile>,
}

#[derive(Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct ReportSignArgs {
    pub(super) position: String,
    pub(super) report: String,
    pub(super) field: String,
    /// The PIN of the person who acts.
    pub(super) pin: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct ReportSaveArgs {
    pub(super) report: String,
    pub(super) path: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct ReportArgs {
    pub(super) report: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct SunDayArgs {
    /// RFC 3339; none for now.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(super) at: Option<String>,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct LedgerArgs {
    /// Entries with a lower number than this one; none for the latest.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub(super) before: Option<u64>,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct PhotoArgs {
    pub(super) hash: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct CalculationArgs {
    pub(super) name: String,
}

#[derive(Debug, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub(super) struct CalculateArgs {
    pub(super) name: String,
    /// The calculation's input, as its schema says.
    #[ts(type = "unknown")]
    pub(super) input: serde_json::Value,
}
