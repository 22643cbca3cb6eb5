//! Candidate positions: where their places lie, what they take from a camera, and
//! what is refused.

use quarterstop::base::frame::FieldFrame;
use quarterstop::base::units::Azimuth;
use quarterstop::venue::{Candidate, CandidateGround, Venue, parse};

/// A football pitch whose bearing is east, so that along is east and across is north.
const BASE: &str = r#"title = "Ground"
[place]
latitude_deg = 50.0
longitude_deg = 0.0
height_m = 0.0
zone = "Etc/UTC"
[field]
sport = "football"
bearing_deg = 90.0
[[gantry]]
name = "rail"
from = [-10.0, 50.0, 12.0]
to = [10.0, 50.0, 14.0]
[[camera]]
name = "reverse"
at = [0.0, -50.0, 6.0]
looks_at = ["centre spot"]
focal_length_mm = 24.0
image_width_mm = 9.6
aspect = 1.5
"#;

fn built(more: &str) -> Venue {
    parse(&format!("{BASE}{more}"), "ground.toml").unwrap_or_else(|e| panic!("{e}"))
}

fn only(more: &str) -> Candidate {
    let mut venue = built(&format!("[[candidate]]\nname = \"wish\"\n{more}"));
    assert_eq!(venue.candidates.len(), 1);
    venue.candidates.remove(0)
}

fn says(more: &str, parts: &[&str]) {
    let text = format!("{BASE}[[candidate]]\nname = \"wish\"\n{more}");
    let report = parse(&text, "ground.toml").unwrap_err().to_string();
    assert!(report.starts_with("1 mistake "), "{report}");
    for part in parts {
        assert!(report.contains(part), "{part:?} is missing in:\n{report}");
    }
}

#[test]
fn a_row_has_a_place_at_both_ends_and_equal_steps_between() {
    let row = only("gantry = \"rail\"\nevery_m = 5.0\nhorizontal_fov_deg = 30.0\n");
    assert!(matches!(row.ground, CandidateGround::Row { .. }));
    let x: Vec<f64> = row.posts.iter().map(|p| p.at.x).collect();
    assert_eq!(x.len(), 5);
    for (got, wanted) in x.iter().zip([-10.0, -5.0, 0.0, 5.0, 10.0]) {
        assert!((got - wanted).abs() < 1e-9, "{x:?}");
    }
    // the rail climbs two metres
    assert!((row.posts[2].at.z - 13.0).abs() < 1e-9);
    assert_eq!(row.posts[4].name, "wish 5");
}

#[test]
fn a_deck_is_filled_evenly_and_a_slope_is_followed() {
    let deck = only(
        "deck = [[0.0, 40.0, 5.0], [10.0, 40.0, 5.0], [10.0, 44.0, 7.0], [0.0, 44.0, 7.0]]\n\
         every_m = 2.0\nhorizontal_fov_deg = 30.0\n",
    );
    assert_eq!(deck.posts.len(), 5 * 2);
    for post in &deck.posts {
        let along = FieldFrame::new(Azimuth::from_degrees(90.0)).to_field(post.at);
        assert!((post.at.z - (5.0 + 0.5 * (along.across_m - 40.0))).abs() < 1e-9, "{post:?}");
        assert!((0.0..=10.0).contains(&along.along_m));
    }
    let triangle = only(
        "deck = [[0.0, 40.0, 5.0], [10.0, 40.0, 5.0], [0.0, 50.0, 5.0]]\nevery_m = 1.0\n\
         horizontal_fov_deg = 30.0\n",
    );
    // half of a hundred square metres, one place each; those on the slope may go either way
    assert!((40..=60).contains(&triangle.posts.len()), "{}", triangle.posts.len());
}

#[test]
fn what_is_left_open_is_taken_from_the_camera_that_it_replaces() {
    let like = only("at = [20.0, -50.0, 6.0]\ninstead_of = \"reverse\"\n");
    assert_eq!(like.instead_of, Some(0));
    let post = &like.posts[0];
    assert_eq!((post.name.as_str(), post.aspect), ("wish", 1.5));
    // 2 atan(9.6 / 48)
    assert!((post.horizontal_fov_deg - 22.6199).abs() < 1e-4);
    assert_eq!(post.aims.len(), 1);
    let own = only(
        "at = [20.0, -50.0, 6.0]\ninstead_of = \"reverse\"\nhorizontal_fov_deg = 40.0\n\
         looks_at = [\"penalty spot ahead\", \"penalty spot behind\"]\n",
    );
    assert_eq!((own.posts[0].horizontal_fov_deg, own.posts[0].aims.len()), (40.0, 2));
}

