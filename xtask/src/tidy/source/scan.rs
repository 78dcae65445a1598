//! Finds where literals and comments begin and end.

use super::Line;

/// Where the scanner stands.
enum State {
    Code,
    LineComment,
    /// Block comments nest.
    BlockComment(usize),
    Literal,
    /// A raw literal ends at a quote and this many hashes.
    RawLiteral(usize),
}

/// Takes a text apart, line by line.
pub(super) fn scan(text: &str) -> Vec<Line> {
    Scanner { letters: text.chars().collect(), at: 0, state: State::Code, lines: vec![] }.run()
}

struct Scanner {
    letters: Vec<char>,
    at: usize,
    state: State,
    lines: Vec<Line>,
}

impl Scanner {
    fn run(mut self) -> Vec<Line> {
        let mut line = Line::default();
        while let Some(letter) = self.peek(0) {
            if letter == '\n' {
                if matches!(self.state, State::LineComment) {
                    self.state = State::Code;
                }
                self.at += 1;
                self.lines.push(std::mem::take(&mut line));
                if matches!(self.state, State::Literal | State::RawLiteral(_)) {
                    line.literals.push(String::new());
                    line.goes_on = true;
                }
                continue;
            }
            match self.state {
                State::Code => self.code(letter, &mut line),
                State::LineComment => self.take(&mut line.comment),
                State::BlockComment(depth) => self.block_comment(depth, &mut line),
                State::Literal => self.literal(letter, &mut line),
                State::RawLiteral(hashes) => self.raw_literal(letter, hashes, &mut line),
            }
        }
        if !(line.code.is_empty() && line.comment.is_empty() && line.literals.is_empty()) {
            self.lines.push(line);
        }
        self.lines
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.letters.get(self.at + ahead).copied()
    }

    /// Moves one letter into `to`.
    fn take(&mut self, to: &mut String) {
        to.extend(self.peek(0));
        self.at += 1;
    }

    fn code(&mut self, letter: char, line: &mut Line) {
        match (letter, self.peek(1)) {
            ('/', Some('/')) => self.state = State::LineComment,
            ('/', Some('*')) => self.state = State::BlockComment(0),
            ('"', _) => {
                self.state = State::Literal;
                line.literals.push(String::new());
                self.take(&mut line.code);
            }
            ('r', Some('"' | '#')) if !follows_a_word(&line.code) => self.raw_start(line),
            ('\'', _) => self.quote(line),
            _ => self.take(&mut line.code),
        }
    }

    /// After an `r`: a raw literal, or a raw identifier such as `r#type`.
    fn raw_start(&mut self, line: &mut Line) {
        let mut hashes = 0;
        while self.peek(1 + hashes) == Some('#') {
            hashes += 1;
        }
        if self.peek(1 + hashes) == Some('"') {
            self.state = State::RawLiteral(hashes);
            line.literals.push(String::new());
            line.code.push('"');
            self.at += 2 + hashes;
        } else {
            self.take(&mut line.code);
        }
    }

    /// A character literal, or the mark of a lifetime.
    fn quote(&mut self, line: &mut Line) {
        let length = match (self.peek(1), self.peek(2)) {
            (Some('\\'), _) => {
                // The escaped letter may itself be a quote.
                let mut end = 3;
                while self.peek(end).is_some_and(|letter| letter != '\'' && letter != '\n') {
                    end += 1;
                }
                end + 1
            }
            (Some(_), Some('\'')) => 3,
            _ => {
                self.take(&mut line.code);
                return;
            }
        };
        line.code.push_str("' '");
        self.at += length;
    }

    fn block_comment(&mut self, depth: usize, line: &mut Line) {
        let pair = (self.peek(0), self.peek(1));
        self.take(&mut line.comment);
        if pair == (Some('/'), Some('*')) {
            self.take(&mut line.comment);
            self.state = State::BlockComment(depth + 1);
        } else if pair == (Some('*'), Some('/')) {
            self.take(&mut line.comment);
            self.state = if depth <= 1 { State::Code } else { State::BlockComment(depth - 1) };
        }
    }

    fn literal(&mut self, letter: char, line: &mut Line) {
        let Some(text) = line.literals.last_mut() else { return self.end_literal(line) };
        match letter {
            '"' => self.end_literal(line),
            '\\' if self.peek(1) != Some('\n') => {
                text.extend([letter].into_iter().chain(self.letters.get(self.at + 1).copied()));
                self.at += 2;
            }
            _ => {
                text.push(letter);
                self.at += 1;
            }
        }
    }

    fn raw_literal(&mut self, letter: char, hashes: usize, line: &mut Line) {
        if letter == '"' && (1..=hashes).all(|ahead| self.peek(ahead) == Some('#')) {
            self.at += hashes;
            self.end_literal(line);
        } else {
            if let Some(text) = line.literals.last_mut() {
                text.push(letter);
            }
            self.at += 1;
        }
    }

    fn end_literal(&mut self, line: &mut Line) {
        line.code.push('"');
        self.at += 1;
        self.state = State::Code;
    }
}

/// True if the code so far ends in a letter of a word, so that an `r` belongs to that word.
/// A `b` or `c` alone is the mark of a byte or C literal.
fn follows_a_word(code: &str) -> bool {
    let word: String = code
        .chars()
        .rev()
        .take_while(|letter| letter.is_alphanumeric() || *letter == '_')
        .collect();
    !word.is_empty() && word != "b" && word != "c"
}

#[cfg(test)]
mod tests {
    use super::scan;

    #[test]
    fn literals_comments_and_code_are_told_apart() {
        let lines = scan(concat!(
            "let a = \"SELECT // x\"; // a \"comment\"\n",
            "/* one /* two */ still */ let b = 'x'; let c: &'static str = r#\"raw \"q\" \"#;\n",
            "let d = '\\''; let e = '\"'; let f = b\"\\\"\"; r#type\n",
            "let g = \"over\n two lines\";\n",
        ));
        assert_eq!(lines[0].code, "let a = \"\"; ");
        assert_eq!(lines[0].literals, ["SELECT // x"]);
        assert_eq!(lines[0].comment, "// a \"comment\"");
        assert_eq!(lines[1].code, " let b = ' '; let c: &'static str = \"\";");
        assert_eq!(lines[1].literals, ["raw \"q\" "]);
        assert_eq!(lines[1].comment, "/* one /* two */ still */");
        assert_eq!(lines[2].code, "let d = ' '; let e = ' '; let f = b\"\"; r#type");
        assert_eq!(lines[3].literals, ["over"]);
        assert_eq!(lines[4].literals, [" two lines"]);
        assert_eq!(lines[4].code, "\";");
        assert_eq!(lines.len(), 5);
    }
}
