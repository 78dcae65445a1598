//! Makes the golden data folders of this package, `tests/golden/store-…`, one by its name. Each was
//! run once, when what it holds was new, and is kept to show how the folder came about. **Never run
//! it again for a folder that is there**: it refuses. What is new gets a new folder beside them.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a maker that fails stops, and says what it made"
)]

use std::fmt::Write as _;
use std::path::Path;

use app::Cost;
use app::demo::{Story, play_story};
use store::{KdfCost, Store, StoreConfig};

const LEAK: &str = "demo-site/pc-04-leak.toml";

/// A list in place of those that nobody fills in the story.
const SMALL_LIST: &str = r#"format = 1
id = "ID"
revision = "1"
title = "Nothing to do, for the golden folder"
proves = "receiver"
criteria = "dish-acceptance"
purpose = "Stands where a longer list stood."
cautions = ["This list informs; it protects nobody."]
prerequisite = []
weather = []
instrument = []
performer = { roles = ["optics_technician"], papers = [] }
reviewer = { roles = ["supervisor"] }
on_failure = { text = "Again.", restart_from = "done" }
recurrence = { text = "Never." }
interruption = { text = "Again.", restart_from = "done" }
acceptance = [{ limit = "performance-unchanged", by = { confirmed = "done" } }]

[recording]
late_after_hours = 24
calibration_warning_days = 14
clustered_steps = 15
clustered_seconds = 40
clock_difference_seconds = 60
source = "Common practice, no source."

[[step]]
id = "done"
number = "1.1"
title = "Done"
text = "Nothing was done."
asks.confirm = {}
"#;

fn main() {
    let name = std::env::args().nth(1).unwrap_or_default();
    let story = match name.as_str() {
        "store-v1" => leak(),
        "store-v1-measured" => measured(),
        other => panic!("no golden folder is called \"{other}\""),
    };
    make(&name, &story);
}

fn change(story: &mut Story, file: &str, change: impl Fn(&str) -> String) {
    let text = story.text(file).unwrap();
    let changed = change(&text);
    assert_ne!(text, changed, "nothing was changed in {file}");
    story.replace(file, &text, &changed).unwrap();
}

/// One small file serves for every picture, to keep the folder small.
fn one_picture(story: &mut Story, file: &str) {
    change(story, file, |text| {
        let mut parts = text.split("\"photos/");
        let mut changed = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            let (_, rest) = part.split_once('"').unwrap();
            changed.push_str("\"photos/pc-02-run-1-window.jpg\"");
            changed.push_str(rest);
        }
        changed
    });
}

/// The leak test of PC-04 to its signed report.
fn leak() -> Story {
    let mut story = Story::shipped().only(&["pc-04-leak"]);
    one_picture(&mut story, LEAK);
    story
}

/// The alignment of PC-07, with two of its racks; the performance runs of PC-02 up to the file that
/// is imported again, in an attempt that stays open; of PC-04 the first attempt, with a report.
fn measured() -> Story {
    const THREADS: [&str; 3] = ["pc-04-leak", "pc-02-performance", "pc-07-alignment"];
    const KEPT: [&str; 2] = ["R03", "R09"];
    let mut story = Story::shipped().only(&THREADS);
    for thread in THREADS {
        one_picture(&mut story, &format!("demo-site/{thread}.toml"));
    }
    change(&mut story, LEAK, |text| {
        let (before, rest) = text.split_once("# The joint\n").unwrap();
        let (_, report) = rest.split_once("# Hand-over").unwrap();
        format!("{before}# Hand-over{report}")
    });
    change(&mut story, "demo-site/pc-02-performance.toml", |text| {
        text.split_once("# Attempt 2, second run").unwrap().0.to_owned()
    });
    change(&mut story, "demo-site/site.toml", |text| {
        let mut parts = text.split("[[positions]]\n");
        let head = parts.next().unwrap_or_default();
        let kept = parts.filter(|part| {
            ["PC-02", "PC-04", "PC-07"].iter().any(|dish| part.contains(&format!("\"{dish}\"")))
        });
        kept.fold(head.to_owned(), |text, part| format!("{text}[[positions]]\n{part}"))
    });
    let kept = |text: &str| KEPT.iter().any(|rack| text.starts_with(rack));
    change(&mut story, "demo-site/lv-3-dish.toml", |text| {
        let mut parts = text.split("[[facet]]\n");
        let head = parts.next().unwrap_or_default().to_owned();
        let facets: Vec<&str> =
            parts.filter(|part| part.strip_prefix("id = \"").is_some_and(kept)).collect();
        let head = head.replace("= 252", &format!("= {}", facets.len()));
        facets.iter().fold(head, |text, part| format!("{text}[[facet]]\n{part}"))
    });
    for survey in ["as-found", "as-found-2", "as-left"] {
        change(&mut story, &format!("demo-site/files/pc-07-{survey}.csv"), |text| {
            let lines = text.split_inclusive('\n');
            lines.filter(|line| !line.starts_with('R') || kept(line)).collect()
        });
    }
    for list in ["p02-focal-zone-lockout", "p07-purge-and-fill", "p10-receiver-inspection"] {
        change(&mut story, &format!("checklists/{list}.toml"), |_| SMALL_LIST.replace("ID", list));
    }
    story
}

fn make(name: &str, story: &Story) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("golden").join(name);
    if folder.join("site").exists() {
        panic!("{} is there and is never made again", folder.display());
    }
    let out = std::env::temp_dir().join(format!("dishwright-golden-{}", std::process::id()));
    let played = play_story(story, &out, Cost::TRIVIAL, KdfCost::TRIVIAL, &mut |_| {}).unwrap();
    assert!(played.verified && played.refused.is_empty(), "{:#?}", played.refused);
    for verdict in &played.verdicts {
        println!("{} {}: {} {}", verdict.of, verdict.attempt, verdict.verdict, verdict.reason);
    }

    let passphrase = std::fs::read_to_string(&played.passphrase_file).unwrap();
    let config = StoreConfig::new(&played.data, &played.secrets, passphrase.trim_end());
    // Opening and closing it for writing folds the journal into the database.
    drop(Store::open(&config).unwrap());
    let mut ids = String::new();
    Store::open_read_only(&config)
        .unwrap()
        .for_each_entry(&mut |entry| {
            let header = entry.header();
            let (number, kind, version) = (header.number(), header.kind(), header.kind_version());
            writeln!(ids, "{} {number} {kind} {version}", entry.id()).unwrap();
            Ok(())
        })
        .unwrap();
    std::fs::create_dir_all(folder.join("site")).unwrap();
    std::fs::create_dir_all(folder.join("outside-the-site")).unwrap();
    std::fs::write(folder.join("ids.txt"), ids).unwrap();
    std::fs::copy(&played.passphrase_file, folder.join("passphrase.txt")).unwrap();
    std::fs::copy(&played.archive, folder.join("archive.jsonl")).unwrap();
    for name in [store::DATABASE_FILE, store::KEY_FILE] {
        std::fs::copy(played.data.join(name), folder.join("site").join(name)).unwrap();
    }
    for entry in std::fs::read_dir(&played.secrets).unwrap() {
        let entry = entry.unwrap();
        let target = folder.join("outside-the-site").join(entry.file_name());
        std::fs::copy(entry.path(), target).unwrap();
    }
    std::fs::remove_dir_all(&out).unwrap();
    println!("made {}", folder.display());
}
