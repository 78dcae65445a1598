//! What the story wrote, in the hands of other people's programs: poppler, qpdf, pyHanko, openssl,
//! and the recipe of `docs/format.md` by bash, jq and sha256sum.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use app::demo::Story;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;

use crate::folders::scratch;
use crate::played::{SITE, shipped};
use crate::tool::{arg, python, run, said, text};

#[test]
fn poppler_finds_both_signatures_valid() {
    let pdf = arg(&shipped().played().report);
    let said = text("pdfsig", &["-nocert", pdf]);
    assert_eq!(said.matches("Signature Validation: Signature is Valid.").count(), 2, "{said}");
    for name in ["Ivana Brize", "Teodoro Manquel"] {
        assert!(said.contains(&format!("Signer Certificate Common Name: {name}\n")), "{said}");
    }
    assert_eq!(said.matches("ETSI.CAdES.detached").count(), 2, "{said}");
}

#[test]
fn poppler_and_qpdf_read_the_pages() {
    let pdf = arg(&shipped().played().report);
    let said = text("qpdf", &["--check", pdf]);
    assert!(said.contains("No syntax or stream encoding errors found"), "{said}");
    let info = text("pdfinfo", &[pdf]);
    let pages: usize = info
        .lines()
        .find_map(|line| line.strip_prefix("Pages:"))
        .unwrap_or_else(|| panic!("{info}"))
        .trim()
        .parse()
        .unwrap();
    let said = text("pdftotext", &["-layout", pdf, "-"]);
    for part in [
        "Pampa Chercán Solar Yard",
        "Bruno Calfú",
        "Ivana Brize",
        "Teodoro Manquel",
        "PC-04",
        "EN-0339",
        "3.98 %",
        "0.76 %",
        "104.7 bar",
        "PG-03",
        "F-0017",
        "hPa",
    ] {
        assert!(said.contains(part), "{part} can't be found in the report's text");
    }
    for page in 1..=pages {
        assert!(
            said.to_lowercase().contains(&format!("{page} of {pages}")),
            "no page {page} of {pages}"
        );
    }
}

/// The command as the note beside the report gives it.
#[test]
fn pyhanko_trusts_both_signatures_by_the_sites_root() {
    let scene = shipped();
    let note = std::fs::read_to_string(scene.out.join("how-to-verify.txt")).unwrap();
    let line = note.lines().map(str::trim).find(|line| line.starts_with("pyhanko ")).unwrap();
    let out = std::process::Command::new(python())
        .arg("-m")
        .args(line.split_whitespace())
        .current_dir(&scene.out)
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
    assert!(out.status.success(), "{line}: {said}");
    assert_eq!(said.matches("The signature is judged VALID").count(), 2, "{said}");
}

/// The same by its library, which says more: what the later update did to the first signature.
#[test]
fn pyhanko_sees_form_filling_and_nothing_else_after_the_first_signature() {
    const SCRIPT: &str = r"
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
        print(s.field_name, st.bottom_line, st.intact, st.trusted, st.coverage.name,
              st.modification_level.name if st.modification_level else '-',
              s.signer_cert.subject.native['common_name'], s.signer_cert.subject.native['serial_number'], sep='|')
";
    let played = shipped().played();
    let judged = text(&python(), &["-c", SCRIPT, arg(&played.report), arg(&played.root)]);
    let lines: Vec<&str> = judged.lines().collect();
    assert_eq!(
        lines,
        [
            "crew|True|True|True|ENTIRE_REVISION|FORM_FILLING|Ivana Brize|P-03",
            "supervisor|True|True|True|ENTIRE_FILE|NONE|Teodoro Manquel|P-02",
        ]
    );
    // By another site's root nothing is trusted.
    let stranger = stranger();
    let judged = text(&python(), &["-c", SCRIPT, arg(&played.report), arg(&stranger)]);
    assert_eq!(judged.matches("|False|True|False|").count(), 2, "{judged}");
}

/// A root certificate that has nothing to do with the site, by openssl.
/// Made once: tests that run side by side share it.
fn stranger() -> PathBuf {
    static MADE: OnceLock<PathBuf> = OnceLock::new();
    MADE.get_or_init(make_stranger).clone()
}

