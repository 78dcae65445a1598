//! SQL only in store and hub.

use super::finding::Finding;
use super::plan::SPEAK_SQL;
use super::source::Source;

const RULE: &str = "sql";
const REMEDY: &str = "ask store for it through a method with a name from the domain";

/// Finds statements in literals, and uses of the database binding.
pub(super) fn check(source: &Source) -> Vec<Finding> {
    if SPEAK_SQL.contains(&source.member.as_str()) {
        return vec![];
    }
    let mut found = Vec::new();
    for (number, line) in source.product_lines() {
        if line.code.contains("rusqlite") {
            let what = format!("{} uses the database binding", source.member);
            found.push(Finding::new(&source.path, number, RULE, what, REMEDY));
        }
    }
    for (number, literal) in Source::literals(source.product_lines()) {
        if is_statement(&literal) {
            let what = format!("SQL outside store and hub: {:?}", shorten(&literal));
            found.push(Finding::new(&source.path, number, RULE, what, REMEDY));
        }
    }
    found
}

/// True for text with the form of a statement: in capitals anywhere, or in any letters from its
/// start. Lower-case words inside a sentence, such as "select one from the list", are no statement.
fn is_statement(text: &str) -> bool {
    let words: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric() || c == '_'))
        .filter(|w| !w.is_empty())
        .collect();
    let from = |start: usize, upper: bool| {
        let word = |ahead: usize| words.get(start + ahead).map(|word| fold(word, upper));
        let later = |wanted: &str| words.iter().skip(start + 1).any(|w| fold(w, upper) == wanted);
        let follows = |wanted: &[&str]| word(1).is_some_and(|next| wanted.contains(&next.as_str()));
        match word(0).as_deref() {
            Some("SELECT") => later("FROM"),
            Some("INSERT" | "REPLACE") => follows(&["INTO", "OR"]),
            Some("DELETE") => follows(&["FROM"]),
            Some("UPDATE") => word(2).as_deref() == Some("SET"),
            Some("CREATE" | "DROP" | "ALTER") => {
                follows(&["TABLE", "INDEX", "TRIGGER", "VIEW", "UNIQUE", "VIRTUAL"])
            }
            Some("PRAGMA") => word(1).is_some(),
            _ => false,
        }
    };
    let capitals = (0..words.len()).any(|start| from(start, false));
    // A sentence may begin with such words too; a statement has no full stop.
    capitals || (!text.trim_end().ends_with(['.', '?', ':']) && from(0, true) && !is_prose(text))
}

fn fold(word: &str, upper: bool) -> String {
    if upper { word.to_uppercase() } else { word.to_owned() }
}

/// A capital letter at the start and small ones after it.
fn is_prose(text: &str) -> bool {
    let mut letters = text.trim_start().chars();
    letters.next().is_some_and(char::is_uppercase) && letters.next().is_some_and(char::is_lowercase)
}

fn shorten(text: &str) -> String {
    text.chars().take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::check;
    use crate::tidy::tests::product;

    #[test]
    fn statements_are_found() {
        for statement in [
            "SELECT id FROM entry WHERE number = ?1",
            "insert into entry values (1)",
            "INSERT OR REPLACE INTO entry",
            "UPDATE entry SET a = 1",
            "delete from entry",
            "CREATE TABLE x (y)",
            "BEGIN; DROP TRIGGER no_update",
            "PRAGMA synchronous",
            "pragma user_version",
            "SELECT id, \\\n        payload \\\n   FROM entry",
        ] {
            let text = format!("fn a() {{\n    run(\"{statement}\");\n}}\n");
            let found = check(&product("app", &text));
            assert_eq!(found.len(), 1, "{statement}");
            assert_eq!(found[0].rule_and_line(), ("sql", 2));
            assert!(check(&product("store", &text)).is_empty());
        }
        assert_eq!(check(&product("cli", "use rusqlite::Connection;\n")).len(), 1);
    }

    #[test]
    fn sentences_are_left_alone() {
        for sentence in [
            "Select one dish from the list.",
            "select a gauge, then read the pressure from it.",
            "Update the set of criteria",
            "Delete from the folder what you do not need.",
            "the order of entries",
        ] {
            let text = format!("fn a() {{ say(\"{sentence}\"); }}\n");
            assert!(check(&product("app", &text)).is_empty(), "{sentence}");
        }
        let test_only = "#[cfg(test)]\nmod tests {\n  const A: &str = \"DELETE FROM entry\";\n}\n";
        assert!(check(&product("app", test_only)).is_empty());
    }
}
