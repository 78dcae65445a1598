//! Readers of PDF that are not ours: poppler's pdfsig, pyHanko and qpdf.

use std::path::Path;

use crate::places::Places;
use crate::run;
use crate::trouble::Trouble;

/// Asks pdfsig, which is given the site's root to trust and nothing else.
pub(super) fn pdfsig(pdf: &Path, root: &Path) -> Result<(), Trouble> {
    println!("\n== pdfsig ==");
    // A store of trust, made for this one question.
    let folder = tempfile::tempdir().map_err(|error| {
        let what = format!("No temporary folder can be made: {error}.");
        Trouble::new(what, "Set TMPDIR to a folder that you may write to.")
    })?;
    let said = ask_pdfsig(folder.path(), pdf, root)?;
    print!("{said}");
    judge_pdfsig(&said)
}

fn ask_pdfsig(folder: &Path, pdf: &Path, root: &Path) -> Result<String, Trouble> {
    let here = Path::new("/");
    let (folder, pdf, root) =
        (folder.to_string_lossy(), pdf.to_string_lossy(), root.to_string_lossy());
    let store = format!("sql:{folder}");
    run::answer(run::program("certutil", &["-N", "-d", &store, "--empty-password"], here))?;
    let add = ["-A", "-d", &store, "-n", "site root", "-t", "C,C,C", "-i", &root];
    run::answer(run::program("certutil", &add, here))?;
    run::answer(run::program("pdfsig", &["-nssdir", &store, &pdf], here))
}

/// pdfsig ends with 0 even when a signature does not match; its words have to be read.
fn judge_pdfsig(said: &str) -> Result<(), Trouble> {
    let count = |words: &str| said.lines().filter(|line| line.contains(words)).count();
    let signatures = count("- Signature Validation:");
    let valid = count("- Signature Validation: Signature is Valid.");
    let trusted = count("- Certificate Validation: Certificate is Trusted.");
    if signatures > 0 && valid == signatures && trusted == signatures {
        return Ok(());
    }
    Err(Trouble::said_above(format!(
        "of {signatures} signatures, {valid} are valid and {trusted} lead to the site's root"
    )))
}

/// Asks pyHanko, which also looks at what was changed after each signature.
pub(super) fn pyhanko(places: &Places, pdf: &Path, root: &Path) -> Result<(), Trouble> {
    println!("\n== pyHanko ==");
    let program = places.venv().join("bin").join("pyhanko");
    let (pdf, root) = (pdf.to_string_lossy(), root.to_string_lossy());
    let arguments =
        ["sign", "validate", "--pretty-print", "--trust", &root, "--trust-replace", &pdf];
    let output = run::hear(run::program(program, &arguments, &places.root))?;
    let said = String::from_utf8_lossy(&output.stdout);
    print!("{}{said}", String::from_utf8_lossy(&output.stderr));
    judge_pyhanko(output.status.success(), &said)
}

fn judge_pyhanko(ended_well: bool, said: &str) -> Result<(), Trouble> {
    let count = |words: &str| said.lines().filter(|line| line.contains(words)).count();
    let (valid, judged) =
        (count("The signature is judged VALID."), count("The signature is judged"));
    if ended_well && judged > 0 && valid == judged {
        return Ok(());
    }
    Err(Trouble::said_above(format!("of {judged} signatures, {valid} are judged valid")))
}

/// Asks qpdf about the structure of the file.
pub(super) fn qpdf(pdf: &Path) -> Result<(), Trouble> {
    println!("\n== qpdf --check ==");
    run::show(run::program("qpdf", &["--check", &pdf.to_string_lossy()], Path::new("/")))
}

#[cfg(test)]
mod tests {
    use super::{judge_pdfsig, judge_pyhanko};

    // The words are those of pdfsig 22.12 and of pyHanko's command 0.6.
    const SIGNED: &str = "Signature #1:\n  - Signature Validation: Signature is Valid.\n  \
                          - Certificate Validation: Certificate is Trusted.\n";

    #[test]
    fn every_signature_has_to_be_valid_and_trusted() {
        assert!(judge_pdfsig(SIGNED).is_ok());
        assert!(judge_pdfsig("File 'a.pdf' does not contain any signatures\n").is_err());
        let changed = SIGNED.replace("Signature is Valid", "Digest Mismatch");
        assert!(judge_pdfsig(&changed).is_err());
        let stranger = SIGNED.replace("Certificate is Trusted", "Certificate issuer is unknown");
        assert!(judge_pdfsig(&format!("{SIGNED}{stranger}")).is_err());
    }

    #[test]
    fn pyhanko_has_to_judge_each_signature_valid() {
        let valid = "The signature is judged VALID.\n";
        assert!(judge_pyhanko(true, &format!("{valid}{valid}")).is_ok());
        assert!(judge_pyhanko(true, "").is_err());
        assert!(judge_pyhanko(false, valid).is_err());
        assert!(
            judge_pyhanko(true, &format!("{valid}The signature is judged INVALID.\n")).is_err()
        );
    }
}
