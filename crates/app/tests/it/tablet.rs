//! A tablet before the folder that the shipped story leaves behind, used as the screens use it.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use app::Cost;
use app::demo::{Story, play_story};
use app::door::{Door, DoorConfig};
use app::error::AppError;
use serde_json::{Value, json};
use tempfile::TempDir;

/// The story, played once.
fn played() -> &'static TempDir {
    static PLAYED: OnceLock<TempDir> = OnceLock::new();
    PLAYED.get_or_init(|| {
        let folder = TempDir::new().unwrap();
        let story = Story::shipped();
        let cost = (Cost::TRIVIAL, store::KdfCost::TRIVIAL);
        let out = folder.path().join("out");
        let played = play_story(&story, &out, cost.0, cost.1, &mut |_| {}).unwrap();
        assert!(played.verified, "{:?}", played.seen);
        folder
    })
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir(to).unwrap();
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

/// A copy of the played folder with a door before it.
pub(crate) struct Tablet {
    door: Door,
    folder: TempDir,
}

impl Tablet {
    pub(crate) fn closed() -> Self {
        let folder = TempDir::new().unwrap();
        let out = folder.path().join("out");
        copy(&played().path().join("out"), &out);
        Self { door: open(&out), folder }
    }

    pub(crate) fn unlocked() -> Self {
        let tablet = Self::closed();
        tablet.unlock();
        tablet
    }

    /// Unlocked, with a person of the story at it.
    pub(crate) fn with(person: &str, role: &str) -> Self {
        let tablet = Self::unlocked();
        tablet.act_as(person, role);
        tablet
    }

    pub(crate) fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    pub(crate) fn unlock(&self) {
        let passphrase = std::fs::read_to_string(self.out().join("passphrase.txt")).unwrap();
        self.ask("unlock", json!({ "passphrase": passphrase.trim_end() }));
    }

    pub(crate) fn act_as(&self, person: &str, role: &str) {
        self.ask("act_as", json!({ "person": person, "role": role, "pin": pin(person) }));
    }

    /// As after a crash: nothing is closed, another program opens the folder.
    pub(crate) fn die_and_come_back(mut self) -> Self {
        self.door = open(&self.out());
        self.unlock();
        self
    }

    pub(crate) fn call(&self, name: &str, args: Value) -> Result<Value, AppError> {
        self.door.call(name, args)
    }

    pub(crate) fn ask(&self, name: &str, args: Value) -> Value {
        self.call(name, args).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub(crate) fn refused(&self, name: &str, args: Value) -> AppError {
        self.call(name, args).expect_err(name)
    }

    pub(crate) fn act(&self, request: Value) -> Value {
        self.ask("act", request)
    }

    /// Opens a record on a dish and starts its first attempt.
    pub(crate) fn started(&self, position: &str, checklist: &str) -> String {
        let opened = self.act(json!({
            "do": "open_record", "position": position, "checklist": checklist,
            "criteria": "dish-acceptance",
        }));
        let record = text(&opened, "/subject").to_owned();
        self.act(json!({ "do": "start_attempt", "record": record }));
        record
    }
}

fn open(out: &Path) -> Door {
    Door::new(DoorConfig { data: out.to_owned(), secrets: None, demo: true }).unwrap()
}

/// A person's PIN as the story's own file has it.
pub(crate) fn pin(person: &str) -> String {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-site/site.toml");
    let site: toml::Value = toml::from_str(&std::fs::read_to_string(file).unwrap()).unwrap();
    let people = site["people"].as_array().unwrap();
    let found = people.iter().find(|one| one["person"].as_str() == Some(person)).unwrap();
    let own = found.get("pin").or_else(|| site["founder"].get("pin")).unwrap();
    own.as_str().unwrap().to_owned()
}

pub(crate) fn text<'v>(value: &'v Value, pointer: &str) -> &'v str {
    value.pointer(pointer).and_then(Value::as_str).unwrap_or_else(|| panic!("{pointer} in {value}"))
}

pub(crate) fn list<'v>(value: &'v Value, pointer: &str) -> &'v Vec<Value> {
    let found = value.pointer(pointer).and_then(Value::as_array);
    found.unwrap_or_else(|| panic!("{pointer} in {value}"))
}

pub(crate) fn step<'v>(record: &'v Value, id: &str) -> &'v Value {
    list(record, "/steps").iter().find(|step| step["id"] == id).unwrap()
}

/// The record of a requirement on a dish.
pub(crate) fn record_of(tablet: &Tablet, position: &str, requirement: &str) -> String {
    let dish = tablet.ask("dish", json!({ "position": position }));
    let proofs = list(&dish, "/proofs");
    let proof = proofs.iter().find(|proof| proof["requirement"] == requirement).unwrap();
    text(proof, "/record").to_owned()
}

/// A file of the story.
pub(crate) fn story_file(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/../../demo-site/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}
