//! The door as the screens call it, on the folder that the shipped story leaves behind.

use std::collections::BTreeSet;
use std::path::Path;

use app::door::COMMANDS;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde_json::{Value, json};

use crate::tablet::{Tablet, list, pin, record_of, step, text};

#[test]
fn a_closed_folder_answers_nothing_but_that_it_is_closed() {
    let tablet = Tablet::closed();
    assert_eq!(text(&tablet.ask("session", json!({})), "/state"), "closed");
    for name in ["yard", "people", "locks", "ledger", "exchange", "sun_day", "change_person"] {
        assert_eq!(tablet.refused(name, json!({})).code, "door.closed", "{name}");
    }
    let wrong = tablet.refused("unlock", json!({ "passphrase": "some other words" }));
    assert!(wrong.code.starts_with("store."), "{wrong:?}");
    assert_eq!(text(&tablet.ask("session", json!({})), "/state"), "closed");
}

#[test]
fn unknown_commands_and_fields_are_refused_in_words() {
    let tablet = Tablet::closed();
    assert_eq!(tablet.refused("drop_everything", json!({})).code, "door.unknown_command");
    let extra = tablet.refused("session", json!({ "role": "supervisor" }));
    assert_eq!(extra.code, "door.arguments");
    assert!(!extra.next_step.is_empty());
    let names: BTreeSet<&str> = COMMANDS.iter().copied().collect();
    assert_eq!(names.len(), COMMANDS.len(), "a command stands twice in the table");
}

#[test]
fn the_head_says_who_acts_and_that_this_is_a_demonstration() {
    let tablet = Tablet::unlocked();
    assert!(tablet.ask("session", json!({}))["acting"].is_null());
    tablet.act_as("P-01", "commissioning_lead");
    let session = tablet.ask("session", json!({}));
    assert_eq!(session["demo"], json!(true));
    assert_eq!(text(&session, "/acting/person"), "P-01");
    tablet.ask("change_person", json!({}));
    assert!(tablet.ask("session", json!({}))["acting"].is_null());
    let people = tablet.ask("people", json!({}));
    assert!(list(&people, "/people").len() > 5);
}

#[test]
fn the_yard_has_every_dish_with_a_face_and_the_list_leads_somewhere() {
    let tablet = Tablet::unlocked();
    let yard = tablet.ask("yard", json!({}));
    let dishes = list(&yard, "/dishes");
    assert_eq!(dishes.len(), 12);
    for dish in dishes {
        assert!(text(dish, "/face_svg").contains("<svg"));
        let position = text(dish, "/position");
        let view = tablet.ask("dish", json!({ "position": position }));
        assert_eq!(text(&view, "/label"), text(dish, "/label"));
        let owed = list(&view, "/proofs").iter().filter(|proof| proof["state"] != "stands").count();
        assert_eq!(view["owes"], json!(owed), "{position}");
    }
    for item in list(&yard, "/list") {
        match text(item, "/target/screen") {
            "record" | "review" => {
                tablet.ask("record", json!({ "record": text(item, "/target/record") }));
            }
            "signoff" => {
                tablet.ask("report", json!({ "position": text(item, "/target/position") }));
            }
            _ => {
                tablet.ask("dish", json!({ "position": text(item, "/target/position") }));
            }
        }
    }
}

#[test]
fn a_record_shows_its_verdict_with_working_and_figure() {
    let tablet = Tablet::unlocked();
    let id = record_of(&tablet, "PC-04", "leak");
    let record = tablet.ask("record", json!({ "record": id }));
    assert_eq!(record["attempts"], json!(3));
    assert_eq!(text(&record, "/verdict/verdict"), "pass");
    let sheet = &list(&record, "/verdict/sheets")[0];
    assert!(list(sheet, "/working").len() > 10);
    assert!(text(sheet, "/figures/0/svg").contains("<svg"));
    let shown = list(&record, "/steps").iter().filter(|step| !step["sheet"].is_null()).count();
    assert_eq!(shown, 1, "the step of the calculation shows the same sheet");
    let photos: Vec<&str> = list(&record, "/steps")
        .iter()
        .flat_map(|step| list(step, "/given"))
        .filter_map(|given| given["photo"].as_str())
        .collect();
    assert!(!photos.is_empty());
    for hash in photos {
        let photo = tablet.ask("photo", json!({ "hash": hash }));
        assert_eq!(text(&photo, "/media"), "image/jpeg");
        assert_eq!(BASE64.decode(text(&photo, "/base64")).unwrap()[..2], [0xff, 0xd8]);
    }
    assert_eq!(tablet.refused("photo", json!({ "hash": "00".repeat(32) })).code, "photo.missing");
    assert_eq!(tablet.refused("photo", json!({ "hash": "../../etc" })).code, "photo.missing");
}

