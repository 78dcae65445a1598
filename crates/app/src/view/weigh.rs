//! What is said about a reading while it is typed.

use logbook::source::ReadingAsked;
use logbook::typed;
use quantity::{Bound, Decimal, Dimension, Field, ParseError, Reading, Unit, Window};
use serde::Serialize;
use ts_rs::TS;

use super::eye::capital;

/// So many other units are shown at most.
const MOST_CONVERSIONS: usize = 5;

/// A text weighed as the reading of a step. The text is kept before this is answered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Weighed {
    /// What is kept, exactly as typed.
    pub(crate) text_kept: String,
    /// The number with its digits in groups; empty while it can't be read.
    pub(crate) shown: String,
    pub(crate) unit: String,
    pub(crate) fault: Option<Fault>,
    pub(crate) conversions: Vec<Conversion>,
    pub(crate) question: Option<Question>,
}

/// Why the text is no reading yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Fault {
    pub(crate) code: String,
    pub(crate) sentence: String,
    pub(crate) next_step: String,
    /// Texts of which one was meant, where the text can be read in two ways.
    pub(crate) readings: Vec<String>,
}

/// The same value in another unit, or above vacuum.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Conversion {
    pub(crate) label: String,
    pub(crate) value: String,
}

/// A question about a value that is probably a slip.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Question {
    pub(crate) code: String,
    pub(crate) title: String,
    pub(crate) sentence: String,
    pub(crate) answers: Vec<AnswerChoice>,
}

/// An answer to the question, with exactly what it records.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AnswerChoice {
    pub(crate) label: String,
    /// What is sent as the answer to the step.
    pub(crate) text: String,
    /// True when it takes a reason.
    pub(crate) insist: bool,
}

impl Weighed {
    /// A text that is no reading of the step, or not yet.
    fn faulty(text: &str, unit: &str, fault: &ParseError) -> Self {
        let readings = match fault {
            ParseError::TwoReadings { decimal, grouped, .. } => {
                vec![decimal.clone(), grouped.clone()]
            }
            _ => Vec::new(),
        };
        let next_step = if readings.is_empty() {
            "What is typed is kept; go on typing."
        } else {
            "Choose the number that the instrument shows."
        };
        let empty = matches!(fault, ParseError::Empty);
        Self {
            text_kept: text.to_owned(),
            shown: String::new(),
            unit: unit.to_owned(),
            // An empty field has no fault.
            fault: (!empty).then(|| Fault {
                code: fault.code().to_owned(),
                sentence: format!("{}.", capital(&fault.to_string())),
                next_step: next_step.to_owned(),
                readings,
            }),
            conversions: Vec::new(),
            question: None,
        }
    }
}

/// Weighs a text as the reading of a step. `barometer` is a reading of the surrounding air's
/// pressure with the number of its step, where the attempt has one.
pub(crate) fn weigh(
    asked: &ReadingAsked,
    text: &str,
    unit: Option<&str>,
    barometer: Option<&(String, Reading)>,
) -> Weighed {
    let unit = unit.map(str::trim).filter(|unit| !unit.is_empty()).unwrap_or(&asked.unit);
    let field = Field::of(asked.quantity);
    let Some(field) =
        field.clone().with_default_unit(unit).or(field.with_default_unit(&asked.unit))
    else {
        let fault = ParseError::NoUnit { text: text.to_owned(), units: asked.unit.clone() };
        return Weighed::faulty(text, unit, &fault);
    };
    let reading = match quantity::parse(text, &field) {
        Ok(reading) => reading,
        Err(fault) => return Weighed::faulty(text, unit, &fault),
    };
    Weighed {
        text_kept: text.to_owned(),
        shown: shown(&reading),
        unit: reading.unit().symbol().to_owned(),
        fault: None,
        conversions: conversions(&reading, barometer),
        question: question(asked, &reading),
    }
}

/// The number with its digits in groups of three, and the sign of a bound before it.
fn shown(reading: &Reading) -> String {
    let text = reading.value().to_string();
    let (whole, rest) = text.split_once('.').map_or((text.as_str(), None), |(a, b)| (a, Some(b)));
    let (sign, digits) = whole.strip_prefix('-').map_or(("", whole), |digits| ("\u{2212}", digits));
    let mut grouped = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index) % 3 == 0 {
            grouped.push('\u{a0}');
        }
        grouped.push(digit);
    }
    let rest = rest.map(|rest| format!(".{rest}")).unwrap_or_default();
    format!("{}{sign}{grouped}{rest}", reading.bound().sign())
}

/// A base value in a unit, to the place that the typed number carries there.
fn in_unit(base: Decimal, resolution: Decimal, unit: &Unit) -> Option<String> {
    let value = unit.from_base(base)?;
    let place = resolution.checked_div(unit.factor()?)?;
    let mut decimals = 0;
    let mut step = Decimal::ONE;
    while decimals < 9 && step.checked_div(Decimal::TEN)? >= place {
        step = step.checked_div(Decimal::TEN)?;
        decimals += 1;
    }
    let mut value = value.round_dp(decimals);
    value.rescale(decimals);
    Some(value.to_string())
}

/// Values that are far too long or short to help are left out.
fn readable(value: &str) -> bool {
    let digits = value.trim_start_matches(['-', '0', '.']).chars().filter(char::is_ascii_digit);
    (1..=6).contains(&digits.count())
}

