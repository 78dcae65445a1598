//! What the one browser gets: pages under a strict policy, and the app's own answers.

use std::path::Path;

use crate::asking::Serving;

#[test]
fn every_answer_carries_the_policy() {
    let serving = Serving::start();
    let before = serving.get("/", &[]);
    let entering = serving.get(&format!("/enter/{}", serving.token), &[]);
    let cookie = entering.header("set-cookie").unwrap().split(';').next().unwrap();
    let cookie = format!("cookie: {cookie}");
    let answers = [
        serving.get("/", &[&cookie]),
        serving.get("/no-such-page", &[&cookie]),
        serving.command("session", "{}", &cookie),
        serving.command("no_such_command", "{}", &cookie),
        before,
        entering,
    ];
    for answer in answers {
        let policy = answer.header("content-security-policy").unwrap();
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "connect-src 'self'",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
        ] {
            assert!(policy.split("; ").any(|given| given == part), "{part} in {policy}");
        }
        assert!(!policy.contains("unsafe") && !policy.contains('*'), "{policy}");
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cache-control", "no-store"),
            ("cross-origin-opener-policy", "same-origin"),
            ("cross-origin-resource-policy", "same-origin"),
        ] {
            assert_eq!(answer.header(name), Some(value), "{answer:?}");
        }
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
}

/// With the screens built, the page and all that it names; without, a page that says so.
#[test]
fn the_page_and_what_it_names_are_served() {
    let serving = Serving::start();
    let cookie = serving.enter();
    let page = serving.get("/", &[&cookie]);
    let built = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../ui/dist/index.html");
    if !built.is_file() {
        page.refused(503, "serve.no_screens");
        assert!(page.body.contains("cargo xtask ui"));
        return;
    }
    assert_eq!(page.status, 200);
    assert!(page.header("content-type").unwrap().starts_with("text/html"));
    let named: Vec<&str> = page
        .body
        .split('"')
        .filter_map(|text| text.strip_prefix("./"))
        .filter(|text| !text.contains(char::is_whitespace))
        .collect();
    assert!(named.iter().any(|name| name.ends_with(".js")), "{named:?}");
    for name in named {
        let file = serving.get(&format!("/{name}"), &[&cookie]);
        assert_eq!(file.status, 200, "{name}");
        let media = match name.rsplit('.').next() {
            Some("js") => "text/javascript; charset=utf-8",
            Some("css") => "text/css; charset=utf-8",
            Some("svg") => "image/svg+xml",
            other => panic!("{other:?}: the page names another kind of file"),
        };
        assert_eq!(file.header("content-type"), Some(media), "{name}");
    }
}

#[test]
fn the_apps_own_answers_and_errors_come_through() {
    let serving = Serving::start();
    let cookie = serving.enter();
    let session = serving.command("session", "{}", &cookie);
    assert_eq!(session.status, 200, "{session:?}");
    assert_eq!(session.json()["state"], "closed");
    serving.command("people", "{}", &cookie).refused(422, "door.closed");
    serving.command("session", "{\"more\": 1}", &cookie).refused(422, "door.arguments");
    serving.command("session", "7", &cookie).refused(422, "door.arguments");
    for name in ["no_such_command", "SESSION", "session%20", "..", "%2e%2e%2fsession"] {
        serving.command(name, "{}", &cookie).refused(404, "door.unknown_command");
    }
    serving.command("session/more", "{}", &cookie).refused(404, "serve.no_such_page");
    // The folder holds no logbook: no passphrase opens it, and it stays as it was.
    let unlock = serving.command("unlock", "{\"passphrase\": \"several words\"}", &cookie);
    assert_eq!(unlock.status, 422, "{unlock:?}");
    let error = unlock.json();
    for part in ["code", "sentence", "next_step"] {
        assert!(error[part].as_str().is_some_and(|words| !words.is_empty()), "{error}");
    }
    assert!(!unlock.body.contains("several words"), "a passphrase is not said again");
    let after = serving.command("session", "{}", &cookie);
    assert_eq!(after.json()["state"], "closed");
}
