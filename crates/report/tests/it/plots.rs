//! Figures over two axes, bars and maps: what is drawn, what is named, and that nothing breaks
//! them. Each is written to the test's own folder, to be looked at.

use std::path::Path;

use proptest::prelude::*;
use report::figure::drawing;
use report::model::*;

use crate::fixture;

/// Draws a figure and writes it where it can be looked at.
fn shown(name: &str, figure: &Figure) -> String {
    let svg = drawing(figure).unwrap().to_svg();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("figures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join(format!("{name}.svg")), &svg).unwrap();
    svg
}

fn point(x: f64, y: f64) -> FigurePoint {
    FigurePoint { x: format!("{x}"), y: format!("{y}"), bar: String::new() }
}

fn series(label: &str, style: LineStyle, points: Vec<FigurePoint>) -> FigureSeries {
    FigureSeries { label: label.to_owned(), second: String::new(), style, plain: true, points }
}

fn lines(title: &str, scaled: Scaled, series: Vec<FigureSeries>) -> Figure {
    Figure::Lines(Lines {
        title: title.to_owned(),
        y_title: "power in kW".to_owned(),
        x_unit: String::new(),
        x_title: "direct irradiance in W/m²".to_owned(),
        scaled,
        series,
    })
}

fn level(y: f64, from: f64, to: f64) -> Vec<FigurePoint> {
    vec![point(from, y), point(to, y)]
}

/// A fit through readings, with a band, a limit, and readings left out.
fn fit() -> Figure {
    let xs = || (0..=20).map(|i| 300.0 + 35.0 * f64::from(i));
    let line = |shift: f64| xs().map(|x| point(x, 0.011 * x - 1.4 + shift)).collect::<Vec<_>>();
    let noise = |i: u32| 0.35 * libm::sin(f64::from(i * i) * 0.7);
    let readings = (0..60_u32)
        .map(|i| {
            let x = 310.0 + 11.0 * f64::from(i);
            point(x, 0.011 * x - 1.4 + noise(i))
        })
        .collect();
    let band = |shift| series("band of 95 % of readings to come", LineStyle::Thin, line(shift));
    let upper = band(0.7);
    let lower = FigureSeries { label: String::new(), ..band(-0.7) };
    lines(
        "Power over irradiance",
        Scaled::Even,
        vec![
            upper,
            lower,
            series("fitted line", LineStyle::Thick, line(0.0)),
            series("least power of the contract", LineStyle::Dashed, level(3.0, 300.0, 1000.0)),
            series("steady intervals", LineStyle::Points, readings),
            series(
                "left out: wind above 9 m/s",
                LineStyle::Crosses,
                vec![point(500.0, 2.2), point(720.0, 4.1), point(930.0, 9.9)],
            ),
        ],
    )
}

/// Errors on a plane with the circle of a limit.
fn circle() -> Figure {
    let ring = |r: f64| {
        (0..=72)
            .map(|i| f64::from(i) * core::f64::consts::PI / 36.0)
            .map(|a| point(r * libm::cos(a), r * libm::sin(a)))
            .collect()
    };
    let spot = |i: u32| {
        let (r, a) = (0.8 * libm::sqrt(f64::from(i % 97) / 97.0), f64::from(i) * 2.4);
        point(0.1 + r * libm::cos(a), r * libm::sin(a) - 0.15)
    };
    lines(
        "Tracking error of each sample",
        Scaled::Equal,
        vec![
            series("samples judged", LineStyle::Points, (0..600).map(spot).collect()),
            series("at too much wind, not judged", LineStyle::Crosses, vec![point(0.9, 1.0)]),
            series("limit of the largest error", LineStyle::Dashed, ring(1.2)),
            series("limit of the mean", LineStyle::Dashed, ring(0.5)),
        ],
    )
}

fn decades() -> Figure {
    let curve = |shift: f64| {
        (0..40)
            .map(|i| libm::exp10(f64::from(i) / 10.0 - 1.0))
            .map(|m| point(m, shift / (libm::pow(m, 0.02) - 0.9)))
            .collect()
    };
    lines(
        "Tripping times",
        Scaled::LogBoth,
        vec![
            series("protection", LineStyle::Thick, curve(0.14)),
            series("generator withstands", LineStyle::Dashed, curve(1.2)),
            series(
                "as measured",
                LineStyle::Points,
                vec![point(2.0, 1.5), point(0.0, 3.0), point(5.0, -1.0)],
            ),
        ],
    )
}

fn bars() -> Figure {
    let bar = |label: &str, value: &str, limit| FigureBar {
        label: label.to_owned(),
        value: value.to_owned(),
        limit,
    };
    Figure::Bars(Bars {
        title: "Deviation of each phase from the mean".to_owned(),
        unit: "%".to_owned(),
        bars: vec![
            bar("phase L1 to L2", "1.42", false),
            bar("phase L2 to L3, read at the terminals of the generator", "-2.31", false),
            bar("phase L3 to L1", "0.89", false),
            bar("limit", "2.0", true),
        ],
    })
}

fn plane() -> Figure {
    let (columns, rows) = (50_u32, 40_u32);
    let value = |i: u32, j: u32| {
        let (x, y) = (f64::from(i) * 4.0 - 98.0, f64::from(j) * 4.0 - 78.0);
        let r2 = (x - 12.0) * (x - 12.0) + 1.6 * y * y;
        format!("{:.1}", 4200.0 * libm::exp(-r2 / 2600.0))
    };
    let ring = (0..=60)
        .map(|i| f64::from(i) * core::f64::consts::PI / 30.0)
        .map(|a| point(70.0 * libm::cos(a), 70.0 * libm::sin(a)))
        .collect();
    Figure::Plane(Box::new(Plane {
        title: "Flux in the plane of the aperture".to_owned(),
        x_title: "to the right in mm".to_owned(),
        y_title: "upward in mm".to_owned(),
        equal: true,
        meaning: "flux".to_owned(),
        unit: "kW/m²".to_owned(),
        x_from: "-98".to_owned(),
        x_step: "4".to_owned(),
        y_from: "-78".to_owned(),
        y_step: "4".to_owned(),
        rows: (0..rows).map(|j| (0..columns).map(|i| value(i, j)).collect()).collect(),
        series: vec![series("edge of the aperture", LineStyle::Dashed, ring)],
    }))
}

#[test]
fn a_fit_has_its_readings_named_below_and_its_lines_at_their_ends() {
    let svg = shown("fit", &fit());
    for part in ["fitted line", "steady intervals", "left out: wind", "direct irradiance in W/m²"]
    {
        assert!(svg.contains(part), "{part}: {svg}");
    }
    // A band of two lines is named once.
    assert_eq!(svg.matches(">band of 95").count(), 1);
}

#[test]
fn a_circle_is_round() {
    let svg = shown("circle", &circle());
    let dashed: Vec<&str> =
        svg.split("<path").filter(|path| path.contains("stroke-dasharray=\"8 5\"")).collect();
    let [ring, ..] = dashed[..] else { panic!("{svg}") };
    let (_, data) = ring.split_once(" d=\"").unwrap();
    let places: Vec<(f64, f64)> = data
        .split('"')
        .next()
        .unwrap()
        .trim_matches(['M', 'Z'])
        .split('L')
        .map(|place| place.split_once(' ').unwrap())
        .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
        .collect();
    let span = |of: fn(&(f64, f64)) -> f64| {
        let all: Vec<f64> = places.iter().map(of).collect();
        all.iter().copied().fold(f64::MIN, f64::max) - all.iter().copied().fold(f64::MAX, f64::min)
    };
    let (wide, high) = (span(|p| p.0), span(|p| p.1));
    assert!((wide - high).abs() < 0.1 && wide > 100.0, "{wide} by {high}");
    // Two limits drawn alike are told apart.
    assert!(svg.contains("stroke-dasharray=\"2 4\""));
}

#[test]
fn decades_leave_out_what_they_have_no_place_for_and_say_so() {
    let svg = shown("decades", &decades());
    assert!(svg.contains("2 points at or below zero are left out"), "{svg}");
    assert!(svg.contains(">100<") && svg.contains(">0.1<"), "{svg}");
}

#[test]
fn bars_go_to_both_sides_of_zero_and_a_limit_crosses_them() {
    let svg = shown("bars", &bars());
    assert!(svg.contains(">\u{2212}2.31 %<") && svg.contains(">limit 2.0 %<"), "{svg}");
    assert_eq!(svg.matches("stroke-dasharray=\"8 5\"").count(), 1);
}

#[test]
fn a_map_has_steps_of_lightness_with_their_bounds() {
    let svg = shown("plane", &plane());
    for part in ["class=\"step0\"", "class=\"step6\"", ">flux in kW/m²<", "edge of the aperture"] {
        assert!(svg.contains(part), "{part}");
    }
    // Ink and its ground alone: no colour.
    for word in svg.split("fill=\"#").skip(1) {
        let hex = &word[..6];
        assert!(hex[..2] == hex[2..4] || ["3b3a36", "dad7cc"].contains(&hex), "#{hex}");
    }
}

#[test]
fn a_map_of_one_value_of_none_or_of_gaps_still_draws() {
    let Figure::Plane(plane) = plane() else { unreachable!() };
    let with = |rows: Vec<Vec<&str>>| {
        let rows = rows.into_iter().map(|row| row.into_iter().map(str::to_owned).collect());
        Figure::Plane(Box::new(Plane { rows: rows.collect(), series: vec![], ..*plane.clone() }))
    };
    shown("plane-flat", &with(vec![vec!["5", "5"], vec!["5", "5"]]));
    shown("plane-zero", &with(vec![vec!["0", "0"], vec!["0", "0"]]));
    shown("plane-one", &with(vec![vec!["-3.5"]]));
    let gaps = with(vec![vec!["1", "", "3"], vec!["2"], vec!["3", "9", "1"]]);
    assert!(shown("plane-gaps", &gaps).contains(">no value<"));
    assert!(shown("plane-none", &with(vec![])).contains("There is nothing to draw."));
}

#[test]
fn hard_series_still_draw() {
    let many: Vec<_> =
        (0..2000).map(|i| point(f64::from(i), libm::sin(f64::from(i) * 0.11))).collect();
    let one = |name: &str, scaled, style, points: Vec<FigurePoint>| {
        shown(name, &lines(name, scaled, vec![series("readings", style, points)]))
    };
    let svg = one("many-line", Scaled::Even, LineStyle::Thin, many.clone());
    assert!(svg.len() < 60_000, "{}", svg.len());
    let svg = one("many-points", Scaled::Even, LineStyle::Points, many);
    assert!(svg.len() < 250_000, "{}", svg.len());
    for scaled in [Scaled::Even, Scaled::Equal, Scaled::LogX, Scaled::LogY, Scaled::LogBoth] {
        for style in [LineStyle::Thick, LineStyle::Points, LineStyle::Crosses] {
            one("none", scaled, style, vec![]);
            one("one", scaled, style, vec![point(3.0, 0.002)]);
            one("alike", scaled, style, vec![point(3.0, 7.0), point(3.0, 7.0)]);
            one("wide", scaled, style, vec![point(-1e-9, 1e-12), point(5e8, 3e15)]);
            one("below", scaled, style, vec![point(-5.0, -2.0), point(-1.0, -9e4)]);
            one("flat", scaled, style, level(12.0, 0.0, 8.0));
        }
    }
    let svg = one("gone", Scaled::LogY, LineStyle::Points, vec![point(1.0, -1.0)]);
    assert!(svg.contains("One point at or below zero") && svg.contains("There is nothing to draw"));
    let figure = lines("nan", Scaled::Even, vec![series("x", LineStyle::Thin, vec![])]);
    let Figure::Lines(mut bad) = figure else { unreachable!() };
    bad.series[0].points.push(FigurePoint { y: "NaN".to_owned(), ..point(1.0, 1.0) });
    assert!(drawing(&Figure::Lines(bad)).is_err());
}

#[test]
fn long_names_break_and_too_many_stand_below() {
    let rows = (0..9_u32).map(|i| {
        let label = format!("wind from sector {i}, with a name that goes on and on for its length");
        series(&label, LineStyle::Thin, level(f64::from(i), 0.0, 10.0))
    });
    shown("names", &lines("Names", Scaled::Even, rows.collect()));
}

/// Paper takes the same drawings.
#[test]
fn paper_shows_the_same_figures() {
    let mut handover = fixture::handover();
    handover.sheets.truncate(1);
    handover.sheets[0].figures = vec![fit(), circle(), decades(), bars(), plane()];
    let bytes = report::render(&handover, b"[]").unwrap();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("figures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("paper.pdf"), &bytes).unwrap();
    let json = handover.to_json().unwrap();
    assert_eq!(report::Handover::from_json(&json).unwrap(), handover);
}

proptest! {
    /// Whatever the numbers, nothing in the drawing is anything but a place within reach.
    #[test]
    fn no_drawing_holds_what_is_no_number(
        points in prop::collection::vec((-1e12_f64..1e12, -1e-3_f64..1e9), 0..30),
        scaled in prop::sample::select(vec![
            Scaled::Even, Scaled::Equal, Scaled::LogX, Scaled::LogY, Scaled::LogBoth,
        ]),
    ) {
        let points = points.into_iter().map(|(x, y)| point(x, y)).collect();
        let svg = drawing(&lines("p", scaled, vec![series("s", LineStyle::Thick, points)]))
            .unwrap()
            .to_svg();
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        let (_, view) = svg.split_once("viewBox=\"").unwrap();
        let sizes: Vec<f64> =
            view.split('"').next().unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
        prop_assert!(sizes[3] < 700.0, "{sizes:?}");
    }
}
