//! Answers that belong to no screen of their own.

use serde::Serialize;
use ts_rs::TS;

/// An answer that says nothing but that it was done.
#[derive(Debug, Serialize, TS)]
#[ts(type = "Record<string, never>")]
pub(super) struct Done {}

/// What was typed and not yet entered.
#[derive(Debug, Serialize, TS)]
pub(super) struct DraftText {
    pub(super) text: Option<String>,
}

/// A picture's bytes.
#[derive(Debug, Serialize, TS)]
pub(super) struct PhotoBytes {
    pub(super) base64: String,
    #[ts(type = "\"image/jpeg\" | \"image/png\"")]
    pub(super) media: &'static str,
}
