//! The leak test of PC-04 with one thing changed each time: the verdicts follow the readings, and what the
//! rules refuse is refused without a trace among the entries.

use std::collections::BTreeMap;

use app::demo::Story;
use serde_json::Value;

use crate::played::{CRITERIA, SCRIPT, SITE, Scene, leak, leak_story, near, play, rewrite};

/// As in the shipped story's tests, by CoolProp 8.0.0; percent of contents over the 12 h.
pub(crate) const ATTEMPT_2: f64 = 0.2789;
pub(crate) const ONE_KELVIN_MORE: f64 = 1.0859;
pub(crate) const HYDROGEN: f64 = 3.8557;
pub(crate) const NITROGEN: f64 = 3.4733;

/// The acts of the script, one text each, with what stands before and after them.
fn change_act(story: &mut Story, containing: &[&str], change: impl Fn(&str) -> String) {
    let mut hits = 0;
    let text = story.text(SCRIPT).unwrap();
    let parts: Vec<String> = text
        .split("[[act]]\n")
        .map(|part| {
            if containing.iter().all(|one| part.contains(one)) {
                hits += 1;
                change(part)
            } else {
                part.to_owned()
            }
        })
        .collect();
    assert!(hits > 0, "no act contains {containing:?}");
    let changed = parts.join("[[act]]\n");
    rewrite(story, SCRIPT, |_| changed.clone());
}

/// Leaves out what comes after the first attempt; the report is still issued and signed.
fn only_attempt_1(story: &mut Story) {
    rewrite(story, SCRIPT, |text| {
        let (before, rest) = text.split_once("# The joint\n").unwrap();
        let (_, report) = rest.split_once("# Hand-over").unwrap();
        format!("{before}# Hand-over{report}")
    });
}

/// The story ends early, with an error that says what to do.
#[track_caller]
fn ended(scene: &Scene, code: &str) {
    let error = scene.outcome.as_ref().unwrap_err();
    assert_eq!(error.code, code, "{error:?}");
    assert!(error.sentence.len() > 10 && error.next_step.len() > 5, "{error:?}");
}

/// Entries of each kind, to see which were made.
fn kinds(scene: &Scene) -> BTreeMap<&str, i64> {
    let mut kinds = BTreeMap::new();
    for entry in &scene.contents.entries {
        *kinds.entry(entry.kind.as_str()).or_default() += 1;
    }
    kinds
}

/// How many entries of each kind there are more or fewer than in the thread as shipped.
fn difference(scene: &Scene) -> Vec<(&str, i64)> {
    let (mut now, before) = (kinds(scene), kinds(leak()));
    for (kind, count) in before {
        *now.entry(kind).or_default() -= count;
    }
    now.into_iter().filter(|(_, count)| *count != 0).collect()
}

/// Every refusal of the story says what is wrong and what to do.
#[track_caller]
fn refused(scene: &Scene, codes: &[&str]) {
    assert_eq!(scene.refusals(), codes, "{:#?}", scene.played().refused);
    for refused in &scene.played().refused {
        assert!(refused.sentence.len() > 10 && refused.next_step.len() > 5, "{refused:?}");
    }
}

#[test]
fn one_kelvin_turns_the_pass_into_a_failure_that_nobody_can_accept() {
    let mut story = leak_story();
    story
        .replace(SCRIPT, "typed = { read = \"12.0 °C\" }", "typed = { read = \"13.0 °C\" }")
        .unwrap();
    let scene = play("one-kelvin", &story);
    assert_eq!(scene.words(), ["fail", "not_judged", "fail"]);
    near(scene.loss(3), ONE_KELVIN_MORE);
    refused(&scene, &["logbook.verdict_is_no_pass"]);
    assert_eq!(difference(&scene), [("record_reviewed", -1)], "the acceptance was not entered");
    assert_eq!(scene.proof("leak")["state"], "owed");
    // The report says so, and what it says is verified all the same.
    assert!(scene.played().verified, "{:#?}", scene.played().seen);
}

#[test]
fn the_barometer_read_on_paper_would_have_let_attempt_2_pass() {
    let mut story = leak_story();
    let missing = "{ missing = \"The box on form F-0017 is empty; nobody read the barometer.\" }";
    change_act(&mut story, &[missing], |act| {
        act.replace(missing, "{ read = \"862 hPa\" }, instrument = \"BA-01\"")
    });
    let scene = play("barometer", &story);
    assert_eq!(scene.words(), ["fail", "pass", "pass"]);
    near(scene.loss(2), ATTEMPT_2);
    refused(&scene, &[]);
    assert_eq!(difference(&scene), []);
}

#[test]
fn a_hold_one_minute_short_is_not_judged() {
    let mut story = leak_story();
    change_act(&mut story, &["2026-08-28T06:25:00", "decay-hold"], |act| {
        act.replace("06:25:00", "06:24:00")
    });
    let scene = play("short-hold", &story);
    assert_eq!(scene.words(), ["fail", "not_judged", "not_judged"]);
    let reason = &scene.played().verdicts[2].reason;
    assert!(reason.contains("11 h 59 min") || reason.contains("hold"), "{reason}");
    refused(&scene, &["logbook.verdict_is_no_pass"]);
    assert_eq!(scene.proof("leak")["state"], "owed");
}

#[test]
fn the_gas_must_be_named_because_it_changes_the_loss() {
    for (gas, expected) in [("hydrogen", HYDROGEN), ("nitrogen", NITROGEN)] {
        let mut story = leak_story();
        story.replace(SCRIPT, "choose = \"helium\"", &format!("choose = \"{gas}\"")).unwrap();
        only_attempt_1(&mut story);
        let scene = play(gas, &story);
        near(scene.loss(1), expected);
        assert!((scene.loss(1) - leak().loss(1)).abs() > 0.1);
        assert_eq!(scene.words(), ["fail"]);
    }
}