/// By hand: a picture 30 m wide at 40 m and at 80 m.
#[test]
fn a_picture_of_a_stated_width_takes_a_longer_lens_from_farther_off() {
    let fov = |across: f64| {
        only(&format!("at = [0.0, {across:.1}, 0.0]\naim = [[0.0, 0.0]]\nshows_m = 30.0\n")).posts
            [0]
        .horizontal_fov_deg
    };
    assert!((fov(-40.0) - 41.1121).abs() < 1e-4, "{}", fov(-40.0));
    assert!((fov(-80.0) - 21.2394).abs() < 1e-4, "{}", fov(-80.0));
}

#[test]
fn places_inside_of_things_are_left_out_and_counted() {
    let block = "[[solid]]\nname = \"Block\"\nfootprint = [[-1.0, -41.0], [1.0, -41.0], \
         [1.0, -39.0], [-1.0, -39.0]]\ntop_m = 9.0\n";
    let rail = "[[gantry]]\nname = \"low\"\nfrom = [-4.0, -40.0, 3.0]\nto = [4.0, -40.0, 3.0]\n";
    let wish = "[[candidate]]\nname = \"wish\"\ngantry = \"low\"\nhorizontal_fov_deg = 30.0\n";
    let found = &built(&format!("{block}{rail}{wish}")).candidates[0];
    assert_eq!((found.posts.len(), found.left_out), (4, 1));
    let inside = format!(
        "{BASE}{block}[[candidate]]\nname = \"wish\"\nat = [0.0, -40.0, 3.0]\n\
         horizontal_fov_deg = 30.0\n"
    );
    let report = parse(&inside, "ground.toml").unwrap_err().to_string();
    assert!(report.contains("no place outside of \"Block\""), "{report}");
}

#[test]
fn what_cannot_be_meant_is_refused() {
    says("horizontal_fov_deg = 30.0\n", &["candidate[0].at", "without a place", "at, gantry"]);
    says(
        "at = [0.0, 50.0, 3.0]\ngantry = \"rail\"\nhorizontal_fov_deg = 30.0\n",
        &["several kinds of place"],
    );
    says("at = [0.0, 50.0, 3.0]\n", &["without a lens"]);
    says("at = [0.0, 50.0, 3.0]\ninstead_of = \"revers\"\nshows_m = 30.0\n", &["\"reverse\"?"]);
    says("at = [0.0, 50.0, -3.0]\nshows_m = 30.0\n", &["3.00 m under ground"]);
    says(
        "at = [0.0, 50.0, 3.0]\nshows_m = 30.0\nfocal_length_mm = 20.0\n",
        &["both a lens and the width"],
    );
    says(
        "deck = [[0.0, 50.0, 3.0], [1.0, 50.0, 3.0]]\nshows_m = 30.0\n",
        &["2 corners that enclose no floor"],
    );
    says(
        "deck = [[0.0, 50.0, 3.0], [9.0, 50.0, 3.0], [9.0, 59.0, 3.0], [0.0, 59.0, 4.0]]\n\
         shows_m = 30.0\n",
        &["off their plane"],
    );
    says(
        "deck = [[0.0, 50.0, 3.0], [9.0, 59.0, 3.0], [9.0, 50.0, 3.0], [0.0, 59.0, 3.0]]\n\
         shows_m = 30.0\n",
        &["candidate[0].deck"],
    );
    says(
        "deck = [[0.0, 50.0, 3.0], [900.0, 50.0, 3.0], [900.0, 950.0, 3.0], [0.0, 950.0, 3.0]]\n\
         shows_m = 30.0\nevery_m = 0.1\n",
        &["a smaller area"],
    );
    says(
        "gantry = \"rail\"\nevery_m = 0.1\nshows_m = 30.0\n[[candidate]]\nname = \"more\"\n\
         deck = [[0.0, 50.0, 3.0], [90.0, 50.0, 3.0], [90.0, 140.0, 3.0], [0.0, 140.0, 3.0]]\n\
         shows_m = 30.0\nevery_m = 1.0\n",
        &["at most 5000 places"],
    );
}
