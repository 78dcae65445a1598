//! Signatures, checked by pyHanko, poppler and qpdf: programs from outside the project.

use crate::people::{Site, signed, unsigned};
use crate::tool;

/// The Python that has pyHanko.
fn python() -> String {
    std::env::var("DISHWRIGHT_PYTHON").unwrap_or_else(|_| {
        panic!(
            "DISHWRIGHT_PYTHON does not name a Python with pyHanko; `cargo xtask setup` makes one"
        )
    })
}

/// pyHanko's judgement of each signature: valid, intact, trusted, and what was changed later.
const JUDGE: &str = r"
import sys
from pyhanko.keys import load_cert_from_pemder
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext
root = load_cert_from_pemder(sys.argv[2])
with open(sys.argv[1], 'rb') as f:
    for s in PdfFileReader(f).embedded_signatures:
        context = ValidationContext(trust_roots=[root], allow_fetching=False)
        st = validate_pdf_signature(s, context)
        print(s.field_name, 'bottom_line', st.bottom_line, 'valid', st.valid, 'intact', st.intact,
              'trusted', st.trusted, 'coverage', st.coverage.name, 'level', getattr(st.modification_level, 'name', None),
              'profile', st.docmdp_ok)
";

fn pyhanko(pdf: &[u8], site: &Site, name: &str) -> String {
    let file = tool::file(&format!("{name}.pdf"), pdf);
    let root = tool::file(&format!("{name}.crt"), site.root.der());
    tool::text(&python(), &["-c", JUDGE, tool::arg(&file), tool::arg(&root)])
}

#[test]
fn three_signatures_hold_for_pyhanko() {
    let site = Site::new();
    let said = pyhanko(&signed(&site), &site, "three");
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines.len(), 3, "{said}");
    for (line, field) in lines.iter().zip(["crew", "supervisor", "owner"]) {
        assert!(
            line.starts_with(&format!(
                "{field} bottom_line True valid True intact True trusted True"
            )),
            "{said}"
        );
    }
    assert!(lines[2].contains("ENTIRE_FILE"), "{said}");
    // What was added after the first two signatures is form filling, nothing more.
    assert!(
        lines[0].contains("level FORM_FILLING") && lines[1].contains("level FORM_FILLING"),
        "{said}"
    );
}

#[test]
fn the_pyhanko_command_accepts_the_file_with_the_site_root_as_trust() {
    let site = Site::new();
    let file = tool::file("command.pdf", &signed(&site));
    let root = tool::file("command.crt", site.root.der());
    let said = tool::text(
        &python(),
        &[
            "-m",
            "pyhanko",
            "sign",
            "validate",
            "--pretty-print",
            "--trust",
            tool::arg(&root),
            "--trust-replace",
            "--no-revocation-check",
            tool::arg(&file),
        ],
    );
    assert_eq!(said.matches("The signature is judged VALID").count(), 3, "{said}");
}

#[test]
fn poppler_and_qpdf_accept_the_file() {
    let site = Site::new();
    let file = tool::file("poppler.pdf", &signed(&site));
    let said = tool::text("pdfsig", &["-nocert", tool::arg(&file)]);
    assert_eq!(said.matches("Signature Validation: Signature is Valid.").count(), 3, "{said}");
    assert_eq!(said.matches("ETSI.CAdES.detached").count(), 3, "{said}");
    assert!(said.contains("Total document signed"), "{said}");
    let said = tool::text("qpdf", &["--check", tool::arg(&file)]);
    assert!(said.contains("No syntax or stream encoding errors found"), "{said}");
    let said = tool::text("pdftotext", &["-layout", tool::arg(&file), "-"]);
    for part in [
        "Gaspar Ñancupel",
        "Owner, signed Thu 10 Sep 2026, 10:15 (UTC−03:00)",
        "Pampa Chercán authority",
    ] {
        assert!(said.contains(part), "{part} is not drawn:\n{said}");
    }
}

#[test]
fn signing_keeps_every_earlier_byte() {
    let site = Site::new();
    let base = unsigned(&site);
    let one = site.person("Ivana Brize").sign(&base, "crew", "Crew", "2026-08-28T08:00:00-04:00");
    assert!(one.starts_with(&base));
    assert!(one.len() - base.len() < 60_000, "{} bytes were added", one.len() - base.len());
}

#[test]
fn what_cannot_be_signed_says_why() {
    let site = Site::new();
    let base = unsigned(&site);
    let person = site.person("Ivana Brize");
    let at = "2026-08-28T08:00:00-04:00";
    let check = |result: Result<Vec<u8>, report::SignError>, part: &str| {
        let said = result.unwrap_err().to_string();
        assert!(said.contains(part), "{said}");
    };
    check(person.try_sign(&base, "auditor", "Auditor", at), "it has: crew, supervisor, owner");
    check(person.try_sign(&base, "crew", "Crew", "yesterday"), "not a date");
    check(person.try_sign(b"hello", "crew", "Crew", at), "cannot be read as a PDF");
    let one = person.sign(&base, "crew", "Crew", at);
    check(person.try_sign(&one, "crew", "Crew", at), "is signed already");
    check(person.try_sign(&base, "crew", "Crew \u{10ffff}", at), "U+10FFFF");
    let mut other = site.person("Ivana Brize");
    other.key = site.person("Ivana Brize").key;
    check(other.try_sign(&base, "crew", "Crew", at), "does not belong to the certificate");
    let mut stranger = site.person("Ivana Brize");
    stranger.name = "Teodoro Manquel";
    check(stranger.try_sign(&base, "crew", "Crew", at), "it names Ivana Brize");
    let mut torn = one.clone();
    let at_page = base.len() / 2;
    torn[at_page] ^= 1;
    let said = person.try_sign(&torn, "supervisor", "Supervisor", at).unwrap_err().to_string();
    assert!(said.contains("must not be signed") || said.contains("cannot be read"), "{said}");
}
