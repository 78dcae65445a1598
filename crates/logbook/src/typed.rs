//! From what a person types into a reading step to the reading that an entry keeps.

use std::str::FromStr;

use quantity::{Decimal, Field, StoredReading, Window};

use crate::events::{RowState, SeriesImported, SurveyRow, SurveyTaken};
use crate::refusal::Refusal;
use crate::source::{ReadingAsked, SeriesAsked, SurveyAsked};

/// The code of the question about a value outside its plausible window.
pub const IMPLAUSIBLE: &str = "implausible_value";

/// What was typed, as a reading of the step; with the question that it raises, if it does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    /// The reading, ready for an answer.
    pub reading: StoredReading,
    /// Why it is probably a slip; it stands when the person insists with a reason.
    pub question: Option<Refusal>,
}

/// Reads what was typed into a reading step. A number without a unit is in the step's unit.
///
/// # Errors
/// A text that is no reading of the step's quantity; the sentence says what to type instead.
pub fn reading(asked: &ReadingAsked, text: &str) -> Result<Typed, Refusal> {
    let field = Field::of(asked.quantity)
        .with_default_unit(&asked.unit)
        .ok_or_else(|| faulty_step(&asked.unit))?;
    let reading = quantity::parse(text, &field).map_err(|error| {
        Refusal::new(error.code(), format!("{error}."), "Nothing was saved; type it again.")
    })?;
    let question = match window(asked) {
        Ok(Some(window)) => window.check(&reading).err().map(|implausible| {
            let next = match &implausible.meant {
                Some(other) => format!(
                    "If the instrument shows {unit}, type “{number} {unit}” (that is {would_be} {own}). \
                     If “{text}” is right, enter it again with the reason.",
                    unit = other.unit,
                    number = reading.value(),
                    would_be = other.would_be,
                    own = asked.unit,
                    text = reading.text(),
                ),
                None => format!(
                    "Look at the instrument again. If “{}” is right, enter it again with the reason.",
                    reading.text()
                ),
            };
            Refusal::new(IMPLAUSIBLE, format!("{implausible}."), next).insistable()
        }),
        Ok(None) => None,
        Err(()) => return Err(faulty_step(&asked.unit)),
    };
    Ok(Typed { reading: reading.stored(), question })
}

/// Reads a stored reading again as the quantity's own type.
pub(crate) fn reread(stored: &StoredReading) -> Result<quantity::Reading, quantity::ParseError> {
    let field = Field::of(stored.dimension);
    let field = field.clone().with_default_unit(&stored.unit).unwrap_or(field);
    quantity::parse(&stored.text, &field)
}

/// The step's plausible window; an error where the checklist writes one that is none.
pub(crate) fn window(asked: &ReadingAsked) -> Result<Option<Window>, ()> {
    let Some(plausible) = &asked.plausible else { return Ok(None) };
    let low = Decimal::from_str(&plausible.low).map_err(drop)?;
    let high = Decimal::from_str(&plausible.high).map_err(drop)?;
    Window::new(asked.quantity, low, high, &asked.unit).map(Some).ok_or(())
}

fn faulty_step(unit: &str) -> Refusal {
    Refusal::new(
        "faulty_step",
        format!("The step's own unit “{unit}” or window can't be read."),
        "Adopt a corrected revision of the checklist.",
    )
}

