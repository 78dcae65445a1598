//! Who acts: PINs, waits after wrong ones, roles, and what nobody may do.

use chrono::DateTime;
use serde_json::json;

use crate::site::{PIN, Site};

fn act(pin: &str) -> serde_json::Value {
    json!({ "do": "act_as", "person": "P-01", "role": "commissioning_lead", "pin": pin })
}

#[test]
fn a_wrong_pin_enters_nothing_and_after_five_the_next_try_waits() {
    let mut site = Site::found();
    for left in (0..5).rev() {
        let error = site.refused(act("999331"));
        assert_eq!(error.code, "people.wrong_pin");
        let says_more = error.next_step.contains("more wrong");
        assert_eq!(says_more, left > 0, "{}", error.next_step);
    }
    // The right PIN doesn't cut the wait short either: a guesser would try that.
    let error = site.refused(act(PIN));
    assert_eq!(error.code, "people.pin_wait");
    assert!(error.next_step.contains("60 s"), "{}", error.next_step);
    site.clock.move_to(DateTime::parse_from_rfc3339("2026-08-24T07:01:00-04:00").unwrap());
    site.ask(act(PIN)).unwrap();
}

#[test]
fn setting_the_clock_back_or_restarting_does_not_end_the_wait() {
    let mut site = Site::found();
    for _ in 0..5 {
        site.refused(act("999331"));
    }
    site.clock.move_to(DateTime::parse_from_rfc3339("2026-08-24T06:00:00-04:00").unwrap());
    assert_eq!(site.refused(act(PIN)).code, "people.pin_wait");
    site.clock.restart();
    assert_eq!(site.refused(act(PIN)).code, "people.pin_wait");
}

#[test]
fn nobody_acts_until_somebody_does() {
    let mut site = Site::found();
    let register = json!({
        "do": "register_position", "position": "PC-04", "cluster": "PC", "dish_type": "LV-3"
    });
    assert_eq!(site.refused(register.clone()).code, "people.nobody_acts");
    site.act_as_lead();
    site.ask(register.clone()).unwrap();
    assert_eq!(site.refused(register.clone()).code, "request.taken");
    site.ask(json!({ "do": "change_person" })).unwrap();
    assert_eq!(site.refused(register).code, "people.nobody_acts");
}

#[test]
fn a_role_that_is_not_held_and_a_person_who_is_unknown_are_refused() {
    let mut site = Site::found();
    let other = json!({ "do": "act_as", "person": "P-01", "role": "supervisor", "pin": PIN });
    assert_eq!(site.refused(other).code, "people.role_not_held");
    let unknown = json!({ "do": "act_as", "person": "P-77", "role": "supervisor", "pin": PIN });
    assert_eq!(site.refused(unknown).code, "people.unknown");
}

#[test]
fn a_weak_pin_is_refused_and_a_crew_member_cannot_change_the_site() {
    let mut site = Site::found();
    site.act_as_lead();
    site.ask(json!({
        "do": "enrol_person", "person": "P-03", "name": "Ivana Brize", "employer": "invented",
        "roles": [{ "role": "gas_technician", "from": "2026-06-01" }]
    }))
    .unwrap();
    let weak = json!({ "do": "give_pin", "person": "P-03", "pin": "123456" });
    assert_eq!(site.refused(weak).code, "vault.weak_pin");
    site.ask(json!({ "do": "give_pin", "person": "P-03", "pin": "508831" })).unwrap();
    site.ask(json!({
        "do": "act_as", "person": "P-03", "role": "gas_technician", "pin": "508831"
    }))
    .unwrap();
    let register = json!({
        "do": "register_position", "position": "PC-04", "cluster": "PC", "dish_type": "LV-3"
    });
    assert_eq!(site.refused(register).code, "logbook.office_needed");
}
