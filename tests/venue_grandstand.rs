//! Grandstands by profiles: the same shadow as stands by their own keys, tiers over each other,
//! openings, ends, seats and people, and messages about files that say it wrong.

use chrono::NaiveDate;
use geo::Contains;
use glam::DVec3;

use quarterstop::base::frame::{FieldPoint, direction};
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, Obstacle, OverlayScratch, Shadow};
use quarterstop::venue::{OccluderKind, Part, Venue, parse};

const GROUND: &str = r#"title = "Ground"
[place]
latitude_deg = 52.0
longitude_deg = 0.0
height_m = 50.0
zone = "Europe/London"
[field]
sport = "football"
length_m = 105.0
width_m = 68.0
bearing_deg = 0.0
"#;

fn venue(more: &str) -> Venue {
    parse(&format!("{GROUND}{more}"), "ground.toml").unwrap()
}

fn refused(more: &str) -> String {
    parse(&format!("{GROUND}{more}"), "ground.toml").unwrap_err().to_string()
}

fn date() -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, 4, 17).unwrap()
}

fn shadow(venue: &Venue, azimuth_deg: f64, elevation_deg: f64) -> Shadow {
    let toward =
        direction(Azimuth::from_degrees(azimuth_deg), Elevation::from_degrees(elevation_deg));
    Caster::new(venue, date(), 0.0).cast(toward, &mut OverlayScratch::default())
}

/// A stand by its own keys and the same drawn by its points throw the same shadow to the
/// square millimetre.
#[test]
fn a_stand_by_points_shades_what_the_same_stand_by_numbers_shades() {
    let by_numbers = venue(
        "[[stand]]\nname = \"West\"\nside = \"left\"\nsetback_m = 6.0\nlength_m = 80.0\n\
         depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 12.0\nfoot = \"open\"\n\
         [stand.roof]\nfront_height_m = 18.0\nback_height_m = 16.0\noverhang_m = 2.0\ngap_m = 2.0\n",
    );
    let by_points = venue(
        "[[grandstand]]\nname = \"West\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n\
         [[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 1.0], [20.0, 12.0]]\n\
         [[grandstand.layer]]\npart = \"wall\"\nprofile = [[20.0, 12.0], [20.0, 14.0]]\n\
         [[grandstand.layer]]\npart = \"roof\"\nprofile = [[-2.0, 18.0], [20.0, 16.0]]\n",
    );
    for (azimuth, elevation) in [(270.0, 20.0), (250.0, 31.0), (300.0, 12.0), (285.0, 8.0)] {
        let [a, b] = [&by_numbers, &by_points].map(|v| shadow(v, azimuth, elevation));
        assert!(a.opaque_area_m2 > 50.0, "{azimuth} {}", a.opaque_area_m2);
        assert!((a.opaque_area_m2 - b.opaque_area_m2).abs() < 1e-6, "{azimuth} {elevation}");
    }
    assert_eq!(by_points.occluders[0].kind, OccluderKind::Grandstand);
}

/// Two tiers that overlap in plan are one thing: under the upper one the lower is in shade,
/// and light passes between both where a ray by hand does.
#[test]
fn tiers_lie_over_each_other_with_light_between() {
    let venue = venue(
        "[[grandstand]]\nname = \"West\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n\
         [[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 1.0], [24.0, 10.0]]\n\
         [[grandstand.layer]]\npart = \"front\"\nprofile = [[12.0, 14.0], [12.0, 15.0]]\n\
         [[grandstand.layer]]\npart = \"deck\"\nprofile = [[12.0, 14.0], [24.0, 22.0]]\n",
    );
    let all = Obstacle::all_of(&venue, date());
    let at = |along_m: f64, across_m: f64, up_m: f64| {
        venue.field.frame.to_local(FieldPoint { along_m, across_m, up_m })
    };
    let passes = |from: DVec3, to: DVec3| all.transmission(from, (to - from).normalize()).share();
    let centre = at(0.0, 0.0, 1.7);
    // over the back of the lower deck, 64 m out and 10 m up, under the upper one's front at 14
    assert_eq!(passes(centre, at(0.0, 64.0, 11.0)), 1.0);
    assert_eq!(passes(centre, at(0.0, 52.0, 14.5)), 0.0);
    assert_eq!(passes(centre, at(0.0, 52.0, 3.0)), 0.0);
    assert_eq!(passes(at(0.0, 50.0, 6.0), at(0.0, 58.0, 60.0)), 1.0);
    assert_eq!(passes(at(0.0, 60.0, 9.6), at(0.0, 60.5, 60.0)), 0.0);
}

