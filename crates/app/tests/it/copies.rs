//! A data folder that was copied, a passphrase that is wrong.

use crate::site::{PASSPHRASE, Site};

#[test]
fn a_wrong_passphrase_is_said_and_changes_nothing() {
    let site = Site::found();
    let (data, secrets, before) = (site.data(), site.secrets(), site.entries());
    let error = app::Logbook::open(&data, Some(&secrets), "another", &mut |_| {}).err().unwrap();
    assert_eq!(error.code, "store.wrong_passphrase", "{error:?}");
    assert!(!error.next_step.is_empty());
    assert_eq!(site.entries(), before);
    app::Logbook::open(&data, Some(&secrets), PASSPHRASE, &mut |_| {}).unwrap();
}

#[test]
fn a_copy_without_the_secret_outside_does_not_write() {
    let site = Site::found();
    let elsewhere = tempfile::TempDir::new().unwrap();
    let error = app::Logbook::open(&site.data(), Some(elsewhere.path()), PASSPHRASE, &mut |_| {})
        .err()
        .unwrap();
    assert!(error.sentence.contains("copy"), "{error:?}");
    assert!(!error.next_step.is_empty());
}