/// Limits come from the adopted criteria: by a wider one the same readings pass.
#[test]
fn another_limit_in_the_adopted_criteria_gives_another_verdict() {
    let mut story = leak_story();
    story
        .replace(CRITERIA, "value = \"1.0 %\"\nper = \"12 h\"", "value = \"4.0 %\"\nper = \"12 h\"")
        .unwrap();
    only_attempt_1(&mut story);
    let scene = play("limit", &story);
    assert_eq!(scene.words(), ["pass"], "{:#?}", scene.played().verdicts);
    assert!(scene.played().verdicts[0].reason.contains("limit of 4.0 %"));
    near(scene.loss(1), leak().loss(1));
}

#[test]
fn an_overdue_gauge_is_asked_about_and_can_not_pass_a_safety_limit() {
    let overdue = |story: &mut Story| {
        change_calibration(story, "PG-03", "due = \"2027-01-15\"", "due = \"2026-08-20\"");
    };
    let mut story = leak_story();
    overdue(&mut story);
    change_act(&mut story, &["instrument = \"PG-03\""], |act| {
        act.replace(
            "instrument = \"PG-03\"",
            "instrument = \"PG-03\", insist = \"No other gauge on site.\"",
        )
    });
    let scene = play("overdue-insisted", &story);
    assert_eq!(scene.words()[2], "not_judged", "{:#?}", scene.played().verdicts);
    let reason = &scene.played().verdicts[2].reason;
    assert!(reason.contains("PG-03"), "{reason}");
    refused(&scene, &["logbook.verdict_is_no_pass"]);
    assert!(readings_of(&scene, "PG-03").count() > 10);
    for reading in readings_of(&scene, "PG-03") {
        let insisted = &reading["insisted"][0];
        assert_eq!(insisted["code"], "out_of_calibration", "{reading}");
        assert_eq!(insisted["reason"], "No other gauge on site.");
    }

    // Without a reason no reading of it is entered, so the attempt has no end.
    let mut story = leak_story();
    overdue(&mut story);
    let scene = play("overdue", &story);
    ended(&scene, "record.not_finished");
    assert_eq!(readings_of(&scene, "PG-03").count(), 0);
    assert!(readings_of(&scene, "TH-01").count() > 0);
    assert_eq!(scene.words(), <[&str; 0]>::default());
    assert_eq!(scene.proof("leak")["state"], "owed");
}

fn readings_of<'a>(scene: &'a Scene, instrument: &'a str) -> impl Iterator<Item = &'a Value> {
    let answers = scene.contents.of_kind("answer_given").map(|entry| &entry.payload);
    answers.filter(move |answer| answer["instrument"] == instrument)
}

fn change_calibration(story: &mut Story, instrument: &str, old: &str, new: &str) {
    rewrite(story, SITE, |text| {
        let from = text
            .match_indices("[[calibrations]]")
            .map(|(at, _)| at)
            .find(|at| text[*at..].lines().nth(1).unwrap().contains(instrument))
            .unwrap();
        let (before, after) = text.split_at(from);
        format!("{before}{}", after.replacen(old, new, 1))
    });
}

#[test]
fn who_took_part_does_not_review() {
    let mut story = leak_story();
    let held = "roles = [{ role = \"gas_technician\", from = \"2026-06-15\" }";
    story
        .replace(SITE, held, &format!("{held}, {{ role = \"supervisor\", from = \"2026-06-15\" }}"))
        .unwrap();
    change_act(&mut story, &["decision = \"accept\""], |act| {
        act.replacen("by = \"P-02\"", "by = \"P-03\"", 1)
    });
    let scene = play("own-review", &story);
    assert_eq!(scene.words(), ["fail", "not_judged", "pass"]);
    refused(&scene, &["logbook.reviewer_is_performer"]);
    assert_eq!(difference(&scene), [("record_reviewed", -1)]);
    assert_ne!(scene.proof("leak")["state"], "stands");
}

#[test]
fn a_trainee_types_in_but_does_not_perform() {
    let mut story = leak_story();
    change_act(&mut story, &["step = \"end-gauge\"", "read = \"104.7 bar\""], |act| {
        act.replace("by = \"P-03\"", "by = \"P-09\"").replace("\"gas_technician\"", "\"trainee\"")
    });
    let scene = play("trainee", &story);
    ended(&scene, "record.not_finished");
    assert_eq!(scene.words(), ["fail", "not_judged"]);
    let finished: Vec<&Value> =
        scene.contents.of_kind("attempt_finished").map(|entry| &entry.payload["attempt"]).collect();
    assert_eq!(finished, [1, 2], "attempt 3 lacks a reading and can't be finished");
    let reading = scene
        .contents
        .of_kind("answer_given")
        .filter(|entry| entry.person == "P-09" && entry.payload["origin"]["how"] == "direct");
    assert_eq!(reading.count(), 0);
}

/// Without the ticket the attempt does not start, and nothing of it is entered.
#[test]
fn an_expired_hydrogen_ticket_stops_the_first_attempt() {
    let mut story = leak_story();
    story.replace(SITE, "expires = \"2026-09-05\"", "expires = \"2026-08-20\"").unwrap();
    let scene = play("expired", &story);
    ended(&scene, "record.no_attempt");
    for kind in ["attempt_started", "answer_given", "hold_started", "verdict_reached"] {
        assert_eq!(scene.contents.of_kind(kind).count(), 0, "{kind}");
    }
}
