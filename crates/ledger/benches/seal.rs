//! Entries sealed and verified per second, with and without a person's signature.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use ledger::{Bond, ChainId, Draft, Entry, EntryId, Kind, PersonId, Place, SiteId, seal};
use testkit::{key, subject};

fn entries(criterion: &mut Criterion) {
    let (chain, person) = (key(2), key(40));
    let public = chain.public();
    let place = Place {
        site: SiteId::of(b"site"),
        chain: ChainId::of(&public.to_der()),
        number: 2,
        previous: Some(EntryId::of(b"before")),
        heads: Vec::new(),
    };
    let draft = Draft {
        claimed: "2026-08-24T07:00:00-04:00".to_owned(),
        person: PersonId::new("P-03").expect("a person's id"),
        kind: Kind::new("answer_given").expect("a kind"),
        kind_version: 1,
        subject: subject(1),
        payload: format!("{{\"said\":\"{}\"}}", "x".repeat(400)).into_bytes(),
        attachments: Vec::new(),
    };
    let bond = Bond { key: &person, role: Kind::new("supervisor").expect("a role") };
    let mut group = criterion.benchmark_group("entry");
    group.throughput(Throughput::Elements(1));
    for (name, bond) in [("plain", None), ("binding", Some(&bond))] {
        group.bench_function(format!("seal {name}"), |bencher| {
            bencher.iter(|| seal(&place, draft.clone(), &chain, bond));
        });
        let entry = seal(&place, draft.clone(), &chain, bond).expect("a sealed entry");
        group.bench_function(format!("verify {name}"), |bencher| {
            bencher.iter(|| {
                let (header, signature) = (entry.header_bytes(), entry.signature());
                Entry::verify(black_box(header), entry.payload(), signature, &public)
            });
        });
    }
    group.finish();
}

criterion_group!(benches, entries);
criterion_main!(benches);
