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

#[test]
fn a_backup_opens_elsewhere_for_reading_and_only_for_that() {
    let mut site = Site::found();
    site.act_as_lead();
    site.ask(serde_json::json!({
        "do": "register_position", "position": "PC-04", "cluster": "PC", "dish_type": "LV-3"
    }))
    .unwrap();
    let elsewhere = tempfile::TempDir::new().unwrap();
    let (copy, secrets) = (elsewhere.path().join("copy"), elsewhere.path().join("no-secrets"));
    let (data, outside) = (site.data(), site.secrets());
    let done = app::backup::back_up(&data, Some(&outside), PASSPHRASE, &copy, &mut |_| {}).unwrap();
    assert_eq!(done.entries, site.entries());
    let again = app::backup::back_up(&data, Some(&outside), PASSPHRASE, &copy, &mut |_| {});
    assert!(!again.unwrap_err().next_step.is_empty(), "a copy is never written over");

    let mut read = app::Logbook::open_to_read(&copy, Some(&secrets), PASSPHRASE).unwrap();
    let written = read.write_report("PC-04", &elsewhere.path().join("r.pdf")).unwrap();
    assert!(!written.entered, "nobody acted");
    let act = serde_json::from_value(serde_json::json!({
        "do": "act_as", "person": "P-01", "role": "commissioning_lead", "pin": crate::site::PIN
    }));
    assert_eq!(read.handle(act.unwrap()).unwrap_err().code, "logbook.only_read");
}
