//! What the pages say, read back by poppler.
use crate::{fixture, tool};

#[test]
fn sample() {
    let pdf = report::render(&fixture::handover(), &fixture::entries()).unwrap();
    let path = tool::file("sample.pdf", &pdf);
    println!("{}", tool::text("qpdf", &["--check", tool::arg(&path)]));
    println!("{}", tool::text("pdftotext", &["-layout", tool::arg(&path), "-"]));
}
