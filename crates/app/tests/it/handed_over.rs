//! Handover reports of dishes with measured tables, files of loggers and several calculations:
//! they hold all of it, and each can be judged anew from the PDF alone.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use app::Cost;
use app::demo::{Played, Story, play_story};
use app::inspect::{InspectOptions, Inspection, Level, inspect};
use report::model::{Figure, MapState, Sheet, SheetTable, Taken};
use report::{Handover, VerifyOptions, render, verify};
use sha2::{Digest as _, Sha256};
use tempfile::TempDir;

/// The shipped story, played once for all tests of this file.
fn played() -> &'static (TempDir, Played) {
    static PLAYED: OnceLock<(TempDir, Played)> = OnceLock::new();
    PLAYED.get_or_init(|| {
        let folder = TempDir::new().unwrap();
        let out = folder.path().join("out");
        let cost = store::KdfCost::TRIVIAL;
        let story = Story::shipped();
        let played = play_story(&story, &out, Cost::TRIVIAL, cost, &mut |_| {}).unwrap();
        (folder, played)
    })
}

/// The report of a dish, written from the story's logbook into a file that is removed with the
/// folder, with the view and the entries inside it.
fn report_of(dish: &str, folder: &Path) -> (PathBuf, Handover, Vec<u8>) {
    // Every test opens a copy of its own: a logbook is open once at a time.
    let (_, played) = played();
    let data = folder.join("site");
    copy(&played.data, &data);
    let passphrase = std::fs::read_to_string(&played.passphrase_file).unwrap();
    let mut logbook =
        app::Logbook::open(&data, Some(&played.secrets), passphrase.trim(), &mut |_| {}).unwrap();
    let path = folder.join(format!("{dish}.pdf"));
    logbook.write_report(dish, &path).unwrap();
    let verified = verify(&std::fs::read(&path).unwrap(), &VerifyOptions::default());
    let handover = Handover::from_json(&verified.report.unwrap()).unwrap();
    (path, handover, verified.entries.unwrap())
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

fn check(path: &Path) -> Inspection {
    let mut ask = || Ok(String::new());
    inspect(path, &InspectOptions::default(), &mut ask, &mut |_| {}).unwrap()
}

/// What is wrong with a report, in sentences.
fn wrong(path: &Path) -> Vec<String> {
    check(path)
        .findings
        .into_iter()
        .filter(|finding| finding.level == Level::Error)
        .map(|finding| finding.sentence)
        .collect()
}

/// Whether the entries inside a report give it again, verdicts included.
fn judged_anew(path: &Path) -> bool {
    let found = check(path).findings;
    found.iter().any(|one| one.code == "report.agreement" && one.level == Level::Right)
}

fn file(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/../../demo-site/files/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

fn fact<'t>(taken: &'t Taken, name: &str) -> Vec<&'t str> {
    taken.facts.iter().filter(|fact| fact.name == name).map(|fact| fact.value.as_str()).collect()
}

fn table<'s>(sheet: &'s Sheet, title: &str) -> &'s SheetTable {
    sheet.tables.iter().find(|table| table.title.starts_with(title)).unwrap()
}

