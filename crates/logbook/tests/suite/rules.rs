//! Every rule refuses with a code, a sentence and a next step, and loses nothing.

use ledger::Digest;
use logbook::Refusal;
use logbook::events::{
    Answer, AnswerGiven, AttemptFinished, AttemptStarted, Decision, HoldEnded, Origin, Role,
    StepWitnessed, TranscriptionConfirmed, Witnessing,
};
use logbook::rules::Act;

use crate::site::{GAS, SUPERVISOR, Site, TRAINEE, WITNESS, at, insist, passing, record};

const NOON: &str = "2026-08-25T16:05:00-04:00";

fn started() -> Site {
    let mut site = Site::ready();
    site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
    site
}

fn refused(site: &Site, person: &str, now: &str, act: &Act<'_>) -> Refusal {
    let refusal = site.may(person, now, act).unwrap_err().refusal().unwrap().clone();
    assert!(refusal.sentence.ends_with('.') && refusal.next_step.ends_with('.'), "{refusal}");
    refusal
}

fn answered(site: &Site, step: &str, text: &str) -> AnswerGiven {
    site.given(1, step, site.reading(step, text), NOON)
}

#[test]
fn psi_typed_as_bar_is_asked_about_with_both_answers() {
    let site = started();
    // 1 psi = 6894.757 Pa (NIST SP 811, App. B.8), so 1 595 psi = 109.97 bar.
    let mut event = answered(&site, "start-gauge", "1 595 bar");
    let question = refused(&site, GAS, NOON, &Act::Answer(&record(), &event));
    assert_eq!(question.code, "implausible_value");
    assert!(question.may_insist);
    assert!(question.next_step.contains("1595 psi"), "{question}");
    assert!(question.next_step.contains("109.97 bar(g)"), "{question}");
    assert!(question.next_step.contains("“1 595 bar” is right"), "{question}");

    event.insisted = insist("implausible_value", ".");
    assert_eq!(
        refused(&site, GAS, NOON, &Act::Answer(&record(), &event)).code,
        "implausible_value"
    );
    event.insisted = insist("implausible_value", "gauge of the compressor, photo attached");
    site.may(GAS, NOON, &Act::Answer(&record(), &event)).unwrap();
    let psi = answered(&site, "start-gauge", "1 595 psi");
    site.may(GAS, NOON, &Act::Answer(&record(), &psi)).unwrap();
}

#[test]
fn a_wrong_unit_is_refused_where_it_is_typed() {
    let site = started();
    let checklist = site.checklist();
    let logbook::source::Asks::Reading(asked) = &checklist.step("start-temperature").unwrap().asks
    else {
        panic!("a reading step")
    };
    let refusal = logbook::typed::reading(asked, "110 bar").unwrap_err();
    assert_eq!(refusal.code, "wrong_unit");
    assert!(refusal.sentence.contains("temperature"), "{refusal}");
}

#[test]
fn a_trainee_assists_and_types_in_from_paper_but_performs_nothing() {
    let site = started();
    let event = AnswerGiven { role: Role::Trainee, ..answered(&site, "volume", "12.4 L") };
    let refusal = refused(&site, TRAINEE, NOON, &Act::Answer(&record(), &event));
    assert_eq!(refusal.code, "trainee_assists_only");
    let from_paper = AnswerGiven {
        origin: Origin::Transcribed {
            form: "F-0017".into(),
            page: Digest::of(b"page"),
            performer: GAS.into(),
            performer_role: Role::GasTechnician,
        },
        ..event
    };
    site.may(TRAINEE, NOON, &Act::Answer(&record(), &from_paper)).unwrap();
    let without_form = AnswerGiven {
        origin: Origin::Transcribed {
            form: " ".into(),
            page: Digest::of(b"page"),
            performer: GAS.into(),
            performer_role: Role::GasTechnician,
        },
        ..from_paper
    };
    let refusal = refused(&site, TRAINEE, NOON, &Act::Answer(&record(), &without_form));
    assert_eq!(refusal.code, "form_number_needed");
    let named_trainee = AnswerGiven {
        origin: Origin::Transcribed {
            form: "F-0018".into(),
            page: Digest::of(b"page"),
            performer: TRAINEE.into(),
            performer_role: Role::Trainee,
        },
        ..without_form
    };
    let refusal = refused(
        &site,
        GAS,
        NOON,
        &Act::Answer(&record(), &AnswerGiven { role: Role::GasTechnician, ..named_trainee }),
    );
    assert_eq!(refusal.code, "trainee_assists_only");
}

