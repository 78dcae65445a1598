//! The logbook on the medium: an encrypted SQLite database that entries are appended to, the
//! documents folded from them, attachments, drafts, backup, check and export.
//!
//! **Never hands out a connection, never `UPDATE`s or `DELETE`s an entry, and knows neither the
//! clock nor what a payload means.**
//!
//! An entry counts as kept when [`Store::append`] has returned an [`Acknowledged`]: one
//! transaction holds entry, payload, attachments, documents and head, and `synchronous=FULL` has
//! flushed it. Everything beside the ledger's own tables is derived and can be rebuilt.

mod append;
mod attachment;
mod backup;
mod check;
mod config;
mod connect;
mod convert;
pub mod durable;
mod error;
mod export;
mod keys;
mod local;
mod mark;
mod migrate;
mod read;
mod shelf;
mod sql;
mod store;
#[cfg(test)]
mod tests;

pub use append::{Acknowledged, AppendStep};
pub use attachment::{Attachment, AttachmentReader};
pub use backup::Backed;
pub use check::{Depth, Finding, Level, check_folder};
pub use config::{DATABASE_FILE, OnProgress, Progress, StoreConfig};
pub use error::{Cause, ReadOnly, Result, Retry, StoreError};
pub use keys::{KEY_FILE, KdfCost};
pub use shelf::Documents;
pub use store::Store;
