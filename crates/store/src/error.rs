//! What can go wrong in the store: one variant for each thing a person can act on.
//!
//! Each has a stable [`StoreError::code`], a sentence (its `Display`), a
//! [`StoreError::next_step`] and says whether trying again can help.

use std::error::Error;
use std::io;
use std::path::{Path, PathBuf};

/// The cause beneath an error, its type hidden so that no driver type leaks.
pub type Cause = Box<dyn Error + Send + Sync>;

/// The result of every operation on the store.
pub type Result<T, E = StoreError> = std::result::Result<T, E>;

/// Whether the same call can succeed later with nothing else changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Retry {
    /// Something passing was in the way: another process, a chain that has moved on.
    Helps,
    /// Somebody has to do something first.
    NoUse,
}

/// Why a store that opened may not be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadOnly {
    /// The folder is a copy: the secret that belongs to it is not on this machine.
    Copy,
    /// The folder is older than what this installation has already written: it was restored.
    Restored {
        /// The last number that this installation is known to have written.
        known: u64,
        /// The last number that the folder holds.
        found: u64,
    },
    /// A newer build changed the tables; this build may read them, and no more.
    NewerBuild {
        /// The lowest build that may write.
        lowest_writer: u32,
    },
    /// The caller asked for reading alone.
    Asked,
}

impl std::fmt::Display for ReadOnly {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Copy => write!(f, "it is a copy of another installation's folder"),
            Self::Restored { known, found } => write!(
                f,
                "it ends at entry {found}, and this installation has already written {known}: \
                 it was restored from an older copy"
            ),
            Self::NewerBuild { lowest_writer } => write!(
                f,
                "a newer build of the program (tables of generation {lowest_writer}) has written it"
            ),
            Self::Asked => write!(f, "it was opened for reading"),
        }
    }
}

