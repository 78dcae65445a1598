//! Which mark separates decimals, decided by what the file shows and asked where it shows both or
//! neither.

use super::{Answers, Choice, Question};

/// The decimal mark of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Marks {
    /// `,` or `.`.
    pub(super) decimal: char,
    /// Whether a text such as `1.013`, whose only mark could group, groups thousands: some when it
    /// was answered.
    pub(super) groups: Option<bool>,
}

/// What one number shows about marks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shows {
    /// Nothing: no mark, or no number.
    Nothing,
    /// Only this mark can be the decimal one.
    Decimal(char),
    /// One mark with one to three digits before and three after.
    Either(char),
}

/// Blanks and apostrophes that group digits.
const fn blank(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’')
}

/// Whether a text is digits, marks and blanks with a sign at most.
fn digits_and_marks(text: &str) -> bool {
    let unsigned = text.trim_start_matches(['<', '>', '-', '+', '−', ' ']);
    unsigned.starts_with(|c: char| c.is_ascii_digit())
        && unsigned.chars().all(|c| c.is_ascii_digit() || matches!(c, ',' | '.') || blank(c))
}

fn shows(text: &str) -> Shows {
    let text = text.trim();
    if !digits_and_marks(text) {
        return Shows::Nothing;
    }
    let (comma, point) = (text.rfind(','), text.rfind('.'));
    let (last, mark) = match (comma, point) {
        (None, None) => return Shows::Nothing,
        (Some(comma), Some(point)) if comma > point => return Shows::Decimal(','),
        (Some(_), Some(_)) => return Shows::Decimal('.'),
        (Some(comma), None) => (comma, ','),
        (None, Some(point)) => (point, '.'),
    };
    let other = if mark == ',' { '.' } else { ',' };
    if text.matches(mark).count() > 1 {
        // A mark that stands twice groups, or the text is no number and shows nothing.
        let grouped = text.split(mark).skip(1).all(|group| group.len() == 3);
        return if grouped { Shows::Decimal(other) } else { Shows::Nothing };
    }
    let digits = |part: &str| part.chars().filter(char::is_ascii_digit).collect::<String>();
    let before = digits(text.get(..last).unwrap_or_default());
    let after = text.len() - last - 1;
    if after == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0') {
        return Shows::Either(mark);
    }
    Shows::Decimal(mark)
}

/// Decides the marks of a file from its numbers, or asks.
///
/// Where commas separate the fields and none stands inside a number, a point is the decimal mark.
pub(super) fn decide<'a>(
    numbers: impl Iterator<Item = &'a str>,
    separator: char,
    answers: &Answers,
    decisions: &mut Vec<String>,
) -> Result<Marks, Question> {
    let mut sure: [Option<String>; 2] = [None, None];
    let mut either: [Option<String>; 2] = [None, None];
    let place = |mark: char| usize::from(mark == '.');
    for number in numbers {
        let (slots, mark) = match shows(number) {
            Shows::Nothing => continue,
            Shows::Decimal(mark) => (&mut sure, mark),
            Shows::Either(mark) => (&mut either, mark),
        };
        if let Some(slot) = slots.get_mut(place(mark)) {
            slot.get_or_insert_with(|| number.to_owned());
        }
    }
    let answered = answers.get("decimal").and_then(|answer| match answer.as_str() {
        "comma" => Some(','),
        "point" => Some('.'),
        _ => None,
    });
    let decimal = match (answered, &sure, &either) {
        (Some(mark), ..) => {
            decisions.push(format!("Decimal {}, as answered.", name(mark)));
            mark
        }
        (None, [Some(comma), Some(point)], _) => return Err(ask_decimal(comma, point)),
        (None, [Some(comma), None], _) => {
            decisions.push(format!("Decimal comma, as “{comma}” shows."));
            ','
        }
        (None, [None, Some(point)], _) => {
            decisions.push(format!("Decimal point, as “{point}” shows."));
            '.'
        }
        (None, [None, None], [None, None]) => {
            decisions.push("No number has a decimal mark.".into());
            '.'
        }
        (None, [None, None], [None, Some(point)]) if separator == ',' => {
            decisions.push(format!("Decimal point, as in “{point}”: commas separate the fields."));
            '.'
        }
        (None, [None, None], [comma, point]) => {
            let sample = comma.as_ref().or(point.as_ref()).map_or("", String::as_str);
            return Err(ask_sample(sample));
        }
    };
    let other = if decimal == ',' { '.' } else { ',' };
    let groups = match either.get(place(other)).and_then(Option::as_ref) {
        None => None,
        Some(sample) => match answers.get("grouping").map(String::as_str) {
            Some("groups") => Some(true),
            Some("unusable") => Some(false),
            _ => return Err(ask_grouping(sample, decimal)),
        },
    };
    Ok(Marks { decimal, groups })
}

