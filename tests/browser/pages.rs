//! The pages, made by the real binary from the demo venues and from a hostile one.

use std::env::{self, consts::EXE_EXTENSION};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use assert_cmd::Command;

use super::league_support;

pub const FOOTBALL: &str = "football-demo";
pub const TENNIS: &str = "tennis-demo";
pub const GOLF: &str = "golf-demo";
pub const HOSTILE: &str = "hostile";
/// A league of 40 fixtures on 20 grounds, under rules.
pub const SEASON: &str = "season";
/// The board that most tests open.
pub const BOARD: &str = "football-demo/board.html";

/// Names that would run a script wherever a page took them for markup.
pub const TITLE: &str = "Park </script><img src=x onerror=window.hacked=1>";
pub const CAMERA: &str = "1 wide \"><svg onload=window.hacked=2>";
pub const ZONE: &str = "area '><script>window.hacked=3</script>";

static MADE: [(&str, OnceLock<PathBuf>); 5] = [
    (FOOTBALL, OnceLock::new()),
    (TENNIS, OnceLock::new()),
    (GOLF, OnceLock::new()),
    (HOSTILE, OnceLock::new()),
    (SEASON, OnceLock::new()),
];

/// A page by venue and name, `football-demo/board.html`; the venue's pages are made when
/// the first of them is asked for.
pub fn path(file: &str) -> PathBuf {
    let (venue, name) = file.split_once('/').unwrap();
    let (_, folder) = MADE.iter().find(|(known, _)| *known == venue).unwrap();
    folder.get_or_init(|| make(venue)).join(name)
}

/// Each run writes the same folders anew: nothing piles up.
fn make(venue: &str) -> PathBuf {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("browser");
    let folder = home.join(venue);
    if venue == SEASON {
        season(&home.join("league"), &folder);
    } else if venue == HOSTILE {
        fs::create_dir_all(&home).unwrap();
        let file = home.join("hostile.toml");
        fs::write(&file, hostile_venue()).unwrap();
        write("brief", &file, &folder);
    } else {
        write("brief", &demo(venue), &folder);
    }
    if venue == FOOTBALL {
        write("sensitivity", &demo(venue), &folder);
    }
    folder
}

/// Coarse steps: what is looked at is the page.
fn season(home: &Path, into: &Path) {
    fs::create_dir_all(home).unwrap();
    let league = league_support::write(home);
    let mut run = Command::new(tool());
    run.args(["starts", "--every-min", "30", "--step", "15", "--fixtures"]).arg(league.list);
    run.arg("--rules").arg(league.rules).arg("--into").arg(into).assert().success();
}

/// The venue file of a demo ground.
pub fn demo(venue: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../venues").join(format!("{venue}.toml"))
}

fn write(job: &str, venue: &Path, into: &Path) {
    Command::new(tool()).arg(job).arg(venue).arg("--into").arg(into).assert().success();
}

/// The binary that was built with these tests, in the folder above theirs.
pub fn tool() -> PathBuf {
    let tests = env::current_exe().unwrap();
    let tool = tests.ancestors().nth(2).unwrap().join("quarterstop").with_extension(EXE_EXTENSION);
    assert!(tool.is_file(), "{} is missing: build it with `cargo build`", tool.display());
    tool
}

fn hostile_venue() -> String {
    let text = fs::read_to_string(demo(FOOTBALL)).unwrap();
    let mut venue: toml::Table = text.parse().unwrap();
    venue.insert("title".to_owned(), TITLE.into());
    venue["camera"][0]["name"] = CAMERA.into();
    venue["zone"][0]["name"] = ZONE.into();
    // where the edge passes while play runs, so that cues name it
    let corners: [[f64; 2]; 4] = [[-5.0, -14.0], [5.0, -14.0], [5.0, -4.0], [-5.0, -4.0]];
    venue["zone"][0]["corners"] = corners.map(|c| toml::Value::from(c.to_vec())).to_vec().into();
    // the fifth camera looks at the zone by its name
    venue["camera"][4]["looks_at"][0] = ZONE.into();
    venue["operator"][0]["cameras"][0] = CAMERA.into();
    toml::to_string(&venue).unwrap()
}
