//! Which chains stand, by the founding and by admissions.

use ledger::kinds::{self, ADMIT, FOUND, Found, Right};
use ledger::{Entry, SiteId, Trust, TrustFault};
use serde_json::json;
use testkit::{ChainWriter, key, subject};

use crate::history::{REVIEWER, admit, story, text, unknown};

fn following(entries: &[&Entry]) -> Trust {
    let mut trust = Trust::new();
    for entry in entries {
        trust.follow(entry).unwrap();
    }
    trust
}

#[test]
fn the_founding_stands_and_so_does_who_was_admitted() {
    let entries = story();
    let trust = following(&entries.iter().filter(|e| e.payload().is_some()).collect::<Vec<_>>());
    assert_eq!(trust.site(), Some(entries[0].header().site()));
    let first = trust.standing(entries[0].header().chain()).unwrap();
    assert_eq!((first.by, first.right), (*entries[0].id(), Right::Admit));
    let second = trust.standing(entries[2].header().chain()).unwrap();
    assert_eq!((second.by, second.right), (*entries[1].id(), Right::Write));
    assert_eq!(trust.standing(&ledger::ChainId::of(b"stranger")), None);
}

fn founding(writer: &mut ChainWriter, change: impl FnOnce(&mut Found)) -> Entry {
    let authority = key(1);
    let mut found = Found {
        site_name: "Another name".to_owned(),
        installation_name: "T9".to_owned(),
        authority_key: authority.public(),
        authority_certificate: String::new(),
        intermediate_certificate: String::new(),
        authority_signature: kinds::sign_founding(&authority, &writer.public_key()).unwrap(),
    };
    change(&mut found);
    writer.write(FOUND, &subject(0), &found, None, Vec::new())
}

fn refused(trust: &mut Trust, entry: &Entry) -> TrustFault {
    let before = format!("{trust:?}");
    let fault = trust.follow(entry).unwrap_err();
    assert_eq!(format!("{trust:?}"), before, "a refused entry has no effect");
    fault
}

#[test]
fn a_founding_needs_its_authority_its_site_and_number_one() {
    let site = SiteId::of(&key(1).public().to_der());
    let mut trust = Trust::new();
    // Signed for another chain: whoever copies a founding doesn't found.
    let entry = founding(&mut ChainWriter::new(site, 5), |found| {
        found.authority_signature = kinds::sign_founding(&key(1), &key(6).public()).unwrap();
    });
    assert_eq!(
        refused(&mut trust, &entry),
        TrustFault::Founding("the authority's signature does not hold")
    );
    // Signed by a key that is not the site's.
    let entry = founding(&mut ChainWriter::new(site, 5), |found| {
        found.authority_key = key(7).public();
    });
    assert!(matches!(refused(&mut trust, &entry), TrustFault::Founding(_)));
    // Not number 1.
    let mut late = ChainWriter::new(site, 5);
    late.write("note_written", &subject(0), &text(&[]), None, Vec::new());
    let entry = founding(&mut late, |_| {});
    assert!(matches!(refused(&mut trust, &entry), TrustFault::Founding(_)));
    // Whole, and then another site's.
    trust.follow(&founding(&mut ChainWriter::new(site, 5), |_| {})).unwrap();
    let other = key(8);
    let mut elsewhere = ChainWriter::new(SiteId::of(&other.public().to_der()), 5);
    let public = elsewhere.public_key();
    let entry = founding(&mut elsewhere, |found| {
        found.authority_key = other.public();
        found.authority_signature = kinds::sign_founding(&other, &public).unwrap();
    });
    assert_eq!(
        refused(&mut trust, &entry),
        TrustFault::Founding("another site was founded here before")
    );
}

