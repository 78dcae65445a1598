//! The handover report: what is not plain, who may sign next, what came since.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment, Proof};

/// Sign-off of a dish.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReportView {
    pub(crate) position: String,
    /// Issued reports, the latest first.
    pub(crate) files: Vec<ReportFile>,
    /// What a signer must know that is not plain.
    pub(crate) not_plain: Vec<NotPlain>,
    /// What was entered since the latest issue and bears on the dish.
    pub(crate) since: Vec<Since>,
    pub(crate) proofs: Vec<Proof>,
    pub(crate) face_svg: String,
    pub(crate) knowledge: Knowledge,
    pub(crate) default_save_path: String,
}

/// An issued report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReportFile {
    pub(crate) report: String,
    pub(crate) file_name: String,
    pub(crate) issued: Moment,
    pub(crate) fields: Vec<SignatureField>,
}

/// A place for a signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SignatureField {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) role: String,
    pub(crate) signed_by: Option<String>,
    pub(crate) at: Option<Moment>,
    pub(crate) may_sign: bool,
    /// Empty when the acting person may sign it now.
    pub(crate) why_not: String,
}

/// A line about something that is not plain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct NotPlain {
    pub(crate) text: String,
    pub(crate) detail: String,
}

/// Something entered since the report was issued.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Since {
    pub(crate) at: Moment,
    pub(crate) text: String,
    pub(crate) entry: String,
}

/// Where a report was saved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Saved {
    pub(crate) path: String,
}

/// A file's bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FileBytes {
    pub(crate) file_name: String,
    pub(crate) base64: String,
}

/// Who signs at a place of the report, in a word.
pub(crate) fn field_title(field: &str) -> &str {
    match field {
        "crew" => "Crew",
        "supervisor" => "Supervisor",
        "owner" => "Owner",
        other => other,
    }
}
