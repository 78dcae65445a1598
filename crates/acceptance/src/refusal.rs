//! An input that can't be calculated with, said so that the person knows what to do next.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Says why an input is refused. Nothing of the input is lost by it; the caller still has it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Refusal {
    /// A stable code for programs, such as `wrong_unit` or `end_before_start`.
    pub code: String,
    /// The field of the input, as `end.temperature`; empty when the whole input is meant.
    pub field: String,
    /// What is wrong.
    pub sentence: String,
    /// What to do.
    pub next_step: String,
}

impl Refusal {
    pub(crate) fn new(
        code: &str,
        field: &str,
        sentence: impl Into<String>,
        next_step: impl Into<String>,
    ) -> Self {
        Self {
            code: code.to_owned(),
            field: field.to_owned(),
            sentence: sentence.into(),
            next_step: next_step.into(),
        }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.field.is_empty() {
            write!(f, "{}: ", self.field)?;
        }
        write!(f, "{} {}", self.sentence, self.next_step)
    }
}

impl std::error::Error for Refusal {}
