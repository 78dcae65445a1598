//! The program used wrongly: each time an exit code that is not 0, a sentence, the next step and
//! a code, and everything as it was before. And its help, its JSON and its exit codes used rightly.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::{Value, json};

use crate::folders::{Place, scratch};
use crate::played::{copied, shipped};
use crate::program::{Ran, run, run_with};
use crate::tool::arg;

/// The readings of the third attempt as the input of the calculation.
fn decay() -> Value {
    json!({
        "gas": "helium",
        "volume": "12.4 L",
        "start": { "gauge_pressure": "110.0 bar(g)", "barometer": "862 hPa", "temperature": "24.0 °C" },
        "end": { "gauge_pressure": "104.7 bar(g)", "barometer": "862 hPa", "temperature": "12.0 °C" },
        "elapsed": "12 h",
        "required_hold": "12 h",
        "limit": { "loss": "1.0 %", "per": "12 h" },
        "rule": "simple",
        "uncertainty": {
            "gauge_scale": { "value": "0.25 bar", "distribution": "rectangular" },
            "gauge_resolution": "0.1 bar",
            "temperature": { "value": "0.15 K", "distribution": "rectangular" },
            "barometer": { "value": "0.5 hPa", "distribution": "rectangular" },
            "volume": { "value": "2 %", "distribution": "rectangular" },
        },
    })
}

fn calc(change: impl Fn(&mut Value), more: &[&str]) -> Ran {
    let mut input = decay();
    change(&mut input);
    let arguments = [&["calc", "pressure-decay"], more].concat();
    run_with(input.to_string().as_bytes(), &arguments)
}

#[test]
fn calc_says_pass_fail_and_not_judged_by_word_and_exit_code() {
    for (temperature, word, code) in [
        (json!("12.0 °C"), "PASS", 0),
        (json!("13.0 °C"), "FAIL", 1),
        (Value::Null, "NOT JUDGED", 1),
    ] {
        let change = |input: &mut Value| match &temperature {
            Value::Null => drop(input["end"].as_object_mut().unwrap().remove("temperature")),
            typed => input["end"]["temperature"] = typed.clone(),
        };
        let ran = calc(change, &[]);
        assert_eq!(ran.code, Some(code), "{ran:?}");
        assert_eq!(ran.out.lines().nth(1), Some(word), "{ran:?}");
        let ran = calc(change, &["--json"]);
        assert_eq!(ran.code, Some(code));
        assert_eq!(ran.json()["verdict"], word.to_lowercase().replace(' ', "_"));
    }
}

#[test]
fn calc_names_a_missing_barometer_and_never_takes_zero_for_it() {
    for end in ["start", "end"] {
        let ran = calc(|input| drop(input[end].as_object_mut().unwrap().remove("barometer")), &[]);
        assert_eq!(ran.code, Some(1), "{ran:?}");
        assert!(ran.out.contains("NOT JUDGED") && ran.out.contains(&format!("{end}.barometer")));
        assert!(ran.out.contains("Supply what is missing"), "{}", ran.out);
    }
}

