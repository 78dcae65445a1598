//! The figures of a calculation sheet, for screens and paper alike: lines over an axis, the mirror
//! with the error of each facet, the sky over a job.

use acceptance::{Series, Sheet, Table};
use logbook::source::DishDesign;
use quantity::{Dimension, Field};
use report::model;

/// Everything that a sheet shows as a figure, what is looked at first coming first. The mirror
/// needs the design that the sheet was calculated with: it says where racks and facets sit.
pub(crate) fn figures(sheet: &Sheet, design: Option<&DishDesign>) -> Vec<model::Figure> {
    let map = design.and_then(|design| facet_map(sheet, design)).map(model::Figure::FacetMap);
    let sky = sky(sheet).map(|sky| model::Figure::Sky(Box::new(sky)));
    let lines = lines(sheet).map(model::Figure::Lines);
    map.into_iter().chain(sky).chain(lines).collect()
}

/// Cells of a table by the head of their column.
pub(super) struct Columns<'t> {
    table: &'t Table,
}

impl<'t> Columns<'t> {
    /// The table of a sheet by its name.
    pub(super) fn of(sheet: &'t Sheet, table: &str) -> Option<Self> {
        sheet.tables.iter().find(|one| one.name == table).map(|table| Self { table })
    }

    /// The texts of a column, one for each row; none when there is no such column.
    pub(super) fn column(&self, head: &str) -> Option<Vec<&'t str>> {
        let place = self.table.columns.iter().position(|column| column == head)?;
        let cell = |row: &'t Vec<String>| row.get(place).map_or("", String::as_str);
        Some(self.table.rows.iter().map(cell).collect())
    }
}

/// A figure of the design in a unit, as a decimal.
pub(crate) fn in_unit(text: &str, dimension: Dimension, unit: &str, places: u32) -> Option<String> {
    let reading = quantity::parse(text, &Field::of(dimension)).ok()?;
    let value = quantity::find_unit(dimension, unit)?.from_base(reading.base())?;
    Some(value.round_dp(places).normalize().to_string())
}

/// The mirror, from the list of facets that the sheet has.
fn facet_map(sheet: &Sheet, design: &DishDesign) -> Option<model::FacetMap> {
    let facets = Columns::of(sheet, "facets")?;
    let racks = Columns::of(sheet, "racks")?;
    let names = facets.column("facet")?;
    let (states, outs) = (facets.column("state")?, facets.column("out")?);
    let (xs, ys) = (facets.column("x mrad")?, facets.column("y mrad")?);
    let degrees = |text: &str| in_unit(text, Dimension::Angle, "°", 4);
    let mut shown = Vec::new();
    for (place, name) in names.iter().enumerate() {
        let sits = design.facets.iter().find(|facet| facet.id == *name)?;
        let cell = |column: &[&str]| (*column.get(place).unwrap_or(&"")).to_owned();
        let state = match (cell(&states).as_str(), cell(&outs).as_str()) {
            ("measured", "") => model::MapState::In,
            ("measured", _) => model::MapState::Out,
            ("within", _) => model::MapState::Within,
            ("masked", _) => model::MapState::Masked,
            _ => model::MapState::NotMeasured,
        };
        shown.push(model::MapFacet {
            id: sits.id.clone(),
            rack: sits.rack.clone(),
            radius: in_unit(&sits.radius, Dimension::Length, "m", 4)?,
            bearing: degrees(&sits.bearing)?,
            state,
            x: cell(&xs),
            y: cell(&ys),
        });
    }
    let rack = |rack: &logbook::source::Rack| {
        Some(model::MapRack {
            id: rack.id.clone(),
            from: degrees(&rack.from_bearing)?,
            to: degrees(&rack.to_bearing)?,
        })
    };
    let moved = racks.column("rack")?.into_iter().zip(racks.column("moved")?);
    Some(model::FacetMap {
        title: "Where each facet sends its light".to_owned(),
        name: format!("Mirror of type {}", design.id),
        racks: design.racks.iter().map(rack).collect::<Option<_>>()?,
        moved: moved.filter(|(_, moved)| !moved.is_empty()).map(|(id, _)| id.to_owned()).collect(),
        facets: shown,
    })
}