#[test]
fn an_alignment_is_whole_on_paper_and_is_judged_anew_from_the_file_alone() {
    let folder = TempDir::new().unwrap();
    let (path, handover, _) = report_of("PC-07", folder.path());
    assert_eq!(wrong(&path), Vec::<String>::new());
    assert!(judged_anew(&path), "{:#?}", check(&path).findings);
    // Each survey names its file by the hash that anyone can work out.
    let taken: Vec<&Taken> = handover.attempts.iter().flat_map(|one| &one.taken).collect();
    let files = ["pc-07-as-found.csv", "pc-07-as-found-2.csv", "pc-07-as-left.csv"];
    assert_eq!(taken.len(), files.len());
    for (taken, name) in taken.iter().zip(files) {
        let hash = hex::encode(Sha256::digest(file(name)));
        assert_eq!(fact(taken, "SHA-256 of the file"), [hash.as_str()], "{name}");
        assert!(fact(taken, "File")[0].starts_with(name), "{taken:?}");
        assert_eq!(fact(taken, "Rows"), ["252 measured, of 252"]);
        assert!(fact(taken, "Instrument")[0].starts_with("CM-01"), "{taken:?}");
        assert!(fact(taken, "Read how")[0].contains("Decimal comma"), "{taken:?}");
    }
    let line = |step: &str| {
        let readings = handover.attempts.iter().flat_map(|attempt| &attempt.readings);
        readings.filter(|reading| reading.step == step).collect::<Vec<_>>()
    };
    assert_eq!(line("2.1").len(), 2);
    assert_eq!(line("2.1")[0].instrument, "CM-01");
    // The board camera is among the instruments, though it was used for nothing but surveys.
    assert!(handover.instruments.iter().any(|instrument| instrument.id == "CM-01"));
    let alignment: Vec<&Sheet> =
        handover.sheets.iter().filter(|s| s.calculation.starts_with("Facet alignment")).collect();
    let maps: Vec<_> = alignment
        .iter()
        .filter_map(|sheet| match sheet.figures.first() {
            Some(Figure::FacetMap(map)) => Some(map),
            _ => None,
        })
        .collect();
    // As found and as left of both attempts; what was left unmeasured on the first night has none.
    assert_eq!((alignment.len(), maps.len()), (4, 3));
    assert_eq!(maps[0].moved, ["R09"]);
    assert!(maps[1].moved.is_empty() && maps[2].moved.is_empty());
    assert_eq!(maps[0].facets.len(), 252);
    let out = |rack: &str| {
        let facets = maps[0].facets.iter().filter(|facet| facet.rack == rack);
        facets.filter(|facet| facet.state == MapState::Out).count()
    };
    assert_eq!((out("R09"), out("R01")), (21, 0));
    assert!(maps[2].facets.iter().all(|facet| facet.state == MapState::In));
    assert_eq!(alignment[0].findings[0].place, "R09");
    // The list has each facet once, with all that is needed to redo its row.
    let list = table(alignment[0], "Each facet");
    assert_eq!(list.rows.len(), 252);
    for head in ["facet", "r m", "β °", "aim x mm", "dx mm", "p m", "φ °", "x mrad", "y mrad"] {
        assert!(list.columns.iter().any(|column| column == head), "{head}: {:?}", list.columns);
    }
    assert!(list.note.contains("state: measured"), "{}", list.note);
    assert_eq!(table(alignment[0], "The 12 largest").rows.len(), 12);
    assert!(table(alignment[0], "The 12 largest").rows[0][0].starts_with("R09/"));
    // Paper has the names of the ring, and a design among the versions.
    let drives = handover.proofs.iter().find(|proof| proof.requirement == "defocus").unwrap();
    assert_eq!(drives.name(), "drives");
    assert!(handover.components.iter().any(|part| part.name == "LV-3"));
    let aligned = handover.proofs.iter().find(|proof| proof.requirement == "alignment").unwrap();
    assert_eq!(aligned.limit, "≤\u{a0}1.0 mrad; ≤\u{a0}0.7 mrad");
    assert!(aligned.result.contains("RMS in two dimensions"), "{}", aligned.result);
}

/// Board shift to tilt by hand for one row of the printed list: δ_r = (Δ_r − a_r)·cos φ/(2p),
/// δ_t = (Δ_t − a_t)/(2p·cos(φ/2)), first-order reflection at a paraboloid.
#[test]
fn a_row_of_the_printed_list_can_be_redone_by_hand() {
    let folder = TempDir::new().unwrap();
    let (_, handover, _) = report_of("PC-07", folder.path());
    let sheet =
        handover.sheets.iter().find(|s| s.calculation.starts_with("Facet alignment")).unwrap();
    let list = table(sheet, "Each facet");
    let mut seen = 0;
    for row in list.rows.iter().step_by(17) {
        let cell = |head: &str| -> f64 {
            let place = list.columns.iter().position(|column| column == head).unwrap();
            row[place].replace(',', ".").parse().unwrap()
        };
        let beta = cell("β °").to_radians();
        let phi = cell("φ °").to_radians();
        let (dx, dy) = (cell("dx mm") - cell("aim x mm"), cell("dy mm") - cell("aim y mm"));
        let (radial, across) =
            (dx * beta.sin() + dy * beta.cos(), dx * beta.cos() - dy * beta.sin());
        let (d_r, d_t) = (
            radial * phi.cos() / (2.0 * cell("p m")),
            across / (2.0 * cell("p m") * (phi / 2.0).cos()),
        );
        let (x, y) = (d_r * beta.sin() + d_t * beta.cos(), d_r * beta.cos() - d_t * beta.sin());
        assert!((x - cell("x mrad")).abs() < 0.011, "{row:?}: {x}");
        assert!((y - cell("y mrad")).abs() < 0.011, "{row:?}: {y}");
        seen += 1;
    }
    assert_eq!(seen, 15);
}

