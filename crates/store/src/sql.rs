//! Every query of the store, in one place. The tables stand in `schema/sql`.

/// Proves that the key fits.
pub(crate) const FIRST_READ: &str = "SELECT count(*) FROM sqlite_schema";
pub(crate) const APPLICATION_ID: &str = "PRAGMA application_id";

// ------------------------------------------------------------------ generations

pub(crate) const HAS_MIGRATIONS: &str =
    "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = 'migration'";
pub(crate) const MIGRATION_GENERATION: &str = "SELECT coalesce(max(generation), 0) FROM migration";
pub(crate) const MIGRATION_STATE: &str = "SELECT max(generation), max(lowest_reader), max(lowest_writer) FROM migration \
     HAVING count(*) > 0";
pub(crate) const MIGRATION_INSERT: &str = "INSERT INTO migration (generation, name, sql_sha256, lowest_reader, lowest_writer) \
     VALUES (?1, ?2, ?3, ?4, ?5)";
pub(crate) const FOREIGN_KEY_CHECK: &str = "SELECT \"table\" FROM pragma_foreign_key_check LIMIT 1";
pub(crate) const SCHEMA: &str = "SELECT type, name, coalesce(sql, '') FROM sqlite_schema \
     WHERE name NOT LIKE 'sqlite_%' ORDER BY type, name";

// ------------------------------------------------------------------ the ledger

pub(crate) const ENTRY_INSERT: &str = "INSERT INTO entry (id, chain, number, own, kind, subject, header, signature) \
     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)";
pub(crate) const PAYLOAD_INSERT: &str = "INSERT INTO payload (entry, bytes) VALUES (?1, ?2)";
pub(crate) const ENTRY_ATTACHMENT_INSERT: &str =
    "INSERT INTO entry_attachment (entry, hash) VALUES (?1, ?2)";
pub(crate) const OWN_PLACE: &str =
    "SELECT id FROM entry WHERE chain = ?1 AND number = ?2 AND own = 1";

pub(crate) const LAST_NUMBER: &str = "SELECT coalesce(max(number), 0) FROM entry WHERE chain = ?1";

const ENTRY_COLUMNS: &str = "SELECT e.arrival, e.id, e.header, p.bytes, e.signature \
     FROM entry e LEFT JOIN payload p ON p.entry = e.arrival ";
pub(crate) fn entry_by_id() -> String {
    format!("{ENTRY_COLUMNS} WHERE e.id = ?1")
}
pub(crate) fn entries_by_subject() -> String {
    format!("{ENTRY_COLUMNS} WHERE e.subject = ?1 ORDER BY e.arrival")
}
pub(crate) fn entries_of_chain() -> String {
    // Two branches, so that each uses the index that covers it.
    format!(
        "SELECT * FROM ({ENTRY_COLUMNS} WHERE e.chain = ?1 AND e.number >= ?2 AND e.own = 1 \
         ORDER BY e.number LIMIT ?3) UNION ALL \
         SELECT * FROM ({ENTRY_COLUMNS} WHERE e.chain = ?1 AND e.number >= ?2 AND e.own = 0 \
         ORDER BY e.number LIMIT ?3)"
    )
}
pub(crate) fn entries_after() -> String {
    format!("{ENTRY_COLUMNS} WHERE e.arrival > ?1 ORDER BY e.arrival LIMIT ?2")
}
pub(crate) fn entry_at() -> String {
    format!("{ENTRY_COLUMNS} WHERE e.arrival = ?1")
}

/// The columns that index the bytes, for `check`.
pub(crate) const ENTRY_INDEX: &str =
    "SELECT id, chain, number, kind, subject FROM entry WHERE arrival = ?1";
pub(crate) const OWN_COUNTS: &str =
    "SELECT chain, count(*), max(number) FROM entry WHERE own = 1 GROUP BY chain";
pub(crate) const HAS_PLACE: &str =
    "SELECT count(*) FROM entry WHERE chain = ?1 AND number = ?2 AND id = ?3";
pub(crate) const ENTRIES_WITHOUT_PAYLOAD: &str = "SELECT id, EXISTS (SELECT 1 FROM redaction WHERE target = id) FROM entry \
     WHERE arrival NOT IN (SELECT entry FROM payload) ORDER BY arrival";
pub(crate) const ENTRY_COUNT: &str = "SELECT count(*) FROM entry";
pub(crate) const LAST_ARRIVAL: &str = "SELECT coalesce(max(arrival), 0) FROM entry";
pub(crate) const LAST: &str = "SELECT arrival, id FROM entry ORDER BY arrival DESC LIMIT 1";
pub(crate) const PAYLOADS_WITHOUT_ENTRY: &str =
    "SELECT entry FROM payload WHERE entry NOT IN (SELECT arrival FROM entry)";
pub(crate) const ARRIVALS_IN_CHAIN_ORDER: &str =
    "SELECT arrival FROM entry ORDER BY chain, number, arrival";

