//! Chains: gaps, broken links, strangers and forks, all of them noted.

use ledger::{ChainFault, ChainVerifier, Entry, EntryFault, ForkProof, Head, KeyFault, SiteId};
use p256::ecdsa::signature::hazmat::RandomizedPrehashSigner as _;
use serde_json::json;
use testkit::{ChainWriter, key, subject};

use crate::history::{FIRST, archive_of, bent, examine, faults_of, story, text};

fn notes(writer: &mut ChainWriter, names: &[&str]) -> Vec<Entry> {
    let note = |name: &&str| {
        let payload = text(&[("text", name)]);
        writer.write("note_written", &subject(1), &payload, None, Vec::new())
    };
    names.iter().map(note).collect()
}

/// A founding and five notes.
fn chain() -> Vec<Entry> {
    let (mut writer, found) = ChainWriter::founding();
    let mut entries = vec![found];
    entries.extend(notes(&mut writer, &["2", "3", "4", "5", "6"]));
    entries
}

fn without(entries: &[Entry], number: u64) -> Vec<Entry> {
    entries.iter().filter(|entry| entry.header().number() != number).cloned().collect()
}

#[test]
fn the_story_holds_and_its_heads_are_reached() {
    let entries = story();
    let mut verifier = ChainVerifier::of_site(*entries[0].header().site());
    for entry in &entries {
        assert!(verifier.feed(entry.header_bytes(), entry.payload(), entry.signature()).is_some());
    }
    assert_eq!(verifier.faults(), []);
    assert_eq!(verifier.entries(), 10);
    assert_eq!(verifier.site(), Some(entries[0].header().site()));
    for (last, number) in [(&entries[6], 5), (&entries[9], 5)] {
        let heads: Vec<_> = verifier.frontier().heads(last.header().chain()).collect();
        assert_eq!(heads, [&Head { number, id: *last.id() }]);
    }
}

#[test]
fn a_missing_middle_is_a_gap_and_the_heads_stay_before_it() {
    let entries = chain();
    let mut verifier = ChainVerifier::new();
    for entry in [&entries[0], &entries[1], &entries[4], &entries[5]] {
        assert!(verifier.feed(entry.header_bytes(), entry.payload(), entry.signature()).is_some());
    }
    let chain = *entries[0].header().chain();
    assert_eq!(verifier.faults(), [ChainFault::Gap { chain, from: 3, to: 4 }]);
    let heads: Vec<_> = verifier.frontier().heads(&chain).collect();
    assert_eq!(heads, [&Head { number: 2, id: *entries[1].id() }]);
    assert_eq!(verifier.frontier().forked().count(), 0, "a gap is no fork");
}

#[test]
fn without_number_one_there_is_no_key() {
    let entries = without(&chain(), 1);
    let faults = faults_of(&entries);
    let (chain, numbers) = (*entries[0].header().chain(), 2..=6);
    let wanted: Vec<_> = numbers.map(|number| ChainFault::NoKey { chain, number }).collect();
    assert_eq!(faults, wanted);
}

#[test]
fn a_bad_number_one_still_gives_its_key() {
    let entries = chain();
    let mut verifier = ChainVerifier::new();
    let chain = *entries[0].header().chain();
    verifier.feed(entries[0].header_bytes(), entries[0].payload(), entries[1].signature());
    for entry in &entries[1..] {
        verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
    }
    let fault = EntryFault::Signature(KeyFault::DoesNotFit);
    let first = ChainFault::Entry { chain: chain.to_string(), number: 1, fault };
    assert_eq!(verifier.faults(), [first, ChainFault::Gap { chain, from: 1, to: 1 }]);
}

