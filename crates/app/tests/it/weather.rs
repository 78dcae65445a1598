//! Under which permit, with whose help and in which weather an attempt is made, as the screens
//! tell it.

use serde_json::{Value, json};

use crate::tablet::{Tablet, list, text};

/// A leak test of PC-09, begun by the gas technician under a permit with the trainee's help.
fn begun(tablet: &Tablet) -> String {
    let opened = tablet.act(json!({
        "do": "open_record", "position": "PC-09", "checklist": "p06-gas-leak-test",
        "criteria": "dish-acceptance",
    }));
    let record = text(&opened, "/subject").to_owned();
    let before = tablet.ask("record", json!({ "record": record }));
    assert!(!text(&before, "/may/why_not_weather").is_empty(), "no attempt to note it in");
    tablet.act(json!({
        "do": "start_attempt", "record": record, "permit": "PTW-0460", "assisted_by": ["P-09"],
    }));
    record
}

fn seen(tablet: &Tablet, record: &str) -> Value {
    tablet.ask("record", json!({ "record": record }))
}

/// The limit on a quantity of the weather.
fn limit<'v>(view: &'v Value, quantity: &str) -> &'v Value {
    list(view, "/weather").iter().find(|one| one["quantity"] == quantity).unwrap()
}

#[test]
fn an_attempt_shows_its_permit_and_who_helps() {
    let tablet = Tablet::with("P-03", "gas_technician");
    let view = seen(&tablet, &begun(&tablet));
    let people = tablet.ask("people", json!({}));
    let trainee = list(&people, "/people").iter().find(|one| one["person"] == "P-09").unwrap();
    assert_eq!(text(&view, "/attempt/permit"), "PTW-0460");
    assert_eq!(view["attempt"]["assisted_by"], json!([text(trainee, "/name")]));
    let plain = tablet.started("PC-11", "p06-gas-leak-test");
    let view = seen(&tablet, &plain);
    assert_eq!(text(&view, "/attempt/permit"), "");
    assert!(list(&view, "/attempt/assisted_by").is_empty());
}

#[test]
fn the_weather_stands_as_typed_with_who_saw_it_and_when() {
    let mut tablet = Tablet::with("P-03", "gas_technician");
    let record = begun(&tablet);
    let view = seen(&tablet, &record);
    assert_eq!(text(&view, "/may/why_not_weather"), "");
    assert!(list(limit(&view, "wind-gust"), "/observed").is_empty());
    tablet.act(json!({ "do": "note_weather", "record": record, "observations": [
        { "quantity": "wind-gust", "typed": "7,3 m/s", "instrument": "AN-01" },
        { "quantity": "lightning", "typed": "none seen or heard" },
    ] }));
    // Far above the limit: it is noted like any other.
    tablet.act(json!({ "do": "note_weather", "record": record, "observations": [
        { "quantity": "wind-gust", "typed": "31 m/s" },
    ] }));
    let name = text(&tablet.ask("session", json!({})), "/acting/name").to_owned();
    tablet = tablet.die_and_come_back();
    let view = seen(&tablet, &record);
    let gusts = list(limit(&view, "wind-gust"), "/observed");
    let told: Vec<(&str, &str)> =
        gusts.iter().map(|one| (text(one, "/text"), text(one, "/instrument"))).collect();
    assert_eq!(told, [("7,3 m/s", "AN-01"), ("31 m/s", "")]);
    for one in gusts {
        assert!(text(one, "/by").starts_with(&name), "{one}");
        assert_eq!(text(one, "/at/day"), text(&view, "/attempt/started/day"));
        assert_eq!(text(one, "/at/clock").len(), "06:21".len());
    }
    let lightning = list(limit(&view, "lightning"), "/observed");
    assert_eq!(lightning.len(), 1);
    assert_eq!(text(&lightning[0], "/text"), "none seen or heard");
    assert!(list(&view, "/attempt/flags").is_empty(), "what is noted is judged by nobody");
}

#[test]
fn whoever_may_not_note_the_weather_is_told_why_beforehand() {
    let mut tablet = Tablet::with("P-03", "gas_technician");
    let record = begun(&tablet);
    tablet = tablet.die_and_come_back();
    assert!(text(&seen(&tablet, &record), "/may/why_not_weather").starts_with("Nobody acts"));
    tablet.act_as("P-03", "gas_technician");
    tablet.act(json!({ "do": "interrupt", "record": record, "reason": "thunder to the west" }));
    let told = text(&seen(&tablet, &record), "/may/why_not_weather").to_owned();
    let refused = tablet.refused(
        "act",
        json!({ "do": "note_weather", "record": record, "observations": [
            { "quantity": "lightning", "typed": "9 km" },
        ] }),
    );
    assert_eq!(told, format!("{} {}", refused.sentence, refused.next_step));
    assert!(list(limit(&seen(&tablet, &record), "lightning"), "/observed").is_empty());
}
