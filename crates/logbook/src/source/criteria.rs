//! Criteria sets: every limit with its value, its decision rule and where it comes from.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::reader::{self, Problems};

/// Where a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SourceStatus {
    /// Public regulation.
    Law,
    /// Published standard; the owner checks the edition.
    Standard,
    /// Public paper, or a public test or incident report.
    Paper,
    /// Common trade practice without a single source.
    CommonPractice,
    /// The owner's design data; the shipped figure is only an example.
    Owner,
}

impl SourceStatus {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Law => "law",
            Self::Standard => "standard",
            Self::Paper => "paper",
            Self::CommonPractice => "common practice",
            Self::Owner => "owner",
        }
    }
}

/// How a value is compared with its limit (JCGM 106:2012).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DecisionRule {
    /// The value against the limit.
    Simple,
    /// The value against the limit tightened by the expanded uncertainty.
    Guarded,
}

impl DecisionRule {
    /// The name that calculations use.
    pub fn name(self) -> &'static str {
        match self {
            Self::Simple => "simple",
            Self::Guarded => "guarded",
        }
    }
}

/// One limit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    /// Its id, which checklists name.
    pub id: String,
    /// What it limits, in a sentence.
    pub title: String,
    /// Its value with unit, such as `1.0 %`; a word where the limit is no number, such as `none`.
    pub value: String,
    /// The span that the value refers to, such as `12 h`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per: Option<String>,
    /// The decision rule.
    pub rule: DecisionRule,
    /// True when a reading from an instrument out of calibration can't alone accept it.
    #[serde(default)]
    pub safety: bool,
    /// What kind of source it has.
    pub status: SourceStatus,
    /// The source, in words that are printed beside the limit.
    pub source: String,
}

/// A criteria set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Dishwright criteria set")]
pub struct Criteria {
    /// Version of this file form; 1.
    pub format: u32,
    /// Its id.
    pub id: String,
    /// Its revision label.
    pub revision: String,
    /// Its title.
    pub title: String,
    /// What a reader must know before adopting it.
    pub notes: Vec<String>,
    /// The limits.
    #[serde(rename = "limit")]
    pub limits: Vec<Limit>,
}

impl Criteria {
    /// Reads a criteria set.
    ///
    /// # Errors
    /// Every problem in the file.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let (criteria, mut places) = reader::read::<Self>(file, text)?;
        if criteria.format != 1 {
            places.problem(&["format".into()], "this version reads format 1 only");
        }
        let mut seen = BTreeSet::new();
        for (index, limit) in criteria.limits.iter().enumerate() {
            let at = |field: &str| vec!["limit".into(), index.into(), field.into()];
            if !seen.insert(&limit.id) {
                places.problem(&at("id"), format!("limit `{}` stands twice", limit.id));
            }
            if limit.source.trim().is_empty() {
                places.problem(&at("source"), format!("limit `{}` has no source", limit.id));
            }
        }
        places.finish(criteria)
    }

    /// A limit by its id.
    pub fn limit(&self, id: &str) -> Option<&Limit> {
        self.limits.iter().find(|limit| limit.id == id)
    }
}
