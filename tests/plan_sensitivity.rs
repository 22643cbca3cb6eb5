//! What a number of the venue file does to the times, against a wall in closed form.

use chrono::{DateTime, TimeZone};
use chrono_tz::Tz;
use render_support::marks::{elements, number, overlapping, texts};

use crate::render_support;
use quarterstop::jobs::sensitivity::report::{SensitivityReport, data, list, summary, table};
use quarterstop::jobs::sensitivity::{
    Question, Sensitivity, SensitivityError, UNMEASURED_OFF, events, sensitivity,
};
use quarterstop::output::text::{Ink, WIDTH};
use quarterstop::solar;
use quarterstop::venue::{Draft, Place, Venue};

/// Times are found to a tenth of a second over changes of 0.2: two hundredths of a
/// minute per unit, and the straight line through both changes bends by as much again.
const RATE_MIN: f64 = 0.05;

/// A wall 3 km long, 40 m east of the middle of a field that points north, the sun of a
/// morning behind it.
const WALL: &str = r#"title = "Wall"
[place]
latitude_deg = 50.0
longitude_deg = 0.0
height_m = 0.0
zone = "Etc/UTC"
[field]
sport = "football"
bearing_deg = 0.0
[[solid]]
name = "wall"
footprint = [[-1500.0, -40.0], [1500.0, -40.0], [1500.0, -41.0], [-1500.0, -41.0]]
top_m = 20.0
"#;