/// Whether a table fits what its step asks for: its columns, each row once and on the list, and
/// every value the exact number that it is written as.
///
/// # Errors
/// The first row or column that does not fit.
pub fn survey_fits(
    asked: &SurveyAsked,
    lines: &[String],
    taken: &SurveyTaken,
) -> Result<(), Refusal> {
    let alike = asked.columns.len() == taken.columns.len()
        && asked
            .columns
            .iter()
            .zip(&taken.columns)
            .all(|(wanted, given)| wanted.id == given.id && wanted.quantity == given.dimension);
    if !alike {
        let wanted: Vec<&str> = asked.columns.iter().map(|column| column.id.as_str()).collect();
        return Err(Refusal::new(
            "other_columns",
            format!("The step asks for the columns {}.", wanted.join(", ")),
            "Give exactly these, in this order.",
        ));
    }
    let mut seen = std::collections::BTreeSet::new();
    for row in &taken.rows {
        if !lines.contains(&row.row) {
            return Err(Refusal::new(
                "unknown_line",
                format!("“{}” is not on the list that this step goes through.", row.row),
                "Correct its name, or leave it out.",
            ));
        }
        if !seen.insert(&row.row) {
            return Err(Refusal::new(
                "line_twice",
                format!("“{}” stands twice in the table.", row.row),
                "Find out which one is right and leave the other out.",
            ));
        }
        row_fits(taken, row)?;
    }
    let unnamed = lines.len().saturating_sub(seen.len());
    if unnamed > 0
        && taken.others.state() == RowState::NotMeasured
        && taken.others.reason().is_none_or(|reason| reason.trim().chars().count() < 2)
    {
        return Err(Refusal::new(
            "reason_needed",
            format!("{unnamed} lines of the list are not measured, and nobody says why."),
            "Say in a few words why.",
        ));
    }
    Ok(())
}

fn row_fits(taken: &SurveyTaken, row: &SurveyRow) -> Result<(), Refusal> {
    let wanted = if row.state == RowState::Measured { taken.columns.len() } else { 0 };
    if row.typed.len() != wanted || row.base.len() != wanted {
        return Err(Refusal::new(
            "other_columns",
            format!("“{}” is {} and has {} values.", row.row, row.state, row.typed.len()),
            format!("A line that is {} has {wanted} values.", row.state),
        ));
    }
    for ((text, base), column) in row.typed.iter().zip(&row.base).zip(&taken.columns) {
        let field = Field::of(column.dimension);
        let field = field.clone().with_default_unit(&column.unit).unwrap_or(field);
        let exact = quantity::parse(text, &field).ok().is_some_and(|reading| {
            reading.bound() == quantity::Bound::Exact
                && Decimal::from_str(base).is_ok_and(|base| base == reading.base())
        });
        if !exact {
            return Err(Refusal::new(
                "reading_differs",
                format!("“{text}” {} of “{}” is not the number {base}.", column.unit, row.row),
                "Type the value again, as a number and no bound.",
            ));
        }
    }
    Ok(())
}

/// Whether time series fit what their step asks for.
///
/// # Errors
/// A channel that is missing, unknown, given twice, or whose times and values don't match.
pub fn series_fits(asked: &SeriesAsked, imported: &SeriesImported) -> Result<(), Refusal> {
    let mut seen = std::collections::BTreeSet::new();
    for channel in &imported.channels {
        let wanted = asked.channels.iter().find(|wanted| wanted.id == channel.id);
        if wanted.is_none_or(|wanted| wanted.quantity != channel.dimension) {
            return Err(Refusal::new(
                "unknown_channel",
                format!("The step asks for no channel “{}” of this kind.", channel.id),
                "Leave it out.",
            ));
        }
        if !seen.insert(channel.id.as_str()) {
            return Err(Refusal::new(
                "channel_twice",
                format!("“{}” stands in more than one file.", channel.id),
                "Import the file that counts, and leave the other out.",
            ));
        }
        let file = usize::try_from(channel.file).ok().and_then(|file| imported.files.get(file));
        let rising = channel.times.windows(2).all(|two| match two {
            [one, next] => next.seconds_since(one) > 0,
            _ => true,
        });
        if file.is_none() || channel.times.len() != channel.typed.len() || !rising {
            return Err(Refusal::new(
                "series_broken",
                format!("The times and values of “{}” don't match.", channel.id),
                "Import the file again.",
            ));
        }
    }
    let lacking: Vec<&str> = asked
        .channels
        .iter()
        .filter(|wanted| !wanted.optional && !seen.contains(wanted.id.as_str()))
        .map(|wanted| wanted.title.as_str())
        .collect();
    if lacking.is_empty() {
        return Ok(());
    }
    Err(Refusal::new(
        "channel_missing",
        format!("The files hold no {}.", lacking.join(", no ")),
        "Add the file that holds it, or enter the step as missing with the reason.",
    ))
}
