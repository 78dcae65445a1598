//! Rust source taken apart into code, literals and comments, by line, with its test parts known.
//!
//! Not a parser: it knows where a literal or a comment begins and ends, and which braces belong
//! to an item under `#[cfg(test)]`. Rules that look for words need no more.

mod scan;

use std::path::{Path, PathBuf};

/// What a file is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    /// In `src/` of a crate of the product.
    Product,
    /// In `src/` of a crate that serves tests or the repository.
    Tool,
    /// A test, bench or example.
    Test,
}

/// One file of Rust source.
pub(super) struct Source {
    /// The crate that it belongs to.
    pub(super) member: String,
    /// Relative to the root of the clone.
    pub(super) path: PathBuf,
    pub(super) kind: Kind,
    /// The lines as they stand in the file.
    pub(super) lines: Vec<Line>,
}

/// One line, taken apart.
#[derive(Default, Debug)]
pub(super) struct Line {
    /// Everything but comments and what stands inside literals.
    pub(super) code: String,
    /// Comments and documentation.
    pub(super) comment: String,
    /// What string literals hold; a literal over several lines has a piece on each.
    pub(super) literals: Vec<String>,
    /// The first piece goes on with the last one of the line before.
    pub(super) goes_on: bool,
    /// Belongs to an item that is compiled for tests only.
    pub(super) test: bool,
}

impl Source {
    /// Takes the text of a file apart.
    pub(super) fn parse(member: &str, path: &Path, text: &str) -> Self {
        let mut lines = scan::scan(text);
        mark_tests(&mut lines);
        let kind = kind(member, path);
        if kind == Kind::Test || whole_file_is_test(path) {
            for line in &mut lines {
                line.test = true;
            }
        }
        Self { member: member.to_owned(), path: path.to_path_buf(), kind, lines }
    }

    /// The lines that end up in the product, numbered from 1.
    pub(super) fn product_lines(&self) -> impl Iterator<Item = (usize, &Line)> {
        self.numbered().filter(|(_, line)| !line.test)
    }

    /// Every line, numbered from 1.
    pub(super) fn numbered(&self) -> impl Iterator<Item = (usize, &Line)> {
        self.lines.iter().enumerate().map(|(index, line)| (index + 1, line))
    }

    /// The literals of these lines, each whole and with the line on which it begins.
    pub(super) fn literals<'a>(
        lines: impl Iterator<Item = (usize, &'a Line)>,
    ) -> Vec<(usize, String)> {
        let mut whole: Vec<(usize, String)> = Vec::new();
        for (number, line) in lines {
            for (index, piece) in line.literals.iter().enumerate() {
                match whole.last_mut() {
                    Some((_, text)) if index == 0 && line.goes_on => {
                        // A backslash at the end of a line swallows the break and the indent.
                        let joined = text.strip_suffix('\\').map(str::to_owned);
                        let piece = if joined.is_some() { piece.trim_start() } else { piece };
                        let before = joined.unwrap_or_else(|| format!("{text}\n"));
                        *text = before + piece;
                    }
                    _ => whole.push((number, piece.clone())),
                }
            }
        }
        whole
    }

    /// The file's name.
    pub(super) fn name(&self) -> &str {
        self.path.file_name().and_then(|name| name.to_str()).unwrap_or_default()
    }
}

fn kind(member: &str, path: &Path) -> Kind {
    let mut parts = path.components().map(|part| part.as_os_str());
    if !parts.any(|part| part == "src") {
        Kind::Test
    } else if ["testkit", "tests", "xtask"].contains(&member) {
        Kind::Tool
    } else {
        Kind::Product
    }
}

/// `src/part/tests.rs`, `src/tests/part.rs` and `src/part/tests/more.rs` hold tests by convention.
fn whole_file_is_test(path: &Path) -> bool {
    let below_src = path.iter().skip_while(|part| *part != "src");
    below_src.map(Path::new).any(|part| part.file_stem().is_some_and(|stem| stem == "tests"))
}

/// Marks the items under `#[cfg(test)]` and the functions under `#[test]`.
fn mark_tests(lines: &mut [Line]) {
    let mut index = 0;
    while let Some(line) = lines.get(index) {
        let code = line.code.trim();
        if code.starts_with("#[cfg(test)]") || code.starts_with("#[cfg(all(test") {
            let end = item_end(lines, index);
            for line in lines.iter_mut().take(end + 1).skip(index) {
                line.test = true;
            }
            index = end;
        }
        index += 1;
    }
}

/// The line on which the item that starts at `start` ends: at its closing brace, or at the
/// semicolon if it has none.
fn item_end(lines: &[Line], start: usize) -> usize {
    let mut depth = 0_usize;
    for (index, line) in lines.iter().enumerate().skip(start) {
        let mut code = line.code.as_str();
        if index == start {
            // The attribute itself holds no brace of the item.
            code = code.split_once(']').map_or("", |(_, rest)| rest);
        }
        for letter in code.chars() {
            match letter {
                '{' => depth += 1,
                '}' => {
                    depth = depth.saturating_sub(1);
                    if depth == 0 {
                        return index;
                    }
                }
                ';' if depth == 0 => return index,
                _ => {}
            }
        }
    }
    lines.len().saturating_sub(1)
}

#[cfg(test)]
mod tests {
    use super::{Kind, Source};
    use std::path::Path;

    fn parse(text: &str) -> Source {
        Source::parse("store", Path::new("crates/store/src/a.rs"), text)
    }

    #[test]
    fn test_items_are_told_from_the_product() {
        let source = parse(
            "fn a() {}\n#[cfg(test)]\nmod tests;\n#[cfg(test)]\nuse b::c;\nfn d() {}\n\
             #[cfg(test)]\n#[expect(x)]\nmod tests {\n  fn e() { f(\"}\"); }\n}\nfn g() {}\n",
        );
        let product: Vec<usize> = source.product_lines().map(|(number, _)| number).collect();
        assert_eq!(product, [1, 6, 12]);
    }

    #[test]
    fn a_literal_over_several_lines_is_put_together() {
        let source = parse("a(\"one \\\n    two\", \"three\");\nb(\"four\n five\");\n");
        let whole = Source::literals(source.numbered());
        let texts: Vec<_> = whole.iter().map(|(line, text)| (*line, text.as_str())).collect();
        assert_eq!(texts, [(1, "one two"), (2, "three"), (3, "four\n five")]);
    }

    #[test]
    fn what_a_file_is_for_follows_from_its_place() {
        let kind = |member: &str, path: &str| Source::parse(member, Path::new(path), "").kind;
        assert_eq!(kind("store", "crates/store/src/lib.rs"), Kind::Product);
        assert_eq!(kind("store", "crates/store/tests/it/main.rs"), Kind::Test);
        assert_eq!(kind("store", "crates/store/benches/append.rs"), Kind::Test);
        assert_eq!(kind("tests", "tests/src/lib.rs"), Kind::Tool);
        let unit =
            Source::parse("store", Path::new("crates/store/src/append/tests.rs"), "fn a() {}");
        assert_eq!(unit.product_lines().count(), 0);
    }
}
