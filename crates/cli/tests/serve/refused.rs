//! What gets no answer, and says why: everyone but the one browser, and every odd request.

use std::io::Write as _;

use crate::asking::{Answer, JSON, Serving};

const SESSION: &str = "/api/session";

#[test]
fn without_the_cookie_nothing_is_answered() {
    let serving = Serving::start();
    for path in ["/", "/index.html", "/mark.svg", "/assets/", "/no-such-page", "/enter"] {
        serving.get(path, &[]).refused(403, "serve.not_entered");
    }
    for name in app::door::COMMANDS {
        serving.command(name, "{}", "").refused(403, "serve.not_entered");
    }
    let made_up = format!("cookie: dishwright_{}={}", serving.port, "0".repeat(64));
    serving.command("session", "{}", &made_up).refused(403, "serve.not_entered");
    // The token opens the gate; it is no cookie.
    let token = format!("cookie: dishwright_{}={}", serving.port, serving.token);
    serving.command("session", "{}", &token).refused(403, "serve.not_entered");
    let cookie = serving.enter();
    assert_eq!(serving.command("session", "{}", &cookie).status, 200, "the cookie is what lacked");
}

#[test]
fn the_address_works_once_and_for_one_browser() {
    let serving = Serving::start();
    serving.get("/enter/", &[]).refused(404, "serve.no_such_page");
    serving.get("/enter/0", &[]).refused(403, "serve.address_used");
    let wrong = "0".repeat(64);
    serving.get(&format!("/enter/{wrong}"), &[]).refused(403, "serve.address_used");
    let address = format!("/enter/{}", serving.token);
    let posted = serving.ask("POST", &address, &serving.host(), &[], b"");
    posted.refused(405, "serve.wrong_method");
    let first = serving.get(&address, &[]);
    assert_eq!((first.status, first.header("location")), (303, Some("/")));
    let cookie = first.header("set-cookie").unwrap();
    for flag in ["; HttpOnly", "; SameSite=Strict", "; Path=/"] {
        assert!(cookie.contains(flag), "{cookie}");
    }
    assert!(!cookie.contains(&serving.token), "the token is in the browser's history");
    serving.get(&address, &[]).refused(403, "serve.address_used");
    let line = format!("cookie: {}", cookie.split(';').next().unwrap());
    let again = serving.get(&address, &[&line]);
    assert_eq!((again.status, again.header("set-cookie")), (303, None), "back button: go on");
    assert_eq!(serving.command("session", "{}", &line).status, 200);
}

#[test]
fn under_another_name_nothing_is_answered() {
    let serving = Serving::start();
    let cookie = serving.enter();
    let port = serving.port;
    let others = [
        format!("evil.example:{port}"),
        "evil.example".to_owned(),
        "127.0.0.1".to_owned(),
        format!("127.0.0.1:{}", if port == 9 { 10 } else { 9 }),
        format!("127.0.0.1.evil.example:{port}"),
        format!("[::1]:{port}"),
        format!("0.0.0.0:{port}"),
        String::new(),
    ];
    for host in &others {
        for (method, path) in [("POST", SESSION), ("GET", "/"), ("GET", "/enter/0")] {
            let answer = serving.ask(method, path, host, &[JSON, &cookie], b"{}");
            answer.refused(403, "serve.wrong_address");
        }
    }
    let two = format!(
        "GET / HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nhost: evil.example\r\n{cookie}\r\nconnection: close\r\n\r\n"
    );
    serving.raw(two.as_bytes()).refused(403, "serve.wrong_address");
    let none = format!("GET / HTTP/1.0\r\n{cookie}\r\n\r\n");
    serving.raw(none.as_bytes()).refused(403, "serve.wrong_address");
    let by_name = format!("localhost:{port}");
    let answer = serving.ask("POST", SESSION, &by_name, &[JSON, &cookie], b"{}");
    assert_eq!(answer.status, 200, "this machine's own name is ours: {answer:?}");
}

