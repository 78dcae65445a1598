//! Checking things from outside: a signed report, an archive of entries, a data folder.
//!
//! Findings are collected; nothing stops at the first.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use ledger::{ChainVerifier, Trust, archive};
use serde::Serialize;
use store::{Depth, StoreConfig};

use crate::error::{AppError, Result};
use crate::files;
use crate::progress::{Progress, Sink};

/// How grave a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Looked at and right.
    Right,
    /// Worth knowing.
    Note,
    /// To be looked into.
    Warning,
    /// Wrong.
    Error,
}

/// One thing that was found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Stable identifier.
    pub code: String,
    /// How grave it is.
    pub level: Level,
    /// What it is about.
    pub object: String,
    /// What was found.
    pub sentence: String,
    /// What to do; empty when there is nothing to do.
    pub next_step: String,
}

/// What came of an inspection.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Inspection {
    /// What was looked at: `report`, `archive` or `data folder`.
    pub kind: &'static str,
    /// Where it lies.
    pub path: PathBuf,
    /// In one sentence.
    pub summary: String,
    /// Whether what was looked at may be relied on as far as this check reaches: nothing is wrong,
    /// and of a report, nothing was left uncompared and somebody signed it.
    pub settled: bool,
    /// Everything found, what is right included.
    pub findings: Vec<Finding>,
}

impl Inspection {
    /// The gravest level found; none when nothing was found.
    pub fn worst(&self) -> Option<Level> {
        self.findings.iter().map(|finding| finding.level).max()
    }
}

/// Findings that leave a part of a report unproven.
const NOT_COMPARED: [&str; 3] =
    ["report.written_by_other_version", "report.data_of_other_version", "report.other_words"];

/// How to look.
#[derive(Clone, Debug, Default)]
pub struct InspectOptions {
    /// Verify every byte and signature.
    pub deep: bool,
    /// The root certificate that a report must lead to.
    pub root: Option<PathBuf>,
    /// The folder of the secret outside the data folder.
    pub secrets: Option<PathBuf>,
}

/// Asks for a passphrase; called for data folders only.
pub type Ask<'a> = dyn FnMut() -> Result<String> + 'a;

/// Inspects whatever `path` is.
///
/// # Errors
/// A path that doesn't exist or is nothing that this program knows; a data folder that can't be
/// opened at all.
pub fn inspect(
    path: &Path,
    options: &InspectOptions,
    ask: &mut Ask<'_>,
    progress: &mut Sink<'_>,
) -> Result<Inspection> {
    if path.is_dir() {
        return folder(path, options, ask, progress);
    }
    let mut start = [0; 5];
    let head = {
        use std::io::Read as _;
        let mut file = File::open(path).map_err(|cause| missing(path, &cause))?;
        let read = file.read(&mut start).map_err(|cause| missing(path, &cause))?;
        start.get(..read).unwrap_or_default().to_vec()
    };
    let named_pdf = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("pdf"));
    if head.starts_with(b"%PDF") || named_pdf {
        return pdf(path, options);
    }
    if head.starts_with(b"{") {
        return entries(path, progress);
    }
    Err(AppError::new(
        "check.unknown",
        format!("{} is neither a report, nor a data folder, nor an archive.", path.display()),
        "Name a PDF that this program wrote, a data folder, or an archive (.jsonl).",
    ))
}

fn missing(path: &Path, cause: &std::io::Error) -> AppError {
    AppError::new(
        "check.missing",
        format!("{} can't be opened: {cause}.", path.display()),
        "See that the path is right and that this user may read it.",
    )
}

