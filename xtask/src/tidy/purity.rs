//! The pure crates do no I/O, read no clock, randomness or environment, and aren't async.

use super::finding::Finding;
use super::plan::PURE;
use super::source::Source;

/// What may not stand in the code, and what to do instead.
const BARRED: &[(&str, &str)] = &[
    ("std::fs", "take bytes, and let the caller read and write files"),
    ("std::net", "let the caller do the talking"),
    ("std::process", "let the caller start programs"),
    ("std::thread", "let the caller decide on threads"),
    ("std::env", "take the value as a parameter"),
    ("stdin()", "take the text as a parameter"),
    ("stdout()", "return the text"),
    ("SystemTime", "take the time as a parameter"),
    ("Instant", "take the elapsed time as a parameter"),
    ("Utc::now", "take the time as a parameter"),
    ("Local::now", "take the time as a parameter"),
    ("chrono::Local", "take the offset as a parameter"),
    ("now_v7", "take the identifier as a parameter"),
    ("new_v4", "take the identifier as a parameter"),
    ("getrandom", "take the random bytes as a parameter"),
    ("OsRng", "take the random bytes as a parameter"),
    ("thread_rng", "take the random bytes as a parameter"),
    ("rand::", "take the random bytes as a parameter"),
    ("tokio", "stay synchronous; the caller may run it in a task"),
    ("async fn", "stay synchronous; the caller may run it in a task"),
    ("async move", "stay synchronous; the caller may run it in a task"),
    (".await", "stay synchronous; the caller may run it in a task"),
    ("HashMap", "use BTreeMap, so that the order is the same everywhere"),
    ("HashSet", "use BTreeSet, so that the order is the same everywhere"),
];

/// Finds them in the product's lines of a pure crate.
pub(super) fn check(source: &Source) -> Vec<Finding> {
    if !PURE.contains(&source.member.as_str()) {
        return vec![];
    }
    let mut found = Vec::new();
    for (number, line) in source.product_lines() {
        for (barred, remedy) in BARRED.iter().filter(|(barred, _)| has_word(&line.code, barred)) {
            let what = format!("{} is a pure crate and uses {barred}", source.member);
            found.push(Finding::new(&source.path, number, "purity", what, *remedy));
        }
    }
    found
}

/// True if `wanted` stands in `code` and isn't part of a longer word.
pub(super) fn has_word(code: &str, wanted: &str) -> bool {
    let word = |letter: char| letter.is_alphanumeric() || letter == '_';
    code.match_indices(wanted).any(|(start, _)| {
        let (before, rest) = code.split_at(start);
        let after = rest.strip_prefix(wanted).unwrap_or_default();
        let open_before = !wanted.starts_with(word) || !before.ends_with(word);
        let open_after = !wanted.ends_with(word) || !after.starts_with(word);
        open_before && open_after
    })
}

#[cfg(test)]
mod tests {
    use super::check;
    use crate::tidy::tests::product;

    #[test]
    fn each_leak_is_found_on_its_line() {
        for bad in [
            "use std::fs;",
            "let t = std::time::SystemTime::now();",
            "let home = std::env::var(\"HOME\");",
            "let id = Uuid::now_v7();",
            "getrandom::fill(&mut bytes);",
            "let x = rand::random();",
            "pub async fn read() {}",
            "use std::collections::HashMap;",
            "let now = chrono::Utc::now();",
        ] {
            let found = check(&product("ledger", &format!("//! Docs.\n{bad}\n")));
            assert_eq!(found.len(), 1, "{bad}");
            assert_eq!(found[0].rule_and_line(), ("purity", 2));
            assert!(check(&product("store", bad)).is_empty());
        }
    }

    #[test]
    fn longer_words_comments_literals_and_tests_are_left_alone() {
        for good in [
            "struct InstantReading;",
            "// an Instant would be wrong here",
            "let text = \"std::fs\";",
            "let brand::Name = x;",
            "#[cfg(test)]\nuse std::fs;",
        ] {
            assert!(check(&product("logbook", good)).is_empty(), "{good}");
        }
    }
}
