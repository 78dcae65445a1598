//! Makes the golden data folder `tests/golden/store-v1` of this package. It was run once, when the
//! format was frozen, and is kept to show how the folder came about. **Never run it again for v1**:
//! it refuses while the folder is there. A new format gets a new folder beside it.

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

const SCRIPT: &str = "demo-site/pc-04-leak.toml";
const PHOTOS: [&str; 8] = [
    "joints",
    "joint-g14",
    "form-f-0017",
    "gauge-attempt-1-start",
    "gauge-attempt-1-end",
    "gauge-attempt-2-start",
    "gauge-attempt-3-start",
    "gauge-attempt-3-end",
];

fn main() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("golden/store-v1");
    if folder.join("site").exists() {
        panic!("{} is there and is never made again", folder.display());
    }
    let out = std::env::temp_dir().join(format!("dishwright-golden-{}", std::process::id()));
    // One small file serves for every picture, to keep the folder small.
    let mut story = Story::shipped();
    let text = story.text(SCRIPT).unwrap();
    let small = PHOTOS.iter().fold(text.clone(), |text, name| {
        text.replace(&format!("photos/{name}.jpg"), "photos/gauge-attempt-1-start.jpg")
    });
    story.replace(SCRIPT, &text, &small).unwrap();
    let played = play_story(&story, &out, Cost::TRIVIAL, KdfCost::TRIVIAL, &mut |_| {}).unwrap();
    assert!(played.verified, "{:#?}", played.seen);

    let passphrase = std::fs::read_to_string(&played.passphrase_file).unwrap();
    let config = StoreConfig::new(&played.data, &played.secrets, passphrase.trim_end());
    // Opening and closing it for writing folds the journal into the database.
    drop(Store::open(&config).unwrap());
    let mut ids = String::new();
    Store::open_read_only(&config)
        .unwrap()
        .for_each_entry(&mut |entry| {
            let header = entry.header();
            writeln!(ids, "{} {} {}", entry.id(), header.number(), header.kind()).unwrap();
            Ok(())
        })
        .unwrap();
    std::fs::create_dir_all(folder.join("site")).unwrap();
    std::fs::create_dir_all(folder.join("outside-the-site")).unwrap();
    std::fs::write(folder.join("ids.txt"), ids).unwrap();
    std::fs::copy(&played.passphrase_file, folder.join("passphrase.txt")).unwrap();
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
