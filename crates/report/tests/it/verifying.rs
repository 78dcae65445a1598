//! What verification says of a good file, and of files that were tampered with in every way that
//! the threat model names.

use lopdf::{Dictionary, Document, IncrementalDocument, Object, Stream};
use proptest::prelude::*;
use report::{Level, Statement, Verification, VerifyOptions, verify};

use crate::people::{Site, signed, unsigned};
use crate::{fixture, tool};

fn trusting(site: &Site) -> VerifyOptions {
    VerifyOptions { expected_root: Some(site.fingerprint.clone()) }
}

fn errors(outcome: &Verification) -> Vec<&Statement> {
    outcome.statements.iter().filter(|s| s.level == Level::Error).collect()
}

#[track_caller]
fn says(outcome: &Verification, code: &str, object: &str, part: &str) {
    let found = outcome
        .statements
        .iter()
        .any(|s| s.code == code && s.object == object && s.sentence.contains(part));
    assert!(found, "no {code} about {object} with \"{part}\" in {:#?}", outcome.statements);
}

/// Appends an update that sets some objects, as any PDF program could.
fn append(pdf: &[u8], change: impl Fn(&mut IncrementalDocument)) -> Vec<u8> {
    let doc = Document::load_mem(pdf).unwrap();
    let mut update = IncrementalDocument::create_from(pdf.to_vec(), doc);
    update.new_document.version = "1.7".to_owned();
    change(&mut update);
    let mut out = Vec::new();
    update.save_to(&mut out).unwrap();
    out
}

/// Appends an update that replaces what a page (from 1) shows.
fn replace_page(pdf: &[u8], number: u32) -> Vec<u8> {
    append(pdf, |update| {
        let pages = update.get_prev_documents().get_pages();
        let id = pages[&number];
        let content = update.get_prev_documents().get_dictionary(id).unwrap();
        let content = content.get(b"Contents").unwrap().as_reference().unwrap();
        let drawn = b"BT /F1 30 Tf 80 700 Td <00010002> Tj ET".to_vec();
        update.new_document.set_object(content, Stream::new(Dictionary::new(), drawn));
    })
}

#[test]
fn a_good_file_is_good() {
    let site = Site::new();
    let outcome = verify(&signed(&site), &trusting(&site));
    assert_eq!(outcome.level(), Level::Ok, "{:#?}", outcome.statements);
    says(
        &outcome,
        "signature_valid",
        "signature owner",
        "Gaspar Ñancupel signed as Owner at 10 Sep 2026, 10:15 (UTC−03:00)",
    );
    says(
        &outcome,
        "authority",
        "signature crew",
        "expected site authority, Pampa Chercán authority",
    );
    says(
        &outcome,
        "updates",
        "file",
        "The 3 updates appended to the file add signatures and nothing else.",
    );
    says(&outcome, "pages_agree", "pages", "the same to the byte");
    assert_eq!(outcome.entries, Some(fixture::entries()));
}

#[test]
fn an_unsigned_file_says_what_is_missing() {
    let site = Site::new();
    let outcome = verify(&unsigned(&site), &trusting(&site));
    assert_eq!(outcome.level(), Level::Warning, "{:#?}", outcome.statements);
    for place in ["crew", "supervisor", "owner"] {
        says(&outcome, "not_signed", &format!("signature {place}"), "is not signed");
    }
}

#[test]
fn another_authority_is_an_error_and_no_expectation_is_a_warning() {
    let site = Site::new();
    let pdf = signed(&site);
    let other = Site::new();
    says(&verify(&pdf, &trusting(&other)), "authority", "signature crew", "another site authority");
    let outcome = verify(&pdf, &VerifyOptions::default());
    assert_eq!(outcome.level(), Level::Warning);
    says(&outcome, "authority_not_compared", "signature crew", &site.fingerprint);
    // A person of another site signs this site's report.
    let stranger = other.person("Ivana Brize").sign(
        &unsigned(&site),
        "crew",
        "Crew",
        "2026-08-28T08:00:00-04:00",
    );
    says(
        &verify(&stranger, &VerifyOptions::default()),
        "authority_of_the_report",
        "signature crew",
        "leads to one with key",
    );
}

