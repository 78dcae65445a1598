//! Requests that are refused: each with a code, a sentence and the next step, and with nothing
//! entered. They are sent to the logbook that the leak test of PC-04 left behind, on the day after.

use std::sync::Arc;

use app::Logbook;
use app::clock::StoryClock;
use app::demo::Story;
use app::error::AppError;
use app::request::{Request, Response};
use logbook::Moment;
use serde_json::{Value, json};

use crate::folders::Place;
use crate::played::{SITE, leak};

/// The logbook after the story, opened to be written, with a new record on PC-04 in hand.
struct Bench {
    logbook: Logbook,
    clock: Arc<StoryClock>,
    place: Place,
    record: String,
}

/// A person's PIN, as the site's file gives it.
fn pin(person: &str) -> String {
    let site: toml::Value = toml::from_str(&Story::shipped().text(SITE).unwrap()).unwrap();
    let people = site["people"].as_array().unwrap();
    let one = people.iter().find(|one| one["person"].as_str() == Some(person)).unwrap();
    one.get("pin").unwrap_or(&site["founder"]["pin"]).as_str().unwrap().to_owned()
}

impl Bench {
    fn new(name: &str) -> Self {
        let place = leak().copied(name);
        let at = Moment::parse("2026-08-29T13:00:00-04:00").unwrap().at();
        let clock = Arc::new(StoryClock::new(at));
        let opened = Logbook::open_with(
            &place.data,
            Some(&place.secrets),
            &place.passphrase,
            Arc::<StoryClock>::clone(&clock),
            &mut |_| {},
        );
        let mut bench = Self { logbook: opened.unwrap(), clock, place, record: String::new() };
        bench.acts("P-03", "gas_technician");
        let open = json!({ "do": "open_record", "position": "PC-04",
            "checklist": "p06-gas-leak-test", "criteria": "dish-acceptance" });
        match bench.ask(open).unwrap() {
            Response::Entered { subject, .. } => bench.record = subject,
            other => panic!("{other:?}"),
        }
        bench.entered(json!({ "do": "start_attempt", "permit": "PTW-0500" }));
        bench
    }

    fn at(&self, time: &str) {
        self.clock.move_to(Moment::parse(time).unwrap().at());
    }

    fn acts(&mut self, person: &str, role: &str) {
        self.ask(json!({ "do": "act_as", "person": person, "role": role, "pin": pin(person) }))
            .unwrap();
    }

    fn ask(&mut self, mut request: Value) -> Result<Response, AppError> {
        let needs_record =
            ["start_attempt", "answer", "start_hold", "end_hold", "finish", "judge", "review"];
        if needs_record.iter().any(|one| request["do"] == *one) {
            request["record"] = json!(self.record);
        }
        let request: Request = serde_json::from_value(request).unwrap();
        self.logbook.handle(request)
    }

    /// Goes through, by exactly one entry, whose payload is given.
    #[track_caller]
    fn entered(&mut self, request: Value) -> Value {
        let before = self.place.contents().entries.len();
        let response = self.ask(request).unwrap();
        let after = self.place.contents();
        assert_eq!(after.entries.len(), before + 1);
        let last = after.entries.last().unwrap();
        assert!(matches!(response, Response::Entered { entry, .. } if entry == last.id));
        last.payload.clone()
    }

    /// Is refused with this code and these words, and the logbook holds what it held.
    #[track_caller]
    fn refused(&mut self, request: Value, code: &str, words: &[&str]) {
        let before = self.place.contents();
        let error = self.ask(request).unwrap_err();
        assert_eq!(error.code, code, "{error:?}");
        assert!(error.sentence.len() > 10 && error.sentence.ends_with(['.', '?']), "{error:?}");
        assert!(error.next_step.len() > 10, "{error:?}");
        for word in words {
            assert!(error.to_string().contains(word), "no \"{word}\" in {error}");
        }
        assert_eq!(self.place.contents(), before, "a refusal changed something");
    }
}

fn read(step: &str, typed: &str) -> Value {
    json!({ "do": "answer", "step": step, "typed": { "read": typed }, "instrument": "PG-03" })
}

#[test]
fn a_wrong_pin_enters_nothing_and_makes_nobody_act() {
    let mut bench = Bench::new("wrong-pin");
    bench.ask(json!({ "do": "change_person" })).unwrap();
    let wrong = json!({ "do": "act_as", "person": "P-02", "role": "supervisor", "pin": "620915" });
    bench.refused(wrong.clone(), "people.wrong_pin", &["Teodoro Manquel", "Nothing was entered"]);
    bench.refused(json!({ "do": "finish" }), "people.nobody_acts", &["PIN"]);
    for _ in 0..4 {
        bench.refused(wrong.clone(), "people.wrong_pin", &[]);
    }
    // The sixth try waits, even with the right PIN.
    let right =
        json!({ "do": "act_as", "person": "P-02", "role": "supervisor", "pin": pin("P-02") });
    bench.refused(right.clone(), "people.pin_wait", &["Wait"]);
    bench.at("2026-08-29T14:30:00-04:00");
    bench.ask(right).unwrap();
}

#[test]
fn another_s_role_and_an_unknown_person_are_refused() {
    let mut bench = Bench::new("roles");
    let asks = |person: &str, role: &str| json!({ "do": "act_as", "person": person, "role": role, "pin": "508831" });
    bench.refused(
        asks("P-03", "supervisor"),
        "people.role_not_held",
        &["Ivana Brize", "gas technician"],
    );
    bench.refused(asks("P-99", "supervisor"), "people.unknown", &["P-99"]);
    bench.refused(asks("P-06", "electrician"), "people.no_pin", &["Efraín Dolz"]);
}

