//! Measured tables and time series: who may enter them, what the fold makes of them, and that what
//! the rules let pass is never misplaced.

use ledger::Digest;
use logbook::document::{AttemptState, Unread, UnreadWhy};
use logbook::events::{
    Answer, AnswerGiven, AttemptFinished, CorrectionMade, OtherRows, Role, RowState,
    SeriesImported, SurveySource, SurveyTaken,
};
use logbook::rules::Act;
use logbook::{Key, ProofState, Refusal, Verdict, read};
use proptest::prelude::*;

use crate::fold::{scratch, status};
use crate::measuring::{
    NOON, adopt_design, bare, gaps, lines, measured, put, run, started, without_design,
};
use crate::site::{GAS, SUPERVISOR, Site, TRAINEE, at, direct, insist, record};

const LATER: &str = "2026-08-25T17:00:00-04:00";

fn refused(site: &Site, person: &str, now: &str, act: &Act<'_>) -> Refusal {
    let refusal = site.may(person, now, act).unwrap_err().refusal().unwrap().clone();
    assert!(refusal.sentence.ends_with('.') && refusal.next_step.ends_with('.'), "{refusal}");
    refusal
}

fn survey_code(site: &Site, person: &str, now: &str, taken: &SurveyTaken) -> &'static str {
    refused(site, person, now, &Act::Survey(&record(), taken)).code
}

fn series_code(site: &Site, person: &str, now: &str, imported: &SeriesImported) -> &'static str {
    refused(site, person, now, &Act::Series(&record(), imported)).code
}

/// Enters it as the program does: the rules are asked, and what they let pass has its place.
#[track_caller]
fn take(site: &mut Site, now: &str, taken: &SurveyTaken) -> ledger::EntryId {
    site.may(GAS, now, &Act::Survey(&record(), taken)).unwrap();
    let entry = put(site, now, taken, &[]);
    assert_eq!(site.record().unread, []);
    entry
}

#[track_caller]
fn import(site: &mut Site, now: &str, imported: &SeriesImported) -> ledger::EntryId {
    site.may(GAS, now, &Act::Series(&record(), imported)).unwrap();
    let entry = put(site, now, imported, &[b"logger"]);
    assert_eq!(site.record().unread, []);
    entry
}

fn again(replaces: ledger::EntryId) -> SurveyTaken {
    SurveyTaken {
        replaces: Some(replaces),
        reason: Some("the board had slipped".into()),
        rows: vec![measured("G03", [1, 2])],
        ..gaps()
    }
}

/// Everything answered and signed, with a verdict that counts.
fn judged() -> (Site, ledger::EntryId) {
    let mut site = started();
    site.answer(1, "prerequisites", Answer::Confirmed {}, NOON);
    let table = take(&mut site, NOON, &gaps());
    import(&mut site, NOON, &run());
    site.finish(1, NOON);
    site.verdict(1, NOON);
    assert_eq!(site.attempt(1).verdict().unwrap().verdict, Verdict::Pass);
    (site, table)
}

#[test]
fn a_table_and_series_are_kept_as_they_were_given() {
    let mut site = started();
    let (table, series) = (take(&mut site, NOON, &gaps()), import(&mut site, NOON, &run()));
    let attempt = site.attempt(1);
    let given = attempt.surveys["gaps"].current().unwrap();
    assert_eq!(
        (given.stamp.entry, &given.rows, &given.columns),
        (table, &gaps().rows, &gaps().columns)
    );
    assert_eq!(given.row("G02").unwrap().base, ["0.0015", "-0.0003"]);
    assert_eq!(given.row("G05"), None);
    assert_eq!(given.others.state(), RowState::NotMeasured);
    assert_eq!(given.instrument.as_ref().unwrap().instrument, "PG-03");
    assert!(given.flags.is_empty(), "{:?}", given.flags);
    let given = attempt.series["run"].current().unwrap();
    assert_eq!((given.stamp.entry, &given.channels), (series, &run().channels));
    assert_eq!(given.file_of(given.channel("air").unwrap()).unwrap().name, "logger.csv");
    // Each channel by the instrument that measured it: the file's, or its own.
    let of = |id: &str| given.instruments[id].instrument.as_str();
    assert_eq!((of("pressure"), of("air")), ("PG-03", "TH-01"));
    assert_eq!(given.attachments, [Digest::of(b"logger")]);
    assert_eq!(attempt.counting_entry("run"), Some(series));
}