#[test]
fn a_role_must_be_held_and_meant() {
    let site = started();
    let event = AnswerGiven { role: Role::Electrician, ..answered(&site, "volume", "12.4 L") };
    let code = |person, event: &AnswerGiven| {
        refused(&site, person, NOON, &Act::Answer(&record(), event)).code
    };
    assert_eq!(code(GAS, &event), "role_not_held");
    let event = AnswerGiven { role: Role::Supervisor, ..event };
    assert_eq!(code(SUPERVISOR, &event), "role_not_meant");
    assert_eq!(code("P-99", &event), "unknown_person");
}

#[test]
fn an_expired_ticket_counts_at_the_time_of_work() {
    let site = started();
    // The ticket is good up to and including 5 September.
    let on =
        |when: &str| AnswerGiven { worked_at: at(when), ..answered(&site, "volume", "12.4 L") };
    let last_day = "2026-09-05T23:00:00-04:00";
    site.may(GAS, last_day, &Act::Answer(&record(), &on(last_day))).unwrap();
    let next_day = "2026-09-06T06:05:00-03:00";
    let mut event = on(next_day);
    let refusal = refused(&site, GAS, next_day, &Act::Answer(&record(), &event));
    assert_eq!(refusal.code, "paper_not_good");
    assert!(refusal.sentence.contains("5 Sep 2026"), "{refusal}");
    event.insisted = insist("paper_not_good", "renewal is under way, nobody else on site");
    site.may(GAS, next_day, &Act::Answer(&record(), &event)).unwrap();

    let start = AttemptStarted {
        attempt: 2,
        from_step: "start-gauge".into(),
        reason: Some("second try".into()),
        role: Role::GasTechnician,
        assisted_by: Vec::new(),
        permit: None,
        worked_at: at(next_day),
    };
    let refusal = refused(&site, GAS, next_day, &Act::StartAttempt(&record(), &start));
    assert_eq!(refusal.code, "paper_not_good");
}

#[test]
fn an_instrument_must_be_named_known_right_and_in_date() {
    let site = started();
    let with = |instrument: Option<&str>| AnswerGiven {
        instrument: instrument.map(str::to_owned),
        ..answered(&site, "start-gauge", "110.0 bar")
    };
    let code = |event: &AnswerGiven| refused(&site, GAS, NOON, &Act::Answer(&record(), event)).code;
    assert_eq!(code(&with(None)), "instrument_needed");
    assert_eq!(code(&with(Some("PG-99"))), "unknown_instrument");
    assert_eq!(code(&with(Some("TH-01"))), "wrong_instrument");
    let overdue = with(Some("PG-07"));
    assert_eq!(code(&overdue), "out_of_calibration");
    let insisted =
        AnswerGiven { insisted: insist("out_of_calibration", "PG-03 at PC-05"), ..overdue };
    site.may(GAS, NOON, &Act::Answer(&record(), &insisted)).unwrap();
}

