//! Limits that are stated are held: the guide lists them, what is over one is refused with
//! its number, and what lies within is worked out in the memory and time that it may take.

use std::fmt::Write as _;
use std::fs;

use geo::{Area, Contains};
use glam::DVec3;
use tempfile::TempDir;

use crate::support;
use quarterstop::base::frame::FieldPoint;
use quarterstop::base::limits::*;
use quarterstop::geometry::{Caster, OverlayScratch, Region, Shadow, TURF_HEIGHT_M};
use quarterstop::jobs::check::{Suspicion, check};
use quarterstop::venue::{Part, Venue, parse, parse_in, read};

const GROUND: &str = "title = \"Ground\"\n[place]\nlatitude_deg = 52.0\nlongitude_deg = -0.5\n\
     height_m = 50.0\nzone = \"Europe/London\"\n[field]\nsport = \"football\"\n\
     bearing_deg = 20.0\n[fixture]\ndate = \"2027-03-20\"\nstart = \"15:00\"\n";

/// Digits in groups of three, as the guide writes them.
fn spaced(number: u64) -> String {
    let digits = number.to_string();
    let groups: Vec<&str> = digits
        .as_bytes()
        .rchunks(3)
        .rev()
        .map(|group| std::str::from_utf8(group).unwrap())
        .collect();
    groups.join(" ")
}

#[test]
fn the_guide_lists_every_limit() {
    let section = crate::guide::chapter("limits.md");
    let numbers = [
        MAX_VENUE_BYTES >> 20,
        MAX_THINGS as u64,
        MAX_CAMERAS as u64,
        MAX_OPERATORS as u64,
        MAX_CORNERS as u64,
        MAX_SURVEYED as u64,
        MAX_SPOTS as u64,
        MAX_BREAKLINES as u64,
        MAX_GROUNDS as u64,
        MAX_FIELDS as u64,
        MAX_THINGS_OF_SITE as u64,
        MAX_PLAYS as u64,
        MAX_NAME as u64,
        MAX_MOVING as u64,
        MAX_STATES as u64,
        MAX_MOVES as u64,
        quarterstop::jobs::states::MAX_CHOICES as u64,
        MAX_MESHES as u64,
        MAX_MESH_BYTES >> 20,
        MAX_TRIANGLES as u64,
        MAX_PIECES as u64,
        MAX_PLANNED_LOOSE as u64,
        MAX_INSTANTS as u64,
        MAX_SEASON_DAYS as u64,
    ];
    for number in numbers {
        assert!(section.contains(&spaced(number)), "{}\n{section}", spaced(number));
    }
}

#[test]
fn more_cameras_than_the_limit_are_refused_with_their_number() {
    let camera = |i: usize| {
        format!(
            "[[camera]]\nname = \"c{i}\"\nat = [0.0, -50.0, 9.0]\nlooks_at = [\"centre spot\"]\nhorizontal_fov_deg = 30.0\n"
        )
    };
    let of = |count: usize| (0..count).fold(GROUND.to_owned(), |text, i| text + &camera(i));
    assert!(parse(&of(MAX_CAMERAS), "ground.toml").is_ok());
    let error = parse(&of(MAX_CAMERAS + 1), "ground.toml").unwrap_err().to_string();
    assert!(error.contains("201") && error.contains("at most 200"), "{error}");
}

