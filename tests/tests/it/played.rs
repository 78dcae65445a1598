//! The story, played once for all tests that look at it, and played anew with something changed.

use std::path::PathBuf;
use std::sync::OnceLock;

use app::Cost;
use app::demo::{Played, Story, play_story};
use app::error::AppError;
use serde_json::Value;
use store::KdfCost;

use crate::folders::{Contents, Place, Stored, copy, scratch};

pub(crate) const SITE: &str = "demo-site/site.toml";
pub(crate) const SCRIPT: &str = "demo-site/pc-04-leak.toml";
pub(crate) const CRITERIA: &str = "checklists/criteria.toml";

/// The passphrase of the invented site, as `site.toml` gives it.
pub(crate) fn passphrase() -> String {
    let site: toml::Value = toml::from_str(&Story::shipped().text(SITE).unwrap()).unwrap();
    site["passphrase"].as_str().unwrap().to_owned()
}

/// A story that was played: what came of it, and what its data folder holds.
pub(crate) struct Scene {
    pub(crate) out: PathBuf,
    pub(crate) place: Place,
    pub(crate) outcome: Result<Played, AppError>,
    pub(crate) contents: Contents,
}

/// Plays a story into a folder of that name, with keys that cost nothing to stretch.
pub(crate) fn play(name: &str, story: &Story) -> Scene {
    let out = scratch(name);
    let outcome = play_story(story, &out, Cost::TRIVIAL, KdfCost::TRIVIAL, &mut |_| {});
    let place = Place::new(&out.join("site"), &out.join("outside-the-site"), &passphrase());
    let contents = place.contents();
    Scene { out, place, outcome, contents }
}

/// The story as shipped.
pub(crate) fn shipped() -> &'static Scene {
    static SHIPPED: OnceLock<Scene> = OnceLock::new();
    SHIPPED.get_or_init(|| play("shipped", &Story::shipped()))
}

/// The thread that [`SCRIPT`] tells, without the others: what most changes are tried on.
pub(crate) fn leak_story() -> Story {
    Story::shipped().only(&["pc-04-leak"])
}

/// That thread, played as it is shipped.
pub(crate) fn leak() -> &'static Scene {
    static LEAK: OnceLock<Scene> = OnceLock::new();
    LEAK.get_or_init(|| play("leak", &leak_story()))
}

/// The data folder of the shipped story and its secret, copied, so that a test may write.
pub(crate) fn copied(name: &str) -> Place {
    shipped().copied(name)
}

/// Changes a file of the story as a whole.
pub(crate) fn rewrite(story: &mut Story, file: &str, change: impl Fn(&str) -> String) {
    let text = story.text(file).unwrap();
    let changed = change(&text);
    assert_ne!(text, changed, "nothing was changed in {file}");
    story.replace(file, &text, &changed).unwrap();
}

impl Scene {
    /// What it left, copied to a folder of that name.
    pub(crate) fn copied(&self, name: &str) -> Place {
        let out = scratch(name);
        copy(&self.out, &out);
        Place::new(&out.join("site"), &out.join("outside-the-site"), &self.place.passphrase)
    }

    #[track_caller]
    pub(crate) fn played(&self) -> &Played {
        self.outcome.as_ref().unwrap()
    }

    /// The records of a dish, by subject.
    fn records(&self, dish: &str) -> Vec<String> {
        let position = self.contents.document(&format!("position/{dish}"));
        let records = position["records"].as_array().unwrap().iter();
        records.map(|one| one["record"].as_str().unwrap().to_owned()).collect()
    }

    /// The one record of a dish, as its document.
    #[track_caller]
    pub(crate) fn record(&self, dish: &str) -> Value {
        let records = self.records(dish);
        let [record] = records.as_slice() else { panic!("{dish}: {records:?}") };
        self.contents.document(&format!("record/{record}"))
    }

    /// The entries of a kind in the records of a dish.
    pub(crate) fn of_dish<'a>(&'a self, dish: &str, kind: &'a str) -> Vec<&'a Stored> {
        let records = self.records(dish);
        self.contents.of_kind(kind).filter(|one| records.contains(&one.subject)).collect()
    }

    /// The payloads of the verdicts on a dish, in the order reached.
    pub(crate) fn verdicts(&self, dish: &str) -> Vec<&Value> {
        self.of_dish(dish, "verdict_reached").into_iter().map(|one| &one.payload).collect()
    }

    /// The verdicts on a dish as single words.
    pub(crate) fn words_of(&self, dish: &str) -> Vec<&str> {
        self.verdicts(dish).iter().map(|one| one["verdict"].as_str().unwrap()).collect()
    }

    /// The verdicts on PC-04 as single words.
    pub(crate) fn words(&self) -> Vec<&str> {
        self.words_of("PC-04")
    }

    /// The sheet of a calculation step, in the verdict on an attempt, counted from 1.
    #[track_caller]
    pub(crate) fn sheet(&self, dish: &str, attempt: usize, step: &str) -> &Value {
        let sheets = self.verdicts(dish)[attempt - 1]["sheets"].as_array().unwrap();
        let found = sheets.iter().find(|one| one["step"] == step);
        &found.unwrap_or_else(|| panic!("{dish}, attempt {attempt}: no sheet {step}"))["sheet"]
    }

    /// The computed loss of contents in percent per 12 h, of one attempt on PC-04.
    #[track_caller]
    pub(crate) fn loss(&self, attempt: usize) -> f64 {
        let sheet = self.sheet("PC-04", attempt, "loss");
        let working = sheet["working"].as_array().unwrap();
        let line = working.iter().find(|line| line["symbol"] == "L_t").unwrap();
        assert_eq!(line["unit"], "%");
        line["value"].as_str().unwrap().parse().unwrap()
    }

    /// The state of a requirement's proof on a dish, in its position document.
    pub(crate) fn proof_of(&self, dish: &str, requirement: &str) -> Value {
        let position = self.contents.document(&format!("position/{dish}"));
        position["proofs"][requirement].clone()
    }

    /// The same on PC-04.
    pub(crate) fn proof(&self, requirement: &str) -> Value {
        self.proof_of("PC-04", requirement)
    }

    /// The codes of the acts that a rule refused.
    pub(crate) fn refusals(&self) -> Vec<&str> {
        self.played().refused.iter().map(|refused| refused.code.as_str()).collect()
    }
}

/// Within what a calculation's own equation of state may differ from the reference's, in percent
/// of contents.
#[track_caller]
pub(crate) fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() < 0.002, "{found} is not {expected}");
}

/// A result of a sheet by its name, as a number.
#[track_caller]
pub(crate) fn result(sheet: &Value, name: &str) -> f64 {
    let results = sheet["results"].as_array().unwrap();
    let found = results.iter().find(|one| one["name"] == name);
    let text = found.unwrap_or_else(|| panic!("no {name} in {results:?}"))["value"].as_str();
    text.unwrap().parse().unwrap()
}

/// A number of an oracle's answer.
#[track_caller]
pub(crate) fn number(answer: &Value, name: &str) -> f64 {
    answer[name].as_f64().unwrap_or_else(|| panic!("no number {name} in {answer}"))
}
