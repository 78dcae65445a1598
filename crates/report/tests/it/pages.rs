//! What the pages say, read back by poppler, and what cannot be drawn.

use report::model::{Figure, Reading, SheetMark};
use report::{RenderError, render};
use sha2::Digest;

use crate::{fixture, tool};

/// The text of a file as poppler reads it.
fn text(name: &str, pdf: &[u8], options: &[&str]) -> String {
    let path = tool::file(name, pdf);
    let mut arguments = options.to_vec();
    arguments.extend([tool::arg(&path), "-"]);
    tool::text("pdftotext", &arguments)
}

/// Text with each run of white space as one space.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The fixture with one attempt of many readings.
fn long(rows: usize) -> report::Handover {
    let mut handover = fixture::handover();
    let reading = handover.attempts[0].readings[1].clone();
    handover.attempts.truncate(1);
    handover.attempts[0].readings = (0..rows)
        .map(|n| Reading { step: format!("{n}"), entry: format!("R{n:05}"), ..reading.clone() })
        .collect();
    handover
}

#[test]
fn names_and_signs_come_back_as_they_were_written() {
    let pdf = render(&fixture::handover(), &fixture::entries()).unwrap();
    let said = flat(&text("names.pdf", &pdf, &["-layout"]));
    for part in [
        "Pía Lonquén",
        "Gaspar Ñancupel",
        "Bruno Calfú",
        "Pampa Chercán Solar Yard",
        "23.10° S 69.60° W",
        "UTC−4",
        "0.76 % ± 0.26 %",
        "> 550 MΩ",
        "≤ 0.1 Ω, ≥ 5 MΩ",
        "17.088 kg/m³",
        "loss ≤ limit",
        "U ≤ ⅓ of the limit",
        "110,2 bar(g)",
        "not measured",
        "Not judged",
        "transcribed",
        "Not heard from: T2, since Tue 25 Aug 18:02; T3, since Mon 24 Aug 07:00.",
        "This report does not say that the dish is safe.",
        "EN-0339",
    ] {
        assert!(said.contains(part), "\"{part}\" is missing:\n{said}");
    }
    for symbol in ["p₁", "Z₂", "ρ₁", "Δ"] {
        assert!(said.contains(symbol), "{symbol} is missing");
    }
}

#[test]
fn every_page_has_its_number_and_the_digest_of_the_data() {
    let handover = fixture::handover();
    let pdf = render(&handover, &fixture::entries()).unwrap();
    let digest = hex::encode(sha2::Sha256::digest(handover.to_json().unwrap()));
    let short = format!("record {} {} {}", &digest[..4], &digest[4..8], &digest[8..12]);
    let said = text("feet.pdf", &pdf, &["-layout"]);
    let pages: Vec<&str> = said.split('\u{c}').filter(|p| !p.trim().is_empty()).collect();
    assert!(pages.len() > 8);
    for (i, page) in pages.iter().enumerate() {
        let foot = format!("{short} · page {} of {}", i + 1, pages.len());
        assert!(flat(page).contains(&foot), "page {} lacks \"{foot}\"", i + 1);
        assert!(
            page.contains("entries to T1-0391")
                || text("feet.pdf", &pdf, &["-raw"]).contains("entries to T1-0391")
        );
    }
    // Both digests are printed whole on the last page.
    let entries = hex::encode(sha2::Sha256::digest(fixture::entries()));
    let last = pages.last().unwrap();
    assert!(last.contains(&digest) && last.contains(&entries), "{last}");
}

#[test]
fn a_proof_points_to_the_page_of_its_attempt() {
    let pdf = render(&fixture::handover(), &fixture::entries()).unwrap();
    let said = text("turn.pdf", &pdf, &["-layout"]);
    let pages: Vec<&str> = said.split('\u{c}').collect();
    let row = pages[0].lines().find(|l| l.contains("0.76 % ± 0.26 % in 12.00 h")).unwrap();
    let number: usize = row.split_whitespace().last().unwrap().parse().unwrap();
    assert!(pages[number - 1].contains("Leak, attempt 3 of 3"), "{row}");
}

#[test]
fn the_header_repeats_on_each_page_and_no_row_is_lost() {
    let pdf = render(&long(300), b"").unwrap();
    let said = text("long.pdf", &pdf, &["-layout"]);
    let pages: Vec<&str> = said.split('\u{c}').filter(|p| p.contains("R00")).collect();
    assert!(pages.len() > 10);
    for page in &pages {
        assert!(page.contains("as typed, as used"), "a page lacks the table's header:\n{page}");
    }
    for n in 0..300 {
        assert_eq!(said.matches(&format!("R{n:05}")).count(), 1, "row {n}");
    }
}

