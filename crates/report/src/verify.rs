//! Verifying a report file in plain words.

use serde::Serialize;

/// How grave a statement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Checked and right.
    Ok,
    /// Not wrong, but the reader should know.
    Warning,
    /// Wrong.
    Error,
}

/// One thing that was checked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Statement {
    /// Stable code, `snake_case`.
    pub code: &'static str,
    /// How grave it is.
    pub level: Level,
    /// What it is about: "signature supervisor", "page 3", "report.json", "file".
    pub object: String,
    /// What was found, one sentence.
    pub sentence: String,
    /// What to do next; empty when there is nothing to do.
    pub next_step: String,
}

/// What to compare with.
#[derive(Debug, Clone, Default)]
pub struct VerifyOptions {
    /// SHA-256 of the site authority's public key (SPKI DER, hex), got from somebody trusted.
    pub expected_root: Option<String>,
}

/// The outcome.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verification {
    /// Everything that was checked, in order.
    pub statements: Vec<Statement>,
    /// The embedded entries, for the caller to verify further; none when they cannot be had.
    #[serde(skip)]
    pub entries: Option<Vec<u8>>,
    /// The embedded view model, exactly as embedded; none when it cannot be had.
    #[serde(skip)]
    pub report: Option<Vec<u8>>,
}

impl Verification {
    /// The gravest level.
    #[must_use]
    pub fn level(&self) -> Level {
        self.statements.iter().map(|s| s.level).max().unwrap_or(Level::Error)
    }
}

/// Verifies a report file. Never panics and never stops at the first fault.
#[must_use]
pub fn verify(pdf: &[u8], options: &VerifyOptions) -> Verification {
    let _ = (pdf, options);
    Verification { statements: Vec::new(), entries: None, report: None }
}