#[test]
fn a_flipped_byte_names_the_signatures_and_the_page() {
    let site = Site::new();
    let pdf = signed(&site);
    let doc = Document::load_mem(&pdf).unwrap();
    let page = doc.get_dictionary(doc.get_pages()[&4]).unwrap();
    let content = page.get(b"Contents").unwrap().as_reference().unwrap();
    let at = match doc.reference_table.get(content.0) {
        Some(lopdf::xref::XrefEntry::Normal { offset, .. }) => *offset as usize + 300,
        other => panic!("{other:?}"),
    };
    let mut torn = pdf.clone();
    torn[at] ^= 0x10;
    let outcome = verify(&torn, &trusting(&site));
    for (place, who) in
        [("crew", "Ivana Brize"), ("supervisor", "Teodoro Manquel"), ("owner", "Gaspar Ñancupel")]
    {
        says(&outcome, "signature_digest", &format!("signature {place}"), &format!("after {who}"));
    }
    says(&outcome, "pages_differ", "page 4", "page 4 differs");
    // poppler agrees that the signatures no longer hold.
    let said = tool::run("pdfsig", &["-nocert", tool::arg(&tool::file("torn.pdf", &torn))]);
    assert!(!String::from_utf8_lossy(&said.stdout).contains("Signature is Valid."));
}

#[test]
fn a_page_replaced_by_an_appended_update_is_named() {
    let site = Site::new();
    let torn = replace_page(&signed(&site), 2);
    // poppler still calls every signature valid: that is why updates are compared here.
    let said = tool::text("pdfsig", &["-nocert", tool::arg(&tool::file("replaced.pdf", &torn))]);
    assert_eq!(said.matches("Signature is Valid.").count(), 3, "{said}");
    let outcome = verify(&torn, &trusting(&site));
    says(
        &outcome,
        "changed_by_update",
        "page 2",
        "Page 2 was changed after Gaspar Ñancupel (Owner) signed",
    );
    says(&outcome, "unsigned_update", "file", "carries no signature");
    assert_eq!(outcome.level(), Level::Error);
}

#[test]
fn a_page_replaced_between_two_signatures_is_named() {
    let site = Site::new();
    let one = site.person("Ivana Brize").sign(
        &unsigned(&site),
        "crew",
        "Crew",
        "2026-08-28T08:00:00-04:00",
    );
    let torn = replace_page(&one, 5);
    let refused = site.person("Teodoro Manquel").try_sign(
        &torn,
        "supervisor",
        "Supervisor",
        "2026-08-29T08:00:00-04:00",
    );
    let said = refused.unwrap_err().to_string();
    assert!(said.contains("Page 5 was changed after Ivana Brize (Crew) signed"), "{said}");
}

#[test]
fn data_swapped_by_an_update_are_named() {
    let site = Site::new();
    let torn = append(&signed(&site), |update| {
        let doc = update.get_prev_documents();
        let id = *doc
            .objects
            .iter()
            .find(|(_, o)| {
                o.as_stream().is_ok_and(|s| {
                    s.dict
                        .get(b"Subtype")
                        .and_then(Object::as_name)
                        .is_ok_and(|n| n == b"application/json")
                })
            })
            .unwrap()
            .0;
        let mut stream = doc.get_object(id).unwrap().as_stream().unwrap().clone();
        let data = String::from_utf8(stream.get_plain_content().unwrap()).unwrap();
        stream.set_plain_content(data.replace("0.76 %", "0.10 %").into_bytes());
        update.new_document.set_object(id, stream);
    });
    let outcome = verify(&torn, &trusting(&site));
    says(
        &outcome,
        "changed_by_update",
        "embedded file report.json",
        "Embedded file report.json was changed after Gaspar Ñancupel (Owner) signed",
    );
    says(&outcome, "data_digest", "report.json", "was exchanged or changed");
}