fn make_stranger() -> PathBuf {
    let folder = scratch("stranger");
    let (key, certificate) = (folder.join("key.pem"), folder.join("root.pem"));
    text(
        "openssl",
        &[
            "req",
            "-x509",
            "-newkey",
            "ec",
            "-pkeyopt",
            "ec_paramgen_curve:P-256",
            "-nodes",
            "-subj",
            "/CN=Another site authority",
            "-days",
            "3650",
            "-keyout",
            arg(&key),
            "-out",
            arg(&certificate),
        ],
    );
    certificate
}

#[test]
fn check_refuses_a_report_that_leads_to_another_root() {
    let played = shipped().played();
    let root = format!("--root={}", arg(&stranger()));
    let ran = crate::program::run(&["check", arg(&played.report), &root]);
    assert_eq!(ran.code, Some(1), "{ran:?}");
    assert!(ran.out.contains("WRONG") && ran.out.contains("site authority"), "{ran:?}");
}

/// Writes base64 DER as a file for openssl.
fn der(folder: &Path, name: &str, base64: &serde_json::Value) -> PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, BASE64.decode(base64.as_str().unwrap()).unwrap()).unwrap();
    path
}

#[test]
fn openssl_verifies_every_person_s_certificate_up_to_the_root() {
    let scene = shipped();
    let folder = scratch("certificates");
    let found = scene.contents.of_kind("found").next().unwrap();
    let middle = der(&folder, "intermediate.der", &found.payload["intermediate_certificate"]);
    let root = der(&folder, "root.der", &found.payload["authority_certificate"]);
    let to_pem = |path: &Path| text("openssl", &["x509", "-inform", "DER", "-in", arg(path)]);
    let handed_out = std::fs::read_to_string(&scene.played().root).unwrap();
    assert_eq!(to_pem(&root), handed_out, "site-root.pem is the root of the founding entry");
    let (middle, root) = (middle.with_extension("pem"), &scene.played().root);
    std::fs::write(&middle, to_pem(&folder.join("intermediate.der"))).unwrap();

    let mut people = Vec::new();
    for entry in scene.contents.of_kind("person_certified") {
        let person = entry.payload["person"].as_str().unwrap().to_owned();
        let file = der(&folder, &format!("{person}.der"), &entry.payload["certificate"]);
        let pem = file.with_extension("pem");
        std::fs::write(&pem, to_pem(&file)).unwrap();
        let verify = |root: &Path| {
            said(
                "openssl",
                &[
                    "verify",
                    "-x509_strict",
                    "-CAfile",
                    arg(root),
                    "-untrusted",
                    arg(&middle),
                    arg(&pem),
                ],
            )
        };
        let (holds, words) = verify(root);
        assert!(holds && words.trim_end().ends_with(": OK"), "{person}: {words}");
        let (holds, words) = verify(&stranger());
        assert!(!holds, "{person} by another root: {words}");
        let without = run("openssl", &["verify", "-CAfile", arg(root), arg(&pem)]);
        assert!(!without.status.success(), "{person} is not issued by the root itself");
        let subject = text(
            "openssl",
            &["x509", "-noout", "-subject", "-nameopt", "utf8,sep_comma_plus", "-in", arg(&pem)],
        );
        assert!(subject.contains(&format!("serialNumber={person}")), "{subject}");
        // The certified key is the one by which the person's entries are signed.
        let key = text("openssl", &["x509", "-noout", "-pubkey", "-in", arg(&pem)]);
        let key: String = key.lines().filter(|line| !line.starts_with('-')).collect();
        assert_eq!(entry.payload["key"], key);
        people.push(person);
    }
    people.sort();
    assert_eq!(people, with_a_pin());
}

/// Everyone to whom the site's file gives a PIN, by id.
fn with_a_pin() -> Vec<String> {
    let site: toml::Value = toml::from_str(&Story::shipped().text(SITE).unwrap()).unwrap();
    let founder = &site["founder"]["person"];
    let people = site["people"].as_array().unwrap().iter();
    let acting = people.filter(|one| one.get("pin").is_some() || &one["person"] == founder);
    let ids: Vec<String> = acting.map(|one| one["person"].as_str().unwrap().to_owned()).collect();
    assert!(ids.len() > 4 && ids.is_sorted(), "{ids:?}");
    ids
}

/// The recipe's blocks, joined as the document says.
fn recipe() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/format.md");
    let document = std::fs::read_to_string(path).unwrap();
    let parts: Vec<&str> = document.split("```bash\n").skip(1).collect();
    assert!(!parts.is_empty(), "the document holds no recipe");
    parts.iter().map(|part| part.split("```").next().unwrap()).collect()
}

