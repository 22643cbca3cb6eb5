//! A `quarterstop live` of its own for each test, on a copy of a demo ground.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use tempfile::TempDir;

use super::chromium::{Opened, open_url};
use super::pages;

/// For a file to be written after a change: it is promised within a second.
const SAVED: Duration = Duration::from_secs(5);

pub struct Live {
    server: Child,
    folder: TempDir,
    address: String,
}

impl Live {
    /// Starts the command on a copy of a demo ground.
    pub fn on(venue: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("ground.toml");
        fs::copy(pages::demo(venue), &file).unwrap();
        Self::start(folder, Some(file))
    }

    /// Starts it on a copy in which one text stands in place of another; that copy, and the
    /// text without the change.
    pub fn broken(venue: &str, sound: &str, broken: &str) -> (Self, String) {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("ground.toml");
        let text = fs::read_to_string(pages::demo(venue)).unwrap();
        fs::write(&file, text.replace(sound, broken)).unwrap();
        (Self::start(folder, Some(file)), text)
    }

    /// Starts it in an empty folder, without a ground.
    pub fn empty() -> Self {
        Self::start(tempfile::tempdir().unwrap(), None)
    }

    fn start(folder: TempDir, file: Option<PathBuf>) -> Self {
        let mut server = Command::new(pages::tool())
            .arg("live")
            .args(file)
            .arg("--no-browser")
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let lines = BufReader::new(server.stdout.take().unwrap()).lines();
        let address = lines
            .map_while(Result::ok)
            .find_map(|line| Some(line[line.find("http://127.0.0.1")?..].trim().to_owned()))
            .expect("the command prints its address");
        Self { server, folder, address }
    }

    /// A page of it, or nothing without a browser.
    pub fn page(&self, size: (u32, u32)) -> Option<Opened> {
        let page = open_url(&self.address, size)?;
        page.until("typeof liveState === 'function' && (liveState().revision !== null || !document.getElementById('start').hidden || !document.getElementById('mend').hidden)");
        page.rest();
        Some(page)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The file that is open.
    pub fn text(&self) -> String {
        fs::read_to_string(self.path("ground.toml")).unwrap()
    }

    /// Waits until the file says what it should.
    pub fn until_text(&self, what: &str, is_so: impl Fn(&str) -> bool) -> String {
        let begin = Instant::now();
        loop {
            let text = self.text();
            if is_so(&text) {
                return text;
            }
            assert!(begin.elapsed() < SAVED, "the file never came to hold: {what}\n{text}");
            thread::sleep(Duration::from_millis(50));
        }
    }
}

impl Drop for Live {
    fn drop(&mut self) {
        let _ = self.server.kill();
        let _ = self.server.wait();
    }
}

/// Shows the numbers of a part of the ground.
pub fn choose(page: &Opened, table: &str) {
    page.run(&format!(
        "const list = document.getElementById('things');
         list.value = {table:?};
         list.dispatchEvent(new Event('change'));"
    ));
    page.until(&format!("liveState().choice === {table:?}"));
    page.rest();
}

/// Waits until shadow and numbers are those of the ground as it is.
pub fn settled(page: &Opened) {
    page.until("!liveState().preview && !liveState().stale.shadow");
}

/// The number of a key under a heading of the file.
pub fn number(text: &str, name: &str, key: &str) -> f64 {
    let file: toml::Table = text.parse().unwrap();
    let stands = file["stand"].as_array().unwrap();
    let stand = stands.iter().find(|stand| stand["name"].as_str() == Some(name)).unwrap();
    let value = key.split('.').fold(stand, |inner, part| &inner[part]);
    value.as_float().unwrap()
}
