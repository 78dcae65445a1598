//! The header of an entry: what is hashed, signed and chained.

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::bond::BondRecord;
use crate::canonical::{self, CanonicalError};
use crate::{ChainId, Digest, EntryId, HeadSeen, Kind, PersonId, PublicKey, SiteId, Subject};

/// Header bytes at the most.
pub const MAX_HEADER: usize = 64 * 1024;
/// Payload bytes at the most.
pub const MAX_PAYLOAD: usize = 16 * 1024 * 1024;
/// Attachments of one entry at the most.
pub const MAX_ATTACHMENTS: usize = 256;
/// Heads of other chains in one header at the most.
pub const MAX_HEADS: usize = 256;
/// The header format that this build writes and reads.
pub(crate) const FORMAT: u32 = 1;

/// An attachment as an entry names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AttachmentRef {
    /// SHA-256 of its bytes.
    pub hash: Digest,
    /// Its length in bytes.
    pub length: u64,
}

/// The id of the entry before, or the empty text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Previous(pub(crate) Option<EntryId>);

impl Serialize for Previous {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.map(|id| id.to_string()).unwrap_or_default())
    }
}

impl<'de> Deserialize<'de> for Previous {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        if text.is_empty() {
            return Ok(Self(None));
        }
        text.parse().map(|id| Self(Some(id))).map_err(de::Error::custom)
    }
}

/// A header as read from its bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    pub(crate) attachments: Vec<AttachmentRef>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) bond: Option<BondRecord>,
    pub(crate) chain: ChainId,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) chain_key: Option<PublicKey>,
    pub(crate) claimed: String,
    pub(crate) format: u32,
    pub(crate) heads: Vec<HeadSeen>,
    pub(crate) kind: Kind,
    pub(crate) kind_version: u32,
    pub(crate) number: u64,
    pub(crate) payload_hash: Digest,
    pub(crate) payload_length: u64,
    pub(crate) person: PersonId,
    pub(crate) previous: Previous,
    pub(crate) site: SiteId,
    pub(crate) subject: Subject,
}

