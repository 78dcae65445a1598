//! Whether tables and series fit what their steps ask for: every fault is refused by its name.

use logbook::events::{OtherRows, RowState, SeriesImported, SurveyTaken};
use logbook::typed::{series_fits, survey_fits};
use proptest::prelude::*;
use quantity::Dimension;

use crate::measuring::{
    bare, column, gaps, logger, measured, minutes, run, series_asked, survey_asked,
};
use crate::site::at;

/// Breaks a series in one way.
type Change = fn(&mut SeriesImported);

/// The list that the table goes through.
fn joints() -> Vec<String> {
    (1..=18).map(|n| format!("G{n:02}")).collect()
}

/// The code by which it is refused; `fits` when it isn't.
fn of_survey(taken: &SurveyTaken) -> &'static str {
    match survey_fits(&survey_asked(), &joints(), taken) {
        Ok(()) => "fits",
        Err(refusal) => {
            assert!(refusal.sentence.ends_with('.') && refusal.next_step.ends_with('.'));
            assert!(!refusal.may_insist, "{refusal}");
            refusal.code
        }
    }
}

fn of_series(imported: &SeriesImported) -> &'static str {
    match series_fits(&series_asked(), imported) {
        Ok(()) => "fits",
        Err(refusal) => {
            assert!(refusal.sentence.ends_with('.') && refusal.next_step.ends_with('.'));
            assert!(!refusal.may_insist, "{refusal}");
            refusal.code
        }
    }
}

fn changed_survey(change: impl Fn(&mut SurveyTaken)) -> &'static str {
    let mut taken = gaps();
    change(&mut taken);
    of_survey(&taken)
}

fn changed_series(change: impl Fn(&mut SeriesImported)) -> &'static str {
    let mut imported = run();
    change(&mut imported);
    of_series(&imported)
}

#[test]
fn a_table_has_the_columns_that_were_asked_for_in_their_order() {
    assert_eq!(of_survey(&gaps()), "fits");
    assert_eq!(changed_survey(|taken| taken.columns.swap(0, 1)), "other_columns");
    assert_eq!(changed_survey(|taken| drop(taken.columns.pop())), "other_columns");
    assert_eq!(changed_survey(|taken| taken.columns.push(column("dz"))), "other_columns");
    assert_eq!(changed_survey(|taken| taken.columns[0].id = "dz".into()), "other_columns");
    let angle = |taken: &mut SurveyTaken| taken.columns[1].dimension = Dimension::Angle;
    assert_eq!(changed_survey(angle), "other_columns");
}

#[test]
fn a_row_is_on_the_list_and_stands_once() {
    let unknown = |taken: &mut SurveyTaken| taken.rows[1].row = "G19".into();
    assert_eq!(changed_survey(unknown), "unknown_line");
    let no_list = survey_fits(&survey_asked(), &[], &gaps()).unwrap_err();
    assert_eq!(no_list.code, "unknown_line");
    assert!(no_list.sentence.contains("G02"), "{no_list}");
    let twice = |taken: &mut SurveyTaken| taken.rows.push(measured("G01", [1, 1]));
    assert_eq!(changed_survey(twice), "line_twice");
    let twice = |taken: &mut SurveyTaken| taken.rows.push(bare("G01", RowState::Masked));
    assert_eq!(changed_survey(twice), "line_twice");
}

#[test]
fn a_row_has_a_value_for_each_column_or_none() {
    let one_typed = |taken: &mut SurveyTaken| drop(taken.rows[0].typed.pop());
    assert_eq!(changed_survey(one_typed), "other_columns");
    let one_base = |taken: &mut SurveyTaken| drop(taken.rows[0].base.pop());
    assert_eq!(changed_survey(one_base), "other_columns");
    let three = |taken: &mut SurveyTaken| {
        taken.rows[0].typed.push("1".into());
        taken.rows[0].base.push("0.001".into());
    };
    assert_eq!(changed_survey(three), "other_columns");
    for state in [RowState::Within, RowState::NotMeasured, RowState::Masked] {
        // Values under a state that says there are none.
        let with_values = |taken: &mut SurveyTaken| taken.rows[0].state = state;
        assert_eq!(changed_survey(with_values), "other_columns", "{state}");
        let without = |taken: &mut SurveyTaken| taken.rows[0] = bare("G02", state);
        assert_eq!(changed_survey(without), "fits", "{state}");
    }
    let none = |taken: &mut SurveyTaken| taken.rows[0] = bare("G02", RowState::Measured);
    assert_eq!(changed_survey(none), "other_columns");
}

