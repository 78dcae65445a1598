//! An issued report and the turns of its signatures.

use ledger::{Digest, Subject};
use serde::{Deserialize, Serialize};

use super::Stamp;

/// One signature on the report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignatureDoc {
    /// Name of the field.
    pub field: String,
    /// The file that it extends.
    pub extends: Digest,
    /// The file that it makes.
    pub file: Digest,
    /// The signing entry.
    pub by: Stamp,
}

/// A report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReportDoc {
    /// The report.
    pub report: Subject,
    /// The dish position.
    pub position: String,
    /// The records it shows.
    pub records: Vec<Subject>,
    /// The file as issued.
    pub file: Digest,
    /// Number of pages.
    pub pages: u32,
    /// Signature fields in the order of signing.
    pub fields: Vec<String>,
    /// Signatures that follow each other, the first on the issued file.
    pub signatures: Vec<SignatureDoc>,
    /// Signatures that extend a file on which another signature already stands; one signs again.
    pub beside: Vec<SignatureDoc>,
    /// The issuing entry.
    pub issued: Stamp,
}

impl ReportDoc {
    /// The file that the next signature must extend.
    pub fn latest_file(&self) -> Digest {
        self.signatures.last().map_or(self.file, |signature| signature.file)
    }

    /// The next field to sign, or none when all turns are done.
    pub fn next_field(&self) -> Option<&str> {
        self.fields.get(self.signatures.len()).map(String::as_str)
    }
}