/// The sky over a job with a parked dish, from the sun's path that the sheet lists.
fn sky(sheet: &Sheet) -> Option<model::Sky> {
    let line = |meaning: &str| {
        sheet.working.iter().find(|line| line.meaning.starts_with(meaning)).map(|l| l.value.clone())
    };
    let axis = model::SkyPlace {
        azimuth: line("azimuth of the mirror axis")?,
        elevation: line("elevation of the mirror axis")?,
    };
    let margin = sheet.rule.as_ref()?.limit.trim_end_matches(['°', ' ']).to_owned();
    let (rows, moments) = path(sheet);
    let nearest_at = sheet.result("at").map(|at| at.value.as_str());
    let angle = sheet.result("min_angle").map(|angle| angle.value.clone());
    let mark = |place: usize, label: String| {
        Some(model::SkyMark { place: rows.get(place)?.clone(), label })
    };
    let nearest = nearest_at
        .and_then(|at| moments.iter().position(|moment| *moment == at))
        .zip(angle.as_ref())
        .and_then(|(place, angle)| mark(place, format!("{angle}°")));
    let sun = arcs(sheet, &rows);
    let starts = line("planned start")?;
    let start = model::SkyPlace {
        azimuth: sheet.result("sun_azimuth")?.value.clone(),
        elevation: sheet.result("sun_elevation")?.value.clone(),
    };
    let up = !start.elevation.starts_with('-');
    let last = rows.len().checked_sub(1);
    Some(model::Sky {
        title: "The sky over the job".to_owned(),
        name: match (&angle, nearest_at) {
            (Some(angle), Some(at)) => {
                format!("sun nearest {angle}° at {}, least allowed {margin}°", clock(at))
            }
            _ => format!("sun below the horizon, least allowed {margin}°"),
        },
        axis,
        margin_label: format!("{margin}° free"),
        margin,
        sun,
        day: Vec::new(),
        begins: up.then(|| model::SkyMark { place: start, label: clock(&starts) }),
        ends: last.and_then(|last| mark(last, clock(moments.get(last)?))),
        nearest,
    })
}

/// The sun's places with their moments.
fn path(sheet: &Sheet) -> (Vec<model::SkyPlace>, Vec<&str>) {
    let columns = Columns::of(sheet, "sun").and_then(|sun| {
        Some((sun.column("moment")?, sun.column("azimuth °")?, sun.column("elevation °")?))
    });
    let Some((moments, azimuths, elevations)) = columns else { return Default::default() };
    let place = |(azimuth, elevation): (&str, &str)| model::SkyPlace {
        azimuth: azimuth.to_owned(),
        elevation: elevation.to_owned(),
    };
    (azimuths.into_iter().zip(elevations).map(place).collect(), moments)
}

/// The path in parts, one for each time that the sun is up: the curves of the angle have as many
/// points as the list has rows.
fn arcs(sheet: &Sheet, rows: &[model::SkyPlace]) -> Vec<Vec<model::SkyPlace>> {
    let series = sheet.figure.iter().flat_map(|figure| &figure.series);
    let curves = series.filter(|series| series.name.starts_with("angle"));
    let mut rest = rows;
    let mut arcs = Vec::new();
    for curve in curves {
        let (arc, left) = rest.split_at(curve.points.len().min(rest.len()));
        arcs.push(arc.to_vec());
        rest = left;
    }
    if !rest.is_empty() {
        arcs.push(rest.to_vec());
    }
    arcs
}

/// "13:05" of a moment written out.
fn clock(moment: &str) -> String {
    moment.split_once('T').and_then(|(_, time)| time.get(..5)).unwrap_or(moment).to_owned()
}

