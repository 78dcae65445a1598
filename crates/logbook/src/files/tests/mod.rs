//! Files as they come from the field, small and one trouble each.

mod any_bytes;
mod facet_tables;
mod numbers;
mod site_files;
mod stamps;
mod structure;

use quantity::Dimension;

use super::*;

/// The channels of a performance run.
pub(super) fn form() -> SeriesForm {
    let channel = |id: &str, dimension| Channel { id: id.into(), title: id.into(), dimension };
    SeriesForm {
        zone: Some("-04:00".into()),
        label: Some(Label::End),
        channels: vec![
            channel("irradiance", Dimension::Irradiance),
            channel("ambient", Dimension::Temperature),
            channel("wind", Dimension::Speed),
            channel("power", Dimension::Power),
        ],
        ..SeriesForm::default()
    }
}

/// Reads a series file, whose lines must add up.
pub(super) fn read(text: impl AsRef<[u8]>) -> SeriesFile {
    read_as(text, &form())
}

pub(super) fn read_as(text: impl AsRef<[u8]>, form: &SeriesForm) -> SeriesFile {
    let file = series(text.as_ref(), form).unwrap();
    assert_eq!(file.question, None);
    assert_adds_up(&file.lines);
    assert_eq!(file.times.len(), file.lines.used);
    for channel in &file.channels {
        assert_eq!(channel.values.len(), file.times.len());
    }
    file
}

pub(super) fn assert_adds_up(lines: &Lines) {
    let sum = lines.used + lines.rejected.len() + lines.blank + lines.header + lines.preamble;
    assert_eq!(sum, lines.read, "{lines:?}");
}

/// The values of a channel in plain decimals.
pub(super) fn plain(file: &SeriesFile, id: &str) -> Vec<String> {
    let channel = file.channels.iter().find(|channel| channel.id == id).unwrap();
    channel.values.iter().map(|cell| cell.plain().to_owned()).collect()
}

/// The question that a file raises.
pub(super) fn asked(text: impl AsRef<[u8]>, form: &SeriesForm) -> Question {
    let file = series(text.as_ref(), form).unwrap();
    assert!(file.times.is_empty() && file.channels.is_empty());
    file.question.unwrap()
}

/// The same form with an answer.
pub(super) fn answering(form: &SeriesForm, id: &str, choice: &str) -> SeriesForm {
    let mut form = form.clone();
    form.answers.insert(id.into(), choice.into());
    form
}

pub(super) fn reason(lines: &Lines, line: usize) -> &str {
    let found = lines.rejected.iter().find(|rejected| rejected.line == line);
    found.map_or("", |rejected| rejected.reason.as_str())
}