#[test]
fn a_page_of_another_origin_gets_nothing() {
    let serving = Serving::start();
    let cookie = serving.enter();
    let port = serving.port;
    let ask =
        |line: &str| serving.ask("POST", SESSION, &serving.host(), &[JSON, &cookie, line], b"{}");
    for origin in [
        "http://evil.example".to_owned(),
        "null".to_owned(),
        "http://127.0.0.1".to_owned(),
        format!("https://127.0.0.1:{port}"),
        format!("http://localhost:{port}"),
        format!("http://127.0.0.1:{port}0"),
        format!("http://127.0.0.1:{port}/"),
    ] {
        ask(&format!("origin: {origin}")).refused(403, "serve.foreign_page");
    }
    for site in ["cross-site", "same-site", "none"] {
        ask(&format!("sec-fetch-site: {site}")).refused(403, "serve.foreign_page");
    }
    let own = ask(&format!("origin: http://127.0.0.1:{port}\r\nsec-fetch-site: same-origin"));
    assert_eq!(own.status, 200, "{own:?}");
}

#[test]
fn a_command_is_posted_as_json() {
    let serving = Serving::start();
    let cookie = serving.enter();
    let host = serving.host();
    for media in [
        "",
        "content-type: text/plain",
        "content-type: application/x-www-form-urlencoded",
        "content-type: multipart/form-data; boundary=a",
        "content-type: application/jsonx",
        "content-type: text/plain; a=application/json",
    ] {
        let answer = serving.ask("POST", SESSION, &host, &[&cookie, media], b"{}");
        answer.refused(415, "serve.not_json");
    }
    for body in ["", "{", "{} {}", "\u{0}", "name=value"] {
        serving.command("session", body, &cookie).refused(400, "serve.not_json");
    }
    let deep = "[".repeat(100_000);
    serving.command("session", &deep, &cookie).refused(400, "serve.not_json");
    for method in ["GET", "PUT", "DELETE", "OPTIONS", "PATCH"] {
        let answer = serving.ask(method, SESSION, &host, &[JSON, &cookie], b"");
        answer.refused(405, "serve.wrong_method");
    }
    let with_charset = "content-type: application/json; charset=utf-8";
    let answer = serving.ask("POST", SESSION, &host, &[with_charset, &cookie], b"{}");
    assert_eq!(answer.status, 200, "{answer:?}");
}

#[test]
fn what_is_too_large_is_refused_and_the_server_goes_on() {
    const LIMIT: usize = 32 * 1024 * 1024;
    let serving = Serving::start();
    let cookie = serving.enter();
    let head = format!(
        "POST {SESSION} HTTP/1.1\r\nhost: {}\r\n{JSON}\r\n{cookie}\r\nconnection: close\r\n",
        serving.host()
    );
    // Said beforehand: refused before anything of it was read.
    let said = format!("{head}content-length: {}\r\n\r\n", LIMIT + 1);
    serving.raw(said.as_bytes()).refused(413, "serve.too_large");
    // Not said: refused once it is more.
    let mut stream = serving.connect();
    let mut chunk = format!("{:x}\r\n", 1 << 20).into_bytes();
    chunk.resize(chunk.len() + (1 << 20), b' ');
    chunk.extend_from_slice(b"\r\n");
    stream.write_all(format!("{head}transfer-encoding: chunked\r\n\r\n").as_bytes()).unwrap();
    for _ in 0..LIMIT >> 20 {
        stream.write_all(&chunk).unwrap();
    }
    // One byte over, and no end: the answer does not wait for one.
    stream.write_all(b"1\r\n \r\n").unwrap();
    Answer::read(stream).refused(413, "serve.too_large");
    // As much as is taken: read whole, and not JSON only because it is blank.
    let most = " ".repeat(LIMIT);
    serving.command("session", &most, &cookie).refused(400, "serve.not_json");
    assert_eq!(serving.command("session", "{}", &cookie).status, 200);
}

#[test]
fn no_path_leads_out_of_the_screens() {
    let serving = Serving::start();
    let cookie = serving.enter();
    for path in [
        "/../Cargo.toml",
        "/../../../../../../etc/passwd",
        "/%2e%2e/Cargo.toml",
        "/..%2fCargo.toml",
        "/assets/../../package.json",
        "/assets/..%5c..%5cpackage.json",
        "//etc/passwd",
        "/%2fetc%2fpasswd",
        "/index.html%00.js",
        "/assets",
        "/assets/",
        "/.",
    ] {
        serving.get(path, &[&cookie]).refused(404, "serve.no_such_page");
    }
    for method in ["POST", "PUT", "DELETE", "OPTIONS"] {
        let answer = serving.ask(method, "/", &serving.host(), &[&cookie], b"");
        answer.refused(405, "serve.wrong_method");
    }
}
