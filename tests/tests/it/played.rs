//! The story, played once for all tests that look at it, and played anew with something changed.

use std::path::PathBuf;
use std::sync::OnceLock;

use app::Cost;
use app::demo::{Played, Story, play_story};
use app::error::AppError;
use serde_json::Value;
use store::KdfCost;

use crate::folders::{Contents, Place, copy, scratch};

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

/// The data folder of the shipped story and its secret, copied, so that a test may write.
pub(crate) fn copied(name: &str) -> Place {
    let shipped = shipped();
    let out = scratch(name);
    copy(&shipped.out, &out);
    Place::new(&out.join("site"), &out.join("outside-the-site"), &shipped.place.passphrase)
}

/// Changes a file of the story as a whole.
pub(crate) fn rewrite(story: &mut Story, file: &str, change: impl Fn(&str) -> String) {
    let text = story.text(file).unwrap();
    let changed = change(&text);
    assert_ne!(text, changed, "nothing was changed in {file}");
    story.replace(file, &text, &changed).unwrap();
}

impl Scene {
    #[track_caller]
    pub(crate) fn played(&self) -> &Played {
        self.outcome.as_ref().unwrap()
    }

    /// The payloads of the verdicts, in the order reached.
    pub(crate) fn verdicts(&self) -> Vec<&Value> {
        self.contents.of_kind("verdict_reached").map(|entry| &entry.payload).collect()
    }

    /// The verdicts as single words.
    pub(crate) fn words(&self) -> Vec<&str> {
        self.verdicts().iter().map(|verdict| verdict["verdict"].as_str().unwrap()).collect()
    }

    /// The computed loss of contents in percent per 12 h, of one attempt, counted from 1.
    #[track_caller]
    pub(crate) fn loss(&self, attempt: usize) -> f64 {
        let working = self.verdicts()[attempt - 1]["sheet"]["working"].as_array().unwrap();
        let line = working.iter().find(|line| line["symbol"] == "L_t").unwrap();
        assert_eq!(line["unit"], "%");
        line["value"].as_str().unwrap().parse().unwrap()
    }

    /// The state of a requirement's proof on PC-04, in its position document.
    pub(crate) fn proof(&self, requirement: &str) -> Value {
        let position = self.contents.document("position/PC-04");
        position["proofs"][requirement].clone()
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