#[test]
fn times_must_be_possible() {
    let mut site = started();
    let at_time = |site: &Site, when: &str| AnswerGiven {
        worked_at: at(when),
        ..answered(site, "volume", "12.4 L")
    };
    let code = |site: &Site, event: &AnswerGiven, now: &str| {
        refused(site, GAS, now, &Act::Answer(&record(), event)).code
    };
    assert_eq!(code(&site, &at_time(&site, "2026-08-25T16:06:00-04:00"), NOON), "work_in_future");
    assert_eq!(
        code(&site, &at_time(&site, "2026-08-25T15:00:00-04:00"), NOON),
        "work_before_attempt"
    );
    let late = "2026-08-27T10:00:00-04:00";
    assert_eq!(code(&site, &at_time(&site, NOON), late), "late_entry");

    site.before(1, NOON);
    site.raise(1, "none", &crate::site::EVENING);
    let hold = |when: &str| HoldEnded {
        attempt: 1,
        step: "decay-hold".into(),
        role: Role::GasTechnician,
        origin: Origin::Direct {},
        worked_at: at(when),
        clock: None,
    };
    let end = hold("2026-08-25T17:59:00-04:00");
    let now = "2026-08-25T19:00:00-04:00";
    assert_eq!(refused(&site, GAS, now, &Act::EndHold(&record(), &end)).code, "hold_not_begun");
    let start = logbook::events::HoldStarted {
        attempt: 1,
        step: "decay-hold".into(),
        role: Role::GasTechnician,
        origin: Origin::Direct {},
        worked_at: at("2026-08-25T18:10:00-04:00"),
        clock: None,
    };
    site.write(now, GAS, &record(), &start);
    assert_eq!(refused(&site, GAS, now, &Act::EndHold(&record(), &end)).code, "end_before_start");
}

#[test]
fn the_gas_must_be_named_and_every_step_answered_before_finishing() {
    let mut site = started();
    let missing = site.given(1, "gas", Answer::Missing { reason: "label gone".into() }, NOON);
    let refusal = refused(&site, GAS, NOON, &Act::Answer(&record(), &missing));
    assert_eq!(refusal.code, "choice_needed");
    assert!(refusal.next_step.contains("Helium"), "{refusal}");
    let finish = AttemptFinished { attempt: 1, role: Role::GasTechnician, worked_at: at(NOON) };
    site.before(1, NOON);
    let refusal = refused(&site, GAS, NOON, &Act::Finish(&record(), &finish));
    assert_eq!(refusal.code, "steps_open");
    assert!(refusal.sentence.contains("2.1") && !refusal.sentence.contains("1.1,"), "{refusal}");
    assert!(!refusal.sentence.contains("8.4"), "an optional photo is not asked for: {refusal}");
}

#[test]
fn a_step_is_answered_once_and_then_corrected() {
    let mut site = started();
    site.before(1, NOON);
    let again = answered(&site, "volume", "12.6 L");
    let refusal = refused(&site, GAS, NOON, &Act::Answer(&record(), &again));
    assert_eq!(refusal.code, "already_answered");
    let table = Answer::Tabulated { others: "none".into(), count: 17, rows: Vec::new() };
    let refusal =
        refused(&site, GAS, NOON, &Act::Answer(&record(), &site.given(1, "sniff", table, NOON)));
    assert_eq!(refusal.code, "table_incomplete");
    let unfit = site.given(1, "isolate", Answer::Chosen { option: "helium".into() }, NOON);
    let refusal = refused(&site, GAS, NOON, &Act::Answer(&record(), &unfit));
    assert_eq!(refusal.code, "answer_does_not_fit");
}

#[test]
fn the_reviewer_is_another_person_in_a_reviewing_role() {
    let mut site = Site::ready();
    site.whole_attempt(&passing());
    let (verdict, _) = site.verdict(1, "2026-08-26T06:20:00-04:00");
    let now = "2026-08-26T08:00:00-04:00";
    let review = site.review(1, verdict, Decision::Accept, None);
    let as_role = |role| logbook::events::RecordReviewed { role, ..review.clone() };
    let code =
        |person, role| refused(&site, person, now, &Act::Review(&record(), &as_role(role))).code;
    assert_eq!(code(GAS, Role::GasTechnician), "role_may_not_review");
    assert_eq!(code(GAS, Role::Supervisor), "role_not_held");
    let other = site.review(1, site.entries[0].id().to_owned(), Decision::Accept, None);
    let refusal = refused(&site, SUPERVISOR, now, &Act::Review(&record(), &other));
    assert_eq!(refusal.code, "verdict_not_current");
    let bare = site.review(1, verdict, Decision::Reject, None);
    let refusal = refused(&site, SUPERVISOR, now, &Act::Review(&record(), &bare));
    assert_eq!(refusal.code, "reason_needed");
}

