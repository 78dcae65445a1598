//! The archive: what is written is read back, and a bad line costs only itself.

use std::io::{BufReader, Read as _};

use ledger::archive::{self, ArchiveError};
use ledger::{MAX_HEADER, MAX_PAYLOAD};

use crate::history::{archive_of, examine, story};

fn lines() -> Vec<String> {
    String::from_utf8(archive_of(&story())).unwrap().lines().map(ToOwned::to_owned).collect()
}

/// Reads text and gives, for each line, whether it is one; a bad one with its number and reason.
fn read(text: &[u8]) -> Vec<Result<(), (u64, String)>> {
    archive::read_lines(text)
        .map(|line| match line {
            Ok(_) => Ok(()),
            Err(ArchiveError::Line { line, reason }) => Err((line, reason)),
            Err(other) => panic!("{other}"),
        })
        .collect()
}

#[test]
fn what_is_written_is_read_back_byte_for_byte() {
    let entries = story();
    let bytes = archive_of(&entries);
    let parts: Vec<_> = archive::read_lines(&bytes[..]).map(Result::unwrap).collect();
    assert_eq!(parts.len(), entries.len());
    for (part, entry) in parts.iter().zip(&entries) {
        assert_eq!(part.header, entry.header_bytes());
        assert_eq!(part.payload.as_deref(), entry.payload());
        assert_eq!(part.signature, entry.signature());
    }
    let (read, faults) = examine(&bytes);
    assert_eq!((read.len(), faults), (10, Vec::<String>::new()));
}

#[test]
fn an_absent_payload_is_left_out_of_the_line() {
    let lines = lines();
    let bare = lines.iter().filter(|line| !line.contains("\"payload\":")).count();
    assert_eq!(bare, 1);
}

#[test]
fn a_bad_line_is_named_and_the_next_one_read() {
    let line = &lines()[1];
    let cases = [
        ("", "EOF"),
        ("not json", "expected"),
        ("{}", "missing field"),
        (r#"{"header":"{}","payload":null}"#, "missing field"),
        (r#"{"header":"{}","signature":"AA==","more":"x"}"#, "unknown field"),
        (r#"{"header":"{}","header":"{}","signature":"AA=="}"#, "duplicate field"),
        (r#"{"header":"{}","signature":"A*=="}"#, "base64"),
        (r#"{"header":"{}","signature":"AB=="}"#, "base64"),
        (r#"{"header":"\ud800","signature":"AA=="}"#, "hex escape"),
    ];
    for (bad, reason) in cases {
        let text = format!("{line}\n{bad}\n{line}\n");
        let found = read(text.as_bytes());
        let [Ok(()), Err((2, said)), Ok(())] = &found[..] else { panic!("{bad}: {found:?}") };
        assert!(said.contains(reason), "{bad}: {said}");
    }
    let found = read(&[line.as_bytes(), b"\n\xff\xfe\n", line.as_bytes(), b"\n"].concat());
    assert!(matches!(&found[..], [Ok(()), Err((2, _)), Ok(())]), "{found:?}");
}

#[test]
fn a_last_line_that_is_cut_off_is_said_to_be() {
    let text = format!("{}\n", lines()[..2].join("\n"));
    for cut in [1, 2, 100, lines()[1].len()] {
        let found = read(&text.as_bytes()[..text.len() - cut]);
        let [Ok(()), Err((2, reason))] = &found[..] else { panic!("{cut}: {found:?}") };
        assert!(reason.contains("cut off"), "{reason}");
    }
    assert_eq!(read(b""), []);
}

#[test]
fn a_line_longer_than_any_entry_is_passed_over_in_bounded_memory() {
    let most = (MAX_HEADER + MAX_PAYLOAD) as u64 * 6 + 4096;
    let good = format!("{}\n", lines()[0]);
    let long = std::io::repeat(b'x').take(most + 7);
    let input = good.as_bytes().chain(long).chain(&b"\n"[..]).chain(good.as_bytes());
    let found: Vec<_> = archive::read_lines(BufReader::with_capacity(1 << 20, input)).collect();
    let [Ok(_), Err(ArchiveError::Line { line: 2, reason }), Ok(_)] = &found[..] else {
        panic!("{found:?}");
    };
    assert!(reason.contains("longer than"), "{reason}");
}

#[test]
fn what_cannot_be_read_ends_the_reading() {
    struct Broken;
    impl std::io::Read for Broken {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("the stick was pulled out"))
        }
    }
    let good = format!("{}\n", lines()[0]);
    let found: Vec<_> =
        archive::read_lines(BufReader::new(good.as_bytes().chain(Broken))).collect();
    let [Ok(_), Err(fault @ ArchiveError::Read { line: 2, .. })] = &found[..] else {
        panic!("{found:?}");
    };
    assert!(fault.to_string().contains("line 2"), "{fault}");
}