#[test]
fn a_step_takes_what_it_asks_for() {
    let site = started();
    let step = |step: &str| SurveyTaken { step: step.into(), ..gaps() };
    assert_eq!(survey_code(&site, GAS, NOON, &step("run")), "answer_does_not_fit");
    assert_eq!(survey_code(&site, GAS, NOON, &step("prerequisites")), "answer_does_not_fit");
    assert_eq!(survey_code(&site, GAS, NOON, &step("nowhere")), "unknown_step");
    let step = |step: &str| SeriesImported { step: step.into(), ..run() };
    assert_eq!(series_code(&site, GAS, NOON, &step("gaps")), "answer_does_not_fit");
    assert_eq!(series_code(&site, GAS, NOON, &step("nowhere")), "unknown_step");
    // A table that does not fit is refused before anything is sealed.
    let mut unknown = gaps();
    unknown.rows[0].row = "G99".into();
    assert_eq!(survey_code(&site, GAS, NOON, &unknown), "unknown_line");
    let mut lacking = run();
    lacking.channels.pop();
    assert_eq!(series_code(&site, GAS, NOON, &lacking), "channel_missing");
}

#[test]
fn who_measures_is_qualified_at_the_time_of_work() {
    let site = started();
    let trainee = SurveyTaken { role: Role::Trainee, ..gaps() };
    assert_eq!(survey_code(&site, TRAINEE, NOON, &trainee), "trainee_assists_only");
    let other = SeriesImported { role: Role::Supervisor, ..run() };
    assert_eq!(series_code(&site, SUPERVISOR, NOON, &other), "role_not_meant");
    assert_eq!(series_code(&site, GAS, NOON, &other), "role_not_held");
    assert_eq!(survey_code(&site, "P-99", NOON, &gaps()), "unknown_person");

    // The ticket is good up to and including 5 September; a stated reason overcomes it.
    let next_day = "2026-09-06T08:00:00-03:00";
    let mut taken = SurveyTaken { worked_at: at(next_day), ..gaps() };
    assert_eq!(survey_code(&site, GAS, next_day, &taken), "paper_not_good");
    taken.insisted = insist("paper_not_good", ".");
    assert_eq!(survey_code(&site, GAS, next_day, &taken), "paper_not_good");
    taken.insisted = insist("out_of_calibration", "a reason for another question");
    assert_eq!(survey_code(&site, GAS, next_day, &taken), "paper_not_good");
    taken.insisted = insist("paper_not_good", "renewal is under way");
    site.may(GAS, next_day, &Act::Survey(&record(), &taken)).unwrap();
    let mut imported = SeriesImported { worked_at: at(next_day), ..run() };
    assert_eq!(series_code(&site, GAS, next_day, &imported), "paper_not_good");
    imported.insisted = insist("paper_not_good", "renewal is under way");
    site.may(GAS, next_day, &Act::Series(&record(), &imported)).unwrap();
}

#[test]
fn times_are_possible_and_late_ones_are_asked_about() {
    let site = started();
    let work = |when: &str| SurveyTaken { worked_at: at(when), ..gaps() };
    assert_eq!(survey_code(&site, GAS, NOON, &work(LATER)), "work_in_future");
    let before = "2026-08-25T15:00:00-04:00";
    assert_eq!(survey_code(&site, GAS, NOON, &work(before)), "work_before_attempt");
    let next_evening = "2026-08-26T18:00:00-04:00";
    assert_eq!(survey_code(&site, GAS, next_evening, &gaps()), "late_entry");
    assert_eq!(series_code(&site, GAS, next_evening, &run()), "late_entry");
    let mut late = gaps();
    late.insisted = insist("late_entry", "the board stood in the rain shed");
    let mut site = site;
    take(&mut site, next_evening, &late);
    let given = site.attempt(1).surveys["gaps"].current().unwrap().clone();
    assert!(given.flags.iter().any(|flag| flag.code == "late"), "{:?}", given.flags);
    assert_eq!(given.insisted, late.insisted);
    let unknown = SeriesImported { attempt: 2, ..run() };
    assert_eq!(series_code(&site, GAS, next_evening, &unknown), "unknown_attempt");
}

