//! Bytes, line ends, separators, headers, ragged and cut lines.

use super::*;

const METER: &str = "time;dni (W/m²);wind (m/s)\n";

/// Marks at the beginning of the file and of joined files.
#[test]
fn byte_order_marks() {
    let file = read(format!(
        "\u{feff}{METER}2026-09-09 12:00;1018,5;4\n\u{feff}2026-09-09 12:01;1019,5;4\n"
    ));
    assert_eq!(plain(&file, "irradiance"), ["1018.5", "1019.5"]);
    assert_eq!(file.decisions.iter().filter(|d| d.contains("byte-order")).count(), 2);
}

#[test]
fn utf_16_is_refused() {
    let text = format!("{METER}2026-09-09 12:00;1018,5;4\n");
    let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    for bytes in [[&[0xFF, 0xFE][..], &little].concat(), little] {
        assert_eq!(series(&bytes, &form()).unwrap_err().code, "file_utf16");
    }
}

/// Bytes that are no UTF-8 are asked about, with the place shown.
#[test]
fn another_encoding_is_asked() {
    let bytes = b"time;dni (W/m\xB2);T (\xB0C)\n2026-09-09 12:00;1018,5;23,4\n";
    let question = asked(bytes, &form());
    assert_eq!(question.id, "encoding");
    assert!(question.choices[0].text.contains("W/m²"), "{}", question.choices[0].text);
    let file = read_as(bytes, &answering(&form(), "encoding", "windows-1252"));
    assert_eq!(plain(&file, "ambient"), ["23.4"]);
}

/// A logger that lost power: zero bytes before a line, and a last line that was cut.
#[test]
fn zero_bytes_and_a_cut_last_line() {
    let head = "t,dni,x\nTS,W/m^2,\n2026-09-05T18:05:00,1010.4,1\n";
    let zeros = "\0".repeat(8);
    let file = read(format!(
        "{head}{zeros}2026-09-05T18:06:00,1010.39,1\n2026-09-05T18:07:00,1011.20,1\n2026-09-05T18:08:00,11"
    ));
    assert_eq!(plain(&file, "irradiance"), ["1010.4", "1010.39", "1011.20"]);
    assert!(reason(&file.lines, 6).contains("cut off"));
    assert!(file.decisions.iter().any(|d| d.contains("zero bytes")));
    let inside = read(format!("{head}2026-09-05T18:06:00,10\010.39,1\n"));
    assert!(reason(&inside.lines, 4).contains("zero bytes"));
}

/// The last number of a cut line has fewer digits than its column; the whole ones stay.
#[test]
fn a_last_line_without_its_end() {
    let begin = "t;dni (W/m²)\n2026-09-09 12:00;1018,5\n";
    assert_eq!(plain(&read(format!("{begin}2026-09-09 12:01;1019,5")), "irradiance").len(), 2);
    let cut = read(format!("{begin}2026-09-09 12:01;10"));
    assert_eq!(plain(&cut, "irradiance"), ["1018.5"]);
    assert!(reason(&cut.lines, 3).contains("cut off"));
    let missing = read(format!("{begin}2026-09-09 12:01;"));
    assert_eq!(plain(&missing, "irradiance"), ["1018.5", ""]);
}

#[test]
fn line_ends_of_every_kind() {
    let lines = ["t;dni (W/m²)", "2026-09-09 12:00;1018,5", "2026-09-09 12:10;1021,5", ""];
    for end in ["\r", "\n", "\r\n"] {
        assert_eq!(read(lines.join(end)).times.len(), 2);
    }
    let mixed = read("t;dni (W/m²)\r\n2026-09-09 12:00;1018,5\n2026-09-09 12:10;1021,5\r");
    assert_eq!(mixed.times.len(), 2);
    assert!(mixed.decisions.iter().any(|d| d.contains("mixed")));
}

#[test]
fn a_line_that_names_the_separator() {
    for first in ["sep=;", "\"sep=;\"", "SEP=;", "\u{feff}sep=;"] {
        let file = read(format!("{first}\n{METER}2026-09-09 12:00;1018,5;4\n"));
        assert_eq!((file.lines.header, file.lines.used), (2, 1));
    }
    let text = format!("sep=,\n{METER}2026-09-09 12:00;1018,5;4\n");
    assert_eq!(series(text.as_bytes(), &form()).unwrap_err().code, "file_other_form");
}

