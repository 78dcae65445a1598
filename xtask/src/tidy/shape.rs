//! The shape of a file: how it opens, what a crate's root holds, how long it is, that it is
//! compiled at all, and that nothing is switched off in silence.

use super::finding::Finding;
use super::source::{Kind, Line, Source};

/// Lines of code, without blanks, comments and unit tests.
const LONGEST: usize = 600;

/// Checks one file.
pub(super) fn check(source: &Source) -> Vec<Finding> {
    let mut found = Vec::new();
    opening(source, &mut found);
    length(source, &mut found);
    switched_off(source, &mut found);
    let at_root = source.path.parent().is_some_and(|folder| folder.ends_with("src"));
    if at_root && source.name() == "lib.rs" && source.kind != Kind::Test {
        root(source, &mut found);
    }
    found
}

fn opening(source: &Source, found: &mut Vec<Finding>) {
    let first = source.lines.iter().find(|line| !is_blank(line));
    if !first.is_some_and(|line| line.comment.starts_with("//!")) {
        found.push(Finding::new(
            &source.path,
            1,
            "opening",
            "the file does not open with what it is for",
            "begin it with a `//!` line of one sentence",
        ));
    }
    let at_root = source.path.parent().is_some_and(|folder| folder.ends_with("src"));
    if at_root && ["lib.rs", "main.rs"].contains(&source.name()) && source.kind == Kind::Product {
        let says = source.lines.iter().any(|line| line.comment.starts_with("//! **"));
        if !says {
            found.push(Finding::new(
                &source.path,
                1,
                "opening",
                "the crate does not say what it may not know",
                "add a bold `//! **…**` line with what the plan says that it may never do",
            ));
        }
    }
}

fn is_blank(line: &Line) -> bool {
    line.code.trim().is_empty() && line.comment.is_empty() && line.literals.is_empty()
}

fn length(source: &Source, found: &mut Vec<Finding>) {
    let lines = source
        .lines
        .iter()
        .filter(|line| !line.test || source.kind == Kind::Test)
        .filter(|line| !line.code.trim().is_empty())
        .count();
    if lines > LONGEST {
        found.push(Finding::new(
            &source.path,
            0,
            "length",
            format!("{lines} lines of code; the most is {LONGEST}"),
            "cut it by its nouns into files of their own",
        ));
    }
}

fn switched_off(source: &Source, found: &mut Vec<Finding>) {
    for (number, line) in source.numbered() {
        let code = line.code.trim();
        if code.starts_with("#[ignore") {
            found.push(Finding::new(
                &source.path,
                number,
                "ignored-test",
                "a test that never runs",
                "make it run, or take it away and say in the commit why",
            ));
        }
        if code.contains("[allow(") || code.contains(", allow(") {
            found.push(Finding::new(
                &source.path,
                number,
                "allow",
                "a lint is switched off for good",
                "use #[expect(…, reason = \"…\")], which tells when it is no longer needed",
            ));
        }
    }
}

/// A crate's root holds documentation, `mod`, `use` and attributes.
fn root(source: &Source, found: &mut Vec<Finding>) {
    let mut open = false;
    for (number, line) in source.product_lines() {
        let code = line.code.trim();
        if code.is_empty() {
            continue;
        }
        if open {
            open = !code.ends_with([';', ']']);
            continue;
        }
        let code = code.strip_prefix("pub(crate) ").or(code.strip_prefix("pub ")).unwrap_or(code);
        let fits =
            ["mod ", "use ", "#[", "#![", "extern crate "].iter().any(|s| code.starts_with(s));
        if !fits || code.starts_with("mod ") && code.ends_with('{') {
            found.push(Finding::new(
                &source.path,
                number,
                "root",
                "a crate's root holds documentation, mod and use only",
                "move the item into a module",
            ));
            return;
        }
        open = !code.ends_with([';', ']']);
    }
}

/// Files that no `mod` names: nobody compiles them, and their tests never run.
pub(super) fn orphans(sources: &[Source]) -> Vec<Finding> {
    let is_named = |source: &Source| {
        let Some(folder) = source.path.parent() else { return true };
        let stem = source.path.file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
        let (stem, folder) = match (stem, folder.parent(), folder.file_name()) {
            ("mod", Some(above), Some(name)) => (name.to_str().unwrap_or_default(), above),
            _ => (stem, folder),
        };
        let parents = [
            folder.join("mod.rs"),
            folder.join("lib.rs"),
            folder.join("main.rs"),
            folder.with_extension("rs"),
        ];
        let wanted = format!("mod {stem};");
        let by_path = sources.iter().flat_map(|other| &other.lines).any(|line| {
            line.code.contains("#[path")
                && line.literals.iter().any(|path| path.ends_with(source.name()))
        });
        by_path
            || sources.iter().filter(|other| parents.contains(&other.path)).any(|other| {
                other.lines.iter().any(|line| super::purity::has_word(&line.code, &wanted))
            })
    };
    sources
        .iter()
        .filter(|source| !is_target(source) && !is_named(source))
        .map(|source| {
            Finding::new(
                &source.path,
                0,
                "orphan",
                "no `mod` names this file, so it is never compiled",
                "name it in its parent module, or delete it",
            )
        })
        .collect()
}