/// By hand: an opening of 3 m by 4 m of plan in a level deck leaves a hole of 12 m2 in the
/// shadow of a sun from above, on a bay that is square to it.
#[test]
fn an_opening_lets_light_through_as_large_as_it_is() {
    let deck = |opening: &str| {
        format!(
            "[[grandstand]]\nname = \"Over\"\nline = [[-20.0, 10.0], [20.0, 10.0]]\n\
             [[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 9.0], [20.0, 9.0]]\n{opening}"
        )
    };
    let hole = "[[grandstand.layer.opening]]\nalong_m = [10.0, 13.0]\nout_m = [5.0, 9.0]\n";
    let area = |venue: &Venue| shadow(venue, 180.0, 89.9).opaque_area_m2;
    let (whole, cut) = (area(&venue(&deck(""))), area(&venue(&deck(hole))));
    assert!((whole - 800.0).abs() < 1e-3, "{whole}");
    assert!((whole - cut - 12.0).abs() < 1e-3, "{whole} {cut}");
}

/// A quarter of a ring of many bays covers what the ring of its two radii does, but for the
/// chords (area of a sector), and a cranked line has no gap at its corner.
#[test]
fn an_arc_covers_its_sector_and_a_crank_leaves_no_gap() {
    let arc = venue(
        "[[grandstand]]\nname = \"Arc\"\narc = { centre = [0.0, 0.0], radius_m = 10.0, \
         from_deg = 10.0, to_deg = 100.0, bays = 90 }\n[[grandstand.layer]]\npart = \"roof\"\n\
         profile = [[0.0, 30.0], [15.0, 30.0]]\ntransmittance = 0.0\n",
    );
    let area = shadow(&arc, 180.0, 89.99).opaque_area_m2;
    // its ends are square to their bays, not along the radii: less by two slim triangles
    let ends = 15.0 * 15.0 * 0.5_f64.to_radians().tan();
    let sector = std::f64::consts::FRAC_PI_4 * (25.0 * 25.0 - 10.0 * 10.0) - ends;
    assert!((area / sector - 1.0).abs() < 1e-3, "{area} {sector}");
    let crank = venue(
        "[[grandstand]]\nname = \"Crank\"\nline = [[-20.0, 5.0], [0.0, 5.0], [20.0, -5.0]]\n\
         [[grandstand.layer]]\npart = \"roof\"\nprofile = [[0.0, 30.0], [8.0, 30.0]]\n",
    );
    let shade = shadow(&crank, 180.0, 89.99);
    // a pace out from the corner, along the mitre
    let corner = crank.field.frame.to_local(FieldPoint { along_m: 0.4, across_m: 6.5, up_m: 0.0 });
    assert!(shade.opaque.contains(&geo::Point::new(corner.x, corner.y)));
}

/// By hand: seats of 0.1, full of people of 0.3, three quarters taken: 0.25.
#[test]
fn seats_and_people_share_the_reflectance_and_ends_let_light_through() {
    let venue = venue(
        "[[grandstand]]\nname = \"West\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\nfilled = 0.75\n\
         [[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 1.0], [20.0, 10.0]]\n\
         reflectance = 0.1\nfull_reflectance = 0.3\n\
         [[grandstand.layer]]\npart = \"wall\"\nprofile = [[20.0, 0.0], [20.0, 10.0]]\n\
         [[grandstand.end]]\nat = \"first\"\nprofile = [[0.0, 1.0], [20.0, 10.0], [20.0, 18.0]]\n\
         transmittance = 0.4\nscattered_share = 0.5\n",
    );
    let bodies = &venue.occluders[0].bodies;
    let of = |part: Part| bodies.iter().filter(|b| b.part == part).collect::<Vec<_>>();
    assert!((of(Part::Deck)[0].reflectance - 0.25).abs() < 1e-12);
    assert!((of(Part::BackWall)[0].reflectance - 0.3).abs() < 1e-12);
    let ends = of(Part::EndWall);
    assert_eq!(ends.len(), 1);
    assert!((ends[0].passes.on(date()).share() - 0.2).abs() < 1e-12);
    assert!((ends[0].scatters - 0.2).abs() < 1e-12);
}