#[test]
fn each_instrument_is_named_known_right_and_in_date() {
    let site = started();
    let with = |id: Option<&str>| SurveyTaken { instrument: id.map(str::to_owned), ..gaps() };
    assert_eq!(survey_code(&site, GAS, NOON, &with(None)), "instrument_needed");
    assert_eq!(survey_code(&site, GAS, NOON, &with(Some("PG-99"))), "unknown_instrument");
    assert_eq!(survey_code(&site, GAS, NOON, &with(Some("TH-01"))), "wrong_instrument");
    let mut overdue = with(Some("PG-07"));
    assert_eq!(survey_code(&site, GAS, NOON, &overdue), "out_of_calibration");
    overdue.insisted = insist("out_of_calibration", "PG-03 is at PC-05");
    let mut insisted = site.clone();
    take(&mut insisted, NOON, &overdue);
    let flags = insisted.attempt(1).surveys["gaps"].current().unwrap().flags.clone();
    assert!(flags.iter().any(|flag| flag.code == "out_of_calibration"), "{flags:?}");

    // Every channel is asked about, whether the file's instrument measured it or its own.
    let of_file = |id: &str| {
        let mut imported = run();
        imported.files[0].instrument = id.into();
        imported
    };
    assert_eq!(series_code(&site, GAS, NOON, &of_file("PG-99")), "unknown_instrument");
    assert_eq!(series_code(&site, GAS, NOON, &of_file("TH-01")), "wrong_instrument");
    assert_eq!(series_code(&site, GAS, NOON, &of_file("PG-07")), "out_of_calibration");
    let mut of_channel = run();
    of_channel.channels[1].instrument = None;
    let refusal = refused(&site, GAS, NOON, &Act::Series(&record(), &of_channel));
    assert_eq!(refusal.code, "wrong_instrument", "the gauge measures no air");
    of_channel.channels[1].instrument = Some("BA-01".into());
    assert_eq!(series_code(&site, GAS, NOON, &of_channel), "wrong_instrument");
    let mut insisted = of_file("PG-07");
    insisted.insisted = insist("out_of_calibration", "PG-03 is at PC-05");
    let mut site = site;
    import(&mut site, NOON, &insisted);
    let flags = site.attempt(1).series["run"].current().unwrap().flags.clone();
    let overdue = flags.iter().filter(|flag| flag.code == "out_of_calibration").count();
    assert_eq!(overdue, 1, "{flags:?}");
}

#[test]
fn facets_are_those_of_the_design_that_was_adopted_when_the_attempt_began() {
    let shape = |rows: &[&str]| SurveyTaken {
        step: "shape".into(),
        instrument: None,
        rows: rows.iter().map(|row| measured(row, [1, 2])).collect(),
        ..gaps()
    };
    let site = started();
    site.may(GAS, NOON, &Act::Survey(&record(), &shape(&["R01/F03", "R01/F01"]))).unwrap();
    assert_eq!(survey_code(&site, GAS, NOON, &shape(&["R01/F04"])), "unknown_line");
    assert_eq!(survey_code(&site, GAS, NOON, &shape(&["G01"])), "unknown_line");
    let mut site = without_design();
    assert_eq!(survey_code(&site, GAS, NOON, &shape(&["R01/F01"])), "no_dish_design");
    adopt_design(&mut site);
    let refusal = refused(&site, GAS, NOON, &Act::Survey(&record(), &shape(&["R01/F01"])));
    assert_eq!(refusal.code, "no_dish_design", "adopted after the attempt began");
    assert!(refusal.next_step.contains("another attempt"), "{refusal}");
    put(&mut site, NOON, &shape(&["R01/F01"]), &[]);
    assert_eq!(site.record().unread[0].why, UnreadWhy::Misplaced);
}

