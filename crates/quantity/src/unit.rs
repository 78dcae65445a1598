//! A unit, its exact conversion to the base unit, and the search for one by what people type.

use rust_decimal::Decimal;

use crate::{Dimension, units};

/// A unit of one dimension.
///
/// The base value is `(typed + offset) × scale / divisor`. Two numbers instead of one factor keep
/// conversions such as 5/9 exact until the one division at the end.
#[derive(Debug)]
pub struct Unit {
    symbol: &'static str,
    aliases: &'static [&'static str],
    dimension: Dimension,
    scale: Decimal,
    divisor: Decimal,
    offset: Decimal,
    source: &'static str,
}

impl Unit {
    /// Makes a row of the table; decimals as text, checked when the program is built.
    pub(crate) const fn row(
        dimension: Dimension,
        symbol: &'static str,
        aliases: &'static [&'static str],
        (scale, divisor, offset): (&str, &str, &str),
        source: &'static str,
    ) -> Self {
        Self {
            symbol,
            aliases,
            dimension,
            scale: decimal(scale),
            divisor: decimal(divisor),
            offset: decimal(offset),
            source,
        }
    }

    /// The symbol that the program prints.
    pub const fn symbol(&self) -> &'static str {
        self.symbol
    }

    /// Other spellings that are read as this unit.
    pub const fn aliases(&self) -> &'static [&'static str] {
        self.aliases
    }

    /// What the unit measures.
    pub const fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Where the factor comes from.
    pub const fn source(&self) -> &'static str {
        self.source
    }

    /// The factor to the base unit; none when it leaves the range of 28 digits.
    pub fn factor(&self) -> Option<Decimal> {
        self.scale.checked_div(self.divisor)
    }

    /// The base value of a number in this unit; none when it leaves the range of 28 digits.
    pub fn to_base(&self, typed: Decimal) -> Option<Decimal> {
        self.interval_to_base(typed.checked_add(self.offset)?)
    }

    /// The base value of a difference in this unit, which takes no offset.
    pub fn interval_to_base(&self, typed: Decimal) -> Option<Decimal> {
        let product = typed.checked_mul(self.scale)?;
        if self.divisor == Decimal::ONE { Some(product) } else { product.checked_div(self.divisor) }
    }

    /// The number in this unit of a base value; none when it leaves the range of 28 digits.
    pub fn from_base(&self, base: Decimal) -> Option<Decimal> {
        base.checked_mul(self.divisor)?.checked_div(self.scale)?.checked_sub(self.offset)
    }

    /// Whether the typed text, already made comparable by [`key`], names this unit.
    fn answers_to(&self, wanted: &str) -> bool {
        key(self.symbol) == wanted || self.aliases.iter().any(|alias| key(alias) == wanted)
    }
}

/// The unit of a dimension that a text names, whatever signs and blanks it is typed with.
///
/// Letter case counts, because a milliohm is not a megohm.
pub fn find_unit(dimension: Dimension, typed: &str) -> Option<&'static Unit> {
    let wanted = key(typed);
    units_of(dimension).find(|unit| unit.answers_to(&wanted))
}

/// Every unit of a dimension, the base unit first.
pub fn units_of(dimension: Dimension) -> impl Iterator<Item = &'static Unit> {
    units::all().filter(move |unit| unit.dimension == dimension)
}

/// Makes unit texts comparable: signs that look alike become one, blanks and dots go.
pub(crate) fn key(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            c if c.is_whitespace() => {}
            '·' | '⋅' | '•' | '∙' | '*' | '×' | '.' | '^' | '\u{200b}' => {}
            '\u{2126}' => out.push('Ω'),
            'μ' => out.push('µ'),
            '\u{212a}' => out.push('K'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            'º' | '˚' => out.push('°'),
            '∆' => out.push('Δ'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '⁻' | '−' => out.push('-'),
            '¹' => out.push('1'),
            '′' | '’' => out.push('\''),
            '″' | '”' => out.push('"'),
            '［' | '[' => out.push('('),
            '］' | ']' => out.push(')'),
            'ℓ' => out.push('l'),
            c => out.push(c),
        }
    }
    out
}

/// Reads a decimal text while the program is being built; a bad one stops the build.
const fn decimal(text: &str) -> Decimal {
    let bytes = text.as_bytes();
    let (mut mantissa, mut scale, mut after_point, mut i) = (0_u128, 0_u32, false, 0);
    while i < bytes.len() {
        let byte = bytes[i];
        if byte == b'.' {
            assert!(!after_point, "two points in a factor");
            after_point = true;
        } else {
            assert!(byte.is_ascii_digit(), "a factor is digits and one point");
            mantissa = mantissa * 10 + (byte - b'0') as u128;
            if after_point {
                scale += 1;
            }
        }
        i += 1;
    }
    assert!(mantissa < 1 << 96 && scale <= 28, "a factor has at most 28 digits");
    Decimal::from_parts(low(mantissa), low(mantissa >> 32), low(mantissa >> 64), false, scale)
}

/// The lowest 32 bits.
const fn low(bits: u128) -> u32 {
    (bits & 0xffff_ffff) as u32
}
