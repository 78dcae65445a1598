//! Words of a figure: how wide they are, by estimate, and where they break. A drawing is made
//! before it is known whether a browser or the paper's own setter will set its type.

use super::SIZE;
use crate::setting::Face;

/// A width of type in the drawing's unit, rather too wide than too narrow.
pub(in crate::figure) fn width(text: &str, face: Face) -> f32 {
    let em = if face == Face::Strong { 0.6 } else { 0.56 };
    text.chars()
        .map(|sign| match sign {
            'i' | 'j' | 'l' | 't' | 'f' | 'r' | '.' | ',' | ':' | ';' | '|' | '\'' | ' ' => 0.6,
            'm' | 'w' | 'M' | 'W' | '%' | '@' => 1.5,
            _ => 1.0,
        })
        .sum::<f32>()
        * em
        * SIZE
}

/// Breaks a text at its spaces into lines of at most a width. A longer word has a line of its own.
pub(in crate::figure) fn wrap(text: &str, room: f32, face: Face) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), face) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A place on the drawing: it needs no more digits than a screen or a printer has.
#[expect(clippy::cast_possible_truncation, reason = "a place within a few hundred units")]
pub(in crate::figure) fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces_and_nothing_is_lost() {
        let text = "mean, and a standard deviation to each side";
        let lines = wrap(text, 138.0, Face::Text);
        assert!(lines.len() > 1 && lines.iter().all(|line| width(line, Face::Text) <= 138.0));
        assert_eq!(lines.join(" "), text);
        assert_eq!(wrap("", 10.0, Face::Text), Vec::<String>::new());
        assert_eq!(wrap("unbreakable", 5.0, Face::Text), ["unbreakable"]);
    }
}
