//! The view model: everything that a handover report says, as finished text.
//!
//! The caller decides what is said. Nothing here is computed into a verdict: states, results,
//! limits and sentences arrive ready, and numbers that a figure needs arrive as decimal strings.
//! All fields are strings, integers, lists and unit enums, so that the same bytes come out of
//! [`Handover::to_json`] on every platform; those bytes travel inside the PDF as `report.json`.
//! A field that came later has a default and is left out while it is empty, so that reports made
//! before it can still be read.

mod attempts;
mod evidence;
mod figures;
mod proofs;
mod sheets;

pub use attempts::{
    Attempt, AttemptOutcome, CalibrationState, Correction, Instrument, LimitLine, Person, Reading,
    Taken,
};
pub use evidence::{ChainHead, Component, Evidence, Knowledge, NotHeardFrom};
pub use figures::{
    Bars, FacetMap, Figure, FigureBar, FigurePoint, FigureSeries, LineStyle, Lines, MapFacet,
    MapRack, MapState, Plane, Scaled, Sky, SkyMark, SkyPlace,
};
pub use proofs::{Face, FaceHold, FaceTick, HoldState, Proof, ProofState, TickClass};
pub use sheets::{DoubtLine, Sheet, SheetFinding, SheetInput, SheetMark, SheetTable, WorkingLine};

use serde::{Deserialize, Serialize};

/// The format number that this version writes and reads.
pub const FORMAT: u32 = 1;

/// A complete handover report, ready to be laid out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handover {
    /// Always [`FORMAT`].
    pub format: u32,
    /// What this document is, and when and by whom it was made.
    pub identity: Identity,
    /// The site line at the head of the first page.
    pub site: Site,
    /// The dish position that is handed over.
    pub dish: Dish,
    /// One line under the dish's name, such as "Leak proof stands; 12 of 13 owed".
    pub headline: String,
    /// Further name and value lines of the first page, in order.
    pub facts: Vec<Fact>,
    /// What the hand-over covers, one sentence or phrase each.
    pub scope: Vec<String>,
    /// The set of limits that the work was judged by.
    pub criteria: CriteriaRevision,
    /// What is being signed.
    pub verdict: Verdict,
    /// What is not plain: concessions, deviations, temporary repairs, open findings.
    pub exceptions: Vec<Exception>,
    /// One line for each required proof, in the order of the work.
    pub proofs: Vec<Proof>,
    /// What the dish face shows beside the proofs' states.
    pub face: Face,
    /// All attempts, failed and not judged included, in the order of the work.
    pub attempts: Vec<Attempt>,
    /// One calculation sheet for each judged or computed result.
    pub sheets: Vec<Sheet>,
    /// Corrections, late entries and entries transcribed from paper.
    pub corrections: Vec<Correction>,
    /// Instruments used, with their certificates.
    pub instruments: Vec<Instrument>,
    /// People, with the state of their qualification at the time of work.
    pub people: Vec<Person>,
    /// Cautions in the words that the site adopted; the fixed ones are always printed too.
    pub cautions: Vec<String>,
    /// How old the knowledge is, and who has not been heard from.
    pub knowledge: Knowledge,
    /// What this report does not cover.
    pub not_covered: Vec<String>,
    /// Program, checklist and calculation versions.
    pub components: Vec<Component>,
    /// The entries that stand behind the report.
    pub evidence: Evidence,
    /// Where signatures go, in the order in which they are made.
    pub signature_places: Vec<SignaturePlace>,
}

/// What the document is, and when and by whom it was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Identity {
    /// Opaque id of this report, printed and repeated in the metadata.
    pub report_id: String,
    /// What stands at the top right, such as "Handover report".
    pub kind: String,
    /// Language tag of the text, such as `en`.
    pub language: String,
    /// When it was issued: RFC 3339 with offset, for the file's own dates.
    pub issued_at: String,
    /// The same moment as printed, such as "Fri 28 Aug 2026, 07:40 (UTC−4)".
    pub issued: String,
    /// Who issued it, with the role.
    pub issued_by: String,
}

/// The site line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Name of the site.
    pub name: String,
    /// Where it lies, such as "23.10° S, 69.60° W, 1 350 m"; may be empty.
    pub place: String,
    /// The cluster the dish belongs to; may be empty.
    pub cluster: String,
    /// Fingerprint of the site's authority key (hex), which a reader compares out of band.
    pub authority: String,
}

/// The dish position that is handed over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Dish {
    /// Position code, such as "PC-04".
    pub position: String,
    /// Dish type, such as "LV-3"; may be empty.
    pub design: String,
    /// Serials fitted when the report was issued.
    pub serials: Vec<FittedSerial>,
}

/// A serial number in its slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FittedSerial {
    /// Slot, such as "Engine".
    pub slot: String,
    /// Serial number, such as "EN-0339".
    pub serial: String,
    /// Further text such as hours or the date of fitting; may be empty.
    pub note: String,
}

/// A name and a value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// Name of the fact.
    pub name: String,
    /// Its value as printed.
    pub value: String,
}

/// The set of limits that the work was judged by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CriteriaRevision {
    /// Name of the set, such as "LV-3 criteria".
    pub name: String,
    /// Revision, such as "7".
    pub revision: String,
    /// SHA-256 of its content (hex).
    pub digest: String,
    /// Where the limits come from.
    pub source: String,
}

/// How the hand-over ends, as decided by the people who sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VerdictKind {
    /// Everything required stands.
    Accepted,
    /// Accepted with named concessions.
    AcceptedWithConcessions,
    /// Released for limited use.
    Limited,
    /// Part of the work is accepted, the dish as a whole is not yet.
    Partial,
    /// Not accepted.
    NotAccepted,
}

/// What is being signed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Verdict {
    /// Its kind, which chooses the mark drawn beside it.
    pub kind: VerdictKind,
    /// The verdict in a few words, such as "Accepted with one concession".
    pub title: String,
    /// One or two sentences.
    pub sentence: String,
    /// Conditions, one each; may be empty.
    pub conditions: Vec<String>,
    /// What the signers had seen, such as "391 entries of 1 tablet to 28 Aug 07:31".
    pub seen: String,
}

/// A line of the exceptions list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    /// Short subject, such as "C-001" or "stow".
    pub subject: String,
    /// What is not plain.
    pub text: String,
    /// Owner, date or entry; may be empty.
    pub reference: String,
}

/// A place for one signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignaturePlace {
    /// Field name, `[a-z0-9_]+`, such as "crew", "supervisor", "owner".
    pub field: String,
    /// Role as printed, such as "Supervisor".
    pub role: String,
    /// What signing means, such as "Reviewed the record and accepts it".
    pub meaning: String,
    /// Who is expected to sign; may be empty.
    pub expected: String,
}

impl Handover {
    /// The exact bytes that are embedded as `report.json`: compact JSON in field order.
    ///
    /// # Errors
    /// Only when serialisation itself fails, which these types do not provoke.
    pub fn to_json(&self) -> Result<Vec<u8>, serde_json::Error> {
        serde_json::to_vec(self)
    }

    /// Reads a view model; unknown fields are refused.
    ///
    /// # Errors
    /// When the bytes are not JSON of this shape.
    pub fn from_json(bytes: &[u8]) -> Result<Self, serde_json::Error> {
        serde_json::from_slice(bytes)
    }
}
