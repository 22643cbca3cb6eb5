//! The bodies that stand around a ground: flat sheets, closed solids, the heights
//! and depths of the file, and no chink where pieces meet.

use std::collections::{HashMap, HashSet};

use glam::DVec3;

use crate::support;
use quarterstop::base::frame::direction;
use quarterstop::base::units::{Azimuth, Elevation};
use quarterstop::geometry::{Caster, Obstacle, OverlayScratch, transmission_toward};
use quarterstop::venue::{Body, Occluder, OccluderKind, Part, Shape, Venue, parse};

const FOOTBALL: &str = include_str!("../venues/football-demo.toml");
const TENNIS: &str = include_str!("../venues/tennis-demo.toml");

fn venue(text: &str) -> Venue {
    parse(text, "demo").unwrap_or_else(|e| panic!("{e}"))
}

fn normal(ring: &[DVec3]) -> DVec3 {
    ring.windows(2).map(|w| (w[0] - ring[0]).cross(w[1] - ring[0])).sum()
}

/// Planar faces that look outward, every edge between two of them, Euler's
/// V - E + F = 2, and all corners behind every face: a convex polyhedron.
fn assert_convex(vertices: &[DVec3], faces: &[Vec<usize>], name: &str) {
    let mut edges: HashMap<(usize, usize), u32> = HashMap::new();
    let mut used = HashSet::new();
    for face in faces {
        let ring: Vec<DVec3> = face.iter().map(|&i| vertices[i]).collect();
        let n = normal(&ring).normalize();
        for v in vertices {
            let over = (v - ring[0]).dot(n);
            assert!(over < 1e-6, "{name}: a corner {over} m in front of a face");
        }
        for v in &ring {
            assert!((v - ring[0]).dot(n).abs() < 1e-6, "{name}: a face is bent");
        }
        for (k, &i) in face.iter().enumerate() {
            used.insert(i);
            *edges.entry((i, face[(k + 1) % face.len()])).or_default() += 1;
        }
    }
    for ((a, b), times) in &edges {
        assert_eq!((*times, edges.get(&(*b, *a))), (1, Some(&1)), "{name}: an open edge");
    }
    assert_eq!(used.len() + faces.len(), edges.len() / 2 + 2, "{name}: V - E + F");
}

fn assert_flat(corners: &[DVec3], name: &str) {
    let n = normal(corners);
    assert!(n.length() > 1e-6, "{name}: a sheet without area");
    let off = corners.iter().map(|p| (p - corners[0]).dot(n.normalize()).abs());
    assert!(off.fold(0.0, f64::max) < 0.05, "{name}: a bent sheet");
}

fn assert_sound(occluders: &[Occluder]) {
    for occluder in occluders {
        for body in &occluder.bodies {
            let name = format!("{} {:?}", occluder.name, body.part);
            match &body.shape {
                Shape::Convex { vertices, faces } => assert_convex(vertices, faces, &name),
                Shape::Sheet { corners } => assert_flat(corners, &name),
                Shape::Mesh(_) => panic!("{name}: the demos have no meshes"),
            }
        }
    }
}

#[test]
fn all_bodies_of_both_demos_are_sound() {
    for text in [FOOTBALL, TENNIS] {
        let venue = venue(text);
        assert!(venue.occluders.iter().all(|o| !o.bodies.is_empty()));
        assert_sound(&venue.occluders);
    }
}

/// Infills between stands of different depth and height are bent on top.
#[test]
fn infills_between_unlike_stands_are_sound() {
    let base = FOOTBALL.split("[[stand]]").next().unwrap();
    let stand = |name: &str, side: &str, depth: f64, front: f64, back: f64, length: f64| {
        format!(
            "[[stand]]\nname = \"{name}\"\nside = \"{side}\"\nsetback_m = 7.0\nlength_m = {length}\n\
             depth_m = {depth}\nfront_height_m = {front}\nback_height_m = {back}\n[stand.roof]\n\
             front_height_m = {}\nback_height_m = {}\noverhang_m = 1.0\n",
            back + 4.0,
            back + 2.0
        )
    };
    let mut bent = 0;
    for (i, (depth, front, back)) in
        [(8.0, 0.5, 4.0), (30.0, 3.0, 22.0), (20.0, 2.0, 3.0), (5.0, 6.0, 25.0)].iter().enumerate()
    {
        for length in [60.0, 76.0] {
            let text = format!(
                "{base}{}{}[[corner]]\njoins = [\"A\", \"B\"]\nroof = \"joined\"\n",
                stand("A", "left", 18.0, 1.0, 12.0, 104.0),
                stand("B", "ahead", *depth, *front, *back, length),
            );
            let venue = venue(&text);
            let corner = venue.occluders.iter().find(|o| o.kind == OccluderKind::Corner).unwrap();
            let deck = corner.bodies.iter().find(|b| b.part == Part::Deck).unwrap();
            let Shape::Convex { faces, .. } = &deck.shape else { panic!("case {i}: a solid") };
            bent += usize::from(faces.len() > 6);
            assert_sound(&venue.occluders);
        }
    }
    assert!(bent >= 6, "only {bent} bent decks: the test has lost its object");
}

