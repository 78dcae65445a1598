//! Files as they would be read: nothing is entered by looking.

use chrono::{DateTime, FixedOffset};
use logbook::files::{SeriesChannel, SeriesFile};
use report::model::{FigurePoint, FigureSeries, LineStyle, Lines, Scaled};
use serde::Serialize;
use ts_rs::TS;

use super::record::OptionView;

/// A table of facets, read and not entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SurveyPreview {
    pub(crate) rows: u32,
    pub(crate) used: u32,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) decisions: Vec<String>,
    pub(crate) first: Vec<Vec<String>>,
    pub(crate) last: Vec<Vec<String>>,
    pub(crate) question: Option<FileQuestion>,
}

/// Files of loggers and meters, read and not entered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SeriesPreview {
    pub(crate) files: Vec<SeriesFilePreview>,
    pub(crate) pictures: Vec<Picture>,
    pub(crate) warnings: Vec<String>,
}

/// One file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SeriesFilePreview {
    pub(crate) name: String,
    pub(crate) form: String,
    /// The channels of the step that it has, by id.
    pub(crate) channels: Vec<String>,
    pub(crate) rows: u32,
    pub(crate) used: u32,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) decisions: Vec<String>,
    pub(crate) first: Vec<Vec<String>>,
    pub(crate) last: Vec<Vec<String>>,
    pub(crate) zone: String,
    pub(crate) question: Option<FileQuestion>,
}

/// A line that was not used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Rejected {
    pub(crate) line: u32,
    pub(crate) reason: String,
}

/// What the file does not say and a person must.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FileQuestion {
    /// Under which the answer is given.
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) sentence: String,
    pub(crate) choices: Vec<OptionView>,
}

/// A picture of what was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Picture {
    pub(crate) title: String,
    pub(crate) svg: String,
}

/// A picture of every channel of a file, so that a wrong column is seen before it is entered.
pub(crate) fn pictures(name: &str, read: &SeriesFile) -> Vec<Picture> {
    read.channels.iter().filter_map(|channel| picture(name, read, channel)).collect()
}

fn picture(name: &str, read: &SeriesFile, channel: &SeriesChannel) -> Option<Picture> {
    let times: Vec<DateTime<FixedOffset>> = read
        .times
        .iter()
        .map(|at| DateTime::parse_from_rfc3339(at))
        .collect::<Result<_, _>>()
        .ok()?;
    let first = times.first()?;
    let points = times
        .iter()
        .zip(&channel.values)
        .filter_map(|(at, cell)| {
            let number = cell.exact()?;
            let minutes = (*at - *first).num_seconds() / 60;
            Some(FigurePoint {
                x: format!("{}.{:02}", minutes / 60, (minutes % 60) * 100 / 60),
                y: number.plain.clone(),
                bar: String::new(),
            })
        })
        .collect();
    let label = channel.column.clone();
    let title = format!("{name}: {label}, hours from {}", first.format("%H:%M"));
    let figure = Lines {
        title: title.clone(),
        y_title: format!("{label}, {}", channel.unit),
        x_unit: "h".to_owned(),
        x_title: String::new(),
        scaled: Scaled::Even,
        series: vec![FigureSeries {
            label,
            second: String::new(),
            style: LineStyle::Thin,
            plain: false,
            points,
        }],
    };
    let svg = report::figure::lines(&figure).ok()?.to_svg();
    Some(Picture { title, svg })
}