fn draft(more: &str) -> Draft {
    Draft::parse(&format!("{WALL}{more}"), "wall.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn window() -> (DateTime<Tz>, DateTime<Tz>) {
    let at = |hour| Tz::UTC.with_ymd_and_hms(2027, 6, 21, hour, 0, 0).unwrap();
    (at(5), at(11))
}

fn found(draft: &Draft) -> Sensitivity {
    sensitivity(draft, window(), |_, _| {}).unwrap_or_else(|e| panic!("{e}"))
}

/// When the sun clears a wall `height` high whose top edge runs north, `distance` east of
/// a place: its height over the distance along the sun's azimuth, `tan(elevation) =
/// height * sin(azimuth) / distance` (geometry). Minutes after the window begins.
fn clears(place: &Place, height: f64, distance: f64, turned_deg: f64) -> f64 {
    let start = window().0;
    let over = |ms: i64| {
        let at = start + chrono::TimeDelta::milliseconds(ms);
        let sun = solar::position(place, at.with_timezone(&chrono::Utc));
        let along = (sun.azimuth.degrees() - turned_deg).to_radians().sin();
        sun.apparent_elevation.radians().tan() - height * along / distance
    };
    let (mut low, mut high) = (0_i64, 6 * 3_600_000);
    assert!(over(low) < 0.0 && over(high) > 0.0);
    while high - low > 1 {
        let middle = (low + high) / 2;
        if over(middle) < 0.0 { low = middle } else { high = middle }
    }
    high as f64 / 60_000.0
}

fn rate(venue: &Venue, sensitivity: &Sensitivity, what: &str, mark: &str) -> f64 {
    let index = venue.field.marks.iter().position(|m| m.name == mark).unwrap();
    let event = sensitivity
        .events
        .iter()
        .position(|e| e.question == Question::MarkInSun(index) && e.to)
        .unwrap();
    let effect = sensitivity.effects.iter().find(|e| e.dimension.address.to_string() == what);
    effect.unwrap_or_else(|| panic!("{what}")).moves[event].unwrap()
}

#[test]
fn a_wall_moves_the_sun_at_a_mark_as_its_closed_form_says() {
    let draft = draft("");
    let venue = draft.venue().unwrap();
    let result = found(&draft);
    // the wall's western face stands 40 m east of the centre
    let at = |height, distance, turned| clears(&venue.place, height, distance, turned);
    let centre = venue.field.marks.iter().position(|m| m.name == "centre spot").unwrap();
    let event = result.events.iter().find(|e| e.question == Question::MarkInSun(centre)).unwrap();
    let minutes = (event.at - window().0).num_milliseconds() as f64 / 60_000.0;
    // the near one of its two top edges is the steeper as seen from the field
    assert!((minutes - at(20.0, 40.0, 0.0)).abs() < 0.005, "{minutes}");
    let central = |f: &dyn Fn(f64) -> f64| (f(0.2) - f(-0.2)) / 0.4;
    let height = central(&|d| at(20.0 + d, 40.0, 0.0));
    let turned = central(&|d| at(20.0, 40.0, d));
    let told = |what: &str| rate(&venue, &result, what, "centre spot");
    let told_height = told("solid.wall.top_m");
    assert!((told_height - height).abs() < RATE_MIN, "{told_height} {height}");
    assert!(height > 5.0, "a case worth testing: {height}");
    let told_turned = told("field.bearing_deg");
    assert!((told_turned - turned).abs() < RATE_MIN, "{told_turned} {turned}");
}

#[test]
fn what_is_measured_counts_with_its_own_error_and_moves_down_the_list() {
    let plain = found(&draft(""));
    let of = |s: &Sensitivity, what: &str| {
        s.effects.iter().position(|e| e.dimension.address.to_string() == what).unwrap()
    };
    assert_eq!(of(&plain, "solid.wall.top_m"), 0);
    let top = &plain.effects[0];
    assert_eq!((top.off_by, top.is_measured()), (UNMEASURED_OFF, false));
    let surveyed = "[[surveyed]]\nwhat = \"solid.wall.top_m\"\nplus_minus = 0.02\nhow = \"laser\"\n\
         on = \"2027-05-03\"\n";
    let measured = found(&draft(surveyed));
    let index = of(&measured, "solid.wall.top_m");
    assert!(index > 0);
    let top = &measured.effects[index];
    assert!(top.is_measured() && top.off_by == 0.02);
    assert!((top.most_min() - 0.02 * top.most_min_per_unit().abs()).abs() < 1e-12);
    let steps = measured.effects.windows(2);
    for pair in steps {
        assert!(pair[0].most_min() >= pair[1].most_min());
    }
}

#[test]
fn numbers_that_move_nothing_and_windows_without_events_are_told() {
    // a mast in the north throws no shadow on the field in the morning of midsummer
    let mast = "[[solid]]\nname = \"mast\"\ncentre = [90.0, 60.0]\nradius_m = 0.5\ntop_m = 9.0\n";
    let result = found(&draft(mast));
    let still: Vec<String> = result.still.iter().map(ToString::to_string).collect();
    assert!(still.contains(&"solid.mast.top_m".to_owned()), "{still:?}");
    let night = Tz::UTC.with_ymd_and_hms(2027, 6, 21, 0, 0, 0).unwrap();
    let refused = sensitivity(&draft(""), (night, night + chrono::TimeDelta::hours(1)), |_, _| {});
    assert!(matches!(refused, Err(SensitivityError::NothingMoves { .. })));
    let venue = draft("").venue().unwrap();
    assert!(events(&venue, night, night + chrono::TimeDelta::hours(1)).is_empty());
}

#[test]
fn reports_read_well_and_fit_their_formats() {
    let hostile = "[[solid]]\nname = \"<b>block</b>\"\ncentre = [0.0, -38.0]\nradius_m = 1.0\n\
         top_m = 30.0\n";
    let draft = draft(hostile);
    let venue = draft.venue().unwrap();
    let result = found(&draft);
    let told = SensitivityReport { venue: &venue, found: &result };
    let text = summary::text(&told, Ink::Plain);
    assert!(text.lines().all(|l| l.chars().count() <= WIDTH), "{text}");
    assert!(text.contains("wall: top") && text.contains("Cautions"));
    let json: serde_json::Value = serde_json::from_slice(&data::write(&told).unwrap()).unwrap();
    assert!(jsonschema::validator_for(&data::schema()).unwrap().is_valid(&json));
    let csv = table::csv(&told).unwrap();
    let mut reader = csv::Reader::from_reader(csv.as_slice());
    assert_eq!(
        reader.headers().unwrap().iter().collect::<Vec<_>>(),
        crate::support::names_of(table::columns())
    );
    assert_eq!(reader.records().count(), result.effects.len() * result.events.len());
    let page = list::html(&told).unwrap();
    assert!(page.contains("&lt;b&gt;block") && !page.contains("<b>block"));
    assert!(page.contains("laser, or clinometer"));
    let svg = quarterstop::jobs::sensitivity::picture::sensitivity(&venue, &result).unwrap().svg;
    let all = elements(&svg);
    let (width, height) = (number(&all[0], "width"), number(&all[0], "height"));
    let texts = texts(&all);
    for text in &texts {
        let inside = 0.0 < text.left && text.right < width && 0.0 < text.top;
        assert!(inside && text.bottom < height, "{text:?}");
    }
    if let Some((a, b)) = overlapping(&texts) {
        panic!("{a:?} lies over {b:?}");
    }
}
