//! Attachments: stored in chunks, hashed while they stream in and again while they stream out.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use ledger::Digest as ContentHash;
use rusqlite::{Connection, OptionalExtension as _, params};
use sha2::{Digest as _, Sha256};

use crate::error::{Result, StoreError};
use crate::sql;

/// The most that is held in memory of one attachment.
pub(crate) const CHUNK: usize = 256 * 1024;

/// Bytes to be stored with an entry, with the hash and length under which the entry names them.
#[derive(Clone, Debug)]
pub struct Attachment {
    digest: ContentHash,
    length: u64,
    source: Source,
}

#[derive(Clone, Debug)]
enum Source {
    Bytes(Vec<u8>),
    File(PathBuf),
}

impl Attachment {
    /// Bytes in memory.
    pub fn from_bytes(bytes: Vec<u8>) -> Self {
        let digest = ContentHash::from_bytes(Sha256::digest(&bytes).into());
        Self { digest, length: bytes.len() as u64, source: Source::Bytes(bytes) }
    }

    /// A file, read once now for its hash and once more when it is stored. One that changes in
    /// between is refused then.
    pub fn from_file(path: &Path) -> Result<Self> {
        let unreadable = |cause| StoreError::reading(path, cause);
        let mut file = File::open(path).map_err(unreadable)?;
        let (digest, length) =
            hash(&mut file, &mut |_, _| Ok(())).map_err(|fault| fault.at(path))?;
        let digest = ContentHash::from_bytes(digest);
        Ok(Self { digest, length, source: Source::File(path.to_owned()) })
    }

    /// SHA-256 of the bytes, as the entry's header names it.
    pub fn digest(&self) -> &ContentHash {
        &self.digest
    }

    /// Length in bytes, as the entry's header names it.
    pub fn length(&self) -> u64 {
        self.length
    }
}

enum Fault {
    Read(io::Error),
    Stored(StoreError),
}

impl Fault {
    fn at(self, path: &Path) -> StoreError {
        match self {
            Self::Read(cause) => StoreError::reading(path, cause),
            Self::Stored(error) => error,
        }
    }
}

/// Reads to the end in chunks; hands each on with its position.
fn hash(
    mut source: &mut dyn Read,
    each: &mut dyn FnMut(i64, &[u8]) -> Result<()>,
) -> Result<([u8; 32], u64), Fault> {
    let mut hash = Sha256::new();
    let (mut length, mut position) = (0, 0);
    loop {
        let mut chunk = Vec::with_capacity(CHUNK);
        (&mut source).take(CHUNK as u64).read_to_end(&mut chunk).map_err(Fault::Read)?;
        if chunk.is_empty() {
            return Ok((hash.finalize().into(), length));
        }
        hash.update(&chunk);
        length += chunk.len() as u64;
        each(position, &chunk).map_err(Fault::Stored)?;
        position += 1;
    }
}

/// Stores the bytes unless they are there already, and refuses those that aren't what is named.
pub(crate) fn store(
    database: &Path,
    connection: &Connection,
    attachment: &Attachment,
) -> Result<()> {
    let failed = |cause| StoreError::database(database, "Storing an attachment", cause);
    let named = attachment.digest.as_bytes().as_slice();
    if stored_length(connection, named).map_err(failed)?.is_some() {
        return Ok(());
    }
    let length = i64::try_from(attachment.length).map_err(|_| differs(attachment))?;
    connection
        .prepare_cached(sql::ATTACHMENT_INSERT)
        .and_then(|mut insert| insert.execute(params![named, length]))
        .map_err(failed)?;
    let mut each = |position: i64, chunk: &[u8]| {
        connection
            .prepare_cached(sql::CHUNK_INSERT)
            .and_then(|mut insert| insert.execute(params![named, position, chunk]))
            .map_err(failed)?;
        Ok(())
    };
    let (digest, read) = match &attachment.source {
        Source::Bytes(bytes) => hash(&mut bytes.as_slice(), &mut each).map_err(|f| f.at(database)),
        Source::File(path) => File::open(path)
            .map_err(Fault::Read)
            .and_then(|mut file| hash(&mut file, &mut each))
            .map_err(|fault| fault.at(path)),
    }?;
    if digest != *attachment.digest.as_bytes() || read != attachment.length {
        return Err(differs(attachment));
    }
    Ok(())
}

fn differs(attachment: &Attachment) -> StoreError {
    StoreError::Attachment {
        digest: attachment.digest.to_string(),
        reason: "the file has changed since it was attached".to_owned(),
    }
}

/// The length of a stored attachment; `None` when it isn't here.
pub(crate) fn stored_length(connection: &Connection, hash: &[u8]) -> rusqlite::Result<Option<i64>> {
    connection.prepare_cached(sql::HAS_ATTACHMENT)?.query_row([hash], |row| row.get(0)).optional()
}

/// Streams a stored attachment; the last read fails when the bytes aren't those named.
pub struct AttachmentReader<'a> {
    connection: &'a Connection,
    named: [u8; 32],
    hash: Sha256,
    position: i64,
    chunk: Vec<u8>,
    taken: usize,
    checked: bool,
}

impl<'a> AttachmentReader<'a> {
    pub(crate) fn new(connection: &'a Connection, named: [u8; 32]) -> Self {
        Self {
            connection,
            named,
            hash: Sha256::new(),
            position: 0,
            chunk: Vec::new(),
            taken: 0,
            checked: false,
        }
    }

    /// Loads the next chunk; at the end, compares the hash.
    fn advance(&mut self) -> io::Result<()> {
        let chunk: Option<Vec<u8>> = self
            .connection
            .prepare_cached(sql::CHUNK)
            .and_then(|mut query| {
                query.query_row(params![self.named, self.position], |row| row.get(0)).optional()
            })
            .map_err(io::Error::other)?;
        self.taken = 0;
        self.chunk = chunk.unwrap_or_default();
        if !self.chunk.is_empty() {
            self.hash.update(&self.chunk);
            self.position += 1;
            return Ok(());
        }
        self.checked = true;
        let found: [u8; 32] = self.hash.clone().finalize().into();
        if found == self.named {
            return Ok(());
        }
        Err(io::Error::new(
            io::ErrorKind::InvalidData,
            format!("attachment {} is not what was stored; run check", hex::encode(self.named)),
        ))
    }
}

impl Read for AttachmentReader<'_> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        if self.taken == self.chunk.len() && !self.checked {
            self.advance()?;
        }
        let rest = self.chunk.get(self.taken..).unwrap_or_default();
        let count = rest.len().min(out.len());
        if let (Some(to), Some(from)) = (out.get_mut(..count), rest.get(..count)) {
            to.copy_from_slice(from);
        }
        self.taken += count;
        Ok(count)
    }
}
