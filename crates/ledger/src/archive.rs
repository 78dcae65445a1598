//! The archive: one entry a line, as text that standard tools read.
//!
//! `{"header":"…","payload":"…","signature":"…"}`, where `header` and `payload` are the texts that
//! were hashed and `signature` is base64 of DER. A payload that was redacted is left out.

use std::io::{self, BufRead, Read as _, Write};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde::{Deserialize, Serialize};

use crate::Entry;
use crate::header::{MAX_HEADER, MAX_PAYLOAD};

/// A line's bytes at the most: header and payload, each byte escaped at its longest.
const MAX_LINE: u64 = (MAX_HEADER + MAX_PAYLOAD) as u64 * 6 + 4096;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    header: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    payload: Option<String>,
    signature: String,
}

/// One line's parts, not verified yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Parts {
    /// The header bytes.
    pub header: Vec<u8>,
    /// The payload bytes, if they are there.
    pub payload: Option<Vec<u8>>,
    /// The signature, DER.
    pub signature: Vec<u8>,
}

/// Why an archive can't be read on.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveError {
    /// The file itself.
    #[error("line {line} of the archive can't be read: {cause}")]
    Read {
        /// From 1.
        line: u64,
        /// What the system says.
        #[source]
        cause: io::Error,
    },
    /// A line that isn't one of an archive.
    #[error("line {line} of the archive is not an entry: {reason}")]
    Line {
        /// From 1.
        line: u64,
        /// What is wrong.
        reason: String,
    },
}

/// Writes one entry as a line.
///
/// # Errors
/// What the writer says, or bytes that are not text (no sealed entry holds any).
pub fn write_line(out: &mut (impl Write + ?Sized), entry: &Entry) -> io::Result<()> {
    let text = |bytes: &[u8]| {
        String::from_utf8(bytes.to_vec())
            .map_err(|cause| io::Error::new(io::ErrorKind::InvalidData, cause))
    };
    let line = Line {
        header: text(entry.header_bytes())?,
        payload: entry.payload().map(text).transpose()?,
        signature: BASE64.encode(entry.signature()),
    };
    serde_json::to_writer(&mut *out, &line)?;
    out.write_all(b"\n")
}

/// Reads an archive line by line, in bounded memory. A bad line is given as an error and the next
/// one is read all the same.
pub fn read_lines(mut input: impl BufRead) -> impl Iterator<Item = Result<Parts, ArchiveError>> {
    let (mut line, mut ended) = (0, false);
    std::iter::from_fn(move || {
        if ended {
            return None;
        }
        line += 1;
        match read_line(&mut input) {
            Ok(Text::None) => None,
            Ok(Text::Whole(bytes)) => Some(parts(line, &bytes)),
            Ok(Text::CutOff) => {
                let reason = "it is cut off: an entry's line ends with a line feed".to_owned();
                Some(Err(ArchiveError::Line { line, reason }))
            }
            Ok(Text::TooLong) => {
                let reason = format!("it is longer than {MAX_LINE} bytes, more than any entry has");
                Some(Err(ArchiveError::Line { line, reason }))
            }
            Err(cause) => {
                ended = true;
                Some(Err(ArchiveError::Read { line, cause }))
            }
        }
    })
}

enum Text {
    None,
    Whole(Vec<u8>),
    CutOff,
    TooLong,
}

fn read_line(input: &mut impl BufRead) -> io::Result<Text> {
    let mut bytes = Vec::new();
    input.by_ref().take(MAX_LINE).read_until(b'\n', &mut bytes)?;
    if bytes.is_empty() {
        return Ok(Text::None);
    }
    if bytes.pop_if(|last| *last == b'\n').is_some() {
        return Ok(Text::Whole(bytes));
    }
    if (bytes.len() as u64) < MAX_LINE {
        return Ok(Text::CutOff);
    }
    input.skip_until(b'\n')?;
    Ok(Text::TooLong)
}

fn parts(line: u64, text: &[u8]) -> Result<Parts, ArchiveError> {
    let bad = |reason: String| ArchiveError::Line { line, reason };
    let read: Line = serde_json::from_slice(text).map_err(|fault| bad(fault.to_string()))?;
    let signature = BASE64
        .decode(&read.signature)
        .map_err(|_| bad("the signature is not base64".to_owned()))?;
    Ok(Parts {
        header: read.header.into_bytes(),
        payload: read.payload.map(String::into_bytes),
        signature,
    })
}