#[test]
fn a_supervisor_who_did_part_of_the_work_can_t_review_it() {
    let mut site = Site::ready();
    // The supervisor holds the technician's role too, and gives one answer.
    let enrolled = logbook::events::PersonEnrolled {
        person: "P-30".into(),
        name: "Second Hat".into(),
        employer: "Yard crew".into(),
        roles: [Role::Supervisor, Role::GasTechnician]
            .map(|role| logbook::events::RoleHeld {
                role,
                from: crate::site::day("2026-08-01"),
                until: None,
            })
            .into(),
        papers: vec![logbook::events::Paper {
            kind: "hydrogen-ticket".into(),
            number: "HT-2".into(),
            issued: crate::site::day("2026-01-01"),
            expires: None,
            scan: None,
        }],
    };
    site.write("2026-08-24T08:00:00-04:00", "", &crate::site::subject(130), &enrolled);
    site.start(1, "prerequisites", "2026-08-25T15:50:00-04:00");
    let event = site.given(1, "prerequisites", Answer::Confirmed {}, NOON);
    site.may("P-30", NOON, &Act::Answer(&record(), &event)).unwrap();
    site.write(NOON, "P-30", &record(), &event);
    let review =
        site.review(1, site.entries[0].id().to_owned(), Decision::Reject, Some("looks wrong"));
    let refusal = refused(&site, "P-30", NOON, &Act::Review(&record(), &review));
    assert_eq!(refusal.code, "reviewer_is_performer");
}

#[test]
fn only_the_performer_on_the_paper_confirms_it() {
    let mut site = started();
    let event = AnswerGiven {
        role: Role::Trainee,
        origin: Origin::Transcribed {
            form: "F-0017".into(),
            page: Digest::of(b"page"),
            performer: GAS.into(),
            performer_role: Role::GasTechnician,
        },
        ..answered(&site, "volume", "12.4 L")
    };
    let entry = site.write(NOON, TRAINEE, &record(), &event);
    let confirm = |role| TranscriptionConfirmed { entries: vec![entry], role };
    let refusal = refused(
        &site,
        SUPERVISOR,
        NOON,
        &Act::ConfirmTranscription(&record(), &confirm(Role::Supervisor)),
    );
    assert_eq!(refusal.code, "not_the_performer");
    let none =
        TranscriptionConfirmed { entries: vec![*site.entries[0].id()], role: Role::GasTechnician };
    let refusal = refused(&site, GAS, NOON, &Act::ConfirmTranscription(&record(), &none));
    assert_eq!(refusal.code, "nothing_to_confirm");
    site.may(GAS, NOON, &Act::ConfirmTranscription(&record(), &confirm(Role::GasTechnician)))
        .unwrap();
}

#[test]
fn a_witness_is_of_the_named_role_and_took_no_part() {
    let site = started();
    let event = StepWitnessed {
        attempt: 1,
        step: "witness".into(),
        witnessing: Witnessing::Present {},
        role: Role::OwnersWitness,
        worked_at: at(NOON),
    };
    site.may(WITNESS, NOON, &Act::Witness(&record(), &event)).unwrap();
    let by_supervisor = StepWitnessed { role: Role::Supervisor, ..event };
    let refusal = refused(&site, SUPERVISOR, NOON, &Act::Witness(&record(), &by_supervisor));
    assert_eq!(refusal.code, "not_a_witness");
    // 24 h of notice are agreed in the criteria.
    let absent = |invited_at: &str| StepWitnessed {
        witnessing: Witnessing::InvitedAbsent {
            invited: WITNESS.into(),
            invited_at: at(invited_at),
            evidence: "message, read".into(),
        },
        ..by_supervisor.clone()
    };
    let in_time = absent("2026-08-24T16:05:00-04:00");
    site.may(SUPERVISOR, NOON, &Act::Witness(&record(), &in_time)).unwrap();
    let late = absent("2026-08-24T16:05:01-04:00");
    let refusal = refused(&site, SUPERVISOR, NOON, &Act::Witness(&record(), &late));
    assert_eq!(refusal.code, "notice_too_short");
}
