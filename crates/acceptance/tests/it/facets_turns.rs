//! Turning the studs of a facet: by a crew in three dimensions, by hand, by rule.

use acceptance::{Refusal, Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::facets::{dish, result, run, shift};
use crate::oracle::oracle;
use crate::table::{close, number};

/// A triangle of studs with A outward; 1 mm a turn, eighths, clockwise towards the focus.
pub(crate) fn studs() -> Value {
    json!({
        "studs": [
            {"name": "A", "distance": "0.22 m", "bearing": "0 °"},
            {"name": "B", "distance": "0.22 m", "bearing": "120 °"},
            {"name": "C", "distance": "0.22 m", "bearing": "240 °"},
        ],
        "thread_pitch": "1.0 mm", "raises": "clockwise", "steps_per_turn": "8",
        "keeps": "least-turning",
    })
}

/// The rows of the list of work, each by the heads of its columns.
pub(crate) fn work(sheet: &Sheet) -> Vec<Value> {
    let Some(table) = sheet.tables.iter().find(|table| table.name == "work") else {
        return Vec::new();
    };
    let row = |cells: &Vec<String>| {
        assert_eq!(cells.len(), table.columns.len());
        table.columns.iter().cloned().zip(cells.iter().map(|c| json!(c))).collect::<Value>()
    };
    table.rows.iter().map(row).collect()
}

fn text<'r>(row: &'r Value, column: &str) -> &'r str {
    row[column].as_str().unwrap_or_else(|| panic!("no {column}: {row}"))
}

/// Turns as a number, from `-1 1/4`.
fn signed_turns(cell: &str) -> f64 {
    let size = cell.trim_start_matches(['+', '-']).split(' ').map(|part| {
        let (over, under) = part.split_once('/').unwrap_or((part, "1"));
        number(over) / number(under)
    });
    size.sum::<f64>() * if cell.starts_with('-') { -1.0 } else { 1.0 }
}

fn flags(sheet: &Sheet) -> Vec<&str> {
    sheet.flags.iter().map(|flag| flag.code.as_str()).collect()
}

/// The check that matters most: every facet of the invented dish, sun and lamp near and far, three
/// kinds of studs. A crew in Python turns what the words say and looks where the spot goes.
#[test]
fn a_crew_that_does_what_the_list_says_brings_every_spot_to_its_aim_point() {
    let cases: Vec<Value> = serde_json::from_str(&oracle("turn_cases.py", "")).unwrap();
    assert_eq!(cases.len(), 5);
    for input in cases {
        let sheet = run(&input);
        assert_eq!(sheet.result("to_turn").unwrap().value, "252");
        let case = json!({"input": input, "tables": sheet.tables});
        let report = oracle("turns.py", &case.to_string());
        assert!(report.contains("agrees: 252 facets"), "{report}");
    }
}

/// One facet straight up, at r = 4 m of f = 6 m, whose light goes 60 mm too far out.
fn outward() -> Value {
    let mut input = dish(6.0, &[("F", "R", 4.0, 0.0)]);
    input["adjusters"] = studs();
    shift(&mut input, "F", 0.0, 60.0);
    input
}

/// By hand: the light leaves the facet at atan(4/5.3333) = 36.8699° to the axis and should; it does
/// at atan(3.94/5.3333) = 36.4552°, and half the difference is 3.6195 mrad. The triangle is 0.33 m
/// deep, so that A has to come 1.1944 mm forward against B and C: 9.56 eighths of 1 mm, ten. The
/// outer stud is raised: light that goes out comes back.
#[test]
fn a_turn_by_hand() {
    let rows = work(&run(&outward()));
    let [row] = rows.as_slice() else { panic!("{rows:?}") };
    assert_eq!(text(row, "to do"), "A 1 1/4 in");
    let turns = ["A turns", "B turns", "C turns"].map(|column| text(row, column));
    assert_eq!(turns, ["+1 1/4", "0", "0"]);
    close(number(text(row, "left y mrad")), 3.6195 - 1.25 / 0.33, 5e-3, "left");
    assert!(number(text(row, "spot up mm")) < -60.0, "the spot comes back: {row}");
    // Half a millimetre a turn is twice the turns; the other thread goes the other way.
    let mut fine = outward();
    fine["adjusters"]["thread_pitch"] = json!("0.5 mm");
    fine["adjusters"]["raises"] = json!("counter-clockwise");
    assert_eq!(text(&work(&run(&fine))[0], "to do"), "A 2 3/8 out");
    assert_eq!(text(&work(&run(&fine))[0], "A turns"), "-2 3/8");
}

/// What stays: a fixed stud, the middle, or one stud left alone.
#[test]
fn what_stays_is_what_was_asked() {
    let call = |stays: (&str, Value)| {
        let mut input = outward();
        input["adjusters"].as_object_mut().unwrap().remove("keeps");
        input["adjusters"][stays.0] = stays.1;
        text(&work(&run(&input))[0], "to do").to_owned()
    };
    assert_eq!(call(("keeps", json!("least-turning"))), "A 1 1/4 in");
    assert_eq!(call(("fixed_stud", json!("A"))), "B 1 1/4 out, C 1 1/4 out");
    assert_eq!(call(("fixed_stud", json!("C"))), "A 1 1/4 in");
    assert_eq!(call(("keeps", json!("centre"))), "A 7/8 in, B 3/8 out, C 3/8 out");
}

