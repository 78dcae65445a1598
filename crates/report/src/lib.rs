//! Reports: a finished view model becomes figures (SVG) and the bytes of a signed PDF/A-3b file,
//! and such a file is verified, in plain words, by anyone who holds it.
//!
//! **This crate may never compute a verdict, and never gives other bytes for the same input.** It
//! does no I/O and reads no clock, randomness or environment; keys stay with the caller, who lends
//! a [`Signer`]; time and ids arrive in the view model.

mod error;
pub mod model;
mod sign;
mod verify;

pub use error::{RenderError, SignError};
pub use model::Handover;
pub use sign::{Signer, SigningAct, sign};
pub use verify::{Level, Statement, Verification, VerifyOptions, verify};

/// Lays out a report and gives the bytes of a PDF/A-3b file.
///
/// `entries` are the evidence bytes that travel inside as `entries.jsonl`. The same input gives
/// the same bytes.
///
/// # Errors
/// A character that no bundled font can draw, a number in a figure that is not a decimal, a
/// signature place with an unusable name, a date that is not RFC 3339.
pub fn render(report: &Handover, entries: &[u8]) -> Result<Vec<u8>, RenderError> {
    let _ = (report, entries);
    Err(RenderError::Internal { what: "layout".to_owned() })
}