const LOGGER: &str = "\"STATION\",\"PC mast\",\"SN 0042\",\"prog v3\"\n\
    \"TIMESTAMP\",\"RECORD\",\"DNI_Avg\",\"Tair_Avg\",\"DNI_Max\"\n\
    \"TS\",\"RN\",\"W/m^2\",\"Deg C\",\"W/m^2\"\n\"\",\"\",\"Avg\",\"Avg\",\"Max\"\n";

/// Preamble, names, units and aggregations of a logger; the running number is watched.
#[test]
fn a_loggers_head() {
    let file = read(format!(
        "{LOGGER}\"2026-09-09 12:00:00\",5120,1018,\"NAN\",1030\n\
         \"2026-09-09 12:10:00\",5121,1021,23.1,1030\n\n\"2026-09-09 12:20:00\",5123,1020,23.2,1031\n"
    ));
    assert_eq!(file.form, Some(Form::Logger));
    let lines = &file.lines;
    assert_eq!((lines.preamble, lines.header, lines.used, lines.blank), (1, 3, 3, 1));
    assert_eq!(plain(&file, "irradiance"), ["1018", "1021", "1020"]);
    assert_eq!(plain(&file, "ambient"), ["", "23.1", "23.2"]);
    let ambient = file.channels.iter().find(|c| c.id == "ambient").unwrap();
    assert_eq!((ambient.missing, ambient.unit.as_str()), (1, "°C"));
    assert_eq!(ambient.aggregation.as_deref(), Some("Avg"));
    assert_eq!(file.interval.as_deref(), Some("10 min"));
    assert!(file.warnings.iter().any(|w| w.contains("running number jumps at lines 8")));
    assert!(file.channels.iter().all(|channel| channel.id != "power"));
}

/// Two columns of one unit are asked about; a maximum is no rival of a mean.
#[test]
fn rival_columns_are_asked() {
    let text = "time;north (W/m²);south (W/m²)\n2026-09-09 12:00;1018,5;1002,5\n";
    let question = asked(text, &form());
    assert_eq!(question.id, "column:irradiance");
    assert_eq!(question.choices.len(), 3);
    let file = read_as(text, &answering(&form(), "column:irradiance", "3"));
    assert_eq!(plain(&file, "irradiance"), ["1002.5"]);
}

#[test]
fn ragged_rows() {
    let file = read(
        "t;dni (W/m²);T (°C);\n2026-09-09 12:00;1018,2;23,1;\n2026-09-09 12:10;1021,2\n\
         2026-09-09 12:20;1023,2;23,4;x;7\n",
    );
    assert_eq!(plain(&file, "irradiance"), ["1018.2", "1021.2"]);
    assert_eq!(plain(&file, "ambient"), ["23.1", ""]);
    assert!(reason(&file.lines, 4).contains("5 fields where 3"));
}

/// A quoted text that runs over lines takes them with it: none of them is data.
#[test]
fn quotes_over_lines() {
    let file = read(
        "t,dni,note\nTS,W/m^2,\n2026-09-09 12:00,1018,\"seen\n2026-09-09 12:01,1,\nagain\"\n\
         2026-09-09 12:02,1019,\"a, b\"\n",
    );
    assert_eq!(plain(&file, "irradiance"), ["1019"]);
    assert_eq!(file.lines.rejected.len(), 3);
}

#[test]
fn nothing_to_read() {
    for text in ["", "\n\n", "a;b\n"] {
        let refusal = series(text.as_bytes(), &form()).unwrap_err();
        assert!(refusal.code.starts_with("file_without"), "{refusal:?}");
    }
    let other = "time;current (A)\n2026-09-09 12:00;4,2\n";
    let refusal = series(other.as_bytes(), &form()).unwrap_err();
    assert_eq!(refusal.code, "file_without_channel");
    assert!(refusal.sentence.contains("current in A"), "{}", refusal.sentence);
    // No unit in the header: it is never guessed.
    let bare = "time;dni\n2026-09-09 12:00;1018\n";
    assert_eq!(series(bare.as_bytes(), &form()).unwrap_err().code, "file_without_channel");
}

#[test]
fn limits_of_size() {
    let line = "2026-09-09 12:00;1018,5\n";
    let long = format!("t;dni (W/m²)\n{}", line.repeat(MOST_LINES));
    assert_eq!(series(long.as_bytes(), &form()).unwrap_err().code, "file_too_long");
    let wide = format!("t;dni (W/m²)\n{line}2026-09-09 12:01;{}\n", "1".repeat(LONGEST_LINE));
    assert!(reason(&read(wide).lines, 3).contains("longer"));
    let huge = vec![b'x'; MOST_BYTES + 1];
    assert_eq!(series(&huge, &form()).unwrap_err().code, "file_too_large");
}
