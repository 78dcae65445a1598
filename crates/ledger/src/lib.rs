//! The ledger: what everyone did, as entries that are signed, chained and never changed.
//!
//! **This crate may not know any payload beyond its own kinds, and never serialises again what it
//! verifies:** bytes are hashed and checked exactly as they were signed. It does no I/O and reads
//! no clock, randomness or environment; clocks decide nothing here.
//!
//! `docs/format.md` gives the bytes, and a recipe to verify them with standard tools alone.
//!
//! Writing starts with [`seal()`]; reading with [`archive::read_lines`] and [`ChainVerifier`], which
//! notes every fault and goes on; [`Trust`] says which chains stand.
//!
//! ```
//! use ledger::{ChainId, ChainVerifier, Draft, Kind, PersonId, Place, SigningKey, SiteId, Subject};
//!
//! let key = SigningKey::from_bytes(&[7; 32])?; // from a source of randomness, outside examples
//! let place = Place {
//!     site: SiteId::of(b"the authority's public key"),
//!     chain: ChainId::of(&key.public().to_der()),
//!     number: 1,
//!     previous: None,
//!     heads: vec![],
//! };
//! let draft = Draft {
//!     claimed: "2026-08-24T07:00:00-04:00".to_owned(),
//!     person: PersonId::new("")?,
//!     kind: Kind::new("note_written")?,
//!     kind_version: 1,
//!     subject: Subject::new("01990000-0000-7000-8000-000000000001")?,
//!     payload: ledger::canonical::to_bytes("gauge exchanged")?,
//!     attachments: vec![],
//! };
//! let entry = ledger::seal(&place, draft, &key, None)?;
//!
//! let mut verifier = ChainVerifier::new();
//! let read = verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
//! assert_eq!(read.as_ref(), Some(&entry));
//! assert!(verifier.faults().is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

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
pub use fork::{ForkProof, NoFork};
pub use frontier::{Frontier, Head, HeadSeen};
pub use header::{
    AttachmentRef, Header, HeaderFault, MAX_ATTACHMENTS, MAX_HEADER, MAX_HEADS, MAX_PAYLOAD,
};
pub use ids::{ChainId, Digest, EntryId, Kind, NotAText, NotAnId, PersonId, SiteId, Subject};
pub use keys::{KeyFault, PublicKey, SigningKey};
pub use seal::{Draft, Place, SealError, seal};
pub use trust::{Standing, Trust, TrustFault};
