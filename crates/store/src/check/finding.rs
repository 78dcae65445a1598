//! What a check says: findings, each naming its object, its level and a remedy.

use std::collections::BTreeMap;

use serde::Serialize;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Worth knowing; nothing is wrong.
    Note,
    /// Something protects less than it should; no record is affected.
    Warning,
    /// Something that was kept is missing, altered or can't be trusted.
    Error,
}

/// One thing that a check found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Stable identifier, e.g. `payload.altered`.
    pub code: &'static str,
    /// How bad it is.
    pub level: Level,
    /// What it is about: a file, a table, an entry id, an attachment's hash.
    pub object: String,
    /// What is the matter, in one sentence.
    pub what: String,
    /// What to do about it, in one sentence.
    pub remedy: &'static str,
}

/// The remedies, so that the same advice has the same words.
pub(crate) mod remedy {
    pub(crate) const RESTORE: &str = "Leave this folder as it is, open the latest backup, and \
        fetch what is missing there from a tablet or an archive that holds it.";
    pub(crate) const FETCH: &str = "Fetch it again from a backup, or from a tablet that holds it.";
    pub(crate) const REBUILD: &str = "Rebuild the documents; they are derived from the entries.";
    pub(crate) const TAMPERED: &str = "Somebody changed the database by other means than this \
        program. Keep a copy as evidence, and compare with a backup and with other tablets.";
    pub(crate) const PROGRAM: &str =
        "Do not append with this build; report the line above to whoever built it.";
    pub(crate) const PASSPHRASE: &str = "Change the passphrase: that wraps the key anew, at the \
        standard cost.";
    pub(crate) const OWN_CHAIN: &str =
        "Read it as it is; to write, let this installation start a chain of its own.";
    pub(crate) const NONE: &str = "Nothing needs to be done.";
}

/// More findings of one code than this are counted, not listed.
const LISTED: usize = 100;

/// Collects findings; never loses count of those that it doesn't list.
#[derive(Default)]
pub(crate) struct Findings {
    listed: Vec<Finding>,
    counts: BTreeMap<&'static str, usize>,
}

impl Findings {
    pub(crate) fn add(
        &mut self,
        code: &'static str,
        level: Level,
        object: impl Into<String>,
        what: impl Into<String>,
        remedy: &'static str,
    ) {
        let count = self.counts.entry(code).or_default();
        *count += 1;
        if *count <= LISTED {
            let (object, what) = (object.into(), what.into());
            self.listed.push(Finding { code, level, object, what, remedy });
        }
    }

    pub(crate) fn error(
        &mut self,
        code: &'static str,
        object: impl Into<String>,
        what: impl Into<String>,
        remedy: &'static str,
    ) {
        self.add(code, Level::Error, object, what, remedy);
    }

    /// A part of the check that couldn't be carried out: itself a finding, and the rest goes on.
    pub(crate) fn failed(&mut self, object: &str, doing: &str, cause: &dyn std::fmt::Display) {
        self.error(
            "check.incomplete",
            object,
            format!("{doing} did not work: {cause}."),
            remedy::RESTORE,
        );
    }

    pub(crate) fn finish(mut self) -> Vec<Finding> {
        for (code, count) in self.counts {
            if count > LISTED {
                let same = self.listed.iter().find(|finding| finding.code == code);
                let Some(same) = same.cloned() else { continue };
                let what = format!("{} more of the same kind are not listed.", count - LISTED);
                self.listed.push(Finding { object: "further".to_owned(), what, ..same });
            }
        }
        self.listed
    }
}
