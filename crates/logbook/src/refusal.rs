//! What the logbook says when it does not do something: a code, a sentence, the next step.

use serde::Serialize;

/// A refusal that a person can read and a program can match.
///
/// `code` is stable and lower-case with underscores; `sentence` says what is wrong;
/// `next_step` says what to do about it. Nothing typed is lost by a refusal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{sentence} {next_step}")]
pub struct Refusal {
    /// Stable code, for programs and tests.
    pub code: &'static str,
    /// What is wrong, in one or two sentences.
    pub sentence: String,
    /// What to do next.
    pub next_step: String,
    /// True when the same act goes through with a stated reason (see [`crate::events::Insistence`]).
    pub may_insist: bool,
}

impl Refusal {
    pub(crate) fn new(
        code: &'static str,
        sentence: impl Into<String>,
        next_step: impl Into<String>,
    ) -> Self {
        Self { code, sentence: sentence.into(), next_step: next_step.into(), may_insist: false }
    }

    /// The same refusal, which a stated reason overcomes.
    pub(crate) fn insistable(mut self) -> Self {
        self.may_insist = true;
        self
    }
}
