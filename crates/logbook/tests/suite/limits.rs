//! Each limit one resolution inside and one outside, and the doubts that take back a pass.

use logbook::document::Flag;
use logbook::events::{Answer, AnswerGiven};
use logbook::{Judgement, Verdict};

use crate::site::{CHECKLIST, CRITERIA, EVENING, GAS, Readings, Site, at, insist, passing, record};

fn limit(judgement: &Judgement, id: &str) -> Verdict {
    judgement.limits.iter().find(|limit| limit.limit == id).unwrap().verdict
}

fn judged(change: impl Fn(&mut Readings)) -> Judgement {
    let mut readings = passing();
    change(&mut readings);
    let mut site = Site::ready();
    site.whole_attempt(&readings);
    site.judged(1)
}

#[test]
fn loss_of_contents_at_its_limit() {
    // CoolProp 8.0.0, helium, barometer 862 hPa, 110.0 bar/24.0 °C to 12.0 °C: 104.5 bar gives
    // 0.9367 %, 104.4 bar gives 1.0261 %. One step of the gauge lies between inside and outside.
    let inside = judged(|readings| readings.end[0] = Some("104.5"));
    assert_eq!(inside.verdict, Verdict::Pass, "{}", inside.reason);
    let outside = judged(|readings| readings.end[0] = Some("104.4"));
    assert_eq!(outside.verdict, Verdict::Fail, "{}", outside.reason);
    assert_eq!(limit(&outside, "leak-loss"), Verdict::Fail);
}

#[test]
fn hold_time_at_its_limit() {
    let just = judged(|readings| readings.hold[1] = "2026-08-26T06:10:00-04:00");
    assert_eq!(limit(&just, "leak-hold-time"), Verdict::Pass);
    let short = judged(|readings| readings.hold[1] = "2026-08-26T06:09:59-04:00");
    assert_eq!(limit(&short, "leak-hold-time"), Verdict::NotJudged);
    assert_eq!(short.verdict, Verdict::NotJudged, "{}", short.reason);
}

#[test]
fn a_joint_with_an_indication_fails() {
    let judgement = judged(|readings| readings.sniff = "indication");
    assert_eq!(limit(&judgement, "leak-joints"), Verdict::Fail);
    assert_eq!(judgement.verdict, Verdict::Fail);
}

/// The same answers under criteria with one figure changed, so that it lies on the other side.
fn with_criteria(from: &str, to: &str) -> Judgement {
    let changed = CRITERIA.replacen(from, to, 1);
    assert_ne!(changed, CRITERIA);
    let mut site = Site::ready_with(CHECKLIST, &changed);
    site.whole_attempt(&passing());
    site.judged(1)
}

#[test]
fn limits_come_from_the_adopted_criteria_alone() {
    // By hand: the gauge's 0.25 bar over 0.01 × (110.0 + 0.862) bar = 0.225506…, so 22.55 % is just
    // too little. The temperature settled for 65 min, each stage was held for 10 min.
    for (id, inside, outside) in [
        ("leak-gauge-share", "22.56 %", "22.55 %"),
        ("leak-stabilise-drift", "0.3 K", "0.29 K"),
        ("gas-pressure-max", "110.0 bar(g)", "109.9 bar(g)"),
        ("leak-stabilise-time", "65 min", "66 min"),
        ("leak-stage-wait", "10 min", "10.1 min"),
    ] {
        let value = logbook::source::Criteria::parse("criteria.toml", CRITERIA)
            .unwrap()
            .limit(id)
            .unwrap()
            .value
            .clone();
        let block = |new: &str| {
            let from = CRITERIA.find(&format!("id = \"{id}\"")).unwrap();
            let old = format!("value = \"{value}\"");
            let place = from + CRITERIA[from..].find(&old).unwrap();
            let mut text = CRITERIA.to_owned();
            text.replace_range(place..place + old.len(), &format!("value = \"{new}\""));
            let mut site = Site::ready_with(CHECKLIST, &text);
            site.whole_attempt(&passing());
            limit(&site.judged(1), id)
        };
        assert_eq!(block(inside), Verdict::Pass, "{id} {inside}");
        assert_ne!(block(outside), Verdict::Pass, "{id} {outside}");
    }
}

#[test]
fn the_decision_rule_comes_from_the_criteria() {
    // 0.76 % keeps 0.86 %, but not when the limit is tightened by U, about 0.1 % (JCGM 106, w = U).
    let simple = with_criteria("value = \"1.0 %\"", "value = \"0.86 %\"");
    assert_eq!(limit(&simple, "leak-loss"), Verdict::Pass, "{}", simple.reason);
    let guarded = with_criteria(
        "value = \"1.0 %\"\nper = \"12 h\"\nrule = \"simple\"",
        "value = \"0.86 %\"\nper = \"12 h\"\nrule = \"guarded\"",
    );
    assert_eq!(limit(&guarded, "leak-loss"), Verdict::Fail, "{}", guarded.reason);
}

#[test]
fn a_large_uncertainty_is_not_judged() {
    let strict = with_criteria("value = \"33.3 %\"", "value = \"5 %\"");
    assert_eq!(limit(&strict, "leak-uncertainty-share"), Verdict::NotJudged);
    assert_eq!(strict.verdict, Verdict::NotJudged);
    assert_eq!(
        limit(&with_criteria("value = \"33.3 %\"", "value = \"33 %\""), "leak-uncertainty-share"),
        Verdict::Pass
    );
}

