//! The ledger: what everyone did, as entries that are signed, chained and never changed.
//!
//! **This crate may not know any payload beyond its own kinds, and never serialises again what it
//! verifies:** bytes are hashed and checked exactly as they were signed. It does no I/O and reads
//! no clock, randomness or environment; clocks decide nothing here.
//!
//! `docs/format.md` gives the bytes, and a recipe to verify them with standard tools alone.

pub mod archive;
mod bond;
pub mod canonical;
mod chain;
mod entry;
mod fork;
mod frontier;
mod header;
mod ids;
mod keys;
pub mod kinds;
mod seal;
mod trust;

pub use bond::{Bond, BondRecord};
pub use canonical::CanonicalError;
pub use chain::{ChainFault, ChainVerifier};
pub use entry::{Entry, EntryFault};
pub use fork::ForkProof;
pub use frontier::{Frontier, Head, HeadSeen};
pub use header::{
    AttachmentRef, Header, HeaderFault, MAX_ATTACHMENTS, MAX_HEADER, MAX_HEADS, MAX_PAYLOAD,
};
pub use ids::{ChainId, Digest, EntryId, Kind, NotAText, NotAnId, PersonId, SiteId, Subject};
pub use keys::{KeyFault, PublicKey, SigningKey};
pub use seal::{Draft, Place, SealError, seal};
pub use trust::{Standing, Trust, TrustFault};
