//! Re-test rules: which earlier acceptances a piece of work voids, in whole or in part.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::reader::{self, Problems};

/// What a piece of work does to an earlier acceptance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Effect {
    /// No longer valid; repeat in full.
    Repeat,
    /// Repeat in part or in short form.
    Part,
    /// An engineer decides; the reason is stored.
    Decide,
}

/// An effect with its scope.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RetestEffect {
    /// What it does.
    pub effect: Effect,
    /// Which part, or what the decision turns on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scope: Option<String>,
}

/// A requirement that a dish must prove.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Requirement {
    /// Its id, such as `leak`.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Its name where there is little room, as on the ring of a dish's face; the id when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short: Option<String>,
}

impl Requirement {
    /// Its name where there is little room.
    pub fn short(&self) -> &str {
        self.short.as_deref().unwrap_or(&self.id)
    }
}

/// A piece of work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Effects by requirement; requirements not named are not affected.
    #[serde(default)]
    pub affects: BTreeMap<String, RetestEffect>,
}

/// A set of re-test rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Dishwright re-test rules")]
pub struct RetestRules {
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
    /// The requirements that dishes prove.
    #[serde(rename = "requirement")]
    pub requirements: Vec<Requirement>,
    /// The works that void them.
    #[serde(rename = "work")]
    pub works: Vec<Work>,
}

impl RetestRules {
    /// Reads a set of re-test rules.
    ///
    /// # Errors
    /// Every problem in the file.
    pub fn parse(file: &str, text: &str) -> Result<Self, Problems> {
        let (rules, mut places) = reader::read::<Self>(file, text)?;
        if rules.format != 1 {
            places.problem(&["format".into()], "this version reads format 1 only");
        }
        let mut requirements = BTreeSet::new();
        for (index, requirement) in rules.requirements.iter().enumerate() {
            if !requirements.insert(requirement.id.as_str()) {
                let path = ["requirement".into(), index.into(), "id".into()];
                places.problem(&path, format!("requirement `{}` stands twice", requirement.id));
            }
        }
        let mut works = BTreeSet::new();
        for (index, work) in rules.works.iter().enumerate() {
            if !works.insert(work.id.as_str()) {
                let path = ["work".into(), index.into(), "id".into()];
                places.problem(&path, format!("work `{}` stands twice", work.id));
            }
            for requirement in work.affects.keys() {
                if !requirements.contains(requirement.as_str()) {
                    let path = [
                        "work".into(),
                        index.into(),
                        "affects".into(),
                        requirement.as_str().into(),
                    ];
                    places.problem(
                        &path,
                        format!("work `{}` names a requirement `{requirement}` that this file does not list", work.id),
                    );
                }
            }
        }
        places.finish(rules)
    }
}