/// A whole passing attempt in which one answer is given otherwise.
fn with_answer(step: &str, answer: impl Fn(AnswerGiven) -> AnswerGiven) -> Site {
    let mut site = Site::ready();
    site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
    site.before(1, "2026-08-25T16:05:00-04:00");
    site.raise(1, "none", &EVENING);
    let [from, to] = passing().hold;
    for (name, text) in [("gauge", "110.0"), ("temperature", "24.0"), ("barometer", "862")] {
        let id = format!("start-{name}");
        give(&mut site, &id, text, from, step, &answer);
    }
    site.photo(1, "start-photo", from);
    site.hold(1, "decay-hold", from, to);
    for (name, text) in [("gauge", "104.7"), ("temperature", "12.0"), ("barometer", "862")] {
        let id = format!("end-{name}");
        give(&mut site, &id, text, to, step, &answer);
    }
    site.finish(1, to);
    site
}

fn give(
    site: &mut Site,
    id: &str,
    text: &str,
    when: &str,
    changed: &str,
    answer: &impl Fn(AnswerGiven) -> AnswerGiven,
) {
    let plain = site.given(1, id, site.reading(id, text), when);
    let event = if id == changed { answer(plain) } else { plain };
    site.write(when, GAS, &record(), &event);
}

fn flags(site: &Site, step: &str) -> Vec<Flag> {
    site.attempt(1).answers[step].current().unwrap().flags.clone()
}

#[test]
fn a_gauge_out_of_calibration_can_t_alone_accept() {
    let site = with_answer("end-gauge", |plain| AnswerGiven {
        instrument: Some("PG-07".into()),
        insisted: insist("out_of_calibration", "PG-03 at PC-05"),
        ..plain
    });
    // Due 24 August, used on the 26th: two days overdue at the time of work.
    let used = site.attempt(1).answers["end-gauge"].current().unwrap().instrument.clone().unwrap();
    assert_eq!(used.state.words(), "overdue since 24 Aug 2026 (2 d)");
    assert!(flags(&site, "end-gauge").iter().any(|flag| flag.code == "out_of_calibration"));
    let judgement = site.judged(1);
    assert_eq!(limit(&judgement, "leak-loss"), Verdict::NotJudged);
    assert_eq!(limit(&judgement, "leak-hold-time"), Verdict::Pass, "no safety limit");
    assert!(judgement.reason.contains("PG-07"), "{}", judgement.reason);
}

#[test]
fn calibration_has_its_state_on_each_day() {
    // PG-07: calibrated 30 August 2025, due 24 August 2026; warned of 14 days ahead.
    let site = Site::ready();
    let document: logbook::document::InstrumentDoc =
        logbook::read(&site.shelf, &logbook::Key::instrument("PG-07")).unwrap().unwrap();
    let state = |day: &str| document.state_on(crate::site::day(day), 14).counts();
    assert!(state("2026-08-24"));
    assert!(!state("2026-08-25"));
    assert!(!state("2025-08-29"), "before its first calibration nothing is known");
    assert!(matches!(
        document.state_on(crate::site::day("2026-08-10"), 14),
        logbook::document::CalibrationState::DueSoon { days: 14, .. }
    ));
    assert!(matches!(
        document.state_on(crate::site::day("2026-08-09"), 14),
        logbook::document::CalibrationState::InDate { .. }
    ));
}

#[test]
fn a_missing_reading_stays_missing() {
    for step in ["start-barometer", "end-temperature", "end-gauge"] {
        let site = with_answer(step, |plain| AnswerGiven {
            answer: Answer::Missing { reason: "display dark".into() },
            instrument: None,
            ..plain
        });
        let judgement = site.judged(1);
        assert_eq!(judgement.verdict, Verdict::NotJudged, "{step}");
        assert!(flags(&site, step).iter().any(|flag| flag.code == "missing"));
        assert!(judgement.limits.iter().all(|limit| limit.verdict != Verdict::Fail), "{step}");
    }
}

#[test]
fn a_late_entry_is_marked() {
    let site = with_answer("end-gauge", |plain| AnswerGiven {
        worked_at: at("2026-08-24T23:00:00-04:00"),
        ..plain
    });
    assert!(flags(&site, "end-gauge").iter().any(|flag| flag.code == "late"));
}

#[test]
fn many_answers_in_a_few_seconds_are_marked() {
    let mut site = Site::ready();
    site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
    let now = "2026-08-26T20:00:00-04:00";
    site.before(1, now);
    for (step, text) in
        [("raise-5", "5.0"), ("raise-25", "27"), ("raise-50", "55"), ("raise-100", "110")]
    {
        let answer = site.reading(step, text);
        site.answer(1, step, answer, now);
        site.answer(1, &format!("{step}-check"), Answer::Confirmed {}, now);
    }
    assert!(site.attempt(1).flags.iter().any(|flag| flag.code == "clustered_entries"));
    let mut calm = Site::ready();
    calm.whole_attempt(&passing());
    assert!(calm.attempt(1).flags.is_empty(), "{:?}", calm.attempt(1).flags);
}