/// Three racks: one moved, two with single facets out. First the bolts, and nothing on that rack;
/// then the rack with the worst facet, its worst first, although the other rack has the second.
#[test]
fn the_order_of_work() {
    let places = [
        ("R01/F01", "R01", 2.0, 5.0),
        ("R01/F02", "R01", 3.0, 15.0),
        ("R01/F03", "R01", 4.0, 25.0),
        ("R02/F01", "R02", 2.0, 35.0),
        ("R02/F02", "R02", 3.0, 45.0),
        ("R02/F03", "R02", 4.0, 55.0),
        ("R03/F01", "R03", 2.0, 65.0),
        ("R03/F02", "R03", 3.0, 75.0),
        ("R03/F03", "R03", 4.0, 85.0),
    ];
    let mut input = dish(6.0, &places);
    input["adjusters"] = studs();
    for (facet, dx, dy) in [
        ("R01/F01", 20.0, 0.0),
        ("R01/F02", 0.0, -30.0),
        ("R01/F03", 1.0, 0.0),
        ("R02/F01", 38.0, 2.0),
        ("R02/F02", 41.0, 3.0),
        ("R02/F03", 45.0, 4.0),
        ("R03/F01", -16.0, 5.0),
        ("R03/F02", 2.0, 0.0),
        ("R03/F03", 0.0, 60.0),
    ] {
        shift(&mut input, facet, dx, dy);
    }
    let sheet = run(&input);
    let rows = work(&sheet);
    let order: Vec<_> =
        rows.iter().map(|row| ["no", "rack", "facet"].map(|column| text(row, column))).collect();
    assert_eq!(
        order,
        [
            ["1", "R02", ""],
            ["", "R02", "R02/F02"],
            ["", "R02", "R02/F01"],
            ["", "R02", "R02/F03"],
            ["2", "R03", "R03/F03"],
            ["3", "R03", "R03/F01"],
            ["4", "R01", "R01/F02"],
            ["5", "R01", "R01/F01"],
        ],
        "{rows:#?}"
    );
    assert_eq!(text(&rows[0], "to do"), "bolts of the rack, then survey it again");
    for row in &rows[1..4] {
        assert_eq!(text(row, "to do"), "not before the rack is fixed");
        assert_eq!(text(row, "A turns"), "", "nobody turns a facet of a rack that moved");
    }
    let count = |name| sheet.result(name).unwrap().value.clone();
    assert_eq!((count("to_turn"), count("waiting")), ("4".to_owned(), "3".to_owned()));
    assert!(sheet.result("rms_after").is_none(), "nothing to hope for while a rack is off");
    let rule = sheet.working.iter().find(|line| line.meaning == "order of work").unwrap();
    assert!(rule.formula.contains("at their bolts") && rule.source.is_some());
    assert!(flags(&sheet).contains(&"look_at_the_spot"));
    assert_eq!(sheet.verdict, Verdict::Fail);
    // A facet within the limit is left alone, unless a smaller error is worth turning for.
    input["worth_turning"] = json!("0.05 mrad");
    assert_eq!(run(&input).result("to_turn").unwrap().value, "6");
}

#[test]
fn what_a_crew_is_warned_of() {
    // A step of a quarter on a coarse thread leaves more than the limit.
    let mut coarse = outward();
    coarse["adjusters"]["steps_per_turn"] = json!("1");
    coarse["adjusters"]["thread_pitch"] = json!("2.2 mm");
    let sheet = run(&coarse);
    assert!(flags(&sheet).contains(&"step_too_coarse"), "{:?}", flags(&sheet));
    // Travel, one resolution inside and outside.
    for (travel, far) in [("1.250 mm", false), ("1.249 mm", true)] {
        let mut input = outward();
        input["adjusters"]["travel"] = json!(travel);
        assert_eq!(flags(&run(&input)).contains(&"travel"), far, "{travel}");
    }
    // One facet alone tells nothing about its rack.
    assert!(flags(&run(&outward())).contains(&"rack_unknown"));
    // RMS above its limit while no facet is beyond the limit of an axis.
    let mut even = dish(6.0, &[("A", "R", 0.0, 0.0), ("B", "R", 0.0, 0.0)]);
    even["adjusters"] = studs();
    shift(&mut even, "A", 9.0, 9.0);
    shift(&mut even, "B", -9.0, -9.0);
    let sheet = run(&even);
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert!(flags(&sheet).contains(&"rms_without_work") && work(&sheet).is_empty());
    even["worth_turning"] = json!("0.5 mrad");
    let sheet = run(&even);
    assert_eq!(work(&sheet).len(), 2);
    assert!(result(&sheet, "rms_after") < 0.3, "{}", result(&sheet, "rms_after"));
}

