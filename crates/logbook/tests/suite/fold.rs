//! The fold: incremental as from scratch, nothing dropped, bad entries block their own item only.

use std::sync::LazyLock;

use ledger::{Entry, Subject};
use logbook::document::{AttemptState, StatusDoc, Unread, UnreadWhy};
use logbook::events::{Answer, Decision, KINDS, Payload, RecordReviewed, Role};
use logbook::{Key, MemoryShelf, ProofState, Verdict, project, read};
use proptest::prelude::*;

use crate::site::{GAS, SUPERVISOR, Site, WITNESS, passing, record, subject};

const NOW: &str = "2026-08-26T09:00:00-04:00";

pub(crate) fn scratch(entries: &[Entry]) -> MemoryShelf {
    let mut shelf = MemoryShelf::new();
    for entry in entries {
        project(entry, &mut shelf).unwrap();
    }
    shelf
}

pub(crate) fn status(site: &Site) -> StatusDoc {
    read(&site.shelf, &Key::status()).unwrap().unwrap()
}

fn accepted() -> Site {
    static ACCEPTED: LazyLock<Site> = LazyLock::new(|| {
        let mut site = Site::ready();
        site.whole_attempt(&passing());
        let (verdict, _) = site.verdict(1, "2026-08-26T06:20:00-04:00");
        site.witness(1, "2026-08-26T06:30:00-04:00");
        site.accept(1, verdict, "2026-08-26T08:00:00-04:00");
        site
    });
    ACCEPTED.clone()
}

/// Seals an entry of any kind with any payload text.
fn any(site: &mut Site, kind: &str, version: u32, about: &Subject, payload: &str) {
    let draft = site.draft(NOW, GAS, (kind, version), about, payload.as_bytes().to_vec());
    site.seal(draft, None);
}

#[test]
fn a_whole_story_has_no_entry_left_unread() {
    let site = accepted();
    let status = status(&site);
    assert_eq!(status.entries, site.entries.len() as u64);
    assert!(status.unread.is_empty() && status.newer.is_empty(), "{:?}", status.unread);
    assert_eq!(status.chains.len(), 1);
    assert_eq!(site.position().proof("leak").state, ProofState::Stands);
}

