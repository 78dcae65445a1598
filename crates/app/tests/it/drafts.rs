//! What is typed and not yet entered: it is kept here, and it never becomes an entry by itself.

use app::request::Response;
use serde_json::json;

use crate::site::{PASSPHRASE, Site};

#[test]
fn a_draft_outlives_the_program_and_travels_nowhere() {
    let mut site = Site::found();
    let before = site.entries();
    site.ask(json!({ "do": "keep_draft", "name": "leak/start-gauge", "text": "110,2" })).unwrap();
    assert_eq!(site.entries(), before, "a draft is no entry");
    let (data, secrets) = (site.data(), site.secrets());
    let Site { logbook, .. } = &site;
    let _ = logbook;
    let mut reopened = app::Logbook::open(&data, Some(&secrets), PASSPHRASE, &mut |_| {}).unwrap();
    let kept = reopened
        .handle(
            serde_json::from_value(json!({ "do": "draft", "name": "leak/start-gauge" })).unwrap(),
        )
        .unwrap();
    assert_eq!(kept, Response::Draft { text: Some("110,2".to_owned()) });
}

#[test]
fn a_file_that_is_no_checklist_is_refused_with_its_place() {
    let mut site = Site::found();
    site.act_as_lead();
    let error = site.refused(json!({
        "do": "adopt", "what": "checklist", "content": "format = 1\nid = \"p99\"\nnonsense = 2\n"
    }));
    assert_eq!(error.code, "adopt.unreadable");
    assert!(error.sentence.contains("nonsense"), "{}", error.sentence);
}

#[test]
fn a_label_with_the_wrong_letter_is_another_dish() {
    let mut site = Site::found();
    site.act_as_lead();
    site.ask(json!({
        "do": "register_position", "position": "PC-04", "cluster": "PC", "dish_type": "LV-3"
    }))
    .unwrap();
    let fit = |label: &str| json!({ "do": "fit_serial", "position": label, "slot": "engine", "serial": "EN-0339" });
    let letter = logbook::tag::check_letter("PC-04");
    let wrong = if letter == 'A' { 'C' } else { 'A' };
    assert_eq!(site.refused(fit(&format!("PC-04-{wrong}"))).code, "logbook.wrong_check_letter");
    assert_eq!(site.refused(fit("PC-05")).code, "position.unknown");
    site.ask(fit(&format!("pc-04-{}", letter.to_lowercase()))).unwrap();
}
