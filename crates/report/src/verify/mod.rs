//! Verifying a report file, in plain words, by anyone who holds it.
//!
//! A signature says only that some bytes are unchanged. What a reader sees may come from an update
//! that was appended behind them, so each appended update is compared with what stood before, and
//! the first revision is compared with what the embedded data give when rendered anew.

mod compare;
mod data;
mod file;
mod path;
mod signature;

use std::panic::{AssertUnwindSafe, catch_unwind};

use serde::Serialize;

pub(crate) use file::{form_fields, load};

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
    /// What was found, in one or two sentences.
    pub sentence: String,
    /// What to do next; empty when there is nothing to do.
    pub next_step: String,
}

/// What to do when a copy cannot be relied on.
pub(crate) const FETCH: &str =
    "Do not rely on this copy; get the file again from somebody who signed it, and compare.";

impl Statement {
    pub(crate) fn ok(code: &'static str, object: &str, sentence: String) -> Self {
        Self::new(code, Level::Ok, object, sentence, "")
    }

    pub(crate) fn warning(code: &'static str, object: &str, sentence: String, next: &str) -> Self {
        Self::new(code, Level::Warning, object, sentence, next)
    }

    pub(crate) fn error(code: &'static str, object: &str, sentence: String) -> Self {
        Self::new(code, Level::Error, object, sentence, FETCH)
    }

    fn new(code: &'static str, level: Level, object: &str, sentence: String, next: &str) -> Self {
        Self { code, level, object: object.to_owned(), sentence, next_step: next.to_owned() }
    }
}

/// What to compare with.
#[derive(Debug, Clone, Default)]
pub struct VerifyOptions {
    /// SHA-256 of the site authority's public key (SPKI DER, hex), got from somebody trusted.
    pub expected_root: Option<String>,
}

/// Who signed a place, as the signature itself says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Signed {
    /// Name of the place.
    pub field: String,
    /// The name that the signature shows.
    pub name: String,
    /// The role that it shows.
    pub role: String,
    /// The time that it claims, in seconds since 1970; none when it can't be read.
    pub at: Option<i64>,
    /// The signer's certificate, DER.
    #[serde(skip)]
    pub certificate: Vec<u8>,
    /// SHA-256 of the public key of the root that the certificates lead to, hex; empty when there
    /// is none.
    pub root: String,
}

/// The outcome.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verification {
    /// Who signed which place, in the order of signing. Whether the signatures hold, the
    /// statements say.
    pub signed: Vec<Signed>,
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
    /// The gravest level; an empty outcome counts as an error.
    #[must_use]
    pub fn level(&self) -> Level {
        self.statements.iter().map(|s| s.level).max().unwrap_or(Level::Error)
    }
}

/// Verifies a report file. Never panics and never stops at the first fault.
#[must_use]
pub fn verify(pdf: &[u8], options: &VerifyOptions) -> Verification {
    // A reader of hostile bytes may itself fail; that is a finding, not a crash.
    catch_unwind(AssertUnwindSafe(|| examine(pdf, options))).unwrap_or_else(|_| {
        let sentence = "The file is damaged in a way that stopped the check.".to_owned();
        let statements = vec![Statement::error("unreadable", "file", sentence)];
        Verification { signed: Vec::new(), statements, entries: None, report: None }
    })
}

fn examine(pdf: &[u8], options: &VerifyOptions) -> Verification {
    let mut statements = Vec::new();
    let revisions = file::revisions(pdf, &mut statements);
    let mut outcome = Verification { signed: Vec::new(), statements, entries: None, report: None };
    let (Some(first), Some(last)) = (revisions.first(), revisions.last()) else {
        if outcome.statements.is_empty() {
            let sentence = "This is not a PDF file, or its end is missing.".to_owned();
            outcome.statements.push(Statement::error("unreadable", "file", sentence));
        }
        return outcome;
    };
    let statements = &mut outcome.statements;
    let signatures = signature::collect(pdf, &revisions, statements);
    signature::examine(pdf, &signatures, options, statements);
    outcome.signed = signatures.iter().filter_map(signature::Signature::signed).collect();
    compare::updates(&revisions, &signatures, statements);
    signature::unsigned(last, statements);
    let embedded = data::examine(first, last, &pdf[..first.end.min(pdf.len())], statements);
    if let Some(claimed) = &embedded.authority {
        signature::authority_of_the_report(&signatures, claimed, statements);
    }
    outcome.entries = embedded.entries;
    outcome.report = embedded.report;
    outcome
}

/// Why a file must not be signed, if there is a reason: anything wrong with it but its being
/// unsigned. What it says is not rendered anew here.
pub(crate) fn refusal(pdf: &[u8]) -> Option<String> {
    let check = || {
        let mut statements = Vec::new();
        let revisions = file::revisions(pdf, &mut statements);
        let signatures = signature::collect(pdf, &revisions, &mut statements);
        signature::examine(pdf, &signatures, &VerifyOptions::default(), &mut statements);
        compare::updates(&revisions, &signatures, &mut statements);
        statements.into_iter().find(|s| s.level == Level::Error).map(|s| s.sentence)
    };
    catch_unwind(AssertUnwindSafe(check))
        .unwrap_or_else(|_| Some("it is damaged in a way that stopped the check.".to_owned()))
}
