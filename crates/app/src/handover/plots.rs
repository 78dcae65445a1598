//! The figure of a calculation sheet over two axes, as bars or as a map: from the sheet's data to
//! the view model. Values that are no numbers have no place in a figure and are left out of it.

use acceptance::{Axes, Bar, Drawn, Figure, Grid, Series, Sheet};
use report::model;

/// Everything that the data of the figure show: a map, lines, bars of each unit.
pub(super) fn plots(sheet: &Sheet) -> Vec<model::Figure> {
    let Some(figure) = sheet.figure.as_ref() else { return Vec::new() };
    let first = match &figure.grid {
        Some(grid) => Some(plane(sheet, figure, grid)),
        None if figure.series.is_empty() => None,
        None => Some(model::Figure::Lines(lines(sheet, figure))),
    };
    let alone = first.is_none();
    first.into_iter().chain(bars(figure, alone)).collect()
}

/// Lines over an axis, such as what is left of the gas, with the limit.
fn lines(sheet: &Sheet, figure: &Figure) -> model::Lines {
    let (x_unit, x_title) = level(&figure.x_label);
    model::Lines {
        title: figure.title.clone(),
        y_title: figure.y_label.clone(),
        x_unit,
        x_title,
        scaled: match figure.axes {
            None => model::Scaled::Even,
            Some(Axes::Equal) => model::Scaled::Equal,
            Some(Axes::LogX) => model::Scaled::LogX,
            Some(Axes::LogY) => model::Scaled::LogY,
            Some(Axes::LogBoth) => model::Scaled::LogBoth,
        },
        series: all_series(sheet, figure),
    }
}

/// The unit at the numbers of the level axis, and its title. Hours stand at each number; every
/// other unit in the title, as the calculation wrote it.
fn level(label: &str) -> (String, String) {
    let hours = "h".to_owned();
    if let Some(since) = label.strip_prefix("hours ") {
        return (hours, since.to_owned());
    }
    match label.strip_suffix(" in h") {
        // The heading of a figure over time says it already.
        Some("elapsed time") => (hours, String::new()),
        Some(what) => (hours, what.to_owned()),
        None => (String::new(), label.to_owned()),
    }
}

fn all_series(sheet: &Sheet, figure: &Figure) -> Vec<model::FigureSeries> {
    let bar = sheet.combined.as_ref().map(|all| all.expanded.as_str()).unwrap_or_default();
    // A sheet with a budget of doubt shows how much of what is left at the end.
    let judged = figure.series.iter().any(|one| one.name == "left" && one.drawn.is_none());
    let unit = unit_of(&figure.y_label);
    let mut named: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for series in &figure.series {
        let mut line = line_of(series, judged.then_some(bar), unit);
        // A curve that goes on after a gap is named once.
        if named.contains(&series.meaning.as_str()) {
            line.label.clear();
            line.second.clear();
        }
        named.push(&series.meaning);
        all.push(line);
    }
    all
}

/// The unit that a label of an axis names.
fn unit_of(label: &str) -> Option<&str> {
    let named = label.rsplit_once(" in ").map(|(_, unit)| unit);
    let short = named.filter(|unit| unit.chars().count() <= 12 && !unit.contains(' '));
    short.or_else(|| ["%", "°"].into_iter().find(|unit| label.contains(unit)))
}

fn line_of(series: &Series, bar: Option<&str>, unit: Option<&str>) -> model::FigureSeries {
    let style = style(series);
    let bar = bar.filter(|_| style == model::LineStyle::Thick).unwrap_or_default();
    let points: Vec<_> = series.points.iter().filter(|p| is_number(&p.x, &p.y)).collect();
    let last = points.len().saturating_sub(1);
    let told = !bar.is_empty() || series.name == "gauge" || is_level(series, style);
    let second = points.last().zip(unit).filter(|_| told);
    model::FigureSeries {
        label: series.meaning.clone(),
        second: second
            .map(|(point, unit)| match unit {
                "°" => format!("{}°", point.y),
                unit => format!("{} {unit}", point.y),
            })
            .unwrap_or_default(),
        style,
        plain: series.drawn.is_some(),
        points: points
            .into_iter()
            .enumerate()
            .map(|(index, point)| model::FigurePoint {
                x: point.x.clone(),
                y: point.y.clone(),
                // The start is the reference: only what is left at the end is in doubt.
                bar: if index == last { bar.to_owned() } else { String::new() },
            })
            .collect(),
    }
}

