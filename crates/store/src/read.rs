//! What can be asked of a logbook. Nothing here changes anything.

use ledger::{ChainId, Digest, Entry, EntryId, Head, HeadSeen, SiteId};

use crate::attachment::{self, AttachmentReader};
use crate::convert::{self, bytes32};
use crate::error::{Result, StoreError};
use crate::shelf::{self, Documents};
use crate::sql;
use crate::store::{OWN_CHAIN, OWN_SITE, Store, own};

impl Store {
    /// The site of this logbook; `None` before its first entry.
    pub fn site(&self) -> Result<Option<SiteId>> {
        Ok(self.own32(OWN_SITE)?.map(SiteId::from_bytes))
    }

    /// The chain that this installation writes; `None` before its first entry, and after
    /// [`Store::adopt`].
    pub fn chain(&self) -> Result<Option<ChainId>> {
        Ok(self.own32(OWN_CHAIN)?.map(ChainId::from_bytes))
    }

    /// The head of this installation's chain; `None` before its first entry.
    pub fn head(&self) -> Result<Option<Head>> {
        let Some(chain) = self.chain()? else { return Ok(None) };
        let failed = self.failed("Reading the head");
        let mut query = self.reader.prepare_cached(sql::HEADS_OF).map_err(&failed)?;
        let mut rows = query.query([chain.as_bytes()]).map_err(&failed)?;
        let Some(row) = rows.next().map_err(&failed)? else { return Ok(None) };
        let number: i64 = row.get(0).map_err(&failed)?;
        let id: Vec<u8> = row.get(1).map_err(&failed)?;
        Ok(bytes32(&id).map(|id| convert::head(number.unsigned_abs(), id)))
    }

    /// Every head of every chain in this logbook, in order of chain and id. A forked chain has
    /// more than one.
    pub fn heads(&self) -> Result<Vec<HeadSeen>> {
        convert::heads(&self.reader).map_err(self.failed("Reading the heads"))
    }

    /// How many entries there are.
    pub fn count(&self) -> Result<u64> {
        self.reader
            .query_row(sql::ENTRY_COUNT, [], |row| row.get::<_, i64>(0))
            .map(i64::unsigned_abs)
            .map_err(self.failed("Counting the entries"))
    }

    /// The entry of that id; `None` when it isn't here.
    pub fn entry(&self, id: &EntryId) -> Result<Option<Entry>> {
        convert::row_by_id(&self.reader, id)
            .map_err(self.failed("Reading an entry"))?
            .map(|row| row.entry())
            .transpose()
    }

    /// At most `limit` entries of a chain from number `from` on, in order.
    pub fn entries_of_chain(&self, chain: &ChainId, from: u64, limit: u32) -> Result<Vec<Entry>> {
        let from = i64::try_from(from).unwrap_or(i64::MAX);
        convert::rows_of_chain(&self.reader, chain.as_bytes(), from, limit)
            .map_err(self.failed("Reading a chain"))?
            .iter()
            .map(convert::StoredEntry::entry)
            .collect()
    }

    /// Every entry about `subject` (a uuid as text), in order of arrival.
    pub fn entries_of_subject(&self, subject: &str) -> Result<Vec<Entry>> {
        convert::rows_of_subject(&self.reader, subject)
            .map_err(self.failed("Reading the entries of a subject"))?
            .iter()
            .map(convert::StoredEntry::entry)
            .collect()
    }

    /// Hands every entry to `each`, in order of arrival, holding few in memory.
    pub fn for_each_entry(&self, each: &mut dyn FnMut(&Entry) -> Result<()>) -> Result<()> {
        let failed = self.failed("Reading the entries");
        let mut after = 0;
        loop {
            let page = convert::rows_after(&self.reader, after, 256).map_err(&failed)?;
            let Some(last) = page.last() else { return Ok(()) };
            after = last.arrival;
            for row in &page {
                each(&row.entry()?)?;
            }
        }
    }

    /// The documents of this build's fold, for [`logbook::Shelf`] reading.
    pub fn documents(&self) -> Documents<'_> {
        if !self.other_fold {
            return Documents::reading(&self.reader);
        }
        Documents::folded(
            self.folded.get_or_init(|| shelf::fold_in_memory(&self.path, &self.reader)),
        )
    }

    /// Streams an attachment; `None` when it isn't here.
    pub fn attachment(&self, digest: &Digest) -> Result<Option<AttachmentReader<'_>>> {
        let there = attachment::stored_length(&self.reader, digest.as_bytes())
            .map_err(self.failed("Reading an attachment"))?;
        Ok(there.map(|_| AttachmentReader::new(&self.reader, *digest.as_bytes())))
    }

    fn own32(&self, name: &str) -> Result<Option<[u8; 32]>> {
        let stored =
            own(&self.reader, name).map_err(self.failed("Reading what this store writes"))?;
        let Some(stored) = stored else { return Ok(None) };
        bytes32(&stored).map(Some).ok_or_else(|| StoreError::Damaged {
            path: self.path.clone(),
            reason: format!("its {name} is not an id"),
        })
    }
}
