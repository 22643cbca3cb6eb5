//! The door to the network of the truck.
//!
//! In: requests of tablets. Out: the wall and the day, for who has a code; one sentence and
//! no data for all others. A code is the path of an address (`http://10.0.0.5:8123/AB23-CD45`),
//! typed or read off a QR picture; it sets a cookie of its own and is gone from the address.
//!
//! Host must be an address in digits with our port: a name that a page of another site lets
//! point here is no such address. The rest is the guard of this machine: Origin, a header no
//! form can send, JSON, a policy that loads nothing from elsewhere. The network is plain
//! HTTP: who can listen to the truck's network can read along.

use std::io;
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use base64::prelude::{BASE64_STANDARD, Engine as _};
use hyper::service::Service as _;
use hyper_util::service::TowerToHyperService;
use qrcodegen::{QrCode, QrCodeEcc};
use serde_json::json;

use crate::jobs::crew::operator_names;
use crate::jobs::day::{Person, Role};
use crate::serve::grounds;
use crate::serve::grounds::{Grounds, OneGround};
use crate::serve::guard::{Guard, safe_headers};
use crate::serve::problem::Refused;
use crate::serve::routes::{Answer, answer as answer_json};
use crate::serve::session::{Session, nothing_here};
use crate::serve::{Live, page};

use super::pass::{Brake, Pass, crew, kept, plain, same};

const NO_CODE: &str = "This address belongs to the crew of a match: open it with the code that the \
    screen in the truck shows.";
/// Files of the wall; the page that changes the ground is not served here.
const WALL: [&str; 13] = [
    "wall.css",
    "wall.js",
    "walldata.js",
    "walltiles.js",
    "wallenter.js",
    "wallmoves.js",
    "wallcuts.js",
    "wallsky.js",
    "words.js",
    "dom.js",
    "api.js",
    "grounds.css",
    "grounds.js",
];
/// Bytes of an entry.
pub(in crate::serve) const MAX_BODY: usize = 16 * 1024;

/// The address that a request comes from.
#[derive(Debug, Clone, Copy)]
pub struct Peer(pub IpAddr);

/// What the door needs to know.
#[derive(Debug)]
pub struct Share {
    pub at: SocketAddr,
    pub passes: Vec<Pass>,
    brake: Mutex<Brake>,
}

impl Share {
    pub fn new(at: SocketAddr, passes: Vec<Pass>) -> Self {
        Self { at, passes, brake: Mutex::default() }
    }