#[test]
fn calc_refuses_what_can_not_be_meant() {
    let set = |path: &'static str, value: Value| {
        move |input: &mut Value| *input.pointer_mut(path).unwrap() = value.clone()
    };
    let gauge = "/start/gauge_pressure";
    calc(set(gauge, json!("110.0 °C")), &[]).refused("calc.wrong_unit", &["110.0 °C", "bar(g)"]);
    calc(set(gauge, json!("1595 bar(g)")), &[]).refused(
        "calc.implausible",
        &["1595 psi(g) would be 109.97 bar(g)", "is its unit psi(g)?"],
    );
    calc(set(gauge, json!("1 595 bar(g)")), &[]).refused("calc.implausible", &["psi(g)"]);
    calc(set(gauge, json!("1,595 psi(g)")), &[])
        .refused("calc.ambiguous_number", &["1.595", "1595"]);
    calc(set(gauge, json!(110.0)), &[]).refused("calc.malformed", &["--schema"]);
    calc(set(gauge, Value::Null), &[]).refused("calc.null", &[]);
    calc(set("/elapsed", json!("-12 h")), &[]).refused("calc.end_before_start", &["Check"]);
    let times = |input: &mut Value| {
        input.as_object_mut().unwrap().remove("elapsed");
        input["start"]["at"] = json!("2026-08-28T18:25:00-04:00");
        input["end"]["at"] = json!("2026-08-28T06:25:00-04:00");
    };
    calc(times, &[]).refused("calc.end_before_start", &["end.at", "not after its start"]);
    let unknown = |input: &mut Value| input["barometer"] = json!("862 hPa");
    calc(unknown, &[]).refused("calc.unknown_field", &["barometer", "--schema"]);
    run(&["calc", "presure-decay"]).refused("calc.unknown", &["presure-decay", "calc --list"]);
    for broken in ["", "{", "pressure 110 bar", "{\"gas\": \"helium\",}"] {
        run_with(broken.as_bytes(), &["calc", "pressure-decay"])
            .refused("calc.not_json", &["--schema"]);
    }
    run_with(b"\xff\xfe", &["calc", "pressure-decay"]).refused("input.unreadable", &["UTF-8"]);
    run(&["calc", "pressure-decay", "--input", "/nowhere/at/all.json"])
        .refused("input.unreadable", &["/nowhere/at/all.json"]);
}

/// A program that asked for JSON gets the error as JSON too: code, sentence, next step.
#[test]
fn errors_are_json_where_json_was_asked_for() {
    for (arguments, code) in [
        (&["check", "/nowhere", "--json"] as &[&str], "check.missing"),
        (&["calc", "presure-decay", "--json"], "calc.unknown"),
        (&["demo", "--out", "/proc/demo", "--json"], "folder.unusable"),
    ] {
        let ran = run(arguments);
        assert_eq!(ran.code, Some(2), "{ran:?}");
        let value: Value = serde_json::from_str(&ran.err).unwrap_or_else(|_| panic!("{ran:?}"));
        assert_eq!(value["code"], code);
        for part in ["sentence", "next_step"] {
            assert!(value[part].as_str().unwrap().len() > 10, "{value}");
        }
    }
}

/// Bytes of every file in a folder: nothing may differ after a refused command.
fn bytes(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().into_string().unwrap();
        if entry.file_type().unwrap().is_dir() {
            found.extend(bytes(&entry.path()).into_iter().map(|(n, b)| (format!("{name}/{n}"), b)));
        } else {
            found.insert(name, std::fs::read(entry.path()).unwrap());
        }
    }
    found
}

/// Arguments that open a data folder.
fn opening(place: &Place) -> [String; 2] {
    let passphrase = place.data.parent().unwrap().join("passphrase.txt");
    [
        format!("--secrets={}", arg(&place.secrets)),
        format!("--passphrase-file={}", arg(&passphrase)),
    ]
}

fn check(place: &Place, more: &[&str]) -> Ran {
    let open = opening(place);
    run(&[&["check", arg(&place.data), &open[0], &open[1]], more].concat())
}

fn report(place: &Place, dish: &str, out: &Path) -> Ran {
    let (open, out) = (opening(place), format!("--out={}", arg(out)));
    run(&["report", dish, &out, "--data", arg(&place.data), &open[0], &open[1]])
}

