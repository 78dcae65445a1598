//! Raw data stay raw: no verdict stands in the invented site's files, and no reading of the story
//! stands in the program.

use std::path::{Path, PathBuf};

use app::demo::Story;

use crate::played::{SCRIPT, SITE};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every text that stands as a value, at any depth.
fn texts(value: &toml::Value, found: &mut Vec<String>) {
    match value {
        toml::Value::String(text) => found.push(text.clone()),
        toml::Value::Array(items) => items.iter().for_each(|item| texts(item, found)),
        toml::Value::Table(fields) => fields.values().for_each(|field| texts(field, found)),
        _ => {}
    }
}

fn is_verdict(text: &str) -> bool {
    let text = text.to_lowercase().replace('_', " ");
    ["pass", "passed", "fail", "failed", "not judged", "ok", "nok"].contains(&text.trim())
}

#[test]
fn the_site_s_files_hold_no_verdict() {
    assert!(is_verdict("Not_judged") && !is_verdict("passes the hose"));
    let mut files = Vec::new();
    for file in std::fs::read_dir(root().join("demo-site")).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|end| end != "toml") {
            continue;
        }
        files.push(path.file_stem().unwrap().to_str().unwrap().to_owned());
        let text = std::fs::read_to_string(&path).unwrap();
        let mut found = Vec::new();
        texts(&toml::from_str(&text).unwrap(), &mut found);
        assert!(found.len() > 15, "{}", path.display());
        let verdicts: Vec<&String> = found.iter().filter(|text| is_verdict(text)).collect();
        assert!(verdicts.is_empty(), "{}: {verdicts:?}", path.display());
        assert!(!text.contains("verdict ="), "{}", path.display());
    }
    files.sort();
    let expected = [
        "lv-3-dish",
        "pc-02-performance",
        "pc-03-leak",
        "pc-04-leak",
        "pc-07-alignment",
        "site",
        "yard",
    ];
    assert_eq!(files, expected);
}

/// What lies in the site's folder is part of the story, and the story names nothing else: a file
/// that is forgotten here would be found missing by whoever plays it.
#[test]
fn the_story_holds_every_file_of_the_site() {
    let story = Story::shipped();
    let mut files = 0;
    for folder in ["demo-site", "demo-site/files", "demo-site/photos"] {
        for file in std::fs::read_dir(root().join(folder)).unwrap() {
            let path = file.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            if path.is_dir() || name == "README.md" {
                continue;
            }
            files += 1;
            let told = story.bytes(&format!("{folder}/{name}")).unwrap();
            assert_eq!(told, std::fs::read(&path).unwrap(), "{name}");
        }
    }
    assert!(files > 30, "{files}");
}

/// Steps whose readings decide: they can only come from the story.
const DECIDING: [&str; 7] = [
    "start-gauge",
    "start-temperature",
    "end-gauge",
    "end-temperature",
    "reflectance-upper",
    "reflectance-middle",
    "reflectance-lower",
];

/// Their readings in one script, without units, as the crew typed them.
fn readings(script: &str) -> Vec<String> {
    let script: toml::Value = toml::from_str(&Story::shipped().text(script).unwrap()).unwrap();
    let mut found = Vec::new();
    for act in script["act"].as_array().unwrap() {
        let Some(request) = act.get("request") else { continue };
        let step = request.get("step").and_then(toml::Value::as_str).unwrap_or("");
        let reading = request.get("typed").and_then(|typed| typed.get("read"));
        if let (true, Some(text)) =
            (DECIDING.contains(&step), reading.and_then(toml::Value::as_str))
        {
            found.push(text.split(' ').next().unwrap().to_owned());
        }
    }
    found
}

fn rust_files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.ends_with("tests") {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// A file without its tests and comments, which may quote what they like.
fn program_of(text: &str) -> String {
    let program = text.split("\n#[cfg(test)]\nmod tests {").next().unwrap();
    program
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

/// A number that stands by itself, not within a longer one.
fn holds_number(text: &str, number: &str) -> bool {
    text.match_indices(number).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let after = text[at + number.len()..].chars().next();
        let part =
            |sign: Option<char>| sign.is_some_and(|sign| sign.is_ascii_digit() || sign == '.');
        !part(before) && !part(after)
    })
}

#[test]
fn the_program_holds_no_reading_of_the_story() {
    assert!(holds_number("x = 104.7;", "104.7") && !holds_number("1104.7", "104.7"));
    let mut readings = readings(SCRIPT);
    assert_eq!(readings.len(), 12, "{readings:?}");
    readings.extend(self::readings("demo-site/pc-02-performance.toml"));
    assert_eq!(readings.len(), 18, "{readings:?}");
    for known in ["110.2", "103.1", "104.7", "106.8", "84.2", "92.1"] {
        assert!(readings.iter().any(|one| one == known), "{known} is not in {readings:?}");
    }
    let mut files = Vec::new();
    for name in ["app", "cli", "logbook"] {
        rust_files(&root().join("crates").join(name).join("src"), &mut files);
    }
    assert!(files.len() > 60, "{}", files.len());
    for path in files {
        // Its help shows how a reading is typed.
        if path.ends_with("cli/src/arguments.rs") {
            continue;
        }
        let program = program_of(&std::fs::read_to_string(&path).unwrap());
        // Round ones stand for many things; the others can only come from the story.
        for reading in readings.iter().filter(|one| !one.ends_with(".0")) {
            assert!(!holds_number(&program, reading), "{}: {reading}", path.display());
        }
        for name in ["Ivana", "Quintrel", "PG-03", "Pampa"] {
            assert!(!program.contains(name), "{}: {name}", path.display());
        }
    }
    assert!(Story::shipped().text(SITE).unwrap().contains("PG-03"));
}
