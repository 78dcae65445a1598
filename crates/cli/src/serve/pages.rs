//! The built screens, by their exact names, and the policy that every answer carries.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::Path;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse as _, Response};
use rust_embed::RustEmbed;

use super::Served;
use super::refusal::Refusal;

/// The same as the window's, without its bridge: nothing from elsewhere, nothing inline.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

const HEADERS: [(HeaderName, &str); 6] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    // What was shown to one person does not come up again for the next.
    (CACHE_CONTROL, "no-store"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// What `cargo xtask ui` built.
#[derive(RustEmbed)]
#[folder = "../../ui/dist"]
#[allow_missing = true]
struct Built;

/// The files of the screens by the path under which a browser asks for them.
pub(super) struct Screens {
    files: BTreeMap<String, Cow<'static, [u8]>>,
}

impl Screens {
    pub(super) fn of_this_build() -> Self {
        let named =
            |name: Cow<'static, str>| Built::get(&name).map(|file| (format!("/{name}"), file.data));
        Self { files: Built::iter().filter_map(named).collect() }
    }

    /// The media type and the bytes. A path is compared with names as they stand and never leads
    /// to a file system.
    fn find(&self, path: &str) -> Option<(&'static str, &[u8])> {
        let path = if path == "/" { "/index.html" } else { path };
        self.files.get(path).map(|bytes| (media(path), bytes.as_ref()))
    }
}

fn media(path: &str) -> &'static str {
    match Path::new(path).extension().and_then(|ending| ending.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("woff2") => "font/woff2",
        Some("woff") => "font/woff",
        Some("json") => "application/json",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// Gives a file of the screens. The screens keep their own places behind the `#`, which a browser
/// does not send; so there is one page.
pub(super) async fn page(State(served): State<Served>, request: Request) -> Response {
    let path = request.uri().path();
    let found = served.screens.find(path);
    if found.is_none() && path != "/" {
        return unknown().into_answer(path);
    }
    if ![Method::GET, Method::HEAD].contains(request.method()) {
        return wrong_method().await;
    }
    match found {
        Some((media, bytes)) => ([(CONTENT_TYPE, media)], bytes.to_vec()).into_response(),
        None => unbuilt().into_page(),
    }
}

/// Pages are only read.
pub(super) async fn wrong_method() -> Response {
    Refusal::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "serve.wrong_method",
        "Pages are read with GET.",
        "Open the logbook by its own address.",
    )
    .into_page()
}

fn unbuilt() -> Refusal {
    Refusal::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "serve.no_screens",
        "This program was built without the screens.",
        "Run `cargo xtask ui`, build it again, and run `dishwright serve` again.",
    )
}

fn unknown() -> Refusal {
    Refusal::new(
        StatusCode::NOT_FOUND,
        "serve.no_such_page",
        "There is no page with this address.",
        "Take away what stands after the port and load it again.",
    )
}

/// Puts the policy onto every answer, a refusal as well.
pub(super) async fn with_policy(mut response: Response) -> Response {
    for (name, value) in HEADERS {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::{POLICY, Screens, media};
    use std::borrow::Cow;

    #[test]
    fn only_the_names_themselves_lead_to_a_file() {
        let names = ["/index.html", "/assets/app-1.js"];
        let screens = Screens {
            files: names.map(|name| (name.to_owned(), Cow::Borrowed(name.as_bytes()))).into(),
        };
        assert_eq!(screens.find("/").map(|(_, bytes)| bytes), Some("/index.html".as_bytes()));
        assert!(screens.find("/assets/app-1.js").is_some());
        for path in [
            "",
            "/assets",
            "/assets/",
            "/assets/../index.html",
            "//index.html",
            "/./index.html",
            "/index.html/",
            "/assets/%2e%2e/index.html",
            "/../Cargo.toml",
            "/Index.html",
        ] {
            assert!(screens.find(path).is_none(), "{path}");
        }
    }

    #[test]
    fn every_kind_of_file_has_its_media_type() {
        let cases = [
            ("/index.html", "text/html"),
            ("/assets/a-1b.js", "text/javascript"),
            ("/assets/a.css", "text/css"),
            ("/mark.svg", "image/svg+xml"),
            ("/assets/a.woff2", "font/woff2"),
            ("/other", "application/octet-stream"),
        ];
        for (path, expected) in cases {
            assert!(media(path).starts_with(expected), "{path}");
        }
    }

    /// The window's policy stands in its configuration; the two say the same but for its bridge.
    #[test]
    fn browser_and_window_have_one_policy() {
        let text = include_str!("../../../../src-tauri/tauri.conf.json");
        let config: serde_json::Value = serde_json::from_str(text).unwrap();
        let window = config["app"]["security"]["csp"].as_str().unwrap();
        assert_eq!(POLICY, window.replace(" ipc: http://ipc.localhost", ""));
    }
}