fn name(mark: char) -> &'static str {
    if mark == ',' { "comma" } else { "point" }
}

fn choice(id: &str, text: String) -> Choice {
    Choice { id: id.into(), text }
}

fn ask_decimal(comma: &str, point: &str) -> Question {
    Question {
        id: "decimal".into(),
        title: "Which mark separates decimals?".into(),
        sentence: format!("The file has “{comma}” and “{point}”, which don't go together."),
        choices: vec![
            choice("comma", format!("The comma: “{point}” then can't be used")),
            choice("point", format!("The point: “{comma}” then can't be used")),
        ],
    }
}

fn ask_sample(sample: &str) -> Question {
    let decimal = sample.replace(',', ".");
    let grouped: String = sample.chars().filter(|c| *c != ',' && *c != '.').collect();
    let comma = sample.contains(',');
    let (as_decimal, as_group) = if comma { ("comma", "point") } else { ("point", "comma") };
    Question {
        id: "decimal".into(),
        title: "Which mark separates decimals?".into(),
        sentence: format!("“{sample}” can be read two ways, and no other number decides it."),
        choices: vec![
            choice(as_decimal, format!("The {as_decimal}: “{sample}” is {decimal}")),
            choice(as_group, format!("The {as_group}: “{sample}” is {grouped}")),
        ],
    }
}

fn ask_grouping(sample: &str, decimal: char) -> Question {
    let grouped: String = sample.chars().filter(|c| *c != ',' && *c != '.').collect();
    Question {
        id: "grouping".into(),
        title: "Does the mark group thousands?".into(),
        sentence: format!(
            "The decimal mark of the file is the {}, and yet there is “{sample}”.",
            name(decimal)
        ),
        choices: vec![
            choice("groups", format!("It groups: “{sample}” is {grouped}")),
            choice("unusable", "Leave such values out, as unusable".to_owned()),
        ],
    }
}

impl Marks {
    /// The digits with a decimal point and without groups; none when the marks make no number.
    pub(super) fn plain(self, text: &str) -> Option<String> {
        let (negative, unsigned) = match text.strip_prefix(['-', '−', '‐', '‑', '﹣', '－'])
        {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let grouping = if self.decimal == ',' { '.' } else { ',' };
        let (whole, fraction) = match unsigned.split_once(self.decimal) {
            Some((whole, fraction)) => (whole, Some(fraction)),
            None => (unsigned, None),
        };
        let only_digits = |part: &str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
        if fraction.is_some_and(|fraction| !only_digits(fraction)) {
            return None;
        }
        let mut groups = whole.split(|c: char| c == grouping || blank(c));
        let first = groups.next().filter(|first| only_digits(first))?;
        let rest: Vec<&str> = groups.collect();
        let by_mark = whole.contains(grouping);
        let could_be_decimal = by_mark && rest.len() == 1 && fraction.is_none();
        if could_be_decimal && self.groups != Some(true) {
            return None;
        }
        let mixed = by_mark && whole.contains(blank);
        let sized = rest.iter().all(|group| group.len() == 3 && only_digits(group));
        if mixed || !(rest.is_empty() || (sized && first.len() <= 3)) {
            return None;
        }
        let mut plain = if negative { "-".to_owned() } else { String::new() };
        plain.push_str(first);
        rest.iter().for_each(|group| plain.push_str(group));
        if let Some(fraction) = fraction {
            plain.push('.');
            plain.push_str(fraction);
        }
        Some(plain)
    }
}