#[test]
fn a_facet_changed_in_a_forged_report_is_named() {
    let folder = TempDir::new().unwrap();
    let (_, handover, entries) = report_of("PC-07", folder.path());
    let mut forged = handover.clone();
    let mut changed = (String::new(), String::new());
    let mut lists = forged.sheets.iter_mut().flat_map(|sheet| &mut sheet.tables);
    let list = lists.rfind(|table| table.title == "Each facet").unwrap();
    let column = list.columns.iter().position(|column| column == "x mrad").unwrap();
    for row in list.rows.iter_mut().filter(|row| row[0] == "R03/F19") {
        changed.0.clone_from(&row[column]);
        "0.01".clone_into(&mut row[column]);
        changed.1.clone_from(&row[column]);
    }
    assert_ne!(changed.0, changed.1);
    let path = folder.path().join("forged.pdf");
    std::fs::write(&path, render(&forged, &entries).unwrap()).unwrap();
    let found = wrong(&path);
    assert_eq!(found.len(), 1, "{found:#?}");
    for part in ["rows[R03/F19]", &changed.0, &changed.1] {
        assert!(found[0].contains(part), "{part}: {}", found[0]);
    }
    // A pin of the map that was turned round is named as well.
    let mut forged = handover;
    let figures = forged.sheets.iter_mut().flat_map(|sheet| &mut sheet.figures);
    for figure in figures {
        if let Figure::FacetMap(map) = figure {
            for facet in map.facets.iter_mut().filter(|facet| facet.id == "R09/F07") {
                "0".clone_into(&mut facet.y);
            }
        }
    }
    let path = folder.path().join("turned.pdf");
    std::fs::write(&path, render(&forged, &entries).unwrap()).unwrap();
    assert!(
        wrong(&path).iter().any(|one| one.contains("facets[R09/F07].y")),
        "{:#?}",
        wrong(&path)
    );
}

/// Without the design of the dish and the place of the site nobody can judge anew; a report that
/// leaves them out says so.
#[test]
fn what_verdicts_rest_on_travels_inside() {
    let folder = TempDir::new().unwrap();
    let (_, handover, entries) = report_of("PC-07", folder.path());
    let text = String::from_utf8(entries).unwrap();
    for kind in ["dish_design_adopted", "site_described", "survey_taken", "person_certified"] {
        let needle = format!("\\\"kind\\\":\\\"{kind}\\\"");
        let lines: Vec<&str> = text.lines().filter(|line| line.contains(&needle)).collect();
        assert!(!lines.is_empty(), "{kind}");
        for line in lines {
            let line: serde_json::Value = serde_json::from_str(line).unwrap();
            assert!(line["payload"].is_string(), "{kind} came without its payload");
        }
    }
    // The same entries, the design's payload left out as a forger might.
    let bare: Vec<String> = text
        .lines()
        .map(|line| {
            let mut line: serde_json::Value = serde_json::from_str(line).unwrap();
            let header = line["header"].as_str().unwrap().to_owned();
            if header.contains("dish_design_adopted") {
                line.as_object_mut().unwrap().remove("payload");
            }
            line.to_string()
        })
        .collect();
    let path = folder.path().join("bare.pdf");
    std::fs::write(&path, render(&handover, (bare.join("\n") + "\n").as_bytes()).unwrap()).unwrap();
    assert!(!judged_anew(&path));
    assert!(!wrong(&path).is_empty());
}

#[test]
fn an_import_made_again_is_a_correction_with_its_reason() {
    let folder = TempDir::new().unwrap();
    let (path, handover, _) = report_of("PC-02", folder.path());
    assert_eq!(wrong(&path), Vec::<String>::new());
    assert!(judged_anew(&path));
    let again: Vec<_> =
        handover.corrections.iter().filter(|one| one.kind == "taken again").collect();
    assert_eq!(again.len(), 1, "{:#?}", handover.corrections);
    assert!(again[0].reason.contains("UTC-4"), "{:?}", again[0]);
    let taken: Vec<&Taken> = handover.attempts.iter().flat_map(|one| &one.taken).collect();
    let replaced = taken.iter().find(|one| !fact(one, "Counts no more").is_empty()).unwrap();
    let by = taken.iter().find(|one| one.entry == again[0].entry).unwrap();
    assert!(fact(replaced, "Counts no more")[0].ends_with(&by.entry));
    assert!(fact(by, "Replaces")[0].starts_with(&replaced.entry));
    let hashes = fact(by, "SHA-256 of the file");
    for (hash, name) in hashes.iter().zip(["pc-02-run-2-logger.csv", "pc-02-run-2-meter.csv"]) {
        assert_eq!(*hash, hex::encode(Sha256::digest(file(name))), "{name}");
    }
    assert!(fact(by, "File 1")[0].contains("each the end of an interval of 1 min"), "{by:?}");
    // The witness is a line among the readings, and each channel names its instrument.
    let witnessed = handover.attempts[1].readings.iter().filter(|r| r.as_typed == "present");
    assert_eq!(witnessed.count(), 2);
    assert!(fact(by, "Direct irradiance")[0].contains("DN-01"), "{by:?}");
    // Every limit stands with what was found, also of an attempt that could not be judged.
    assert!(handover.attempts.iter().all(|attempt| !attempt.limits.is_empty()));
    let run = handover.sheets.iter().find(|sheet| !sheet.tables.is_empty()).unwrap();
    assert!(matches!(&run.figures[..], [Figure::Lines(lines)] if lines.series.len() == 2));
    assert_eq!(run.inputs.iter().find(|i| i.name == "net power").unwrap().entry.len(), 7);
}
