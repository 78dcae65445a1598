//! A small history that holds one of everything, and the tools to bend headers.

use std::collections::BTreeMap;

use ledger::kinds::{ACKNOWLEDGE, ADMIT, Acknowledge, Admit, Right};
use ledger::{
    ChainVerifier, Digest, Draft, Entry, HeadSeen, Kind, PersonId, Place, PublicKey, archive,
    canonical, seal,
};
use serde_json::Value;
use testkit::{ChainWriter, key, subject};

/// The seed of the founding chain's key, of the second chain's, and of the reviewer's.
pub(crate) const FIRST: u8 = 2;
pub(crate) const SECOND: u8 = 3;
pub(crate) const REVIEWER: u8 = 40;

/// Text that tries every rule of canonical strings: accents, other scripts, signs beyond the
/// basic plane, quotes, backslashes and control signs.
pub(crate) const HARD_TEXT: &str =
    "junta tórica Ø 12 mm, 24 °C; \"apretada\" C:\\x/y\n\tpressão; 圧力; 😀 e\u{301} \u{1}\u{1f}";

pub(crate) fn text(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
    pairs.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}

/// An entry that names `admitted` in its payload.
pub(crate) fn admit(by: &mut ChainWriter, admitted: &ChainWriter, right: Right) -> Entry {
    let payload = Admit {
        chain: *admitted.chain(),
        chain_key: admitted.public_key(),
        installation_name: "T2".to_owned(),
        right,
        intermediate_certificate: None,
    };
    by.write(ADMIT, &subject(0), &payload, None, Vec::new())
}

/// A founding, an admission, a second chain that has seen the first, an attachment, an
/// acknowledgement, a kind that nobody knows, two entries that bind a person, and one whose
/// payload is gone. Ten entries in the order in which they were written.
pub(crate) fn story() -> Vec<Entry> {
    let reviewer = key(REVIEWER);
    let (mut one, found) = ChainWriter::founding();
    let mut two = ChainWriter::new(*one.site(), SECOND);
    let admitted = admit(&mut one, &two, Right::Write);

    two.see(&admitted);
    let hard = text(&[("text", HARD_TEXT)]);
    let noted = two.write("note_written", &subject(1), &hard, None, Vec::new());
    let photo = ChainWriter::attach(b"the bytes of a photo");
    let log = ChainWriter::attach(b"");
    let said = text(&[("shows", "gauge PG-03 at the start of the hold")]);
    let photographed = two.write("photo_taken", &subject(1), &said, None, vec![photo, log]);

    one.see(&photographed);
    one.claim("2026-08-24T07:00:00.250-04:00");
    let heads = vec![HeadSeen {
        chain: *two.chain(),
        number: photographed.header().number(),
        id: *photographed.id(),
    }];
    let got = Acknowledge { heads, attachments: vec![photo.hash, log.hash] };
    let acknowledged = one.write(ACKNOWLEDGE, &subject(0), &got, None, Vec::new());
    let strange = unknown(&acknowledged, "kind_of_tomorrow", 7, b"[1,[\"two\",{\"three\":-3}]]");
    one.go_back_to(&strange);
    let act = text(&[("decision", "accepted")]);
    let bound = Some(("P-03", "supervisor", &reviewer));
    let reviewed = one.write("record_reviewed", &subject(1), &act, bound, Vec::new());

    two.see(&reviewed);
    two.claim("2026-08-24T11:05:00Z");
    let witnessed = Some(("P-04", "witness", &reviewer));
    let seen = two.write("record_witnessed", &subject(1), &act, witnessed, vec![photo]);
    let personal = text(&[("name", "gone by law")]);
    let full = two.write("note_written", &subject(2), &personal, None, Vec::new());
    let gone = Entry::from_stored(full.header_bytes(), None, full.signature()).unwrap();
    let last = two.write("note_written", &subject(2), &hard, None, Vec::new());
    vec![found, admitted, noted, photographed, acknowledged, strange, reviewed, seen, gone, last]
}

/// Seals an entry of any kind, version and payload after `before` on the founding chain.
pub(crate) fn unknown(before: &Entry, kind: &str, version: u32, payload: &[u8]) -> Entry {
    let header = before.header();
    let place = Place {
        site: *header.site(),
        chain: *header.chain(),
        number: header.number() + 1,
        previous: Some(*before.id()),
        heads: Vec::new(),
    };
    let draft = Draft {
        claimed: "2026-08-24T07:30:00-04:00".to_owned(),
        person: PersonId::new("").unwrap(),
        kind: Kind::new(kind).unwrap(),
        kind_version: version,
        subject: subject(9),
        payload: payload.to_vec(),
        attachments: Vec::new(),
    };
    seal(&place, draft, &key(FIRST), None).unwrap()
}

/// The key of the chain that an entry of the story is on.
pub(crate) fn chain_key(entry: &Entry) -> PublicKey {
    let keys = [FIRST, SECOND].map(|seed| key(seed).public());
    let named = |key: &&PublicKey| ledger::ChainId::of(&key.to_der()) == *entry.header().chain();
    *keys.iter().find(named).unwrap()
}

/// The header as JSON, changed, in its canonical bytes again.
pub(crate) fn bent(entry: &Entry, change: impl FnOnce(&mut Value)) -> Vec<u8> {
    let mut header: Value = serde_json::from_slice(entry.header_bytes()).unwrap();
    change(&mut header);
    canonical::to_bytes(&header).unwrap()
}

pub(crate) fn archive_of(entries: &[Entry]) -> Vec<u8> {
    let mut out = Vec::new();
    for entry in entries {
        archive::write_line(&mut out, entry).unwrap();
    }
    out
}

/// What reading and verifying an archive gives: entries by id with the hash of their payload, and
/// every fault as a sentence.
pub(crate) fn examine(bytes: &[u8]) -> (BTreeMap<String, Option<Digest>>, Vec<String>) {
    let (mut verifier, mut entries) = (ChainVerifier::new(), BTreeMap::new());
    let mut faults = Vec::new();
    for line in archive::read_lines(bytes) {
        match line {
            Err(fault) => faults.push(fault.to_string()),
            Ok(parts) => {
                let payload = parts.payload.as_deref();
                if let Some(entry) = verifier.feed(&parts.header, payload, &parts.signature) {
                    entries.insert(entry.id().to_string(), entry.payload().map(Digest::of));
                }
            }
        }
    }
    faults.extend(verifier.faults().iter().map(ToString::to_string));
    (entries, faults)
}

/// Feeds entries and gives the faults.
pub(crate) fn faults_of<'a>(
    entries: impl IntoIterator<Item = &'a Entry>,
) -> Vec<ledger::ChainFault> {
    let mut verifier = ChainVerifier::new();
    for entry in entries {
        verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
    }
    verifier.faults().to_vec()
}