/// Lines over an axis, such as what is left of the gas, with the limit.
fn lines(sheet: &Sheet) -> Option<model::Lines> {
    // A figure with axes of its own, as a plane, is no curve over hours.
    let figure = sheet.figure.as_ref().filter(|figure| figure.axes.is_none())?;
    let bar = sheet.combined.as_ref().map(|all| all.expanded.as_str()).unwrap_or_default();
    // A sheet with a budget of doubt shows how much of what is left at the end.
    let judged = figure.series.iter().any(|series| series.name == "left");
    let unit = ['%', '°'].into_iter().find(|unit| figure.y_label.contains(*unit));
    let mut named: Vec<&str> = Vec::new();
    let series = figure
        .series
        .iter()
        .map(|series| {
            let mut line = line_of(series, judged.then_some(bar), unit);
            // A curve that goes on after a gap is named once.
            if named.contains(&series.meaning.as_str()) {
                line.label.clear();
            }
            named.push(&series.meaning);
            line
        })
        .collect();
    let axis = figure.x_label.strip_prefix("hours ").unwrap_or_default();
    Some(model::Lines {
        title: figure.title.clone(),
        y_title: figure.y_label.clone(),
        x_unit: "h".to_owned(),
        x_title: axis.to_owned(),
        series,
    })
}

fn line_of(series: &Series, bar: Option<&str>, unit: Option<char>) -> model::FigureSeries {
    let style = match series.name.as_str() {
        "left" | "power" | "height" => model::LineStyle::Thick,
        "limit" => model::LineStyle::Dashed,
        name if name.starts_with("angle") => model::LineStyle::Thick,
        _ => model::LineStyle::Thin,
    };
    let bar = bar.filter(|_| style == model::LineStyle::Thick).unwrap_or_default();
    let last = series.points.len().saturating_sub(1);
    let told = bar_or_limit(bar, style) || series.name == "gauge";
    let second = series.points.last().zip(unit).filter(|_| told);
    model::FigureSeries {
        label: series.meaning.clone(),
        second: second
            .map(|(point, unit)| match unit {
                '°' => format!("{}°", point.y),
                unit => format!("{} {unit}", point.y),
            })
            .unwrap_or_default(),
        style,
        points: series
            .points
            .iter()
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

fn bar_or_limit(bar: &str, style: model::LineStyle) -> bool {
    !bar.is_empty() || style == model::LineStyle::Dashed
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sheet of an example that the calculation ships.
    fn example(calculation: &str, name: &str) -> Sheet {
        let calculation = acceptance::calculation(calculation).unwrap();
        let input = format!(
            "{}/../acceptance/examples-data/{}/{name}.json",
            env!("CARGO_MANIFEST_DIR"),
            calculation.name()
        );
        let input = serde_json::from_slice(&std::fs::read(input).unwrap()).unwrap();
        calculation.run(&input).unwrap()
    }

    #[test]
    fn a_night_between_parts_the_way_of_the_sun_and_of_the_angle() {
        let figures = figures(&example("parking-window", "good-across-the-clock-change"), None);
        let [model::Figure::Sky(sky), model::Figure::Lines(lines)] = &figures[..] else {
            panic!("{figures:?}")
        };
        assert_eq!(sky.sun.len(), 2);
        assert_eq!(sky.begins.as_ref().unwrap().label, "16:00");
        let labels: Vec<&str> = lines.series.iter().map(|s| s.label.as_str()).collect();
        assert_eq!(labels, ["angle to the sun", "", "least allowed"]);
        assert_eq!(lines.series[2].second, "30°");
        assert_eq!(lines.x_title, "since the planned start");
        for figure in &figures {
            report::figure::drawing(figure).unwrap();
        }
    }

    #[test]
    fn a_job_in_the_night_has_a_sky_without_a_sun() {
        let figures = figures(&example("parking-window", "good-night"), None);
        let [model::Figure::Sky(sky)] = &figures[..] else { panic!("{figures:?}") };
        assert!(sky.sun.is_empty() && sky.begins.is_none() && sky.nearest.is_none());
        report::figure::drawing(&figures[0]).unwrap();
    }

    #[test]
    fn the_decay_shows_its_doubt_at_the_end_and_a_purge_has_a_list_alone() {
        let decay = figures(&example("pressure-decay", "good-helium-pass"), None);
        let [model::Figure::Lines(lines)] = &decay[..] else { panic!("{decay:?}") };
        let left = &lines.series[0];
        assert_eq!(left.style, model::LineStyle::Thick);
        assert!(left.second.ends_with(" %") && !left.points[1].bar.is_empty(), "{left:?}");
        assert!(left.points[0].bar.is_empty() && lines.x_title.is_empty());
        let purge = example("purge", "good-three-cycles-measured");
        assert!(figures(&purge, None).is_empty() && !purge.tables.is_empty());
    }
}
