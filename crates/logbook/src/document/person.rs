//! A person as the site knows them.

use chrono::NaiveDate;
use ledger::{EntryId, PublicKey, Subject};
use serde::{Deserialize, Serialize};

use super::Stamp;
use crate::events::{Paper, Role, RoleHeld};

/// A certified key of a person on one installation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certified {
    /// The public key: base64 of its SPKI DER.
    pub key: PublicKey,
    /// The certificate: base64 of its DER.
    pub certificate: String,
    /// The certifying entry.
    pub entry: EntryId,
}

/// A person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonDoc {
    /// Opaque id.
    pub person: String,
    /// The subject of the entry that enrolled them.
    pub subject: Subject,
    /// Name as the person writes it.
    pub name: String,
    /// Employer.
    pub employer: String,
    /// Roles held.
    pub roles: Vec<RoleHeld>,
    /// Papers, in the order recorded.
    pub papers: Vec<Paper>,
    /// Certified keys.
    pub certified: Vec<Certified>,
    /// The enrolling entry.
    pub enrolled: Stamp,
}

impl PersonDoc {
    /// True when the person holds the role on that day.
    pub fn holds(&self, role: Role, day: NaiveDate) -> bool {
        self.roles.iter().any(|held| {
            held.role == role && held.from <= day && held.until.is_none_or(|until| day <= until)
        })
    }

    /// The paper of that kind that is good on that day.
    pub fn paper(&self, kind: &str, day: NaiveDate) -> Option<&Paper> {
        self.papers.iter().find(|paper| {
            paper.kind == kind
                && paper.issued <= day
                && paper.expires.is_none_or(|expires| day <= expires)
        })
    }

    /// The paper of that kind that runs longest, good or not.
    pub fn latest_paper(&self, kind: &str) -> Option<&Paper> {
        self.papers
            .iter()
            .filter(|paper| paper.kind == kind)
            .max_by_key(|paper| paper.expires.unwrap_or(NaiveDate::MAX))
    }
}