    /// Where tablets find it: the address of the network that leads out, where it listens
    /// on all.
    pub fn address(&self) -> SocketAddr {
        let outward = || {
            let socket = UdpSocket::bind((std::net::Ipv4Addr::UNSPECIFIED, 0)).ok()?;
            // nothing is sent: the system only says which of its addresses it would use
            // (192.0.2.0/24 is for documentation, RFC 5737)
            socket.connect((std::net::Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
            socket.local_addr().ok().map(|local| local.ip())
        };
        match self.at.ip().is_unspecified() {
            true => SocketAddr::new(outward().unwrap_or(self.at.ip()), self.at.port()),
            false => self.at,
        }
    }

    fn cookie_name(&self) -> String {
        format!("quarterstop_day_{}", self.at.port())
    }

    fn pass_of(&self, headers: &HeaderMap) -> Option<&Pass> {
        let name = self.cookie_name();
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
        let mut pairs = cookies.flat_map(|c| c.split(';')).filter_map(|c| c.split_once('='));
        let said = pairs.find(|(key, _)| key.trim() == name)?.1.trim();
        self.passes.iter().find(|pass| same(&pass.token, said))
    }

    /// Host in digits, our port; Origin, where there is one, the same.
    fn is_host(&self, host: &str) -> bool {
        host.parse::<SocketAddr>().is_ok_and(|at| at.port() == self.at.port())
    }

    fn check_origin(&self, headers: &HeaderMap) -> Result<(), Refused> {
        let text =
            |name| headers.get(name).map(|v: &header::HeaderValue| v.to_str().unwrap_or("?"));
        let one = headers.get_all(header::HOST).iter().count() == 1;
        let host = text(header::HOST).filter(|host| one && self.is_host(host));
        let host = host.ok_or(Refused::Forbidden("this server answers to its own address only"))?;
        match text(header::ORIGIN) {
            Some(origin) if origin.strip_prefix("http://") != Some(host) => {
                Err(Refused::Forbidden("requests of other pages are refused"))
            }
            _ => Ok(()),
        }
    }

    /// The code in the path, for a cookie.
    fn welcome(&self, typed: &str, from: IpAddr) -> Response {
        let now = Instant::now();
        let mut brake = self.brake.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(wait) = brake.wait(from, now) {
            let seconds = wait.as_secs().max(1).to_string();
            return ([(header::RETRY_AFTER, seconds)], Refused::TooMany).into_response();
        }
        let code = plain(typed).unwrap_or_default();
        let Some(pass) = self.passes.iter().find(|pass| same(&pass.code, &code)) else {
            brake.was_wrong(from, now);
            return (StatusCode::UNAUTHORIZED, NO_CODE).into_response();
        };
        brake.was_right(from);
        let cookie =
            format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.cookie_name(), pass.token);
        let headers = [(header::LOCATION, "/"), (header::SET_COOKIE, &cookie)];
        (StatusCode::SEE_OTHER, headers).into_response()
    }
}

/// The door of a session, with passes kept beside the venue files. Those of a day of several
/// grounds lie apart: the lead of one ground is not the lead of them all.
///
/// # Errors
/// Those of the system.
pub(in crate::serve) fn opened(grounds: &Grounds, at: SocketAddr) -> io::Result<Share> {
    let several = grounds.session.several;
    let file = if several { ".day-passes.json" } else { ".crew-passes.json" };
    let of_ground = |one: &OneGround| {
        let current = one.live.current().ok();
        let operators =
            current.map_or_else(Vec::new, |current| operator_names(&current.ground.venue, None));
        let name = one.name.clone();
        crew(operators).map(move |person| (name.clone(), person))
    };
    let lead = Person { role: Role::Lead, name: String::new() };
    let leads_all = several.then(|| (String::new(), lead));
    let people = leads_all.into_iter().chain(grounds.all().iter().flat_map(of_ground));
    let folder = grounds.lives().next().map_or(std::path::Path::new("."), |live| live.folder());
    Ok(Share::new(at, kept(&folder.join(file), people)?))
}

/// The codes of a ground, for who sits at this machine.
pub(in crate::serve) async fn passes(State(live): State<Arc<Live>>) -> Answer {
    passes_of(&live.session, |pass| pass.ground == live.name)
}

/// The codes of all grounds, the same way.
pub(in crate::serve) async fn all_passes(State(grounds): State<Arc<Grounds>>) -> Answer {
    passes_of(&grounds.session, |_| true)
}

fn passes_of(session: &Session, is_asked: impl Fn(&Pass) -> bool) -> Answer {
    let share = session.share.get();
    let share = share
        .ok_or_else(|| Refused::NotFound("the day is not shared; start with --share".to_owned()))?;
    let at = share.address();
    let each = share.passes.iter().filter(|pass| is_asked(pass)).map(|pass| {
        let (first, second) = pass.code.split_at(4);
        let url = format!("http://{at}/{first}-{second}");
        let words = match pass.person.role {
            Role::See => "look only".to_owned(),
            Role::Operate => format!("operator {}", pass.person.name),
            Role::Lead if session.several && pass.ground.is_empty() => "lead of the day".to_owned(),
            Role::Lead => "lead".to_owned(),
        };
        json!({
            "code": format!("{first}-{second}"),
            "ground": pass.ground,
            "words": words,
            "qr": qr(&url),
            "url": url,
        })
    });
    answer_json(&json!({ "passes": each.collect::<Vec<_>>() }))
}

/// A QR picture (ISO/IEC 18004) as a data address; empty where the text is too long.
fn qr(text: &str) -> String {
    let Ok(code) = QrCode::encode_text(text, QrCodeEcc::Medium) else { return String::new() };
    let side = code.size();
    let dark = (0..side).flat_map(|y| (0..side).map(move |x| (x, y)));
    let dark = dark.filter(|(x, y)| code.get_module(*x, *y));
    let path: String = dark.map(|(x, y)| format!("M{x} {y}h1v1h-1z")).collect();
    // four modules of quiet all around, as the standard asks
    let (from, wide) = (-4, side + 8);
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{from} {from} {wide} {wide}\" \
         shape-rendering=\"crispEdges\"><rect x=\"{from}\" y=\"{from}\" width=\"{wide}\" \
         height=\"{wide}\" fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>"
    );
    format!("data:image/svg+xml;base64,{}", BASE64_STANDARD.encode(svg))
}