#[test]
fn data_swapped_in_the_file_itself_are_named() {
    // The whole file is written anew with other entries, and with the digest that fits them.
    let site = Site::new();
    let mut handover = fixture::handover();
    handover.site.authority.clone_from(&site.fingerprint);
    let honest = unsigned(&site);
    let forged = {
        let mut doc = Document::load_mem(&honest).unwrap();
        handover.verdict.title = "Everything accepted".to_owned();
        let json = handover.to_json().unwrap();
        let digest = hex::encode(<sha2::Sha256 as sha2::Digest>::digest(&json));
        for object in doc.objects.values_mut() {
            if let Object::Stream(s) = object
                && s.dict
                    .get(b"Subtype")
                    .and_then(Object::as_name)
                    .is_ok_and(|n| n == b"application/json")
            {
                s.set_plain_content(json.clone());
            }
            if let Object::Dictionary(d) = object
                && d.get(b"UF").and_then(Object::as_str).is_ok_and(|n| n == b"report.json")
            {
                d.set(
                    "Desc",
                    Object::string_literal(format!(
                        "What this report says, as data; SHA-256 {digest}"
                    )),
                );
            }
        }
        let mut out = Vec::new();
        doc.save_to(&mut out).unwrap();
        out
    };
    let outcome = verify(&forged, &trusting(&site));
    says(&outcome, "pages_differ", "page 2", "differs from what the embedded data give");
}

#[test]
fn a_signature_taken_away_or_moved_is_named() {
    let site = Site::new();
    let pdf = signed(&site);
    let torn = append(&pdf, |update| {
        let doc = update.get_prev_documents();
        let (id, dict) = doc
            .objects
            .iter()
            .find_map(|(id, o)| {
                let d = o.as_dict().ok()?;
                (d.get(b"T").and_then(Object::as_str).ok()? == b"supervisor")
                    .then(|| (*id, d.clone()))
            })
            .unwrap();
        let mut dict = dict;
        dict.remove(b"V");
        update.new_document.set_object(id, dict);
    });
    let outcome = verify(&torn, &trusting(&site));
    says(
        &outcome,
        "changed_by_update",
        "signature supervisor",
        "was changed after Gaspar Ñancupel",
    );
    assert_eq!(outcome.level(), Level::Error);
}

#[test]
fn a_new_page_a_new_annotation_and_a_new_catalogue_are_named() {
    let site = Site::new();
    let pdf = signed(&site);
    let annotated = append(&pdf, |update| {
        let id = update.get_prev_documents().get_pages()[&1];
        let mut page = update.get_prev_documents().get_dictionary(id).unwrap().clone();
        page.set("Annots", vec![]);
        update.new_document.set_object(id, page);
    });
    says(
        &verify(&annotated, &trusting(&site)),
        "changed_by_update",
        "page 1",
        "Page 1 was changed",
    );
    let shuffled = append(&pdf, |update| {
        let doc = update.get_prev_documents();
        let id = doc.catalog().unwrap().get(b"Pages").unwrap().as_reference().unwrap();
        let mut pages = doc.get_dictionary(id).unwrap().clone();
        pages.get_mut(b"Kids").unwrap().as_array_mut().unwrap().reverse();
        update.new_document.set_object(id, pages);
    });
    says(
        &verify(&shuffled, &trusting(&site)),
        "changed_by_update",
        "the order of the pages",
        "was changed",
    );
    let rooted = append(&pdf, |update| {
        let catalog = update.get_prev_documents().catalog().unwrap().clone();
        let id = update.new_document.add_object(catalog);
        update.new_document.trailer.set("Root", id);
    });
    says(&verify(&rooted, &trusting(&site)), "changed_by_update", "file", "Root entry was changed");
}

#[test]
fn bytes_behind_the_end_and_a_cut_file_are_named() {
    let site = Site::new();
    let pdf = signed(&site);
    let mut long = pdf.clone();
    long.extend(b"\n<p>hello</p>");
    says(
        &verify(&long, &trusting(&site)),
        "trailing_bytes",
        "file",
        "13 bytes stand behind the end",
    );
    let cut = &pdf[..pdf.len() - 900];
    assert_eq!(verify(cut, &trusting(&site)).level(), Level::Error);
    says(&verify(&pdf[..20_000], &trusting(&site)), "truncated", "file", "cut short");
    says(&verify(b"", &trusting(&site)), "unreadable", "file", "not a PDF");
}

