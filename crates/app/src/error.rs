//! The one error that front ends see: a code to match on, a sentence, and what to do next.

use std::fmt;

use serde::Serialize;

/// What went wrong, in a form that a person can act on and a program can match on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{sentence} {next_step}")]
pub struct AppError {
    /// Stable identifier, e.g. `record.unknown_position`; front ends match on this, never on text.
    pub code: String,
    /// One sentence that says what is wrong and with what.
    pub sentence: String,
    /// One sentence that says what to do now.
    pub next_step: String,
    /// True when the same act goes through with a stated reason.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub may_insist: bool,
}

impl AppError {
    /// Builds an error from its three parts.
    pub fn new(code: &str, sentence: impl Into<String>, next_step: impl Into<String>) -> Self {
        Self {
            code: code.to_owned(),
            sentence: sentence.into(),
            next_step: next_step.into(),
            may_insist: false,
        }
    }

    /// Something that only a fault of the program or of the machine can cause.
    ///
    /// The cause is kept in the sentence: a field user reads it out over the radio.
    pub fn internal(doing: &str, cause: impl fmt::Display) -> Self {
        Self::new(
            "internal",
            format!("{doing} did not work: {cause}."),
            "Nothing was entered. Try once more; if it stays so, run `dishwright check` on the \
             data folder and keep its output.",
        )
    }
}

/// The result of every use case.
pub type Result<T> = std::result::Result<T, AppError>;