#[test]
fn surveys_limits_findings_and_lists_are_all_there() {
    let handover = fixture::handover();
    let pdf = render(&handover, &fixture::entries()).unwrap();
    let raw = text("mirror.pdf", &pdf, &["-layout"]);
    let said = flat(&raw);
    for part in [
        "2.1 As found, all facets, entry T1-0402",
        &"0123456789abcdef".repeat(4),
        "line 17: no number in dx",
        "Decimal comma.",
        "T1-0398: the board stood askew",
        "Facets masked, at most",
        "OUTSIDE",
        "Found by the calculation",
        "The rack moved, not the facets",
        "What was given",
        "An arc outside marks a rack that moved as a whole.",
        "30° free",
        "from 2026-08-26 11:30 (UTC−04:00)",
        "In every row: state: measured.",
    ] {
        assert!(said.contains(part), "\"{part}\" is missing:\n{said}");
    }
    // Each row of a long list once, its head on each of its pages.
    let pages: Vec<&str> = raw.split('\u{c}').filter(|page| page.contains("/F")).collect();
    for n in 0..60 {
        let name = format!("R{:02}/F{:02}", n / 20 + 1, n % 20 + 1);
        let lists = pages.iter().map(|page| page.matches(&name).count()).sum::<usize>();
        assert_eq!(lists, 1, "{name}");
    }
    assert!(pages.iter().all(|page| page.contains("x mrad")), "a page lacks the head");
    // A long reason is broken, and nothing of it is lost.
    assert_eq!(said.matches("than is allowed").count(), 6, "{said}");
}

#[test]
fn a_list_row_taller_than_a_page_is_split_and_complete() {
    let mut handover = fixture::handover();
    let words: Vec<String> = (0..4000).map(|n| format!("w{n}.")).collect();
    let sheet = handover.sheets.last_mut().unwrap();
    sheet.tables[0].rows[1][2] = words.join(" ");
    let pdf = render(&handover, b"").unwrap();
    let said = flat(&text("tall-list.pdf", &pdf, &[]));
    for word in &words {
        assert!(said.contains(word), "{word} is lost");
    }
}

/// A report made before a field came can still be read; one with an unknown field can't.
#[test]
fn what_came_later_is_left_out_while_it_is_empty() {
    let mut handover = fixture::handover();
    handover.sheets.truncate(3);
    for attempt in &mut handover.attempts {
        attempt.taken.clear();
        attempt.limits.clear();
    }
    let json = String::from_utf8(handover.to_json().unwrap()).unwrap();
    for field in
        ["taken", "limits", "notice", "short", "findings", "tables", "given", "x_title", "facets"]
    {
        assert!(!json.contains(&format!("\"{field}\":")), "{field} stands in an early report");
    }
    assert_eq!(report::Handover::from_json(json.as_bytes()).unwrap(), handover);
    let whole = fixture::handover();
    assert_eq!(report::Handover::from_json(&whole.to_json().unwrap()).unwrap(), whole);
}

#[test]
fn a_row_taller_than_a_page_is_split_and_complete() {
    let mut handover = fixture::handover();
    handover.attempts.truncate(1);
    let words: Vec<String> = (0..2000).map(|n| format!("w{n}.")).collect();
    handover.attempts[0].readings[2].remark = words.join(" ");
    let pdf = render(&handover, b"").unwrap();
    let said = flat(&text("tall.pdf", &pdf, &[]));
    for word in &words {
        assert!(said.contains(word), "{word} is lost");
    }
}

#[test]
fn a_missing_sign_is_an_error_that_names_it() {
    let mut handover = fixture::handover();
    handover.attempts[1].readings[0].title = "valve \u{1f600} shut".to_owned();
    let error = render(&handover, b"").unwrap_err();
    assert_eq!(
        error,
        RenderError::MissingGlyph { text: "valve \u{1f600} shut".to_owned(), code: 0x1f600 }
    );
    assert!(error.to_string().contains("U+1F600"));
    // Names in Greek and Cyrillic are covered by the fallback, which is checked, not assumed.
    handover.attempts[1].readings[0].title = "Αθήνα, Київ, Łódź, ½ ¾ ↑ ∑ √ θ μ".to_owned();
    let pdf = render(&handover, b"").unwrap();
    assert!(flat(&text("scripts.pdf", &pdf, &[])).contains("Αθήνα, Київ,"));
}