#[test]
fn what_was_typed_is_there_after_every_key_and_gone_once_it_is_entered() {
    let mut tablet = Tablet::with("P-03", "gas_technician");
    let record = tablet.started("PC-09", "p06-gas-leak-test");
    let reading = list(&tablet.ask("record", json!({ "record": record })), "/steps")
        .iter()
        .filter(|step| step["ask"]["instrument_role"] == "gauge")
        .nth(1)
        .map(|step| text(step, "/id").to_owned())
        .unwrap();
    let mut typed = String::new();
    for key in ["1", "1", "0", ",", "2"] {
        typed.push_str(key);
        let weighed = tablet.ask(
            "weigh",
            json!({ "record": record, "step": reading, "text": typed, "unit": "bar(g)" }),
        );
        assert_eq!(text(&weighed, "/text_kept"), typed);
        tablet = tablet.die_and_come_back();
        let again = tablet.ask("record", json!({ "record": record }));
        assert_eq!(text(step(&again, &reading), "/draft"), typed);
    }
    // Nobody acts after the crash; the form is what it was.
    tablet.act_as("P-03", "gas_technician");
    let instrument = {
        let shown = tablet.ask("record", json!({ "record": record }));
        text(step(&shown, &reading), "/ask/instruments/0/instrument").to_owned()
    };
    tablet.act(json!({
        "do": "answer", "record": record, "step": reading, "instrument": instrument,
        "typed": { "read": "110,2 bar(g)" },
    }));
    let after = tablet.ask("record", json!({ "record": record }));
    assert_eq!(text(step(&after, &reading), "/draft"), "");
    assert_eq!(text(step(&after, &reading), "/given/0/text"), "110,2 bar(g)");
}

#[test]
fn a_question_may_be_insisted_on_and_the_refusal_says_so() {
    let tablet = Tablet::with("P-03", "gas_technician");
    let record = tablet.started("PC-09", "p06-gas-leak-test");
    let shown = tablet.ask("record", json!({ "record": record }));
    let gauge = list(&shown, "/steps")
        .iter()
        .filter(|step| step["ask"]["instrument_role"] == "gauge")
        .nth(1)
        .unwrap();
    let answer = json!({
        "do": "answer", "record": record, "step": text(gauge, "/id"),
        "instrument": text(gauge, "/ask/instruments/0/instrument"),
        "typed": { "read": "1595 bar(g)" },
    });
    let refused = tablet.refused("act", answer.clone());
    assert!(refused.may_insist, "{refused:?}");
    let mut insisting = answer;
    insisting["insist"] = json!("the display shows it, and the gauge goes to the shop");
    tablet.act(insisting);
}

#[test]
fn a_report_is_issued_signed_in_turn_and_handed_out_as_the_same_file() {
    let tablet = Tablet::with("P-01", "commissioning_lead");
    let before = tablet.ask("report", json!({ "position": "PC-04" }));
    let file = &list(&before, "/files")[0];
    let kept = tablet.ask("report_bytes", json!({ "report": text(file, "/report") }));
    let handed = std::fs::read(tablet.out().join("PC-04-handover.pdf")).unwrap();
    assert_eq!(BASE64.decode(text(&kept, "/base64")).unwrap(), handed, "the story's own file");

    let issued = tablet.ask("report_issue", json!({ "position": "PC-04" }));
    let files = list(&issued, "/files");
    assert_eq!(files.len(), list(&before, "/files").len() + 1);
    let report = text(&files[0], "/report").to_owned();
    let sign = |field: &str, pin: &str| json!({ "position": "PC-04", "report": report, "field": field, "pin": pin });
    // The lead did none of the work on this dish.
    let no_crew = tablet.refused("report_sign", sign("crew", &pin("P-01")));
    assert_eq!(no_crew.code, "logbook.signer_did_no_work");
    assert_eq!(issued["files"][0]["fields"][0]["may_sign"], json!(false));
    tablet.act_as("P-03", "gas_technician");
    let wrong = tablet.refused("report_sign", sign("crew", "000000"));
    assert_eq!(wrong.code, "people.wrong_pin");
    let early = tablet.refused("report_sign", sign("owner", &pin("P-03")));
    assert_eq!(early.code, "logbook.not_this_turn");
    let signed = tablet.ask("report_sign", sign("crew", &pin("P-03")));
    let name = text(&tablet.ask("session", json!({})), "/acting/name").to_owned();
    assert!(text(&signed, "/files/0/fields/0/signed_by").starts_with(&name));
    let witness = ("P-10", "owners_witness");
    tablet.act_as(witness.0, witness.1);
    let other = tablet.refused("report_sign", sign("supervisor", &pin(witness.0)));
    assert_eq!(other.code, "logbook.role_may_not_sign");

    let save = |path: &Path| json!({ "report": report, "path": path.display().to_string() });
    let target = tablet.out().join("handed-over.pdf");
    tablet.ask("report_save", save(&target));
    let saved = std::fs::read(&target).unwrap();
    let given = tablet.ask("report_bytes", json!({ "report": report }));
    assert_eq!(BASE64.decode(text(&given, "/base64")).unwrap(), saved);
    assert_eq!(tablet.refused("report_save", save(&target)).code, "file.exists");
    assert_eq!(tablet.refused("report_save", save(Path::new("x.pdf"))).code, "file.relative");
}

