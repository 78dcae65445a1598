//! The pattern by which a JSON Schema refuses a reading in a wrong unit.

use std::collections::BTreeSet;

use crate::{Dimension, units_of};

/// A regular expression for a number with a unit of the dimension, in the common subset of
/// ECMA-262, Python and Rust syntax.
///
/// It is stricter than [`parse`](crate::parse()) about spellings (no bounds, no powers of ten in
/// signs, units as the table spells them) and looser about digit groups; it is there to refuse a
/// wrong or missing unit before the program sees it.
pub fn pattern(dimension: Dimension) -> String {
    let mut spellings = BTreeSet::new();
    for unit in units_of(dimension) {
        spellings.insert(escape(unit.symbol()));
        spellings.extend(unit.aliases().iter().map(|alias| escape(alias)));
    }
    // Longest first, so that no engine stops at a shorter spelling.
    let mut spellings: Vec<_> = spellings.into_iter().collect();
    spellings.sort_by_key(|spelling| core::cmp::Reverse(spelling.chars().count()));
    let optional = if dimension == Dimension::Ratio { "?" } else { "" };
    let number = "[+\\-−]?[0-9][0-9 .,'’\u{a0}\u{2009}\u{202f}]*([eE][+\\-−]?[0-9]+)?";
    format!("^ *{number}[ \u{a0}\u{2009}\u{202f}]*({}){optional} *$", spellings.join("|"))
}

fn escape(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if "\\^$.|?*+()[]{}/".contains(c) {
            out.push('\\');
        }
        out.push(c);
    }
    out
}
