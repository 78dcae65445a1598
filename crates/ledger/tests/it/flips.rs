//! One changed byte anywhere in an archive shows.

use ledger::Entry;
use proptest::prelude::*;
use testkit::{ChainWriter, key, subject};

use crate::history::{REVIEWER, admit, archive_of, examine, text};

/// One act of a small history.
#[derive(Clone, Debug)]
struct Act {
    second_chain: bool,
    kind: String,
    said: String,
    attached: bool,
    bound: bool,
    sees: bool,
}

fn acts() -> impl Strategy<Value = Vec<Act>> {
    let act = (any::<bool>(), "[a-z_]{1,12}", ".{0,20}", any::<[bool; 3]>()).prop_map(
        |(second_chain, kind, said, [attached, bound, sees])| Act {
            second_chain,
            kind,
            said,
            attached,
            bound,
            sees,
        },
    );
    prop::collection::vec(act, 0..5)
}

fn written(acts: &[Act]) -> Vec<Entry> {
    let person = key(REVIEWER);
    let (mut one, found) = ChainWriter::founding();
    let mut two = ChainWriter::new(*one.site(), 3);
    let admitted = admit(&mut one, &two, ledger::kinds::Right::Write);
    let mut entries = vec![found, admitted];
    for act in acts {
        let writer = if act.second_chain { &mut two } else { &mut one };
        let last = entries.last().unwrap();
        if act.sees && last.header().chain() != writer.chain() {
            writer.see(last);
        }
        let files = if act.attached { vec![ChainWriter::attach(b"file")] } else { Vec::new() };
        let bound = act.bound.then_some(("P-01", "lead", &person));
        let payload = text(&[("said", &act.said)]);
        entries.push(writer.write(&act.kind, &subject(1), &payload, bound, files));
    }
    entries
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn a_changed_byte_is_a_fault_or_changes_nothing(
        acts in acts(),
        at in any::<prop::sample::Index>(),
        flip in 1_u8..,
    ) {
        let mut bytes = archive_of(&written(&acts));
        let (before, faults) = examine(&bytes);
        prop_assert_eq!(faults, Vec::<String>::new());
        let at = at.index(bytes.len());
        bytes[at] ^= flip;
        let (after, faults) = examine(&bytes);
        prop_assert!(!faults.is_empty() || after == before, "byte {} changed by {}", at, flip);
    }
}
