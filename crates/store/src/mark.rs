//! The high-water mark: how far this installation has written, kept outside the data folder.
//!
//! A folder that ends before its mark was put back from an older copy; going on with its chain
//! would fork it. The mark is written after each append and not flushed: after a power cut it may
//! be behind the database, which is harmless, and it can never be ahead of it.

use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The own chain, and the last entry written to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Written {
    pub(crate) chain: [u8; 32],
    pub(crate) number: u64,
    pub(crate) id: [u8; 32],
}

pub(crate) struct Mark {
    path: PathBuf,
    file: Option<File>,
}

impl Mark {
    pub(crate) fn new(outside: &Path, folder: &str) -> Self {
        Self { path: outside.join(format!("{folder}.mark")), file: None }
    }

    /// What is known to have been written; `None` when there is no mark or a torn one.
    pub(crate) fn read(&self) -> Option<Written> {
        let text = std::fs::read_to_string(&self.path).ok()?;
        let mut parts = text.split_ascii_whitespace();
        let (chain, number, id) = (parts.next()?, parts.next()?, parts.next()?);
        let mut written = Written { chain: [0; 32], number: number.parse().ok()?, id: [0; 32] };
        hex::decode_to_slice(chain, &mut written.chain).ok()?;
        hex::decode_to_slice(id, &mut written.id).ok()?;
        Some(written)
    }

    /// Moves the mark. A failure is not the append's failure: the entry is durable, and `check`
    /// notes a mark that stays behind.
    pub(crate) fn write(&mut self, written: &Written) {
        let line = format!(
            "{} {:020} {}\n",
            hex::encode(written.chain),
            written.number,
            hex::encode(written.id)
        );
        if self.file.is_none() {
            self.file =
                OpenOptions::new().write(true).create(true).truncate(false).open(&self.path).ok();
        }
        let wrote = self.file.as_mut().map(|file| {
            // All lines have one length, so the new one covers the old.
            file.seek(SeekFrom::Start(0)).and_then(|_| file.write_all(line.as_bytes()))
        });
        if !matches!(wrote, Some(Ok(()))) {
            self.file = None;
        }
    }
}
