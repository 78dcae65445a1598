//! Tags of dish positions and the letter that catches a wrong one.
//!
//! All dishes look alike. The label shows `PC-04-X`: whoever types the code with its letter can't
//! be one dish off. The letter is a weighted sum over the signs, modulo 19, so that every single
//! wrong digit and every swap of two neighbouring digits gives another letter.

use crate::refusal::Refusal;

/// Letters that can't be taken for another sign on a bleached label (no B, I, O, Q, S, U, Z).
const LETTERS: [char; 19] =
    ['A', 'C', 'D', 'E', 'F', 'G', 'H', 'J', 'K', 'L', 'M', 'N', 'P', 'R', 'T', 'V', 'W', 'X', 'Y'];

/// The check letter of a position's code. Case and hyphens don't count.
pub fn check_letter(code: &str) -> char {
    let mut sum = 0;
    for sign in code.chars().filter(|sign| sign.is_ascii_alphanumeric()) {
        let value = sign.to_digit(36).unwrap_or(0);
        sum = (2 * sum + value) % 19;
    }
    LETTERS.get(usize::try_from(sum).unwrap_or(0)).copied().unwrap_or('A')
}

/// Splits what was typed into the code and its letter, where one was typed.
///
/// # Errors
/// A letter that belongs to another code.
pub fn read(typed: &str) -> Result<String, Refusal> {
    let code = typed.trim().to_uppercase();
    let Some((body, last)) = code.rsplit_once('-') else { return Ok(code) };
    let mut letters = last.chars();
    let (Some(letter), None) = (letters.next(), letters.next()) else { return Ok(code) };
    if !letter.is_ascii_alphabetic() {
        return Ok(code);
    }
    if letter == check_letter(body) {
        return Ok(body.to_owned());
    }
    Err(Refusal::new(
        "wrong_check_letter",
        format!("“{code}” is no label of this site: {letter} is not the letter of {body}."),
        "Read the label on the dish once more, and see that you stand at the right one.",
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_wrong_digit_and_every_swap_changes_the_letter() {
        for number in 0..100_u32 {
            let code = format!("PC-{number:02}");
            let letter = check_letter(&code);
            for other in 0..100_u32 {
                let differs = [number / 10 != other / 10, number % 10 != other % 10];
                let swapped = number / 10 == other % 10 && number % 10 == other / 10;
                let near = differs.iter().filter(|d| **d).count() == 1 || swapped;
                if near && number != other {
                    assert_ne!(check_letter(&format!("PC-{other:02}")), letter, "{number} {other}");
                }
            }
        }
    }

    #[test]
    fn a_label_is_read_with_and_without_its_letter() {
        let label = format!("pc-04-{}", check_letter("PC-04"));
        assert_eq!(read(&label).unwrap(), "PC-04");
        assert_eq!(read(" PC-04 ").unwrap(), "PC-04");
        let wrong = format!("PC-05-{}", check_letter("PC-04"));
        assert_eq!(read(&wrong).unwrap_err().code, "wrong_check_letter");
    }
}
