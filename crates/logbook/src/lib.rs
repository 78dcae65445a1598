//! The domain of the logbook: checklists, what happens at the dishes, what it proves, and who may
//! do what.
//!
//! **This crate may not drop an entry that it does not know, hold a limit, read a clock, randomness
//! or the environment, do I/O, or be async.** Limits stand in adopted criteria; documents go to a
//! [`Shelf`] that somebody else keeps.
//!
//! Entries go in through [`project`], one at a time, and come out as documents. [`rules::may`] is
//! asked before an entry is sealed; [`judge::judge`] says what the answers are worth.

pub mod document;
pub mod events;
pub mod files;
mod fold;
pub mod judge;
mod moment;
pub mod proof;
mod refusal;
pub mod rules;
mod shelf;
pub mod source;
mod surroundings;
pub mod tag;
pub mod typed;

pub use fold::{PROJECTION_VERSION, ProjectError, project};
pub use judge::{Judgement, LimitChecked, Verdict, judge};
pub use moment::{Moment, NotAMoment};
pub use proof::{Proof, ProofState};
pub use refusal::Refusal;
pub use shelf::{Key, MemoryShelf, Shelf, ShelfError, read};
pub use surroundings::Surroundings;
