//! Decimal marks, markers for missing values, bounds and signs.

use super::*;

fn column(values: &[&str]) -> String {
    let mut text = "time;dni (W/m²);T (°C)\n".to_owned();
    for (minute, value) in values.iter().enumerate() {
        text.push_str(&format!("09.09.2026 12:{minute:02};{value};\n"));
    }
    text
}

/// The semicolon in the header decides, whatever commas stand in the numbers.
#[test]
fn commas_in_numbers_don_t_separate() {
    let file = read(
        "time;dni (W/m²);wind (m/s)\n09.09.2026 12:00;1018,4;5,2\n09.09.2026 12:10;1021,0;4,9\n",
    );
    assert_eq!(file.form, Some(Form::Meter));
    assert_eq!(plain(&file, "irradiance"), ["1018.4", "1021.0"]);
    assert_eq!(plain(&file, "wind"), ["5.2", "4.9"]);
}

/// Digit groups with points are read where a comma follows; a lone one is asked about once.
#[test]
fn points_that_may_group() {
    let sure = read(column(&["990,5", "1.013,2"]));
    assert_eq!(plain(&sure, "irradiance"), ["990.5", "1013.2"]);
    let text = column(&["990,5", "1.013,2", "1.013"]);
    let question = asked(&text, &form());
    assert_eq!(question.id, "grouping");
    assert!(question.choices[0].text.contains("1013"), "{question:?}");
    let grouped = read_as(&text, &answering(&form(), "grouping", "groups"));
    assert_eq!(plain(&grouped, "irradiance")[2], "1013");
    let left_out = read_as(&text, &answering(&form(), "grouping", "unusable"));
    assert_eq!(plain(&left_out, "irradiance")[2], "");
    let bad = read(column(&["990,5", "12.34,5", "1.2.3", "1,2,3"]));
    assert_eq!(plain(&bad, "irradiance"), ["990.5", "", "", ""]);
    assert_eq!(bad.channels[0].unusable.len(), 3);
}

/// A decimal comma is never taken out: 0,673 is not 673.
#[test]
fn commas_are_not_eaten() {
    let file = read(column(&["0,673", "0,62"]));
    assert_eq!(plain(&file, "irradiance"), ["0.673", "0.62"]);
}

/// Every number has three decimals, or every one is grouped: nothing in the file decides.
#[test]
fn three_digits_after_the_only_mark() {
    for (text, right) in [("1,018", "comma"), ("1.018", "point")] {
        let file = column(&[text, text, text]);
        let question = asked(&file, &form());
        assert_eq!(question.id, "decimal");
        let choices: Vec<_> = question.choices.iter().map(|c| c.text.as_str()).collect();
        assert!(choices[0].ends_with("1.018") && choices[1].ends_with("1018"), "{choices:?}");
        let read = read_as(&file, &answering(&form(), "decimal", right));
        assert_eq!(plain(&read, "irradiance")[0], "1.018");
    }
    let logger = "t,dni\nTS,W/m^2\n2026-09-09 12:00,1.018\n";
    assert_eq!(plain(&read(logger), "irradiance"), ["1.018"]);
}

/// Both marks as decimals in one file are asked about.
#[test]
fn marks_that_contradict() {
    let text = column(&["1018,4", "1021.5"]);
    assert_eq!(asked(&text, &form()).id, "decimal");
    let commas = read_as(&text, &answering(&form(), "decimal", "comma"));
    assert_eq!(plain(&commas, "irradiance"), ["1018.4", ""]);
}

/// Numbers that stand for nothing are missing, those out of range unusable; none is averaged.
#[test]
fn fill_values() {
    let file = read(
        "t,dni,T\nTS,W/m^2,Deg C\n2026-09-09 12:00,1018,23.1\n2026-09-09 12:10,-9999,23.2\n\
         2026-09-09 12:20,1021,-999.9\n2026-09-09 12:30,-6999,7999\n2026-09-09 12:40,2024,9999\n",
    );
    assert_eq!(plain(&file, "irradiance"), ["1018", "", "1021", "", ""]);
    assert_eq!(plain(&file, "ambient"), ["23.1", "23.2", "", "", ""]);
    let channel = |id: &str| file.channels.iter().find(|c| c.id == id).unwrap();
    assert_eq!((channel("irradiance").missing, channel("irradiance").unusable.len()), (2, 1));
    assert_eq!((channel("ambient").missing, channel("ambient").unusable.len()), (3, 0));
}

#[test]
fn words_for_nothing() {
    let words = [
        "NAN",
        "\"NaN\"",
        "nan",
        "-nan",
        "NULL",
        "N/A",
        "n. d.",
        "---",
        "#N/A",
        "#DIV/0!",
        "#¡DIV/0!",
        "Bad",
        "",
        " ",
        "–",
    ];
    let file = read(column(&words));
    assert_eq!(file.channels[0].missing, words.len());
    assert!(file.warnings.iter().any(|warning| warning.contains("spreadsheet")));
    let infinite = read(column(&["Inf", "1018,5", "=C4*0,98"]));
    assert_eq!(plain(&infinite, "irradiance"), ["", "1018.5", ""]);
    assert_eq!(infinite.channels[0].unusable.len(), 2);
}

/// The sign is never lost: a true minus is read, a dash that may be one is not used.
#[test]
fn signs() {
    let file = read(
        "time;T (°C)\n09.09.2026 00:10;−2,5\n09.09.2026 00:20;-2,7\n09.09.2026 00:30;–2,9\n\
         09.09.2026 00:40;+3,1\n",
    );
    assert_eq!(plain(&file, "ambient"), ["-2.5", "-2.7", "", "3.1"]);
    let grouped = read(column(&["1\u{202f}013,2", "1 013,4", "1\u{a0}0,4"]));
    assert_eq!(plain(&grouped, "irradiance"), ["1013.2", "1013.4", ""]);
}

/// Bounds stay bounds, and a unit inside a field makes it unusable.
#[test]
fn bounds_and_units_inside() {
    let file = read(column(&[">1018,5", "1018,5 W/m²", "1,2G"]));
    let values = &file.channels[0].values;
    assert_eq!(values[0].plain(), ">1018.5");
    assert!(values[0].exact().is_none());
    assert!(
        matches!(values[1], Cell::Unusable { .. }) && matches!(values[2], Cell::Unusable { .. })
    );
}
