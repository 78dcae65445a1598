//! The rules of the screens: one file speaks with the back end, none sets styles or markup in a
//! way that the page's policy bars, and each opens with what it is for.

use std::path::Path;

use super::finding::Finding;

/// Lines of one file.
const LONGEST: usize = 600;

/// The one file that calls the back end.
const TRANSPORT: &str = "transport.ts";

/// Written by `cargo xtask codegen`.
const GENERATED: &str = "generated";

/// Ways out of the page. The pieces are joined when compiled, so that this file holds none.
const WAYS_OUT: [&str; 6] = [
    concat!("fet", "ch("),
    concat!("inv", "oke("),
    concat!("XMLHttp", "Request"),
    concat!("new Web", "Socket"),
    concat!("new Event", "Source"),
    concat!("send", "Beacon("),
];

/// What the page's policy bars, and what to do instead.
const BARRED: [(&str, &str); 3] = [
    (" style=\"", "give it a class; the page's policy takes no style attributes"),
    (" style={", "give it a class, or use Svelte's style: directive"),
    ("eval(", "say what it computes; the page's policy runs no text as a script"),
];

/// Stores of the page. What someone typed is kept by the back end, which survives the page.
const STORES: [&str; 3] = ["localStorage", "sessionStorage", "indexedDB"];

/// The choice of a theme is the one thing that the page keeps by itself.
const THEME: &str = "theme";

/// Checks one file of the screens.
pub(super) fn check(path: &Path, text: &str) -> Vec<Finding> {
    let mut found = Vec::new();
    let is_test = path.to_string_lossy().ends_with(".test.ts");
    let generated = path.iter().any(|part| part == GENERATED);
    let first = text.lines().map(str::trim).find(|line| !line.is_empty()).unwrap_or_default();
    if !is_test && !["//", "/*", "<!--"].iter().any(|start| first.starts_with(start)) {
        found.push(Finding::new(
            path,
            1,
            "opening",
            "the file does not open with what it is for",
            "begin it with a comment of one sentence",
        ));
    }
    let length = text.lines().filter(|line| !line.trim().is_empty()).count();
    if length > LONGEST && !generated {
        let what = format!("{length} lines; the most is {LONGEST}");
        found.push(Finding::new(path, 0, "length", what, "cut it by its nouns into files"));
    }
    let of_theme = path.iter().any(|part| part == THEME);
    let may_call = path.file_name().is_some_and(|name| name == TRANSPORT);
    for (index, line) in text.lines().enumerate() {
        if !may_call && !is_test {
            for way in WAYS_OUT.iter().filter(|way| calls(line, way)) {
                let what = format!("`{way}` outside {TRANSPORT}");
                let remedy = "add the call to the commands and let transport.ts make it";
                found.push(Finding::new(path, index + 1, "transport", what, remedy));
            }
        }
        for store in STORES.iter().filter(|store| !of_theme && calls(line, store)) {
            let what = format!("{store} in a screen");
            let remedy = "let the back end keep it as a draft; what the page keeps dies with it";
            found.push(Finding::new(path, index + 1, "kept-by-page", what, remedy));
        }
        for (word, remedy) in BARRED.iter().filter(|(word, _)| calls(line, word)) {
            let what = format!("`{}` in a screen", word.trim());
            found.push(Finding::new(path, index + 1, "policy", what, *remedy));
        }
    }
    found
}

/// True if it stands there as a word of its own, not as the end of a longer one, and not in a
/// line that is a comment.
fn calls(line: &str, word: &str) -> bool {
    let comment = ["//", "*", "<!--"].iter().any(|start| line.trim_start().starts_with(start));
    let letter = |c: char| c.is_alphanumeric() || c == '_';
    let open_before = |at: usize| {
        let before = line.get(..at).and_then(|text| text.chars().next_back());
        !word.starts_with(letter) || !before.is_some_and(letter)
    };
    !comment && line.match_indices(word).any(|(at, _)| open_before(at))
}

#[cfg(test)]
mod tests {
    use super::{LONGEST, check};
    use std::path::Path;

    fn rules(path: &str, text: &str) -> Vec<(&'static str, usize)> {
        check(Path::new(path), text).iter().map(super::Finding::rule_and_line).collect()
    }

    #[test]
    fn the_back_end_is_called_in_one_file() {
        let calling = concat!("// Asks.\nawait fet", "ch('/api/yard');\n");
        assert_eq!(rules("ui/src/screens/yard.ts", calling), [("transport", 2)]);
        assert_eq!(rules("ui/src/transport.ts", calling), []);
        let other = concat!("// Asks.\nconst a = pre", "fet", "ch(1);\n// fet", "ch( is barred\n");
        assert_eq!(rules("ui/src/screens/yard.ts", other), []);
        let asking = concat!("<!-- Yard. -->\n<b onclick={() => inv", "oke('call')}>\n");
        assert_eq!(rules("ui/src/Yard.svelte", asking), [("transport", 2)]);
    }

    #[test]
    fn what_the_policy_bars_is_found() {
        let styled = "<!-- Yard. -->\n<p style=\"color: red\">a</p>\n<p class=\"style\">b</p>\n";
        assert_eq!(rules("ui/src/Yard.svelte", styled), [("policy", 2)]);
        let kept = "// Keeps.\nlocalStorage.setItem('a', 'b');\n";
        assert_eq!(rules("ui/src/keep.ts", kept), [("kept-by-page", 2)]);
        assert_eq!(rules("ui/src/theme/theme.ts", kept), []);
    }

    #[test]
    fn a_file_opens_with_what_it_is_for_and_stays_short() {
        assert_eq!(rules("ui/src/a.ts", "export const a = 1;\n"), [("opening", 1)]);
        assert_eq!(rules("ui/src/a.test.ts", "test('a', () => {});\n"), [], "its name says it");
        let long = format!("// A.\n{}", "let a;\n".repeat(LONGEST));
        assert_eq!(rules("ui/src/a.ts", &long), [("length", 0)]);
        assert_eq!(rules("ui/src/generated/api.ts", &long), []);
    }
}