fn conversions(reading: &Reading, barometer: Option<&(String, Reading)>) -> Vec<Conversion> {
    let mut list = Vec::new();
    if reading.bound() != Bound::Exact {
        return list;
    }
    list.extend(absolute(reading, barometer));
    let others = quantity::units_of(reading.dimension())
        .filter(|unit| unit.symbol() != reading.unit().symbol())
        .filter_map(|unit| {
            let value = in_unit(reading.base(), reading.base_resolution(), unit)?;
            readable(&value).then(|| Conversion { label: unit.symbol().to_owned(), value })
        });
    list.extend(others.take(MOST_CONVERSIONS));
    list
}

/// A gauge reading above vacuum, with the attempt's own barometer.
fn absolute(reading: &Reading, barometer: Option<&(String, Reading)>) -> Option<Conversion> {
    if reading.dimension() != Dimension::GaugePressure {
        return None;
    }
    let (step, barometer) = barometer?;
    let base = reading.base().checked_add(barometer.base())?;
    let symbol = reading.unit().symbol().replace("(g)", "(a)");
    let unit = quantity::find_unit(Dimension::AbsolutePressure, &symbol)?;
    let value = in_unit(base, reading.base_resolution(), unit)?;
    Some(Conversion {
        label: format!("{symbol}, with the {} of step {step}", barometer.text().trim()),
        value,
    })
}

/// The question about a value that is outside its plausible window, with answers that say exactly
/// what they record.
fn question(asked: &ReadingAsked, reading: &Reading) -> Option<Question> {
    let plausible = asked.plausible.as_ref()?;
    let (low, high) = (plausible.low.parse().ok()?, plausible.high.parse().ok()?);
    let window = Window::new(asked.quantity, low, high, &asked.unit)?;
    let implausible = window.check(reading).err()?;
    let number = reading.value();
    let sign = reading.bound().sign();
    let plain = |symbol: &str| symbol.trim_end_matches("(g)").to_owned();
    let own = reading.unit().symbol();
    let insist = AnswerChoice {
        label: format!("It is {own}. Say why"),
        text: format!("{sign}{number} {own}"),
        insist: true,
    };
    let meant = implausible.meant.as_ref().and_then(|other| {
        let unit = quantity::find_unit(asked.quantity, other.unit)?;
        let step = quantity::find_unit(asked.quantity, &asked.unit)?;
        let base = unit.to_base(number)?;
        let resolution = unit.interval_to_base(reading.resolution())?;
        let value = in_unit(base, resolution, step)?;
        let name = plain(other.unit);
        Some((
            format!("Is that {name}?"),
            AnswerChoice {
                label: format!("It was {name}: {value} {}", asked.unit),
                text: format!("{sign}{number} {name}"),
                insist: false,
            },
        ))
    });
    let (title, mut answers) = match meant {
        Some((title, meant)) => (title, vec![meant]),
        None => ("Is that what the instrument shows?".to_owned(), Vec::new()),
    };
    answers.push(insist);
    Some(Question {
        code: typed::IMPLAUSIBLE.to_owned(),
        title,
        sentence: format!("{implausible}."),
        answers,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use logbook::source::PlausibleWindow;

    fn gauge() -> ReadingAsked {
        ReadingAsked {
            quantity: Dimension::GaugePressure,
            unit: "bar(g)".to_owned(),
            instrument: None,
            plausible: Some(PlausibleWindow { low: "1".to_owned(), high: "250".to_owned() }),
        }
    }

    #[test]
    fn psi_typed_as_bar_is_asked_about_with_both_answers_as_they_are_recorded() {
        let weighed = weigh(&gauge(), "1595", Some("bar(g)"), None);
        assert_eq!(weighed.shown, "1\u{a0}595");
        let question = weighed.question.unwrap();
        assert_eq!(question.title, "Is that psi?");
        // 1595 psi = 109.97 bar: NIST SP 811 App. B, 1 psi = 6.894757 kPa.
        let texts: Vec<(&str, &str, bool)> = question
            .answers
            .iter()
            .map(|answer| (answer.label.as_str(), answer.text.as_str(), answer.insist))
            .collect();
        assert_eq!(
            texts,
            [
                ("It was psi: 110.0 bar(g)", "1595 psi", false),
                ("It is bar(g). Say why", "1595 bar(g)", true)
            ]
        );
        for answer in &question.answers {
            logbook::typed::reading(&gauge(), &answer.text).unwrap();
        }
    }

    #[test]
    fn an_ambiguous_comma_shows_both_readings_and_keeps_the_text() {
        let weighed = weigh(&gauge(), "1,595", None, None);
        assert_eq!(weighed.text_kept, "1,595");
        let fault = weighed.fault.unwrap();
        assert_eq!(fault.code, "ambiguous_number");
        assert_eq!(fault.readings, ["1.595", "1595"]);
    }

    #[test]
    fn conversions_carry_no_more_digits_than_were_typed() {
        let field = Field::of(Dimension::AbsolutePressure);
        let air = ("3.4".to_owned(), quantity::parse("862 hPa", &field).unwrap());
        let weighed = weigh(&gauge(), "110,2", Some("bar(g)"), Some(&air));
        let of = |label: &str| {
            weighed
                .conversions
                .iter()
                .find(|one| one.label.starts_with(label))
                .map(|one| one.value.as_str())
        };
        // 110.2 bar above 0.862 bar of air; 110.2 bar = 11.02 MPa = 1598.3 psi (NIST SP 811).
        assert_eq!(of("bar(a)"), Some("111.1"));
        assert_eq!(of("MPa(g)"), Some("11.02"));
        assert_eq!(of("psi(g)"), Some("1598"));
    }

    #[test]
    fn an_empty_field_has_no_fault() {
        let weighed = weigh(&gauge(), "", None, None);
        assert!(weighed.fault.is_none() && weighed.question.is_none());
    }
}