#[test]
fn check_of_a_truncated_database_names_it_and_loses_nothing() {
    let place = copied("truncated");
    let database = place.data.join(store::DATABASE_FILE);
    let whole = std::fs::read(&database).unwrap();
    for (keep, deep) in
        [(whole.len() / 2, true), (whole.len() - 4096, false), (700, false), (0, false)]
    {
        for side in ["-wal", "-shm"] {
            let _ =
                std::fs::remove_file(place.data.join(format!("{}{side}", store::DATABASE_FILE)));
        }
        std::fs::write(&database, &whole[..keep]).unwrap();
        let ran = check(&place, if deep { &["--deep"] } else { &[] });
        assert!(matches!(ran.code, Some(1 | 2)), "{keep}: {ran:?}");
        let all = ran.all();
        assert!(all.contains("logbook.db") || all.contains(arg(&place.data)), "{keep}: {all}");
        assert!(!all.contains("panicked"), "{all}");
        match ran.code {
            Some(1) => {
                let next = all.lines().any(|line| line.contains("WRONG"))
                    && all.lines().any(|line| line.trim_start().starts_with('→'));
                assert!(next, "{keep}: {all}");
            }
            _ => assert!(ran.err.trim_end().ends_with(']'), "{keep}: {all}"),
        }
        assert_eq!(
            std::fs::read(&database).unwrap(),
            &whole[..keep],
            "{keep}: the file was written"
        );
    }
}

#[test]
fn a_wrong_passphrase_changes_nothing() {
    let place = copied("wrong-passphrase");
    let before = place.contents();
    let wrong = place.data.parent().unwrap().join("passphrase.txt");
    std::fs::write(&wrong, "arena y espejos de verdad\n").unwrap();
    let words = ["passphrase", "nothing was changed"];
    check(&place, &[]).refused("store.wrong_passphrase", &words);
    let out = scratch("wrong-passphrase-out").join("report.pdf");
    report(&place, "PC-04", &out).refused("store.wrong_passphrase", &words);
    assert!(!out.exists());
    std::fs::remove_file(&wrong).unwrap();
    check(&place, &[]).refused("input.unreadable", &["passphrase.txt"]);
    assert_eq!(place.contents(), before);
}

#[test]
fn check_of_nothing_and_of_something_else_says_what_it_takes() {
    let folder = scratch("something-else");
    run(&["check", arg(&folder.join("missing.pdf"))]).refused("check.missing", &["missing.pdf"]);
    run(&["check", arg(&folder)]).refused("check.no_logbook", &["logbook.db"]);
    let picture = folder.join("picture.jpg");
    std::fs::write(&picture, b"\xff\xd8\xff\xe0 no report").unwrap();
    run(&["check", arg(&picture)]).refused("check.unknown", &["PDF", ".jsonl"]);
    let empty = folder.join("empty.jsonl");
    std::fs::write(&empty, b"").unwrap();
    assert_eq!(run(&["check", arg(&empty)]).code, Some(2));
    let pdf = folder.join("other.pdf");
    std::fs::write(&pdf, b"%PDF-1.7\nnothing more\n").unwrap();
    let ran = run(&["check", arg(&pdf)]);
    assert_eq!(ran.code, Some(1), "{ran:?}");
    assert!(ran.out.contains("WRONG") && ran.out.contains("Do not rely on it"), "{ran:?}");
}

#[test]
fn report_of_an_unknown_dish_or_into_a_bad_place_writes_nothing() {
    let place = copied("report-refused");
    let before = place.contents();
    let folder = scratch("report-refused-out");
    let out = folder.join("report.pdf");
    report(&place, "PC-99", &out).refused("position.unknown", &["PC-99", "label on the dish"]);
    assert!(!out.exists());
    let letter = report(&place, "PC-04-A", &out);
    assert_eq!(letter.code, Some(2), "a wrong check letter: {letter:?}");

    // Below a regular file nobody can write, root included.
    let file = folder.join("a-file");
    std::fs::write(&file, b"not a folder").unwrap();
    let below = file.join("report.pdf");
    report(&place, "PC-04", &below).refused("store.unwritable", &["a-file", "Choose"]);
    // Nor into the kernel's own folder.
    report(&place, "PC-04", Path::new("/proc/report.pdf")).refused("store.unwritable", &["/proc"]);

    let taken = folder.join("taken.pdf");
    std::fs::write(&taken, b"somebody's only copy").unwrap();
    report(&place, "PC-04", &taken).refused("file.exists", &["taken.pdf", "not replaced"]);
    assert_eq!(std::fs::read(&taken).unwrap(), b"somebody's only copy");
    assert_eq!(place.contents(), before);

    let gone = Place::new(&folder.join("nowhere"), &place.secrets, "");
    std::fs::write(folder.join("passphrase.txt"), "x\n").unwrap();
    report(&gone, "PC-04", &out).refused("store.not_found", &["nowhere", "logbook.db"]);
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 3, "something was left behind");
}

