//! The head of every screen: which folder is open, who acts, what time it is here.

use serde::Serialize;
use ts_rs::TS;

use super::common::Moment;

/// The session of this front end.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Session {
    pub(crate) state: SessionState,
    /// Empty while the folder is closed.
    pub(crate) site: String,
    pub(crate) installation: String,
    pub(crate) folder: String,
    /// True for the played demonstration; every screen's head says so.
    pub(crate) demo: bool,
    pub(crate) acting: Option<Acting>,
    pub(crate) now: Moment,
    /// So many minutes without a touch release the person, never the form.
    pub(crate) idle_minutes: u32,
}

/// Whether the data folder is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub(crate) enum SessionState {
    Closed,
    Open,
}

/// The person who acts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Acting {
    pub(crate) person: String,
    pub(crate) name: String,
    pub(crate) role: String,
    pub(crate) role_title: String,
}
