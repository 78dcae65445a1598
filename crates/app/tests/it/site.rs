//! A founded site in a temporary folder, with a clock that the test moves.

use std::path::PathBuf;
use std::sync::Arc;

use app::clock::StoryClock;
use app::error::AppError;
use app::request::{Request, Response};
use app::{Cost, Founding, Logbook};
use chrono::DateTime;
use tempfile::TempDir;

pub(crate) const PIN: &str = "271828";
pub(crate) const PASSPHRASE: &str = "nine words that nobody would guess in a year";

pub(crate) struct Site {
    pub(crate) logbook: Logbook,
    pub(crate) clock: Arc<StoryClock>,
    folder: TempDir,
}

impl Site {
    pub(crate) fn found() -> Self {
        let folder = TempDir::new().unwrap();
        let start = DateTime::parse_from_rfc3339("2026-08-24T07:00:00-04:00").unwrap();
        let clock = Arc::new(StoryClock::new(start));
        let founder = serde_json::from_value(serde_json::json!({
            "person": "P-01",
            "name": "Rosalba Quintrel",
            "employer": "invented",
            "roles": [{ "role": "commissioning_lead", "from": "2026-06-01" }],
        }))
        .unwrap();
        let logbook = Logbook::found(&Founding {
            folder: &folder.path().join("data"),
            secrets: &folder.path().join("outside"),
            passphrase: PASSPHRASE,
            site: "Fixture yard",
            installation: "T1",
            founder,
            pin: PIN,
            clock: Arc::<StoryClock>::clone(&clock),
            pin_cost: Cost::TRIVIAL,
            passphrase_cost: store::KdfCost::TRIVIAL,
        })
        .unwrap();
        Self { logbook, clock, folder }
    }

    pub(crate) fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    pub(crate) fn secrets(&self) -> PathBuf {
        self.folder.path().join("outside")
    }

    /// Sends a request as a front end does: as JSON.
    pub(crate) fn ask(&mut self, request: serde_json::Value) -> Result<Response, AppError> {
        let request: Request = serde_json::from_value(request).unwrap();
        self.logbook.handle(request)
    }

    pub(crate) fn refused(&mut self, request: serde_json::Value) -> AppError {
        let before = self.entries();
        let error = self.ask(request).unwrap_err();
        assert_eq!(self.entries(), before, "a refusal enters nothing");
        assert!(error.sentence.ends_with('.') && !error.next_step.is_empty(), "{error:?}");
        error
    }

    pub(crate) fn act_as_lead(&mut self) {
        self.ask(serde_json::json!({
            "do": "act_as", "person": "P-01", "role": "commissioning_lead", "pin": PIN
        }))
        .unwrap();
    }

    /// How many entries an archive of the logbook holds.
    pub(crate) fn entries(&self) -> u64 {
        let folder = TempDir::new().unwrap();
        self.logbook.export(&folder.path().join("archive.jsonl")).unwrap()
    }
}