#[test]
fn a_copy_without_its_secret_is_told_from_the_original() {
    let place = copied("a-copy");
    let elsewhere = Place { secrets: scratch("a-copy-secrets"), ..place.clone() };
    // It can be read: a report for reading, unsigned, and a check that says what it is.
    let out = scratch("a-copy-out").join("report.pdf");
    let ran = report(&elsewhere, "PC-04", &out);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(ran.out.contains("copy for reading"), "{ran:?}");
    let ran = run(&["check", arg(&out)]);
    assert!(ran.out.contains("Nobody has signed this report"), "{ran:?}");
    let ran = check(&elsewhere, &[]);
    assert!(matches!(ran.code, Some(0 | 1)), "{ran:?}");
    assert!(ran.out.contains("copy"), "{ran:?}");
}

#[test]
fn demo_never_writes_where_something_is() {
    let folder = scratch("not-empty");
    std::fs::write(folder.join("notes.txt"), b"mine").unwrap();
    let before = bytes(&folder);
    run(&["demo", "--out", arg(&folder)])
        .refused("folder.not_empty", &["not empty", "Nothing was written"]);
    let file = folder.join("notes.txt");
    run(&["demo", "--out", arg(&file)]).refused("folder.unusable", &["notes.txt"]);
    run(&["demo", "--out", arg(&file.join("below"))]).refused("folder.unusable", &["notes.txt"]);
    run(&["demo", "--out", "/proc/demo"]).refused("folder.unusable", &["/proc/demo"]);
    assert_eq!(bytes(&folder), before);
}

