//! Scales: the range of an axis, even or by powers of ten, and the numbers written at it.

use libm::{ceil, floor, log10, pow};

/// What values span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::figure) struct Range {
    pub(in crate::figure) low: f64,
    pub(in crate::figure) high: f64,
}

impl Range {
    /// The range of values; 0 to 1 when there are none.
    pub(in crate::figure) fn of(values: impl Iterator<Item = f64>) -> Self {
        let mut out = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };
        for value in values {
            out.low = out.low.min(value);
            out.high = out.high.max(value);
        }
        if out.low.is_finite() && out.high.is_finite() { out } else { Self { low: 0.0, high: 1.0 } }
    }

    pub(in crate::figure) fn size(self) -> f64 {
        self.high - self.low
    }

    /// Whether all values are one, as far as a figure can show.
    fn is_flat(self) -> bool {
        self.size() <= 1e-9 * self.low.abs().max(self.high.abs())
    }

    /// The range with room about a single value.
    pub(in crate::figure) fn opened(self) -> Self {
        if !self.is_flat() {
            return self;
        }
        let room = if self.low.abs() > 0.0 { 0.1 * self.low.abs() } else { 1.0 };
        Self { low: self.low - room, high: self.high + room }
    }

    /// The range with a part of it added on both sides, so that marks don't stand on the frame.
    pub(in crate::figure) fn padded(self, part: f64) -> Self {
        let room = part * self.size();
        Self { low: self.low - room, high: self.high + room }
    }
}

/// A number at an axis; none written at a small one between decades.
pub(in crate::figure) struct Tick {
    pub(in crate::figure) value: f64,
    pub(in crate::figure) text: Option<String>,
}

/// An axis: range and step of its numbers.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::figure) struct Axis {
    pub(in crate::figure) range: Range,
    step: f64,
    log: bool,
}

impl Axis {
    /// An even axis whose numbers stand at steps of 1, 2, 3 or 5 times a power of ten, about so
    /// many; `round` widens it to whole steps.
    pub(in crate::figure) fn even(range: Range, want: f64, round: bool) -> Self {
        let step = nice(range.size() / want);
        let range = if round {
            Range {
                low: floor(range.low / step + 1e-9) * step,
                high: ceil(range.high / step - 1e-9) * step,
            }
        } else {
            range
        };
        Self { range, step, log: false }
    }

    /// An even axis with a step of its own.
    pub(in crate::figure) fn stepped(range: Range, least: f64) -> Self {
        Self { range, step: nice(least), log: false }
    }

    /// An axis by powers of ten, from and to a 1, 2 or 5. Its values are above zero; without any
    /// it is one decade.
    pub(in crate::figure) fn powers(range: Range) -> Self {
        let range = if range.low > 0.0 { range } else { Range { low: 1.0, high: 10.0 } };
        let high = if range.is_flat() { range.low * 1.001 } else { range.high };
        let range = Range { low: one_two_five(range.low, false), high: one_two_five(high, true) };
        Self { range, step: 1.0, log: true }
    }

    pub(in crate::figure) fn is_log(&self) -> bool {
        self.log
    }

    /// Where a value stands: 0 at the beginning, 1 at the end.
    pub(in crate::figure) fn part(&self, value: f64) -> f64 {
        let Range { low, high } = self.range;
        if self.log {
            (log10(value) - log10(low)) / (log10(high) - log10(low))
        } else {
            (value - low) / (high - low)
        }
    }

    /// The numbers of the axis.
    pub(in crate::figure) fn ticks(&self) -> Vec<Tick> {
        if self.log { self.decades() } else { self.steps() }
    }

    fn steps(&self) -> Vec<Tick> {
        let Range { low, high } = self.range;
        let mut values = Vec::new();
        let mut n = ceil(low / self.step - 0.001);
        while n * self.step <= high + self.step * 0.001 && values.len() < 40 {
            let value = n * self.step;
            values.push(if value.abs() < self.step / 100.0 { 0.0 } else { value });
            n += 1.0;
        }
        let most = values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
        values
            .into_iter()
            .map(|value| Tick { value, text: Some(even_text(value, self.step, most)) })
            .collect()
    }

    fn decades(&self) -> Vec<Tick> {
        let Range { low, high } = self.range;
        let (from, to) = (floor(log10(low) + 1e-9), ceil(log10(high) - 1e-9));
        let decades = to - from;
        // Of many decades only every so many are named; of few, 2 and 5 are named too.
        let stride = ceil(decades / 8.0).max(1.0);
        let span = log10(high) - log10(low);
        let mut out = Vec::new();
        let mut decade = from;
        while decade <= to && out.len() < 400 {
            let named = (decade - from) % stride < 0.5;
            for digit in [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0] {
                let value = digit * pow(10.0, decade);
                if value < low * (1.0 - 1e-9) || value > high * (1.0 + 1e-9) {
                    continue;
                }
                let main = digit < 1.5;
                let half = [2.0, 5.0].iter().any(|one: &f64| (digit - one).abs() < 0.1);
                let text = (main && named) || (half && span < 2.6);
                if main || decades < 7.0 {
                    let text = text.then(|| power_text(digit, decade));
                    out.push(Tick { value, text });
                }
            }
            decade += 1.0;
        }
        out
    }
}