/// What went wrong, and with what.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The folder holds no logbook.
    #[error("There is no logbook in {}.", .0.display())]
    NotFound(PathBuf),
    /// A logbook can't be made where one is already.
    #[error("{} already holds a logbook.", .0.display())]
    AlreadyThere(PathBuf),
    /// The passphrase doesn't open the wrapped key.
    #[error("The passphrase does not open the logbook in {}.", .0.display())]
    WrongPassphrase(PathBuf),
    /// An empty passphrase protects nothing.
    #[error("The passphrase is empty.")]
    EmptyPassphrase,
    /// The secret kept outside the folder is missing, or another one.
    #[error(
        "{} is a copy of another installation's folder: the secret that belongs to it ({}) {}.",
        folder.display(), secret.display(), if *found { "does not fit" } else { "is not on this machine" }
    )]
    Copy {
        /// The data folder.
        folder: PathBuf,
        /// Where its secret should be.
        secret: PathBuf,
        /// Whether a file stood there that does not fit.
        found: bool,
    },
    /// `keys.json` is missing, unreadable as text, or not of a form that this build knows.
    #[error("The key file {} is damaged: {reason}.", path.display())]
    Keys {
        /// The key file.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The database is truncated, overwritten or otherwise not what was written.
    #[error("The database {} is damaged: {reason}.", path.display())]
    Damaged {
        /// The database file.
        path: PathBuf,
        /// What was seen.
        reason: String,
    },
    /// A newer build wrote tables that this one can't even read.
    #[error(
        "The logbook in {} was written by a newer build of the program (it asks for tables of \
         generation {lowest_reader}, this build knows {ours}).", folder.display()
    )]
    TooNew {
        /// The data folder.
        folder: PathBuf,
        /// The lowest generation that may read.
        lowest_reader: u32,
        /// The generation of this build.
        ours: u32,
    },
    /// The store is open, and may not be written.
    #[error("The logbook in {} can be read but not written: {why}.", folder.display())]
    ReadOnly {
        /// The data folder.
        folder: PathBuf,
        /// Why.
        why: ReadOnly,
    },
    /// A connection did not keep a setting that durability or append-only depends on.
    #[error("The {kind} connection reports {pragma} = {found}, it must be {wanted}.")]
    Pragma {
        /// The kind of connection.
        kind: &'static str,
        /// The setting.
        pragma: &'static str,
        /// What it must be.
        wanted: String,
        /// What was read back.
        found: String,
    },
    /// The entry doesn't follow the head of the chain, e.g. because another process appended.
    #[error(
        "Entry {offered} does not follow the head of its chain: number {wanted} after {previous} \
         is next."
    )]
    NotNext {
        /// The number of the refused entry.
        offered: u64,
        /// The number that is next.
        wanted: u64,
        /// The id of the head, "nothing" for an empty chain.
        previous: String,
    },
    /// Another entry already has this place in the chain.
    #[error("Place {number} of the chain is taken by entry {stored}; {offered} would fork it.")]
    Fork {
        /// The place.
        number: u64,
        /// The entry that stands there.
        stored: String,
        /// The refused entry.
        offered: String,
    },
    /// The entry belongs to another site or another installation's chain.
    #[error("The entry belongs to {what} {offered}; this logbook writes {ours}.")]
    Foreign {
        /// "site" or "chain".
        what: &'static str,
        /// What the entry names.
        offered: String,
        /// What this store writes.
        ours: String,
    },
    /// The entry lacks its payload, so it can't be appended.
    #[error("Entry {0} has no payload.")]
    NoPayload(String),
    /// Stored entry bytes don't make an entry any more.
    #[error("The stored bytes of entry {id} are not an entry: {reason}.")]
    EntryBytes {
        /// The id under which they are stored.
        id: String,
        /// What is wrong.
        reason: String,
    },
    /// An attachment isn't the one that the entry names, or is missing.
    #[error("Attachment {digest}: {reason}.")]
    Attachment {
        /// The hash that the entry names.
        digest: String,
        /// What is wrong.
        reason: String,
    },
    /// The fold refused the entry.
    #[error("Entry {id} could not be folded into the documents: {cause}.")]
    Project {
        /// The entry.
        id: String,
        /// What the fold said.
        cause: Cause,
    },
    /// The medium is full.
    #[error("There is no space left for {}.", .0.display())]
    OutOfSpace(PathBuf),
    /// A file or folder can't be written.
    #[error("{} can't be written: {cause}.", path.display())]
    Unwritable {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// A file or folder can't be read.
    #[error("{} can't be read: {cause}.", path.display())]
    Unreadable {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        cause: io::Error,
    },
    /// The place for a backup or export already holds one.
    #[error("{} is there already; it was left as it is.", .0.display())]
    Taken(PathBuf),
    /// The copy does not hold what the original held.
    #[error("The copy {} does not match the logbook: {reason}.", path.display())]
    CopyDiffers {
        /// The copy, under its temporary name.
        path: PathBuf,
        /// What differs.
        reason: String,
    },
    /// Another process is writing and did not finish in time.
    #[error("Another program is writing to the logbook in {}.", .0.display())]
    Busy(PathBuf),
    /// The system gave no random bytes, or stretching a passphrase failed.
    #[error("{doing} did not work: {cause}.")]
    Crypto {
        /// What was tried.
        doing: &'static str,
        /// What was said.
        cause: String,
    },
    /// Anything else the database said.
    #[error("{doing} did not work: {cause}.")]
    Database {
        /// What was tried.
        doing: String,
        /// What the database said.
        cause: Cause,
    },
}

