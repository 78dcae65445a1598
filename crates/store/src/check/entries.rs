//! Every entry: its bytes against its id, its columns, its payload, its signatures, its chain.

use std::collections::{BTreeMap, BTreeSet};

use ledger::{ChainFault, ChainId, ChainVerifier, Entry, EntryFault, Header, PublicKey};
use rusqlite::{OptionalExtension as _, params};
use sha2::{Digest as _, Sha256};

use super::finding::{Findings, Level, remedy};
use super::{Depth, Examined};
use crate::config::{OnProgress, Progress};
use crate::convert::{self, StoredEntry};
use crate::sql;

/// How many of the newest entries a shallow check examines, and how many of the others.
const NEWEST: i64 = 64;
const OTHERS: i64 = 256;

/// Returns where the moving part of the next shallow check begins.
pub(super) fn check(
    examined: &Examined,
    depth: Depth,
    from: i64,
    findings: &mut Findings,
    progress: OnProgress<'_>,
) -> i64 {
    counts(examined, findings);
    missing_payloads(examined, findings);
    match depth {
        Depth::Deep => {
            deep(examined, findings, progress);
            from
        }
        Depth::Shallow => shallow(examined, from, findings, progress),
    }
}

/// Without reading a single entry: does each own chain have all its numbers?
fn counts(examined: &Examined, findings: &mut Findings) {
    let chains = examined.ask("Counting the entries", findings, |connection| {
        connection
            .prepare(sql::OWN_COUNTS)?
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
            .collect::<rusqlite::Result<Vec<(Vec<u8>, i64, i64)>>>()
    });
    for (chain, count, highest) in chains.unwrap_or_default() {
        if count != highest {
            findings.error(
                "chain.count",
                hex::encode(chain),
                format!("It reaches number {highest} and has {count} entries."),
                remedy::RESTORE,
            );
        }
    }
    let stray = examined.ask("Looking for stray payloads", findings, |connection| {
        connection
            .prepare(sql::PAYLOADS_WITHOUT_ENTRY)?
            .query_map([], |row| row.get(0))?
            .collect::<rusqlite::Result<Vec<i64>>>()
    });
    for arrival in stray.unwrap_or_default() {
        let what = "There is a payload, and the entry that it belonged to is gone.";
        findings.error("payload.stray", format!("arrival {arrival}"), what, remedy::RESTORE);
    }
}

fn missing_payloads(examined: &Examined, findings: &mut Findings) {
    let missing = examined.ask("Looking for missing payloads", findings, |connection| {
        connection
            .prepare(sql::ENTRIES_WITHOUT_PAYLOAD)?
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<Vec<(Vec<u8>, bool)>>>()
    });
    for (id, redacted) in missing.unwrap_or_default() {
        let object = format!("entry {}", hex::encode(id));
        if redacted {
            let what = "Its payload was dropped by a redaction.";
            findings.add("payload.redacted", Level::Note, object, what, remedy::NONE);
        } else {
            let what = "Its payload is missing, and no redaction names it.";
            findings.error("payload.missing", object, what, remedy::FETCH);
        }
    }
}

/// The index columns of a row.
struct Columns {
    id: Vec<u8>,
    chain: Vec<u8>,
    number: i64,
    kind: String,
    subject: String,
}

fn columns(examined: &Examined, arrival: i64) -> rusqlite::Result<Option<Columns>> {
    examined
        .connection
        .prepare_cached(sql::ENTRY_INDEX)?
        .query_row([arrival], |row| {
            Ok(Columns {
                id: row.get(0)?,
                chain: row.get(1)?,
                number: row.get(2)?,
                kind: row.get(3)?,
                subject: row.get(4)?,
            })
        })
        .optional()
}

/// Reads one row; what can't be read is a finding and the next one is read all the same.
fn read(examined: &Examined, arrival: i64, findings: &mut Findings) -> Option<StoredEntry> {
    match convert::row_at(&examined.connection, arrival) {
        Ok(row) => row,
        Err(cause) => {
            let known = columns(examined, arrival).ok().flatten();
            let object = known.map_or_else(
                || format!("arrival {arrival}"),
                |columns| format!("entry {}", hex::encode(columns.id)),
            );
            let what = format!("It can't be read: {cause}.");
            findings.error("entry.unreadable", object, what, remedy::FETCH);
            None
        }
    }
}

fn object(row: &StoredEntry) -> String {
    format!("entry {}", hex::encode(&row.id))
}

