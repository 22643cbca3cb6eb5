//! A session of `quarterstop live` with a small client of HTTP over plain sockets, which can
//! also send what no browser would.
#![allow(dead_code)]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::{TempDir, tempdir};

/// For what takes milliseconds, on a machine that does other work beside.
pub const PATIENCE: Duration = Duration::from_secs(60);

pub fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("venues").join(format!("{name}.toml"))
}

pub struct Session {
    pub child: Child,
    pub port: u16,
    pub token: String,
    pub home: TempDir,
    pub file: PathBuf,
}

#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }

    pub fn ok(self) -> Value {
        let text = String::from_utf8_lossy(&self.body).into_owned();
        assert_eq!(self.status, 200, "{text}");
        self.json()
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(':'));
        lines.into_iter().find(|(key, _)| key.eq_ignore_ascii_case(name)).map(|(_, v)| v.trim())
    }

    /// The text of the first problem.
    pub fn problem(&self) -> String {
        self.json()["problems"][0]["text"].as_str().unwrap_or_default().to_owned()
    }
}

impl Session {
    /// A demo ground, copied into a folder of its own.
    pub fn of(name: &str) -> Self {
        Self::with_text(&fs::read_to_string(demo(name)).unwrap())
    }

    pub fn with_text(text: &str) -> Self {
        let home = tempdir().unwrap();
        let file = home.path().join("ground.toml");
        fs::write(&file, text).unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser"]).arg(&file);
        Self::started(command, home, file)
    }

    /// No ground, an empty folder.
    pub fn empty() -> Self {
        let home = tempdir().unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_quarterstop"));
        command.args(["live", "--no-browser", "--folder"]).arg(home.path());
        let file = home.path().join("ground.toml");
        Self::started(command, home, file)
    }

    pub fn started(mut command: Command, home: TempDir, file: PathBuf) -> Self {
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let rest =
            line.trim().strip_prefix("http://127.0.0.1:").unwrap_or_else(|| panic!("{line}"));
        let (port, token) = rest.split_once("/?key=").unwrap();
        let (port, token) = (port.parse().unwrap(), token.to_owned());
        Self { child, port, token, home, file }
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    pub fn cookie(&self) -> String {
        format!("quarterstop_live_{}={}", self.port, self.token)
    }

    /// Sends bytes as they are, and reads to the end.
    pub fn raw(&self, request: &[u8]) -> Answer {
        let mut stream = self.connect();
        // a server that refuses early may close before all of a large body is sent
        let _ = stream.write_all(request);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let end = bytes.windows(4).position(|w| w == b"\r\n\r\n");
        let end = end.unwrap_or_else(|| panic!("no head: {}", String::from_utf8_lossy(&bytes)));
        let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Answer { status, head, body: bytes[end + 4..].to_vec() }
    }

    /// A request with its own lines in the head.
    pub fn send(&self, method: &str, path: &str, lines: &[&str], body: &str) -> Answer {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        for line in lines {
            head += &format!("{line}\r\n");
        }
        if method == "POST" {
            head += &format!("Content-Length: {}\r\n", body.len());
        }
        self.raw(format!("{head}\r\n{body}").as_bytes())
    }

    pub fn host(&self) -> String {
        format!("Host: 127.0.0.1:{}", self.port)
    }

    pub fn get(&self, path: &str) -> Answer {
        let cookie = format!("Cookie: {}", self.cookie());
        self.send("GET", path, &[&self.host(), &cookie], "")
    }

    pub fn post(&self, path: &str, body: &Value) -> Answer {
        let cookie = format!("Cookie: {}", self.cookie());
        let lines =
            [&self.host(), &cookie, "X-Quarterstop: live", "Content-Type: application/json"];
        self.send("POST", path, &lines, &body.to_string())
    }

    pub fn ground(&self) -> Value {
        self.get("/api/ground").ok()
    }

    pub fn revision(&self) -> u64 {
        self.ground()["revision"].as_u64().unwrap()
    }

    /// Sets one number of the ground as it is now.
    pub fn set(&self, address: &str, value: f64) -> Answer {
        let set = json!([{ "address": address, "value": value }]);
        self.post("/api/edit", &json!({ "revision": self.revision(), "set": set }))
    }

    pub fn on_disk(&self) -> String {
        fs::read_to_string(&self.file).unwrap()
    }

    /// Asks until it is so.
    pub fn wait(&self, what: &str, so: impl Fn(&Value) -> bool) -> Value {
        let begun = Instant::now();
        loop {
            let ground = self.ground();
            if so(&ground) {
                return ground;
            }
            assert!(begun.elapsed() < PATIENCE, "never: {what}");
            thread::sleep(Duration::from_millis(100));
        }
    }

    /// A stream of events, line by line.
    pub fn events(&self) -> impl Iterator<Item = String> + use<> {
        let mut stream = self.connect();
        let head = format!(
            "GET /api/events HTTP/1.1\r\n{}\r\nCookie: {}\r\n\r\n",
            self.host(),
            self.cookie()
        );
        stream.write_all(head.as_bytes()).unwrap();
        BufReader::new(stream).lines().map_while(Result::ok)
    }
}

/// The door to the network of a session that is shared.
pub struct Door {
    pub port: u16,
}

impl Door {
    /// Where passes say it is.
    pub fn of(passes: &[Value]) -> Self {
        let url = passes[0]["url"].as_str().unwrap();
        Self { port: url.split(&[':', '/'][..]).nth(4).unwrap().parse().unwrap() }
    }

    pub fn host(&self) -> String {
        format!("Host: 127.0.0.1:{}", self.port)
    }

    pub fn send(&self, method: &str, path: &str, lines: &[String], body: &str) -> Answer {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        lines.iter().for_each(|line| head += &format!("{line}\r\n"));
        head += &format!("Content-Length: {}\r\n\r\n{body}", body.len());
        let _ = stream.write_all(head.as_bytes());
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").unwrap();
        let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        Answer { status, head, body: bytes[end + 4..].to_vec() }
    }

    /// Lets a screen in; its cookie.
    pub fn join(&self, code: &str) -> String {
        let answer = self.send("GET", &format!("/{code}"), &[self.host()], "");
        assert_eq!((answer.status, answer.header("location")), (303, Some("/")));
        let cookie = answer.header("set-cookie").unwrap();
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
        format!("Cookie: {}", cookie.split(';').next().unwrap())
    }

    pub fn get(&self, cookie: &str, path: &str) -> Answer {
        self.send("GET", path, &[self.host(), cookie.to_owned()], "")
    }

    pub fn post(&self, cookie: &str, path: &str, body: &Value) -> Answer {
        let lines = [
            self.host(),
            cookie.to_owned(),
            "X-Quarterstop: live".to_owned(),
            "Content-Type: application/json".to_owned(),
        ];
        self.send("POST", path, &lines, &body.to_string())
    }
}

impl Drop for Session {
    /// Asks it to end first: one that is killed leaves its jobs running.
    fn drop(&mut self) {
        if cfg!(unix) && self.child.try_wait().is_ok_and(|ended| ended.is_none()) {
            let asked = Command::new("kill").arg(self.child.id().to_string()).status();
            let begun = Instant::now();
            while asked.is_ok()
                && begun.elapsed() < Duration::from_secs(10)
                && self.child.try_wait().is_ok_and(|ended| ended.is_none())
            {
                thread::sleep(Duration::from_millis(10));
            }
        }
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