fn part(occluder: &Occluder, part: Part) -> &Body {
    occluder.bodies.iter().find(|b| b.part == part).unwrap_or_else(|| panic!("no {part:?}"))
}

/// Extent of a body in field axes: along, across, up, each least and most.
fn extent(venue: &Venue, body: &Body) -> [[f64; 2]; 3] {
    let mut extent = [[f64::INFINITY, f64::NEG_INFINITY]; 3];
    for point in body.shape.points() {
        let p = venue.field.frame.to_field(*point);
        for (range, value) in extent.iter_mut().zip([p.along_m, p.across_m, p.up_m]) {
            *range = [range[0].min(value), range[1].max(value)];
        }
    }
    extent.map(|range| range.map(|v| (v * 1e6).round() / 1e6))
}

/// Read off with the file beside it: 34 m half width + 6 m set-back = 40 m, and so
/// on.
#[test]
fn a_stand_has_the_dimensions_of_the_file() {
    let venue = venue(FOOTBALL);
    let mill = &venue.occluders[0];
    assert_eq!(extent(&venue, part(mill, Part::Deck)), [[-50.0, 50.0], [40.0, 64.0], [0.0, 14.0]]);
    assert_eq!(extent(&venue, part(mill, Part::Roof)), [[-50.0, 50.0], [38.0, 64.0], [17.0, 19.0]]);
    // from the back of the deck to the gap under the roof: 17 - 1.5 m
    let wall = extent(&venue, part(mill, Part::BackWall));
    assert_eq!(wall, [[-50.0, 50.0], [64.0, 64.0], [14.0, 15.5]]);
    let ends = mill.bodies.iter().filter(|b| b.part == Part::EndWall).count();
    assert_eq!(ends, 2);
    // shift: the middle of the east side lies 4 m toward the bearing
    let orchard = extent(&venue, part(&venue.occluders[1], Part::Deck));
    assert_eq!(orchard, [[-41.0, 49.0], [-53.0, -39.0], [0.0, 7.5]]);
    // "right" for someone who looks at the south end is its west end
    let weir = &venue.occluders[3];
    let end = extent(&venue, part(weir, Part::EndWall));
    assert_eq!(end[1], [36.0, 36.0]);
}

/// Neighbouring pieces of a bowl share their corners to the last bit, so that no
/// sun slips between them.
#[test]
fn pieces_of_a_bowl_share_their_corners() {
    let venue = venue(TENNIS);
    let bits = |p: &DVec3| p.to_array().map(f64::to_bits);
    let ring = venue.occluders.iter().find(|o| o.name == "Lower ring").unwrap();
    let decks: Vec<&Body> = ring.bodies.iter().filter(|b| b.part == Part::Deck).collect();
    assert_eq!(decks.len(), 48);
    for (i, deck) in decks.iter().enumerate() {
        let mine: HashSet<_> = deck.shape.points().iter().map(bits).collect();
        let next: HashSet<_> = decks[(i + 1) % 48].shape.points().iter().map(bits).collect();
        assert_eq!(mine.intersection(&next).count(), 4, "deck {i} and the next");
    }
}

/// Rays toward the seam between stand, infill and next stand find no way through.
#[test]
fn an_infill_leaves_no_chink() {
    let venue = venue(FOOTBALL);
    let obstacles = Obstacle::all_of(&venue, venue.fixture.unwrap().date);
    let corner = venue.occluders.iter().find(|o| o.kind == OccluderKind::Corner).unwrap();
    let [along, across, _] = extent(&venue, part(corner, Part::Deck));
    let from = DVec3::new(0.0, 0.0, 0.01);
    let frame = venue.field.frame;
    let point = |a: f64, c: f64, up: f64| {
        frame.to_local(quarterstop::base::frame::FieldPoint { along_m: a, across_m: c, up_m: up })
    };
    // from the west stand's end around the corner to the south stand's end, under
    // the lowest back of a deck (12 m)
    let (start, end) = (point(along[1], across[1], 5.0), point(along[0], across[0], 5.0));
    let mut met = 0;
    for i in 0..=400 {
        let toward = (start.lerp(end, f64::from(i) / 400.0) - from).normalize();
        let share = transmission_toward(&obstacles, from, toward).share();
        assert_eq!(share, 0.0, "light through the corner, ray {i}");
        met += 1;
    }
    assert_eq!(met, 401);
    // without the infill there is a way: the test can fail
    let open = FOOTBALL.replace("[[corner]]", "[[ignored]]");
    let gap = open.find("[[ignored]]").unwrap();
    let rest = open[gap..].find("[[solid]]").unwrap() + gap;
    let open = self::venue(&format!("{}{}", &open[..gap], &open[rest..]));
    let obstacles = Obstacle::all_of(&open, open.fixture.unwrap().date);
    let lit = (0..=400).filter(|i| {
        let toward = (start.lerp(end, f64::from(*i) / 400.0) - from).normalize();
        transmission_toward(&obstacles, from, toward).share() > 0.0
    });
    assert!(lit.count() > 20);
}

