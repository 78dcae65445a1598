//! Reads one TOML file into its type and keeps the place of everything in it.

use std::fmt;
use std::ops::Range;

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

/// One thing wrong in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The file's name as given by the caller.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong.
    pub what: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.what)
    }
}

/// Everything wrong in a file; never empty.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Problems(pub Vec<Problem>);

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n")?;
            }
            problem.fmt(f)?;
        }
        Ok(())
    }
}

/// One step into a document: a key, or an index in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Part {
    Key(String),
    Index(usize),
}

impl From<&str> for Part {
    fn from(key: &str) -> Self {
        Self::Key(key.to_owned())
    }
}

impl From<usize> for Part {
    fn from(index: usize) -> Self {
        Self::Index(index)
    }
}

/// A path into a document, such as `["step".into(), 3.into(), "asks".into()]`.
pub(super) type Path = Vec<Part>;

/// The places of everything in one file, and the problems found so far.
pub(super) struct Places<'t> {
    file: &'t str,
    text: &'t str,
    root: DeTable<'t>,
    problems: Vec<Problem>,
}

/// More rounds than a file has fields would mean that a round removes nothing.
const MAX_ROUNDS: usize = 200;

/// Reads a file as `T`. Each round takes the part that does not fit out of the tree and tries
/// again, so one file's problems are all named at once.
pub(super) fn read<'t, T: DeserializeOwned>(
    file: &'t str,
    text: &'t str,
) -> Result<(T, Places<'t>), Problems> {
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut places = Places { file, text, root: root.get_ref().clone(), problems: Vec::new() };
    for error in errors {
        places.note(error.span(), error.message());
    }
    if !places.problems.is_empty() {
        return Err(Problems(places.problems));
    }
    let mut tree = root.into_inner();
    for _ in 0..MAX_ROUNDS {
        let value = Spanned::new(0..text.len(), DeValue::Table(tree.clone()));
        match T::deserialize(ValueDeserializer::from(value)) {
            Ok(read) if places.problems.is_empty() => return Ok((read, places)),
            Ok(_) => break,
            Err(error) => {
                places.note(error.span(), error.message());
                let path = error.span().map(|span| locate(&tree, span.start)).unwrap_or_default();
                if !take_out(&mut tree, &path, error.message()) {
                    break;
                }
            }
        }
    }
    Err(Problems(places.problems))
}

impl Places<'_> {
    fn note(&mut self, span: Option<Range<usize>>, what: &str) {
        let offset = span.map_or(0, |span| span.start).min(self.text.len());
        let before = self.text.get(..offset).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        let what = what.split('\n').next().unwrap_or(what).trim().to_owned();
        let problem = Problem { file: self.file.to_owned(), line, column, what };
        if !self.problems.contains(&problem) {
            self.problems.push(problem);
        }
    }

    /// Notes a problem at a path; at the nearest part of it that exists when it does not.
    pub(super) fn problem(&mut self, path: &[Part], what: impl AsRef<str>) {
        let span = span_of(&self.root, path);
        self.note(Some(span), what.as_ref());
    }

    /// The value, unless problems were noted.
    pub(super) fn finish<T>(mut self, value: T) -> Result<T, Problems> {
        if self.problems.is_empty() {
            return Ok(value);
        }
        self.problems.sort_by_key(|problem| (problem.line, problem.column));
        Err(Problems(self.problems))
    }
}

/// The place of the deepest existing part of a path.
fn span_of(root: &DeTable<'_>, path: &[Part]) -> Range<usize> {
    let mut span = 0..0;
    let mut table = Some(root);
    let mut value: Option<&DeValue<'_>> = None;
    for part in path {
        let next: Option<&Spanned<DeValue<'_>>> = match part {
            Part::Key(key) => table.and_then(|table| {
                let (found, next) =
                    table.iter().find(|(name, _)| name.get_ref() == key.as_str())?;
                span = found.span();
                Some(next)
            }),
            Part::Index(index) => value.and_then(DeValue::as_array).and_then(|list| {
                let next = list.get(*index)?;
                span = next.span();
                Some(next)
            }),
        };
        let Some(next) = next else { break };
        value = Some(next.get_ref());
        table = next.get_ref().as_table();
    }
    span
}

/// The path to the deepest key or value whose place contains the offset.
fn locate(table: &DeTable<'_>, offset: usize) -> Path {
    for (key, value) in table.iter() {
        let mut path = vec![Part::Key(key.get_ref().to_string())];
        if let Some(rest) = locate_value(value, offset) {
            path.extend(rest);
            return path;
        }
        if key.span().contains(&offset) {
            return path;
        }
    }
    Path::new()
}

fn locate_value(value: &Spanned<DeValue<'_>>, offset: usize) -> Option<Path> {
    match value.get_ref() {
        DeValue::Table(table) => {
            let path = locate(table, offset);
            if !path.is_empty() {
                return Some(path);
            }
        }
        DeValue::Array(list) => {
            for (index, item) in list.iter().enumerate() {
                if let Some(rest) = locate_value(item, offset) {
                    let mut path = vec![Part::Index(index)];
                    path.extend(rest);
                    return Some(path);
                }
            }
        }
        _ => {}
    }
    value.span().contains(&offset).then(Path::new)
}

/// Takes the faulty part out: an unknown field alone, otherwise the list item that holds the
/// fault. False when nothing can be taken out without making a new fault.
fn take_out(tree: &mut DeTable<'_>, path: &[Part], message: &str) -> bool {
    if message.starts_with("unknown field") {
        return remove(tree, path);
    }
    match path {
        [list @ Part::Key(_), item @ Part::Index(_), ..] => {
            remove(tree, &[list.clone(), item.clone()])
        }
        _ => false,
    }
}

fn remove(table: &mut DeTable<'_>, path: &[Part]) -> bool {
    let Some((Part::Key(key), rest)) = path.split_first() else { return false };
    let Some(name) = table.iter().map(|(name, _)| name).find(|name| name.get_ref() == key).cloned()
    else {
        return false;
    };
    if rest.is_empty() {
        return table.remove(&name).is_some();
    }
    table.get_mut(&name).is_some_and(|value| remove_in(value.get_mut(), rest))
}

fn remove_in(value: &mut DeValue<'_>, path: &[Part]) -> bool {
    match (value, path.split_first()) {
        (DeValue::Table(table), Some(_)) => remove(table, path),
        (DeValue::Array(list), Some((Part::Index(index), rest))) => {
            if rest.is_empty() {
                // A list has no removal of its own, so the rest is kept in a new one.
                let kept = list
                    .iter()
                    .enumerate()
                    .filter(|(at, _)| at != index)
                    .map(|(_, item)| item.clone())
                    .collect();
                let shorter = *index < list.len();
                *list = kept;
                return shorter;
            }
            list.get_mut(*index).is_some_and(|item| remove_in(item.get_mut(), rest))
        }
        _ => false,
    }
}
