//! A place where a rule of the house is broken.

use std::fmt;
use std::path::{Path, PathBuf};

/// What is wrong where, and what to do about it.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Finding {
    path: PathBuf,
    /// Counted from 1; 0 when it is about the file as a whole.
    line: usize,
    rule: &'static str,
    what: String,
    remedy: String,
}

impl Finding {
    pub(super) fn new(
        path: &Path,
        line: usize,
        rule: &'static str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self { path: path.to_path_buf(), line, rule, what: what.into(), remedy: remedy.into() }
    }

    #[cfg(test)]
    pub(super) fn rule_and_line(&self) -> (&'static str, usize) {
        (self.rule, self.line)
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.path.display())?;
        if self.line > 0 {
            write!(out, ":{}", self.line)?;
        }
        write!(out, ": [{}] {}\n  remedy: {}", self.rule, self.what, self.remedy)
    }
}
