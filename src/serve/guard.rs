//! Who may ask: the page of this session, on this machine.
//!
//! In: requests. Out: the same let through, or refused. A page of another site can make a
//! browser send requests here, by address or by a name that it lets point to this machine:
//! Host and Origin tell those apart, the token tells other programs and users of the
//! machine. Requests that change something carry a header that no form can send. Every
//! answer forbids the browser to load or run anything that does not come from here.

use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::jobs::day::{Person, Role};
use crate::serve::grounds::Grounds;
use crate::serve::problem::Refused;

/// Nothing but what this server sends; no scripts or styles in the markup.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
    img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";
/// The header that requests of the page carry.
const OWN_HEADER: &str = "x-quarterstop";
const OWN_VALUE: &[u8] = b"live";
/// Addresses that take files as they are.
const FILES: &str = "/api/dropped/";
/// Random bytes of a token: as many as cannot be guessed.
const TOKEN_BYTES: usize = 24;
/// Requests that may come at once, and how many more each second: ten pages that drag.
const BURST: f64 = 600.0;
const A_SECOND: f64 = 300.0;
/// Requests that are being worked on at the same time, streams of events not counted.
pub const MAX_AT_ONCE: usize = 96;
/// Longest work on one request.
pub(super) const PATIENCE: Duration = Duration::from_secs(120);

const NO_KEY: &str = "This page belongs to a session of quarterstop live: open the address that \
    the command printed.";

/// What makes a request one of this session.
#[derive(Debug)]
pub struct Guard {
    token: String,
    port: u16,
    allowance: Mutex<Allowance>,
}

/// Requests that may still come now.
#[derive(Debug)]
struct Allowance {
    left: f64,
    at: Instant,
}

impl Guard {
    /// With a token of its own.
    ///
    /// # Errors
    /// Where the system gives no random bytes.
    pub fn new(port: u16) -> Result<Self, getrandom::Error> {
        let mut bytes = [0; TOKEN_BYTES];
        getrandom::fill(&mut bytes)?;
        let token = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
        let allowance = Mutex::new(Allowance { left: BURST, at: Instant::now() });
        Ok(Self { token, port, allowance })
    }

    /// What opens the page.
    pub fn address(&self) -> String {
        format!("http://{}/?key={}", self.host(), self.token)
    }

    /// Cookies of a machine are the same for all its ports.
    fn cookie_name(&self) -> String {
        format!("quarterstop_live_{}", self.port)
    }

    /// What a browser names as the host.
    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    /// What a browser sends back once it has opened the page.
    pub fn cookie(&self) -> String {
        format!("{}={}", self.cookie_name(), self.token)
    }

    fn is_host(&self, host: &str) -> bool {
        ["127.0.0.1", "localhost"].iter().any(|name| host == format!("{name}:{}", self.port))
    }

    /// Takes as long for a near miss as for a far one.
    fn is_token(&self, said: &str) -> bool {
        let differs = said.bytes().zip(self.token.bytes()).fold(0, |sum, (a, b)| sum | (a ^ b));
        said.len() == self.token.len() && differs == 0
    }

    fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let name = self.cookie_name();
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
        let mut pairs = cookies.flat_map(|c| c.split(';')).filter_map(|c| c.split_once('='));
        pairs.any(|(key, value)| key.trim() == name && self.is_token(value.trim()))
    }

    /// Whether one more request may come now.
    pub(super) fn allows_one_more(&self) -> bool {
        let Ok(mut allowance) = self.allowance.lock() else { return false };
        let since = allowance.at.elapsed().as_secs_f64();
        allowance.at = Instant::now();
        allowance.left = (allowance.left + since * A_SECOND).min(BURST);
        let allowed = allowance.left >= 1.0;
        if allowed {
            allowance.left -= 1.0;
        }
        allowed
    }

    /// Refuses what does not come from a page of this server.
    fn check_origin(&self, headers: &HeaderMap) -> Result<(), Refused> {
        let text = |name| headers.get(name).map(|value| value.to_str().unwrap_or("?"));
        let hosts = headers.get_all(header::HOST).iter().count();
        if hosts != 1 || !text(header::HOST).is_some_and(|host| self.is_host(host)) {
            return Err(Refused::Forbidden("this server answers to its own address only"));
        }
        let own = |origin: &str| origin.strip_prefix("http://").is_some_and(|h| self.is_host(h));
        if text(header::ORIGIN).is_some_and(|origin| !own(origin)) {
            return Err(Refused::Forbidden("requests of other pages are refused"));
        }
        Ok(())
    }

    /// Refuses a request that changes something unless the page itself sent it.
    pub(super) fn check_change(path: &str, headers: &HeaderMap) -> Result<(), Refused> {
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        if site.is_some_and(|site| site != b"same-origin") {
            return Err(Refused::Forbidden("requests of other pages are refused"));
        }
        if headers.get(OWN_HEADER).map(HeaderValue::as_bytes) != Some(OWN_VALUE) {
            return Err(Refused::Forbidden("the header `X-Quarterstop: live` is missing"));
        }
        let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
        let kind = kind.and_then(|kind| kind.split(';').next()).map(str::trim);
        match (path.starts_with(FILES), kind) {
            (false, Some("application/json")) | (true, Some("application/octet-stream")) => Ok(()),
            (true, _) => Err(Refused::BadRequest("send the bytes of the file".into())),
            _ => Err(Refused::BadRequest("send JSON, with its Content-Type".into())),
        }
    }

    /// The key of the address, for a cookie.
    fn welcome(&self, key: &str, page: &str) -> Response {
        if !self.is_token(key) {
            return (StatusCode::UNAUTHORIZED, NO_KEY).into_response();
        }
        let cookie = format!("{}={key}; HttpOnly; SameSite=Strict; Path=/", self.cookie_name());
        let headers = [(header::LOCATION, page), (header::SET_COOKIE, &cookie)];
        (StatusCode::SEE_OTHER, headers).into_response()
    }
}

/// The key in `/?key=TOKEN`.
fn key_of(request: &Request) -> Option<&str> {
    let query = request.uri().query().filter(|_| request.uri().path() == "/")?;
    query.split('&').find_map(|pair| pair.strip_prefix("key="))
}

/// A path as its ground knows it: without `/of/GROUND`.
pub(super) fn own_path(path: &str) -> &str {
    let rest = path.strip_prefix("/of/").and_then(|rest| rest.split_once('/'));
    rest.map_or(path, |(ground, _)| &path["/of/".len() + ground.len()..])
}

/// Lets a request through that may come.
async fn answer(grounds: &Arc<Grounds>, mut request: Request, next: Next) -> Response {
    let session = &grounds.session;
    let guard = &session.guard;
    if let Err(refused) = guard.check_origin(request.headers()) {
        return refused.into_response();
    }
    if !guard.allows_one_more() {
        let wait = [(header::RETRY_AFTER, "1")];
        return (wait, Refused::TooMany).into_response();
    }
    if let (&Method::GET, Some(key)) = (request.method(), key_of(&request)) {
        // a session that is shared is there for the day
        let is_wall = session.share.get().is_some() && !session.several;
        return guard.welcome(key, if is_wall { "/wall" } else { "/" });
    }
    if !guard.has_cookie(request.headers()) {
        return match own_path(request.uri().path()).starts_with("/api/") {
            true => Refused::Unauthorized(NO_KEY).into_response(),
            false => (StatusCode::UNAUTHORIZED, NO_KEY).into_response(),
        };
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD)
        && let Err(refused) = Guard::check_change(own_path(request.uri().path()), request.headers())
    {
        return refused.into_response();
    }
    // who sits at this machine leads the day
    request.extensions_mut().insert(Person { role: Role::Lead, name: String::new() });
    request.extensions_mut().insert(grounds.access(""));
    session.guarded(request, next).await
}

/// The guard before all handlers; its headers are on every answer.
pub async fn guard(State(grounds): State<Arc<Grounds>>, request: Request, next: Next) -> Response {
    safe_headers(answer(&grounds, request, next).await)
}

/// What every answer says to browsers.
pub(super) fn safe_headers(mut response: Response) -> Response {
    let headers = response.headers_mut();
    let always = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in always {
        headers.insert(name, HeaderValue::from_static(value));
    }
    // files of jobs that are opened bring a stricter one
    if !headers.contains_key(header::CONTENT_SECURITY_POLICY) {
        headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    }
    response
}
