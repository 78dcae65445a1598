//! Due dates by dateutil, windows at their edges, holds across a change of the clocks.

use std::fmt::Write as _;

use acceptance::{Sheet, Verdict};
use proptest::prelude::*;
use serde_json::{Value, json};

use crate::given::{cell, example, flagged, missing, text, without};
use crate::oracle::oracle;
use crate::sun::{line, run};
use crate::table::{close, rows};

const NAME: &str = "due-dates";

fn calendar(last: &str, count: &str, unit: &str, as_of: &str) -> Sheet {
    run(
        NAME,
        &json!({
            "as_of": as_of, "window": "10 %",
            "tasks": [{"name": "t", "last_done": last, "every": {"count": count, "unit": unit}}],
        }),
    )
}

fn by_hours(now: &str) -> Sheet {
    run(
        NAME,
        &json!({
            "as_of": "2026-09-11T06:40:00-03:00", "window": "10 %",
            "tasks": [{
                "name": "service", "last_done": "2026-08-01", "every_hours": "250 h",
                "hours_at_last": "500 h", "hours_now": now,
            }],
        }),
    )
}

#[test]
fn due_days_of_the_table() {
    for row in rows("due_dates.csv") {
        let sheet = calendar(&row[0], &row[1], &row[2], "2199-01-01T00:00:00Z");
        assert_eq!(cell(&sheet, "tasks", 0, "due by calendar"), row[3], "{}", row[4]);
    }
}

/// A grid of months, years, weeks and days by python-dateutil; nights by the site's time zone.
#[test]
fn by_dateutil_and_the_time_zone() {
    let mut cases = String::new();
    for last in ["2026-01-29", "2026-01-31", "2027-12-31", "2028-02-29", "2025-11-30"] {
        for (unit, counts) in [
            ("days", [1, 45, 400]),
            ("weeks", [1, 13, 60]),
            ("months", [1, 6, 37]),
            ("years", [1, 4, 9]),
        ] {
            for count in counts {
                let sheet = calendar(last, &count.to_string(), unit, "2190-01-01T00:00:00Z");
                let due = cell(&sheet, "tasks", 0, "due by calendar");
                writeln!(cases, "due {last} {count} {unit} {due}").unwrap();
            }
        }
    }
    let sheet = run(NAME, &example(NAME, "good-night-of-the-clock-change"));
    for row in [0, 1] {
        let [start, end] =
            ["begun", "ended"].map(|head| cell(&sheet, "holds", row, head)[..19].to_owned());
        let hours = cell(&sheet, "holds", row, "length");
        writeln!(cases, "hold {start} {end} {hours}").unwrap();
    }
    assert!(oracle("calendar_dates.py", &cases).contains("agree"));
}

/// 18:05 to 06:05 is 11 h when the clocks jump forward and 13 h in autumn: 11 h of 12 h is too short.
#[test]
fn nights_of_the_clock_change() {
    let sheet = run(NAME, &example(NAME, "good-night-of-the-clock-change"));
    close(line(&sheet, "t(1)"), 11.0, 1e-12, "spring");
    close(line(&sheet, "t(2)"), 13.0, 1e-12, "autumn");
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert_eq!(
        (cell(&sheet, "holds", 0, "verdict"), cell(&sheet, "holds", 1, "verdict")),
        ("fail", "pass")
    );
    assert!(flagged(&sheet, "clocks_changed"));
    assert!(sheet.findings[0].sentence.contains("held 11.000 h of 12 h"), "{:?}", sheet.findings);
}

/// 250 h ± 10 %: the window is 225 to 275 h, its edges inside (the trade's own case).
#[test]
fn window_of_250_hours() {
    for (now, standing, verdict) in [
        ("724.9 h", "not yet due", Verdict::Pass),
        ("725 h", "window open", Verdict::Pass),
        ("750 h", "window open", Verdict::Pass),
        ("750.1 h", "past due, in its window", Verdict::Pass),
        ("775 h", "past due, in its window", Verdict::Pass),
        ("775.1 h", "overdue", Verdict::Fail),
        ("46500 min", "past due, in its window", Verdict::Pass),
    ] {
        let sheet = by_hours(now);
        assert_eq!(cell(&sheet, "tasks", 0, "standing"), standing, "{now}");
        assert_eq!(sheet.verdict, verdict, "{now}");
    }
    assert_eq!(cell(&by_hours("600 h"), "tasks", 0, "window in h"), "225.000 to 275.000");
}

/// Three months from 20 July are 92 days: ± 9 whole days, 11 to 29 October.
#[test]
fn window_of_three_months() {
    for (day, standing) in [
        ("2026-10-10", "not yet due"),
        ("2026-10-11", "window open"),
        ("2026-10-20", "window open"),
        ("2026-10-21", "past due, in its window"),
        ("2026-10-29", "past due, in its window"),
        ("2026-10-30", "overdue"),
    ] {
        let sheet = calendar("2026-07-20", "3", "months", &format!("{day}T12:00:00-03:00"));
        assert_eq!(cell(&sheet, "tasks", 0, "standing"), standing, "{day}");
    }
    // The day is that of the clock: 23:30 on the 29th at UTC−3 is the 30th in UTC.
    let late = calendar("2026-07-20", "3", "months", "2026-10-29T23:30:00-03:00");
    assert_eq!(late.verdict, Verdict::Pass);
}