#[test]
fn nobody_issues_a_report_before_they_act() {
    let tablet = Tablet::unlocked();
    let refused = tablet.refused("report_issue", json!({ "position": "PC-04" }));
    assert_eq!(refused.code, "people.nobody_acts");
}

#[test]
fn the_board_is_never_blank_and_names_whom_to_call() {
    let tablet = Tablet::unlocked();
    let board = tablet.ask("locks", json!({}));
    for field in ["title", "caption", "notice", "emergency", "rescue"] {
        assert!(!text(&board, &format!("/{field}")).is_empty(), "{field}");
    }
    assert!(text(&board, "/notice").contains("lock board at the dish decides"));
    assert!(!list(&board, "/cautions").is_empty());
}

#[test]
fn the_sun_stands_within_the_day_of_the_site() {
    let tablet = Tablet::unlocked();
    let day = tablet.ask("sun_day", json!({ "at": "2026-09-05T12:00:00-04:00" }));
    // The night before the clocks go forward has 24 h, the next day 23 h (IANA, Chile 2026).
    assert_eq!(text(&day, "/date"), "Sat 5 Sep 2026");
    let fraction = |name: &str| day.pointer(name).and_then(Value::as_f64).unwrap();
    assert!(fraction("/sunrise/fraction") < fraction("/now_fraction"));
    assert!(fraction("/now_fraction") < fraction("/sunset/fraction"));
    assert!((fraction("/now_fraction") - 0.5).abs() < 1e-9);
    let short = tablet.ask("sun_day", json!({ "at": "2026-09-06T12:00:00-03:00" }));
    let noon = short.pointer("/now_fraction").and_then(Value::as_f64).unwrap();
    assert!((noon - 11.0 / 23.0).abs() < 1e-9, "{noon}");
    assert_eq!(tablet.refused("sun_day", json!({ "at": "noon" })).code, "sun.moment");
}

#[test]
fn the_ledger_can_be_read_page_by_page_to_its_first_entry() {
    let tablet = Tablet::unlocked();
    let mut before = Value::Null;
    let mut numbers = Vec::new();
    loop {
        let page = tablet.ask("ledger", json!({ "before": before }));
        let entries = list(&page, "/entries");
        let Some(last) = entries.last() else { break };
        numbers.extend(entries.iter().map(|entry| entry["number"].as_u64().unwrap()));
        before = last["number"].clone();
        assert!(entries.iter().all(|entry| !text(entry, "/title").is_empty()));
    }
    let all = tablet.ask("ledger", json!({}))["count"].as_u64().unwrap();
    let expected: Vec<u64> = (1..=all).rev().collect();
    assert_eq!(numbers, expected);
    let chains = tablet.ask("exchange", json!({}));
    assert_eq!(chains.pointer("/chains/0/entries").and_then(Value::as_u64), Some(all));
}

#[test]
fn a_calculation_runs_on_what_is_typed_and_refuses_in_words() {
    let tablet = Tablet::closed();
    let names = tablet.ask("calculations", json!({}));
    let sun = &list(&names, "/topics")[0];
    assert!(list(sun, "/list").iter().any(|one| one["name"] == "parking-window"), "{sun}");
    // NREL/TP-560-34302, appendix A.5: zenith angle 50.11162°, azimuth 194.34024°.
    let came = tablet.ask(
        "calculate",
        json!({ "name": "sun-position", "input": {
            "latitude": "39.742476 °", "longitude": "-105.1786 °", "altitude": "1830.14 m",
            "barometer": "820 mbar", "temperature": "11 °C", "delta_t": "67 s",
            "at": "2003-10-17T12:30:30-07:00",
        } }),
    );
    assert_eq!(came["came"], json!("sheet"));
    let sheet = &came["sheet"];
    let value = |meaning: &str| -> f64 {
        let result = list(sheet, "/results")
            .iter()
            .find(|one| text(one, "/meaning").contains(meaning))
            .unwrap_or_else(|| panic!("{meaning} in {sheet}"));
        text(result, "/value").parse().unwrap()
    };
    assert!((value("azimuth") - 194.340_24).abs() < 0.001);
    let unknown = tablet.refused("calculate", json!({ "name": "tea", "input": {} }));
    assert_eq!(unknown.code, "calc.unknown");
}
