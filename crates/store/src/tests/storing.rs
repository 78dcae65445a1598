//! Appending, reading back, attachments, drafts.

use std::io::Read as _;

use ledger::{AttachmentRef, Digest};

use super::chain::{Chain, Says};
use super::fixture::{Folder, named, photo};
use crate::attachment::Attachment;
use crate::error::Retry;
use crate::store::Store;

#[test]
fn what_was_appended_comes_back_byte_for_byte() {
    let folder = Folder::new();
    let mut store = folder.open();
    // Letters, a NUL and the largest integer as canonical JSON writes them.
    let payload = "{\"n\":9007199254740991,\"text\":\"Ω \\u0000 \u{10348}\"}";
    let entry = folder.next(&store, &Says { payload, ..Says::default() });
    let acknowledged = store.append(&entry, &[]).unwrap();
    assert_eq!((acknowledged.id(), acknowledged.number()), (entry.id(), 1));
    drop(store);
    let store = folder.open();
    let back = store.entry(entry.id()).unwrap().unwrap();
    assert_eq!(back.header_bytes(), entry.header_bytes());
    assert_eq!(back.payload(), entry.payload());
    assert_eq!(back.signature(), entry.signature());
    assert_eq!(store.head().unwrap().unwrap().id, *entry.id());
    assert_eq!(store.chain().unwrap(), Some(folder.chain.id()));
    assert_eq!(store.site().unwrap().as_ref(), Some(entry.header().site()));
}

#[test]
fn the_same_entry_again_is_acknowledged_and_stored_once() {
    let folder = Folder::with_entries(2);
    let mut store = folder.open();
    let entry = folder.next(&store, &Says::default());
    assert!(store.append(&entry, &[]).unwrap().is_new());
    let again = store.append(&entry, &[]).unwrap();
    assert!(!again.is_new());
    assert_eq!(again.number(), 3);
    assert_eq!(store.count().unwrap(), 3);
}

#[test]
fn a_place_that_is_taken_and_a_gap_are_refused() {
    let folder = Folder::with_entries(3);
    let mut store = folder.open();
    let head = store.head().unwrap().unwrap();
    let second = store.entries_of_chain(&folder.chain.id(), 2, 1).unwrap().remove(0);
    let cases = [
        // Another entry 3, after the true 2: a stale head, or a fork.
        (Some((2, *second.id())), "fork"),
        // Entry 4 after something else than the head.
        (Some((3, *second.id())), "not_next"),
        // Entry 6, with 4 and 5 not there.
        (Some((5, head.id)), "not_next"),
        // The chain begun anew.
        (None, "fork"),
    ];
    for (previous, code) in cases {
        let entry = folder.chain.after(previous, &Says { subject: 99, ..Says::default() });
        let refused = store.append(&entry, &[]).unwrap_err();
        assert_eq!(refused.code(), code, "{previous:?}: {refused}");
        assert_eq!(refused.retry(), Retry::Helps);
        assert!(store.entry(entry.id()).unwrap().is_none());
    }
    assert_eq!(store.head().unwrap().unwrap(), head);
}

#[test]
fn another_chain_and_another_site_are_refused() {
    let folder = Folder::with_entries(1);
    let mut store = folder.open();
    let head = store.head().unwrap().map(|head| (head.number, head.id));
    let chain = Chain::new(2).after(None, &Says::default());
    assert_eq!(store.append(&chain, &[]).unwrap_err().code(), "foreign");
    let site = Chain::of_site(1, b"another site").after(head, &Says::default());
    let refused = store.append(&site, &[]).unwrap_err();
    assert!(refused.to_string().contains("belongs to site"), "{refused}");
    assert_eq!(store.count().unwrap(), 1);
}

#[test]
fn entries_are_found_by_chain_and_by_subject() {
    let folder = Folder::with_entries(20);
    let store = folder.open();
    let slice = store.entries_of_chain(&folder.chain.id(), 5, 4).unwrap();
    let numbers: Vec<_> = slice.iter().map(|entry| entry.header().number()).collect();
    assert_eq!(numbers, [5, 6, 7, 8]);
    let subject = slice[0].header().subject().as_str();
    let about = store.entries_of_subject(subject).unwrap();
    let numbers: Vec<_> = about.iter().map(|entry| entry.header().number()).collect();
    assert_eq!(numbers, [5, 12, 19]);
    let mut all = Vec::new();
    let mut each = |entry: &ledger::Entry| {
        all.push(entry.header().number());
        Ok(())
    };
    store.for_each_entry(&mut each).unwrap();
    assert_eq!(all, (1..=20).collect::<Vec<_>>());
}

#[test]
fn an_attachment_streams_back_whole() {
    let folder = Folder::with_attachment();
    let (store, photo) = (folder.open(), photo());
    let mut back = Vec::new();
    store.attachment(photo.digest()).unwrap().unwrap().read_to_end(&mut back).unwrap();
    assert_eq!(back.len() as u64, photo.length());
    assert_eq!(Digest::of(&back), *photo.digest());
    assert!(store.attachment(&Digest::of(b"another")).unwrap().is_none());
}