/// 100 h in 41 days since last done, 150 h to go: 61.5 days from 11 September, 11 November.
#[test]
fn forecast_and_first_reached() {
    let sheet = by_hours("600 h");
    close(line(&sheet, "m(1)"), 100.0 / 41.0, 1e-6, "mean");
    assert_eq!(cell(&sheet, "tasks", 0, "forecast by hours"), "2026-11-11");
    let mut both = example(NAME, "good-tasks-of-a-dish");
    let sheet = run(NAME, &both);
    // 239.5 h in 53 days; 10.5 h to go are 2.3 days: by hours first, 13 September.
    assert_eq!(cell(&sheet, "tasks", 0, "due first"), "2026-09-13");
    assert_eq!(cell(&sheet, "tasks", 0, "due by calendar"), "2026-10-20");
    both["tasks"][0]["hours_per_day"] = json!("0.1 h");
    let slow = run(NAME, &both);
    assert_eq!(cell(&slow, "tasks", 0, "due first"), "2026-10-20", "by calendar first");
    let by = [&sheet, &slow].map(|sheet| cell(sheet, "tasks", 0, "reached by"));
    assert_eq!(by, ["hours", "calendar"]);
    // The annual task of 1 August 2025 ended its window of 36 days on 6 September.
    assert_eq!(sheet.verdict, Verdict::Fail);
    assert_eq!(cell(&sheet, "tasks", 2, "standing"), "overdue");
    assert_eq!(cell(&sheet, "tasks", 2, "window by calendar"), "2026-06-26 to 2026-09-06");
    assert_eq!(cell(&sheet, "tasks", 1, "standing"), "past due, in its window");
    assert_eq!(text(&sheet, "overdue"), "1");
}

#[test]
fn what_is_not_known() {
    let sheet = run(NAME, &example(NAME, "good-last-day-unknown"));
    assert_eq!(sheet.verdict, Verdict::NotJudged);
    assert_eq!(missing(&sheet), ["tasks[0].last_done"]);
    assert_eq!(cell(&sheet, "tasks", 0, "standing"), "not known");
    let mut partly = example(NAME, "good-tasks-of-a-dish");
    partly["tasks"][2]["last_done"] = json!("2026-01-10");
    let sheet = run(NAME, &without(&partly, "tasks/0/hours_now"));
    assert_eq!(sheet.verdict, Verdict::NotJudged, "the others pass");
    assert_eq!(missing(&sheet), ["tasks[0].hours_now"]);
    assert_eq!(
        cell(&sheet, "tasks", 1, "standing"),
        "past due, in its window",
        "others are computed"
    );
    assert_eq!(missing(&run(NAME, &without(&partly, "as_of"))), ["as_of"]);
    let mut hold = example(NAME, "good-night-of-the-clock-change");
    hold["holds"][0].as_object_mut().unwrap().remove("end");
    let sheet = run(NAME, &hold);
    assert_eq!((sheet.verdict, missing(&sheet)), (Verdict::NotJudged, vec!["holds[0].end"]));
    assert_eq!(missing(&run(NAME, &json!({}))), ["tasks"]);
    let fresh: Value = json!({
        "as_of": "2026-08-01T18:00:00-04:00",
        "tasks": [{"last_done": "2026-08-01", "every_hours": "250 h", "hours_at_last": "0 h", "hours_now": "0 h"}],
    });
    assert!(flagged(&run(NAME, &fresh), "no_forecast"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 64, ..ProptestConfig::default() })]

    /// A later moment never makes a task less due; a longer interval is never due earlier.
    #[test]
    fn monotone(day in 1_u32..28, month in 1_u32..12, later in 1_u32..12, count in 1_u32..30) {
        let last = format!("2026-{month:02}-{day:02}");
        let rank = |sheet: &Sheet| {
            let words = ["not yet due", "window open", "past due, in its window", "overdue"];
            words.iter().position(|w| *w == cell(sheet, "tasks", 0, "standing")).unwrap()
        };
        let at = |years: u32| calendar(&last, &count.to_string(), "months", &format!("{}-06-15T12:00:00Z", 2027 + years));
        prop_assert!(rank(&at(0)) <= rank(&at(later / 4)));
        let longer = calendar(&last, &(count + later).to_string(), "months", "2030-01-01T00:00:00Z");
        let shorter = calendar(&last, &count.to_string(), "months", "2030-01-01T00:00:00Z");
        prop_assert!(cell(&longer, "tasks", 0, "due by calendar") > cell(&shorter, "tasks", 0, "due by calendar"));
    }
}