/// Everything that can be said of a row without its chain. Returns the header where it has one,
/// and whether the payload is what the header says.
fn alone(
    examined: &Examined,
    row: &StoredEntry,
    findings: &mut Findings,
) -> Option<(Header, bool)> {
    if Sha256::digest(&row.header).as_slice() != row.id.as_slice() {
        let what = "Its header bytes do not have the hash that is its id.";
        findings.error("entry.altered", object(row), what, remedy::TAMPERED);
    }
    let header = match Header::parse(&row.header) {
        Ok(header) => header,
        Err(fault) => {
            let what = format!("Its header is not one: {fault}.");
            findings.error("entry.header", object(row), what, remedy::FETCH);
            return None;
        }
    };
    match columns(examined, row.arrival) {
        Ok(Some(columns)) if agree(&columns, &header) => {}
        Ok(_) => {
            let what = "The columns that index it say something else than its bytes.";
            findings.error("entry.index", object(row), what, remedy::TAMPERED);
        }
        Err(cause) => findings.failed(&object(row), "Reading its index", &cause),
    }
    attachments(examined, row, &header, findings);
    let payload_holds = row.payload.as_ref().is_none_or(|payload| {
        payload.len() as u64 == header.payload_length()
            && Sha256::digest(payload).as_slice() == header.payload_hash().as_bytes()
    });
    if !payload_holds {
        let what = "Its payload does not have the hash and length that the header names.";
        findings.error("payload.altered", object(row), what, remedy::TAMPERED);
    }
    Some((header, payload_holds))
}

fn agree(columns: &Columns, header: &Header) -> bool {
    columns.chain.as_slice() == header.chain().as_bytes()
        && u64::try_from(columns.number) == Ok(header.number())
        && columns.kind == header.kind()
        && columns.subject == header.subject().as_str()
}

/// The table of what an entry names must say what its header says.
fn attachments(examined: &Examined, row: &StoredEntry, header: &Header, findings: &mut Findings) {
    let noted = examined.ask("Reading what an entry names", findings, |connection| {
        connection
            .prepare_cached(sql::ATTACHMENTS_OF)?
            .query_map([row.arrival], |row| row.get(0))?
            .collect::<rusqlite::Result<BTreeSet<Vec<u8>>>>()
    });
    let named: BTreeSet<Vec<u8>> =
        header.attachments().iter().map(|named| named.hash.as_bytes().to_vec()).collect();
    if noted.is_some_and(|noted| noted != named) {
        let what = "The attachments noted for it are not those that its header names.";
        findings.error("entry.attachments", object(row), what, remedy::TAMPERED);
    }
}

// ------------------------------------------------------------------ deep

fn deep(examined: &Examined, findings: &mut Findings, progress: OnProgress<'_>) {
    let arrivals = arrivals(examined, findings);
    let of = arrivals.len() as u64;
    let mut chains = Chains::default();
    for (done, arrival) in (1..).zip(arrivals) {
        let row = read(examined, arrival, findings);
        let known = row.as_ref().and_then(|row| alone(examined, row, findings));
        match (row, known) {
            (Some(row), Some((header, holds))) => chains.feed(&row, &header, holds, findings),
            _ => chains.unusable(columns(examined, arrival).ok().flatten().as_ref()),
        }
        progress(Progress { doing: "Verifying entries", done, of });
    }
    chains.heads(examined, findings);
}

/// Every arrival in the order of its chain; where the index is damaged, in order of arrival.
fn arrivals(examined: &Examined, findings: &mut Findings) -> Vec<i64> {
    let list = examined.ask("Listing the entries", findings, |connection| {
        connection
            .prepare(sql::ARRIVALS_IN_CHAIN_ORDER)?
            .query_map([], |row| row.get(0))?
            .collect::<rusqlite::Result<Vec<i64>>>()
    });
    list.unwrap_or_else(|| {
        let last = examined.ask("Finding the last entry", findings, |connection| {
            connection.query_row(sql::LAST_ARRIVAL, [], |row| row.get(0))
        });
        (1..=last.unwrap_or(0)).collect()
    })
}

/// The chains as they are walked, and which of their places are already known to be bad, so that
/// a bad entry isn't reported as a missing one too.
#[derive(Default)]
struct Chains {
    verifier: ChainVerifier,
    reported: usize,
    bad: BTreeSet<(ChainId, u64)>,
}

impl Chains {
    /// Notes the place of an entry whose bytes are no use, by the columns that index it.
    fn unusable(&mut self, columns: Option<&Columns>) {
        let place = columns.and_then(|columns| {
            let chain = ChainId::from_bytes(convert::bytes32(&columns.chain)?);
            Some((chain, u64::try_from(columns.number).ok()?))
        });
        self.bad.extend(place);
    }

    fn feed(
        &mut self,
        row: &StoredEntry,
        header: &Header,
        payload_holds: bool,
        findings: &mut Findings,
    ) {
        // A payload that is reported as altered is left out: the rest of the entry still counts.
        let payload = row.payload.as_deref().filter(|_| payload_holds);
        if self.verifier.feed(&row.header, payload, &row.signature).is_none() {
            self.bad.insert((*header.chain(), header.number()));
        }
        let faults = self.verifier.faults();
        for fault in faults.get(self.reported..).unwrap_or_default() {
            if !self.is_known(fault) {
                let (code, advice) = code(fault);
                findings.error(code, object(row), format!("{fault}."), advice);
            }
        }
        self.reported = faults.len();
    }

    fn is_known(&self, fault: &ChainFault) -> bool {
        match fault {
            ChainFault::Gap { chain, from, to } => {
                (*from..=*to).all(|number| self.bad.contains(&(*chain, number)))
            }
            _ => false,
        }
    }