impl StoreError {
    /// Stable identifier, e.g. `wrong_passphrase`; front ends match on this, never on text.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotFound(_) => "not_found",
            Self::AlreadyThere(_) => "already_there",
            Self::WrongPassphrase(_) => "wrong_passphrase",
            Self::EmptyPassphrase => "empty_passphrase",
            Self::Copy { .. } => "copy",
            Self::Keys { .. } => "keys_damaged",
            Self::Damaged { .. } => "damaged",
            Self::TooNew { .. } => "too_new",
            Self::ReadOnly { .. } => "read_only",
            Self::Pragma { .. } => "setting_refused",
            Self::NotNext { .. } => "not_next",
            Self::Fork { .. } => "fork",
            Self::Foreign { .. } => "foreign",
            Self::NoPayload(_) => "no_payload",
            Self::EntryBytes { .. } => "entry_bytes",
            Self::Attachment { .. } => "attachment",
            Self::Project { .. } => "fold",
            Self::OutOfSpace(_) => "out_of_space",
            Self::Unwritable { .. } => "unwritable",
            Self::Unreadable { .. } => "unreadable",
            Self::Taken(_) => "taken",
            Self::CopyDiffers { .. } => "copy_differs",
            Self::Busy(_) => "busy",
            Self::Crypto { .. } => "crypto",
            Self::Database { .. } => "database",
        }
    }

    /// One sentence that says what to do now.
    pub fn next_step(&self) -> &'static str {
        match self {
            Self::NotFound(_) => {
                "Name the folder that holds logbook.db and keys.json, or found a new logbook."
            }
            Self::AlreadyThere(_) => "Open it instead, or name an empty folder.",
            Self::WrongPassphrase(_) => {
                "Type it once more, with an eye on the keyboard layout; nothing was changed."
            }
            Self::EmptyPassphrase => "Choose a passphrase of several words.",
            Self::Copy { .. } => {
                "Read it as a copy, or let this installation go on with a chain of its own; never \
                 carry the secret of another machine over."
            }
            Self::Keys { .. } => {
                "Put keys.json back from the latest backup of this logbook: any backup since it \
                 was founded opens it, with the passphrase of that day."
            }
            Self::Damaged { .. } => {
                "Leave the folder as it is, copy it aside, and open the latest backup; then run \
                 check on both to see what only the damaged one holds."
            }
            Self::TooNew { .. } => "Install the build that wrote it, or a later one.",
            Self::ReadOnly { why, .. } => match why {
                ReadOnly::Copy | ReadOnly::Restored { .. } => {
                    "Reading is safe; to write, let this installation start a chain of its own."
                }
                ReadOnly::NewerBuild { .. } => "Install the newer build on this machine too.",
                ReadOnly::Asked => "Open it for writing.",
            },
            Self::Pragma { .. } => {
                "Nothing was entered. Report the line above: this build and its database library \
                 don't fit together."
            }
            Self::NotNext { .. } | Self::Fork { .. } => {
                "Nothing was changed. Read the head again, seal the entry anew and append that."
            }
            Self::Foreign { .. } => "Open the logbook of that site, or exchange with it.",
            Self::NoPayload(_) => "Append the entry with its payload.",
            Self::EntryBytes { .. } => {
                "Run check, and restore the entry from a backup or from a tablet that holds it."
            }
            Self::Attachment { .. } => "Attach the original file again.",
            Self::Project { .. } => "Nothing was entered. Run check and keep its output.",
            Self::OutOfSpace(_) => {
                "Free some space on that medium and try again; nothing that was entered is lost."
            }
            Self::Unwritable { .. } => {
                "Choose a folder that this user may write, or change its permissions."
            }
            Self::Unreadable { .. } => "See that the medium is in place and readable by this user.",
            Self::Taken(_) => "Name another folder or file.",
            Self::CopyDiffers { .. } => {
                "The copy was removed. Try another medium, and run check on the logbook."
            }
            Self::Busy(_) => "Wait until it has finished, then try again.",
            Self::Crypto { .. } | Self::Database { .. } => {
                "Nothing was entered. Try once more; if it stays so, run check and keep its output."
            }
        }
    }

    /// Whether the same call can succeed later with nothing else changed.
    pub fn retry(&self) -> Retry {
        match self {
            Self::NotNext { .. } | Self::Fork { .. } | Self::Busy(_) => Retry::Helps,
            _ => Retry::NoUse,
        }
    }

    /// Turns what the system said about writing `path` into a sentence.
    pub(crate) fn writing(path: &Path, cause: io::Error) -> Self {
        if cause.kind() == io::ErrorKind::StorageFull {
            return Self::OutOfSpace(path.to_owned());
        }
        Self::Unwritable { path: path.to_owned(), cause }
    }

    /// Turns what the system said about reading `path` into a sentence.
    pub(crate) fn reading(path: &Path, cause: io::Error) -> Self {
        Self::Unreadable { path: path.to_owned(), cause }
    }

    /// Turns what the database in `path` said into a sentence.
    pub(crate) fn database(path: &Path, doing: &str, cause: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as C;
        match cause.sqlite_error_code() {
            Some(C::NotADatabase | C::DatabaseCorrupt) => {
                Self::Damaged { path: path.to_owned(), reason: format!("{doing}: {cause}") }
            }
            Some(C::DiskFull) => Self::OutOfSpace(path.to_owned()),
            Some(C::DatabaseBusy | C::DatabaseLocked) => {
                Self::Busy(path.parent().unwrap_or(path).to_owned())
            }
            Some(C::ReadOnly | C::CannotOpen | C::PermissionDenied) => Self::Unwritable {
                path: path.to_owned(),
                cause: io::Error::new(io::ErrorKind::PermissionDenied, cause.to_string()),
            },
            _ => Self::Database { doing: doing.to_owned(), cause: Box::new(cause) },
        }
    }
}
