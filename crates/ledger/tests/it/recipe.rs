//! The recipe of `docs/format.md`, run as it stands there by bash, jq, sha256sum and openssl: a
//! second verifier that shares no line with this crate.

use std::path::{Path, PathBuf};
use std::process::Command;

use ledger::{Entry, ForkProof};
use serde_json::Value;
use testkit::{ChainWriter, key, subject};

use crate::golden::folder;
use crate::history::{FIRST, REVIEWER, archive_of, bent, examine, story, text};

/// The recipe's blocks, joined as the document says.
fn script() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/format.md");
    let document = std::fs::read_to_string(path).unwrap();
    let mut blocks = 0;
    let (mut script, mut inside) = (String::new(), false);
    for line in document.lines() {
        match (inside, line) {
            (false, "```bash") => (inside, blocks) = (true, blocks + 1),
            (true, "```") => inside = false,
            (true, line) => script.extend([line, "\n"]),
            (false, _) => {}
        }
    }
    assert_eq!((blocks, inside), (3, false), "the document speaks of three blocks");
    script
}

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("recipe");
    std::fs::create_dir_all(&folder).unwrap();
    folder.join(name)
}

/// Runs the recipe; gives whether it accepts, and what it said.
fn run(name: &str, archive: &[u8], more: &[&str]) -> (bool, String) {
    for (tool, asking) in [
        ("bash", "--version"),
        ("jq", "--version"),
        ("sha256sum", "--version"),
        ("openssl", "version"),
    ] {
        let there = Command::new(tool).arg(asking).output().is_ok_and(|out| out.status.success());
        assert!(there, "{tool} does not run here; `cargo xtask setup` installs it");
    }
    let (program, file) = (scratch(&format!("{name}.sh")), scratch(&format!("{name}.jsonl")));
    std::fs::write(&program, script()).unwrap();
    std::fs::write(&file, archive).unwrap();
    let out = Command::new("bash").arg(&program).arg(&file).args(more).output().unwrap();
    let said = String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned();
    (out.status.success(), said)
}

#[track_caller]
fn accepted(name: &str, archive: &[u8]) -> String {
    let (accepted, said) = run(name, archive, &[]);
    assert!(accepted && said.contains(" 0 faults"), "{said}");
    said
}

/// Refused by the recipe with these words, and by the program too.
#[track_caller]
fn refused(name: &str, archive: &[u8], words: &str) {
    assert_ne!(examine(archive).1, Vec::<String>::new(), "the program accepts it");
    let (accepted, said) = run(name, archive, &[]);
    assert!(!accepted && said.contains(words), "{words}: {said}");
}

fn lines() -> Vec<String> {
    String::from_utf8(archive_of(&story())).unwrap().lines().map(ToOwned::to_owned).collect()
}

fn joined(lines: &[String]) -> Vec<u8> {
    lines.iter().flat_map(|line| [line.as_str(), "\n"]).collect::<String>().into_bytes()
}

/// A line with parts of it changed, in JSON.
fn relined(line: &str, change: impl FnOnce(&mut Value)) -> String {
    let mut parts: Value = serde_json::from_str(line).unwrap();
    change(&mut parts);
    parts.to_string()
}

#[test]
fn a_fresh_archive_and_the_golden_one_are_accepted() {
    let entries = story();
    for archive in [archive_of(&entries), std::fs::read(folder().join("archive.jsonl")).unwrap()] {
        let said = accepted("whole", &archive);
        assert!(said.contains("10 entries, 2 of them signed by a person, 1 without payload"));
        for (last, right) in [(&entries[6], "admit"), (&entries[9], "write")] {
            let chain = last.header().chain();
            let wanted = format!("chain {chain}: 5 entries, last {}, right: {right}", last.id());
            assert!(said.contains(&wanted), "{said}");
        }
        assert!(said.contains(&format!("site {}", entries[0].header().site())));
    }
}

