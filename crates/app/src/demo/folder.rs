//! The folder that the demo leaves behind, and the story's time in it: whoever opens the invented
//! site later goes on at the moment at which its story stopped, not months after it.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};

use crate::clock::{Clock as _, MachineClock, OffsetClock};
use crate::error::{AppError, Result};
use crate::files;

const FILE: &str = "demo.json";

/// What `demo.json` says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StoryTime {
    /// The moment at which the story stopped, RFC 3339.
    story_time: DateTime<FixedOffset>,
    /// When it was first opened afterwards, by the machine's clock; none until then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    opened_at: Option<DateTime<FixedOffset>>,
}

/// A folder written by the demo.
#[derive(Clone, Debug)]
pub struct DemoFolder {
    folder: PathBuf,
}

impl DemoFolder {
    /// The folder at this path.
    pub fn at(folder: &Path) -> Self {
        Self { folder: folder.to_owned() }
    }

    /// The data folder in it.
    pub fn data(&self) -> PathBuf {
        self.folder.join("site")
    }

    /// The folder with the installation's secret.
    pub fn secrets(&self) -> PathBuf {
        self.folder.join("outside-the-site")
    }

    /// Notes when the story stopped.
    pub(super) fn stop(&self, story_time: DateTime<FixedOffset>) -> Result<()> {
        self.put(&StoryTime { story_time, opened_at: None })
    }

    /// The clock of whoever opens the folder: the machine's, set to go on from the story's end at
    /// the first opening. It keeps that difference ever after, so restarts don't turn it back.
    ///
    /// # Errors
    /// A folder that no demo wrote, or that can't be written.
    pub fn clock(&self) -> Result<OffsetClock> {
        let path = self.folder.join(FILE);
        if !path.exists() {
            return Err(AppError::new(
                "demo.no_folder",
                format!("{} was not written by the demo.", self.folder.display()),
                "Write one with `dishwright demo --out DIR`; a site's own folder is named with \
                 `--data DIR`.",
            ));
        }
        let mut time: StoryTime =
            serde_json::from_slice(&files::read(&path)?).map_err(|cause| {
                AppError::new(
                    "demo.unreadable",
                    format!("{} can't be read: {cause}.", path.display()),
                    "Write a new folder with `dishwright demo --out DIR`.",
                )
            })?;
        let opened = match time.opened_at {
            Some(opened) => opened,
            None => {
                let now = MachineClock.read().wall;
                time.opened_at = Some(now);
                self.put(&time)?;
                now
            }
        };
        let ahead: TimeDelta = time.story_time - opened;
        Ok(OffsetClock::new(ahead, *time.story_time.offset()))
    }

    fn put(&self, time: &StoryTime) -> Result<()> {
        let bytes = serde_json::to_vec_pretty(time)
            .map_err(|cause| AppError::internal("Keeping the story's time", cause))?;
        Ok(store::durable::write(&self.folder.join(FILE), &bytes)?)
    }
}
