//! The process that appends, and how it is started, heard and ended.

use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, ExitStatus, Stdio};

use ledger::AttachmentRef;
use store::{AppendStep, Attachment, KdfCost, Retry, Store, StoreConfig};

use crate::chain::{Chain, Says};

const ASKED: &str = "DISHWRIGHT_APPENDER";

/// A logbook in a folder that goes away with this.
pub(crate) struct Folder(tempfile::TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        drop(Store::create(&folder.config()).unwrap());
        folder
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub(crate) fn config(&self) -> StoreConfig {
        config(self.0.path().into())
    }
}

fn config(root: PathBuf) -> StoreConfig {
    StoreConfig::new(root.join("data"), root.join("outside"), "seven quiet dishes turn")
        .with_cost(KdfCost::TRIVIAL)
}

/// What an appending process is to do.
pub(crate) struct Job {
    root: PathBuf,
    count: u64,
    abort: Option<(AppendStep, u64)>,
}

impl Job {
    pub(crate) fn of(folder: &Folder, count: u64) -> Self {
        Self { root: folder.0.path().into(), count, abort: None }
    }

    pub(crate) fn endless(folder: &Folder) -> Self {
        Self::of(folder, u64::MAX)
    }

    /// Aborts at `step` of append number `at`.
    pub(crate) fn aborting(folder: &Folder, step: AppendStep, at: u64) -> Self {
        Self { abort: Some((step, at)), ..Self::of(folder, u64::MAX) }
    }

    pub(crate) fn start(&self) -> Process {
        self.spawn(Command::new(std::env::current_exe().unwrap()))
    }

    /// Starts it under `strace`.
    pub(crate) fn start_under(&self, arguments: &[&str]) -> Process {
        let mut command = Command::new("strace");
        command.args(["-f", "-qq", "-e", "signal=none"]);
        if !arguments.contains(&"-o") {
            command.args(["-o", "/dev/null"]);
        }
        command.args(arguments).arg(std::env::current_exe().unwrap());
        self.spawn(command)
    }

    fn spawn(&self, mut command: Command) -> Process {
        let step = self.abort.map_or_else(String::new, |(step, at)| format!("{step:?} {at}"));
        let job = format!("{}\n{}\n{step}", self.root.display(), self.count);
        let mut child = command
            .env(ASKED, job)
            .env("RUST_BACKTRACE", "0")
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap_or_else(|cause| {
                panic!(
                    "{:?} does not start ({cause}); the proofs need the Debian package `strace`",
                    command.get_program()
                )
            });
        let out = BufReader::new(child.stdout.take().unwrap());
        Process { child, out, status: None }
    }
}

/// An appending process.
pub(crate) struct Process {
    child: Child,
    out: BufReader<ChildStdout>,
    status: Option<ExitStatus>,
}

impl Process {
    /// Until it has opened the logbook.
    pub(crate) fn wait_until_ready(&mut self) {
        let mut line = String::new();
        self.out.read_line(&mut line).unwrap();
        assert_eq!(line, "ready\n");
    }

    /// SIGKILL: the process gets no word in.
    pub(crate) fn kill(&mut self) {
        self.child.kill().unwrap();
        self.wait();
    }

    pub(crate) fn wait(&mut self) {
        self.status = Some(self.child.wait().unwrap());
    }

    pub(crate) fn ended_well(&self) -> bool {
        self.status.is_some_and(|status| status.success())
    }

    /// What it acknowledged, by number, up to the last whole line.
    pub(crate) fn acknowledged(&mut self) -> BTreeMap<u64, String> {
        let mut text = String::new();
        self.out.read_to_string(&mut text).unwrap();
        let whole = text.rfind('\n').map_or("", |end| &text[..end]);
        whole
            .lines()
            .filter_map(|line| line.strip_prefix("ack ")?.split_once(' '))
            .map(|(number, id)| (number.parse().unwrap(), id.to_owned()))
            .collect()
    }

    pub(crate) fn errors(&mut self) -> String {
        let mut text = String::new();
        if let Some(errors) = self.child.stderr.as_mut() {
            errors.read_to_string(&mut text).unwrap();
        }
        text
    }
}

pub(crate) fn is_asked_for() -> bool {
    std::env::var_os(ASKED).is_some()
}

/// Appends, and says `ack NUMBER ID` when the store has acknowledged.
pub(crate) fn run() {
    let job = std::env::var(ASKED).unwrap();
    let mut lines = job.split('\n');
    let root = lines.next().unwrap().into();
    let count: u64 = lines.next().unwrap().parse().unwrap();
    let abort = lines.next().unwrap().to_owned();
    if let Err(error) = append(root, count, abort) {
        eprintln!("{error} {}", error.next_step());
        std::process::exit(1);
    }
}

fn append(root: PathBuf, count: u64, abort: String) -> Result<(), store::StoreError> {
    let chain = Chain::new(1);
    let mut store = Store::open(&config(root))?;
    let mut out = std::io::stdout();
    // Written straight away: what is heard was said after the acknowledgement.
    let mut say = |line: String| out.write_all(line.as_bytes()).and_then(|()| out.flush()).unwrap();
    say("ready\n".to_owned());
    if !abort.is_empty() {
        let mut seen = 0;
        store.watch_appends(Box::new(move |step| {
            seen += u64::from(step == AppendStep::Begun);
            if abort == format!("{step:?} {seen}") {
                std::process::abort();
            }
        }));
    }
    let mut done = 0;
    while done < count {
        let head = store.head()?.map(|head| (head.number, head.id));
        let number = head.map_or(1, |(number, _)| number + 1);
        // Every third entry has a file of its own, larger than a page.
        let photo = Attachment::from_bytes(format!("photo {number} ").repeat(700).into_bytes());
        let attachments = if number % 3 == 0 { vec![photo] } else { Vec::new() };
        let named = attachments
            .iter()
            .map(|given| AttachmentRef { hash: *given.digest(), length: given.length() })
            .collect();
        let payload = format!("{{\"n\":{number},\"process\":{}}}", std::process::id());
        let says =
            Says { payload: &payload, subject: number % 5, attachments: named, kind: "note" };
        match store.append(&chain.after(head, &says), &attachments) {
            Ok(acknowledged) => {
                say(format!("ack {} {}\n", acknowledged.number(), acknowledged.id()));
                done += 1;
            }
            // Another process was faster: read the head again.
            Err(error) if error.retry() == Retry::Helps => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
}