/// The same of stands and bowls by their own keys; without `filled` a file says what it said.
#[test]
fn stands_and_bowls_are_filled_alike() {
    let section =
        "depth_m = 20.0\nfront_height_m = 1.0\nback_height_m = 12.0\nseat_reflectance = 0.1\n";
    let stand = format!(
        "[[stand]]\nname = \"A\"\nside = \"left\"\nsetback_m = 6.0\nlength_m = 80.0\n{section}"
    );
    let bowl = format!(
        "[[bowl]]\nname = \"B\"\ninner_along_m = 90.0\ninner_across_m = 70.0\nsegments = 8\n{section}"
    );
    for table in [stand, bowl] {
        for (keys, wanted) in [
            ("", 0.1),
            ("filled = 0.75\n", 0.1),
            ("full_reflectance = 0.3\n", 0.1),
            ("filled = 0.75\nfull_reflectance = 0.3\n", 0.25),
        ] {
            let venue = venue(&format!("{table}{keys}"));
            let decks = venue.occluders[0].bodies.iter().filter(|b| b.part == Part::Deck);
            let mut seen = 0;
            for deck in decks {
                assert!((deck.reflectance - wanted).abs() < 1e-12, "{keys} {}", deck.reflectance);
                seen += 1;
            }
            assert!(seen > 0);
        }
        let error = refused(&format!("{table}filled = 1.5\n"));
        assert!(error.contains("filled") && error.contains("0 to 1"), "{error}");
    }
}

#[test]
fn grandstands_that_cannot_be_are_refused_with_key_and_what_is_allowed() {
    let layer = "[[grandstand.layer]]\npart = \"deck\"\nprofile = [[0.0, 1.0], [9.0, 5.0]]\n";
    for (text, wanted) in [
        (
            format!("[[grandstand]]\nname = \"A\"\nline = [[-40.0, 30.0], [40.0, 30.0]]\n{layer}"),
            ["A, grandstand[0].layer[0].profile[0]", "cross the field of play"],
        ),
        (format!("[[grandstand]]\nname = \"A\"\n{layer}"), ["grandstand[0].line", "or arc"]),
        (
            format!("[[grandstand]]\nname = \"A\"\nline = [[-40.0, 0.0], [40.0, 0.0]]\n{layer}"),
            ["grandstand[0].line", "through the centre of play"],
        ),
        (
            format!(
                "[[grandstand]]\nname = \"A\"\nline = [[-40.0, 40.0], [40.0, 40.0], [-40.0, 41.0]]\n{layer}"
            ),
            ["grandstand[0].line[1]", "turns back"],
        ),
        (
            "[[grandstand]]\nname = \"A\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n".to_owned(),
            ["grandstand[0].layer", "at least one"],
        ),
        (
            format!(
                "[[grandstand]]\nname = \"A\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n{layer}\
                 [[grandstand.layer.opening]]\nalong_m = [70.0, 90.0]\n"
            ),
            ["layer[0].opening[0].along_m", "80.00 m"],
        ),
        (
            "[[grandstand]]\nname = \"A\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n\
                 [[grandstand.layer]]\npart = \"seats\"\nprofile = [[0.0, 1.0], [9.0, 5.0]]\n"
                .to_owned(),
            ["layer[0].part", "\"deck\""],
        ),
        (
            format!(
                "[[grandstand]]\nname = \"A\"\nline = [[-40.0, 40.0], [40.0, 40.0]]\n{layer}\
                 transmittance = 0.8\nreflectance = 0.5\n"
            ),
            ["layer[0].reflectance", "at most 0.20"],
        ),
    ] {
        let error = refused(&text);
        assert!(wanted.iter().all(|part| error.contains(part)), "{wanted:?}\n{error}");
    }
}
