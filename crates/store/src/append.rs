//! Appending: one transaction for entry, payload, attachments, documents and heads; acknowledged
//! once the medium has it.

use std::collections::BTreeSet;
use std::path::Path;

use ledger::{Digest, Entry, EntryId};
use rusqlite::{Connection, OptionalExtension as _, TransactionBehavior, params};

use crate::attachment::{self, Attachment};
use crate::error::{Result, StoreError};
use crate::mark::Written;
use crate::store::{OWN_CHAIN, OWN_SITE, Store, own};
use crate::{convert, shelf, sql};

/// Proof that an entry is on the medium: only the store makes one, after the commit was flushed.
#[derive(Clone, Debug, PartialEq, Eq)]
#[must_use = "an entry counts as kept only when it was acknowledged"]
pub struct Acknowledged {
    id: EntryId,
    number: u64,
    new: bool,
}

impl Acknowledged {
    /// The entry.
    pub fn id(&self) -> &EntryId {
        &self.id
    }

    /// Its place in the chain.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// Whether this call stored it; `false` when it was there already with the same bytes.
    pub fn is_new(&self) -> bool {
        self.new
    }
}

/// The steps of an append, in order, for proofs of durability.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AppendStep {
    /// The transaction is taken, the head read.
    Begun,
    /// The entry's row is in.
    Entry,
    /// The payload is in.
    Payload,
    /// The attachments are in.
    Attachments,
    /// The documents follow.
    Documents,
    /// The head has moved.
    Head,
    /// The commit has been flushed; nothing has been said to the caller yet.
    Committed,
    /// The high-water mark outside has moved.
    Marked,
}

impl AppendStep {
    /// Every step, in order.
    pub const ALL: [Self; 8] = [
        Self::Begun,
        Self::Entry,
        Self::Payload,
        Self::Attachments,
        Self::Documents,
        Self::Head,
        Self::Committed,
        Self::Marked,
    ];
}

impl Store {
    /// Appends an entry of this installation's chain with its attachments, and returns once it is
    /// on the medium. The same entry again is acknowledged again.
    ///
    /// The first entry ever appended says which site and chain this store writes.
    ///
    /// # Errors
    /// [`StoreError::NotNext`] and [`StoreError::Fork`] when the chain has moved on: read the head
    /// and seal anew. [`StoreError::Foreign`], [`StoreError::NoPayload`],
    /// [`StoreError::Attachment`], [`StoreError::ReadOnly`], [`StoreError::OutOfSpace`],
    /// [`StoreError::Busy`]. After any error nothing of the entry is stored.
    pub fn append(&mut self, entry: &Entry, attachments: &[Attachment]) -> Result<Acknowledged> {
        let done = self.watched(|store, step| store.append_batch(&[(entry, attachments)], step))?;
        done.into_iter().next().ok_or_else(|| StoreError::NoPayload(entry.id().to_string()))
    }

    /// Appends entries without attachments in one transaction, in order: all of them, or none.
    ///
    /// # Errors
    /// As [`Store::append`].
    pub fn append_all(&mut self, entries: &[Entry]) -> Result<Vec<Acknowledged>> {
        let batch: Vec<_> = entries.iter().map(|entry| (entry, &[][..])).collect();
        self.watched(|store, step| store.append_batch(&batch, step))
    }

    /// Lets `watcher` see each step of each append; a test may end the process there.
    #[doc(hidden)]
    pub fn watch_appends(&mut self, watcher: Box<dyn FnMut(AppendStep) + Send>) {
        self.watcher = Some(watcher);
    }

    fn watched<T>(&mut self, work: impl FnOnce(&mut Self, &mut dyn FnMut(AppendStep)) -> T) -> T {
        let mut watcher = self.watcher.take();
        let done = work(self, &mut |at| {
            if let Some(watch) = watcher.as_mut() {
                watch(at);
            }
        });
        self.watcher = watcher;
        done
    }