/// Why bytes are no header.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HeaderFault {
    /// More bytes than a header may have.
    #[error("the header has {0} bytes; {MAX_HEADER} are the most")]
    TooLong(usize),
    /// Other signs than printable ASCII.
    #[error("the header has other signs than printable ASCII")]
    NotAscii,
    /// Not canonical, or with other fields.
    #[error("the header is not in its form: {0}")]
    Form(#[from] CanonicalError),
    /// A format that needs a newer version of this program.
    #[error("the header has format {0}; this version reads format {FORMAT}: use a newer one")]
    Newer(u32),
    /// A rule that a single field breaks.
    #[error("the header breaks a rule: {0}")]
    Rule(&'static str),
}

impl Header {
    /// Reads a header from its bytes and checks every rule that it alone can break.
    ///
    /// # Errors
    /// [`HeaderFault`] names the rule.
    pub fn parse(bytes: &[u8]) -> Result<Self, HeaderFault> {
        if bytes.len() > MAX_HEADER {
            return Err(HeaderFault::TooLong(bytes.len()));
        }
        if !bytes.iter().all(|b| matches!(b, 0x20..=0x7e)) {
            return Err(HeaderFault::NotAscii);
        }
        let value = canonical::parse(bytes)?;
        if let canonical::Value::Object(fields) = &value
            && let Some(canonical::Value::Int(format)) = fields.get("format")
            && *format > i64::from(FORMAT)
        {
            return Err(HeaderFault::Newer(u32::try_from(*format).unwrap_or(u32::MAX)));
        }
        let header: Self = canonical::from_value(value)?;
        header.check()?;
        Ok(header)
    }

    pub(crate) fn check(&self) -> Result<(), HeaderFault> {
        let first = self.number == 1;
        let sorted = self.heads.windows(2).all(|pair| pair[0] < pair[1]);
        let mut hashes: Vec<_> = self.attachments.iter().map(|a| a.hash).collect();
        hashes.sort_unstable();
        hashes.dedup();
        let key_fits =
            self.chain_key.as_ref().is_none_or(|key| ChainId::of(&key.to_der()) == self.chain);
        let rules = [
            (self.format == FORMAT, "the format is 1"),
            (self.number >= 1, "numbers begin at 1"),
            (self.kind_version >= 1, "kind versions begin at 1"),
            (first == self.previous.0.is_none(), "number 1 and no other names no entry before it"),
            (first == self.chain_key.is_some(), "number 1 and no other carries the chain's key"),
            (key_fits, "the chain is the hash of its key"),
            (sorted, "heads are in order, each once"),
            (self.heads.len() <= MAX_HEADS, "at most 256 heads"),
            (self.heads.iter().all(|head| head.chain != self.chain), "heads are of other chains"),
            (self.heads.iter().all(|head| head.number >= 1), "numbers of heads begin at 1"),
            (hashes.len() == self.attachments.len(), "each attachment is named once"),
            (self.attachments.len() <= MAX_ATTACHMENTS, "at most 256 attachments"),
            (self.payload_length <= MAX_PAYLOAD as u64, "the payload has at most 16 MiB"),
            (is_claim(&self.claimed), "the claimed time is RFC 3339 with an offset"),
            (
                self.bond.is_none() || !self.person.as_str().is_empty(),
                "a binding entry names its person",
            ),
        ];
        match rules.iter().find(|(kept, _)| !kept) {
            Some((_, rule)) => Err(HeaderFault::Rule(rule)),
            None => Ok(()),
        }
    }

    /// The site.
    pub fn site(&self) -> &SiteId {
        &self.site
    }

    /// The chain.
    pub fn chain(&self) -> &ChainId {
        &self.chain
    }

    /// The chain's public key; in number 1 only.
    pub fn chain_key(&self) -> Option<&PublicKey> {
        self.chain_key.as_ref()
    }

    /// Its place in the chain, from 1.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// The entry before it; none for number 1.
    pub fn previous(&self) -> Option<&EntryId> {
        self.previous.0.as_ref()
    }

    /// Heads of other chains seen since the entry before.
    pub fn heads(&self) -> &[HeadSeen] {
        &self.heads
    }

    /// What the writer took the time to be: RFC 3339 with offset. A claim, never an order.
    pub fn claimed(&self) -> &str {
        &self.claimed
    }

    /// Who acted; empty when no person did.
    pub fn person(&self) -> &PersonId {
        &self.person
    }

    /// What kind of entry it is.
    pub fn kind(&self) -> &str {
        self.kind.as_str()
    }

    /// The version of that kind's payload.
    pub fn kind_version(&self) -> u32 {
        self.kind_version
    }

    /// What it is about.
    pub fn subject(&self) -> &Subject {
        &self.subject
    }

    /// SHA-256 of the payload.
    pub fn payload_hash(&self) -> &Digest {
        &self.payload_hash
    }

    /// Length of the payload in bytes.
    pub fn payload_length(&self) -> u64 {
        self.payload_length
    }

    /// The attachments that it names.
    pub fn attachments(&self) -> &[AttachmentRef] {
        &self.attachments
    }

    /// The person's own signature, in binding entries.
    pub fn bond(&self) -> Option<&BondRecord> {
        self.bond.as_ref()
    }
}

/// Whether a text is RFC 3339 with an offset, numbers in range. Days are not counted by month:
/// the ledger doesn't reckon with time, it only keeps the form.
pub(crate) fn is_claim(text: &str) -> bool {
    let bytes = text.as_bytes();
    let number = |from: usize, to: usize| -> Option<u32> {
        let part = bytes.get(from..to)?;
        let digits = part.iter().all(u8::is_ascii_digit);
        std::str::from_utf8(part).ok().filter(|_| digits)?.parse().ok()
    };
    let sign = |at: usize, wanted: u8| bytes.get(at) == Some(&wanted);
    let in_range =
        |from, to, low, high| number(from, to).is_some_and(|n| (low..=high).contains(&n));
    let date = number(0, 4).is_some() && sign(4, b'-') && in_range(5, 7, 1, 12) && sign(7, b'-');
    let day = in_range(8, 10, 1, 31) && sign(10, b'T');
    let time = in_range(11, 13, 0, 23)
        && sign(13, b':')
        && in_range(14, 16, 0, 59)
        && sign(16, b':')
        && in_range(17, 19, 0, 60);
    let Some(mut rest) = text.get(19..).filter(|_| date && day && time) else { return false };
    if let Some(fraction) = rest.strip_prefix('.') {
        let digits = fraction.bytes().take_while(u8::is_ascii_digit).count();
        if !(1..=9).contains(&digits) {
            return false;
        }
        rest = fraction.get(digits..).unwrap_or_default();
    }
    let offset = rest.as_bytes();
    let pair = |from: usize, high: u32| {
        let part = offset.get(from..from + 2).unwrap_or_default();
        part.iter().all(u8::is_ascii_digit)
            && std::str::from_utf8(part).is_ok_and(|t| t.parse::<u32>().is_ok_and(|n| n <= high))
    };
    rest == "Z"
        || (offset.len() == 6
            && matches!(offset.first(), Some(b'+' | b'-'))
            && pair(1, 23)
            && offset.get(3) == Some(&b':')
            && pair(4, 59))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn claims_are_rfc_3339_with_an_offset() {
        for good in [
            "2026-08-25T18:10:00-04:00",
            "1970-01-01T00:00:00Z",
            "2026-08-25T18:10:00.123456789+05:45",
            "2016-12-31T23:59:60Z",
        ] {
            assert!(is_claim(good), "{good}");
        }
        for bad in [
            "",
            "2026-08-25T18:10:00",
            "2026-08-25 18:10:00Z",
            "2026-13-25T18:10:00Z",
            "2026-08-25T24:10:00Z",
            "2026-08-25T18:10:00+5:45",
            "2026-08-25T18:10:00.Z",
            "2026-08-25T18:10:00z",
            "25/08/2026T18:10:00Z",
            "2026-08-25T18:10:00+05:4５",
        ] {
            assert!(!is_claim(bad), "{bad}");
        }
    }
}