#[test]
fn a_value_is_the_number_that_it_is_written_as() {
    let typed = |text: &'static str, base: &'static str| {
        changed_survey(move |taken| {
            taken.rows[0].typed[0] = text.into();
            taken.rows[0].base[0] = base.into();
        })
    };
    assert_eq!(typed("1.5", "0.0015"), "fits");
    assert_eq!(typed("1,5", "0.0015"), "fits", "a comma is read as it is elsewhere");
    assert_eq!(typed("1.5 cm", "0.015"), "fits", "its own unit counts");
    assert_eq!(typed("\u{2212}1.5", "-0.0015"), "fits");
    for (text, base) in [
        ("1.5", "0.0016"),
        ("1.5", "-0.0015"),
        ("1.5", "1.5"),
        ("1.5 cm", "0.0015"),
        ("1.5", "about 0.0015"),
        ("<1.5", "0.0015"),
        (">1.5", "0.0015"),
        ("", "0"),
        ("seen", "0"),
        ("1.5 K", "0.0015"),
        ("1.5 bar", "0.0015"),
        ("NaN", "NaN"),
    ] {
        assert_eq!(typed(text, base), "reading_differs", "{text} as {base}");
    }
}

#[test]
fn who_leaves_rows_out_says_why() {
    let not_measured = |reason: Option<&'static str>| {
        changed_survey(move |taken| {
            taken.others = OtherRows::NotMeasured { reason: reason.map(str::to_owned) };
        })
    };
    assert_eq!(not_measured(None), "reason_needed");
    assert_eq!(not_measured(Some(" . ")), "reason_needed");
    assert_eq!(not_measured(Some("too dark")), "fits");
    let within = |taken: &mut SurveyTaken| taken.others = OtherRows::Within { reason: None };
    assert_eq!(changed_survey(within), "fits", "they were looked at");
    let all_named = |taken: &mut SurveyTaken| {
        taken.others = OtherRows::NotMeasured { reason: None };
        taken.rows = joints().iter().map(|joint| measured(joint, [3, 4])).collect();
    };
    assert_eq!(changed_survey(all_named), "fits");
}

#[test]
fn a_channel_is_one_that_was_asked_for_and_stands_once() {
    assert_eq!(of_series(&run()), "fits");
    let unknown = |imported: &mut SeriesImported| imported.channels[1].id = "dew".into();
    assert_eq!(changed_series(unknown), "unknown_channel");
    // Gauge and absolute pressure are different things.
    let absolute = |imported: &mut SeriesImported| {
        imported.channels[0].dimension = Dimension::AbsolutePressure;
    };
    assert_eq!(changed_series(absolute), "unknown_channel");
    let twice = |imported: &mut SeriesImported| {
        let again = imported.channels[0].clone();
        imported.channels.push(again);
    };
    assert_eq!(changed_series(twice), "channel_twice");
    let lacking = |imported: &mut SeriesImported| drop(imported.channels.pop());
    assert_eq!(changed_series(lacking), "channel_missing");
    let refusal = {
        let mut imported = run();
        imported.channels.clear();
        series_fits(&series_asked(), &imported).unwrap_err()
    };
    assert!(refusal.sentence.contains("no Pressure, no Air temperature"), "{refusal}");
    assert!(!refusal.sentence.contains("Wind"), "it may be left out: {refusal}");
}

