//! A league made by formula: grounds, a list of fixtures and rules, as files. Invented
//! throughout; places are open land.
#![allow(dead_code)]

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

const NAMES: [&str; 20] = [
    "Analemma",
    "Azimuth",
    "Candela",
    "Diffuse",
    "Ecliptic",
    "Equinox",
    "Gnomon",
    "Halfmoon",
    "Isophote",
    "Lantern",
    "Nadir",
    "Nimbus",
    "Obliquity",
    "Parallax",
    "Penumbra",
    "Quadrant",
    "Solstice",
    "Sundial",
    "Twilight",
    "Refraction",
];
const KINDS: [&str; 4] = ["Park", "Road", "Field", "Lane"];
/// Days of a round: Saturday or Sunday, planned start.
const ROUND: [(usize, &str); 5] =
    [(0, "12:30"), (0, "15:00"), (0, "15:00"), (1, "14:00"), (1, "16:30")];
/// Saturdays, with the day after.
const SATURDAYS: [[&str; 2]; 8] = [
    ["2027-08-28", "2027-08-29"],
    ["2027-09-18", "2027-09-19"],
    ["2027-10-09", "2027-10-10"],
    ["2027-11-06", "2027-11-07"],
    ["2028-01-15", "2028-01-16"],
    ["2028-02-26", "2028-02-27"],
    ["2028-03-18", "2028-03-19"],
    ["2028-04-15", "2028-04-16"],
];

/// Files of a league.
pub struct League {
    pub list: PathBuf,
    pub rules: PathBuf,
}

/// Title of a ground.
pub fn title(ground: usize) -> String {
    format!("{} {}", NAMES[ground % NAMES.len()], KINDS[ground % KINDS.len()])
}

/// Writes 20 grounds, 40 fixtures on them and rules into a folder.
pub fn write(folder: &Path) -> League {
    for ground in 0..NAMES.len() {
        fs::write(folder.join(file(ground)), venue(ground)).unwrap();
    }
    let (list, rules) = (folder.join("league.csv"), folder.join("rules.toml"));
    fs::write(&list, fixtures()).unwrap();
    fs::write(&rules, RULES).unwrap();
    League { list, rules }
}

pub fn file(ground: usize) -> String {
    format!("{}.toml", NAMES[ground % NAMES.len()].to_lowercase())
}

/// A ground of four stands, each as high and as roofed as its number says.
pub fn venue(ground: usize) -> String {
    // spread over a few hundred kilometres of open land
    let (row, column) = ((ground / 5) as f64, (ground % 5) as f64);
    let bearing = (ground * 37 % 180) as f64;
    let mut text = format!(
        "title = \"{}\"\n\n[place]\nlatitude_deg = {:.2}\nlongitude_deg = {:.2}\n\
         height_m = {:.1}\nzone = \"Europe/London\"\n\n[field]\nsport = \"football\"\n\
         bearing_deg = {bearing:.1}\n\n",
        title(ground),
        51.6 + 0.45 * row,
        -2.3 + 0.4 * column,
        20.0 + 5.0 * column,
    );
    for (side, name) in [("left", "West"), ("right", "East"), ("ahead", "Town"), ("behind", "Hill")]
    {
        let n = ground * 7 + side.len() * 3;
        let back = 9.0 + (n % 6) as f64 * 2.5;
        let _ = write!(
            text,
            "[[stand]]\nname = \"{name} Stand\"\nside = \"{side}\"\nsetback_m = 7.0\n\
             length_m = {:.1}\ndepth_m = {:.1}\nfront_height_m = 1.2\nback_height_m = {back:.1}\n",
            if matches!(side, "left" | "right") { 100.0 } else { 66.0 },
            1.6 * back,
        );
        if !n.is_multiple_of(3) {
            let _ = write!(
                text,
                "[stand.roof]\nfront_height_m = {:.1}\nback_height_m = {:.1}\noverhang_m = 2.0\n\
                 gap_m = 1.0\n",
                back + 5.0,
                back + 3.0,
            );
        }
        text.push('\n');
    }
    for (name, at, looks, fov) in [
        ("1 main wide", "[0.0, 40.0, 14.0]", "[[-30.0, -4.0], [30.0, -4.0]]", 55.0),
        ("2 main close", "[2.0, 40.0, 14.0]", "[[-40.0, 0.0], [40.0, 0.0]]", 12.0),
        ("3 reverse", "[0.0, -38.0, 3.0]", "[[-25.0, 0.0], [25.0, 0.0]]", 30.0),
    ] {
        let _ = write!(
            text,
            "[[camera]]\nname = \"{name}\"\nat = {at}\naim = {looks}\n\
             horizontal_fov_deg = {fov:.1}\n\n"
        );
    }
    text
}

/// Rounds of five fixtures from late summer to spring; every ground has two.
pub fn fixtures() -> String {
    let mut text =
        "date,venue,earliest,latest,duration_min,start,planned,fixture,teams,crew,truck\n"
            .to_owned();
    for (round, days) in SATURDAYS.iter().enumerate() {
        for (place, (day, planned)) in ROUND.iter().enumerate() {
            let n = round * ROUND.len() + place;
            // nobody plays twice in a round
            let home = n % 20;
            let away = (home + 10 - 5 * (n / 20)) % 20;
            let date = days[*day];
            let (earliest, latest, start) = match n % 10 {
                9 => (*planned, "", "fixed"),
                _ => ("12:00", "20:00", "free"),
            };
            let planned = if start == "fixed" { "" } else { planned };
            let crew = ["red", "blue"][place % 2];
            let truck = ["one", "two", "three"][place % 3];
            let _ = writeln!(
                text,
                "{date},{},{earliest},{latest},,{start},{planned},{} v {},{};{},{crew},{truck}",
                file(home),
                NAMES[home],
                NAMES[away],
                NAMES[home],
                NAMES[away],
            );
        }
    }
    text
}

/// What such a league must keep to.
pub const RULES: &str = "\
# What the season must keep to. Times are the venues' clocks.
only_in_slots = true
stay_planned = \"slight\"

[[hours]]
last_end = \"22:15\"

[[slot]]
name = \"Saturday lunch\"
days = [\"sat\"]
from = \"12:00\"
until = \"13:00\"
max_fixtures = 1

[[slot]]
name = \"Saturday afternoon\"
days = [\"sat\"]
from = \"14:30\"
until = \"15:30\"

[[slot]]
name = \"Saturday evening\"
days = [\"sat\"]
from = \"17:00\"
until = \"20:00\"
apart_min = 120

[[slot]]
name = \"Sunday\"
days = [\"sun\"]
from = \"12:30\"
until = \"19:00\"
apart_min = 120

[[rest]]
of = \"crew\"
hours = 3.5

[[rest]]
of = \"truck\"
hours = 4

[[rest]]
of = \"team\"
hours = 60

[travel]
straight_km_per_h = 55

[[prefer]]
weight = \"normal\"
days = [\"sun\"]
from = \"13:00\"
until = \"16:30\"
reason = \"families travel home by train\"
";