#[test]
fn a_step_is_taken_again_with_a_reason_and_the_first_stays() {
    let mut site = started();
    let first = take(&mut site, NOON, &gaps());
    assert_eq!(survey_code(&site, GAS, LATER, &gaps()), "already_answered");
    let wrong = again(*site.entries[3].id());
    assert_eq!(survey_code(&site, GAS, LATER, &wrong), "already_answered");
    for reason in [None, Some(" "), Some(".")] {
        let bare = SurveyTaken { reason: reason.map(str::to_owned), ..again(first) };
        assert_eq!(survey_code(&site, GAS, LATER, &bare), "reason_needed");
    }
    let second = take(&mut site, LATER, &again(first));
    let doc = site.attempt(1).surveys["gaps"].clone();
    let entries: Vec<_> = doc.given.iter().map(|given| given.stamp.entry).collect();
    assert_eq!(entries, [first, second]);
    assert_eq!(doc.given[0].rows, gaps().rows, "what was given first stays readable");
    let current = doc.current().unwrap();
    assert_eq!(current.rows, again(first).rows);
    assert_eq!(current.reason.as_deref(), Some("the board had slipped"));
    assert!(current.flags.iter().any(|flag| flag.code == "corrected"), "{:?}", current.flags);
    // Only the last one can be replaced.
    assert_eq!(survey_code(&site, GAS, LATER, &again(first)), "already_answered");

    let first = import(&mut site, NOON, &run());
    assert_eq!(series_code(&site, GAS, LATER, &run()), "already_answered");
    let reimported = SeriesImported { replaces: Some(first), ..run() };
    assert_eq!(series_code(&site, GAS, LATER, &reimported), "reason_needed");
    let reason = Some("the logger keeps UTC−4".to_owned());
    let second = import(&mut site, LATER, &SeriesImported { reason, ..reimported });
    let doc = site.attempt(1).series["run"].clone();
    assert_eq!((doc.given.len(), doc.current().unwrap().stamp.entry), (2, second));
    assert_eq!(site.attempt(1).counting_entry("run"), Some(second));
}

/// Nothing was there to be measured, and later it was: the answer is replaced like a table.
#[test]
fn what_was_missing_at_first_can_be_measured_later() {
    let mut site = started();
    let missing = Answer::Missing { reason: "the hood was on".into() };
    let answered = site.answer(1, "gaps", missing, NOON);
    assert_eq!(survey_code(&site, GAS, LATER, &gaps()), "already_answered");
    take(&mut site, LATER, &again(answered));
    let attempt = site.attempt(1);
    assert_eq!(attempt.surveys["gaps"].given.len(), 1);
    assert_eq!(attempt.answers["gaps"].given.len(), 1, "the first answer stays");
}

/// An answer that was replaced by a table is corrected no more; the table is taken again.
#[test]
fn what_was_measured_since_is_not_corrected() {
    let mut site = started();
    let missing = Answer::Missing { reason: "the hood was on".into() };
    let answered = site.answer(1, "gaps", missing.clone(), NOON);
    let correction = CorrectionMade {
        corrects: answered,
        answer: missing,
        instrument: None,
        reason: "it was the lid, not the hood".into(),
        role: Role::GasTechnician,
        worked_at: at(NOON),
        insisted: Vec::new(),
    };
    site.may(GAS, LATER, &Act::Correct(&record(), &correction)).unwrap();
    take(&mut site, LATER, &again(answered));
    let refusal = refused(&site, GAS, LATER, &Act::Correct(&record(), &correction));
    assert_eq!(refusal.code, "measured_since");
    put(&mut site, LATER, &correction, &[]);
    assert_eq!(site.record().unread[0].why, UnreadWhy::Misplaced);
}

