//! Kinds that nobody here knows: kept, relayed, and the same byte for byte.

use ledger::canonical::Value;
use ledger::{ChainVerifier, Entry, Trust, archive, kinds};
use proptest::prelude::*;
use testkit::ChainWriter;

use crate::history::{archive_of, unknown};

fn payloads() -> impl Strategy<Value = Vec<u8>> {
    let leaf = prop_oneof![
        any::<i32>().prop_map(|number| Value::Int(number.into())),
        any::<String>().prop_map(Value::Text),
    ];
    leaf.prop_recursive(3, 12, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(Value::List),
            prop::collection::btree_map("[a-z0-9_]{1,9}", inner, 0..4).prop_map(Value::Object),
        ]
    })
    .prop_map(|value| value.to_bytes().unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn any_kind_version_and_payload_passes_through(
        kind in "[a-z0-9_]{1,64}",
        version in 1_u32..,
        payload in payloads(),
    ) {
        prop_assume!(!kinds::OWN.contains(&kind.as_str()));
        let (_, found) = ChainWriter::founding();
        let entry = unknown(&found, &kind, version, &payload);
        let bytes = archive_of(&[found, entry.clone()]);
        let (mut verifier, mut trust) = (ChainVerifier::new(), Trust::new());
        let mut read = Vec::new();
        for part in archive::read_lines(&bytes[..]) {
            let part = part.unwrap();
            let entry = verifier.feed(&part.header, part.payload.as_deref(), &part.signature);
            read.push(entry.unwrap());
            prop_assert_eq!(trust.follow(read.last().unwrap()), Ok(()));
        }
        prop_assert_eq!(verifier.faults(), &[]);
        let back: &Entry = &read[1];
        prop_assert_eq!(back.header().kind(), kind);
        prop_assert_eq!(back.header().kind_version(), version);
        prop_assert_eq!(back.payload(), Some(&payload[..]));
        prop_assert_eq!(archive_of(&read), bytes);
    }
}