/// The next step of 1, 2, 3, 5 or 10 times a power of ten.
fn nice(raw: f64) -> f64 {
    let power = pow(10.0, floor(log10(raw)));
    [1.0, 2.0, 3.0, 5.0, 10.0]
        .into_iter()
        .map(|n| n * power)
        .find(|step| *step >= raw * 0.999)
        .unwrap_or(10.0 * power)
}

/// The nearest 1, 2 or 5 times a power of ten, at or below a value, or at or above it.
fn one_two_five(value: f64, above: bool) -> f64 {
    let power = pow(10.0, floor(log10(value) + 1e-12));
    let steps = [1.0, 2.0, 5.0, 10.0].map(|n| n * power);
    let found = if above {
        steps.iter().find(|step| **step >= value * (1.0 - 1e-9))
    } else {
        steps.iter().rev().find(|step| **step <= value * (1.0 + 1e-9))
    };
    found.copied().unwrap_or(value)
}

/// A number of an even axis, with as many places as its step needs.
fn even_text(value: f64, step: f64, most: f64) -> String {
    let place = floor(log10(step) + 1e-9);
    if most < 1e7 && place >= -5.0 {
        let text = format!("{value:.*}", places(-place));
        return signed(&if most >= 9999.5 { grouped(&text) } else { text });
    }
    if value.abs() <= 0.0 {
        return "0".to_owned();
    }
    let power = floor(log10(most) + 1e-12);
    let head = format!("{:.*}", places(power - place), value / pow(10.0, power));
    signed(&format!("{head}×10{}", raised(power)))
}

/// A number of an axis by powers of ten.
fn power_text(digit: f64, decade: f64) -> String {
    if (-3.5..3.5).contains(&decade) {
        return format!("{:.*}", places(-decade), digit * pow(10.0, decade));
    }
    if digit < 1.5 {
        return format!("10{}", raised(decade));
    }
    format!("{digit:.0}×10{}", raised(decade))
}

/// Places after the point, of a number that is small and whole.
fn places(wanted: f64) -> usize {
    (0..12_u8).find(|n| f64::from(*n) >= wanted - 0.5).map_or(12, usize::from)
}

/// The sign of a negative number as it is printed.
fn signed(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

/// Thousands set apart.
fn grouped(text: &str) -> String {
    let (whole, rest) = match text.find('.') {
        Some(at) => text.split_at(at),
        None => (text, ""),
    };
    let digits = whole.trim_start_matches('-').len();
    let mut out = String::new();
    let mut left = digits;
    for sign in whole.chars() {
        if sign.is_ascii_digit() {
            if left < digits && left.is_multiple_of(3) {
                out.push('\u{2009}');
            }
            left -= 1;
        }
        out.push(sign);
    }
    out + rest
}

/// A whole number as an exponent.
fn raised(power: f64) -> String {
    format!("{power:.0}")
        .chars()
        .map(|sign| match sign {
            '-' => '⁻',
            '0' => '⁰',
            '1' => '¹',
            '2' => '²',
            '3' => '³',
            '4' => '⁴',
            '5' => '⁵',
            '6' => '⁶',
            '7' => '⁷',
            '8' => '⁸',
            _ => '⁹',
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(axis: &Axis) -> Vec<String> {
        axis.ticks().into_iter().filter_map(|tick| tick.text).collect()
    }

    fn even(low: f64, high: f64) -> Vec<String> {
        texts(&Axis::even(Range { low, high }.opened(), 5.0, true))
    }

    #[test]
    fn numbers_have_the_places_that_their_step_needs() {
        assert_eq!(even(0.0, 12.0), ["0", "3", "6", "9", "12"]);
        assert_eq!(
            even(-0.42, 0.3),
            ["\u{2212}0.6", "\u{2212}0.4", "\u{2212}0.2", "0.0", "0.2", "0.4"]
        );
        assert_eq!(even(0.0, 45_000.0)[1], "10\u{2009}000");
        assert_eq!(even(0.99361, 0.99369).first().unwrap(), "0.99360");
        assert_eq!(even(0.0, 4.4e-8)[1], "1×10⁻⁸");
        assert_eq!(even(0.0, 3e9)[1], "1×10⁹");
        assert_eq!(even(-3e7, 0.0), ["\u{2212}3×10⁷", "\u{2212}2×10⁷", "\u{2212}1×10⁷", "0"]);
    }

    #[test]
    fn a_single_value_has_room_about_it() {
        for value in [0.0, 7.0, -7.0, 1e-12, 1e12] {
            let axis = Axis::even(Range { low: value, high: value }.opened(), 6.0, true);
            let part = axis.part(value);
            assert!((0.2..=0.8).contains(&part), "{value}: {part}");
            assert!((2..12).contains(&axis.ticks().len()), "{value}: {:?}", texts(&axis));
        }
    }

    #[test]
    fn decades_are_named_as_there_is_room() {
        let log = |low, high| texts(&Axis::powers(Range { low, high }));
        assert_eq!(log(0.4, 30.0), ["0.2", "0.5", "1", "2", "5", "10", "20", "50"]);
        assert_eq!(log(0.001, 1000.0), ["0.001", "0.01", "0.1", "1", "10", "100", "1000"]);
        assert_eq!(log(1e-9, 1e9).len(), 7);
        assert_eq!(log(3e-12, 4e-12), ["2×10⁻¹²", "5×10⁻¹²"]);
        assert_eq!(log(5.0, 5.0), ["5", "10"]);
        let axis = Axis::powers(Range { low: 0.01, high: 100.0 });
        assert!((axis.part(1.0) - 0.5).abs() < 1e-12);
    }
}
