//! `quarterstop agreement`: three moments, nothing that it needs from outside.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use base64::Engine as _;

fn quarterstop() -> Command {
    Command::new(env!("CARGO_BIN_EXE_quarterstop"))
}

fn sheet(folder: &Path, args: &[&str]) -> (String, String) {
    let run = quarterstop().args(["agreement"]).args(args).arg("--into").arg(folder).assert();
    let text = String::from_utf8_lossy(&run.success().get_output().stdout).into_owned();
    (fs::read_to_string(folder.join("agreement.html")).unwrap(), text)
}

/// What lies between two marks, each time.
fn between<'a>(page: &'a str, from: &str, to: &str) -> Vec<&'a str> {
    page.split(from).skip(1).map(|rest| rest.split(to).next().unwrap()).collect()
}

/// Mean of all code values of a picture.
fn mean(picture: &str) -> f64 {
    let bytes = base64::engine::general_purpose::STANDARD.decode(picture).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    assert_eq!((reader.info().width, reader.info().height), (480, 270));
    pixels.iter().map(|v| f64::from(*v)).sum::<f64>() / pixels.len() as f64
}

/// A leaf over half of the field that opens in the match: a minute before that is shown with
/// the leaf shut, whatever stands in the middle of play.
#[test]
fn pictures_show_what_stands_at_their_minute() {
    let home = tempfile::tempdir().unwrap();
    let field = fs::read_to_string("venues/football-demo.toml").unwrap();
    let means = |name: &str, usual: &str, moves: &str| -> Vec<f64> {
        let leaf = format!(
            "\n[[panel]]\nname = \"Leaf\"\ncorners = [[-50.0, -30.0, 45.0], [50.0, -30.0, 45.0], \
             [50.0, 30.0, 45.0], [-50.0, 30.0, 45.0]]\n[[moving]]\nname = \"Leaf\"\nusual = \
             \"{usual}\"\n[[moving.state]]\nname = \"shut\"\n[[moving.state]]\nname = \"open\"\n\
             [[moving.state.part]]\nwhat = \"Leaf\"\ngone = true\n{moves}"
        );
        let file = home.path().join(format!("{name}.toml"));
        fs::write(&file, format!("{field}{leaf}")).unwrap();
        let into = home.path().join(name);
        let args =
            [file.to_str().unwrap(), "--step", "5", "--minute", "15:10", "--camera", "1 main wide"];
        let (page, _) = sheet(&into, &args);
        between(&page, "data:image/png;base64,", "\"").into_iter().map(mean).collect()
    };
    let opens = "[[move]]\nwhat = \"Leaf\"\nto = \"open\"\nat = \"15:30\"\n";
    let [opening, shut, open] =
        [("opening", "shut", opens), ("shut", "shut", ""), ("open", "open", "")]
            .map(|(name, usual, moves)| means(name, usual, moves));
    let apart =
        |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    assert!(apart(&opening, &shut) < 1.0, "{opening:?} {shut:?}");
    assert!(apart(&opening, &open) > 5.0, "{opening:?} {open:?}");
}

#[test]
fn a_sheet_has_three_moments_and_needs_nothing_from_outside() {
    let folder = tempfile::tempdir().unwrap();
    let (page, text) = sheet(folder.path(), &["venues/football-demo.toml", "--step", "5"]);
    for words in ["widest split", "hardest cut: ", "last sun and shade in one picture"] {
        assert_eq!(page.matches(words).count(), 1, "{words}\n{text}");
        assert!(text.contains(words), "{text}");
    }
    for words in ["for the sun", "between", "for the shade"] {
        assert_eq!(page.matches(&format!("</span>{words}</p>")).count(), 3, "{words}");
    }
    let pictures = between(&page, "data:image/png;base64,", "\"");
    assert_eq!(pictures.len(), 9);
    // exposed for the sun is darkest, for the shade brightest
    for moment in pictures.chunks(3) {
        let means: Vec<f64> = moment.iter().map(|picture| mean(picture)).collect();
        assert!(means.windows(2).all(|pair| pair[0] <= pair[1]), "{means:?}");
    }
    // nothing from outside, and what people must know
    assert!(!page.contains("http:") && !page.contains("https:"));
    assert!(page.contains("Never look at the sun") && page.contains("Director"));
}

#[test]
fn minutes_and_cameras_are_shown_as_asked() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["venues/football-demo.toml", "--step", "5", "--camera", "5 reverse"];
    let (page, _) = sheet(folder.path(), &[&args[..], &["--minute", "16:10,15:20"]].concat());
    let times = between(&page, "<h2><b>", "</h2>");
    assert_eq!(times.len(), 2);
    assert!(times[0].starts_with("15:20</b> 5 reverse"), "{times:?}");
    assert!(times[1].starts_with("16:10</b> 5 reverse"), "{times:?}");
    for (option, value, says) in [
        ("--minute", "15:00,15:10,15:20,15:30", "room for 3"),
        ("--minute", "03:00", "03:00"),
        ("--camera", "9 none", "9 none"),
    ] {
        let run = quarterstop()
            .args([
                "agreement",
                "venues/football-demo.toml",
                "--step",
                "5",
                option,
                value,
                "--into",
            ])
            .arg(folder.path())
            .assert()
            .code(2);
        let error = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
        assert!(error.contains(says), "{error}");
    }
}

