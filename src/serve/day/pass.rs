//! Codes that let screens in.
//!
//! In: the operators of grounds. Out: a [`Pass`] for each of them, one to look and one to
//! lead, each with a short code for people and a long token for the cookie. They are kept
//! beside the log, readable by its owner only, so that a server that is started again lets
//! the same screens in.
//!
//! A code has 8 of 31 letters and digits, 39 bits. Nobody tries 2^38 of them at the pace
//! that [`Brake`] allows: one a second from all addresses together, and ever fewer from an
//! address that was wrong.

use std::collections::HashMap;
use std::fs::OpenOptions;
use std::io::Write;
use std::net::IpAddr;
use std::path::Path;
use std::time::{Duration, Instant};
use std::{fs, io};

use serde::{Deserialize, Serialize};

use crate::jobs::day::{Person, Role};

/// Letters and digits that nobody takes for each other.
const ALPHABET: &[u8; 31] = b"ABCDEFGHJKMNPQRSTUVWXYZ23456789";
/// Signs of a code, shown in two groups.
const CODE_SIGNS: usize = 8;
/// Random bytes of a token.
const TOKEN_BYTES: usize = 24;
/// The longest that an address has to wait after wrong codes.
const MAX_WAIT: Duration = Duration::from_secs(60);
/// Wrong codes of all addresses together: one a second, after a few at once.
const ALL_AT_ONCE: f64 = 20.0;
/// Addresses that are remembered.
const MAX_ADDRESSES: usize = 1000;

/// What lets a screen in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pass {
    #[serde(flatten)]
    pub person: Person,
    /// Of a ground of several; empty for who leads them all, and where there is one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ground: String,
    pub code: String,
    pub token: String,
}

/// Who works at a ground: one to look, its operators, one to lead.
pub fn crew(operators: Vec<String>) -> impl Iterator<Item = Person> {
    let see = Person { role: Role::See, name: String::new() };
    let lead = Person { role: Role::Lead, name: String::new() };
    let operate = operators.into_iter().map(|name| Person { role: Role::Operate, name });
    std::iter::once(see).chain(operate).chain([lead])
}

/// Passes of people, each with the ground, as they are kept.
///
/// # Errors
/// Those of the system.
pub fn kept(
    path: &Path,
    people: impl IntoIterator<Item = (String, Person)>,
) -> io::Result<Vec<Pass>> {
    let known: Vec<Pass> = match fs::read(path) {
        Ok(bytes) => serde_json::from_slice(&bytes).unwrap_or_default(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
        Err(error) => return Err(error),
    };
    let mut passes = Vec::new();
    for (ground, person) in people {
        let is_theirs = |pass: &&Pass| pass.person == person && pass.ground == ground;
        let before = known.iter().find(is_theirs).cloned();
        passes.push(match before {
            Some(pass) => pass,
            None => Pass { person, ground, code: code()?, token: token()? },
        });
    }
    if passes != known {
        write_private(path, &serde_json::to_vec_pretty(&passes)?)?;
    }
    Ok(passes)
}

/// Writes what only its owner may read.
fn write_private(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn random(bytes: &mut [u8]) -> io::Result<()> {
    getrandom::fill(bytes).map_err(io::Error::other)
}

/// Each sign with the same chance: bytes beyond the last whole round are thrown away.
fn code() -> io::Result<String> {
    let mut code = String::with_capacity(CODE_SIGNS);
    let fair = 256 - 256 % ALPHABET.len();
    while code.len() < CODE_SIGNS {
        let mut byte = [0];
        random(&mut byte)?;
        let byte = usize::from(byte[0]);
        if byte < fair {
            code.extend(ALPHABET.get(byte % ALPHABET.len()).map(|sign| char::from(*sign)));
        }
    }
    Ok(code)
}

fn token() -> io::Result<String> {
    let mut bytes = [0; TOKEN_BYTES];
    random(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// A code as people type it: small letters and strokes between do no harm.
pub fn plain(typed: &str) -> Option<String> {
    let signs = typed.bytes().filter(|b| !matches!(b, b'-' | b' ')).map(|b| b.to_ascii_uppercase());
    let code: Vec<u8> = signs.collect();
    let sound = code.len() == CODE_SIGNS && code.iter().all(|sign| ALPHABET.contains(sign));
    sound.then(|| String::from_utf8(code).ok())?
}

/// Compares in the same time wherever the difference lies.
pub fn same(a: &str, b: &str) -> bool {
    let differs = a.bytes().zip(b.bytes()).fold(0, |sum, (a, b)| sum | (a ^ b));
    a.len() == b.len() && differs == 0
}

/// Slows down who tries codes.
#[derive(Debug)]
pub struct Brake {
    left: f64,
    at: Instant,
    wrong: HashMap<IpAddr, (u32, Instant)>,
}

impl Default for Brake {
    fn default() -> Self {
        Self { left: ALL_AT_ONCE, at: Instant::now(), wrong: HashMap::new() }
    }
}

impl Brake {
    /// How long an address has to wait before its next code is looked at; `None` to look.
    pub fn wait(&mut self, from: IpAddr, now: Instant) -> Option<Duration> {
        let since = now.saturating_duration_since(self.at).as_secs_f64();
        self.left = (self.left + since).min(ALL_AT_ONCE);
        self.at = now;
        let own = self.wrong.get(&from).map(|(count, at)| (*at + pause(*count), *count));
        match own.filter(|(until, _)| *until > now) {
            Some((until, _)) => Some(until - now),
            None if self.left < 1.0 => Some(Duration::from_secs(1)),
            None => None,
        }
    }

    /// A code was wrong.
    pub fn was_wrong(&mut self, from: IpAddr, now: Instant) {
        self.left = (self.left - 1.0).max(0.0);
        if self.wrong.len() >= MAX_ADDRESSES {
            self.wrong.retain(|_, (_, at)| now.saturating_duration_since(*at) < MAX_WAIT);
        }
        let entry = self.wrong.entry(from).or_insert((0, now));
        *entry = (entry.0.saturating_add(1), now);
    }

    /// A code was right.
    pub fn was_right(&mut self, from: IpAddr) {
        self.wrong.remove(&from);
    }
}

/// Two wrong codes are free: fingers slip. Then 1, 2, 4 ... seconds.
fn pause(wrong: u32) -> Duration {
    match wrong {
        0..=2 => Duration::ZERO,
        more => Duration::from_secs(1 << (more - 3).min(6)).min(MAX_WAIT),
    }
}