    fn append_batch(
        &mut self,
        batch: &[(&Entry, &[Attachment])],
        step: &mut dyn FnMut(AppendStep),
    ) -> Result<Vec<Acknowledged>> {
        let path = self.path.clone();
        let failed = |cause| StoreError::database(&path, "Appending the entry", cause);
        let transaction = self
            .writer()?
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(failed)?;
        let mut done = Vec::with_capacity(batch.len());
        let mut written = None;
        for (entry, attachments) in batch {
            let new = !is_stored(&path, &transaction, entry)?;
            if new {
                place(&path, &transaction, entry)?;
                step(AppendStep::Begun);
                insert(&path, &transaction, entry, attachments, step)?;
                written = Some(written_by(entry));
            }
            done.push(Acknowledged { id: *entry.id(), number: entry.header().number(), new });
        }
        match written {
            Some(written) => {
                transaction.commit().map_err(failed)?;
                step(AppendStep::Committed);
                self.mark.write(&written);
                step(AppendStep::Marked);
            }
            None => drop(transaction),
        }
        Ok(done)
    }
}

fn written_by(entry: &Entry) -> Written {
    let header = entry.header();
    Written {
        chain: *header.chain().as_bytes(),
        number: header.number(),
        id: *entry.id().as_bytes(),
    }
}

/// Whether the very same entry is there. Its header is, when the id is: the payload is compared
/// too, because a stored one may have been altered.
fn is_stored(path: &Path, connection: &Connection, entry: &Entry) -> Result<bool> {
    let failed = |cause| StoreError::database(path, "Looking for the entry", cause);
    let Some(row) = convert::row_by_id(connection, entry.id()).map_err(failed)? else {
        return Ok(false);
    };
    let same = row.header == entry.header_bytes()
        && row.payload.as_deref().is_none_or(|stored| Some(stored) == entry.payload());
    if same {
        return Ok(true);
    }
    Err(StoreError::EntryBytes {
        id: entry.id().to_string(),
        reason: "they differ from the entry of that id".to_owned(),
    })
}

/// Refuses an entry that isn't the next of this installation's chain.
fn place(path: &Path, connection: &Connection, entry: &Entry) -> Result<()> {
    let failed = |cause| StoreError::database(path, "Reading the head", cause);
    let header = entry.header();
    own_or_first(path, connection, OWN_SITE, header.site().as_bytes(), header.number())?;
    own_or_first(path, connection, OWN_CHAIN, header.chain().as_bytes(), header.number())?;
    let head: Option<(i64, Vec<u8>)> = connection
        .prepare_cached(sql::HEADS_OF)
        .and_then(|mut query| {
            query
                .query_row([header.chain().as_bytes()], |row| Ok((row.get(0)?, row.get(1)?)))
                .optional()
        })
        .map_err(failed)?;
    let wanted = head.as_ref().map_or(1, |(number, _)| number.unsigned_abs() + 1);
    let previous = head.map(|(_, id)| id);
    if header.number() == wanted && convert::previous(header) == previous.as_deref() {
        return Ok(());
    }
    let number = i64::try_from(header.number()).unwrap_or(i64::MAX);
    let stored: Option<Vec<u8>> = connection
        .prepare_cached(sql::OWN_PLACE)
        .and_then(|mut query| {
            query.query_row(params![header.chain().as_bytes(), number], |row| row.get(0)).optional()
        })
        .map_err(failed)?;
    Err(match stored {
        Some(stored) => StoreError::Fork {
            number: header.number(),
            stored: hex::encode(stored),
            offered: entry.id().to_string(),
        },
        None => StoreError::NotNext {
            offered: header.number(),
            wanted,
            previous: previous.map_or_else(|| "nothing".to_owned(), hex::encode),
        },
    })
}

/// The entry must name the site or chain that this store writes; number 1 says what that is.
fn own_or_first(
    path: &Path,
    connection: &Connection,
    what: &'static str,
    offered: &[u8; 32],
    number: u64,
) -> Result<()> {
    let failed = |cause| StoreError::database(path, "Reading what this store writes", cause);
    match own(connection, what).map_err(failed)? {
        Some(ours) if ours.as_slice() == offered => Ok(()),
        Some(ours) => Err(StoreError::Foreign {
            what,
            offered: hex::encode(offered),
            ours: hex::encode(ours),
        }),
        // After a copied folder was adopted, its old chain must not be gone on with.
        None if number > 1 => Err(StoreError::Foreign {
            what,
            offered: hex::encode(offered),
            ours: "a chain of its own, which begins at number 1".to_owned(),
        }),
        None => {
            connection.execute(sql::OWN_SET, params![what, offered]).map(|_| ()).map_err(failed)
        }
    }
}

