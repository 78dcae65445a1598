//! Rendering: checks the view model, lays it out, and writes the file.

use std::collections::BTreeSet;

use sha2::{Digest, Sha256};

use crate::layout::{Digests, lay_out};
use crate::model::FORMAT;
use crate::pdf::{self, Attachments};
use crate::setting::Setter;
use crate::{Handover, RenderError};

/// Lays out a report and gives the bytes of a PDF/A-3b file.
///
/// `entries` are the evidence bytes that travel inside as `entries.jsonl`. The same input gives
/// the same bytes.
///
/// # Errors
/// A character that no bundled font can draw, a number in a figure that is not a decimal, a
/// signature place with an unusable name, a date that is not RFC 3339.
pub fn render(report: &Handover, entries: &[u8]) -> Result<Vec<u8>, RenderError> {
    check(report)?;
    let json = report
        .to_json()
        .map_err(|e| RenderError::Internal { what: format!("report.json: {e}") })?;
    let digests = Digests {
        report: hex::encode(Sha256::digest(&json)),
        entries: hex::encode(Sha256::digest(entries)),
    };
    let mut setter = Setter::new()?;
    let paper = lay_out(report, &digests, &mut setter)?;
    pdf::emit(&paper, report, &Attachments { report: &json, entries })
}

fn check(report: &Handover) -> Result<(), RenderError> {
    if report.format != FORMAT {
        return Err(RenderError::OtherFormat { expected: FORMAT, found: report.format });
    }
    let mut seen = BTreeSet::new();
    for place in &report.signature_places {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
        let field = &place.field;
        if field.is_empty() || !field.chars().all(plain) || !seen.insert(field) {
            return Err(RenderError::BadSignaturePlace { field: field.clone() });
        }
    }
    Ok(())
}
