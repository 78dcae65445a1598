//! How it starts, and how it ends.

use std::io::Write as _;
use std::net::TcpListener;
use std::process::Command;

use crate::asking::{Answer, Serving, program};

/// Not done, with words on standard error and nothing on standard output.
#[track_caller]
fn not_started(arguments: &[&str], code: &str, words: &[&str]) {
    let out = program(arguments).output().unwrap();
    let said = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(2), "{said}");
    assert!(out.stdout.is_empty(), "no address: nobody listens");
    assert!(said.trim_end().ends_with(&format!("[{code}]")), "{said}");
    for word in words {
        assert!(said.contains(word), "no {word:?} in {said}");
    }
}

#[test]
fn a_port_that_is_taken_is_named() {
    let other = TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let port = other.local_addr().unwrap().port().to_string();
    not_started(
        &["serve", "--data", "/nowhere", "--port", &port],
        "serve.port_taken",
        &[&port, "--port"],
    );
}

#[test]
fn a_folder_that_no_demo_wrote_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().to_str().unwrap();
    not_started(&["serve", "--demo", path], "demo.no_folder", &[path]);
}

#[test]
fn one_folder_has_to_be_named() {
    for arguments in [&["serve"][..], &["serve", "--data", "a", "--demo", "b"]] {
        let out = program(arguments).output().unwrap();
        let said = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{said}");
        assert!(said.contains("--demo") && said.contains("--data"), "{said}");
    }
}

#[test]
fn it_listens_on_the_loopback_address_alone() {
    let serving = Serving::start();
    // proc(5): local address and port in hexadecimal, 0A is listening.
    let listens = |file: &str| {
        let text = std::fs::read_to_string(file).unwrap_or_default();
        let port = format!(":{:04X}", serving.port);
        let lines = text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>());
        lines
            .filter(|words| words.get(3) == Some(&"0A"))
            .filter_map(|words| words.get(1)?.strip_suffix(port.as_str()).map(str::to_owned))
            .collect::<Vec<String>>()
    };
    assert_eq!(listens("/proc/net/tcp"), ["0100007F"]);
    assert_eq!(listens("/proc/net/tcp6"), [""; 0]);
}

#[test]
fn ctrl_c_ends_it_with_a_connection_open() {
    let mut serving = Serving::start();
    let cookie = serving.enter();
    let mut idle = serving.connect();
    let host = serving.host();
    write!(idle, "GET /no-such-page HTTP/1.1\r\nhost: {host}\r\n{cookie}\r\n\r\n").unwrap();
    // The answer has begun, so the request was read before the end.
    assert_eq!(idle.peek(&mut [0]).unwrap(), 1);
    let pid = serving.child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &pid]).status().unwrap().success());
    assert_eq!(serving.child.wait().unwrap().code(), Some(0));
    // The connection was closed by the server.
    assert_eq!(Answer::read(idle).status, 404);
}

#[test]
fn every_start_has_its_own_address() {
    let (one, other) = (Serving::start(), Serving::start());
    assert_ne!(one.token, other.token);
    let cookie = one.enter();
    other.command("session", "{}", &cookie).refused(403, "serve.not_entered");
    let renamed = cookie.replace(&one.port.to_string(), &other.port.to_string());
    other.command("session", "{}", &renamed).refused(403, "serve.not_entered");
}