#[test]
fn a_bad_number_a_bad_date_and_a_bad_place_are_errors() {
    let mut handover = fixture::handover();
    let Figure::Lines(decay) = &mut handover.sheets[2].figures[0] else { panic!("no lines") };
    decay.series[0].points[1].y = "ninety".to_owned();
    assert!(
        matches!(render(&handover, b""), Err(RenderError::BadNumber { value, .. }) if value == "ninety")
    );
    let mut handover = fixture::handover();
    handover.identity.issued_at = "28 Aug".to_owned();
    assert!(matches!(render(&handover, b""), Err(RenderError::BadDate { .. })));
    let mut handover = fixture::handover();
    handover.signature_places[1].field = "crew".to_owned();
    assert!(matches!(render(&handover, b""), Err(RenderError::BadSignaturePlace { .. })));
    let mut handover = fixture::handover();
    handover.format = 2;
    assert!(matches!(
        render(&handover, b""),
        Err(RenderError::OtherFormat { expected: 1, found: 2 })
    ));
}

#[test]
fn a_report_with_nothing_in_it_still_has_its_pages() {
    let mut handover = fixture::handover();
    handover.attempts.clear();
    handover.sheets.clear();
    handover.exceptions.clear();
    handover.corrections.clear();
    handover.proofs.clear();
    handover.signature_places.clear();
    handover.instruments.clear();
    handover.components.clear();
    let pdf = render(&handover, b"").unwrap();
    assert!(text("bare.pdf", &pdf, &[]).contains("No attempt is on record."));
}

#[test]
fn the_same_input_gives_the_same_bytes_and_other_pages_another_layout_number() {
    let first = render(&fixture::handover(), &fixture::entries()).unwrap();
    assert_eq!(first, render(&fixture::handover(), &fixture::entries()).unwrap());
    // A report says which layout wrote it; verification compares to the byte within one layout
    // only. If this digest changes, raise LAYOUT in src/pdf/archive.rs and write the new one here.
    let digest = hex::encode(sha2::Sha256::digest(&first));
    assert_eq!(
        (report::LAYOUT, digest.as_str()),
        (3, "8c867e34425badf71ef73d459ed832383fe5348a9fba4a240cb9e4b8bf52183c")
    );
}

#[test]
fn the_file_is_what_it_says_for_poppler_and_qpdf() {
    let pdf = render(&fixture::handover(), &fixture::entries()).unwrap();
    let path = tool::file("kind.pdf", &pdf);
    let path = tool::arg(&path);
    let said = tool::text("pdfinfo", &[path]);
    for part in [
        "PDF version:     1.7",
        "A4",
        "Encrypted:       no",
        "Form:            AcroForm",
        "JavaScript:      no",
    ] {
        assert!(said.contains(part), "{part}:\n{said}");
    }
    let said = tool::text("pdfinfo", &["-meta", path]);
    assert!(
        said.contains("<pdfaid:part>3</pdfaid:part>")
            && said.contains("<pdfaid:conformance>B</pdfaid:conformance>")
            && said.contains("Hand-over report PC-04, Pampa Chercán Solar Yard")
    );
    let fonts = tool::text("pdffonts", &[path]);
    for font in fonts.lines().skip(2) {
        assert!(font.contains("yes yes yes"), "not embedded, not a subset or without text: {font}");
    }
    let list = tool::text("pdfdetach", &["-list", path]);
    assert!(list.contains("report.json") && list.contains("entries.jsonl"), "{list}");
    let out = tool::file("detached.json", b"");
    tool::text("pdfdetach", &["-savefile", "report.json", "-o", tool::arg(&out), path]);
    assert_eq!(std::fs::read(&out).unwrap(), fixture::handover().to_json().unwrap());
    tool::text("qpdf", &["--check", path]);
    // Associated files, output intent, no document information: ISO 19005-3, 6.2.3, 6.7.3, 6.8.
    let json = tool::text("qpdf", &["--json=2", "--json-key=qpdf", path]);
    for part in ["/AFRelationship", "/GTS_PDFA1", "/EmbeddedFiles", "\"/SigFlags\": 3"] {
        assert!(json.contains(part), "{part}");
    }
    let trailer = tool::text("qpdf", &["--show-object=trailer", path]);
    assert!(!trailer.contains("/Info") && trailer.contains("/ID"), "{trailer}");
}

#[test]
fn a_computed_sheet_has_no_mark_and_every_mark_draws() {
    for mark in [SheetMark::Within, SheetMark::Outside, SheetMark::NotJudged, SheetMark::Computed] {
        let mut handover = fixture::handover();
        handover.sheets[0].mark = mark;
        render(&handover, b"").unwrap();
    }
}
