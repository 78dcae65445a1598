//! The archive: every entry as one line of text, readable with standard tools for as long as
//! anyone keeps the file.

use std::io;
use std::path::Path;

use crate::config::{OnProgress, Progress};
use crate::durable;
use crate::error::{Result, StoreError};
use crate::store::Store;

impl Store {
    /// Writes every entry to `path` as JSON Lines, in order of arrival; returns how many.
    /// Attachments are not in it.
    ///
    /// # Errors
    /// [`StoreError::Taken`] when a file is there already, [`StoreError::Unwritable`],
    /// [`StoreError::OutOfSpace`]. The file appears whole or not at all.
    pub fn export(&self, path: &Path, progress: OnProgress<'_>) -> Result<u64> {
        if path.exists() {
            return Err(StoreError::Taken(path.to_owned()));
        }
        let of = self.count()?;
        let (mut done, mut fault) = (0, None);
        let written = durable::write_with(path, |out| {
            let each = self.for_each_entry(&mut |entry| {
                ledger::archive::write_line(out, entry)
                    .map_err(|cause| StoreError::writing(path, io::Error::other(cause)))?;
                done += 1;
                progress(Progress { doing: "Writing entries", done, of });
                Ok(())
            });
            each.map_err(|error| {
                fault = Some(error);
                io::Error::other("stopped")
            })
        });
        // An entry that can't be read is said as such, not as a file that can't be written.
        match fault {
            Some(error) => Err(error),
            None => written.map(|()| done),
        }
    }
}