#[test]
fn only_an_admitting_chain_of_this_site_admits() {
    let (mut one, found) = ChainWriter::founding();
    let mut two = ChainWriter::new(*one.site(), 3);
    let mut three = ChainWriter::new(*one.site(), 4);
    let four = ChainWriter::new(*one.site(), 5);
    let mut trust = following(&[&found]);
    assert_eq!(refused(&mut trust, &admit(&mut three, &four, Right::Write)), TrustFault::MayNot);
    trust.follow(&admit(&mut one, &two, Right::Write)).unwrap();
    assert_eq!(refused(&mut trust, &admit(&mut two, &four, Right::Write)), TrustFault::MayNot);
    trust.follow(&admit(&mut one, &two, Right::Admit)).unwrap();
    assert_eq!(trust.standing(two.chain()).unwrap().right, Right::Admit, "rights add up");
    trust.follow(&admit(&mut two, &four, Right::Write)).unwrap();
    assert_eq!(trust.standing(four.chain()).unwrap().right, Right::Write);

    // The founding chain's key, writing under another site's name.
    let mut elsewhere = ChainWriter::new(SiteId::of(b"elsewhere"), 2);
    assert_eq!(elsewhere.chain(), one.chain());
    let entry = admit(&mut elsewhere, &three, Right::Admit);
    assert_eq!(refused(&mut trust, &entry), TrustFault::MayNot);
}

#[test]
fn admissions_give_the_same_in_any_order() {
    let (mut one, found) = ChainWriter::founding();
    let two = ChainWriter::new(*one.site(), 3);
    let narrow = admit(&mut one, &two, Right::Write);
    let wide = admit(&mut one, &two, Right::Admit);
    let again = admit(&mut one, &two, Right::Admit);
    let one_way = following(&[&found, &narrow, &wide, &again]);
    let other_way = following(&[&found, &again, &narrow, &wide]);
    assert_eq!(one_way.standing(two.chain()), other_way.standing(two.chain()));
    assert_eq!(one_way.standing(two.chain()).unwrap().right, Right::Admit);
    let mut itself = following(&[&found]);
    let own = admit(&mut one, &ChainWriter::new(*found.header().site(), 2), Right::Write);
    itself.follow(&own).unwrap();
    assert_eq!(itself.standing(one.chain()).unwrap().by, *found.id(), "the founding stays");
}

#[test]
fn an_admission_names_the_chain_after_its_key() {
    let (mut one, found) = ChainWriter::founding();
    let two = ChainWriter::new(*one.site(), 3);
    let payload = json!({
        "chain": two.chain(),
        "chain_key": key(REVIEWER).public(),
        "installation_name": "T2",
        "right": "write",
    });
    let entry = one.write(ADMIT, &subject(0), &payload, None, Vec::new());
    assert_eq!(refused(&mut following(&[&found]), &entry), TrustFault::KeyMismatch);
}

#[test]
fn reserved_kinds_need_a_newer_version_and_unknown_ones_change_nothing() {
    let (_, found) = ChainWriter::founding();
    let mut trust = following(&[&found]);
    for kind in ["revoke", "redact", "close_chain"] {
        let entry = unknown(&found, kind, 1, b"{}");
        assert_eq!(refused(&mut trust, &entry), TrustFault::Newer(kind.to_owned()));
    }
    for kind in kinds::OWN {
        let entry = unknown(&found, kind, 2, b"{}");
        assert_eq!(refused(&mut trust, &entry), TrustFault::Newer(kind.to_owned()));
    }
    let before = format!("{trust:?}");
    trust.follow(&unknown(&found, "admits", 1, b"\"what else\"")).unwrap();
    assert_eq!(format!("{trust:?}"), before);
}

#[test]
fn own_kinds_with_other_payloads_are_faults_of_their_own() {
    let (mut one, found) = ChainWriter::founding();
    let two = ChainWriter::new(*one.site(), 3);
    let mut trust = following(&[&found]);
    for kind in ["found", "admit", "acknowledge"] {
        let fault = refused(&mut trust, &unknown(&found, kind, 1, b"{\"more\":1}"));
        assert!(matches!(fault, TrustFault::Form { .. }), "{kind}: {fault}");
    }
    let entry = admit(&mut one, &two, Right::Write);
    let bare = Entry::from_stored(entry.header_bytes(), None, entry.signature()).unwrap();
    let fault = refused(&mut trust, &bare);
    assert!(fault.to_string().contains("absent"), "{fault}");
}
