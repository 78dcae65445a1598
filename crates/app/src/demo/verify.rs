//! What is looked at after the story: the signed report, the archive, the data folder.

use std::path::Path;

use serde::Serialize;

use crate::error::Result;
use crate::inspect::{InspectOptions, Level, inspect};
use crate::progress::{Progress, Sink};

/// One thing that was verified.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Seen {
    /// What was looked at.
    pub what: String,
    /// What was found, in a sentence.
    pub found: String,
    /// Whether it was right.
    pub right: bool,
}

/// What the story left behind.
pub(super) struct Left<'a> {
    pub(super) report: &'a Path,
    pub(super) root: &'a Path,
    pub(super) archive: &'a Path,
    pub(super) data: &'a Path,
    pub(super) secrets: &'a Path,
    pub(super) passphrase: &'a str,
}

/// Verifies everything that the story left behind, by the same checks as the command line.
pub(super) fn all(left: &Left<'_>, progress: &mut Sink<'_>) -> Result<Vec<Seen>> {
    let options = InspectOptions {
        deep: true,
        root: Some(left.root.to_owned()),
        secrets: Some(left.secrets.to_owned()),
    };
    let mut seen = Vec::new();
    let things = [("report", left.report), ("archive", left.archive), ("data folder", left.data)];
    for (what, path) in things {
        progress(Progress::step(format!("Verifying the {what}")));
        let mut ask = || Ok(left.passphrase.to_owned());
        let inspection = inspect(path, &options, &mut ask, progress)?;
        seen.extend(inspection.findings.iter().map(|finding| Seen {
            what: format!("{what}: {}", finding.object),
            found: finding.sentence.clone(),
            right: finding.level != Level::Error,
        }));
        if inspection.findings.is_empty() {
            seen.push(Seen { what: what.to_owned(), found: inspection.summary, right: true });
        }
    }
    Ok(seen)
}
