//! Reading a system call trace: between the write to the WAL and the acknowledgement, a flush.

/// What a trace showed.
pub(crate) struct Seen {
    pub(crate) acknowledgements: usize,
    /// The fewest writes to the WAL before any one acknowledgement.
    pub(crate) least_writes: usize,
}

/// Reads lines such as `71 pwrite64(5</x/logbook.db-wal>, "..."..., 4096, 32) = 4096`, and
/// refuses the trace when an acknowledgement comes with nothing written, or nothing flushed after
/// the last write.
pub(crate) fn read(trace: &str) -> Result<Seen, String> {
    let (mut writes, mut flushed) = (0, false);
    let mut seen = Seen { acknowledgements: 0, least_writes: usize::MAX };
    for line in trace.lines() {
        let call = line.trim_start_matches(|sign: char| sign.is_ascii_digit()).trim_start();
        let on_wal = call.contains("logbook.db-wal>");
        let done = |result: &str| call.ends_with(result);
        if call.starts_with("pwrite64(") && on_wal {
            writes += 1;
            flushed = false;
        } else if (call.starts_with("fdatasync(") || call.starts_with("fsync(")) && on_wal {
            flushed = done("= 0");
        } else if call.starts_with("write(1<") && call.contains("\"ack ") {
            if writes == 0 {
                return Err(format!("acknowledged with nothing written: {line}"));
            }
            if !flushed {
                return Err(format!("acknowledged before the flush: {line}"));
            }
            seen.acknowledgements += 1;
            seen.least_writes = seen.least_writes.min(writes);
            (writes, flushed) = (0, false);
        }
    }
    Ok(seen)
}

/// Traces made up to be refused.
pub(crate) fn can_say_no() {
    let write = "7 pwrite64(5</d/logbook.db-wal>, \"\\1\"..., 4096, 32) = 4096\n";
    let flush = "7 fdatasync(5</d/logbook.db-wal>) = 0\n";
    let failed = "7 fdatasync(5</d/logbook.db-wal>) = -1 EIO (Input/output error)\n";
    let other = "7 fdatasync(4</d/logbook.db>) = 0\n";
    let ack = "7 write(1<pipe:[3]>, \"ack 1 ab\"..., 71) = 71\n";
    assert_eq!(read(&[write, flush, ack].concat()).unwrap().acknowledgements, 1);
    let bad: [&[&str]; 6] = [
        &[write, ack],
        &[flush, ack],
        &[write, other, ack],
        &[write, failed, ack],
        &[write, flush, write, ack],
        &[write, flush, ack, ack],
    ];
    for trace in bad {
        assert!(read(&trace.concat()).is_err(), "{trace:?}");
    }
}