#[test]
fn an_unknown_kind_is_kept_counted_and_withholds_what_it_bears_on() {
    let mut site = accepted();
    any(&mut site, "joint_opened", 1, &record(), r#"{"joint":"G14"}"#);
    let status = status(&site);
    assert_eq!(status.newer["joint_opened"].entries, 1);
    assert_eq!(status.entries, site.entries.len() as u64);
    let record = site.record();
    assert_eq!(record.unread[0].why, UnreadWhy::Newer);
    let proof = site.position().proof("leak");
    assert_eq!(proof.state, ProofState::Withheld);
    assert!(proof.reasons[0].contains("newer version"), "{:?}", proof.reasons);
    let judgement = site.judged(1);
    assert_eq!(judgement.verdict, Verdict::NotJudged);
    assert!(judgement.reason.starts_with("Withheld"), "{}", judgement.reason);
}

#[test]
fn an_unknown_kind_before_its_record_is_not_forgotten() {
    let mut site = Site::ready();
    let later = subject(901);
    any(&mut site, "joint_opened", 1, &later, r#"{"joint":"G14"}"#);
    let opened = logbook::events::RecordOpened {
        position: "PC-04".into(),
        checklist: site.record().checklist,
        criteria: site.record().criteria,
    };
    site.write(NOW, GAS, &later, &opened);
    let document: logbook::document::RecordDoc =
        read(&site.shelf, &Key::record(&later)).unwrap().unwrap();
    assert_eq!(document.unread.len(), 1);
}

#[test]
fn a_newer_version_of_a_known_kind_is_newer_not_malformed() {
    let mut site = accepted();
    any(&mut site, "answer_given", 2, &record(), r#"{"shape":"other"}"#);
    assert_eq!(site.record().unread[0].why, UnreadWhy::Newer);
}

#[test]
fn an_unknown_kind_about_the_dish_withholds_its_proofs() {
    let mut site = accepted();
    any(&mut site, "circuit_opened", 1, &subject(500), r#"{"why":"valve"}"#);
    assert_eq!(site.position().proof("leak").state, ProofState::Withheld);
    assert!(site.record().unread.is_empty());
}

#[test]
fn a_malformed_entry_blocks_its_own_item_and_no_other() {
    let mut site = accepted();
    any(&mut site, "answer_given", 1, &subject(950), r#"{"attempt":"one"}"#);
    assert_eq!(status(&site).unread[0].why, UnreadWhy::Malformed);
    assert_eq!(site.position().proof("leak").state, ProofState::Stands);
    any(&mut site, "answer_given", 1, &record(), r#"{"attempt":1,"loud":"yes"}"#);
    assert_eq!(site.position().proof("leak").state, ProofState::Withheld);
    let unread: Vec<Unread> = read(&site.shelf, &Key::unread(&record())).unwrap().unwrap();
    assert_eq!(unread.len(), 1);
    assert!(unread[0].what.contains("does not fit"), "{}", unread[0].what);
}

#[test]
fn an_entry_in_the_wrong_place_changes_nothing_and_is_named() {
    let mut site = accepted();
    let before = site.attempt(1);
    let event = site.given(1, "volume", site.reading("volume", "99 L"), NOW);
    site.write(NOW, GAS, &record(), &event);
    assert_eq!(site.attempt(1), before);
    assert_eq!(site.record().unread[0].why, UnreadWhy::Misplaced);
    assert!(site.record().unread[0].what.contains("accepted"), "{}", site.record().unread[0].what);
}

#[test]
fn the_fold_itself_refuses_reviews_that_bind_nobody_or_the_wrong_one() {
    let judged = || {
        let mut site = Site::ready();
        site.whole_attempt(&passing());
        let (verdict, _) = site.verdict(1, "2026-08-26T06:20:00-04:00");
        (site, verdict)
    };
    let named = |site: &Site| site.record().unread[0].what.clone();

    let (mut site, verdict) = judged();
    let review = site.review(1, verdict, Decision::Accept, None);
    site.write(NOW, SUPERVISOR, &record(), &review);
    assert!(named(&site).contains("signature"), "{}", named(&site));
    assert_eq!(site.attempt(1).state, AttemptState::AwaitingReview);

    // Signed by the witness's key in the supervisor's name.
    let (mut site, verdict) = judged();
    let review = site.review(1, verdict, Decision::Accept, None);
    site.sign(NOW, SUPERVISOR, &record(), &review, (20, Role::Supervisor));
    assert!(named(&site).contains("not certified"), "{}", named(&site));

    // Signed by a supervisor who helped in the work.
    let mut site = Site::ready();
    site.whole_attempt_assisted(&passing(), vec![SUPERVISOR.to_owned()]);
    let (verdict, _) = site.verdict(1, "2026-08-26T06:20:00-04:00");
    let review = site.review(1, verdict, Decision::Accept, None);
    site.sign(NOW, SUPERVISOR, &record(), &review, (12, Role::Supervisor));
    assert!(named(&site).contains("took part"), "{}", named(&site));

    // Signed as supervisor by the one who did the work, and who is none.
    let (mut site, verdict) = judged();
    let review = site.review(1, verdict, Decision::Accept, None);
    site.sign(NOW, GAS, &record(), &review, (13, Role::Supervisor));
    assert!(named(&site).contains("role of supervisor"), "{}", named(&site));

    // Signed in another role than its content says.
    let (mut site, verdict) = judged();
    let review = site.review(1, verdict, Decision::Accept, None);
    site.sign(NOW, SUPERVISOR, &record(), &review, (12, Role::CommissioningLead));
    assert!(named(&site).contains("role"), "{}", named(&site));

    // A witness does not review.
    let (mut site, verdict) = judged();
    let review = RecordReviewed {
        role: Role::OwnersWitness,
        ..site.review(1, verdict, Decision::Accept, None)
    };
    site.sign(NOW, WITNESS, &record(), &review, (20, Role::OwnersWitness));
    assert_ne!(site.position().proof("leak").state, ProofState::Stands);
}

#[test]
fn an_engine_fitted_since_the_test_voids_the_proof() {
    let mut site = accepted();
    let fitted = logbook::events::SerialFitted {
        position: "PC-04".into(),
        slot: "engine".into(),
        serial: "EN-0350".into(),
        worked_at: crate::site::at(NOW),
        reason: Some("bearing noise".into()),
    };
    site.write(NOW, SUPERVISOR, &subject(500), &fitted);
    let position = site.position();
    assert_eq!(position.fitted_now()["engine"], "EN-0350");
    assert_eq!(position.fitted[0].removed_because.as_deref(), Some("bearing noise"));
    let proof = position.proof("leak");
    assert_eq!(proof.state, ProofState::Voided);
    assert!(proof.reasons[0].contains("EN-0350"), "{:?}", proof.reasons);
    assert_eq!(proof.serials[0].serial, "EN-0339", "what the test was made with stays shown");
    // A serial can't be in two slots.
    let twice = logbook::events::SerialFitted { slot: "spare".into(), ..fitted };
    site.write(NOW, SUPERVISOR, &subject(500), &twice);
    assert_eq!(status(&site).unread.last().unwrap().why, UnreadWhy::Misplaced);
}

#[test]
fn a_record_is_not_opened_under_criteria_that_lack_a_limit() {
    let fewer = crate::site::CRITERIA.replacen("id = \"leak-joints\"", "id = \"other\"", 1);
    let site = Site::ready_with(crate::site::CHECKLIST, &fewer);
    let unread: Vec<Unread> = read(&site.shelf, &Key::unread(&record())).unwrap().unwrap();
    assert!(unread[0].what.contains("leak-joints"), "{}", unread[0].what);
}

#[test]
fn holds_count_by_the_running_clock_and_show_both() {
    let mut site = Site::ready();
    site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
    let clock = |boot: &str, milliseconds| {
        Some(logbook::events::ClockReading { boot: boot.into(), milliseconds })
    };
    let mut hold = |step: &str, from: &str, to: &str, start_clock, end_clock| {
        let start = logbook::events::HoldStarted {
            attempt: 1,
            step: step.into(),
            role: Role::GasTechnician,
            origin: crate::site::direct(),
            worked_at: crate::site::at(from),
            clock: start_clock,
        };
        site.write(from, GAS, &record(), &start);
        let end = logbook::events::HoldEnded {
            attempt: 1,
            step: step.into(),
            role: Role::GasTechnician,
            origin: crate::site::direct(),
            worked_at: crate::site::at(to),
            clock: end_clock,
        };
        site.write(to, GAS, &record(), &end);
        let hold = site.attempt(1).holds[step].clone();
        let codes: Vec<String> = hold.flags.iter().map(|flag| flag.code.clone()).collect();
        (hold.elapsed.unwrap(), codes)
    };
    // The clocks change in the night: 12 h on the wall, 11 h in truth (TZ America/Santiago, 2026).
    let (elapsed, codes) = hold(
        "decay-hold",
        "2026-09-05T18:05:00-04:00",
        "2026-09-06T06:05:00-03:00",
        clock("a", 0),
        clock("a", 39_600_000),
    );
    assert_eq!((elapsed.by_clock, elapsed.by_claims), (Some(39_600), 39_600));
    assert!(codes.is_empty());
    // Somebody set the clock two hours ahead.
    let (elapsed, codes) = hold(
        "stabilise",
        "2026-08-25T17:00:00-04:00",
        "2026-08-25T20:00:00-04:00",
        clock("a", 0),
        clock("a", 3_600_000),
    );
    assert_eq!(elapsed.counted(), Some(3600));
    assert_eq!(codes, ["clock_set_during_hold"]);
    // The tablet started anew: its running clock says nothing.
    let (elapsed, codes) = hold(
        "raise-5-wait",
        "2026-08-25T16:10:00-04:00",
        "2026-08-25T16:20:00-04:00",
        clock("a", 99),
        clock("b", 100_000),
    );
    assert_eq!((elapsed.by_clock, elapsed.counted()), (None, Some(600)));
    assert_eq!(codes, ["not_by_running_clock"]);
    // An end before its start has no length.
    let (elapsed, codes) =
        hold("raise-25-wait", "2026-08-25T16:20:00-04:00", "2026-08-25T16:10:00-04:00", None, None);
    assert_eq!(elapsed.counted(), None);
    assert!(codes.contains(&"end_before_start".to_owned()));
}

#[test]
fn kinds_are_listed_once_and_binding_ones_are_marked() {
    let mut names: Vec<&str> = KINDS.iter().map(|kind| kind.name).collect();
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count);
    assert!(names.iter().all(|name| !ledger::kinds::OWN.contains(name)));
    let binds = |name: &str| KINDS.iter().find(|kind| kind.name == name).unwrap().binds;
    assert!(binds("record_reviewed") && binds("step_witnessed") && binds("attempt_finished"));
    assert!(!binds("answer_given"));
}

#[test]
fn payloads_survive_their_canonical_form() {
    let site = Site::ready();
    let event = site.given(1, "start-gauge", site.reading("start-gauge", "110,2 bar"), NOW);
    let bytes = event.to_bytes().unwrap();
    let back = logbook::events::Event::read("answer_given", 1, &bytes).unwrap();
    assert_eq!(back, logbook::events::Event::AnswerGiven(Box::new(event.clone())));
    let Answer::Read { reading } = event.answer else { panic!("a reading") };
    assert_eq!((reading.text.as_str(), reading.base_value.as_str()), ("110,2 bar", "11020000"));
}

/// Things that may happen to a site that is in use, good and bad, in any order.
#[derive(Debug, Clone)]
enum Happening {
    Unknown(u8),
    Malformed(u8),
    Answer(u8, u16),
    Start(u32),
    Finish(u32),
    Verdict(u32),
    Accept(u32),
    Correct(u8),
}

fn happening() -> impl Strategy<Value = Happening> {
    prop_oneof![
        (0_u8..4).prop_map(Happening::Unknown),
        (0_u8..4).prop_map(Happening::Malformed),
        (0_u8..40, 1_u16..200).prop_map(|(step, value)| Happening::Answer(step, value)),
        (1_u32..4).prop_map(Happening::Start),
        (1_u32..4).prop_map(Happening::Finish),
        (1_u32..4).prop_map(Happening::Verdict),
        (1_u32..4).prop_map(Happening::Accept),
        (0_u8..200).prop_map(Happening::Correct),
    ]
}

/// The subject that a small number stands for: the record, the dish, an unknown thing.
fn about(number: u8) -> Subject {
    match number {
        0 => record(),
        1 => subject(500),
        other => subject(960 + u64::from(other)),
    }
}

fn apply(site: &mut Site, happening: &Happening) {
    let attempt_of = |site: &Site, number: u32| site.record().attempt(number).is_some();
    match *happening {
        Happening::Unknown(to) => any(site, "from_tomorrow", 1, &about(to), r#"{"a":1}"#),
        Happening::Malformed(to) => any(site, "hold_ended", 1, &about(to), r#"{"a":1}"#),
        Happening::Answer(step, value) => {
            let checklist = site.checklist();
            let step = &checklist.steps[usize::from(step) % checklist.steps.len()];
            let answer = match &step.asks {
                logbook::source::Asks::Reading(_) => site.reading(&step.id, &value.to_string()),
                _ => Answer::Confirmed {},
            };
            let event = site.given(1, &step.id, answer, NOW);
            site.write(NOW, GAS, &record(), &event);
        }
        Happening::Start(number) => {
            let event = logbook::events::AttemptStarted {
                attempt: number,
                from_step: "prerequisites".into(),
                reason: None,
                role: Role::GasTechnician,
                assisted_by: Vec::new(),
                permit: None,
                worked_at: crate::site::at(NOW),
            };
            site.write(NOW, GAS, &record(), &event);
        }
        Happening::Finish(number) => {
            let event = logbook::events::AttemptFinished {
                attempt: number,
                role: Role::GasTechnician,
                worked_at: crate::site::at(NOW),
            };
            site.sign(NOW, GAS, &record(), &event, (13, Role::GasTechnician));
        }
        Happening::Verdict(number) if attempt_of(site, number) => {
            site.verdict(number, NOW);
        }
        Happening::Accept(number) if attempt_of(site, number) => {
            let verdict = site.attempt(number).verdicts.last().map(|one| one.stamp.entry);
            let verdict = verdict.unwrap_or(*site.entries[0].id());
            let event = site.review(number, verdict, Decision::Accept, None);
            site.sign(NOW, SUPERVISOR, &record(), &event, (12, Role::Supervisor));
        }
        Happening::Correct(index) => {
            let corrects = *site.entries[usize::from(index) % site.entries.len()].id();
            let event = logbook::events::CorrectionMade {
                corrects,
                answer: site.reading("volume", "12.5 L"),
                instrument: None,
                reason: "misread".into(),
                role: Role::GasTechnician,
                worked_at: crate::site::at(NOW),
                insisted: Vec::new(),
            };
            site.write(NOW, GAS, &record(), &event);
        }
        Happening::Verdict(_) | Happening::Accept(_) => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn incremental_documents_equal_those_from_scratch(
        happenings in prop::collection::vec(happening(), 0..14)
    ) {
        let mut site = accepted();
        for happening in &happenings {
            apply(&mut site, happening);
        }
        prop_assert_eq!(&scratch(&site.entries), &site.shelf);
        let status = status(&site);
        prop_assert_eq!(status.entries, site.entries.len() as u64);
        // Whatever happened, no proof stands while an unread entry bears on it.
        let bears = !site.record().unread.is_empty();
        prop_assert!(!(bears && site.position().proof("leak").state == ProofState::Stands));
    }

    #[test]
    fn any_kind_and_version_is_kept_and_named(kind in "[a-z][a-z_]{0,20}", version in 1_u32..9) {
        prop_assume!(!KINDS.iter().any(|known| known.name == kind && known.version == version));
        prop_assume!(!ledger::kinds::OWN.contains(&kind.as_str()));
        let mut site = Site::ready();
        any(&mut site, &kind, version, &record(), r#"{"value":"kept"}"#);
        prop_assert_eq!(status(&site).newer[&kind].entries, 1);
        let unread = site.record().unread;
        prop_assert_eq!((unread.len(), unread[0].why), (1, UnreadWhy::Newer));
    }
}
