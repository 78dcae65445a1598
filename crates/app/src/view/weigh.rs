//! What is said about a reading while it is typed.

use serde::Serialize;
use ts_rs::TS;

/// A text weighed as the reading of a step. The text is kept before this is answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Weighed {
    /// What is kept, exactly as typed.
    pub(crate) text_kept: String,
    /// The number with its digits in groups; empty while it can't be read.
    pub(crate) shown: String,
    pub(crate) unit: String,
    pub(crate) fault: Option<Fault>,
    pub(crate) conversions: Vec<Conversion>,
    pub(crate) question: Option<Question>,
}

/// Why the text is no reading yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Fault {
    pub(crate) code: String,
    pub(crate) sentence: String,
    pub(crate) next_step: String,
    /// Texts of which one was meant, where the text can be read in two ways.
    pub(crate) readings: Vec<String>,
}

/// The same value in another unit, or above vacuum.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Conversion {
    pub(crate) label: String,
    pub(crate) value: String,
}

/// A question about a value that is probably a slip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Question {
    pub(crate) code: String,
    pub(crate) title: String,
    pub(crate) sentence: String,
    pub(crate) answers: Vec<AnswerChoice>,
}

/// An answer to the question, with exactly what it records.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AnswerChoice {
    pub(crate) label: String,
    /// What is sent as the answer to the step.
    pub(crate) text: String,
    /// True when it takes a reason.
    pub(crate) insist: bool,
}
