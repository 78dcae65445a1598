//! What the story wrote, tampered with: `dishwright check` says what was changed, in words, and
//! exits with 1.

use std::path::{Path, PathBuf};

use crate::folders::scratch;
use crate::played::shipped;
use crate::program::{Ran, run};
use crate::tool::{arg, python, text};

/// Appends an update to a PDF by pyHanko, as somebody would who wants another page or other data
/// in a signed file.
const APPEND: &str = r"
import sys
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils import generic
what, source, target, *more = sys.argv[1:]
writer = IncrementalPdfFileWriter(open(source, 'rb'))
if what == 'page':
    reference, _ = writer.find_page_for_modification(int(more[0]) - 1)
    page = reference.get_object()
    page['/Contents'] = writer.add_object(generic.StreamObject(stream_data=b'0.9 g 50 50 400 400 re f'))
    writer.update_container(page)
else:
    names = writer.root['/Names']['/EmbeddedFiles']['/Names']
    held = [names[i + 1]['/EF'] for i in range(0, len(names), 2) if names[i] == what]
    assert len(held) == 1, names
    old = held[0]['/F']
    assert old.data.count(more[0].encode()) > 0
    new = generic.StreamObject(stream_data=old.data.replace(more[0].encode(), more[1].encode()))
    for key, value in old.items():
        if key not in ('/Length', '/Filter', '/DecodeParms'):
            new[key] = value
    reference = writer.add_object(new)
    for key in list(held[0].keys()):
        held[0][key] = reference
    writer.update_container(held[0])
with open(target, 'wb') as out:
    writer.write(out)
";

fn appended(name: &str, arguments: &[&str]) -> PathBuf {
    let target = scratch(name).join("report.pdf");
    let source = arg(&shipped().played().report);
    let all = [&["-c", APPEND, arguments[0], source, arg(&target)], &arguments[1..]].concat();
    text(&python(), &all);
    let (before, after) = (std::fs::read(source).unwrap(), std::fs::read(&target).unwrap());
    assert!(after.len() > before.len() && after.starts_with(&before), "an appended update");
    target
}

fn check(path: &Path) -> Ran {
    let root = format!("--root={}", arg(&shipped().played().root));
    let ran = run(&["check", arg(path), &root]);
    assert_eq!(ran.code, Some(1), "{ran:?}");
    assert!(ran.out.trim_end().ends_with("Do not rely on it."), "{}", ran.out);
    ran
}

/// What is called wrong, one line each.
fn wrong(ran: &Ran) -> Vec<&str> {
    let lines = ran.out.lines().map(str::trim_start);
    lines.filter_map(|line| line.strip_prefix("WRONG")).map(str::trim).collect()
}

/// What is wrong is followed by what to do; the same advice for several is given once, last.
#[track_caller]
fn says_what_to_do(ran: &Ran) {
    let lines: Vec<&str> = ran.out.lines().map(str::trim_start).collect();
    let last = lines.iter().rposition(|line| line.starts_with("WRONG")).unwrap();
    assert!(lines[last + 1].starts_with("→ Do not rely"), "{}", ran.out);
}

#[track_caller]
fn contains(wrong: &[&str], words: &str) {
    assert!(wrong.iter().any(|line| line.contains(words)), "no \"{words}\" in {wrong:#?}");
}

#[test]
fn a_page_replaced_by_an_appended_update_is_named() {
    for page in ["2", "5"] {
        let path = appended("page-replaced", &["page", page]);
        // Poppler looks at what was signed and finds it whole: that alone is not enough.
        let said = text("pdfsig", &["-nocert", arg(&path)]);
        assert_eq!(said.matches("Signature is Valid.").count(), 2, "{said}");
        let ran = check(&path);
        let wrong = wrong(&ran);
        contains(
            &wrong,
            &format!("Page {page} was changed after Teodoro Manquel (supervisor) signed"),
        );
        let others = wrong.iter().filter(|line| line.starts_with("page "));
        assert!(
            others.clone().all(|line| line.starts_with(&format!("page {page}:"))),
            "{wrong:#?}"
        );
        says_what_to_do(&ran);
    }
}

#[test]
fn embedded_data_swapped_by_an_appended_update_are_named() {
    for name in ["report.json", "entries.jsonl"] {
        let ran = check(&appended("data-swapped", &[name, "104.7 bar", "107.7 bar"]));
        let wrong = wrong(&ran);
        contains(
            &wrong,
            &format!("Embedded file {name} was changed after Teodoro Manquel (supervisor) signed"),
        );
        contains(&wrong, &format!("The embedded file {name} was exchanged or changed"));
    }
}

#[test]
fn a_flipped_byte_breaks_both_signatures_and_says_where() {
    let pdf = std::fs::read(&shipped().played().report).unwrap();
    let folder = scratch("flipped");
    // In the content of a page: the first stream that a page names as its contents, by qpdf.
    let map = text("qpdf", &["--show-pages", arg(&shipped().played().report)]);
    let third = map.split("page 3:").nth(1).unwrap();
    let object = third.split("content:").nth(1).unwrap().split_whitespace().next().unwrap();
    let start = format!("\n{object} 0 obj");
    let at = find(&pdf, start.as_bytes());
    let stream = at + find(&pdf[at..], b"stream\n") + 40;
    let mut flipped = pdf.clone();
    flipped[stream] ^= 1;
    let path = folder.join("report.pdf");
    std::fs::write(&path, flipped).unwrap();
    let ran = check(&path);
    let wrong = wrong(&ran);
    contains(&wrong, "Bytes were changed after Ivana Brize (gas technician) signed");
    contains(&wrong, "Bytes were changed after Teodoro Manquel (supervisor) signed");
    contains(&wrong, "page 3");
    assert!(
        !wrong.iter().any(|line| line.contains("page 2") || line.contains("page 4")),
        "{wrong:#?}"
    );
    says_what_to_do(&ran);
}

fn find(bytes: &[u8], part: &[u8]) -> usize {
    bytes.windows(part.len()).position(|window| window == part).unwrap()
}

#[test]
fn an_archive_with_a_changed_or_missing_entry_is_refused() {
    let archive = std::fs::read_to_string(&shipped().played().archive).unwrap();
    let lines: Vec<&str> = archive.lines().collect();
    let path = scratch("archive").join("entries.jsonl");
    let examine = |text: String| {
        std::fs::write(&path, text).unwrap();
        let ran = run(&["check", arg(&path)]);
        assert_eq!(ran.code, Some(1), "{ran:?}");
        ran.out
    };
    let at = lines.iter().position(|line| line.contains("104.7 bar")).unwrap();
    let said = examine(archive.replacen("104.7 bar", "107.7 bar", 1));
    assert!(said.contains(&format!("entry {} ", at + 1)), "{said}");
    let mut without = lines.clone();
    without.remove(at);
    let said = examine(without.join("\n") + "\n");
    assert!(
        said.contains(&format!("{} to {} are missing", at + 1, at + 1)) || said.contains("missing"),
        "{said}"
    );
    let said = examine(archive[..archive.len() - 20].to_owned());
    assert!(said.contains("WRONG"), "{said}");
}
