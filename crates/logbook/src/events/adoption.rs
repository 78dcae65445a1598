//! What the site adopts: checklists, criteria, re-test rules and dish designs, content included.
//!
//! The fold reads only what was adopted, so two builds never judge by different rules.

use ledger::Digest;
use serde::{Deserialize, Serialize};

macro_rules! adoption {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            /// The file's own id.
            pub id: String,
            /// The file's own revision label.
            pub revision: String,
            /// SHA-256 of the file's bytes.
            pub hash: Digest,
            /// The file's bytes, as text.
            pub content: String,
        }
    };
}

adoption! {
    /// A checklist was adopted.
    ChecklistAdopted
}
adoption! {
    /// A criteria set was adopted.
    CriteriaAdopted
}
adoption! {
    /// A set of re-test rules was adopted.
    RetestRulesAdopted
}
adoption! {
    /// The design of a type of dish was adopted.
    DishDesignAdopted
}
