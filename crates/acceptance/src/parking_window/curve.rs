//! The sun's path and the angle over a window of up to a week: figure and tables.

use super::present::{Shown, texts};
use super::track::Point as Place;
use crate::sun::degrees;
use crate::{Figure, Point, Series, Table};

/// Seconds between two rows of the sun's path, and between two rows for windows of over a day.
const ROWS: (f64, f64) = (900.0, 3600.0);
const DAY: f64 = 86_400.0;

impl Shown<'_> {
    /// The angle over the window, a line for each time that the sun is up.
    pub(super) fn figure(&self) -> Option<Figure> {
        if let Some(long) = &self.found.long {
            return self.long_figure(long);
        }
        let (job, found) = (self.job, self.found);
        let hours = |unix: f64| format!("{:.4}", (unix - job.window.start.unix()) / 3600.0);
        let several = found.arcs.len() > 1;
        let mut series: Vec<Series> = found
            .arcs
            .iter()
            .enumerate()
            .map(|(index, arc)| Series {
                name: if several { format!("angle_{}", index + 1) } else { "angle".to_owned() },
                meaning: "angle to the sun".to_owned(),
                drawn: None,
                points: self
                    .rows(arc.points.iter())
                    .map(|p| Point { x: hours(p.at), y: format!("{:.2}", degrees(p.angle())) })
                    .collect(),
            })
            .collect();
        if series.is_empty() {
            return None;
        }
        let margin = |unix| Point { x: hours(unix), y: job.margin.degrees.to_string() };
        series.push(Series {
            name: "limit".to_owned(),
            meaning: "least allowed".to_owned(),
            drawn: None,
            points: vec![margin(found.from), margin(found.to)],
        });
        Some(Figure {
            title: "Angle between mirror axis and sun over the job".to_owned(),
            x_label: "hours since the planned start".to_owned(),
            y_label: "angle in °".to_owned(),
            series,
            bars: Vec::new(),
            grid: None,
            axes: None,
        })
    }

    /// Points at most as close as the rows of the path, with the ends and the nearest approach.
    fn rows<'p>(
        &self,
        points: impl ExactSizeIterator<Item = &'p Place>,
    ) -> impl Iterator<Item = &'p Place> {
        let window = self.found.to - self.found.from;
        let several_days = self.found.long.is_none() && window > DAY + ROWS.1;
        let step = if several_days { ROWS.1 } else { ROWS.0 };
        let nearest = self.found.nearest.map(|p| p.at.to_bits());
        let last = points.len().saturating_sub(1);
        let mut next = f64::NEG_INFINITY;
        points.enumerate().filter_map(move |(index, point)| {
            let due = point.at >= next - 1.0;
            if due {
                next = point.at + step;
            }
            (due || index == last || Some(point.at.to_bits()) == nearest).then_some(point)
        })
    }

    pub(super) fn tables(&self) -> Vec<Table> {
        let mut tables: Vec<Table> = self.path_table().into_iter().collect();
        match &self.found.long {
            Some(long) => tables.extend(self.long_tables(long)),
            None if self.found.broken.is_empty() => {}
            None => tables.push(Table {
                name: "broken".to_owned(),
                title: "Times in the window when the sun is nearer than the margin".to_owned(),
                columns: texts(&["from", "to"]),
                rows: self
                    .found
                    .broken
                    .iter()
                    .map(|(from, to)| vec![self.moment(*from).text(), self.moment(*to).text()])
                    .collect(),
            }),
        }
        tables
    }

    /// The sun's path: over the window, or over the day of the nearest approach of a long one.
    fn path_table(&self) -> Option<Table> {
        if self.found.arcs.is_empty() {
            return None;
        }
        let row = |p: &Place| {
            vec![
                self.moment(p.at).text(),
                format!("{:.2}", degrees(p.sun.apparent.azimuth)),
                format!("{:.2}", degrees(p.sun.apparent.elevation)),
                format!("{:.2}", degrees(p.angle())),
            ]
        };
        let title = match self.found.long {
            None => "The sun over the window, as seen",
            Some(_) => "The sun on the day of the nearest approach, as seen",
        };
        Some(Table {
            name: "sun".to_owned(),
            title: title.to_owned(),
            columns: texts(&["moment", "azimuth °", "elevation °", "angle to the axis °"]),
            rows: self
                .found
                .arcs
                .iter()
                .flat_map(|arc| self.rows(arc.points.iter()).map(row).collect::<Vec<_>>())
                .collect(),
        })
    }
}