fn pdf(path: &Path, options: &InspectOptions) -> Result<Inspection> {
    let bytes = files::read(path)?;
    let expected_root = match &options.root {
        Some(root) => Some(crate::handover::root_fingerprint(&files::read(root)?)?),
        None => None,
    };
    let verified = report::verify(&bytes, &report::VerifyOptions { expected_root });
    let mut findings: Vec<Finding> = verified
        .statements
        .iter()
        .map(|statement| Finding {
            code: format!("report.{}", statement.code),
            level: match statement.level {
                report::Level::Ok => Level::Right,
                report::Level::Warning => Level::Warning,
                report::Level::Error => Level::Error,
            },
            object: statement.object.clone(),
            sentence: statement.sentence.clone(),
            next_step: statement.next_step.clone(),
        })
        .collect();
    match &verified.entries {
        Some(evidence) => {
            let seen = verify_entries(evidence.as_slice(), &mut |_| {});
            findings.extend(seen.findings("entries inside the report"));
            if let Some(view) = &verified.report {
                findings.extend(agreement(view, evidence, &verified.signed));
            }
        }
        None => findings.push(Finding {
            code: "report.no_entries".to_owned(),
            level: Level::Error,
            object: "entries inside the report".to_owned(),
            sentence: "The entries that the report rests on can't be taken out of it.".to_owned(),
            next_step: "Ask the site for its archive of entries and check that.".to_owned(),
        }),
    }
    let errors = findings.iter().filter(|finding| finding.level == Level::Error).count();
    let signed = verified.statements.iter().any(|statement| {
        statement.level == report::Level::Ok && statement.object.starts_with("signature ")
    });
    let unproven = findings.iter().find(|finding| NOT_COMPARED.contains(&finding.code.as_str()));
    let summary = match errors {
        0 if unproven.is_some() => {
            "Part of this report could not be compared; nothing proves that part.".to_owned()
        }
        0 if !signed => "Nobody has signed this report: anyone may have made it. Nothing else was \
                         found wrong."
            .to_owned(),
        0 if options.root.is_none() => "Nothing was found wrong with this report. Whose it is, \
                                        only the site's root certificate tells: give --root."
            .to_owned(),
        0 => "Nothing was found wrong with this report.".to_owned(),
        1 => "One thing is wrong with this report. Do not rely on it.".to_owned(),
        more => format!("{more} things are wrong with this report. Do not rely on it."),
    };
    let settled = errors == 0 && signed && unproven.is_none();
    Ok(Inspection { kind: "report", path: path.to_owned(), summary, settled, findings })
}

/// Whether the report and its signers are what the entries inside it say.
fn agreement(view: &[u8], entries: &[u8], signed: &[report::Signed]) -> Vec<Finding> {
    let finding = |code: &str, level: Level, sentence: String, next_step: &str| Finding {
        code: code.to_owned(),
        level,
        object: "what the report says".to_owned(),
        sentence,
        next_step: next_step.to_owned(),
    };
    let compared = match crate::handover::compare(view, entries, signed) {
        Ok(compared) => compared,
        Err(why) => {
            return vec![finding(
                "report.agreement",
                Level::Error,
                format!("It can't be compared with the entries inside it: {why}."),
                "Do not rely on it; ask the site for its archive of entries.",
            )];
        }
    };
    let mut findings: Vec<Finding> = compared
        .contradictions
        .into_iter()
        .map(|text| {
            let next_step = "Do not rely on this report: its entries say otherwise.";
            finding("report.agreement", Level::Error, format!("{text}."), next_step)
        })
        .collect();
    if let Some(version) = compared.other_version {
        let next_step = format!("Version {version} made it: check it with that version too.");
        findings.extend(compared.wordings.into_iter().map(|text| {
            finding("report.other_words", Level::Warning, format!("{text}."), &next_step)
        }));
    }
    if findings.is_empty() {
        let same = "It is exactly what the entries inside it give, worked out anew, verdicts \
                    included; and they know everyone who signed, in that role.";
        findings.push(finding("report.agreement", Level::Right, same.to_owned(), ""));
    }
    findings
}

fn entries(path: &Path, progress: &mut Sink<'_>) -> Result<Inspection> {
    let file = File::open(path).map_err(|cause| missing(path, &cause))?;
    let seen = verify_entries(BufReader::new(file), progress);
    let findings = seen.findings("archive");
    let summary = match findings.iter().filter(|f| f.level == Level::Error).count() {
        0 => format!("All {} entries hold.", seen.entries),
        more => format!("{more} faults among {} entries.", seen.entries),
    };
    let settled = findings.iter().all(|finding| finding.level != Level::Error);
    Ok(Inspection { kind: "archive", path: path.to_owned(), summary, settled, findings })
}

/// Faults that are listed of one archive; after so many nobody reads on.
const MOST_FAULTS: usize = 200;

/// What came of verifying a row of entries.
struct EntriesSeen {
    entries: u64,
    chains: Vec<String>,
    /// Whether every chain was admitted by the founding one or by one that it let admit others.
    all_admitted: bool,
    faults: Vec<(String, String)>,
}