/// What the network sees of a ground.
fn ground<S: Clone + Send + Sync + 'static>(live: Arc<Live>) -> Router<S> {
    Router::new()
        .route("/", get(|| async { page::file("wall.html") }))
        .route("/wall", get(|| async { page::file("wall.html") }))
        .route("/live/{name}", get(file))
        .merge(super::routes::router())
        .fallback(nothing_here)
        .layer(DefaultBodyLimit::max(MAX_BODY))
        .with_state(live)
}

/// What stands behind the door: for each pass the ground that it is of, or all.
struct Behind {
    grounds: Arc<Grounds>,
    share: Arc<Share>,
    crews: Vec<(String, Router)>,
    /// For who leads the day of several grounds.
    day: Router,
}

impl Behind {
    fn router(&self, pass: &Pass) -> &Router {
        let crew = self.crews.iter().find(|(name, _)| *name == pass.ground);
        crew.map_or(&self.day, |(_, router)| router)
    }
}

/// All that the network sees.
pub(in crate::serve) fn router(grounds: Arc<Grounds>, share: Arc<Share>) -> Router {
    let crew = |one: &OneGround| (one.name.clone(), ground(Arc::clone(&one.live)));
    let pages =
        Router::new().route("/live/{name}", get(file)).route("/api/grounds", get(grounds::list));
    let day = grounds.of_day(pages, |one| ground(Arc::clone(&one.live)));
    let crews = grounds.all().iter().map(crew).collect();
    let behind = Arc::new(Behind { grounds, share, crews, day });
    Router::new().fallback(enter).with_state(behind)
}

async fn file(Path(name): Path<String>) -> Result<Response, Refused> {
    match WALL.contains(&name.as_str()) {
        true => page::file(&name),
        false => Err(Refused::NotFound("the page has no such file".to_owned())),
    }
}

async fn enter(State(behind): State<Arc<Behind>>, request: Request) -> Response {
    safe_headers(answer(&behind, request).await)
}

async fn answer(behind: &Behind, mut request: Request) -> Response {
    let (grounds, share) = (&behind.grounds, &behind.share);
    if let Err(refused) = share.check_origin(request.headers()) {
        return refused.into_response();
    }
    let path = request.uri().path().trim_start_matches('/').to_owned();
    let peer = request.extensions().get::<Peer>().map(|peer| peer.0);
    let Some(pass) = share.pass_of(request.headers()) else {
        return match (request.method(), peer) {
            (&Method::GET, Some(from)) if !path.is_empty() && !path.contains('/') => {
                share.welcome(&path, from)
            }
            _ => (StatusCode::UNAUTHORIZED, NO_CODE).into_response(),
        };
    };
    // who has no code takes nothing from those who have one
    if !grounds.session.guard.allows_one_more() {
        return ([(header::RETRY_AFTER, "1")], Refused::TooMany).into_response();
    }
    // a screen that is in may take another code
    if let (&Method::GET, Some(_), Some(from)) = (request.method(), plain(&path), peer) {
        return share.welcome(&path, from);
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD)
        && let Err(refused) = Guard::check_change(request.uri().path(), request.headers())
    {
        return refused.into_response();
    }
    request.extensions_mut().insert(pass.person.clone());
    request.extensions_mut().insert(grounds.access(&pass.ground));
    let address = request.uri().path().to_owned();
    let service = TowerToHyperService::new(behind.router(pass).clone());
    let answered = async {
        match service.call(request).await {
            Ok(response) => response,
            Err(never) => match never {},
        }
    };
    grounds.session.bounded(&address, answered).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_the_wall_asks_for_is_served() {
        let html = include_str!("../page/wall.html");
        let names: Vec<&str> =
            html.split("/live/").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        assert!(names.len() > 5, "{names:?}");
        for name in names {
            assert!(WALL.contains(&name), "{name}");
        }
    }
}
