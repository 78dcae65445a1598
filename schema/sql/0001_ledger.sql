-- The tables of a logbook, generation 1.
-- lowest reader: 1
-- lowest writer: 1
--
-- Three families: the ledger (append-only, the truth), what is derived from it (may be thrown
-- away and rebuilt), and what is local (never travels). Times are not stored outside the bytes.

-- What has been applied. Every later generation keeps this table as it is, so that every build
-- can find out whether it may read and write.
CREATE TABLE migration (
    generation INTEGER PRIMARY KEY,
    name TEXT NOT NULL,
    sql_sha256 BLOB NOT NULL CHECK (length(sql_sha256) = 32),
    lowest_reader INTEGER NOT NULL,
    lowest_writer INTEGER NOT NULL
) STRICT;

-- ---------------------------------------------------------------- the ledger

-- `header` and `signature` are the exact bytes; every other column is an index of them, checked
-- against them by `check`. `own` marks the chains that this installation writes: for those the
-- database itself refuses a second entry in one place. Foreign chains may hold forks.
CREATE TABLE entry (
    arrival INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 32),
    chain BLOB NOT NULL CHECK (length(chain) = 32),
    number INTEGER NOT NULL CHECK (number >= 1),
    own INTEGER NOT NULL CHECK (own IN (0, 1)),
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    header BLOB NOT NULL,
    signature BLOB NOT NULL
) STRICT;
CREATE UNIQUE INDEX entry_own_place ON entry (chain, number) WHERE own = 1;
CREATE INDEX entry_place ON entry (chain, number) WHERE own = 0;
CREATE INDEX entry_subject ON entry (subject);

-- The payload stands apart, so that a redaction by law can drop it and leave the chain whole.
CREATE TABLE payload (
    entry INTEGER PRIMARY KEY REFERENCES entry (arrival),
    bytes BLOB NOT NULL
) STRICT;

CREATE TABLE attachment (
    hash BLOB PRIMARY KEY CHECK (length(hash) = 32),
    length INTEGER NOT NULL CHECK (length >= 0)
) STRICT, WITHOUT ROWID;

CREATE TABLE attachment_chunk (
    hash BLOB NOT NULL REFERENCES attachment (hash),
    position INTEGER NOT NULL CHECK (position >= 0),
    bytes BLOB NOT NULL,
    UNIQUE (hash, position)
) STRICT;

CREATE TABLE entry_attachment (
    entry INTEGER NOT NULL REFERENCES entry (arrival),
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (entry, hash)
) STRICT, WITHOUT ROWID;
CREATE INDEX entry_attachment_hash ON entry_attachment (hash);

-- What a redaction names: the id of an entry whose payload goes, or the hash of an attachment.
CREATE TABLE redaction (
    target BLOB PRIMARY KEY CHECK (length(target) = 32),
    entry INTEGER NOT NULL REFERENCES entry (arrival)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER entry_keep BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'append-only: an entry is never deleted'); END;
CREATE TRIGGER entry_fixed BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'append-only: an entry is never changed'); END;
CREATE TRIGGER entry_once BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE arrival = NEW.arrival OR id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: an entry is never replaced'); END;
CREATE TRIGGER entry_place_once BEFORE INSERT ON entry
WHEN NEW.own = 1
    AND EXISTS (SELECT 1 FROM entry WHERE chain = NEW.chain AND number = NEW.number AND own = 1)
BEGIN SELECT RAISE(ABORT, 'append-only: a place in an own chain is taken once'); END;

CREATE TRIGGER payload_keep BEFORE DELETE ON payload
WHEN NOT EXISTS (
    SELECT 1 FROM redaction JOIN entry ON entry.id = redaction.target
    WHERE entry.arrival = OLD.entry
)
BEGIN SELECT RAISE(ABORT, 'append-only: a payload goes by redaction alone'); END;
CREATE TRIGGER payload_fixed BEFORE UPDATE ON payload
BEGIN SELECT RAISE(ABORT, 'append-only: a payload is never changed'); END;
CREATE TRIGGER payload_once BEFORE INSERT ON payload
WHEN EXISTS (SELECT 1 FROM payload WHERE entry = NEW.entry)
BEGIN SELECT RAISE(ABORT, 'append-only: a payload is never replaced'); END;

CREATE TRIGGER attachment_keep BEFORE DELETE ON attachment
WHEN NOT EXISTS (SELECT 1 FROM redaction WHERE target = OLD.hash)
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment goes by redaction alone'); END;
CREATE TRIGGER attachment_fixed BEFORE UPDATE ON attachment
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment is never changed'); END;
CREATE TRIGGER attachment_once BEFORE INSERT ON attachment
WHEN EXISTS (SELECT 1 FROM attachment WHERE hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment is never replaced'); END;

CREATE TRIGGER attachment_chunk_keep BEFORE DELETE ON attachment_chunk
WHEN NOT EXISTS (SELECT 1 FROM redaction WHERE target = OLD.hash)
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment goes by redaction alone'); END;
CREATE TRIGGER attachment_chunk_fixed BEFORE UPDATE ON attachment_chunk
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment is never changed'); END;
CREATE TRIGGER attachment_chunk_once BEFORE INSERT ON attachment_chunk
WHEN EXISTS (
    SELECT 1 FROM attachment_chunk WHERE hash = NEW.hash AND position = NEW.position
)
BEGIN SELECT RAISE(ABORT, 'append-only: an attachment is never replaced'); END;

CREATE TRIGGER entry_attachment_keep BEFORE DELETE ON entry_attachment
BEGIN SELECT RAISE(ABORT, 'append-only: what an entry names is never deleted'); END;
CREATE TRIGGER entry_attachment_fixed BEFORE UPDATE ON entry_attachment
BEGIN SELECT RAISE(ABORT, 'append-only: what an entry names is never changed'); END;

CREATE TRIGGER redaction_by_entry BEFORE INSERT ON redaction
WHEN NOT EXISTS (SELECT 1 FROM entry WHERE arrival = NEW.entry AND kind = 'redact')
BEGIN SELECT RAISE(ABORT, 'append-only: a redaction needs its entry'); END;
CREATE TRIGGER redaction_keep BEFORE DELETE ON redaction
BEGIN SELECT RAISE(ABORT, 'append-only: a redaction is never deleted'); END;
CREATE TRIGGER redaction_fixed BEFORE UPDATE ON redaction
BEGIN SELECT RAISE(ABORT, 'append-only: a redaction is never changed'); END;

-- ---------------------------------------------------------------- derived

-- The heads of each chain: more than one where a chain forked.
CREATE TABLE head (
    chain BLOB NOT NULL,
    id BLOB NOT NULL,
    number INTEGER NOT NULL,
    PRIMARY KEY (chain, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE document (
    key TEXT PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

-- By which version of the fold the documents were made, and the frontier that they cover: the
-- last arrival folded in, and its id.
CREATE TABLE projection (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    version INTEGER NOT NULL,
    through INTEGER NOT NULL,
    id BLOB NOT NULL
) STRICT;
INSERT INTO projection (one, version, through, id) VALUES (1, 0, 0, x'');

-- ---------------------------------------------------------------- local

-- What this store is: its site, and the chain that it writes.
CREATE TABLE own (
    name TEXT PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

-- What is typed and not yet entered.
CREATE TABLE draft (
    key TEXT PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;

-- Wrapped keys, sessions, preferences.
CREATE TABLE local_value (
    key TEXT PRIMARY KEY,
    value BLOB NOT NULL
) STRICT, WITHOUT ROWID;
