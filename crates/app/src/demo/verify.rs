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

/// Verifies everything that the story left behind, by the same checks as the command line.
pub(super) fn all(
    report: &Path,
    root: &Path,
    archive: &Path,
    data: &Path,
    secrets: &Path,
    passphrase: &str,
    progress: &mut Sink<'_>,
) -> Result<Vec<Seen>> {
    let options = InspectOptions {
        deep: true,
        root: Some(root.to_owned()),
        secrets: Some(secrets.to_owned()),
    };
    let mut seen = Vec::new();
    for (what, path) in [("report", report), ("archive", archive), ("data folder", data)] {
        progress(Progress::step(format!("Verifying the {what}")));
        let mut ask = || Ok(passphrase.to_owned());
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
