//! The use cases: one typed API for every front end. The app owns the clock, the keys, the
//! transactions and the error codes.
//!
//! **It may not leak a driver's type, nor raise an error without a code, a sentence and a next
//! step.** Verdicts come from `logbook` and `acceptance`; bytes go to `store`; paper to `report`.

mod acts;
pub mod backup;
pub mod calc;
mod certificate;
pub mod clock;
pub mod demo;
pub mod door;
pub mod error;
mod files;
mod handover;
pub mod inspect;
mod logbook;
mod people;
pub mod progress;
pub mod request;
mod translate;
mod vault;
mod view;
mod words;
mod write;

pub use acceptance::Sheet;
pub use handover::Written;
pub use logbook::{Founding, Logbook};
pub use vault::Cost;
