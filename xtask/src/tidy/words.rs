//! Words that may not stand where a user or a reader meets them.

use std::path::Path;

use super::finding::Finding;
use super::source::{Kind, Source};

/// Said of a dish or a machine, these would be taken for a promise that nobody can give. The
/// pieces are joined when compiled, so that this file holds none of them.
const PROMISES: [&str; 9] = [
    concat!("safe to ", "enter"),
    concat!("safe to ", "work"),
    concat!("safe to ", "approach"),
    concat!("ok to ", "enter"),
    concat!("all ", "clear"),
    concat!("guaranteed ", "safe"),
    concat!("is now ", "safe"),
    concat!("you may ", "enter"),
    concat!("no ", "danger"),
];

/// What another word of the house says better: the barred word, and the better one.
const WRONG_WORDS: [(&str, &str); 3] = [
    (concat!("syn", "ced"), "say how old the knowledge is and who has not been heard from"),
    (concat!("up to ", "date"), "say how old the knowledge is and who has not been heard from"),
    (concat!("in ", "sync"), "say how old the knowledge is and who has not been heard from"),
];

/// Work left undone.
const UNDONE: [&str; 4] =
    [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("XX", "X:"), concat!("HA", "CK:")];

/// Checks comments for undone work, and what the product prints for promises.
pub(super) fn check_source(source: &Source) -> Vec<Finding> {
    let mut found = Vec::new();
    for (number, line) in source.numbered() {
        undone(&source.path, number, &line.comment, &mut found);
    }
    for (number, literal) in Source::literals(source.numbered()) {
        undone(&source.path, number, &literal, &mut found);
    }
    if source.kind == Kind::Product {
        for (number, literal) in Source::literals(source.product_lines()) {
            promises(&source.path, number, &literal, &mut found);
        }
    }
    found
}

/// Checks a document, checklist or data file.
pub(super) fn check_text(path: &Path, text: &str) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, line) in text.lines().enumerate() {
        undone(path, index + 1, line, &mut found);
        promises(path, index + 1, line, &mut found);
    }
    found
}

fn undone(path: &Path, line: usize, text: &str, found: &mut Vec<Finding>) {
    for word in UNDONE.iter().filter(|word| super::purity::has_word(text, word)) {
        let what = format!("work left undone: {word}");
        let remedy = "do it now, or write down outside the code that it is to be done";
        found.push(Finding::new(path, line, "undone", what, remedy));
    }
}

fn promises(path: &Path, line: usize, text: &str, found: &mut Vec<Finding>) {
    let text = text.to_lowercase();
    for words in PROMISES.iter().filter(|words| promised(&text, words)) {
        let what = format!("{words:?} reads as a promise");
        let remedy =
            "say what is recorded, by whom and when; the record informs, the padlock protects";
        found.push(Finding::new(path, line, "promise", what, remedy));
    }
    for (word, better) in WRONG_WORDS.iter().filter(|(w, _)| super::purity::has_word(&text, w)) {
        let what = format!("{word:?} claims what nobody can know offline");
        found.push(Finding::new(path, line, "promise", what, *better));
    }
}

/// True if the words stand there without a "not" or "never" before them in the same sentence.
fn promised(text: &str, words: &str) -> bool {
    super::purity::has_word(text, words)
        && text.match_indices(words).any(|(at, _)| {
            let before = text.split_at(at).0;
            let sentence = before.rsplit(['.', '!', '?', ';', ':']).next().unwrap_or(before);
            let denied = ["not", "never", "nobody", "nothing"]
                .iter()
                .any(|no| super::purity::has_word(sentence, no));
            !denied && !sentence.contains("n't")
        })
}

#[cfg(test)]
mod tests {
    use super::{PROMISES, UNDONE, check_source, check_text};
    use crate::tidy::tests::product;
    use std::path::Path;

    #[test]
    fn every_barred_word_is_found_where_a_user_meets_it() {
        for words in PROMISES {
            let text = format!("Dish PC-04: {}.", words.to_uppercase());
            assert_eq!(check_text(Path::new("docs/a.md"), &text).len(), 1, "{words}");
            let code = format!("//! A.\nfn a() {{ say(\"It is {words} now\"); }}\n");
            let found = check_source(&product("app", &code));
            assert_eq!(found.len(), 1, "{words}");
            assert_eq!(found[0].rule_and_line(), ("promise", 2));
        }
        for word in UNDONE {
            let code = format!("//! A.\n// {word} later\n");
            assert_eq!(check_source(&product("ledger", &code)).len(), 1, "{word}");
        }
    }

    #[test]
    fn other_sentences_are_left_alone() {
        let text = "This program never says that anything is safe. Method: clear all filters.";
        assert!(check_text(Path::new("docs/a.md"), text).is_empty());
        for words in PROMISES {
            let denied = format!("A passed test. It does not say that the dish is {words}.");
            assert!(check_text(Path::new("docs/a.md"), &denied).is_empty(), "{denied}");
            let after = format!("It was not finished. The dish is {words}.");
            assert_eq!(check_text(Path::new("docs/a.md"), &after).len(), 1, "{after}");
        }
    }
}
