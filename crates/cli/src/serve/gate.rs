//! Who may ask: the one browser that opened the one-time address, and only under that address.
//!
//! Whatever runs on this machine can reach the loopback address: other users' programs, and every
//! web page that a browser here has open. Thus a cookie that no script can read, and checks of
//! where a request was made.

use std::sync::{Mutex, MutexGuard, PoisonError};

use app::error::{AppError, Result};
use axum::extract::{Path, Request, State};
use axum::http::header::{COOKIE, HOST, HeaderName, LOCATION, ORIGIN, SET_COOKIE};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Response};
use subtle::ConstantTimeEq as _;

use super::Served;
use super::refusal::Refusal;

/// Says whether a page of this server or of another asks; set by the browser, not by scripts.
const FETCH_SITE: HeaderName = HeaderName::from_static("sec-fetch-site");

/// 32 random bytes, written as hexadecimal digits.
struct Secret(String);

impl Secret {
    fn new() -> Result<Self> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes)
            .map_err(|cause| AppError::internal("Asking the system for random bytes", cause))?;
        Ok(Self(hex::encode(bytes)))
    }

    /// Compares in a time that does not depend on where the two differ.
    fn is(&self, given: &str) -> bool {
        self.0.as_bytes().ct_eq(given.as_bytes()).into()
    }
}

/// The gate before everything that is served.
pub(super) struct Gate {
    port: u16,
    keys: Mutex<Keys>,
}

struct Keys {
    /// In the address that was printed; gone once it was used.
    token: Option<Secret>,
    /// In the browser that used it.
    cookie: Option<Secret>,
}

impl Gate {
    pub(super) fn new(port: u16) -> Result<Self> {
        let keys = Keys { token: Some(Secret::new()?), cookie: None };
        Ok(Self { port, keys: Mutex::new(keys) })
    }

    /// The address to open, with its token as long as it was not used.
    pub(super) fn address(&self) -> String {
        let keys = self.keys();
        let token = keys.token.as_ref().map_or("", |token| &token.0);
        format!("http://127.0.0.1:{}/enter/{token}", self.port)
    }

    fn keys(&self) -> MutexGuard<'_, Keys> {
        self.keys.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes the token and gives the cookie for it; none if it is not the one, or was used.
    fn exchange(&self, token: &str) -> Result<Option<String>> {
        let mut keys = self.keys();
        if !keys.token.as_ref().is_some_and(|expected| expected.is(token)) {
            return Ok(None);
        }
        let cookie = Secret::new()?;
        let header =
            format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.cookie_name(), cookie.0);
        *keys = Keys { token: None, cookie: Some(cookie) };
        Ok(Some(header))
    }

    /// With the port in it: browsers keep one jar for all ports of a machine.
    fn cookie_name(&self) -> String {
        format!("dishwright_{}", self.port)
    }

    fn has_entered(&self, headers: &HeaderMap) -> bool {
        let keys = self.keys();
        let Some(expected) = &keys.cookie else { return false };
        let name = self.cookie_name();
        headers
            .get_all(COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(given, value)| given == name && expected.is(value))
    }

    /// The address under which it was asked; none if it is not one of ours. A page elsewhere can
    /// have its own name lead to this machine, but the browser then still states that name.
    fn host<'a>(&self, headers: &'a HeaderMap) -> Option<&'a str> {
        let mut stated = headers.get_all(HOST).iter();
        let (Some(host), None) = (stated.next(), stated.next()) else { return None };
        let host = host.to_str().ok()?;
        let (name, port) = host.rsplit_once(':')?;
        let ours = ["127.0.0.1", "localhost"].contains(&name) && port == self.port.to_string();
        ours.then_some(host)
    }

    fn check(&self, headers: &HeaderMap, entering: bool) -> std::result::Result<(), Refusal> {
        let Some(host) = self.host(headers) else { return Err(Refusal::wrong_address(self.port)) };
        let own = format!("http://{host}");
        if headers.get_all(ORIGIN).iter().any(|origin| origin.as_bytes() != own.as_bytes()) {
            return Err(Refusal::foreign_page());
        }
        if entering || self.has_entered(headers) {
            return Ok(());
        }
        Err(Refusal::not_entered())
    }
}