/// A round footprint and a crown are as wide as the circles they stand for.
#[test]
fn round_things_keep_their_area() {
    let venue = venue(FOOTBALL);
    let mast = venue.occluders.iter().find(|o| o.name == "North-west mast").unwrap();
    let Shape::Convex { vertices, .. } = &mast.bodies[0].shape else { panic!("a solid") };
    let half = vertices.len() / 2;
    let area = normal(&vertices[..half]).length() / 2.0;
    assert!((area - std::f64::consts::PI * 0.36).abs() < 1e-9, "{area}");
    let tree = venue.occluders.iter().find(|o| o.name == "First lime").unwrap();
    let [_, _, up] = extent(&venue, part(tree, Part::Crown));
    assert_eq!(up, [3.0, 18.0]);
}

/// A stand on columns lets a low sun through under its front row: the strip of turf up to
/// where the shadow of the front edge begins, height / tan(elevation) from its foot (the
/// length of a shadow, any surveying handbook). A block down to the ground has no strip.
#[test]
fn a_low_sun_shines_under_a_deck_on_columns() {
    let base = FOOTBALL.split("[[stand]]").next().unwrap().to_owned();
    let stand = |foot: &str| {
        // on the west side of a field that lies north to south, too long to be passed
        let text = format!(
            "{base}[[stand]]\nname = \"West\"\nside = \"left\"\nsetback_m = 4.0\n\
             length_m = 990.0\ndepth_m = 20.0\nfront_height_m = 1.5\nback_height_m = 12.0\n{foot}"
        );
        parse(&text, "ground.toml").unwrap_or_else(|e| panic!("{e}"))
    };
    let shaded = |venue: &Venue, elevation_deg: f64| {
        let west = Azimuth::from_degrees(venue.field.frame.bearing().degrees() - 90.0);
        let toward = direction(west, Elevation::from_degrees(elevation_deg));
        let caster = Caster::new(venue, support::date(), 0.0);
        caster.cast(toward, &mut OverlayScratch::default()).field_share().shaded
    };
    let (open, closed) = (stand("foot = \"open\"\n"), stand("foot = \"closed\"\n"));
    let width_m = 68.0;
    for elevation_deg in [3.0_f64, 4.0, 5.0] {
        let strip_m = 1.5 / elevation_deg.to_radians().tan() - 4.0;
        let lost = shaded(&closed, elevation_deg) - shaded(&open, elevation_deg);
        assert!((lost - strip_m / width_m).abs() < 1e-6, "{elevation_deg}: {lost}");
        assert!((shaded(&closed, elevation_deg) - 1.0).abs() < 1e-9);
    }
    // what is stated by none is what was always built
    assert_eq!(shaded(&stand(""), 4.0), shaded(&closed, 4.0));
    // an infill beside a deck on columns stands on columns too
    let corner = format!(
        "{base}[[stand]]\nname = \"A\"\nside = \"left\"\nsetback_m = 6.0\nlength_m = 104.0\n\
         depth_m = 20.0\nfront_height_m = 1.5\nback_height_m = 12.0\nfoot = \"open\"\n\
         [[stand]]\nname = \"B\"\nside = \"ahead\"\nsetback_m = 6.0\nlength_m = 68.0\n\
         depth_m = 20.0\nfront_height_m = 1.5\nback_height_m = 12.0\n\
         [[corner]]\njoins = [\"A\", \"B\"]\n"
    );
    let venue = parse(&corner, "ground.toml").unwrap_or_else(|e| panic!("{e}"));
    for (occluder, columns) in venue.occluders.iter().zip([true, false, true]) {
        let mut decks = occluder.bodies.iter().filter(|b| b.part == Part::Deck);
        let is_sheet = |b: &Body| matches!(b.shape, Shape::Sheet { .. });
        assert!(decks.all(|b| is_sheet(b) == columns), "{}", occluder.name);
    }
}
