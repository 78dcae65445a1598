//! An invented alignment in the invented report: a measured table, limits, and a sheet with every
//! kind of figure and list.

use report::model::*;

use crate::fixture::s;

fn fact(name: &str, value: &str) -> Fact {
    Fact { name: s(name), value: s(value) }
}

/// What the report shows of where the values of a survey come from.
pub(crate) fn taken() -> Vec<Taken> {
    vec![Taken {
        step: s("2.1"),
        title: s("As found, all facets"),
        entry: s("T1-0402"),
        facts: vec![
            fact("Rows", "59 measured, 1 masked, of 60"),
            fact("SHA-256 of the file", &"0123456789abcdef".repeat(4)),
            fact("Lines", "64 read: 59 used, 1 rejected, 0 blank, 4 of the head"),
            fact("Lines rejected", "line 17: no number in dx"),
            fact("Read how", "Fields are separated by semicolons.\nDecimal comma."),
            fact("Replaces", "T1-0398: the board stood askew"),
        ],
    }]
}

pub(crate) fn limits() -> Vec<LimitLine> {
    let line = |title: &str, outcome, reason: &str| LimitLine {
        title: s(title),
        value: s("1.0 mrad"),
        found: s("0.94 mrad"),
        outcome,
        reason: s(reason),
        source: s("Owner's design data (owner)"),
    };
    vec![
        line("Error on each axis, at most", AttemptOutcome::Pass, ""),
        line("Facets masked, at most", AttemptOutcome::NotJudged, "One facet is masked."),
        line("RMS, at most", AttemptOutcome::Fail, "Outside."),
    ]
}

/// Three racks of twenty facets in rows of four.
fn facets() -> Vec<(String, String, usize, usize)> {
    (0..60)
        .map(|n| {
            let (rack, number) = (n / 20 + 1, n % 20);
            (format!("R{rack:02}/F{:02}", number + 1), format!("R{rack:02}"), n, number)
        })
        .collect()
}

fn map() -> FacetMap {
    let rack = |n: usize| MapRack {
        id: format!("R{:02}", n + 1),
        from: format!("{}", n * 120),
        to: format!("{}", n * 120 + 120),
    };
    let facet = |(id, rack, n, number): (String, String, usize, usize)| {
        let state = match n {
            3 => MapState::Out,
            7 => MapState::Within,
            11 => MapState::NotMeasured,
            13 => MapState::Masked,
            _ => MapState::In,
        };
        let measured = matches!(state, MapState::In | MapState::Out);
        MapFacet {
            id,
            rack,
            radius: format!("{}", 1 + number / 4),
            bearing: format!("{}", n / 20 * 120 + 30 * (number % 4) + 15),
            state,
            x: if measured { format!("0.{}", n % 9) } else { s("") },
            y: if measured { s("-0.4") } else { s("") },
        }
    };
    FacetMap {
        title: s("Where each facet sends its light"),
        name: s("Mirror of type LV-3"),
        racks: (0..3).map(rack).collect(),
        moved: vec![s("R02")],
        facets: facets().into_iter().map(facet).collect(),
    }
}

fn sky() -> Sky {
    let place =
        |azimuth: &str, elevation: &str| SkyPlace { azimuth: s(azimuth), elevation: s(elevation) };
    let mark = |place: SkyPlace, label: &str| Some(SkyMark { place, label: s(label) });
    Sky {
        title: s("The sky over the job"),
        name: s("sun nearest 66.8° at 13:00, least allowed 30°"),
        axis: place("142", "52"),
        margin: s("30"),
        margin_label: s("30° free"),
        sun: vec![vec![place("350", "59"), place("300", "30"), place("277", "0")]],
        day: vec![],
        begins: mark(place("350", "59"), "13:00"),
        ends: mark(place("277", "0"), "18:25"),
        nearest: mark(place("350", "59"), "67°"),
    }
}

/// A curve of more points than are marked one by one.
fn curve() -> Lines {
    let points = (0..60_i32)
        .map(|n| FigurePoint {
            x: format!("{}", f64::from(n) / 10.0),
            y: format!("{}", 100 - (n - 30).abs() % 7),
            bar: s(""),
        })
        .collect();
    Lines {
        title: s("Power over the run"),
        y_title: s("% of the mean"),
        x_unit: s("h"),
        x_title: s("from 2026-08-26 11:30 (UTC−04:00)"),
        scaled: Scaled::Even,
        series: vec![FigureSeries {
            label: s("net power"),
            second: s(""),
            style: LineStyle::Thick,
            plain: false,
            points,
        }],
    }
}

fn list() -> SheetTable {
    let row = |(id, _, n, number): (String, String, usize, usize)| {
        vec![id, format!("{}.00", 1 + number / 4), format!("-0.{:02}", n), s("")]
    };
    SheetTable {
        title: s("Each facet"),
        note: s("In every row: state: measured."),
        columns: vec![s("facet"), s("r m"), s("x mrad"), s("out")],
        rows: facets().into_iter().map(row).collect(),
    }
}

fn reasons() -> SheetTable {
    let row = |n: usize, why: &str| vec![format!("11:{n:02}:00"), s("1004.3"), s(why)];
    SheetTable {
        title: s("Intervals, used or left out"),
        note: s(""),
        columns: vec![s("beginning"), s("irradiance W/m²"), s("used")],
        rows: vec![
            row(30, "used"),
            row(40, &"irradiance changes by more than is allowed in an interval; ".repeat(6)),
        ],
    }
}

pub(crate) fn sheet(like: Sheet) -> Sheet {
    Sheet {
        attempt: s("leak-1"),
        subject: s("PC-04, alignment, attempt 1, step 7.1"),
        calculation: s("Facet alignment, version 1"),
        given: vec![
            fact("focal length of the dish", "6.0 m"),
            fact("limit for each axis", "1.0 mrad"),
            fact("source of that limit", "Owner's design data; the shipped figure is an example"),
        ],
        findings: vec![SheetFinding {
            place: s("R02"),
            text: s("The rack moved, not the facets: check its bolts first."),
        }],
        figures: vec![
            Figure::FacetMap(map()),
            Figure::Sky(Box::new(sky())),
            Figure::Lines(curve()),
        ],
        tables: vec![reasons(), list()],
        ..like
    }
}