    /// The table of heads must be what the entries make.
    fn heads(&self, examined: &Examined, findings: &mut Findings) {
        let Some(stored) = examined.ask("Reading the heads", findings, convert::heads) else {
            return;
        };
        let wanted: BTreeSet<_> = self.verifier.frontier().iter().collect();
        let stored: BTreeSet<_> = stored.into_iter().collect();
        // With faults among the entries, what their heads should be isn't known.
        if stored != wanted && self.bad.is_empty() && self.reported == 0 {
            findings.error(
                "heads.differ",
                "head",
                "The heads noted are not those that the entries make.",
                remedy::RESTORE,
            );
        }
    }
}

fn code(fault: &ChainFault) -> (&'static str, &'static str) {
    match fault {
        ChainFault::Entry { fault, .. } => match fault {
            EntryFault::Header(_) => ("entry.header", remedy::FETCH),
            EntryFault::Payload { .. } | EntryFault::PayloadLength { .. } => {
                ("payload.altered", remedy::TAMPERED)
            }
            EntryFault::PayloadForm(_) => ("payload.form", remedy::TAMPERED),
            EntryFault::Signature(_) | EntryFault::OtherChain => {
                ("entry.signature", remedy::TAMPERED)
            }
            EntryFault::Bond(_) => ("entry.bond", remedy::TAMPERED),
        },
        ChainFault::NoKey { .. } => ("chain.no_key", remedy::RESTORE),
        ChainFault::OtherSite { .. } => ("chain.other_site", remedy::TAMPERED),
        ChainFault::Gap { .. } => ("chain.gap", remedy::RESTORE),
        ChainFault::Broken { .. } => ("chain.broken", remedy::RESTORE),
        ChainFault::Order { .. } => ("chain.order", remedy::RESTORE),
        ChainFault::Fork { .. } => ("chain.fork", remedy::OWN_CHAIN),
    }
}

// ------------------------------------------------------------------ shallow

fn shallow(
    examined: &Examined,
    from: i64,
    findings: &mut Findings,
    progress: OnProgress<'_>,
) -> i64 {
    let last = examined.ask("Finding the last entry", findings, |connection| {
        connection.query_row(sql::LAST_ARRIVAL, [], |row| row.get::<_, i64>(0))
    });
    let last = last.unwrap_or(0);
    let newest = (last - NEWEST + 1).max(1);
    let from = if from < 1 || from >= newest { 1 } else { from };
    let to = (from + OTHERS).min(newest);
    let mut keys = Keys::default();
    for (done, arrival) in (1..).zip((from..to).chain(newest..=last)) {
        if let Some(row) = read(examined, arrival, findings)
            && let Some((header, payload_holds)) = alone(examined, &row, findings)
        {
            keys.verify(examined, &row, &header, payload_holds, findings);
        }
        let of = (to - from + last - newest + 1).unsigned_abs();
        progress(Progress { doing: "Verifying a part of the entries", done, of });
    }
    to
}

/// The keys of the chains met, each read once from its number 1.
#[derive(Default)]
struct Keys(BTreeMap<ChainId, Option<PublicKey>>);

impl Keys {
    fn verify(
        &mut self,
        examined: &Examined,
        row: &StoredEntry,
        header: &Header,
        payload_holds: bool,
        findings: &mut Findings,
    ) {
        let chain = header.chain();
        let key = self.0.entry(*chain).or_insert_with(|| {
            let first = convert::rows_of_chain(&examined.connection, chain.as_bytes(), 1, 1);
            first
                .ok()?
                .first()
                .and_then(|row| Header::parse(&row.header).ok()?.chain_key().copied())
        });
        let Some(key) = key else {
            let what = "The first entry of its chain, which carries the key, is not here.";
            return findings.error("chain.no_key", object(row), what, remedy::RESTORE);
        };
        let payload = row.payload.as_deref().filter(|_| payload_holds);
        if let Err(fault) = Entry::verify(&row.header, payload, &row.signature, key) {
            let what = format!("{fault}.");
            findings.error("entry.signature", object(row), what, remedy::TAMPERED);
        }
        if let Some(previous) = header.previous() {
            self.follows(examined, row, header, previous.as_bytes(), findings);
        }
    }

    fn follows(
        &self,
        examined: &Examined,
        row: &StoredEntry,
        header: &Header,
        previous: &[u8; 32],
        findings: &mut Findings,
    ) {
        let before = i64::try_from(header.number()).unwrap_or(i64::MAX) - 1;
        let stands = examined.ask("Reading the entry before", findings, |connection| {
            connection
                .prepare_cached(sql::HAS_PLACE)?
                .query_row(params![header.chain().as_bytes(), before, previous], |row| {
                    row.get::<_, i64>(0)
                })
        });
        if stands == Some(0) {
            let what = "The entry that it names as the one before is not in that place.";
            findings.error("chain.broken", object(row), what, remedy::RESTORE);
        }
    }
}