/// Once a table counts, the rules refuse to enter the step as missing beside it.
#[test]
fn a_measured_step_is_not_also_missing() {
    let mut site = started();
    take(&mut site, NOON, &gaps());
    import(&mut site, NOON, &run());
    for step in ["gaps", "run"] {
        let event = AnswerGiven {
            attempt: 1,
            step: step.into(),
            answer: Answer::Missing { reason: "the hood was on".into() },
            instrument: None,
            role: Role::GasTechnician,
            origin: direct(),
            insisted: Vec::new(),
            worked_at: at(LATER),
        };
        let refusal = refused(&site, GAS, LATER, &Act::Answer(&record(), &event));
        assert_eq!(refusal.code, "already_answered", "{step}");
        let mut beside = site.clone();
        put(&mut beside, LATER, &event, &[]);
        assert_eq!(beside.record().unread[0].why, UnreadWhy::Misplaced, "{step}");
    }
}

#[test]
fn replacing_a_table_takes_back_the_verdict_that_rested_on_it() {
    let (mut site, table) = judged();
    let verdict = site.attempt(1).verdict().unwrap().stamp.entry;
    site.accept(1, verdict, LATER);
    assert_eq!(site.position().proof("alignment").state, ProofState::Stands);
    let replaced = take(&mut site, LATER, &again(table));
    let attempt = site.attempt(1);
    assert!(attempt.verdict().is_none() && attempt.review().is_none());
    assert_eq!(attempt.verdicts[0].overtaken_by, [replaced]);
    assert_eq!(attempt.reviews[0].overtaken_by, [replaced]);
    assert_eq!(attempt.state, AttemptState::AwaitingVerdict);
    assert_ne!(site.position().proof("alignment").state, ProofState::Stands);
    site.verdict(1, LATER);
    assert_eq!(site.attempt(1).verdict().unwrap().verdict, Verdict::Pass);
}

/// A step that no limit looks at was missing, and the verdict withheld for it; when it is measured
/// after all, the attempt is judged again.
#[test]
fn what_a_verdict_was_withheld_for_takes_it_back() {
    let mut site = started();
    site.answer(1, "prerequisites", Answer::Confirmed {}, NOON);
    take(&mut site, NOON, &gaps());
    let missing = Answer::Missing { reason: "the logger was off".into() };
    let answered = site.answer(1, "run", missing, NOON);
    site.finish(1, NOON);
    site.verdict(1, NOON);
    assert_eq!(site.attempt(1).verdict().unwrap().verdict, Verdict::NotJudged);
    let reason = Some("its memory was read out after all".to_owned());
    import(&mut site, LATER, &SeriesImported { replaces: Some(answered), reason, ..run() });
    assert_eq!(site.attempt(1).state, AttemptState::AwaitingVerdict);
    site.verdict(1, LATER);
    assert_eq!(site.attempt(1).verdict().unwrap().verdict, Verdict::Pass);
}

#[test]
fn without_its_table_or_series_nothing_is_finished_or_passed() {
    let mut site = started();
    site.answer(1, "prerequisites", Answer::Confirmed {}, NOON);
    let finish = AttemptFinished { attempt: 1, role: Role::GasTechnician, worked_at: at(NOON) };
    let refusal = refused(&site, GAS, NOON, &Act::Finish(&record(), &finish));
    assert_eq!(refusal.code, "steps_open");
    assert!(refusal.sentence.contains("1.1") && refusal.sentence.contains("2.1"), "{refusal}");
    assert!(!refusal.sentence.contains("1.2"), "it is optional: {refusal}");
    take(&mut site, NOON, &gaps());
    let missing = Answer::Missing { reason: "the logger was off.".into() };
    site.answer(1, "run", missing, NOON);
    site.finish(1, NOON);
    let judged = site.judged(1);
    assert_eq!(judged.verdict, Verdict::NotJudged);
    assert_eq!(judged.reason, "Step 2.1 (Run) is missing: the logger was off.");
}

