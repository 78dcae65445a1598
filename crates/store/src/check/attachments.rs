//! Attachments: what entries name must be here and be what they name; nothing else should be.

use std::io::{self, Read};

use super::finding::{Findings, Level, remedy};
use super::{Depth, Examined};
use crate::attachment::{AttachmentReader, CHUNK};
use crate::config::{OnProgress, Progress};
use crate::convert::bytes32;
use crate::sql;

pub(super) fn check(
    examined: &Examined,
    depth: Depth,
    findings: &mut Findings,
    progress: OnProgress<'_>,
) {
    let list = |query: &'static str| {
        move |connection: &rusqlite::Connection| {
            connection
                .prepare(query)?
                .query_map([], |row| row.get(0))?
                .collect::<rusqlite::Result<Vec<Vec<u8>>>>()
        }
    };
    let missing =
        examined.ask("Listing missing attachments", findings, list(sql::NAMED_BUT_MISSING));
    for hash in missing.unwrap_or_default() {
        let what = "An entry names it, and it is not here.";
        findings.error("attachment.missing", hex::encode(hash), what, remedy::FETCH);
    }
    let orphans =
        examined.ask("Listing stray attachments", findings, list(sql::ORPHAN_ATTACHMENTS));
    for hash in orphans.unwrap_or_default() {
        findings.add(
            "attachment.stray",
            Level::Warning,
            hex::encode(hash),
            "It is here, and no entry names it.",
            remedy::TAMPERED,
        );
    }
    if depth == Depth::Deep {
        contents(examined, findings, progress);
    }
}

fn contents(examined: &Examined, findings: &mut Findings, progress: OnProgress<'_>) {
    let list = examined.ask("Listing the attachments", findings, |connection| {
        connection
            .prepare(sql::ATTACHMENTS)?
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<Vec<(Vec<u8>, i64)>>>()
    });
    let list = list.unwrap_or_default();
    let of = list.len() as u64;
    for (done, (hash, length)) in (1..).zip(list) {
        let Some(named) = bytes32(&hash) else { continue };
        let object = hex::encode(&hash);
        match read_through(AttachmentReader::new(&examined.connection, named)) {
            Ok(read) if read == length.unsigned_abs() => {}
            Ok(read) => findings.error(
                "attachment.length",
                object,
                format!("It is {read} bytes long, and {length} are noted."),
                remedy::TAMPERED,
            ),
            Err(cause) if cause.kind() == io::ErrorKind::InvalidData => findings.error(
                "attachment.altered",
                object,
                "Its bytes do not have the hash that names it.",
                remedy::FETCH,
            ),
            Err(cause) => findings.failed(&object, "Reading the attachment", &cause),
        }
        progress(Progress { doing: "Verifying attachments", done, of });
    }
}

fn read_through(mut reader: AttachmentReader<'_>) -> io::Result<u64> {
    let (mut buffer, mut length) = (vec![0; CHUNK], 0);
    loop {
        match reader.read(&mut buffer)? {
            0 => return Ok(length),
            count => length += count as u64,
        }
    }
}
