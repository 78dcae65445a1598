//! The command line: every command, option and help text, declared once.

use std::path::PathBuf;

use app::door::DoorConfig;
use clap::{ArgGroup, Args, Parser, Subcommand};

const ABOUT: &str = "Offline field logbook for commissioning and maintaining solar dish/engine \
                     generators";

const CAUTION: &str = "\
Concentrated sunlight, high-pressure hydrogen, stored energy, voltage and moving structure can \
kill. This program records and calculates; it never says that anything is safe. Local codes, your \
employer's procedures and licensed practice decide, and the padlock protects.

Exit codes: 0 done; 1 done, and what was looked at is wrong, failed or not judged; 2 not done, \
and the message says why and what to do next.";

/// The whole command line.
#[derive(Debug, Parser)]
#[command(name = "dishwright", version, about = ABOUT, after_help = CAUTION)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Play the invented site's story: one dish proved gas-tight, signed, and verified
    Demo(DemoOptions),
    /// Run one of the acceptance calculations on readings given as JSON
    Calc(CalcOptions),
    /// Verify a signed report, a data folder or an exported archive
    Check(CheckOptions),
    /// Write the handover report of one dish as PDF
    Report(ReportOptions),
    /// Copy a data folder and verify the copy
    Backup(BackupOptions),
    /// Show the screens in a browser on this machine
    Serve(ServeOptions),
}

impl Command {
    /// Whether a program reads the answer, an error included.
    pub(crate) fn wants_json(&self) -> bool {
        match self {
            Self::Demo(options) => options.json,
            Self::Calc(options) => options.json,
            Self::Check(options) => options.json,
            Self::Report(options) => options.json,
            Self::Backup(options) => options.json,
            Self::Serve(_) => false,
        }
    }
}

/// `dishwright demo`
#[derive(Debug, Args)]
#[command(after_help = "Everything in the story is invented. DIR gets the data folder, the \
signed PDF, the site's root certificate, an archive of all entries and a note on how to verify \
them without this program.")]
pub(crate) struct DemoOptions {
    /// Folder to write into; it is made if need be and must be empty
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// Print what was done as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// `dishwright calc`
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  dishwright calc --list
  dishwright calc pressure-decay --schema > input.schema.json
  dishwright calc pressure-decay < readings.json
  dishwright calc gas-density --input readings.json --json

Readings are texts with their unit, as read off the instrument: \"110.2 bar(g)\", \"862 hPa\", \
\"19.4 °C\". A missing reading gives \"not judged\", never zero.")]
pub(crate) struct CalcOptions {
    /// Which calculation; `--list` shows them
    #[arg(required_unless_present = "list")]
    pub(crate) name: Option<String>,
    /// List the calculations
    #[arg(long, conflicts_with_all = ["schema", "input", "name", "example"])]
    pub(crate) list: bool,
    /// Print the JSON Schema of the calculation's input instead of running it
    #[arg(long, conflicts_with = "input")]
    pub(crate) schema: bool,
    /// Print an example of the input, with invented numbers, instead of running it
    #[arg(long, value_name = "WHICH", num_args = 0..=1, default_missing_value = "",
          conflicts_with_all = ["input", "schema"])]
    pub(crate) example: Option<String>,
    /// Read the input from this file instead of standard input
    #[arg(long, value_name = "FILE")]
    pub(crate) input: Option<PathBuf>,
    /// Print the result as JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// How to open a data folder.
#[derive(Debug, Args)]
pub(crate) struct Opening {
    /// Read the passphrase from the first line of this file; otherwise it is asked for
    #[arg(long, value_name = "FILE")]
    pub(crate) passphrase_file: Option<PathBuf>,
    /// Folder of the secret that this installation keeps outside its data folder
    #[arg(long, value_name = "DIR")]
    pub(crate) secrets: Option<PathBuf>,
}

/// `dishwright check`
#[derive(Debug, Args)]
#[command(after_help = "PATH may be a report (.pdf), a data folder, or an archive of entries \
(.jsonl). Every finding names what it is about and what to do; checking never stops at the first.")]
pub(crate) struct CheckOptions {
    /// What to verify
    pub(crate) path: PathBuf,
    /// Verify every stored byte and signature and rebuild what is derived (slower)
    #[arg(long)]
    pub(crate) deep: bool,
    /// The site's root certificate (PEM or DER) that a report must lead to
    #[arg(long, value_name = "FILE")]
    pub(crate) root: Option<PathBuf>,
    /// Print the findings as JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// How to open a data folder
    #[command(flatten)]
    pub(crate) opening: Opening,
}

/// `dishwright backup`
#[derive(Debug, Args)]
#[command(after_help = "The copy opens with the same passphrase on any machine, for reading: \
`check` and `report` work on it. It does not go on writing where the original does; that would \
fork the logbook. Keep it on another medium than the tablet.")]
pub(crate) struct BackupOptions {
    /// Folder for the copy; it must not hold a logbook yet
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
    /// The data folder of the site
    #[arg(long, value_name = "DIR", env = "DISHWRIGHT_DATA")]
    pub(crate) data: PathBuf,
    /// Print what was copied as JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// How to open the data folder
    #[command(flatten)]
    pub(crate) opening: Opening,
}

/// `dishwright report`
#[derive(Debug, Args)]
pub(crate) struct ReportOptions {
    /// The dish position, with or without its check letter, e.g. PC-04
    pub(crate) dish: String,
    /// File to write; an existing file is not replaced
    #[arg(long, value_name = "FILE")]
    pub(crate) out: PathBuf,
    /// The data folder of the site
    #[arg(long, value_name = "DIR", env = "DISHWRIGHT_DATA")]
    pub(crate) data: PathBuf,
    /// Print what was written as JSON
    #[arg(long)]
    pub(crate) json: bool,
    /// How to open the data folder
    #[command(flatten)]
    pub(crate) opening: Opening,
}

/// `dishwright serve`
#[derive(Debug, Args)]
#[command(after_help = "The first line printed is the address to open. It works once, for one \
browser; that browser then stays in until it is closed or the program ends. The passphrase is \
asked for on the screen. Only this machine can reach the address; there is no option for others.

Ctrl-C ends it. What was typed is kept.")]
#[command(group = ArgGroup::new("folder").args(["data", "demo"]).required(true))]
pub(crate) struct ServeOptions {
    /// The data folder of the site
    #[arg(long, value_name = "DIR", env = "DISHWRIGHT_DATA")]
    pub(crate) data: Option<PathBuf>,
    /// A folder that `dishwright demo` wrote; it goes on at the time of its story
    #[arg(long, value_name = "OUT")]
    pub(crate) demo: Option<PathBuf>,
    /// Folder of the secret that this installation keeps outside its data folder
    #[arg(long, value_name = "DIR")]
    pub(crate) secrets: Option<PathBuf>,
    /// Port to listen on; 0 for a free one
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub(crate) port: u16,
}

impl ServeOptions {
    /// The folder, and how to open it.
    pub(crate) fn door(&self) -> DoorConfig {
        DoorConfig {
            data: self.demo.clone().or_else(|| self.data.clone()).unwrap_or_default(),
            secrets: self.secrets.clone(),
            demo: self.demo.is_some(),
        }
    }
}