/// Triangles by chance that share nothing, in a ring around the field.
fn loose(count: usize, size_m: f64) -> String {
    let mut seed = 0x2545_F491_4F6C_DD1D_u64;
    let mut unit = || {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        (seed >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut text = String::new();
    for i in 0..count {
        let (angle, out) = (std::f64::consts::TAU * unit(), 30.0 * unit());
        let (x, y) = ((72.0 + out) * angle.cos(), (52.0 + out) * angle.sin());
        let z = 3.0 + out * unit();
        for _ in 0..3 {
            let [dx, dy, dz] = [unit(), unit(), unit()].map(|v| size_m * (2.0 * v - 1.0));
            let _ = writeln!(text, "v {:.4} {:.4} {:.4}", x + dx, y + dy, (z + dz).max(0.1));
        }
        let first = 3 * i + 1;
        let _ = writeln!(text, "f {first} {} {}", first + 1, first + 2);
    }
    text
}

fn with_model(folder: &TempDir, obj: &str) -> String {
    fs::write(folder.path().join("model.obj"), obj).unwrap();
    format!(
        "{GROUND}[[mesh]]\nname = \"model\"\nfile = \"model.obj\"\nmetres_per_unit = 1.0\n\
         up = \"z\"\nat = [0.0, 0.0, 0.0]\n"
    )
}

#[test]
fn more_loose_triangles_than_the_limit_are_refused_with_their_number() {
    let folder = TempDir::new().unwrap();
    let text = with_model(&folder, &loose(MAX_PIECES + 1, 0.3));
    let error = parse_in(&text, "ground.toml", Some(folder.path())).unwrap_err().to_string();
    let (found, most) = ((MAX_PIECES + 1).to_string(), format!("at most {MAX_PIECES}"));
    assert!(error.contains(&found) && error.contains(&most), "{error}");
}

/// `check` takes more loose triangles than are planned, and says so; every command that plans
/// refuses them with their number, as the live page does.
#[test]
fn loose_triangles_that_are_too_many_to_plan_can_be_checked() {
    let folder = TempDir::new().unwrap();
    let run = |words: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("quarterstop").unwrap();
        let output = command.current_dir(folder.path()).args(words).output().unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    let count = MAX_PLANNED_LOOSE + 1;
    fs::write(folder.path().join("ground.toml"), with_model(&folder, &loose(count, 0.3))).unwrap();
    let (code, words) = run(&["check", "ground.toml"]);
    assert_eq!(code, Some(0), "{words}");
    let found = format!("{count} pieces that bound no solid");
    assert!(words.contains(&found) && words.contains("at most 5000 are planned"), "{words}");
    for command in ["match", "brief", "year", "starts", "positions", "sensitivity", "look-up"] {
        let (code, words) = run(&[command, "ground.toml"]);
        assert_eq!(code, Some(2), "{command}: {words}");
        assert!(words.contains(&found), "{command}: {words}");
    }
}

/// What is joined a few things at a time is what one overlay of everything makes, and rays
/// agree: a place is in the sun where no triangle stands before it.
#[test]
fn loose_triangles_shade_what_rays_say() {
    let folder = TempDir::new().unwrap();
    for (count, size_m) in [(4_000, 1.2), (20_000, 0.25)] {
        let text = with_model(&folder, &loose(count, size_m));
        let venue = parse_in(&text, "ground.toml", Some(folder.path())).unwrap();
        let (date, frame) = (venue.fixture.unwrap().date, venue.field.frame);
        let caster = Caster::over_ground(&venue, date, TURF_HEIGHT_M);
        let obstacles = quarterstop::geometry::Obstacle::all_of(&venue, date);
        let mut bench = OverlayScratch::default();
        for toward in [DVec3::new(0.8, -0.5, 0.2), DVec3::new(-0.3, -0.7, 0.25)] {
            let toward = toward.normalize();
            let shadow = caster.cast(toward, &mut bench);
            assert!((shadow.opaque.unsigned_area() - shadow.shaded.unsigned_area()).abs() < 1e-6);
            let (mut shaded, mut near) = (0, 0);
            for i in 0..60 {
                for j in 0..40 {
                    let (along_m, across_m) =
                        (f64::from(i) * 1.7 - 51.0, f64::from(j) * 1.7 - 33.0);
                    let at = frame.to_local(FieldPoint::on_ground(along_m, across_m));
                    let lit = obstacles.iter().all(|o| !o.meets(at, toward));
                    let place = geo::Coord { x: at.x, y: at.y };
                    let passes = shadow.transmission_at(place);
                    // a ray that grazes a side may go either way
                    near += u32::from(passes.is_opaque() == lit);
                    shaded += u32::from(!lit);
                }
            }
            assert!(shaded > 30, "{shaded}");
            assert!(near <= 2, "{near} places of {shaded} in shade");
        }
    }
}

/// 300 quadrilaterals of about 60 m2 that lie upon each other on the field.
fn pile() -> Vec<[[f64; 2]; 4]> {
    let corners = [[0.0, 0.0], [8.0, 0.5], [7.5, 8.0], [-0.5, 7.0]];
    let at = |i: i32| [f64::from(i * 37 % 101) * 0.03, f64::from(i * 53 % 97) * 0.03 - 20.0];
    (0..300).map(|i| corners.map(|c| [c[0] + at(i)[0], c[1] + at(i)[1]])).collect()
}

/// The same as boxes that let a share of light through, under the sun overhead.
fn shadow_of_pile(venue: &mut Venue, passes: f64) -> Shadow {
    for corners in pile() {
        let ring = |up: f64| corners.map(|[x, y]| DVec3::new(x, y, up)).to_vec();
        let shape = support::between_rings(&ring(2.0), &ring(5.0));
        let body = support::body(Part::Solid, shape, passes);
        venue.occluders.push(support::occluder("box", vec![body]));
    }
    let caster = Caster::new(venue, support::date(), TURF_HEIGHT_M);
    caster.cast(DVec3::Z, &mut OverlayScratch::default())
}

fn outlines() -> Vec<geo::Polygon<f64>> {
    let ring = |corners: [[f64; 2]; 4]| geo::LineString::from(corners.to_vec());
    pile().into_iter().map(|corners| geo::Polygon::new(ring(corners), Vec::new())).collect()
}

/// Boxes in one place, and the same joined by another way: crate `geo`, which picks its own
/// grid.
#[test]
fn hundreds_of_things_in_one_place_shade_as_their_union() {
    let mut venue = support::football();
    let shadow = shadow_of_pile(&mut venue, 0.0);
    let expected = geo::unary_union(&outlines()).unsigned_area();
    assert!((shadow.opaque_area_m2 - expected).abs() < 1e-3, "{shadow:?} {expected}");
    let whole = Region::new(&geo::MultiPolygon(vec![venue.field.outline.clone()]));
    assert!((whole.overlap_m2(&shadow.opaque) - expected).abs() < 1e-3);
}

/// Each box on the way takes its share, however many they are: places against a count of the
/// outlines that hold them.
#[test]
fn hundreds_of_things_in_one_place_dim_as_often_as_they_are() {
    let passes = 0.1;
    let mut venue = support::football();
    let shadow = shadow_of_pile(&mut venue, passes);
    let outlines = outlines();
    let (mut once, mut often) = (0, 0);
    for i in 0..24 {
        for j in 0..24 {
            // steps that no corner is a multiple of: none of the places is on an edge
            let [x, y] = [f64::from(i) * 0.78 * 0.5_f64.sqrt(), f64::from(j) * 0.32 * 3_f64.sqrt()];
            let place = geo::Coord { x: x - 1.03, y: y - 21.07 };
            let held = outlines.iter().filter(|outline| outline.contains(&place)).count();
            let expected = passes.powi(held as i32);
            let found = shadow.transmission_at(place).share();
            assert!((found - expected).abs() < 1e-9, "{place:?}: {found} under {held} boxes");
            once += usize::from((1..10).contains(&held));
            often += usize::from(held > 100);
        }
    }
    assert!(once > 15 && often > 150, "{once} {often}");
}

/// Of pairs in one place the first two hundred are listed; that there are more is said.
#[test]
fn a_pile_of_things_is_found_and_not_listed_pair_by_pair() {
    let solid = |i: usize| {
        format!(
            "[[solid]]\nname = \"s{i}\"\nfootprint = [[70.0, 0.0], [78.0, 0.0], [78.0, 8.0], \
             [70.0, 8.0]]\ntop_m = {}.0\n",
            10 + i % 7
        )
    };
    let text = (0..100).fold(GROUND.to_owned(), |text, i| text + &solid(i));
    let found = check(&parse(&text, "ground.toml").unwrap()).suspicions;
    let listed = found.iter().filter(|s| matches!(s, Suspicion::Overlap { .. })).count();
    assert_eq!(listed, 200);
    assert!(found.contains(&Suspicion::MoreOverlaps { listed: 200 }));
    let demo = read(std::path::Path::new("venues/football-demo.toml")).unwrap();
    assert!(!check(&demo).suspicions.iter().any(|s| matches!(s, Suspicion::MoreOverlaps { .. })));
}
