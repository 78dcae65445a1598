//! What a session holds between two calls.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use serde_json::Value;

use super::DoorConfig;
use super::commands::{self, Touch};
use crate::clock::{Clock, MachineClock};
use crate::demo::DemoFolder;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::view::zone::Zone;

/// So long without a touch releases the person who acts. What is typed stays.
pub(super) const IDLE_MINUTES: u32 = 10;

/// A session.
pub(super) struct State {
    pub(super) data: PathBuf,
    pub(super) secrets: Option<PathBuf>,
    pub(super) demo: bool,
    pub(super) clock: Arc<dyn Clock>,
    pub(super) logbook: Option<Logbook>,
    /// When somebody last touched it: run of the elapsed clock, and its reading.
    touched: (String, Duration),
}

impl State {
    pub(super) fn new(config: DoorConfig) -> Result<Self> {
        let (data, secrets, clock): (_, _, Arc<dyn Clock>) = if config.demo {
            let folder = DemoFolder::at(&config.data);
            let clock = Arc::new(folder.clock()?);
            (folder.data(), Some(config.secrets.unwrap_or_else(|| folder.secrets())), clock)
        } else {
            (config.data, config.secrets, Arc::new(MachineClock))
        };
        Ok(Self::with_clock(data, secrets, config.demo, clock))
    }

    pub(super) fn with_clock(
        data: PathBuf,
        secrets: Option<PathBuf>,
        demo: bool,
        clock: Arc<dyn Clock>,
    ) -> Self {
        let now = clock.read();
        Self { data, secrets, demo, clock, logbook: None, touched: (now.boot, now.elapsed) }
    }

    pub(super) fn call(&mut self, name: &str, args: Value) -> Result<Value> {
        self.release_when_idle();
        if commands::touch(name) == Some(Touch::Hand) {
            self.touch();
        }
        commands::dispatch(self, name, args)
    }

    /// Releases the person after so long without a touch, by the clock that nobody sets.
    fn release_when_idle(&mut self) {
        let now = self.clock.read();
        let idle = Duration::from_secs(u64::from(IDLE_MINUTES) * 60);
        let over = now.boot != self.touched.0 || now.elapsed.saturating_sub(self.touched.1) >= idle;
        if over && let Some(logbook) = &mut self.logbook {
            logbook.acting = None;
        }
    }

    pub(super) fn touch(&mut self) {
        let now = self.clock.read();
        self.touched = (now.boot, now.elapsed);
    }

    /// The zone that times are shown in.
    pub(super) fn zone(&self) -> Result<Zone> {
        let clock = *self.clock.read().wall.offset();
        let site = self.logbook.as_ref().map(Logbook::site_document).transpose()?;
        Ok(Zone::of(site.as_ref(), clock))
    }

    /// The open logbook.
    pub(super) fn open(&self) -> Result<&Logbook> {
        self.logbook.as_ref().ok_or_else(closed)
    }

    /// The open logbook, to write into.
    pub(super) fn open_mut(&mut self) -> Result<&mut Logbook> {
        self.logbook.as_mut().ok_or_else(closed)
    }
}

fn closed() -> AppError {
    AppError::new(
        "door.closed",
        "The data folder is closed.",
        "Type its passphrase to open it. What was typed in forms is kept.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::StoryClock;
    use crate::{Cost, Founding};
    use chrono::{DateTime, TimeDelta};
    use serde_json::json;

    #[test]
    fn nobody_acts_after_ten_minutes_without_a_touch() {
        let folder = tempfile::TempDir::new().unwrap();
        let start = DateTime::parse_from_rfc3339("2026-08-24T07:00:00-04:00").unwrap();
        let clock = Arc::new(StoryClock::new(start));
        let founder = json!({
            "person": "P-01", "name": "Somebody", "employer": "invented",
            "roles": [{ "role": "commissioning_lead", "from": "2026-06-01" }],
        });
        let (data, secrets) = (folder.path().join("data"), folder.path().join("outside"));
        Logbook::found(&Founding {
            folder: &data,
            secrets: &secrets,
            passphrase: "nine words that nobody would guess in a year",
            site: "Fixture yard",
            installation: "T1",
            founder: serde_json::from_value(founder).unwrap(),
            pin: "271828",
            clock: Arc::<StoryClock>::clone(&clock),
            pin_cost: Cost::TRIVIAL,
            passphrase_cost: store::KdfCost::TRIVIAL,
        })
        .unwrap();
        let mut state =
            State::with_clock(data, Some(secrets), false, Arc::<StoryClock>::clone(&clock));
        let passphrase = json!({ "passphrase": "nine words that nobody would guess in a year" });
        state.call("unlock", passphrase).unwrap();
        let who = json!({ "person": "P-01", "role": "commissioning_lead", "pin": "271828" });
        state.call("act_as", who).unwrap();
        let acts =
            |state: &mut State| !state.call("session", json!({})).unwrap()["acting"].is_null();
        let later = |minutes| clock.move_to(start + TimeDelta::minutes(minutes));
        later(9);
        state.call("draft_keep", json!({ "name": "n", "text": "t" })).unwrap();
        later(18);
        assert!(acts(&mut state), "a touch nine minutes ago");
        // The screen asks by itself, which is no touch.
        later(19);
        assert!(!acts(&mut state));
        let kept = state.call("draft", json!({ "name": "n" })).unwrap();
        assert_eq!(kept["text"], "t");
    }
}
