//! Calculations by hand: their forms and examples, and those that a record's step fills in.

use serde_json::{Value, json};

use crate::tablet::{Tablet, list, record_of, text};

/// Every calculation's name, topic by topic.
fn names(tablet: &Tablet) -> Vec<String> {
    let topics = tablet.ask("calculations", json!({}));
    let lines = list(&topics, "/topics").iter().flat_map(|topic| list(topic, "/list"));
    lines.map(|line| text(line, "/name").to_owned()).collect()
}

#[test]
fn every_form_has_examples_and_each_of_them_gives_a_sheet() {
    let tablet = Tablet::closed();
    let names = names(&tablet);
    assert_eq!(names.len(), acceptance::calculations().len());
    for name in names {
        let form = tablet.ask("calculation", json!({ "name": name }));
        assert!(!text(&form, "/topic").is_empty(), "{name}");
        let examples = list(&form, "/examples");
        assert!(!examples.is_empty(), "{name}");
        for example in examples {
            let came = tablet.ask("calculate", json!({ "name": name, "input": example["input"] }));
            assert_eq!(came["came"], json!("sheet"), "{name}: {example}: {came}");
            let drawn = list(&came, "/sheet/figures").len();
            let calculation = acceptance::calculation(&name).unwrap();
            let sheet = calculation.run(&example["input"]).unwrap();
            // A figure that can't be drawn would be left out in silence.
            let shown = sheet.figure.as_ref().is_some_and(shows_something);
            assert!(drawn > 0 || !shown, "{name}: {}", example["title"]);
        }
    }
}

fn shows_something(figure: &acceptance::Figure) -> bool {
    !figure.series.is_empty() || !figure.bars.is_empty() || figure.grid.is_some()
}

#[test]
fn a_refusal_names_its_field() {
    let tablet = Tablet::closed();
    let form = tablet.ask("calculation", json!({ "name": "pressure-decay" }));
    let mut input = list(&form, "/examples")[0]["input"].clone();
    input["end"]["temperature"] = json!("12 bar");
    let came = tablet.ask("calculate", json!({ "name": "pressure-decay", "input": input }));
    assert_eq!((&came["came"], &came["field"]), (&json!("refused"), &json!("end.temperature")));
    assert!(!text(&came, "/sentence").is_empty() && !text(&came, "/next_step").is_empty());
    input["end"].as_object_mut().unwrap().remove("temperature");
    let came = tablet.ask("calculate", json!({ "name": "pressure-decay", "input": input }));
    assert_eq!(text(&came, "/sheet/mark"), "not_judged");
    let missing = list(&came, "/sheet/missing");
    assert!(missing.iter().any(|one| one["field"] == json!("end.temperature")), "{came}");
}

/// The id of the step that asks for the calculation of this name.
fn step_of(tablet: &Tablet, record: &str, name: &str) -> String {
    let shown = tablet.ask("record", json!({ "record": record }));
    let asks = |step: &&Value| step["ask"]["name"] == json!(name);
    text(list(&shown, "/steps").iter().find(asks).unwrap(), "/id").to_owned()
}

#[test]
fn the_inputs_of_a_judged_step_give_what_was_judged() {
    let tablet = Tablet::unlocked();
    let count = || tablet.ask("ledger", json!({}))["count"].clone();
    let before = count();
    for (dish, requirement, name) in
        [("PC-04", "leak", "pressure-decay"), ("PC-07", "alignment", "facet-alignment")]
    {
        let record = record_of(&tablet, dish, requirement);
        let step = step_of(&tablet, &record, name);
        let place = json!({ "record": record, "step": step });
        let given = tablet.ask("calculation_of_step", place);
        assert_eq!(text(&given, "/name"), name);
        assert_eq!(text(&given, "/from/note"), "", "{dish}");
        assert!(
            text(&given, "/from/words").starts_with(&format!("{dish}, {requirement}, attempt"))
        );
        let came = tablet.ask("calculate", json!({ "name": name, "input": given["input"] }));
        let shown = tablet.ask("record", json!({ "record": record }));
        let judged = list(&shown, "/verdict/sheets").iter().find(|s| s["step"] == json!(step));
        for part in ["inputs", "results", "working", "reason", "mark"] {
            assert_eq!(came["sheet"][part], judged.unwrap()[part], "{dish}: {part}");
        }
    }
    assert_eq!(count(), before, "looking enters nothing");
}

#[test]
fn the_inputs_of_a_step_at_work_are_what_is_entered_so_far() {
    let tablet = Tablet::with("P-07", "mechanical_technician");
    let record = tablet.started("PC-05", "p02-focal-zone-lockout");
    tablet.act(json!({
        "do": "answer", "record": record, "step": "park-azimuth", "typed": { "read": "180 °" },
    }));
    let given = tablet.ask("calculation_of_step", json!({ "record": record, "step": "window" }));
    assert_eq!(text(&given, "/name"), "parking-window");
    assert!(given["input"].to_string().contains("180 °"), "{given}");
    assert!(text(&given, "/from/note").contains("not judged yet"));
    let came =
        tablet.ask("calculate", json!({ "name": "parking-window", "input": given["input"] }));
    assert!(!list(&came, "/sheet/missing").is_empty(), "what is not entered is missing: {came}");
    let other = json!({ "record": record, "step": "park-azimuth" });
    assert_eq!(tablet.refused("calculation_of_step", other).code, "record.other_form");
}

#[test]
fn a_record_that_nobody_began_has_nothing_to_calculate_with() {
    let tablet = Tablet::with("P-07", "mechanical_technician");
    let opened = tablet.act(json!({
        "do": "open_record", "position": "PC-05", "checklist": "p02-focal-zone-lockout",
        "criteria": "dish-acceptance",
    }));
    let place = json!({ "record": text(&opened, "/subject"), "step": "window" });
    assert_eq!(tablet.refused("calculation_of_step", place).code, "record.no_attempt");
}
