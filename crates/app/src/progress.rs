//! How long work tells where it is.

use serde::Serialize;

/// Where a long piece of work has got to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Progress {
    /// What is being done, in a few words.
    pub doing: String,
    /// How much is done.
    pub done: u64,
    /// Of how much; `None` while that isn't known.
    pub of: Option<u64>,
}

impl Progress {
    /// A step without a count.
    pub fn step(doing: impl Into<String>) -> Self {
        Self { doing: doing.into(), done: 0, of: None }
    }

    /// A step with a count.
    pub fn counted(doing: impl Into<String>, done: u64, of: u64) -> Self {
        Self { doing: doing.into(), done, of: Some(of) }
    }
}

/// Receives progress.
pub type Sink<'a> = dyn FnMut(Progress) + 'a;
