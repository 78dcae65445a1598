//! Counts tests from what the test programs print.

use std::fmt;

use crate::trouble::Trouble;

/// The sum of every `test result:` line so far.
#[derive(Default)]
pub(super) struct Tally {
    passed: u64,
    failed: u64,
    ignored: u64,
    programs: u64,
}

impl Tally {
    /// Takes a line of output; lines other than a test program's result are passed over.
    pub(super) fn read(&mut self, line: &str) {
        let Some(counts) = line.strip_prefix("test result: ") else { return };
        self.programs += 1;
        // "ok. 3 passed; 0 failed; 0 ignored; …"
        let counts = counts.split_once(". ").map_or(counts, |(_, rest)| rest);
        for count in counts.split("; ") {
            match count.split_once(' ') {
                Some((number, "passed")) => self.passed += number.parse().unwrap_or(0),
                Some((number, "failed")) => self.failed += number.parse().unwrap_or(0),
                Some((number, "ignored")) => self.ignored += number.parse().unwrap_or(0),
                _ => {}
            }
        }
    }

    /// Takes a line of the screens' unit tests; those other than their sum are passed over.
    pub(super) fn read_of_screens(&mut self, line: &str) {
        // "      Tests  1 failed | 12 passed (13)"
        let Some(counts) = line.trim().strip_prefix("Tests ") else { return };
        self.programs += 1;
        for count in counts.split('|') {
            let mut words = count.split_whitespace();
            match (words.next().map(str::parse::<u64>), words.next()) {
                (Some(Ok(number)), Some("passed")) => self.passed += number,
                (Some(Ok(number)), Some("failed")) => self.failed += number,
                (Some(Ok(number)), Some("skipped" | "todo")) => self.ignored += number,
                _ => {}
            }
        }
    }

    /// A run that ended well has to have run something, and left nothing out.
    pub(super) fn believe(&self) -> Result<(), Trouble> {
        if self.passed == 0 {
            let what = format!("{} test programs ended well, but no test ran.", self.programs);
            return Err(Trouble::new(what, "Look for what keeps the tests from being built."));
        }
        if self.ignored > 0 {
            let what = format!("{} tests were ignored.", self.ignored);
            return Err(Trouble::new(what, "Make them run, or take them away and say why."));
        }
        Ok(())
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} passed, {} failed", self.passed, self.failed)
    }
}

#[cfg(test)]
mod tests {
    use super::Tally;

    #[test]
    fn results_add_up() {
        // The lines are libtest's, as printed by Rust 1.95.
        let mut tally = Tally::default();
        tally.read("running 12 tests");
        tally.read("test result: ok. 12 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.10s");
        tally.read("test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 1.00s");
        assert_eq!(tally.to_string(), "15 passed, 2 failed");
        assert!(tally.believe().is_ok());
    }

    #[test]
    fn the_sum_of_the_screens_is_read() {
        // The lines are those of vitest 4.1.
        let mut tally = Tally::default();
        tally.read_of_screens(" Test Files  2 passed (2)");
        tally.read_of_screens("      Tests  1 failed | 12 passed | 2 skipped (15)");
        assert_eq!(tally.to_string(), "12 passed, 1 failed");
        assert!(tally.believe().is_err(), "two were skipped");
    }

    #[test]
    fn no_test_and_an_ignored_test_are_not_believed() {
        let mut tally = Tally::default();
        assert!(tally.believe().is_err());
        tally.read("test result: ok. 1 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.00s");
        assert!(tally.believe().is_err_and(|trouble| trouble.to_string().contains("1 tests were")));
    }
}
