//! Dates, zones, labels, and clocks that were set.

use super::*;

fn rows(stamps: &[&str]) -> String {
    let mut text = "time;dni (W/m²)\n".to_owned();
    for (n, stamp) in stamps.iter().enumerate() {
        text.push_str(&format!("{stamp};10{n:02},5\n"));
    }
    text
}

/// Logger at UTC−4 and meter at UTC−3: the same instant once each zone is said.
#[test]
fn zones_are_said_by_the_caller() {
    let text = rows(&["2026-09-09 12:35"]);
    assert_eq!(read(&text).times, ["2026-09-09T12:35:00-04:00"]);
    let local = SeriesForm { zone: Some("-03:00".into()), ..form() };
    assert_eq!(read_as(&text, &local).times, ["2026-09-09T12:35:00-03:00"]);
    let nowhere = SeriesForm {
        zone: None,
        zones: vec![Choice { id: "-03:00".into(), text: "local time".into() }],
        ..form()
    };
    let question = asked(&text, &nowhere);
    assert_eq!((question.id.as_str(), question.choices.len()), ("zone", 1));
    let answered = read_as(&text, &answering(&nowhere, "zone", "-03:00"));
    assert_eq!(answered.zone.as_deref(), Some("-03:00"));
    for bad in ["UTC-4", "GMT+4", "-4", "-04:60", "-15:00", ""] {
        let form = SeriesForm { zone: Some(bad.into()), ..form() };
        assert_eq!(series(text.as_bytes(), &form).unwrap_err().code, "zone_unreadable", "{bad}");
    }
}

#[test]
fn stamps_with_their_own_offset() {
    let text = rows(&["2026-09-09T12:35:00Z", "2026-09-09T12:36:00Z"]);
    let form = SeriesForm { zone: None, ..form() };
    assert_eq!(read_as(&text, &form).times[0], "2026-09-09T12:35:00+00:00");
    assert_eq!(series(text.as_bytes(), &self::form()).unwrap_err().code, "zone_contradicts");
    let mixed = rows(&["2026-09-09T12:35:00Z", "2026-09-09T12:36:00"]);
    assert_eq!(series(mixed.as_bytes(), &form).unwrap_err().code, "file_mixed_zones");
}

/// A label that nobody said is asked for, because intervals can't be paired without.
#[test]
fn labels_are_asked() {
    let text = rows(&["2026-09-09 12:00", "2026-09-09 12:10"]);
    let unsaid = SeriesForm { label: None, ..form() };
    let question = asked(&text, &unsaid);
    assert_eq!(question.id, "label");
    assert!(question.choices[0].text.contains("12:00 is of the 10 min before it"));
    let file = read_as(&text, &answering(&unsaid, "label", "start"));
    assert_eq!(file.label, Some(Label::Start));
}

/// The whole column decides which number is the day; where it can't, it is asked.
#[test]
fn day_and_month() {
    let day = rows(&["03/09/2026 12:00", "09/09/2026 12:00", "13/09/2026 12:00"]);
    assert_eq!(read(day).times[0], "2026-09-03T12:00:00-04:00");
    let month = rows(&["09/03/2026 12:00", "09/13/2026 12:00"]);
    assert_eq!(read(month).times[0], "2026-09-03T12:00:00-04:00");
    let open = rows(&["03/09/2026 12:00", "09/09/2026 12:00"]);
    let question = asked(&open, &form());
    assert_eq!(question.id, "date-order");
    assert!(question.choices[0].text.contains("3 September 2026"));
    assert!(question.choices[1].text.contains("9 March 2026"));
    let answered = read_as(&open, &answering(&form(), "date-order", "day-first"));
    assert_eq!(answered.times[0], "2026-09-03T12:00:00-04:00");
    for both in [["13/09/2026 12:00", "09/13/2026 12:00"], ["13/09/2026 12:00", "2026-09-13 12:00"]]
    {
        let refusal = series(rows(&both).as_bytes(), &form()).unwrap_err();
        assert_eq!(refusal.code, "file_mixed_dates");
    }
    let points = rows(&["09.10.2026 12:00"]);
    assert_eq!(read(points).times, ["2026-10-09T12:00:00-04:00"]);
}

/// Two-digit years, twelve-hour clocks and days that don't exist are never read as something else.
#[test]
fn what_is_no_stamp() {
    let file = read(rows(&[
        "2026-09-09 12:00",
        "09.09.26 12:01",
        "2026-09-09 01:10:00 p. m.",
        "2026-02-30 12:00",
        "2026-09-09 24:00",
        "51:12.0",
        "2026-09-09 12:60",
    ]));
    assert_eq!(file.times, ["2026-09-09T12:00:00-04:00"]);
    assert_eq!(file.lines.rejected.len(), 6);
    let refusal = series(rows(&["09.09.26 12:00"]).as_bytes(), &form()).unwrap_err();
    assert!(refusal.next_step.contains("four digits"), "{}", refusal.next_step);
}

/// A clock set back by hand: the part with the true time is asked for, and nothing is sorted away.
#[test]
fn a_clock_that_was_set_back() {
    let text = rows(&[
        "2026-09-09 12:00",
        "2026-09-09 12:01",
        "2026-09-09 11:58",
        "2026-09-09 11:59",
        "2026-09-09 12:00",
    ]);
    let question = asked(&text, &form());
    assert_eq!(question.id, "clock-step");
    let after = read_as(&text, &answering(&form(), "clock-step", "after"));
    assert_eq!(plain(&after, "irradiance"), ["1002.5", "1003.5", "1004.5"]);
    assert_eq!(after.lines.rejected.len(), 2);
    let twice =
        rows(&["2026-09-09 12:00", "2026-09-09 11:58", "2026-09-09 11:59", "2026-09-09 11:57"]);
    assert_eq!(series(twice.as_bytes(), &form()).unwrap_err().code, "file_stamps_go_back");
}

/// A clock that fell back to the year 2000: its lines are unplaced, and the gap is said.
#[test]
fn a_clock_that_was_reset() {
    let file = read(rows(&[
        "2026-09-09 12:00",
        "2026-09-09 12:10",
        "2000-01-01 00:00",
        "2000-01-01 00:10",
        "2026-09-09 12:40",
        "2026-09-09 12:50",
    ]));
    assert_eq!(file.times.len(), 4);
    assert!(reason(&file.lines, 4).contains("unplaced"));
    assert!(
        file.warnings.iter().any(|w| w.contains("2 stamps are missing")),
        "{:?}",
        file.warnings
    );
}

/// Equal lines count once; equal stamps with other values, as after lost seconds, not at all.
#[test]
fn stamps_that_stand_twice() {
    let file = read(
        "t;p (kW)\n09.09.2026 12:00;19,1\n09.09.2026 12:00;19,1\n09.09.2026 12:01;19,2\n\
         09.09.2026 12:01;19,3\n09.09.2026 12:02;19,4\n",
    );
    assert_eq!(plain(&file, "power"), ["19.1", "19.4"]);
    assert!(reason(&file.lines, 3).contains("same as line 2"));
    assert!(reason(&file.lines, 4).contains("other values"));
    assert!(reason(&file.lines, 5).contains("other values"));
}

#[test]
fn steps_and_gaps() {
    let file = read(rows(&[
        "2026-09-09 12:00",
        "2026-09-09 12:10",
        "2026-09-09 12:40",
        "2026-09-09 12:50",
    ]));
    assert_eq!(file.interval.as_deref(), Some("10 min"));
    assert!(file.warnings.iter().any(|w| w.contains("2 stamps are missing")));
}