#[test]
fn what_is_right_exits_with_0_and_its_json_can_be_read() {
    let shipped = shipped();
    let played = shipped.played();
    let root = format!("--root={}", arg(&played.root));
    for (path, kind) in [(&played.report, "report"), (&played.archive, "archive")] {
        let ran = run(&["check", arg(path), &root, "--json"]);
        assert_eq!(ran.code, Some(0), "{ran:?}");
        let value = ran.json();
        assert_eq!(value["kind"], kind);
        assert!(value["findings"].as_array().unwrap().iter().all(|one| one["level"] != "error"));
    }
    let place = copied("right");
    let before = place.contents();
    let ran = check(&place, &["--deep", "--json"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert_eq!(ran.json()["kind"], "data folder");
    // A report written by nobody is a copy for reading: nothing is entered.
    let out = scratch("right-out").join("report.pdf");
    let ran = report(&place, "pc-04", &out);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(ran.out.contains("copy for reading"), "{ran:?}");
    assert_eq!(place.contents(), before);
    let ran = run(&["calc", "--list", "--json"]);
    let names: Vec<Value> =
        ran.json().as_array().unwrap().iter().map(|one| one["name"].clone()).collect();
    assert!(names.is_sorted_by(|one, next| one.as_str() < next.as_str()), "{names:?}");
    for name in ["facet-alignment", "gas-density", "performance-run", "pressure-decay"] {
        assert!(names.iter().any(|one| one == name), "no {name} in {names:?}");
    }
    for name in names {
        let ran = run(&["calc", name.as_str().unwrap(), "--schema"]);
        assert_eq!(ran.json()["additionalProperties"], false, "{name}: unknown fields are refused");
    }
}

/// The whole demo as a user starts it, with keys that cost what they cost.
#[test]
fn the_demo_runs_from_the_command_line() {
    let folder = scratch("demo").join("new");
    let ran = run(&["demo", "--out", arg(&folder), "--json"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let value = ran.json();
    assert_eq!(value["verified"], true);
    let mut by_dish: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for one in value["verdicts"].as_array().unwrap() {
        let words = by_dish.entry(one["position"].as_str().unwrap()).or_default();
        words.push(one["verdict"].as_str().unwrap());
        assert_eq!(one["attempt"], words.len(), "{one}");
    }
    let expected = [
        ("PC-02", vec!["not judged", "pass"]),
        ("PC-04", vec!["fail", "not judged", "pass"]),
        ("PC-07", vec!["fail", "pass"]),
    ];
    assert_eq!(by_dish, BTreeMap::from(expected));
    assert!(ran.err.contains("Verifying the report"), "progress on standard error: {}", ran.err);
}

#[test]
fn help_says_what_each_command_needs() {
    let needs: [(&str, &[&str]); 5] = [
        (
            "",
            &["demo", "calc", "check", "report", "Exit codes", "never says that anything is safe"],
        ),
        ("demo", &["--out", "must be empty"]),
        ("calc", &["--list", "--schema", "standard input", "not judged"]),
        ("check", &["--deep", "--root", "--passphrase-file", "--secrets", ".pdf", ".jsonl"]),
        ("report", &["--out", "--data", "DISHWRIGHT_DATA", "--passphrase-file", "not replaced"]),
    ];
    for (command, words) in needs {
        let arguments: Vec<&str> =
            [command, "--help"].into_iter().filter(|a| !a.is_empty()).collect();
        let ran = run(&arguments);
        assert_eq!(ran.code, Some(0), "{command}");
        let text = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
        for word in words {
            assert!(
                text.contains(word),
                "`{command} --help` does not say \"{word}\":\n{}",
                ran.out
            );
        }
    }
}

/// An argument can be read by every user of the machine, so none takes a passphrase.
#[test]
fn no_argument_takes_a_passphrase() {
    for command in ["check", "report"] {
        let help = run(&[command, "--help"]).out;
        let options = help.split_whitespace().filter(|word| word.starts_with("--pass"));
        assert!(options.clone().count() > 0);
        assert!(options.clone().all(|option| option == "--passphrase-file"), "{help}");
        let ran = run(&[command, "--passphrase=arena", "x"]);
        assert_eq!(ran.code, Some(2), "{ran:?}");
        assert!(ran.err.contains("unexpected argument"), "{ran:?}");
    }
    // Without a terminal and without a file there is nothing to ask.
    let place = &shipped().place;
    let secrets = format!("--secrets={}", arg(&place.secrets));
    let ran = run(&["check", arg(&place.data), &secrets]);
    assert_eq!(ran.code, Some(2), "{ran:?}");
    assert!(ran.err.contains("--passphrase-file") || ran.err.contains("passphrase"), "{ran:?}");
}

/// For people it says of which dish each verdict is.
#[test]
fn the_demo_tells_its_verdicts_by_dish() {
    let folder = scratch("demo-told").join("new");
    let ran = run(&["demo", "--out", arg(&folder)]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let told: Vec<&str> = ran
        .out
        .lines()
        .take_while(|line| *line != "Verified afterwards:")
        .filter(|line| !line.starts_with("    ") && !line.is_empty())
        .collect();
    let expected = [
        "PC-04, Gas system leak test (pressure decay), as judged:",
        "  attempt 1, 2026-08-26T06:20:00-04:00: fail",
        "  attempt 2, 2026-08-27T11:36:00-04:00: not judged",
        "  attempt 3, 2026-08-28T06:34:00-04:00: pass",
        "PC-02, Performance acceptance run, as judged:",
        "  attempt 1, 2026-08-26T15:30:00-04:00: not judged",
        "  attempt 2, 2026-09-10T15:40:00-03:00: pass",
        "PC-07, Facet alignment, as judged:",
        "  attempt 1, 2026-09-01T03:10:00-04:00: fail",
        "  attempt 2, 2026-09-03T04:48:00-04:00: pass",
    ];
    assert_eq!(told, expected, "{}", ran.out);
}
