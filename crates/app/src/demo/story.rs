//! The files of the story: built into the program, and replaceable by a test.

use std::collections::BTreeMap;

use crate::error::{AppError, Result};

use super::script::{Script, Site};

macro_rules! shipped {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../", $name)).as_slice())),*]
    };
}

/// The threads of the story, each a script of its own; they are played together by time.
const THREADS: [&str; 5] =
    ["pc-04-leak", "pc-02-performance", "pc-07-alignment", "pc-03-leak", "yard"];

/// The story's files by name, and the threads that are played.
#[derive(Clone, Debug)]
pub struct Story {
    threads: Vec<&'static str>,
    files: BTreeMap<String, Vec<u8>>,
}

impl Story {
    /// The story as shipped.
    pub fn shipped() -> Self {
        let files = shipped![
            "demo-site/site.toml",
            "demo-site/lv-3-dish.toml",
            "demo-site/pc-04-leak.toml",
            "demo-site/pc-02-performance.toml",
            "demo-site/pc-07-alignment.toml",
            "demo-site/pc-03-leak.toml",
            "demo-site/yard.toml",
            "demo-site/files/pc-02-run-1-logger.csv",
            "demo-site/files/pc-02-run-1-meter.csv",
            "demo-site/files/pc-02-run-2-logger.csv",
            "demo-site/files/pc-02-run-2-meter.csv",
            "demo-site/files/pc-02-run-3-logger.csv",
            "demo-site/files/pc-02-run-3-meter.csv",
            "demo-site/files/pc-07-as-found-2.csv",
            "demo-site/files/pc-07-as-found.csv",
            "demo-site/files/pc-07-as-left.csv",
            "demo-site/photos/joints.jpg",
            "demo-site/photos/joint-g14.jpg",
            "demo-site/photos/form-f-0017.jpg",
            "demo-site/photos/gauge-attempt-1-start.jpg",
            "demo-site/photos/gauge-attempt-1-end.jpg",
            "demo-site/photos/gauge-attempt-2-start.jpg",
            "demo-site/photos/gauge-attempt-3-start.jpg",
            "demo-site/photos/gauge-attempt-3-end.jpg",
            "demo-site/photos/pc-02-run-1-target.jpg",
            "demo-site/photos/pc-02-run-1-window.jpg",
            "demo-site/photos/pc-02-run-2-target.jpg",
            "demo-site/photos/pc-02-run-2-window.jpg",
            "demo-site/photos/pc-02-run-3-target.jpg",
            "demo-site/photos/pc-02-run-3-window.jpg",
            "demo-site/photos/pc-03-gauge-start.jpg",
            "demo-site/photos/pc-03-joints.jpg",
            "demo-site/photos/pc-07-as-found-2.jpg",
            "demo-site/photos/pc-07-as-found.jpg",
            "demo-site/photos/pc-07-as-left.jpg",
            "checklists/criteria.toml",
            "checklists/retest-rules.toml",
            "checklists/p02-focal-zone-lockout.toml",
            "checklists/p06-gas-leak-test.toml",
            "checklists/p07-purge-and-fill.toml",
            "checklists/p09-facet-alignment.toml",
            "checklists/p10-receiver-inspection.toml",
            "checklists/p13-performance-run.toml",
        ];
        let files = files.into_iter().map(|(name, bytes)| (name.to_owned(), bytes.to_vec()));
        Self { threads: THREADS.to_vec(), files: files.collect() }
    }

    /// The story without its other threads.
    #[must_use]
    pub fn only(mut self, threads: &[&str]) -> Self {
        self.threads.retain(|thread| threads.contains(thread));
        self
    }

    /// Replaces a text in one of the files. The text must stand there exactly once.
    ///
    /// # Errors
    /// A file that isn't part of the story, or a text that isn't there or not alone.
    pub fn replace(&mut self, file: &str, old: &str, new: &str) -> Result<()> {
        let text = self.text(file)?;
        if text.matches(old).count() != 1 {
            return Err(AppError::new(
                "demo.replace",
                format!("\"{old}\" does not stand exactly once in {file}."),
                "Give more of the text around it.",
            ));
        }
        let changed = text.replacen(old, new, 1);
        self.files.insert(file.to_owned(), changed.into_bytes());
        Ok(())
    }

    /// A file's bytes.
    ///
    /// # Errors
    /// A file that isn't part of the story.
    pub fn bytes(&self, file: &str) -> Result<&[u8]> {
        self.files.get(file).map(Vec::as_slice).ok_or_else(|| {
            AppError::new(
                "demo.file",
                format!("{file} is not part of the story."),
                "Add it to the list in the app's story module, or correct the name.",
            )
        })
    }

    /// A file's text.
    ///
    /// # Errors
    /// As [`Story::bytes`], and a file that is no text.
    pub fn text(&self, file: &str) -> Result<String> {
        String::from_utf8(self.bytes(file)?.to_vec())
            .map_err(|cause| AppError::internal(&format!("Reading {file}"), cause))
    }

    pub(super) fn site(&self) -> Result<Site> {
        self.toml("demo-site/site.toml")
    }

    /// The scripts, one for each thread of the story.
    pub(super) fn scripts(&self) -> Result<Vec<(&'static str, Script)>> {
        let read = |thread: &'static str| {
            let script = self.toml(&format!("demo-site/{thread}.toml"))?;
            Ok((thread, script))
        };
        self.threads.iter().copied().map(read).collect()
    }

    fn toml<T: serde::de::DeserializeOwned>(&self, file: &str) -> Result<T> {
        toml::from_str(&self.text(file)?).map_err(|cause| {
            AppError::new(
                "demo.script",
                format!("{file} can't be read: {cause}"),
                "Correct the place named.",
            )
        })
    }
}