#[test]
fn an_altered_attachment_fails_at_the_last_read() {
    let folder = Folder::with_attachment();
    folder.tamper(true, "UPDATE attachment_chunk SET bytes = zeroblob(262144) WHERE position = 1");
    let store = folder.open();
    let mut back = Vec::new();
    let mut reader = store.attachment(photo().digest()).unwrap().unwrap();
    let refused = reader.read_to_end(&mut back).unwrap_err();
    assert!(refused.to_string().contains("is not what was stored"), "{refused}");
}

#[test]
fn attachments_must_be_those_that_the_entry_names() {
    let folder = Folder::with_entries(1);
    let mut store = folder.open();
    let photo = photo();
    let wrong_length = AttachmentRef { length: 5, ..named(&photo) };
    let cases: [(Vec<AttachmentRef>, &[Attachment], &str); 3] = [
        (vec![named(&photo)], &[], "was not handed over"),
        (vec![wrong_length], std::slice::from_ref(&photo), "another length"),
        (vec![], std::slice::from_ref(&photo), "does not name it"),
    ];
    for (attachments, given, words) in cases {
        let entry = folder.next(&store, &Says { attachments, ..Says::default() });
        let refused = store.append(&entry, given).unwrap_err();
        assert!(refused.to_string().contains(words), "{refused}");
        assert_eq!(store.count().unwrap(), 1);
        assert!(store.attachment(photo.digest()).unwrap().is_none(), "rolled back with the entry");
    }
}

#[test]
fn a_file_that_changes_before_it_is_stored_is_refused() {
    let folder = Folder::with_entries(1);
    let mut store = folder.open();
    let path = folder.beside("photo.jpg");
    std::fs::write(&path, b"first").unwrap();
    let photo = Attachment::from_file(&path).unwrap();
    std::fs::write(&path, b"other").unwrap();
    let entry = folder.next(&store, &Says { attachments: vec![named(&photo)], ..Says::default() });
    let refused = store.append(&entry, std::slice::from_ref(&photo)).unwrap_err();
    assert!(refused.to_string().contains("has changed"), "{refused}");
    std::fs::write(&path, b"first").unwrap();
    assert!(store.append(&entry, &[photo]).unwrap().is_new());
}

#[test]
fn a_batch_is_stored_whole_or_not_at_all() {
    let folder = Folder::with_entries(2);
    let mut store = folder.open();
    let third = folder.next(&store, &Says::default());
    let fourth = folder.chain.after(Some((3, *third.id())), &Says::default());
    let gap = folder.chain.after(Some((5, *third.id())), &Says::default());
    let refused = store.append_all(&[third.clone(), fourth.clone(), gap]).unwrap_err();
    assert_eq!(refused.code(), "not_next");
    assert_eq!(store.count().unwrap(), 2);
    let done = store.append_all(&[third, fourth]).unwrap();
    assert_eq!(done.iter().map(|done| done.number()).collect::<Vec<_>>(), [3, 4]);
    assert_eq!(store.head().unwrap().unwrap().number, 4);
}

#[test]
fn drafts_and_local_values_are_kept_changed_and_let_go() {
    let folder = Folder::new();
    let mut store = folder.open();
    store.put_draft("record/1/step-2", b"110,").unwrap();
    store.put_draft("record/1/step-2", b"110,2 bar").unwrap();
    store.put_draft("record/2/step-1", b"x").unwrap();
    store.put_local("key/P-03", b"wrapped").unwrap();
    drop(store);
    let mut store = folder.open();
    assert_eq!(store.draft("record/1/step-2").unwrap().unwrap(), b"110,2 bar");
    assert_eq!(store.drafts("record/1/").unwrap().len(), 1);
    assert_eq!(store.locals("key/").unwrap(), [("key/P-03".to_owned(), b"wrapped".to_vec())]);
    store.delete_draft("record/1/step-2").unwrap();
    store.delete_local("key/P-03").unwrap();
    assert!(store.draft("record/1/step-2").unwrap().is_none());
    assert!(store.local("key/P-03").unwrap().is_none());
    assert_eq!(store.count().unwrap(), 0, "none of it is an entry");
}

#[test]
fn two_stores_on_one_folder_take_turns() {
    let folder = Folder::with_entries(1);
    let (mut a, mut b) = (folder.open(), folder.open());
    let (from_a, from_b) = (
        folder.next(&a, &Says::default()),
        folder.next(&b, &Says { subject: 1, ..Says::default() }),
    );
    assert!(a.append(&from_a, &[]).unwrap().is_new());
    assert_eq!(b.append(&from_b, &[]).unwrap_err().code(), "fork");
    let anew = folder.next(&b, &Says { subject: 1, ..Says::default() });
    assert_eq!(b.append(&anew, &[]).unwrap().number(), 3);
    assert_eq!(a.head().unwrap(), b.head().unwrap());
}

fn assert_send<T: Send>(_: &T) {}

#[test]
fn a_store_may_move_to_another_thread() {
    let store: Store = Folder::new().open();
    assert_send(&store);
}
