//! What many screens share: times, proofs, locks in short, the age of what is known.

use serde::Serialize;
use ts_rs::TS;

/// A claimed time, shown in the site's zone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Moment {
    /// RFC 3339 with offset.
    pub(crate) iso: String,
    /// "Fri 28 Aug".
    pub(crate) day: String,
    /// "06:21".
    pub(crate) clock: String,
}

/// How old the knowledge behind a screen is, and from whom nothing was heard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Knowledge {
    pub(crate) title: String,
    pub(crate) oldest: String,
    pub(crate) stale: bool,
}

/// Where a proof stands. Whatever is not `stands` or `not_required` counts as owed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ProofState {
    Stands,
    UnderReview,
    Voided,
    Lapsed,
    Undecided,
    Owed,
    OwedWaiting,
    NotRequired,
}

/// One required proof of a dish.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Proof {
    pub(crate) requirement: String,
    /// Its short name in the ring.
    pub(crate) title: String,
    pub(crate) state: ProofState,
    pub(crate) word: String,
    pub(crate) reason: String,
    /// The record that decides it.
    pub(crate) record: Option<String>,
    /// The adopted checklist that proves it; none when this site has adopted none.
    pub(crate) checklist: Option<String>,
    /// The criteria that this checklist is judged by; none without a checklist.
    pub(crate) criteria: Option<String>,
    /// What can be done now: "Start", "Go on", "Review".
    pub(crate) verb: Option<String>,
}

/// Locks of one dish, in short.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct LocksShort {
    pub(crate) known: u32,
    pub(crate) caption: String,
}

/// Something that a reader must know.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Flag {
    pub(crate) code: String,
    pub(crate) text: String,
}

/// Where a line of a list leads.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Target {
    pub(crate) screen: Screen,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub(crate) position: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub(crate) record: Option<String>,
}

/// The screens that a line can lead to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Screen {
    Dish,
    Record,
    Review,
    Signoff,
}

impl Target {
    /// Leads to a dish.
    pub(crate) fn dish(position: &str) -> Self {
        Self { screen: Screen::Dish, position: Some(position.to_owned()), record: None }
    }

    /// Leads to a record, or to its review.
    pub(crate) fn record(screen: Screen, position: &str, record: &str) -> Self {
        Self { screen, position: Some(position.to_owned()), record: Some(record.to_owned()) }
    }

    /// Leads to the sign-off of a dish.
    pub(crate) fn signoff(position: &str) -> Self {
        Self { screen: Screen::Signoff, position: Some(position.to_owned()), record: None }
    }
}