fn insert(
    path: &Path,
    connection: &Connection,
    entry: &Entry,
    attachments: &[Attachment],
    step: &mut dyn FnMut(AppendStep),
) -> Result<()> {
    let failed = |cause| StoreError::database(path, "Appending the entry", cause);
    let payload = entry.payload().ok_or_else(|| StoreError::NoPayload(entry.id().to_string()))?;
    // Earlier entries may wait to be folded, when another build wrote last.
    if !shelf::is_current(connection).map_err(failed)? {
        shelf::follow(path, connection, &mut |_| {})?;
    }
    let arrival = insert_entry(connection, entry).map_err(failed)?;
    step(AppendStep::Entry);
    connection
        .prepare_cached(sql::PAYLOAD_INSERT)
        .and_then(|mut insert| insert.execute(params![arrival, payload]))
        .map_err(failed)?;
    step(AppendStep::Payload);
    insert_attachments(path, connection, arrival, entry, attachments)?;
    step(AppendStep::Attachments);
    shelf::fold_one(path, connection, arrival, entry)?;
    step(AppendStep::Documents);
    move_head(connection, entry).map_err(failed)?;
    step(AppendStep::Head);
    Ok(())
}

fn insert_entry(connection: &Connection, entry: &Entry) -> rusqlite::Result<i64> {
    let header = entry.header();
    connection.prepare_cached(sql::ENTRY_INSERT)?.execute(params![
        entry.id().as_bytes(),
        header.chain().as_bytes(),
        i64::try_from(header.number()).unwrap_or(i64::MAX),
        1,
        header.kind(),
        header.subject().as_str(),
        entry.header_bytes(),
        entry.signature(),
    ])?;
    Ok(connection.last_insert_rowid())
}

/// Stores what the header names, and refuses what it doesn't name or what is missing.
fn insert_attachments(
    path: &Path,
    connection: &Connection,
    arrival: i64,
    entry: &Entry,
    attachments: &[Attachment],
) -> Result<()> {
    let failed = |cause| StoreError::database(path, "Storing the attachments", cause);
    let refuse = |digest: &Digest, reason: &str| {
        Err(StoreError::Attachment { digest: digest.to_string(), reason: reason.to_owned() })
    };
    let mut named = BTreeSet::new();
    for reference in entry.header().attachments() {
        let (digest, length) = (&reference.hash, reference.length);
        if let Some(given) = attachments.iter().find(|given| given.digest() == digest) {
            attachment::store(path, connection, given)?;
        }
        match attachment::stored_length(connection, digest.as_bytes()).map_err(failed)? {
            Some(stored) if stored.unsigned_abs() == length => {}
            Some(_) => return refuse(digest, "the entry names it with another length"),
            None => return refuse(digest, "the entry names it, and it was not handed over"),
        }
        if named.insert(*digest.as_bytes()) {
            connection
                .prepare_cached(sql::ENTRY_ATTACHMENT_INSERT)
                .and_then(|mut insert| insert.execute(params![arrival, digest.as_bytes()]))
                .map_err(failed)?;
        }
    }
    match attachments.iter().find(|given| !named.contains(given.digest().as_bytes())) {
        Some(extra) => refuse(extra.digest(), "the entry does not name it"),
        None => Ok(()),
    }
}

fn move_head(connection: &Connection, entry: &Entry) -> rusqlite::Result<()> {
    let header = entry.header();
    let chain = header.chain().as_bytes();
    if let Some(previous) = convert::previous(header) {
        connection.prepare_cached(sql::HEAD_DELETE)?.execute(params![chain, previous])?;
    }
    connection
        .prepare_cached(sql::HEAD_INSERT)?
        .execute(params![
            chain,
            entry.id().as_bytes(),
            i64::try_from(header.number()).unwrap_or(i64::MAX)
        ])
        .map(|_| ())
}