#[test]
fn times_rise_and_each_has_its_value() {
    let broken = |change: Change| changed_series(change);
    let cases: [(&str, Change); 6] = [
        ("a value too many", |one| one.channels[0].typed.push("1".into())),
        ("a value too few", |one| drop(one.channels[0].typed.pop())),
        ("the same time twice", |one| one.channels[0].times[1] = one.channels[0].times[0].clone()),
        ("a time before the last", |one| one.channels[1].times.swap(0, 1)),
        ("a file that is not there", |one| one.channels[0].file = 1),
        ("no file at all", |one| one.files.clear()),
    ];
    for (what, change) in cases {
        assert_eq!(broken(change), "series_broken", "{what}");
    }
    // An instant counts, not how it is written: 15:01 at UTC−4 and 16:02 at UTC−3 are 1 min apart.
    let zones = |one: &mut SeriesImported| {
        one.channels[0].times[2] = at("2026-08-25T16:02:00-03:00");
    };
    assert_eq!(changed_series(zones), "fits");
    let same_instant = |one: &mut SeriesImported| {
        one.channels[0].times[2] = at("2026-08-25T16:01:00-03:00");
    };
    assert_eq!(changed_series(same_instant), "series_broken");
    let second_file = |one: &mut SeriesImported| {
        one.files.push(logger(b"another"));
        one.channels[1].file = 1;
    };
    assert_eq!(changed_series(second_file), "fits");
}

/// Something that spoils any table.
#[derive(Debug, Clone, Copy)]
enum Spoiled {
    Base,
    ValueGone,
    Unknown,
    Twice,
    Bound,
    StateDiffers,
}

fn spoiled() -> impl Strategy<Value = Spoiled> {
    prop_oneof![
        Just(Spoiled::Base),
        Just(Spoiled::ValueGone),
        Just(Spoiled::Unknown),
        Just(Spoiled::Twice),
        Just(Spoiled::Bound),
        Just(Spoiled::StateDiffers),
    ]
}

/// Some of the joints in any order, each with two values.
fn rows() -> impl Strategy<Value = Vec<(usize, [i32; 2])>> {
    let row = (0..18_usize, [-5000..5000_i32, -5000..5000_i32]);
    proptest::collection::vec(row, 1..18).prop_map(|mut rows| {
        let mut seen = std::collections::BTreeSet::new();
        rows.retain(|(joint, _)| seen.insert(*joint));
        rows
    })
}

proptest! {
    #[test]
    fn any_rows_of_the_list_fit_and_any_one_fault_is_refused(
        rows in rows(), spoiled in spoiled(), which in 0..18_usize, value in 0..2_usize
    ) {
        let mut taken = gaps();
        taken.rows = rows.iter().map(|(joint, tenths)| measured(&joints()[*joint], *tenths)).collect();
        prop_assert_eq!(of_survey(&taken), "fits");
        let which = which % taken.rows.len();
        let row = &mut taken.rows[which];
        let expected = match spoiled {
            Spoiled::Base => {
                row.base[value] = format!("{}1", row.base[value]);
                "reading_differs"
            }
            Spoiled::ValueGone => {
                row.typed.remove(value);
                "other_columns"
            }
            Spoiled::Unknown => {
                row.row.push('x');
                "unknown_line"
            }
            Spoiled::Twice => {
                let again = row.clone();
                taken.rows.push(again);
                "line_twice"
            }
            Spoiled::Bound => {
                row.typed[value] = format!("<{}", row.typed[value].trim_start_matches('-'));
                "reading_differs"
            }
            Spoiled::StateDiffers => {
                row.state = RowState::NotMeasured;
                "other_columns"
            }
        };
        prop_assert_eq!(of_survey(&taken), expected);
    }

    #[test]
    fn rising_times_fit_and_two_exchanged_never_do(count in 2..60_u32, swap in 0..60_usize) {
        let mut imported = run();
        for channel in &mut imported.channels {
            channel.times = minutes(count);
            channel.typed = (0..count).map(|n| n.to_string()).collect();
        }
        prop_assert_eq!(of_series(&imported), "fits");
        let at = swap % (imported.channels[0].times.len() - 1);
        imported.channels[0].times.swap(at, at + 1);
        prop_assert_eq!(of_series(&imported), "series_broken");
    }
}