/// The recipe as a program of its own.
fn recipe_file(name: &str) -> PathBuf {
    for (tool, asks) in [("jq", "--version"), ("sha256sum", "--version"), ("openssl", "version")] {
        assert!(run(tool, &[asks]).status.success());
    }
    let program = scratch(name).join("recipe.sh");
    std::fs::write(&program, recipe()).unwrap();
    program
}

#[test]
fn the_recipe_of_the_format_accepts_the_archive() {
    let program = recipe_file("recipe");
    let archive = &shipped().played().archive;
    let (accepts, words) = said("bash", &[arg(&program), arg(archive)]);
    assert!(accepts, "{words}");
    let entries = shipped().contents.entries.len();
    assert!(words.contains(&format!("{entries} entries, ")), "{words}");
    assert!(words.contains("0 without payload") && words.contains(" 0 faults"), "{words}");
}

#[test]
fn the_recipe_refuses_a_changed_reading() {
    let program = recipe_file("recipe-changed");
    let archive = &shipped().played().archive;
    let text = std::fs::read_to_string(archive).unwrap();
    let at = text.lines().position(|line| line.contains("104.7 bar")).unwrap();
    let number = (at + 1).to_string();
    let (accepts, words) = said("bash", &[arg(&program), arg(archive), &number]);
    assert!(accepts && words.contains("answer_given"), "{words}");
    let changed = program.with_file_name("changed.jsonl");
    std::fs::write(&changed, text.replacen("104.7 bar", "107.7 bar", 1)).unwrap();
    let (accepts, words) = said("bash", &[arg(&program), arg(&changed), &number]);
    assert!(!accepts && words.contains("payload"), "{words}");
}

/// What a stranger does who has the report alone: qpdf takes the entries out of it, the recipe
/// verifies them. They are the very entries that the archive begins with.
#[test]
fn the_entries_in_the_report_are_those_of_the_archive_and_pass_the_recipe() {
    let played = shipped().played();
    let program = recipe_file("recipe-inside");
    let inside = text("qpdf", &["--show-attachment=entries.jsonl", arg(&played.report)]);
    let file = program.with_file_name("inside.jsonl");
    std::fs::write(&file, &inside).unwrap();
    let (accepts, words) = said("bash", &[arg(&program), arg(&file)]);
    assert!(accepts && words.contains(" 0 faults"), "{words}");

    let archive = std::fs::read_to_string(&played.archive).unwrap();
    let parse = |line: &str| serde_json::from_str::<serde_json::Value>(line).unwrap();
    let mut bare = Vec::new();
    for (inside, whole) in inside.lines().map(parse).zip(archive.lines().map(parse)) {
        assert_eq!(inside["header"], whole["header"]);
        assert_eq!(inside["signature"], whole["signature"]);
        if let Some(payload) = inside.get("payload") {
            assert_eq!(payload, &whole["payload"]);
        } else {
            let header = parse(inside["header"].as_str().unwrap());
            bare.push(header["subject"].as_str().unwrap().to_owned());
        }
    }
    // What travels as a header alone is about other dishes, or people who never came near this one.
    let scene = shipped();
    let about = |dish: &str| -> Vec<String> {
        let position = scene.contents.document(&format!("position/{dish}"));
        let records = position["records"].as_array().unwrap().iter().map(|one| &one["record"]);
        let all = records.chain([&position["subject"]]);
        all.map(|one| one.as_str().unwrap().to_owned()).collect()
    };
    let mut own = about("PC-04");
    assert!(own.iter().all(|subject| !bare.contains(subject)), "of PC-04: {bare:?}");
    assert!(about("PC-02").iter().all(|subject| bare.contains(subject)), "of PC-02: {bare:?}");
    assert!(!inside.contains("Wanda Okoro") && archive.contains("Wanda Okoro"));
    assert!(inside.contains("Bruno Calfú"), "he helped");
    // About this dish, only the issue of the report and its two signatures came later.
    own.push(scene.contents.of_kind("report_issued").next().unwrap().subject.clone());
    let later: Vec<&str> = scene.contents.entries[inside.lines().count()..]
        .iter()
        .filter(|entry| own.contains(&entry.subject))
        .map(|entry| entry.kind.as_str())
        .collect();
    assert_eq!(later, ["report_issued", "report_signed", "report_signed"]);
}