#[test]
fn a_changed_payload_is_one_fault_and_the_chain_goes_on() {
    let entries = chain();
    let mut verifier = ChainVerifier::new();
    for entry in &entries {
        let changed = entry.header().number() == 3;
        let payload = if changed { Some(&b"{}"[..]) } else { entry.payload() };
        let read = verifier.feed(entry.header_bytes(), payload, entry.signature());
        assert_eq!(read.is_some(), !changed);
    }
    let [ChainFault::Entry { number: 3, fault: EntryFault::PayloadLength { .. }, .. }] =
        verifier.faults()
    else {
        panic!("{:?}", verifier.faults());
    };
}

#[test]
fn another_previous_is_a_broken_link() {
    let entries = chain();
    let header = bent(&entries[3], |header| header["previous"] = json!(entries[0].id()));
    let signature = key(FIRST).sign(&header);
    let mut verifier = ChainVerifier::new();
    for entry in &entries[..3] {
        verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
    }
    verifier.feed(&header, entries[3].payload(), &signature);
    let wanted = ChainFault::Broken {
        chain: *entries[0].header().chain(),
        number: 4,
        named: entries[0].id().to_string(),
        before: *entries[2].id(),
    };
    assert_eq!(verifier.faults(), [wanted]);
}

#[test]
fn entries_of_another_site_are_named_and_left_out() {
    let (_, found) = ChainWriter::founding();
    let site = SiteId::of(b"another");
    let mut stranger = ChainWriter::new(site, 9);
    let strange = notes(&mut stranger, &["1", "2"]);
    let faults = faults_of([&found, &strange[0], &strange[1]]);
    let chain = *stranger.chain();
    let other = |number| ChainFault::OtherSite { chain, number, site };
    assert_eq!(faults, [other(1), other(2)]);

    let mut verifier = ChainVerifier::of_site(site);
    verifier.feed(found.header_bytes(), found.payload(), found.signature());
    assert!(matches!(verifier.faults(), [ChainFault::OtherSite { number: 1, .. }]));
}

#[test]
fn the_same_entry_twice_is_no_fault_and_going_back_is() {
    let entries = chain();
    let twice = [&entries[0], &entries[0], &entries[1], &entries[1]];
    assert_eq!(faults_of(twice), []);
    let back = [&entries[0], &entries[1], &entries[2], &entries[1]];
    let chain = *entries[0].header().chain();
    assert_eq!(faults_of(back), [ChainFault::Order { chain, number: 2, after: 3 }]);
}

/// A chain that was forked at 3: 1, 2, then 3 and 4 twice.
fn forked() -> Vec<Entry> {
    let (mut writer, found) = ChainWriter::founding();
    let common = notes(&mut writer, &["2"]);
    let left = notes(&mut writer, &["3 left", "4 left"]);
    writer.go_back_to(&common[0]);
    let right = notes(&mut writer, &["3 right", "4 right"]);
    let [l3, l4] = <[Entry; 2]>::try_from(left).unwrap();
    let [r3, r4] = <[Entry; 2]>::try_from(right).unwrap();
    vec![found, common[0].clone(), l3, r3, l4, r4]
}

#[test]
fn a_fork_keeps_both_heads_and_is_proved_from_json_alone() {
    let entries = forked();
    let mut verifier = ChainVerifier::new();
    for entry in &entries {
        let read = verifier.feed(entry.header_bytes(), entry.payload(), entry.signature());
        assert!(read.is_some(), "both sides hold by themselves");
    }
    let chain = *entries[0].header().chain();
    let mut places = Vec::new();
    for fault in verifier.faults() {
        let ChainFault::Fork { number, proof, .. } = fault else { panic!("{fault}") };
        // A third party has this text and nothing else.
        let json = serde_json::to_string(proof).unwrap();
        let theirs: ForkProof = serde_json::from_str(&json).unwrap();
        assert_eq!(theirs.verify().unwrap(), (chain, *number));
        places.push(*number);
    }
    assert_eq!(places, [3, 4], "each side follows its own branch, so no link is broken");
    let heads: Vec<_> = verifier.frontier().heads(&chain).map(|head| head.id).collect();
    assert_eq!(heads.len(), 2);
    assert!(heads.contains(entries[4].id()) && heads.contains(entries[5].id()));
    assert_eq!(verifier.frontier().forked().collect::<Vec<_>>(), [&chain]);
}

