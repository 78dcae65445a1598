//! Measured tables and time series of a step, each as it was given at one time.

use std::collections::BTreeMap;

use ledger::{Digest, EntryId};
use serde::{Deserialize, Serialize};

use super::{Flag, InstrumentUse, Stamp};
use crate::Moment;
use crate::events::{
    Insistence, Origin, OtherRows, Role, SeriesChannel, SeriesFile, SurveyColumn, SurveyRow,
    SurveySource,
};

/// A table as it was given at one time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SurveyGiven {
    /// The entry, who entered it and when.
    pub stamp: Stamp,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// Direct, or transcribed from which form.
    pub origin: Origin,
    /// The performer's own confirmation of a transcription.
    pub confirmed: Option<Stamp>,
    /// The instrument as it was at the time of work.
    pub instrument: Option<InstrumentUse>,
    /// Typed, or read from which file.
    pub source: SurveySource,
    /// The columns.
    pub columns: Vec<SurveyColumn>,
    /// What holds for rows that are not named.
    pub others: OtherRows,
    /// The rows as entered.
    pub rows: Vec<SurveyRow>,
    /// The entry that this one replaces.
    pub replaces: Option<EntryId>,
    /// Why it was taken again.
    pub reason: Option<String>,
    /// Questions that were overruled, with the reason.
    pub insisted: Vec<Insistence>,
    /// Files attached to the entry.
    pub attachments: Vec<Digest>,
    /// What a reader must know.
    pub flags: Vec<Flag>,
}

impl SurveyGiven {
    /// A row by its name.
    pub fn row(&self, name: &str) -> Option<&SurveyRow> {
        self.rows.iter().find(|row| row.row == name)
    }

    /// Who did the work: the person of the entry, or the performer named on the paper.
    pub fn performer(&self) -> (&str, Option<Role>) {
        self.origin.performer(&self.stamp)
    }

    /// True for a transcription that its performer has not confirmed.
    pub fn awaits_confirmation(&self) -> bool {
        matches!(self.origin, Origin::Transcribed { .. }) && self.confirmed.is_none()
    }
}

/// Every table given for one step of one attempt. Nothing is ever taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SurveyDoc {
    /// The step's id.
    pub step: String,
    /// The first one first.
    pub given: Vec<SurveyGiven>,
}

impl SurveyDoc {
    /// The table that counts: the last one.
    pub fn current(&self) -> Option<&SurveyGiven> {
        self.given.last()
    }
}

/// Time series as they were imported at one time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeriesGiven {
    /// The entry, who entered it and when.
    pub stamp: Stamp,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// The files.
    pub files: Vec<SeriesFile>,
    /// The channels.
    pub channels: Vec<SeriesChannel>,
    /// The instrument of each channel as it was at the time of work, by channel id.
    pub instruments: BTreeMap<String, InstrumentUse>,
    /// The entry that this one replaces.
    pub replaces: Option<EntryId>,
    /// Why it was imported again.
    pub reason: Option<String>,
    /// Questions that were overruled, with the reason.
    pub insisted: Vec<Insistence>,
    /// Files attached to the entry.
    pub attachments: Vec<Digest>,
    /// What a reader must know.
    pub flags: Vec<Flag>,
}

impl SeriesGiven {
    /// A channel by its id.
    pub fn channel(&self, id: &str) -> Option<&SeriesChannel> {
        self.channels.iter().find(|channel| channel.id == id)
    }

    /// The file that a channel was read from.
    pub fn file_of(&self, channel: &SeriesChannel) -> Option<&SeriesFile> {
        self.files.get(usize::try_from(channel.file).ok()?)
    }
}

/// Every import for one step of one attempt. Nothing is ever taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeriesDoc {
    /// The step's id.
    pub step: String,
    /// The first one first.
    pub given: Vec<SeriesGiven>,
}

impl SeriesDoc {
    /// The import that counts: the last one.
    pub fn current(&self) -> Option<&SeriesGiven> {
        self.given.last()
    }
}