/// How a series is drawn; where it doesn't say so, its name does.
fn style(series: &Series) -> model::LineStyle {
    match series.drawn {
        Some(Drawn::Thick) => return model::LineStyle::Thick,
        Some(Drawn::Thin) => return model::LineStyle::Thin,
        Some(Drawn::Dashed) => return model::LineStyle::Dashed,
        Some(Drawn::Points) => return model::LineStyle::Points,
        Some(Drawn::Crosses) => return model::LineStyle::Crosses,
        None => {}
    }
    match series.name.as_str() {
        "left" | "power" | "height" => model::LineStyle::Thick,
        "limit" => model::LineStyle::Dashed,
        name if name.starts_with("angle") => model::LineStyle::Thick,
        _ => model::LineStyle::Thin,
    }
}

/// Whether it is a limit at one height, or on its way down from the start: its number is told.
fn is_level(series: &Series, style: model::LineStyle) -> bool {
    let mut heights = series.points.iter().map(|point| point.y.as_str());
    let first = heights.next();
    let level = heights.all(|height| Some(height) == first) && series.points.len() > 1;
    style == model::LineStyle::Dashed && (series.drawn.is_none() || level)
}

fn is_number(x: &str, y: &str) -> bool {
    [x, y].iter().all(|text| text.parse::<f64>().is_ok_and(f64::is_finite))
}

/// Bars of one unit stand beside each other; another unit has a figure of its own.
fn bars(figure: &Figure, alone: bool) -> Vec<model::Figure> {
    let usable = || figure.bars.iter().filter(|bar| is_number(&bar.value, "0"));
    let mut units: Vec<&str> = Vec::new();
    for bar in usable() {
        if !units.contains(&bar.unit.as_str()) {
            units.push(&bar.unit);
        }
    }
    let shown = |bar: &Bar| model::FigureBar {
        label: bar.meaning.clone(),
        value: bar.value.clone(),
        limit: bar.name.starts_with("limit"),
    };
    let of = |unit: &str| {
        model::Figure::Bars(model::Bars {
            // Beside lines the bars show parts of the same thing.
            title: match alone {
                true => figure.title.clone(),
                false => format!("Parts in {unit}"),
            },
            unit: if unit == "1" { String::new() } else { unit.to_owned() },
            bars: usable().filter(|bar| bar.unit == unit).map(shown).collect(),
        })
    };
    units.into_iter().map(of).collect()
}

fn plane(sheet: &Sheet, figure: &Figure, grid: &Grid) -> model::Figure {
    let cell = |text: &String| {
        if is_number(text, "0") { text.clone() } else { String::new() }
    };
    model::Figure::Plane(Box::new(model::Plane {
        title: figure.title.clone(),
        x_title: figure.x_label.clone(),
        y_title: figure.y_label.clone(),
        equal: figure.axes == Some(Axes::Equal),
        meaning: grid.meaning.clone(),
        unit: if grid.unit == "1" { String::new() } else { grid.unit.clone() },
        x_from: grid.x_from.clone(),
        x_step: grid.x_step.clone(),
        y_from: grid.y_from.clone(),
        y_step: grid.y_step.clone(),
        rows: grid.rows.iter().map(|row| row.iter().map(cell).collect()).collect(),
        series: all_series(sheet, figure),
    }))
}

#[cfg(test)]
mod tests {
    use acceptance::Point;

    use super::*;

    fn figure(x_label: &str, series: Vec<Series>) -> Sheet {
        let example = acceptance::calculation("sun-position").unwrap();
        let good = example.examples().iter().find(|one| one.name.starts_with("good")).unwrap();
        let mut sheet = example.run_text(good.text).unwrap();
        sheet.figure = Some(Figure {
            title: "T".to_owned(),
            x_label: x_label.to_owned(),
            y_label: "power in kW".to_owned(),
            series,
            bars: Vec::new(),
            grid: None,
            axes: None,
        });
        sheet
    }