// ------------------------------------------------------------------ attachments

pub(crate) const HAS_ATTACHMENT: &str = "SELECT length FROM attachment WHERE hash = ?1";
pub(crate) const ATTACHMENT_INSERT: &str = "INSERT INTO attachment (hash, length) VALUES (?1, ?2)";
pub(crate) const CHUNK_INSERT: &str =
    "INSERT INTO attachment_chunk (hash, position, bytes) VALUES (?1, ?2, ?3)";
pub(crate) const CHUNK: &str =
    "SELECT bytes FROM attachment_chunk WHERE hash = ?1 AND position = ?2";
pub(crate) const ATTACHMENTS: &str = "SELECT hash, length FROM attachment ORDER BY hash";
pub(crate) const ORPHAN_ATTACHMENTS: &str = "SELECT hash FROM attachment WHERE hash NOT IN (SELECT hash FROM entry_attachment) \
     UNION SELECT hash FROM attachment_chunk WHERE hash NOT IN (SELECT hash FROM attachment) \
     ORDER BY 1";
pub(crate) const ATTACHMENTS_OF: &str =
    "SELECT hash FROM entry_attachment WHERE entry = ?1 ORDER BY hash";
pub(crate) const NAMED_BUT_MISSING: &str = "SELECT DISTINCT hash FROM entry_attachment \
     WHERE hash NOT IN (SELECT hash FROM attachment) \
     AND hash NOT IN (SELECT target FROM redaction) ORDER BY hash";

// ------------------------------------------------------------------ derived

pub(crate) const HEADS: &str = "SELECT chain, number, id FROM head ORDER BY chain, id";
pub(crate) const HEADS_OF: &str = "SELECT number, id FROM head WHERE chain = ?1 ORDER BY id";
pub(crate) const HEAD_DELETE: &str = "DELETE FROM head WHERE chain = ?1 AND id = ?2";
pub(crate) const HEAD_INSERT: &str = "INSERT INTO head (chain, id, number) VALUES (?1, ?2, ?3)";
pub(crate) const DOCUMENT: &str = "SELECT value FROM document WHERE key = ?1";
pub(crate) const DOCUMENT_PUT: &str = "INSERT INTO document (key, value) VALUES (?1, ?2) \
     ON CONFLICT (key) DO UPDATE SET value = excluded.value";
/// All keys from a first one on; the caller stops where the prefix ends.
pub(crate) const DOCUMENT_KEYS: &str = "SELECT key FROM document WHERE key >= ?1 ORDER BY key";
pub(crate) const DOCUMENTS: &str = "SELECT key, value FROM document ORDER BY key";
pub(crate) const DOCUMENTS_CLEAR: &str = "DELETE FROM document";
pub(crate) const PROJECTION: &str = "SELECT version, through, id FROM projection WHERE one = 1";
pub(crate) const PROJECTION_SET: &str =
    "UPDATE projection SET version = ?1, through = ?2, id = ?3 WHERE one = 1";

// ------------------------------------------------------------------ local

pub(crate) const OWN: &str = "SELECT value FROM own WHERE name = ?1";
pub(crate) const OWN_SET: &str = "INSERT INTO own (name, value) VALUES (?1, ?2) \
     ON CONFLICT (name) DO UPDATE SET value = excluded.value";
pub(crate) const OWN_CLEAR: &str = "DELETE FROM own WHERE name = ?1";
pub(crate) const DRAFT: &str = "SELECT value FROM draft WHERE key = ?1";
pub(crate) const DRAFT_PUT: &str = "INSERT INTO draft (key, value) VALUES (?1, ?2) \
     ON CONFLICT (key) DO UPDATE SET value = excluded.value";
pub(crate) const DRAFT_DELETE: &str = "DELETE FROM draft WHERE key = ?1";
pub(crate) const DRAFTS: &str = "SELECT key, value FROM draft WHERE key >= ?1 ORDER BY key";
pub(crate) const LOCAL: &str = "SELECT value FROM local_value WHERE key = ?1";
pub(crate) const LOCAL_PUT: &str = "INSERT INTO local_value (key, value) VALUES (?1, ?2) \
     ON CONFLICT (key) DO UPDATE SET value = excluded.value";
pub(crate) const LOCAL_DELETE: &str = "DELETE FROM local_value WHERE key = ?1";
pub(crate) const LOCALS: &str = "SELECT key, value FROM local_value WHERE key >= ?1 ORDER BY key";
pub(crate) const LOCAL_CLEAR: &str = "DELETE FROM local_value";

// ------------------------------------------------------------------ the file itself

pub(crate) const INTEGRITY: &str = "PRAGMA integrity_check(100)";
pub(crate) const CIPHER_INTEGRITY: &str = "PRAGMA cipher_integrity_check";
pub(crate) const FOREIGN_KEYS: &str =
    "SELECT \"table\", rowid, parent FROM pragma_foreign_key_check LIMIT 100";