#[test]
fn a_single_entry_is_verified_by_itself() {
    let entries = story();
    let archive = archive_of(&entries);
    let (accepted, said) = run("single", &archive, &["4"]);
    let wanted = format!("entry {} holds by itself: photo_taken 1", entries[3].id());
    assert!(accepted && said.contains(&wanted), "{said}");
    for attachment in entries[3].header().attachments() {
        assert!(said.contains(&format!("{}, {} bytes", attachment.hash, attachment.length)));
    }
    let (accepted, said) = run("nobody", &archive, &["11"]);
    assert!(!accepted, "{said}");
}

#[test]
fn a_changed_header_payload_or_signature_is_refused() {
    let whole = lines();
    let with = |index: usize, line: String| {
        let mut lines = whole.clone();
        assert_ne!(lines[index], line);
        lines[index] = line;
        joined(&lines)
    };
    let header = with(6, whole[6].replace("P-03", "P-02"));
    refused("header", &header, "the chain's signature");
    let payload = with(2, whole[2].replace("24 °C", "25 °C"));
    refused("payload", &payload, "the payload of");
    let spelled = with(2, whole[2].replacen("\\\":", "\\\": ", 1));
    refused("spelled", &spelled, "breaks a rule");
    let other = serde_json::from_str::<Value>(&whole[3]).unwrap()["signature"].clone();
    let exchanged = with(2, relined(&whole[2], |parts| parts["signature"] = other));
    refused("signature", &exchanged, "the chain's signature");
    let cut = with(9, whole[9][..whole[9].len() - 9].to_owned());
    refused("cut", &cut, "not a line of an archive");
}

/// One bit in every line, once in each of its three texts, and every line is named.
#[test]
fn a_flipped_byte_is_refused_in_every_line() {
    let whole = lines();
    // In the claimed time, so that the keys in numbers 1 stay readable for the other lines.
    for part in ["claimed\\\":\\\"", "\"payload\":\"", "\"signature\":\""] {
        let mut flipped = Vec::new();
        let mut lines = whole.clone();
        for (index, line) in lines.iter_mut().enumerate() {
            let Some(start) = line.find(part) else { continue };
            let mut bytes = std::mem::take(line).into_bytes();
            let at = start + part.len() + if part.contains("signature") { 10 + index } else { 3 };
            bytes[at] ^= 1;
            *line = String::from_utf8(bytes).unwrap();
            flipped.push(index + 1);
        }
        assert!(flipped.len() >= 9);
        let archive = joined(&lines);
        assert!(examine(&archive).1.len() >= flipped.len());
        let (accepted, said) = run("flipped", &archive, &[]);
        assert!(!accepted);
        for line in flipped {
            assert!(said.contains(&format!("line {line}: ")), "{part} in {line}: {said}");
        }
    }
}

#[test]
fn a_high_twin_of_a_signature_is_refused() {
    let entries = story();
    let low = p256::ecdsa::Signature::from_der(entries[2].signature()).unwrap();
    let (r, s) = low.split_scalars();
    let high = p256::ecdsa::Signature::from_scalars(*r, -*s).unwrap().to_der();
    let twin = Entry::from_stored(entries[2].header_bytes(), entries[2].payload(), high.as_bytes());
    let mut twins = entries;
    twins[2] = twin.unwrap();
    refused("high", &archive_of(&twins), "the chain's signature");
}

#[test]
fn missing_lines_are_refused_and_a_missing_end_is_not() {
    let mut middle = lines();
    middle.remove(4);
    refused("middle", &joined(&middle), "numbers 3 to 3 are missing");
    let mut first = lines();
    first.remove(0);
    refused("first", &joined(&first), "which carries its key, is not here");
    let (accepts, said) = run("empty", b"", &[]);
    assert!(!accepts && said.contains("there is no entry"), "{said}");
    // As the document says: an archive that ends early can't be told from one that is whole.
    accepted("end", &joined(&lines()[..9]));
}

/// Signs a bent header with the founding chain's key, as its installation could do.
fn resealed(entry: &Entry, change: impl FnOnce(&mut Value)) -> String {
    let header = bent(entry, change);
    let signature = key(FIRST).sign(&header);
    let entry = Entry::from_stored(&header, entry.payload(), &signature).unwrap();
    String::from_utf8(archive_of(&[entry])).unwrap().trim_end().to_owned()
}