    fn series(drawn: Drawn, points: &[(&str, &str)]) -> Series {
        let point = |(x, y): &(&str, &str)| Point { x: (*x).to_owned(), y: (*y).to_owned() };
        Series {
            name: "s".to_owned(),
            meaning: "a series".to_owned(),
            points: points.iter().map(point).collect(),
            drawn: Some(drawn),
        }
    }

    #[test]
    fn hours_stand_at_the_numbers_and_other_units_in_the_title() {
        let pair = |unit: &str, title: &str| (unit.to_owned(), title.to_owned());
        assert_eq!(level("hours since noon"), pair("h", "since noon"));
        assert_eq!(level("elapsed time in h"), pair("h", ""));
        assert_eq!(
            level("time since the first reading in h"),
            pair("h", "time since the first reading")
        );
        assert_eq!(level("irradiance in W/m²"), pair("", "irradiance in W/m²"));
    }

    #[test]
    fn what_is_no_number_is_left_out_and_a_level_limit_is_told() {
        let points = [("1", "4.2"), ("2", "NaN"), ("x", "3"), ("3", "4.2")];
        let limit = series(Drawn::Dashed, &points[..]);
        let marks = Series { meaning: "readings".to_owned(), ..series(Drawn::Points, &points) };
        let shown = plots(&figure("irradiance in W/m²", vec![limit.clone(), limit, marks]));
        let [model::Figure::Lines(lines)] = &shown[..] else { panic!("{shown:?}") };
        let [first, again, marks] = &lines.series[..] else { panic!("{lines:?}") };
        assert_eq!((first.points.len(), marks.points.len()), (2, 2));
        assert_eq!((again.label.as_str(), again.second.as_str()), ("", ""));
        assert_eq!(marks.style, model::LineStyle::Points);
        report::figure::drawing(&shown[0]).unwrap();
    }

    #[test]
    fn bars_of_each_unit_are_a_figure_and_a_map_keeps_its_gaps() {
        let mut sheet = figure("to the right in mm", Vec::new());
        let data = sheet.figure.as_mut().unwrap();
        let bar = |name: &str, value: &str, unit: &str| Bar {
            name: name.to_owned(),
            meaning: name.to_owned(),
            value: value.to_owned(),
            unit: unit.to_owned(),
        };
        data.bars = vec![bar("a", "1", "V"), bar("b", "2", "A"), bar("limit_v", "3", "V")];
        data.grid = Some(Grid {
            meaning: "flux".to_owned(),
            unit: "kW/m²".to_owned(),
            x_from: "0".to_owned(),
            x_step: "1".to_owned(),
            y_from: "0".to_owned(),
            y_step: "1".to_owned(),
            rows: vec![vec!["1".to_owned(), "NaN".to_owned()]],
        });
        let shown = plots(&sheet);
        let [model::Figure::Plane(plane), model::Figure::Bars(volts), model::Figure::Bars(amperes)] =
            &shown[..]
        else {
            panic!("{shown:?}")
        };
        assert_eq!(plane.rows, [["1", ""]]);
        assert_eq!((volts.bars.len(), amperes.bars.len()), (2, 1));
        assert!(volts.bars[1].limit && !volts.bars[0].limit);
        for figure in &shown {
            report::figure::drawing(figure).unwrap();
        }
    }

    /// Every figure that a calculation's good example has can be drawn.
    #[test]
    fn every_example_s_figure_is_drawn() {
        for calculation in acceptance::calculations() {
            let good = calculation.examples().iter().filter(|one| one.name.starts_with("good"));
            for example in good {
                let sheet = calculation.run_text(example.text).unwrap();
                for figure in plots(&sheet) {
                    let name = (calculation.name(), example.name);
                    report::figure::drawing(&figure).unwrap_or_else(|e| panic!("{name:?}: {e}"));
                }
            }
        }
    }
}
