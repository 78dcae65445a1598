//! Files looked at before they are entered, and what is worked out while the work goes on.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde_json::{Value, json};

use crate::tablet::{Tablet, list, record_of, step, story_file, text};

fn upload(name: &str) -> Value {
    json!({ "base64": BASE64.encode(story_file(&format!("files/{name}"))) })
}

#[test]
fn a_table_of_facets_is_looked_at_and_nothing_is_entered() {
    let tablet = Tablet::with("P-05", "optics_technician");
    let record = tablet.started("PC-08", "p09-facet-alignment");
    let count = || tablet.ask("ledger", json!({}))["count"].clone();
    let before = count();
    let looked = tablet.ask(
        "survey_read",
        json!({ "record": record, "step": "as-found", "file": upload("pc-07-as-found.csv") }),
    );
    assert_eq!(count(), before);
    // TRADE 7.5: 252 facets, all surveyed.
    assert_eq!((looked["used"].clone(), looked["rows"].clone()), (json!(252), json!(252)));
    assert!(looked["question"].is_null());
    let told: Vec<&str> = list(&looked, "/decisions").iter().filter_map(Value::as_str).collect();
    assert!(told.iter().any(|one| one.contains("names PC-07")), "another dish's file: {told:?}");
    let wrong_step = tablet.refused(
        "survey_read",
        json!({ "record": record, "step": "as-found-photo", "file": upload("pc-07-as-found.csv") }),
    );
    assert_eq!(wrong_step.code, "record.other_form");

    let map = |state: &str| tablet.ask("alignment", json!({ "record": record, "step": state }));
    let blank = map("as-found");
    assert_eq!(blank["counts"]["unmeasured"], json!(252));
    assert!(text(&blank, "/map_svg").matches("data-id=").count() >= 252);
    tablet.act(json!({
        "do": "survey", "record": record, "step": "as-found", "instrument": "CM-01",
        "file": upload("pc-07-as-found.csv"), "name": "pc-07-as-found.csv",
    }));
    // The doubt of a spot is asked for before; without it nothing can be worked out yet.
    for (step, typed) in [
        ("method", json!({ "choose": "target-board" })),
        ("reading-doubt", json!({ "read": "1 mm" })),
    ] {
        tablet.act(json!({ "do": "answer", "record": record, "step": step, "typed": typed }));
    }
    let found = map("as-found");
    assert_eq!(found["counts"]["measured"], json!(252));
    // TRADE 7.5: rack R09 moved as a whole; no other did.
    let moved: Vec<&str> = list(&found, "/racks")
        .iter()
        .filter(|rack| rack["moved"] == json!(true))
        .map(|rack| text(rack, "/id"))
        .collect();
    assert_eq!(moved, ["R09"]);
    assert!(text(&found, "/sheet/figures/0/svg").contains("R09/F"));
    let shown = tablet.ask("record", json!({ "record": record }));
    assert!(!step(&shown, "as-found-errors")["sheet"].is_null(), "before anybody judges it");
    assert!(shown["verdict"].is_null());
}

#[test]
fn files_of_logger_and_meter_are_asked_about_until_nothing_is_guessed() {
    let tablet = Tablet::with("P-04", "performance_engineer");
    let record = record_of(&tablet, "PC-02", "performance");
    let read = |files: Value| {
        tablet.ask("series_read", json!({ "record": record, "step": "run-a", "files": files }))
    };
    let logger = |extra: Value| {
        let mut file = json!({
            "name": "logger.csv", "instrument": "", "file": upload("pc-02-run-2-logger.csv"),
        });
        file.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
        file
    };
    let first = read(json!([logger(json!({}))]));
    assert_eq!(text(&first, "/files/0/question/id"), "zone");
    let zones: Vec<&str> = list(&first, "/files/0/question/choices")
        .iter()
        .map(|choice| text(choice, "/id"))
        .collect();
    // After 6 September Chile keeps UTC-3 (IANA); the logger's own clock is another.
    assert_eq!(zones, ["-03:00", "-04:00", "+00:00"]);
    let second = read(json!([logger(json!({ "zone": "-04:00" }))]));
    assert_eq!(text(&second, "/files/0/question/id"), "label");
    let whole = read(json!([
        logger(json!({ "zone": "-04:00", "label": "end" })),
        { "name": "meter.csv", "instrument": "", "file": upload("pc-02-run-2-meter.csv"),
          "zone": "-03:00", "label": "start" },
    ]));
    for file in list(&whole, "/files") {
        assert!(file["question"].is_null(), "{file}");
        assert!(file["used"].as_u64().unwrap() > 100);
    }
    assert_eq!(whole["files"][0]["channels"], json!(["irradiance", "ambient", "wind"]));
    assert_eq!(whole["files"][1]["channels"], json!(["power"]));
    assert_eq!(list(&whole, "/pictures").len(), 4);
}

#[test]
fn the_sun_over_a_job_is_there_before_anyone_goes_in() {
    let tablet = Tablet::with("P-07", "mechanical_technician");
    let record = tablet.started("PC-05", "p02-focal-zone-lockout");
    let shown = tablet.ask("record", json!({ "record": record }));
    assert!(text(&shown, "/notice").contains("keeps no lock"));
    for (step, typed) in
        [("job-length", "3 h"), ("park-azimuth", "180 °"), ("park-elevation", "20 °")]
    {
        tablet.act(json!({
            "do": "answer", "record": record, "step": step, "typed": { "read": typed },
        }));
    }
    let shown = tablet.ask("record", json!({ "record": record }));
    let sheet = &step(&shown, "window")["sheet"];
    assert_eq!(text(sheet, "/mark"), "within");
    assert!(text(sheet, "/figures/0/svg").contains("<svg"));
    // Another direction, into the path of the sun over the morning: said at once.
    tablet.act(json!({
        "do": "correct", "reason": "read again",
        "answer": { "record": record, "step": "park-azimuth", "typed": { "read": "75 °" } },
    }));
    let shown = tablet.ask("record", json!({ "record": record }));
    assert_eq!(text(&step(&shown, "window")["sheet"], "/mark"), "outside");
    let board = tablet.ask("locks", json!({}));
    let line = &list(&board, "/records")[0];
    assert!(text(line, "/sky_svg").contains("<svg"));
    assert!(!text(line, "/window").is_empty());
}