#[test]
fn a_certificate_that_had_ended_is_named() {
    let site = Site::new();
    let late = site.expired("Ivana Brize").sign(
        &unsigned(&site),
        "crew",
        "Crew",
        "2026-08-28T08:00:00-04:00",
    );
    says(
        &verify(&late, &trusting(&site)),
        "certificate_dates",
        "signature crew",
        "was not valid at the claimed time",
    );
}

#[test]
fn a_file_that_is_no_report_is_named() {
    let mut doc = Document::with_version("1.7");
    let pages =
        doc.add_object(lopdf::dictionary! { "Type" => "Pages", "Kids" => vec![], "Count" => 0 });
    let root = doc.add_object(lopdf::dictionary! { "Type" => "Catalog", "Pages" => pages });
    doc.trailer.set("Root", root);
    let mut pdf = Vec::new();
    doc.save_to(&mut pdf).unwrap();
    says(&verify(&pdf, &VerifyOptions::default()), "data_missing", "report.json", "not a report");
}

/// A signed file, made once.
fn shared() -> &'static (Site, Vec<u8>) {
    static FILE: std::sync::OnceLock<(Site, Vec<u8>)> = std::sync::OnceLock::new();
    FILE.get_or_init(|| {
        let site = Site::new();
        let pdf = signed(&site);
        (site, pdf)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 20, failure_persistence: None, ..ProptestConfig::default() })]

    /// No byte of a signed file can be changed without an error, and nothing panics. Left out are
    /// the hexadecimal zeros that pad a signature's place and the case of its digits.
    #[test]
    fn no_flipped_byte_goes_unseen(at in any::<proptest::sample::Index>(), bit in 0u8..8) {
        let (site, pdf) = shared();
        let at = at.index(pdf.len());
        let mut torn = pdf.clone();
        torn[at] ^= 1 << bit;
        let outcome = verify(&torn, &trusting(site));
        let digits = torn[at].is_ascii_hexdigit() && pdf[at].eq_ignore_ascii_case(&torn[at]);
        prop_assert!(digits || !errors(&outcome).is_empty(), "byte {at} bit {bit}: {:#?}", outcome.statements);
    }

    #[test]
    fn no_cut_goes_unseen(at in any::<proptest::sample::Index>()) {
        let (site, pdf) = shared();
        let at = at.index(pdf.len());
        let outcome = verify(&pdf[..at], &trusting(site));
        // A cut at the end of an update leaves a whole file with fewer signatures.
        prop_assert!(outcome.level() != Level::Ok, "cut at {at}");
    }

    #[test]
    fn hostile_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let mut pdf = b"%PDF-1.7\n".to_vec();
        pdf.extend(bytes);
        pdf.extend(b"\nstartxref\n9\n%%EOF");
        prop_assert_eq!(verify(&pdf, &VerifyOptions::default()).level(), Level::Error);
    }
}

#[test]
fn loops_in_the_structure_end() {
    let mut doc = Document::with_version("1.7");
    let pages = doc.new_object_id();
    let kids = vec![pages.into(), pages.into()];
    doc.set_object(
        pages,
        lopdf::dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => 2, "Next" => pages },
    );
    let form = doc.new_object_id();
    doc.set_object(form, lopdf::dictionary! { "Fields" => form, "AcroForm" => form });
    let names = doc.new_object_id();
    doc.set_object(names, Object::Reference(names));
    let catalog = lopdf::dictionary! { "Type" => "Catalog", "Pages" => pages, "AcroForm" => form, "Names" => names };
    let root = doc.add_object(catalog);
    doc.trailer.set("Root", root);
    let mut pdf = Vec::new();
    doc.save_to(&mut pdf).unwrap();
    let pdf = append(&pdf, |update| {
        update.new_document.add_object(lopdf::dictionary! { "Loop" => root });
    });
    assert_eq!(verify(&pdf, &VerifyOptions::default()).level(), Level::Error);
}