#[test]
fn a_bond_of_another_entry_key_or_role_is_refused() {
    let entries = story();
    let other: Value = serde_json::from_slice(entries[7].header_bytes()).unwrap();
    let bends: [(&str, &str, Value); 3] = [
        ("bond", "", other["bond"].clone()),
        ("bond", "key", key(41).public().to_string().into()),
        ("bond", "role", "owner_witness".into()),
    ];
    for (field, part, value) in bends {
        let line = resealed(&entries[6], |header| match part {
            "" => header[field] = value,
            part => header[field][part] = value,
        });
        let mut lines = lines();
        lines[6] = line;
        // The entry is the last of its chain, so nothing else is wrong.
        refused("bond", &joined(&lines), "the person's signature");
    }
}

#[test]
fn a_broken_link_and_a_fork_are_refused() {
    let entries = story();
    let mut broken = lines();
    broken[5] = resealed(&entries[5], |header| {
        header["previous"] = entries[0].id().to_string().into();
    });
    refused("link", &joined(&broken), "names another entry before it");

    let (mut writer, found) = ChainWriter::founding();
    let mut write = |said: &str, back: Option<&Entry>| {
        if let Some(entry) = back {
            writer.go_back_to(entry);
        }
        writer.write("note_written", &subject(1), &text(&[("said", said)]), None, Vec::new())
    };
    let (left, right) = (write("left", None), write("right", Some(&found)));
    refused("fork", &archive_of(&[found, left, right]), "FORK");
}

#[test]
fn a_founding_of_another_authority_and_an_admission_without_right_are_refused() {
    let (mut one, _) = ChainWriter::founding();
    let payload = serde_json::json!({
        "authority_key": key(REVIEWER).public(),
        "site_name": "Another",
        "installation_name": "T9",
        "authority_certificate": "",
        "intermediate_certificate": "",
        "authority_signature": ledger::kinds::sign_founding(&key(REVIEWER), &one.public_key())
            .unwrap(),
    });
    let mut other = ChainWriter::new(*one.site(), 5);
    let false_founding = other.write("found", &subject(0), &payload, None, Vec::new());
    let (accepted, said) = run("founding", &archive_of(&[false_founding]), &[]);
    assert!(!accepted && said.contains("the founding"), "{said}");

    let stranger = ChainWriter::new(*one.site(), 6);
    let mut nobody = ChainWriter::new(*one.site(), 7);
    let admission = crate::history::admit(&mut nobody, &stranger, ledger::kinds::Right::Write);
    let found = ChainWriter::founding().1;
    let (accepted, said) = run("admission", &archive_of(&[found, admission]), &[]);
    assert!(!accepted && said.contains("has no effect"), "{said}");
    assert!(said.contains("right: not admitted"), "{said}");
    one.see(&story()[2]);
}

/// A fork proof, checked by the same tools from its JSON alone.
#[test]
fn openssl_confirms_both_sides_of_a_fork_proof() {
    let (mut writer, found) = ChainWriter::founding();
    let note = text(&[("said", "left")]);
    let left = writer.write("note_written", &subject(1), &note, None, Vec::new());
    writer.go_back_to(&found);
    let note = text(&[("said", "right")]);
    let right = writer.write("note_written", &subject(1), &note, None, Vec::new());
    let proof = ForkProof::new(&left, &right, &key(FIRST).public()).unwrap();
    let file = scratch("proof.json");
    std::fs::write(&file, serde_json::to_string(&proof).unwrap()).unwrap();
    let program = r#"set -eu; cd "$(dirname "$1")"
        jq -j .chain_key "$1" | openssl base64 -d -A > proof.key
        for side in one other; do
          jq -j ".$side.header" "$1" > proof.$side
          jq -j ".$side.signature" "$1" | openssl base64 -d -A > proof.sig
          openssl dgst -sha256 -keyform DER -verify proof.key -signature proof.sig proof.$side
        done
        [ "$(jq .number proof.one)" = "$(jq .number proof.other)" ]
        ! cmp -s proof.one proof.other"#;
    let out = Command::new("bash").args(["-c", program, "fork"]).arg(&file).output().unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert_eq!(String::from_utf8_lossy(&out.stdout), "Verified OK\nVerified OK\n");
}
