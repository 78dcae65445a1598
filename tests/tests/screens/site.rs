//! The invented site: its story is played once, and each journey gets a copy of what it left.

use std::path::{Path, PathBuf};
use std::sync::{LazyLock, OnceLock};

use app::Cost;
use app::demo::{Story, play_story};
use store::KdfCost;

/// A folder of that name, new and empty, below the tests' own.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("screens").join(name);
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    folder
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

/// The folder that the demo left, with keys that cost nothing to stretch.
fn played() -> &'static Path {
    static PLAYED: OnceLock<PathBuf> = OnceLock::new();
    PLAYED.get_or_init(|| {
        let out = scratch("played");
        play_story(&Story::shipped(), &out, Cost::TRIVIAL, KdfCost::TRIVIAL, &mut |_| {}).unwrap();
        out
    })
}

/// A copy of it for one journey.
pub(crate) fn copied(name: &str) -> PathBuf {
    let to = scratch(name).join("demo");
    copy(played(), &to);
    to
}

/// A file of the invented site, as the crew would have it on the tablet.
pub(crate) fn file(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../demo-site").join(name);
    path.canonicalize().unwrap()
}

/// Lets so many minutes pass in a copy of the site that nobody has opened yet.
pub(crate) fn pass(demo: &Path, minutes: u64) {
    let path = demo.join("demo.json");
    let mut time: serde_json::Value =
        serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
    // `date` of coreutils: the tests read no clock of their own.
    let ago = format!("{minutes} minutes ago");
    let date = std::process::Command::new("date")
        .args(["--utc", "--date", &ago, "+%Y-%m-%dT%H:%M:%SZ"])
        .output()
        .unwrap();
    time["opened_at"] = String::from_utf8(date.stdout).unwrap().trim().into();
    std::fs::write(&path, time.to_string()).unwrap();
}

static SITE: LazyLock<toml::Value> = LazyLock::new(|| {
    toml::from_str(&Story::shipped().text("demo-site/site.toml").unwrap()).unwrap()
});

/// What opens the folder.
pub(crate) fn passphrase() -> &'static str {
    SITE["passphrase"].as_str().unwrap()
}

/// A person of the site, as the story's own file gives them.
pub(crate) struct Person {
    pub(crate) name: &'static str,
    pub(crate) pin: &'static str,
}

/// The person of this id.
pub(crate) fn person(id: &str) -> Person {
    let list = SITE["people"].as_array().unwrap();
    let found = list.iter().find(|one| one["person"].as_str() == Some(id)).unwrap();
    let founder = &SITE["founder"];
    let pin = found
        .get("pin")
        .or_else(|| (founder["person"].as_str() == Some(id)).then(|| &founder["pin"]));
    Person {
        name: found["name"].as_str().unwrap(),
        pin: pin.and_then(toml::Value::as_str).unwrap(),
    }
}
