//! The person's signature: the chain's own key can't speak for a person.

use ledger::{Entry, EntryFault, KeyFault};
use serde_json::{Value, json};
use testkit::{ChainWriter, key, subject};

use crate::history::{FIRST, REVIEWER, bent, text};

/// Two entries that bind the same person in the same role, on the founding chain.
fn bound() -> [Entry; 2] {
    let reviewer = key(REVIEWER);
    let (mut writer, _) = ChainWriter::founding();
    ["accepted", "rejected"].map(|decision| {
        let payload = text(&[("decision", decision)]);
        let person = Some(("P-03", "supervisor", &reviewer));
        writer.write("record_reviewed", &subject(1), &payload, person, Vec::new())
    })
}

/// The header bent and signed by the chain again, as its installation could do.
fn resealed(entry: &Entry, change: impl FnOnce(&mut Value)) -> Result<Entry, EntryFault> {
    let header = bent(entry, change);
    let signature = key(FIRST).sign(&header);
    Entry::verify(&header, None, &signature, &key(FIRST).public())
}

const NOT_BOUND: EntryFault = EntryFault::Bond(KeyFault::DoesNotFit);

#[test]
fn a_bond_names_its_key_and_role() {
    let [entry, _] = bound();
    let bond = entry.header().bond().unwrap();
    assert_eq!((bond.key(), bond.role()), (&key(REVIEWER).public(), "supervisor"));
}

#[test]
fn another_key_another_role_or_another_entry_breaks_the_bond() {
    let [entry, other] = bound();
    resealed(&entry, |_| {}).unwrap();
    let stranger = json!(key(41).public().to_string());
    assert_eq!(resealed(&entry, |h| h["bond"]["key"] = stranger).unwrap_err(), NOT_BOUND);
    let role = json!("owner_witness");
    assert_eq!(resealed(&entry, |h| h["bond"]["role"] = role).unwrap_err(), NOT_BOUND);
    let moved: Value = serde_json::from_slice(other.header_bytes()).unwrap();
    let moved = moved["bond"].clone();
    assert_eq!(resealed(&entry, |h| h["bond"] = moved).unwrap_err(), NOT_BOUND);
}

#[test]
fn a_bond_of_no_form_or_without_a_person_is_refused() {
    let [entry, _] = bound();
    let form = EntryFault::Bond(KeyFault::NotASignature);
    for text in ["", "not base64!", "MAYCAQECAQE"] {
        let fault = resealed(&entry, |h| h["bond"]["signature"] = json!(text)).unwrap_err();
        assert_eq!(fault, form, "{text}");
    }
    let fault = resealed(&entry, |h| h["person"] = json!("")).unwrap_err();
    assert!(fault.to_string().contains("names its person"), "{fault}");
}

/// What the person signed, by `docs/format.md`: everything but the bond itself and what follows
/// from the rest (the payload's length).
#[test]
fn the_installation_cannot_change_what_the_person_signed() {
    let [entry, _] = bound();
    let hash = ledger::Digest::of(b"another").to_string();
    let covered = [
        ("attachments", json!([{ "hash": hash, "length": 1 }])),
        ("claimed", json!("2026-08-24T07:00:01-04:00")),
        ("heads", json!([{ "chain": hash, "id": hash, "number": 1 }])),
        ("kind", json!("record_released")),
        ("kind_version", json!(2)),
        ("number", json!(7)),
        ("payload_hash", json!(hash)),
        ("person", json!("P-99")),
        ("previous", json!(hash)),
        ("site", json!(hash)),
        ("subject", json!("01990000-0000-7000-8000-0000000000ff")),
    ];
    for (field, value) in covered {
        assert_eq!(resealed(&entry, |h| h[field] = value).unwrap_err(), NOT_BOUND, "{field}");
    }
}

#[test]
fn a_bond_can_be_left_out_only_by_making_another_entry() {
    let [entry, _] = bound();
    let bare = resealed(&entry, |header| {
        header.as_object_mut().unwrap().remove("bond");
    })
    .unwrap();
    assert_ne!(bare.id(), entry.id());
    assert!(bare.header().bond().is_none(), "whoever judges by it sees that nobody is bound");
}