#[test]
fn a_fork_proof_is_the_same_from_either_side_and_proves_only_a_fork() {
    let entries = forked();
    let chain_key = key(FIRST).public();
    let proof = ForkProof::new(&entries[2], &entries[3], &chain_key).unwrap();
    assert_eq!(proof, ForkProof::new(&entries[3], &entries[2], &chain_key).unwrap());
    assert!(ForkProof::new(&entries[2], &entries[4], &chain_key).is_err(), "other numbers");
    assert!(ForkProof::new(&entries[2], &entries[3], &key(41).public()).is_err(), "other key");

    let mut forged = proof.clone();
    forged.other.header = forged.other.header.replace("note_written", "lock_removed");
    assert!(forged.verify().is_err());
    let mut forged = proof;
    forged.other = forged.one.clone();
    assert!(forged.verify().is_err(), "one side twice");
}

#[test]
fn the_same_header_with_another_valid_signature_is_the_same_entry() {
    let (mut writer, found) = ChainWriter::founding();
    let entry = &notes(&mut writer, &["2"])[0];
    // ECDSA takes any nonce: a second signature that holds, in the lower half as well.
    let own = p256::ecdsa::SigningKey::from_slice(&[FIRST; 32]).unwrap();
    let hash = ledger::Digest::of(entry.header_bytes());
    let mut random = Counter(7);
    let signature: p256::ecdsa::Signature =
        own.sign_prehash_with_rng(&mut random, hash.as_bytes()).unwrap();
    let signature = signature.normalize_s().unwrap_or(signature).to_der();
    assert_ne!(signature.as_bytes(), entry.signature());
    let public = key(FIRST).public();
    let twin = Entry::verify(entry.header_bytes(), entry.payload(), signature.as_bytes(), &public)
        .unwrap();
    assert_eq!(&twin, entry);
    assert_eq!(faults_of([&found, entry, &twin]), []);
    assert!(ForkProof::new(entry, &twin, &public).is_err());
}

/// Numbers that are not random at all.
struct Counter(u64);

impl p256::elliptic_curve::rand_core::RngCore for Counter {
    fn next_u32(&mut self) -> u32 {
        u32::try_from(self.next_u64() & 0xffff_ffff).unwrap()
    }

    fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        self.0
    }

    fn fill_bytes(&mut self, bytes: &mut [u8]) {
        for byte in bytes {
            *byte = self.next_u64().to_le_bytes()[7];
        }
    }

    fn try_fill_bytes(
        &mut self,
        bytes: &mut [u8],
    ) -> Result<(), p256::elliptic_curve::rand_core::Error> {
        self.fill_bytes(bytes);
        Ok(())
    }
}

impl p256::elliptic_curve::rand_core::CryptoRng for Counter {}

#[test]
fn faults_are_collected_and_none_hides_the_next() {
    let entries = chain();
    let mut lines: Vec<String> =
        String::from_utf8(archive_of(&entries)).unwrap().lines().map(ToOwned::to_owned).collect();
    lines[1] = lines[1].replace("note_written", "note_wrltten");
    lines[3] = lines[3].replace(r#"\"text\":\"4\""#, r#"\"text\":\"5\""#);
    lines.insert(5, "not an entry".to_owned());
    lines.push(lines[2].clone());
    let (read, faults) = examine((lines.join("\n") + "\n").as_bytes());
    let wanted = [
        "line 6 of the archive is not an entry",
        "entry 2 of chain",
        "number 2 is missing",
        "the payload was changed",
        "entry 3 of chain",
    ];
    assert_eq!(faults.len(), wanted.len(), "{faults:#?}");
    for (fault, wanted) in faults.iter().zip(wanted) {
        assert!(fault.contains(wanted), "{fault}: {wanted}");
    }
    assert_eq!(read.len(), 4);
}