/// Files that cargo compiles by their place.
fn is_target(source: &Source) -> bool {
    let name = source.name();
    let folder = source.path.parent().and_then(|folder| folder.file_name()?.to_str());
    match folder {
        _ if name == "build.rs" => true,
        Some("src") => ["lib.rs", "main.rs"].contains(&name),
        Some("bin" | "benches" | "examples") => true,
        // tests/*.rs of a crate; the modules of a test program lie one folder deeper.
        Some("tests") => source.kind == Kind::Test,
        _ => source.kind == Kind::Test && name == "main.rs",
    }
}

#[cfg(test)]
mod tests {
    use super::super::source::Source;
    use super::{check, orphans};
    use std::path::Path;

    fn rules(path: &str, text: &str) -> Vec<(&'static str, usize)> {
        let source = Source::parse("store", Path::new(path), text);
        check(&source).iter().map(|finding| finding.rule_and_line()).collect()
    }

    #[test]
    fn a_file_opens_with_what_it_is_for() {
        assert_eq!(rules("crates/store/src/a.rs", "\n//! Reads.\nfn a() {}\n"), []);
        assert_eq!(rules("crates/store/src/a.rs", "/// Reads.\nfn a() {}\n"), [("opening", 1)]);
        assert_eq!(rules("crates/store/src/lib.rs", "//! Store.\n"), [("opening", 1)]);
        assert_eq!(rules("crates/store/src/lib.rs", "//! Store.\n//!\n//! **It may not.**\n"), []);
    }

    #[test]
    fn a_root_holds_modules_and_uses() {
        let head = "//! Store.\n//! **It may not.**\n";
        let good = format!(
            "{head}#![cfg_attr(\n    test,\n    expect(x, reason = \"y\")\n)]\nmod a;\npub mod b;\n\
             pub use a::{{\n    One, Two,\n}};\npub(crate) use b::C;\n"
        );
        assert_eq!(rules("crates/store/src/lib.rs", &good), []);
        let bad = format!("{head}mod a;\n\npub fn open() {{}}\n");
        assert_eq!(rules("crates/store/src/lib.rs", &bad), [("root", 5)]);
        let inline = format!("{head}mod a {{\n}}\n");
        assert_eq!(rules("crates/store/src/lib.rs", &inline), [("root", 3)]);
    }

    #[test]
    fn what_is_switched_off_is_found_in_tests_too() {
        let ignored = "//! Tests.\n#[test]\n#[ignore = \"slow\"]\nfn a() {}\n";
        assert_eq!(rules("crates/store/tests/it/a.rs", ignored), [("ignored-test", 3)]);
        let allowed = "//! A.\n#[allow(dead_code)]\nfn a() {}\n";
        assert_eq!(rules("crates/store/src/a.rs", allowed), [("allow", 2)]);
        let inner = "//! A.\n#![cfg_attr(test, allow(dead_code))]\n";
        assert_eq!(rules("crates/store/src/a.rs", inner), [("allow", 2)]);
        let expected = "//! A.\n#[expect(dead_code, reason = \"read by tests\")]\nfn a() {}\n";
        assert_eq!(rules("crates/store/src/a.rs", expected), []);
    }

    #[test]
    fn length_counts_code_alone() {
        let long = format!("//! A.\n{}", "fn a() {}\n".repeat(601));
        assert_eq!(rules("crates/store/src/a.rs", &long), [("length", 0)]);
        let airy = format!("//! A.\n{}", "// a\n\n".repeat(601));
        assert_eq!(rules("crates/store/src/a.rs", &airy), []);
        let tested =
            format!("//! A.\n#[cfg(test)]\nmod tests {{\n{}}}\n", "fn a() {}\n".repeat(601));
        assert_eq!(rules("crates/store/src/a.rs", &tested), []);
    }

    #[test]
    fn a_file_that_nobody_compiles_is_found() {
        let files = [
            ("crates/store/src/lib.rs", "mod a;\nmod deep;\n"),
            ("crates/store/src/a.rs", ""),
            ("crates/store/src/lost.rs", ""),
            ("crates/store/src/deep/mod.rs", "mod b;"),
            ("crates/store/src/deep/b.rs", "#[cfg(test)]\nmod tests;"),
            ("crates/store/src/deep/b/tests.rs", ""),
            ("crates/store/tests/it/main.rs", "mod c;"),
            ("crates/store/tests/it/c.rs", ""),
            ("crates/store/tests/it/forgotten.rs", ""),
        ];
        let sources: Vec<Source> = files
            .iter()
            .map(|(path, text)| Source::parse("store", Path::new(path), text))
            .collect();
        let found: Vec<String> = orphans(&sources).iter().map(ToString::to_string).collect();
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[0].contains("lost.rs") && found[1].contains("forgotten.rs"));
    }
}