#[test]
fn pounds_typed_as_bar_are_questioned_and_stand_when_insisted_upon() {
    let mut bench = Bench::new("psi");
    bench.refused(
        read("raise-100", "1595 bar"),
        "logbook.implausible_value",
        &["1595 psi", "109.97", "with the reason"],
    );
    let mut insisted = read("raise-100", "1595 bar");
    insisted["insist"] = json!("The display says so; the gauge is being changed.");
    let payload = bench.entered(insisted);
    assert_eq!(payload["insisted"][0]["code"], "implausible_value", "{payload}");
    assert_eq!(
        payload["insisted"][0]["reason"],
        "The display says so; the gauge is being changed."
    );
    assert_eq!(payload["answer"]["reading"]["text"], "1595 bar", "kept as typed");
    // Typed in its own unit, nothing is asked; 1 595 psi is 109.97 bar (NIST SP 811, appendix B.8).
    let payload = bench.entered(read("raise-50", "1595 psi"));
    assert!(payload.get("insisted").is_none(), "{payload}");
}

#[test]
fn a_comma_that_could_be_either_is_refused_with_both_readings() {
    let mut bench = Bench::new("comma");
    let code = "logbook.ambiguous_number";
    bench.refused(read("raise-100", "1,595 psi"), code, &["1.595", "1595"]);
    bench.entered(read("raise-100", "110,2 bar"));
}

#[test]
fn an_answer_without_its_unit_s_kind_is_refused() {
    let mut bench = Bench::new("units");
    bench.refused(read("raise-100", "19.4 °C"), "logbook.wrong_unit", &["°C"]);
    bench.refused(read("raise-100", "about right"), "logbook.no_number", &["type it again"]);
    let mut without = read("raise-100", "110.2 bar");
    without["instrument"] = json!("TH-01");
    bench.refused(without.clone(), "logbook.wrong_instrument", &["TH-01"]);
    without["instrument"] = json!("PG-99");
    bench.refused(without.clone(), "logbook.unknown_instrument", &["PG-99"]);
    bench.refused(
        json!({ "do": "answer", "step": "raise-100", "typed": { "read": "110.2 bar" } }),
        "logbook.instrument_needed",
        &["gauge"],
    );
}

#[test]
fn a_hold_does_not_end_before_it_began() {
    let mut bench = Bench::new("hold");
    let hold = |what: &str, at: Option<&str>| {
        let mut request = json!({ "do": what, "step": "decay-hold" });
        if let Some(at) = at {
            request["worked_at"] = json!(at);
        }
        request
    };
    bench.refused(hold("end_hold", None), "logbook.hold_not_begun", &["was not begun"]);
    bench.at("2026-08-29T18:10:00-04:00");
    bench.entered(hold("start_hold", None));
    let early = hold("end_hold", Some("2026-08-29T18:09:00-04:00"));
    bench.refused(early, "logbook.end_before_start", &["18:10", "18:09", "Check the date"]);
    let late = hold("end_hold", Some("2026-08-30T18:10:00-04:00"));
    bench.refused(late, "logbook.work_in_future", &["2026-08-30"]);
    bench.at("2026-08-30T06:10:00-04:00");
    bench.entered(hold("end_hold", None));
    bench.refused(hold("end_hold", None), "logbook.hold_already_ended", &["new attempt"]);
}

#[test]
fn a_trainee_and_a_stranger_to_the_work_do_not_perform_it() {
    let mut bench = Bench::new("performers");
    let answer = read("raise-5", "5.0 bar");
    bench.acts("P-09", "trainee");
    bench.refused(answer.clone(), "logbook.trainee_assists_only", &["Bruno Calfú", "assisting"]);
    bench.acts("P-02", "supervisor");
    bench.refused(answer, "logbook.role_not_meant", &["gas technician"]);
    bench.acts("P-03", "gas_technician");
    bench.refused(
        json!({ "do": "finish" }),
        "logbook.steps_open",
        &["2.1", "missing with the reason"],
    );
    bench.refused(json!({ "do": "judge" }), "record.not_finished", &["finish"]);
    bench.acts("P-02", "supervisor");
    bench.refused(json!({ "do": "review", "decision": "accept" }), "record.no_verdict", &["Judge"]);
}

#[test]
fn after_the_ticket_expired_work_is_entered_only_with_the_reason() {
    let mut bench = Bench::new("ticket");
    // P-03's hydrogen ticket is good until 5 September.
    bench.at("2026-09-06T06:05:00-04:00");
    let mut answer = read("raise-5", "5.0 bar");
    bench.refused(
        answer.clone(),
        "logbook.paper_not_good",
        &["Ivana Brize", "5 Sep 2026", "6 Sep 2026"],
    );
    answer["insist"] = json!("Reading taken; the renewal is at the office.");
    let payload = bench.entered(answer);
    assert_eq!(payload["insisted"][0]["code"], "paper_not_good");
}

#[test]
fn ids_are_not_taken_twice_and_the_office_is_needed_for_them() {
    let mut bench = Bench::new("office");
    let dish = json!({ "do": "register_position", "position": "PC-04", "cluster": "PC", "dish_type": "LV-3" });
    bench.refused(dish.clone(), "logbook.office_needed", &["supervisor"]);
    bench.acts("P-02", "supervisor");
    bench.refused(dish, "request.taken", &["PC-04"]);
    let unknown = json!({ "do": "open_record", "position": "PC-77",
        "checklist": "p06-gas-leak-test", "criteria": "dish-acceptance" });
    bench.refused(unknown, "position.unknown", &["PC-77", "label"]);
    let broken = json!({ "do": "adopt", "what": "checklist", "content": "id = 3" });
    bench.refused(broken, "adopt.unreadable", &["Nothing was entered"]);
}