/// Stands before every page and every command.
pub(super) async fn guard(State(served): State<Served>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    let entering = path.starts_with("/enter/");
    match served.gate.check(request.headers(), entering) {
        Ok(()) => next.run(request).await,
        Err(refusal) => refusal.into_answer(path),
    }
}

/// True if the browser says that another page than one of ours asks. Browsers that say nothing are
/// held by the cookie and the origin.
pub(super) fn from_elsewhere(headers: &HeaderMap) -> bool {
    headers.get_all(FETCH_SITE).iter().any(|site| site.as_bytes() != b"same-origin")
}

/// Trades the one-time token for the cookie and goes on to the screens.
pub(super) async fn enter(
    State(served): State<Served>,
    Path(token): Path<String>,
    headers: HeaderMap,
) -> Response {
    let to_the_screens = (LOCATION, "/".to_owned());
    match served.gate.exchange(&token) {
        Ok(Some(cookie)) => {
            (StatusCode::SEE_OTHER, [to_the_screens, (SET_COOKIE, cookie)]).into_response()
        }
        // The same browser once more, by its back button or its history.
        Ok(None) if served.gate.has_entered(&headers) => {
            (StatusCode::SEE_OTHER, [to_the_screens]).into_response()
        }
        Ok(None) => Refusal::used().into_page(),
        Err(error) => Refusal::of(error).into_page(),
    }
}

#[cfg(test)]
mod tests {
    use super::{Gate, from_elsewhere};
    use axum::http::{HeaderMap, HeaderName, HeaderValue};

    fn headers(list: &[(&'static str, &str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in list {
            headers.append(HeaderName::from_static(name), HeaderValue::from_str(value).unwrap());
        }
        headers
    }

    #[test]
    fn only_our_own_address_is_ours() {
        let gate = Gate::new(4321).unwrap();
        let ours = |host: &str| gate.host(&headers(&[("host", host)])).is_some();
        assert!(ours("127.0.0.1:4321") && ours("localhost:4321"));
        for other in [
            "",
            "127.0.0.1",
            "localhost",
            "127.0.0.1:432",
            "127.0.0.1:43210",
            "[::1]:4321",
            "evil.example:4321",
            "127.0.0.1.evil.example:4321",
            "localhost.:4321",
            "evil.example#127.0.0.1:4321",
            "127.0.0.1:04321",
            "user@127.0.0.1:4321",
        ] {
            assert!(!ours(other), "{other}");
        }
        let both = headers(&[("host", "127.0.0.1:4321"), ("host", "evil.example")]);
        assert_eq!(gate.host(&both), None, "two hosts are none");
    }

    #[test]
    fn a_token_is_taken_once_and_a_wrong_one_never() {
        let gate = Gate::new(4321).unwrap();
        let address = gate.address();
        let token = address.rsplit('/').next().unwrap();
        assert_eq!(token.len(), 64);
        assert_ne!(address, Gate::new(4321).unwrap().address(), "another start, another token");
        for wrong in ["", "0", &token[1..], &token.to_uppercase(), &format!("{token}0")] {
            if wrong != token {
                assert_eq!(gate.exchange(wrong).unwrap(), None, "{wrong}");
            }
        }
        let cookie = gate.exchange(token).unwrap().unwrap();
        assert_eq!(gate.exchange(token).unwrap(), None);
        let (pair, flags) = cookie.split_once("; ").unwrap();
        assert_eq!(flags, "HttpOnly; SameSite=Strict; Path=/");
        assert!(gate.has_entered(&headers(&[("cookie", pair)])));
        let among = format!("a=b; {pair}; c");
        assert!(gate.has_entered(&headers(&[("cookie", &among)])));
        let renamed = pair.replace("4321", "4322");
        let cut = &pair[..pair.len() - 1];
        for wrong in ["", &renamed, cut, &format!("{pair}0"), "dishwright_4321="] {
            assert!(!gate.has_entered(&headers(&[("cookie", wrong)])), "{wrong}");
        }
    }

    #[test]
    fn a_page_of_another_site_or_port_is_elsewhere() {
        assert!(!from_elsewhere(&headers(&[])));
        assert!(!from_elsewhere(&headers(&[("sec-fetch-site", "same-origin")])));
        for site in ["cross-site", "same-site", "none"] {
            assert!(from_elsewhere(&headers(&[("sec-fetch-site", site)])), "{site}");
        }
    }
}