#[test]
fn the_fold_names_what_has_no_place_and_leaves_the_rest() {
    let file = |bytes: &[u8]| SurveySource::File {
        file: Digest::of(bytes),
        name: "gaps.csv".into(),
        form: "facet table".into(),
        decisions: Vec::new(),
        lines: lines(),
    };
    let mut twice = gaps();
    twice.rows.push(measured("G01", [1, 1]));
    let mut unlike = gaps();
    unlike.columns.pop();
    let absent = ledger::EntryId::from_bytes([7; 32]);
    let surveys: [(&str, SurveyTaken); 6] = [
        ("stands twice", twice),
        ("columns dx, dy", unlike),
        ("no survey step `run`", SurveyTaken { step: "run".into(), ..gaps() }),
        ("is not attached", SurveyTaken { source: file(b"elsewhere"), ..gaps() }),
        ("nothing at step `gaps` to replace", again(absent)),
        ("was not started", SurveyTaken { attempt: 3, ..gaps() }),
    ];
    for (words, taken) in surveys {
        let mut site = started();
        let before = site.attempt(1);
        put(&mut site, NOON, &taken, &[b"logger"]);
        let unread: Vec<Unread> = read(&site.shelf, &Key::unread(&record())).unwrap().unwrap();
        assert_eq!((unread.len(), unread[0].why), (1, UnreadWhy::Misplaced), "{words}");
        assert!(unread[0].what.contains(words), "no {words:?} in {:?}", unread[0].what);
        assert_eq!(site.attempt(1), before, "{words}");
    }
    let mut site = started();
    put(&mut site, NOON, &SurveyTaken { source: file(b"gaps"), ..gaps() }, &[b"gaps"]);
    assert_eq!(site.record().unread, []);

    let mut falling = run();
    falling.channels[0].times.reverse();
    let mut two_files = run();
    two_files.files.push(crate::measuring::logger(b"second"));
    let series: [(&str, SeriesImported); 4] = [
        ("don't match", falling),
        ("is not attached", two_files),
        ("no series step `gaps`", SeriesImported { step: "gaps".into(), ..run() }),
        (
            "nothing at step `run` to replace",
            SeriesImported { replaces: Some(absent), reason: Some("again".into()), ..run() },
        ),
    ];
    for (words, imported) in series {
        let mut site = started();
        put(&mut site, NOON, &imported, &[b"logger"]);
        let unread = site.record().unread;
        assert_eq!((unread.len(), unread[0].why), (1, UnreadWhy::Misplaced), "{words}");
        assert!(unread[0].what.contains(words), "no {words:?} in {:?}", unread[0].what);
        assert!(site.attempt(1).series.is_empty(), "{words}");
    }
}

#[test]
fn rows_without_values_and_lines_not_used_are_pointed_out() {
    let mut site = started();
    let mut taken = gaps();
    taken.rows.push(bare("G07", RowState::NotMeasured));
    taken.rows.push(bare("G08", RowState::Masked));
    taken.others = OtherRows::Within { reason: None };
    take(&mut site, NOON, &taken);
    let texts: Vec<String> = site.attempt(1).surveys["gaps"]
        .current()
        .unwrap()
        .flags
        .iter()
        .map(|flag| flag.text.clone())
        .collect();
    assert_eq!(texts, ["not measured: G07", "masked: G08"]);
    let mut imported = run();
    imported.files[0].lines.rejected =
        vec![logbook::events::LineRejected { line: 4, reason: "no time".into() }];
    import(&mut site, NOON, &imported);
    let flags = site.attempt(1).series["run"].current().unwrap().flags.clone();
    assert_eq!(flags[0].text, "1 of 5 lines of logger.csv were not used", "{flags:?}");
}

/// Things that happen to a record of tables and series, allowed or not.
#[derive(Debug, Clone)]
enum Happening {
    Table { replaces: u8, reason: bool, rows: u8 },
    Series { replaces: u8, reason: bool },
    Missing(bool),
    Finish,
    Verdict,
}

fn happening() -> impl Strategy<Value = Happening> {
    prop_oneof![
        3 => (0_u8..5, any::<bool>(), 0_u8..20)
            .prop_map(|(replaces, reason, rows)| Happening::Table { replaces, reason, rows }),
        3 => (0_u8..5, any::<bool>())
            .prop_map(|(replaces, reason)| Happening::Series { replaces, reason }),
        1 => any::<bool>().prop_map(Happening::Missing),
        1 => Just(Happening::Finish),
        1 => Just(Happening::Verdict),
    ]
}

