//! Copying a data folder so that it opens again when the machine is lost.

use std::path::{Path, PathBuf};

use serde::Serialize;
use store::{Store, StoreConfig};

use crate::error::Result;
use crate::logbook::default_secrets;
use crate::progress::{Progress, Sink};

/// A copy that was made and verified.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BackedUp {
    /// The folder of the copy.
    pub folder: PathBuf,
    /// How many entries it holds.
    pub entries: u64,
    /// Number and id of the last entry of each chain.
    pub heads: Vec<String>,
}

/// Copies the logbook in `data` into `target` and reads the copy back before saying so. It opens
/// with the same passphrase, on any machine, for reading; it does not go on with the chain.
///
/// # Errors
/// A folder that doesn't open, a target that holds a logbook already or can't be written.
pub fn back_up(
    data: &Path,
    secrets: Option<&Path>,
    passphrase: &str,
    target: &Path,
    progress: &mut Sink<'_>,
) -> Result<BackedUp> {
    let secrets = match secrets {
        Some(folder) => folder.to_owned(),
        None => default_secrets()?,
    };
    let store = Store::open_read_only(&StoreConfig::new(data, &secrets, passphrase))?;
    let backed = store.backup(target, &mut |at: store::Progress| {
        progress(Progress::counted(at.doing, at.done, at.of));
    })?;
    let heads = backed.heads.iter().map(|head| format!("{} {}", head.number, head.id)).collect();
    Ok(BackedUp { folder: backed.folder, entries: backed.entries, heads })
}
