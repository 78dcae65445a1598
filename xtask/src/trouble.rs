//! What went wrong, and what the reader can do next.

use std::fmt;

/// A failure of a repository command: a sentence, and the next step when there is one to name.
#[derive(Debug)]
pub(crate) struct Trouble {
    what: String,
    next: String,
}

impl Trouble {
    pub(crate) fn new(what: impl Into<String>, next: impl Into<String>) -> Self {
        Self { what: what.into(), next: next.into() }
    }

    /// A failure whose details were printed where they arose.
    pub(crate) fn said_above(what: impl Into<String>) -> Self {
        Self::new(what, "")
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.next.is_empty() {
            write!(out, "{}", self.what)
        } else {
            write!(out, "{}\n  next: {}", self.what, self.next)
        }
    }
}