/// The hardest cut that is named is the hardest of all play, by the table of `matching`: on this
/// day it comes with the widest split, which then tells of both.
#[test]
fn the_hardest_cut_is_named_though_it_comes_with_the_widest_split() {
    let folder = tempfile::tempdir().unwrap();
    let day = ["venues/tennis-demo.toml", "--date", "2027-04-10", "--step", "5"];
    let cameras = ["--camera", "1 main", "--camera", "2 net"];
    let (page, text) = sheet(folder.path(), &[&day[..], &cameras].concat());
    assert_eq!(between(&page, "<h2><b>", "</h2>").len(), 3, "{text}");
    quarterstop().arg("matching").args(day).arg("--into").arg(folder.path()).assert().success();
    let rows = csv::Reader::from_path(folder.path().join("matching.csv"));
    let gaps = rows.unwrap().into_records().map(Result::unwrap).filter(|row| {
        (&row[1], &row[2]) == ("1 main", "2 net") && ("16:00".."18:30").contains(&&row[0][11..16])
    });
    let hardest = gaps.filter_map(|row| row[5].parse::<f64>().ok()).map(f64::abs).reduce(f64::max);
    let named =
        format!("widest split; hardest cut: 1 main to 2 net, {:.1} stops", hardest.unwrap());
    assert!(page.contains(&named) && text.contains(&named), "{named}\n{text}");
    assert_eq!(page.matches("hardest cut").count(), 1, "{text}");
}

/// A sheet of play into the dark without floodlights, at the ground of the demo.
fn late_sheet(start: &str) -> (Vec<String>, String, String) {
    let folder = tempfile::tempdir().unwrap();
    let mut venue: toml::Table =
        fs::read_to_string("venues/football-demo.toml").unwrap().parse().unwrap();
    venue.remove("floodlights");
    venue["fixture"]["start"] = start.into();
    let file = folder.path().join("late.toml");
    fs::write(&file, toml::to_string(&venue).unwrap()).unwrap();
    let run = quarterstop()
        .args(["agreement", "--step", "5"])
        .arg(&file)
        .arg("--into")
        .arg(folder.path())
        .assert()
        .success();
    let warned = String::from_utf8_lossy(&run.get_output().stderr).into_owned();
    let page = fs::read_to_string(folder.path().join("agreement.html")).unwrap();
    let times = between(&page, "<h2><b>", "</b>").into_iter().map(str::to_owned).collect();
    (times, page, warned)
}

/// The sun sets there at 18:05 (as `match` says of that day).
#[test]
fn moments_are_chosen_while_there_is_light() {
    let (times, page, warned) = late_sheet("16:30");
    assert_eq!(times.len(), 3);
    assert!(times.iter().all(|time| time.as_str() <= "18:05"), "{times:?}");
    assert!(!page.contains("in the dark") && !warned.contains("in the dark"), "{warned}");
    let (times, page, warned) = late_sheet("19:30");
    assert_eq!(times.len(), 3);
    assert!(page.contains("All of play is in the dark"), "the sheet says it");
    assert!(warned.contains("all of play is in the dark"), "{warned}");
}

/// A court in the afternoon sun and no ND on the wheel: that the lens is closed all the way is
/// said with the iris, and not again under it.
#[test]
fn a_lens_that_is_closed_all_the_way_is_said_once() {
    let folder = tempfile::TempDir::new().unwrap();
    let court = crate::lens_ends::COURT
        .replace("nd_stops = [0.0, 2.0, 4.0, 6.0]", "nd_stops = [0.0]")
        .replace("17:30", "16:30");
    let file = folder.path().join("court.toml");
    fs::write(&file, court).unwrap();
    let into = folder.path().join("sheet");
    let mut run = quarterstop();
    let run = run.arg("agreement").arg(&file).arg("--into").arg(&into).assert().success();
    let told = String::from_utf8(run.get_output().stdout.clone()).unwrap();
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let of_sun: Vec<&str> = told.split(" for the sun (").skip(1).collect();
    assert!(!of_sun.is_empty(), "{told}");
    let said = |setting: &&str| {
        setting.split(" between (").next().unwrap().matches("closed all the way").count()
    };
    let said: Vec<usize> = of_sun.iter().map(said).collect();
    assert!(said.contains(&1) && said.iter().all(|count| *count <= 1), "{said:?} {told}");
}

/// Under cloud, and in the sun on a court with nothing around: one light, one picture a moment,
/// and nothing to follow.
#[test]
fn a_moment_of_one_light_shows_one_picture() {
    let folder = tempfile::TempDir::new().unwrap();
    let court = folder.path().join("court.toml");
    fs::write(&court, crate::lens_ends::COURT.replace("17:30", "12:00")).unwrap();
    let court = court.to_str().unwrap();
    for (sky, name, state) in [
        ("overcast", "for the light there is", "No direct sun: one kind of light."),
        ("clear", "for the sun", "Only sun in shot."),
    ] {
        let args = [court, "--sky", sky, "--step", "5"];
        let (page, text) = sheet(&folder.path().join(sky), &args);
        assert_eq!(between(&page, "<h2><b>", "</h2>").len(), 3, "{text}");
        assert_eq!(between(&page, "data:image/png;base64,", "\"").len(), 3, "{text}");
        assert_eq!(page.matches(&format!("</span>{name}</p>")).count(), 3, "{name}");
        assert_eq!(page.matches(state).count(), 3, "{state}");
        assert!(!page.contains("follow with the iris") && !text.contains("between ("), "{text}");
    }
}
