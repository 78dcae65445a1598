//! Where a logbook lies and what opens it.

use std::path::{Path, PathBuf};

use zeroize::Zeroizing;

use crate::keys::KdfCost;

/// The database in the data folder.
pub const DATABASE_FILE: &str = "logbook.db";

/// What is needed to found or open a logbook.
#[derive(Clone)]
pub struct StoreConfig {
    /// The data folder: `logbook.db` and `keys.json`.
    pub dir: PathBuf,
    /// The folder outside it that holds this installation's secrets.
    pub outside_secret_dir: PathBuf,
    /// The passphrase; wiped when dropped.
    pub passphrase: Zeroizing<String>,
    /// The work that a guess at the passphrase costs; used when keys are made.
    pub kdf: KdfCost,
}

impl StoreConfig {
    /// The folder `dir`, its secret in `outside_secret_dir`, with the standard cost.
    pub fn new(
        dir: impl Into<PathBuf>,
        outside_secret_dir: impl Into<PathBuf>,
        passphrase: impl Into<String>,
    ) -> Self {
        Self {
            dir: dir.into(),
            outside_secret_dir: outside_secret_dir.into(),
            passphrase: Zeroizing::new(passphrase.into()),
            kdf: KdfCost::STANDARD,
        }
    }

    /// The same with another cost.
    #[must_use]
    pub fn with_cost(mut self, kdf: KdfCost) -> Self {
        self.kdf = kdf;
        self
    }

    pub(crate) fn database(&self) -> PathBuf {
        database_in(&self.dir)
    }
}

impl std::fmt::Debug for StoreConfig {
    /// Without the passphrase.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("StoreConfig")
            .field("dir", &self.dir)
            .field("outside_secret_dir", &self.outside_secret_dir)
            .field("kdf", &self.kdf)
            .finish_non_exhaustive()
    }
}

pub(crate) fn database_in(dir: &Path) -> PathBuf {
    dir.join(DATABASE_FILE)
}

/// How far long work has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being done, for a person to read.
    pub doing: &'static str,
    /// How much is done, in entries or pages.
    pub done: u64,
    /// How much there is.
    pub of: u64,
}

/// Is told how far long work has come.
pub type OnProgress<'a> = &'a mut dyn FnMut(Progress);