/// What the input did not ask for is not in the sheet, and what it asks for changes no error and no
/// verdict.
#[test]
fn the_errors_are_the_same_with_and_without() {
    let mut bare = outward();
    bare.as_object_mut().unwrap().remove("adjusters");
    let (bare, with) = (run(&bare), run(&outward()));
    assert!(work(&bare).is_empty() && bare.figure.is_none() && bare.result("to_turn").is_none());
    assert_eq!((bare.verdict, &bare.reason), (with.verdict, &with.reason));
    let errors = |sheet: &Sheet| sheet.tables.iter().find(|t| t.name == "facets").cloned();
    assert_eq!(errors(&bare), errors(&with));
}

#[test]
fn studs_that_cannot_be_are_refused_by_field() {
    let check = |path: &str, value: Value, code: &str, field: &str| {
        let mut input = outward();
        match path.rsplit_once('/') {
            Some((parent, name)) if input.pointer(path).is_none() => {
                input.pointer_mut(parent).unwrap()[name] = value;
            }
            _ => *input.pointer_mut(path).unwrap() = value,
        }
        let refusal: Refusal =
            acceptance::calculation("facet-alignment").unwrap().run(&input).unwrap_err();
        assert_eq!((refusal.code.as_str(), refusal.field.as_str()), (code, field), "{refusal:?}");
        assert!(!refusal.next_step.is_empty());
    };
    let between = json!({"name": "B", "distance": "0.11 m", "bearing": "300 °"});
    check("/adjusters/studs/1", between, "studs_in_a_line", "adjusters.studs");
    check(
        "/adjusters/studs/1/distance",
        json!("3 kg"),
        "wrong_unit",
        "adjusters.studs[1].distance",
    );
    check(
        "/adjusters/studs/1/bearing",
        json!("400 °"),
        "implausible",
        "adjusters.studs[1].bearing",
    );
    check("/adjusters/studs/1/name", json!("A"), "stud_names", "adjusters.studs");
    check("/adjusters/thread_pitch", json!("0 mm"), "out_of_range", "adjusters.thread_pitch");
    check("/adjusters/thread_pitch", json!("1 m"), "implausible", "adjusters.thread_pitch");
    check("/adjusters/steps_per_turn", json!("0"), "out_of_range", "adjusters.steps_per_turn");
    check("/adjusters/steps_per_turn", json!("2.5"), "out_of_range", "adjusters.steps_per_turn");
    check("/adjusters/fixed_stud", json!("A"), "what_stays", "adjusters.keeps");
    check("/adjusters/travel", json!("-1 mm"), "implausible", "adjusters.travel");
    check("/worth_turning", json!("0 mrad"), "out_of_range", "worth_turning");
    let mut input = outward();
    input["adjusters"].as_object_mut().unwrap().remove("keeps");
    input["adjusters"]["fixed_stud"] = json!("D");
    let refusal = acceptance::calculation("facet-alignment").unwrap().run(&input).unwrap_err();
    assert_eq!(refusal.code, "unknown_stud");
    let two = json!([{"name": "A", "distance": "0.2 m", "bearing": "0 °"}]);
    check("/adjusters/studs", two, "three_studs", "adjusters.studs");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// A triangle turned with the facet, and the same studs in another order and in other units, ask
    /// for the same lifts.
    #[test]
    fn names_order_and_units_of_studs_do_not_matter(
        x in -80.0_f64..80.0, y in -80.0_f64..80.0, bearing in 0.0_f64..360.0, turned in 0.0_f64..360.0,
    ) {
        let mut input = dish(6.0, &[("F", "R", 3.0, bearing)]);
        input["worth_turning"] = json!("0.001 mrad");
        // Steps so fine that rounding can't fall two ways.
        input["adjusters"] = studs();
        input["adjusters"]["steps_per_turn"] = json!("360");
        input["adjusters"]["keeps"] = json!("centre");
        shift(&mut input, "F", x, y);
        let lifts = |input: &Value| {
            let rows = work(&run(input));
            ["A turns", "B turns", "C turns"].map(|column| signed_turns(text(&rows[0], column)))
        };
        let straight = lifts(&input);
        let mut other = input.clone();
        other["facets"][0]["turned"] = json!(format!("{turned:.9} °"));
        for (stud, at) in [(0, 0.0), (1, 120.0), (2, 240.0)] {
            other["adjusters"]["studs"][stud]["bearing"] = json!(format!("{:.9} °", at - turned));
            other["adjusters"]["studs"][stud]["distance"] = json!("22 cm");
        }
        other["adjusters"]["studs"].as_array_mut().unwrap().rotate_left(1);
        let same = lifts(&other);
        for (a, b) in straight.iter().zip(same) {
            prop_assert!((a - b).abs() < 0.006, "{straight:?} {same:?}");
        }
        // About the middle, the three add up to nothing with studs all round.
        prop_assert!(straight.iter().sum::<f64>().abs() < 0.006);
    }
}