impl EntriesSeen {
    fn findings(&self, what: &str) -> Vec<Finding> {
        if self.faults.is_empty() {
            return vec![Finding {
                code: "entries.hold".to_owned(),
                level: if self.all_admitted { Level::Right } else { Level::Warning },
                object: what.to_owned(),
                sentence: format!(
                    "All {} entries hold: hashes, chain links and signatures. {}",
                    self.entries,
                    self.chains.join(" ")
                ),
                next_step: match self.all_admitted {
                    true => String::new(),
                    false => "Ask the site whether it admitted that installation; until then its \
                              entries prove nothing."
                        .to_owned(),
                },
            }];
        }
        self.faults
            .iter()
            .map(|(code, sentence)| Finding {
                code: format!("entries.{code}"),
                level: Level::Error,
                object: what.to_owned(),
                sentence: format!("{sentence}."),
                next_step: "Compare with another copy of the archive; keep both.".to_owned(),
            })
            .collect()
    }
}

fn verify_entries(input: impl std::io::BufRead, progress: &mut Sink<'_>) -> EntriesSeen {
    let (mut verifier, mut trust) = (ChainVerifier::new(), Trust::new());
    let mut faults = Vec::new();
    for line in archive::read_lines(input) {
        if faults.len() + verifier.faults().len() >= MOST_FAULTS {
            faults.push((
                "many".to_owned(),
                "There are more faults; reading stopped here".to_owned(),
            ));
            break;
        }
        match line {
            Err(fault) => faults.push(("line".to_owned(), fault.to_string())),
            Ok(parts) => {
                let entry =
                    verifier.feed(&parts.header, parts.payload.as_deref(), &parts.signature);
                if let Some(Err(fault)) = entry.as_ref().map(|entry| trust.follow(entry)) {
                    faults.push(("trust".to_owned(), fault.to_string()));
                }
            }
        }
        if verifier.entries() % 1000 == 0 {
            progress(Progress {
                doing: "Verifying entries".into(),
                done: verifier.entries(),
                of: None,
            });
        }
    }
    faults.extend(verifier.faults().iter().map(|fault| ("chain".to_owned(), fault.to_string())));
    if verifier.entries() == 0 {
        faults.push(("none".to_owned(), "There is no entry in it".to_owned()));
    }
    if verifier.entries() > 0 && trust.site().is_none() {
        faults.push((
            "unfounded".to_owned(),
            "No founding of the site that holds is in it".to_owned(),
        ));
    }
    let all_admitted = verifier.frontier().iter().all(|head| trust.standing(&head.chain).is_some());
    let chains = verifier.frontier().iter().map(|head| {
        let standing = match trust.standing(&head.chain) {
            Some(_) => "admitted",
            None => "not admitted",
        };
        format!(
            "Chain {} ({standing}) ends at number {}, {}.",
            head.chain.short(),
            head.number,
            head.id.short()
        )
    });
    EntriesSeen { entries: verifier.entries(), chains: chains.collect(), all_admitted, faults }
}

fn folder(
    path: &Path,
    options: &InspectOptions,
    ask: &mut Ask<'_>,
    progress: &mut Sink<'_>,
) -> Result<Inspection> {
    if !path.join(store::KEY_FILE).exists() && !path.join(store::DATABASE_FILE).exists() {
        return Err(AppError::new(
            "check.no_logbook",
            format!("{} is a folder, and no logbook is in it.", path.display()),
            "Name the folder that holds logbook.db and keys.json.",
        ));
    }
    let secrets = match &options.secrets {
        Some(folder) => folder.clone(),
        None => crate::logbook::default_secrets()?,
    };
    let config = StoreConfig::new(path, &secrets, ask()?);
    let depth = if options.deep { Depth::Deep } else { Depth::Shallow };
    let checked = store::check_folder(&config, depth, &mut |at: store::Progress| {
        progress(Progress::counted(at.doing, at.done, at.of));
    })?;
    let findings: Vec<Finding> = checked
        .iter()
        .map(|finding| Finding {
            code: format!("store.{}", finding.code),
            level: match finding.level {
                store::Level::Error => Level::Error,
                store::Level::Warning => Level::Warning,
                store::Level::Note => Level::Note,
            },
            object: finding.object.clone(),
            sentence: finding.what.clone(),
            next_step: finding.remedy.to_owned(),
        })
        .collect();
    let looked =
        if options.deep { "every byte and signature" } else { "a part; --deep looks at all" };
    let summary = match findings.iter().filter(|f| f.level == Level::Error).count() {
        0 => format!("Nothing wrong was found in this data folder ({looked})."),
        1 => "One thing is wrong in this data folder.".to_owned(),
        more => format!("{more} things are wrong in this data folder."),
    };
    let settled = findings.iter().all(|finding| finding.level != Level::Error);
    Ok(Inspection { kind: "data folder", path: path.to_owned(), summary, settled, findings })
}
