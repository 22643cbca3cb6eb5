//! What cameras cover of ground that is not flat, against rays.

use geo::{Area, Contains, Coord, LineString, Point, Polygon};
use glam::DVec3;

use crate::geometry_relief::field_on;
use crate::geometry_relief_rays::{hills, meets, things};
use crate::support;
use quarterstop::camera::{Pinhole, cover_ground, sweep};
use quarterstop::geometry::Terrain;
use quarterstop::venue::{CameraPost, Venue};

/// A point on the ground beside the edge of a cover is this far off it, metres.
const BESIDE_M: f64 = 1e-3;
/// Parts of a cover, and holes in it, that are narrower and longer than this are slits between
/// facets, metres; dots at corners are not.
const SLIT_M: [f64; 2] = [1e-5, 1e-3];

/// What a camera covers of hills by chance is what a ray from each place to the lens says: in any
/// frame of its sweep, and not behind a hill. Places by chance, and a millimetre to both sides of
/// the cover's own edge.
#[test]
fn a_cover_of_hills_leaves_out_what_they_hide() {
    let mut dice = support::Dice(77);
    let (mut seen, mut behind, mut out, mut at_edges) = (0, 0, 0, 0);
    for (step, high) in [(25.0, 3.0), (15.0, 8.0), (30.0, 25.0), (60.0, 8.0)] {
        for aims in 1..=3 {
            let venue = field_on(&hills(&mut dice, step, high), &[]);
            let post = camera_before(&venue, aims, &mut dice);
            let cover = cover_ground(&post, &venue.field, &[], &Terrain::of(&venue)).region;
            let rays = Rays::of(&venue, &post);
            for _ in 0..400 {
                let c = Coord { x: dice.between(-49.9, 49.9), y: dice.between(-34.9, 34.9) };
                let (in_frame, is_seen) = rays.say(c);
                assert_eq!(cover.contains(&Point(c)), is_seen, "{step} {high} {c:?}");
                seen += usize::from(is_seen);
                behind += usize::from(in_frame && !is_seen);
                out += usize::from(!in_frame);
            }
            for c in cover.iter().flat_map(beside_edges) {
                assert_eq!(cover.contains(&Point(c)), rays.say(c).1, "{step} {high} {c:?}");
                at_edges += 1;
            }
            let rings = cover.iter().flat_map(|p| p.interiors().iter().chain([p.exterior()]));
            let slits = rings.filter(|ring| is_slit(ring));
            assert_eq!(slits.count(), 0, "{step} {high}");
        }
    }
    println!("{seen} seen, {behind} behind hills, {out} out of frame, {at_edges} beside edges");
    assert!(seen > 800 && behind > 200 && out > 600 && at_edges > 200, "{seen} {behind} {out}");
}

fn is_slit(ring: &LineString) -> bool {
    let length: f64 = ring.lines().map(|side| side.delta().x.hypot(side.delta().y)).sum();
    let width = 2.0 * Polygon::new(ring.clone(), Vec::new()).unsigned_area() / length;
    width < SLIT_M[0] && length > SLIT_M[1]
}

/// A camera behind a field's end that sweeps from aim to aim.
fn camera_before(venue: &Venue, aims: usize, dice: &mut support::Dice) -> CameraPost {
    let on = |x: f64, y: f64| DVec3::new(x, y, venue.ground_m(x, y));
    let (x, y) = (dice.between(-70.0, -52.0), dice.between(-30.0, 30.0));
    CameraPost {
        name: "1".into(),
        at: on(x, y) + DVec3::Z * dice.between(2.0, 9.0),
        aims: (0..aims).map(|_| on(dice.between(-20.0, 20.0), dice.between(-30.0, 30.0))).collect(),
        horizontal_fov_deg: dice.between(20.0, 60.0),
        aspect: 16.0 / 9.0,
        floodlight: None,
        exposure: Default::default(),
        sway: Default::default(),
    }
}

struct Rays<'a> {
    venue: &'a Venue,
    at: DVec3,
    eyes: Vec<Pinhole>,
    ground: Vec<[DVec3; 3]>,
}

impl<'a> Rays<'a> {
    fn of(venue: &'a Venue, post: &CameraPost) -> Self {
        let eyes = sweep(post).into_iter().map(|axis| Pinhole::along(post, axis)).collect();
        let ground = things(venue).into_iter().flat_map(|(triangles, _)| triangles).collect();
        Self { venue, at: post.at, eyes, ground }
    }

    /// Whether a place is in any frame, and whether it is seen there.
    fn say(&self, c: Coord) -> (bool, bool) {
        let place = DVec3::new(c.x, c.y, self.venue.ground_m(c.x, c.y));
        let is_in = |[u, v]: [f64; 2]| u.abs() <= 1.0 && v.abs() <= 1.0;
        let in_frame = self.eyes.iter().any(|eye| eye.project(place).is_some_and(is_in));
        let from = place + DVec3::Z * 1e-8;
        (in_frame, in_frame && !blocks(&self.ground, from, self.at - from))
    }
}

/// Places to both sides of the middles of a cover's longer sides; none at the border of the field.
fn beside_edges(polygon: &Polygon) -> Vec<Coord> {
    let rings = polygon.interiors().iter().chain([polygon.exterior()]);
    let sides = rings.flat_map(|ring| ring.lines().collect::<Vec<_>>());
    let place = |side: geo::Line| {
        let (way, middle) = (side.delta(), (side.start + side.end) / 2.0);
        let length = way.x.hypot(way.y);
        let left = Coord { x: -way.y, y: way.x } * (BESIDE_M / length);
        let on_field = middle.x.abs() < 49.9 && middle.y.abs() < 34.9;
        // beside short sides lies another side
        (on_field && length > 0.5).then_some([middle + left, middle - left])
    };
    sides.filter_map(place).flatten().collect()
}

/// Whether any triangle lies on a way.
fn blocks(triangles: &[[DVec3; 3]], from: DVec3, way: DVec3) -> bool {
    let nearer = |t: &&[DVec3; 3]| meets(**t, from + way, -way) && meets(**t, from, way);
    triangles.iter().any(|t| nearer(&t))
}
