//! An entry by itself: what verifies, and that every change shows.

use std::collections::BTreeSet;

use ledger::{Digest, Entry, EntryFault, EntryId, HeaderFault, KeyFault};
use p256::ecdsa::Signature;
use serde_json::{Value, json};
use testkit::{ChainWriter, key};

use crate::history::{FIRST, bent, chain_key, story};

fn verify(header: &[u8], entry: &Entry) -> Result<Entry, EntryFault> {
    Entry::verify(header, entry.payload(), entry.signature(), &chain_key(entry))
}

#[test]
fn every_entry_of_the_story_verifies_from_its_bytes() {
    for entry in story() {
        let read = verify(entry.header_bytes(), &entry).unwrap();
        assert_eq!(read, entry);
        assert_eq!(*read.id(), EntryId::of(read.header_bytes()));
        assert_eq!(read.signature(), entry.signature());
    }
}

/// Another value for a field, itself within the rules wherever the field leaves room for one.
fn other_value(field: &str, header: &Value) -> Value {
    let hash = Digest::of(b"another").to_string();
    match field {
        "attachments" => json!([{ "hash": hash, "length": 3 }]),
        "bond" => json!({
            "key": key(41).public().to_string(),
            "role": "witness",
            "signature": header["bond"]["signature"],
        }),
        "chain" | "payload_hash" | "previous" | "site" => json!(hash),
        "chain_key" => json!(key(41).public().to_string()),
        "claimed" => json!("2026-08-24T07:00:01-04:00"),
        "format" => json!(2),
        "heads" => json!([{ "chain": hash, "id": hash, "number": 1 }]),
        "kind" => json!("another"),
        "kind_version" => json!(2),
        "number" => json!(8),
        "payload_length" => json!(1),
        "person" => json!("P-99"),
        "subject" => json!("01990000-0000-7000-8000-0000000000ff"),
        other => panic!("the header has a field that this test does not change: {other}"),
    }
}

#[test]
fn every_changed_header_field_is_refused() {
    let mut changed = BTreeSet::new();
    for entry in story() {
        let header: Value = serde_json::from_slice(entry.header_bytes()).unwrap();
        for field in header.as_object().unwrap().keys() {
            let bytes = bent(&entry, |header| header[field] = other_value(field, header));
            assert_ne!(bytes, entry.header_bytes(), "{field}");
            let fault = verify(&bytes, &entry).unwrap_err();
            let fits = match field.as_str() {
                "format" => fault == EntryFault::Header(HeaderFault::Newer(2)),
                "chain_key" => matches!(fault, EntryFault::Header(HeaderFault::Rule(_))),
                "chain" if entry.header().number() == 1 => {
                    matches!(fault, EntryFault::Header(HeaderFault::Rule(_)))
                }
                "chain" => fault == EntryFault::OtherChain,
                "number" | "previous" if entry.header().number() == 1 => {
                    matches!(fault, EntryFault::Header(HeaderFault::Rule(_)))
                }
                "payload_hash" if entry.payload().is_some() => {
                    matches!(fault, EntryFault::Payload { .. })
                }
                "payload_length" if entry.payload().is_some() => {
                    matches!(fault, EntryFault::PayloadLength { .. })
                }
                _ => fault == EntryFault::Signature(KeyFault::DoesNotFit),
            };
            assert!(fits, "{field}: {fault}");
            changed.insert(field.clone());
        }
    }
    assert_eq!(changed.len(), 16, "every field that a header can have: {changed:?}");
}

#[test]
fn added_removed_and_respelled_fields_are_refused() {
    let entry = &story()[2];
    let refused = |bytes: &[u8]| {
        let fault = verify(bytes, entry).unwrap_err();
        assert!(matches!(fault, EntryFault::Header(HeaderFault::Form(_))), "{fault}");
    };
    refused(&bent(entry, |header| header["more"] = json!("x")));
    refused(&bent(entry, |header| {
        header.as_object_mut().unwrap().remove("claimed");
    }));
    refused(&bent(entry, |header| header["number"] = json!("1")));
    let spaced = String::from_utf8(entry.header_bytes().to_vec()).unwrap().replacen(':', ": ", 1);
    refused(spaced.as_bytes());
    refused(b"");
    let fault = verify("{\"kind\":\"é\"}".as_bytes(), entry).unwrap_err();
    assert_eq!(fault, EntryFault::Header(HeaderFault::NotAscii));
}

#[test]
fn a_changed_or_cut_payload_is_refused_and_an_absent_one_is_not() {
    let entry = &story()[2];
    let payload = entry.payload().unwrap();
    let read = |payload: Option<&[u8]>| {
        Entry::verify(entry.header_bytes(), payload, entry.signature(), &chain_key(entry))
    };
    let mut changed = payload.to_vec();
    changed[10] ^= 1;
    assert!(matches!(read(Some(&changed)), Err(EntryFault::Payload { .. })));
    let cut = &payload[..payload.len() - 1];
    assert!(matches!(read(Some(cut)), Err(EntryFault::PayloadLength { .. })));
    assert!(matches!(read(Some(b"")), Err(EntryFault::PayloadLength { .. })));
    assert_eq!(read(None).unwrap().payload(), None);
}

#[test]
fn signatures_by_other_keys_and_high_twins_are_refused() {
    let (_, found) = ChainWriter::founding();
    let with = |signature: &[u8], key| {
        Entry::verify(found.header_bytes(), found.payload(), signature, &key)
    };
    let own = key(FIRST);
    let forged = key(41).sign(found.header_bytes());
    let fault = with(&forged, own.public()).unwrap_err();
    assert_eq!(fault, EntryFault::Signature(KeyFault::DoesNotFit));
    let fault = with(&forged, key(41).public()).unwrap_err();
    assert_eq!(fault, EntryFault::OtherChain, "an entry is verified with its chain's key alone");

    let low = Signature::from_der(found.signature()).unwrap();
    let (r, s) = low.split_scalars();
    let high = Signature::from_scalars(*r, -*s).unwrap().to_der();
    let fault = with(high.as_bytes(), own.public()).unwrap_err();
    assert_eq!(fault, EntryFault::Signature(KeyFault::HighS));
    for form in [&b""[..], &found.signature()[1..], b"0\x06\x02\x01\x01\x02\x01"] {
        let fault = with(form, own.public()).unwrap_err();
        assert_eq!(fault, EntryFault::Signature(KeyFault::NotASignature));
    }
}
