//! What a header may hold at the most, and the rules between its fields.

use ledger::{
    AttachmentRef, ChainId, Digest, Draft, Entry, EntryId, HeadSeen, Header, HeaderFault, Kind,
    MAX_ATTACHMENTS, MAX_HEADER, MAX_HEADS, MAX_PAYLOAD, PersonId, Place, SealError, SiteId, seal,
};
use serde_json::{Value, json};
use testkit::{key, subject};

use crate::history::{FIRST, bent, story};

fn place() -> Place {
    Place {
        site: SiteId::of(b"site"),
        chain: ChainId::of(&key(FIRST).public().to_der()),
        number: 2,
        previous: Some(EntryId::of(b"before")),
        heads: Vec::new(),
    }
}

fn draft() -> Draft {
    Draft {
        claimed: "2026-08-24T07:00:00-04:00".to_owned(),
        person: PersonId::new("").unwrap(),
        kind: Kind::new("note_written").unwrap(),
        kind_version: 1,
        subject: subject(1),
        payload: b"{}".to_vec(),
        attachments: Vec::new(),
    }
}

fn heads(count: usize) -> Vec<HeadSeen> {
    let name = |index: usize| index.to_string().into_bytes();
    (0..count)
        .map(|index| HeadSeen {
            chain: ChainId::of(&name(index)),
            number: 9_007_199_254_740_991,
            id: EntryId::of(&name(index)),
        })
        .collect()
}

fn attachments(count: usize) -> Vec<AttachmentRef> {
    (0..count)
        .map(|index| AttachmentRef { hash: Digest::of(&index.to_le_bytes()), length: 1 })
        .collect()
}

fn sealed(place: &Place, draft: Draft) -> Result<Entry, SealError> {
    seal(place, draft, &key(FIRST), None)
}

#[test]
fn heads_and_attachments_fit_up_to_their_limit() {
    let full = sealed(&Place { heads: heads(MAX_HEADS), ..place() }, draft()).unwrap();
    assert_eq!(full.header().heads().len(), MAX_HEADS);
    assert!(full.header().heads().is_sorted(), "sealing sorts them");
    let draft_with = |count| Draft { attachments: attachments(count), ..draft() };
    let full = sealed(&place(), draft_with(MAX_ATTACHMENTS)).unwrap();
    assert_eq!(full.header().attachments().len(), MAX_ATTACHMENTS);

    let fault = sealed(&Place { heads: heads(MAX_HEADS + 1), ..place() }, draft()).unwrap_err();
    assert_eq!(fault, SealError::Header(HeaderFault::Rule("at most 256 heads")));
    let fault = sealed(&place(), draft_with(MAX_ATTACHMENTS + 1)).unwrap_err();
    assert_eq!(fault, SealError::Header(HeaderFault::Rule("at most 256 attachments")));
    let both = sealed(&Place { heads: heads(MAX_HEADS), ..place() }, draft_with(MAX_ATTACHMENTS));
    assert!(both.unwrap_err().to_string().contains("65536 are the most"));
}

#[test]
fn a_header_of_more_bytes_is_not_even_read() {
    let fault = Header::parse(&vec![b'['; MAX_HEADER + 1]).unwrap_err();
    assert_eq!(fault, HeaderFault::TooLong(MAX_HEADER + 1));
}

#[test]
fn a_payload_fits_up_to_its_limit_and_is_canonical() {
    let of_length = |length: usize| {
        let payload = format!("\"{}\"", "x".repeat(length - 2)).into_bytes();
        sealed(&place(), Draft { payload, ..draft() })
    };
    assert_eq!(of_length(MAX_PAYLOAD).unwrap().header().payload_length(), MAX_PAYLOAD as u64);
    assert!(matches!(of_length(MAX_PAYLOAD + 1), Err(SealError::Payload(_))));
    for loose in ["{} ", "null", "1.0", "{\"b\":1,\"a\":1}", ""] {
        let payload = loose.as_bytes().to_vec();
        let fault = sealed(&place(), Draft { payload, ..draft() }).unwrap_err();
        assert!(matches!(fault, SealError::Payload(_)), "{loose}: {fault}");
    }
}

#[test]
fn a_draft_that_breaks_a_rule_is_not_sealed() {
    let rule = |place: &Place, draft: Draft| match sealed(place, draft).unwrap_err() {
        SealError::Header(HeaderFault::Rule(rule)) => rule,
        other => panic!("{other}"),
    };
    let claimed = "yesterday".to_owned();
    assert!(rule(&place(), Draft { claimed, ..draft() }).contains("RFC 3339"));
    assert!(rule(&place(), Draft { kind_version: 0, ..draft() }).contains("versions begin"));
    let first = Place { number: 1, ..place() };
    assert!(rule(&first, draft()).contains("no entry before it"));
    assert!(rule(&Place { previous: None, ..place() }, draft()).contains("no entry before it"));
    let own = HeadSeen { chain: place().chain, number: 1, id: EntryId::of(b"own") };
    assert!(rule(&Place { heads: vec![own], ..place() }, draft()).contains("other chains"));
    let other = Place { chain: ChainId::of(b"another"), ..place() };
    let fault = sealed(&other, draft()).unwrap_err();
    assert!(matches!(fault, SealError::Verify(_)), "the key is not the chain's: {fault}");
}

#[test]
fn each_rule_of_a_header_is_told_apart() {
    let entry = &story()[2];
    let hash = Digest::of(b"another").to_string();
    let attachment = json!({ "hash": hash, "length": 1 });
    let head = |chain: &str, number| json!({ "chain": chain, "id": hash, "number": number });
    let cases: [(&str, Value, &str); 10] = [
        ("format", json!(0), "format is 1"),
        ("number", json!(0), "numbers begin at 1"),
        ("number", json!(2), "no entry before it"),
        ("kind_version", json!(0), "versions begin at 1"),
        ("heads", json!([head(&hash, 2), head(&hash, 1)]), "in order"),
        ("heads", json!([head(&hash, 1), head(&hash, 1)]), "in order"),
        ("heads", json!([head(&hash, 0)]), "heads begin at 1"),
        ("attachments", json!([attachment, attachment]), "named once"),
        ("payload_length", json!(MAX_PAYLOAD + 1), "16 MiB"),
        ("claimed", json!("2026-08-24 07:00"), "RFC 3339"),
    ];
    for (field, value, part) in cases {
        let bytes = bent(entry, |header| header[field] = value.clone());
        let fault = Header::parse(&bytes).unwrap_err();
        let HeaderFault::Rule(rule) = fault else { panic!("{field} {value}: {fault}") };
        assert!(rule.contains(part), "{field} {value}: {rule}");
    }
}