/// What is named as replaced: nothing, what counts, or some other entry.
fn replaced(site: &Site, step: &str, choice: u8) -> Option<ledger::EntryId> {
    match choice {
        0 => None,
        4 => Some(*site.entries[5].id()),
        _ => site.attempt(1).counting_entry(step),
    }
}

/// Seals it whatever the rules say, and gives what they said.
fn apply(site: &mut Site, happening: &Happening) -> bool {
    let reason = |given: bool| given.then(|| "it was dark".to_owned());
    match *happening {
        Happening::Table { replaces, reason: given, rows } => {
            let rows = (1..=rows).map(|n| measured(&format!("G{n:02}"), [3, 4])).collect();
            let replaces = replaced(site, "gaps", replaces);
            let taken = SurveyTaken { replaces, reason: reason(given), rows, ..gaps() };
            let allowed = site.may(GAS, NOON, &Act::Survey(&record(), &taken)).is_ok();
            put(site, NOON, &taken, &[]);
            allowed
        }
        Happening::Series { replaces, reason: given } => {
            let replaces = replaced(site, "run", replaces);
            let imported = SeriesImported { replaces, reason: reason(given), ..run() };
            let allowed = site.may(GAS, NOON, &Act::Series(&record(), &imported)).is_ok();
            put(site, NOON, &imported, &[b"logger"]);
            allowed
        }
        Happening::Missing(series) => {
            let step = if series { "run" } else { "gaps" };
            let missing = Answer::Missing { reason: "not seen".into() };
            let event = site.given(1, step, missing, NOON);
            let allowed = site.may(GAS, NOON, &Act::Answer(&record(), &event)).is_ok();
            put(site, NOON, &event, &[]);
            allowed
        }
        Happening::Finish => {
            let event =
                AttemptFinished { attempt: 1, role: Role::GasTechnician, worked_at: at(NOON) };
            let allowed = site.may(GAS, NOON, &Act::Finish(&record(), &event)).is_ok();
            site.sign(NOON, GAS, &record(), &event, (13, Role::GasTechnician));
            allowed
        }
        Happening::Verdict => {
            let finished = site.attempt(1).finished.is_some();
            site.verdict(1, NOON);
            finished
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// The rules and the fold never part: what the rules let pass is taken into the record; and a
    /// fold from scratch gives the same documents.
    #[test]
    fn what_the_rules_let_pass_has_its_place(
        happenings in proptest::collection::vec(happening(), 0..12)
    ) {
        let mut site = started();
        site.answer(1, "prerequisites", Answer::Confirmed {}, NOON);
        for happening in &happenings {
            let before = site.record().unread.len();
            let counted = |site: &Site| {
                let attempt = site.attempt(1);
                ["gaps", "run"].map(|step| {
                    attempt.surveys.get(step).map_or(0, |doc| doc.given.len())
                        + attempt.series.get(step).map_or(0, |doc| doc.given.len())
                })
            };
            let given = counted(&site);
            let allowed = apply(&mut site, happening);
            let unread = site.record().unread.len() - before;
            if allowed {
                prop_assert_eq!(unread, 0, "{:?}: {:?}", happening, site.record().unread.last());
            }
            let taken: usize = counted(&site).iter().sum::<usize>() - given.iter().sum::<usize>();
            let many = matches!(happening, Happening::Table { .. } | Happening::Series { .. });
            prop_assert_eq!(taken, usize::from(many && unread == 0));
        }
        prop_assert_eq!(&scratch(&site.entries), &site.shelf);
        prop_assert_eq!(status(&site).entries, site.entries.len() as u64);
        // Whatever was replaced, everything given stays, and only the last counts.
        let attempt = site.attempt(1);
        for doc in attempt.surveys.values() {
            for pair in doc.given.windows(2) {
                prop_assert_eq!(pair[1].replaces, Some(pair[0].stamp.entry));
            }
        }
    }
}
