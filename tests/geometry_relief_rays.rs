//! Shadows on ground that is not flat against a ray-cast that shares no code with the projection:
//! hills by chance, and suns down to the horizon.

use geo::{Area, Coord};
use glam::DVec3;

use crate::geometry_relief::{cast, field_on, toward};
use crate::support;
use quarterstop::geometry::{Caster, OverlayScratch, Shadow, TURF_HEIGHT_M};
use quarterstop::venue::{Part, Shape, Venue};

/// Where a ray meets a triangle (Moeller and Trumbore, Journal of Graphics Tools 2(1), 1997).
pub fn meets([a, b, c]: [DVec3; 3], from: DVec3, toward: DVec3) -> bool {
    let (u, v) = (b - a, c - a);
    let p = toward.cross(v);
    let det = u.dot(p);
    if det.abs() < 1e-12 {
        return false;
    }
    let t = from - a;
    let s = t.dot(p) / det;
    let q = t.cross(u);
    let r = toward.dot(q) / det;
    s >= 0.0 && r >= 0.0 && s + r <= 1.0 && v.dot(q) / det > 1e-7
}

/// Hills by chance: spots about `step` m apart, up to `high` m.
pub fn hills(dice: &mut support::Dice, step: f64, high: f64) -> Vec<[f64; 3]> {
    let (columns, rows) = ((140.0 / step) as i32, (110.0 / step) as i32);
    let mut spots = Vec::new();
    for i in -columns / 2..=columns / 2 {
        for j in -rows / 2..=rows / 2 {
            let mut jitter = |v: i32| f64::from(v) * step + dice.between(-0.3, 0.3) * step;
            let (x, y) = (jitter(i), jitter(j));
            spots.push([x, y, dice.between(0.0, high)]);
        }
    }
    spots
}

/// What can stand in the way of the sun: the triangles of each thing, and what passes it.
pub fn things(venue: &Venue) -> Vec<(Vec<[DVec3; 3]>, f64)> {
    let (points, faces) = venue.relief.as_ref().unwrap().triangles();
    let ground = faces.iter().map(|t| t.map(|corner| points[corner as usize])).collect();
    let mut all = vec![(ground, 0.0)];
    let fan = |ring: &[DVec3]| -> Vec<[DVec3; 3]> {
        ring[1..].windows(2).map(|pair| [ring[0], pair[0], pair[1]]).collect()
    };
    for body in venue.occluders.iter().flat_map(|o| &o.bodies) {
        let triangles = match &body.shape {
            Shape::Convex { vertices, faces } => {
                let ring = |f: &Vec<usize>| f.iter().map(|&i| vertices[i]).collect::<Vec<_>>();
                faces.iter().flat_map(|face| fan(&ring(face))).collect()
            }
            Shape::Sheet { corners } => fan(corners),
            Shape::Mesh(_) => Vec::new(),
        };
        all.push((triangles, body.passes.on(support::date()).share()));
    }
    all
}

pub fn share_by_rays(all: &[(Vec<[DVec3; 3]>, f64)], from: DVec3, sun: DVec3) -> f64 {
    let in_way = all.iter().filter(|(thing, _)| thing.iter().any(|t| meets(*t, from, sun)));
    in_way.map(|(_, passes)| passes).product()
}

/// Relief of random triangles with bodies on it, at places all over and beside all edges.
///
/// A ray from a place that lies nearer to an edge of the shadow than rounding may go either
/// way: places beside edges are 1 mm off them, and one in a hundred may disagree there, since
/// beside a corner a place off one side may lie across another.
#[test]
fn random_hills_agree_with_a_ray_cast() {
    let mut dice = support::Dice(2027);
    let (mut lit, mut dark, mut dimmed, mut beside, mut wrong) = (0, 0, 0, 0, 0);
    for (step, high) in [(20.0, 2.0), (12.0, 6.0), (9.0, 9.0), (25.0, 30.0)] {
        for _ in 0..4 {
            let mut venue = field_on(&hills(&mut dice, step, high), &[]);
            for i in 0..5 {
                let (x, y) = (dice.between(-60.0, 60.0), dice.between(-45.0, 45.0));
                let r = dice.between(1.0, 6.0);
                let ring = [[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]];
                let ground = venue.ground_m(x, y);
                let top = ground + dice.between(3.0, 18.0);
                let passes = if i == 0 { 0.5 } else { 0.0 };
                let body = support::body(Part::Solid, support::prism(&ring, -20.0, top), passes);
                venue.occluders.push(support::occluder("tower", vec![body]));
            }
            let up = high + dice.between(6.0, 14.0);
            let corners = vec![
                DVec3::new(-30.0, -20.0, up),
                DVec3::new(10.0, -20.0, up),
                DVec3::new(10.0, 0.0, up + 3.0),
                DVec3::new(-30.0, 0.0, up + 3.0),
            ];
            let roof = support::body(Part::Roof, Shape::Sheet { corners }, 0.3);
            venue.occluders.push(support::occluder("roof", vec![roof]));
            let all = things(&venue);
            let sun = toward(dice.between(0.0, 360.0), dice.between(4.0, 50.0));
            let height_m = if dice.roll() < 0.5 { 0.0 } else { 1.7 };
            let shadow = cast(&venue, height_m, sun);
            let at = |c: Coord<f64>| DVec3::new(c.x, c.y, venue.ground_m(c.x, c.y));
            let by_rays =
                |c: Coord<f64>| share_by_rays(&all, at(c) + DVec3::Z * (height_m + 1e-6), sun);
            let off_edges = |c: Coord<f64>| {
                let ways = [[1e-3, 0.0], [-1e-3, 0.0], [0.0, 1e-3], [0.0, -1e-3]];
                let near = ways.map(|[x, y]| by_rays(Coord { x: c.x + x, y: c.y + y }));
                near.iter().all(|share| (share - near[0]).abs() < 1e-9)
            };
            for _ in 0..250 {
                let c = Coord { x: dice.between(-49.9, 49.9), y: dice.between(-34.9, 34.9) };
                let (ours, rays) = (shadow.transmission_at(c).share(), by_rays(c));
                if (ours - rays).abs() > 1e-6 && off_edges(c) {
                    panic!("{step} {high} at {c:?} sun {sun:?}: {ours} but {rays} by rays");
                }
                lit += usize::from(rays == 1.0);
                dark += usize::from(rays == 0.0);
                dimmed += usize::from(rays > 0.0 && rays < 1.0);
            }
            let rings = shadow
                .shaded
                .0
                .iter()
                .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
            for side in rings.flat_map(|ring| ring.0.windows(2)) {
                let (dx, dy) = (side[1].x - side[0].x, side[1].y - side[0].y);
                let length = dx.hypot(dy);
                let t = dice.between(0.2, 0.8);
                let (x, y) = (side[0].x + t * dx, side[0].y + t * dy);
                if length < 0.05 || x.abs() > 49.9 || y.abs() > 34.9 {
                    continue;
                }
                for off in [1e-3, -1e-3] {
                    let c = Coord { x: x - off * dy / length, y: y + off * dx / length };
                    let (ours, rays) = (shadow.transmission_at(c).share(), by_rays(c));
                    beside += 1;
                    wrong += usize::from((ours - rays).abs() > 1e-6);
                }
            }
            // what is opaque, dimmed and lit is the field, without gaps or overlaps
            let parts = shadow.opaque.unsigned_area()
                + shadow.dimmed.iter().map(|d| d.region.unsigned_area()).sum::<f64>();
            let whole = shadow.shaded.unsigned_area();
            assert!((parts - whole).abs() < 1e-2, "{parts} {whole}");
        }
    }
    println!("{lit} lit, {dark} dark, {dimmed} dimmed; {wrong} of {beside} beside edges differ");
    assert!(lit > 800 && dark > 400 && dimmed > 100, "{lit} {dark} {dimmed}");
    assert!(beside > 2000 && wrong * 100 <= beside, "{wrong} of {beside} beside edges");
}

/// Under a sheet over all of it the field is dark, facet by facet, to the last square
/// millimetre; and without one nothing is.
#[test]
fn areas_of_all_facets_sum_to_the_field() {
    let mut dice = support::Dice(5);
    let mut venue = field_on(&hills(&mut dice, 7.0, 3.0), &[]);
    let sun = toward(200.0, 50.0);
    assert_eq!(cast(&venue, TURF_HEIGHT_M, sun).opaque_area_m2, 0.0);
    let corner = |x: f64, y: f64| DVec3::new(x, y, 20.0);
    let corners = vec![
        corner(-200.0, -200.0),
        corner(200.0, -200.0),
        corner(200.0, 200.0),
        corner(-200.0, 200.0),
    ];
    let sheet = support::body(Part::Roof, Shape::Sheet { corners }, 0.0);
    venue.occluders.push(support::occluder("lid", vec![sheet]));
    let shadow = cast(&venue, TURF_HEIGHT_M, sun);
    assert!((shadow.opaque_area_m2 - 7000.0).abs() < 1e-6, "{}", shadow.opaque_area_m2);
    assert_eq!(shadow.opaque.0.len(), 1);
}

/// Ground by chance as grounds are: a crowned pitch with banks, a cutting with walls a few
/// centimetres wide, hills that are steep or hardly there, and spots in rows.
fn grounds(dice: &mut support::Dice) -> Vec<Venue> {
    let mut grounds = Vec::new();
    for (step, high) in [(30.0, 0.4), (22.0, 14.0), (14.0, 3.0), (35.0, 60.0)] {
        grounds.push(field_on(&hills(dice, step, high), &[]));
    }
    // rows of one height each: a pitch, the foot and the crest of a bank, a wall of 3 m
    let rows = [
        (-90.0, 7.0),
        (-48.0, 7.0),
        (-44.0, 0.0),
        (-35.0, -0.3),
        (0.0, 0.0),
        (35.0, -0.3),
        (40.0, 0.2),
        (40.04, 3.2),
        (90.0, 4.0),
    ];
    let row = |(y, z): &(f64, f64)| [-120.0, 0.0, 120.0].map(|x| [x, *y, *z]);
    let spots: Vec<[f64; 3]> = rows.iter().flat_map(row).collect();
    let lines: Vec<[usize; 2]> =
        (0..rows.len()).flat_map(|i| [[3 * i, 3 * i + 1], [3 * i + 1, 3 * i + 2]]).collect();
    grounds.push(field_on(&spots, &lines));
    for venue in &mut grounds {
        for i in 0..4 {
            let (x, y) = (dice.between(-60.0, 60.0), dice.between(-45.0, 45.0));
            let r = dice.between(0.3, 4.0);
            let ring = [[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]];
            let top = venue.ground_m(x, y) + dice.between(3.0, 20.0);
            let passes = if i == 0 { 0.5 } else { 0.0 };
            let body = support::body(Part::Solid, support::prism(&ring, -80.0, top), passes);
            venue.occluders.push(support::occluder("tower", vec![body]));
        }
    }
    grounds
}

/// Suns from under a tenth of a degree upward, over ground of all kinds.
///
/// Every figure is finite and a share; the parts make up the whole; an outline has no more
/// corners than facets and faces can make; places by chance have what a ray-cast says. A place
/// nearer to an edge than rounding may go either way: a shadow's corner moves by some cells of
/// the plane it is laid on, which grows with the shadow's length.
#[test]
fn suns_near_the_horizon_agree_with_a_ray_cast() {
    let mut dice = support::Dice(19);
    let (mut suns, mut asked, mut edges, mut lit) = (0, 0, 0, 0);
    for venue in grounds(&mut dice) {
        let all = things(&venue);
        let triangles: usize = all.iter().map(|(thing, _)| thing.len()).sum();
        for height_m in [0.0, 1.7] {
            let caster = Caster::new(&venue, support::date(), height_m);
            let mut bench = OverlayScratch::default();
            for i in 0..120 {
                // along the rows of spots as well, where everything is in line
                let azimuth = match i % 4 {
                    0 => 90.0 * f64::from(i / 4 % 4),
                    _ => dice.between(0.0, 360.0),
                };
                let elevation = match i % 5 {
                    0 => dice.between(0.001, 0.1),
                    1 => dice.between(0.1, 0.5),
                    2 => dice.between(0.5, 3.0),
                    3 => dice.between(3.0, 20.0),
                    _ => dice.between(20.0, 89.9),
                };
                let sun = toward(azimuth, elevation);
                let shadow = caster.cast(sun, &mut bench);
                let shares = shadow.field_share();
                let what = format!("sun {i}: {azimuth} {elevation}, {height_m} m: {shares:?}");
                for share in [shares.opaque, shares.shaded, shares.mean_transmission] {
                    assert!((-1e-9..=1.0 + 1e-9).contains(&share), "{what}");
                }
                let parts = shadow.opaque.unsigned_area()
                    + shadow.dimmed.iter().map(|d| d.region.unsigned_area()).sum::<f64>();
                let run = 1.0 / elevation.to_radians().tan();
                let whole = shadow.shaded.unsigned_area();
                assert!(
                    (parts - whole).abs() < 0.02 + 1e-3 * run.min(5e3),
                    "{what}: {parts} {whole}"
                );
                let corners = corners(&shadow);
                assert!(corners < 40 * triangles, "{what}: {corners} corners, {triangles}");
                suns += 1;
                // what the level plane's grid rounds to, on the ground: of heights of 60 m
                let near_m = 1e-3_f64.max(2e-5 * run.min(5e3));
                for _ in 0..4 {
                    let c = Coord { x: dice.between(-49.0, 49.0), y: dice.between(-34.0, 34.0) };
                    let by_rays = |c: Coord<f64>| {
                        let on = DVec3::new(c.x, c.y, venue.ground_m(c.x, c.y));
                        share_by_rays(&all, on + DVec3::Z * (height_m + 1e-6), sun)
                    };
                    let (ours, rays) = (shadow.transmission_at(c).share(), by_rays(c));
                    asked += 1;
                    lit += usize::from(rays > 0.0);
                    if (ours - rays).abs() < 1e-6 {
                        continue;
                    }
                    let ways = [[near_m, 0.0], [-near_m, 0.0], [0.0, near_m], [0.0, -near_m]];
                    let near = ways.map(|[x, y]| by_rays(Coord { x: c.x + x, y: c.y + y }));
                    let at_edge = near.iter().any(|share| (share - rays).abs() > 1e-9);
                    assert!(at_edge, "{what} at {c:?}: {ours} but {rays} by rays");
                    edges += 1;
                }
            }
        }
    }
    println!("{suns} suns, {asked} places, {lit} lit, {edges} beside edges");
    assert_eq!(suns, 1200);
    assert!(lit > 600 && edges * 200 < asked, "{lit} lit, {edges} of {asked}");
}

/// The ground of the demo hole under suns that go down to the horizon. Walks over its facets,
/// which lie far out there and over each other, once went in circles and took all memory.
#[test]
fn walks_over_a_hole_end_at_sunset() {
    let venue = quarterstop::venue::read("venues/golf-relief-demo.toml".as_ref()).unwrap();
    let triangles = venue.relief.as_ref().unwrap().triangles().1.len();
    let mut dice = support::Dice(3);
    for caster in [
        Caster::new(&venue, support::date(), 1.7),
        Caster::over_ground(&venue, support::date(), TURF_HEIGHT_M),
    ] {
        let mut bench = OverlayScratch::default();
        for i in 0..400 {
            let elevation =
                if i % 2 == 0 { dice.between(0.0006, 0.3) } else { dice.between(0.1, 6.0) };
            let shadow = caster.cast(toward(dice.between(0.0, 360.0), elevation), &mut bench);
            let share = shadow.field_share().shaded;
            assert!((0.0..=1.0 + 1e-9).contains(&share), "sun {i} at {elevation}: {share}");
            let corners = corners(&shadow);
            assert!(corners < 200 * triangles, "sun {i} at {elevation}: {corners} corners");
        }
    }
}

/// Between two dark facets of a bank nothing is lit: no outline goes in along their common side
/// and back, which the picture of 16:48 showed as an edge.
#[test]
fn dark_facets_leave_no_slit_between_them() {
    let venue = quarterstop::venue::read("venues/relief-demo.toml".as_ref()).unwrap();
    let caster = Caster::over_ground(&venue, support::date(), TURF_HEIGHT_M);
    let shadow = caster.cast(toward(238.1, 12.2), &mut OverlayScratch::default());
    let rings = shadow.shaded.0.iter();
    let rings = rings.flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()));
    let mut checked = 0;
    for ring in rings {
        let corners = &ring.0[1..];
        for i in 0..corners.len() {
            let [a, b, c] = [i, i + 1, i + 2].map(|i| corners[i % corners.len()]);
            let [to, back] = [a, c].map(|p| [b.x - p.x, b.y - p.y]);
            let [to_m, back_m] = [to, back].map(|v| v[0].hypot(v[1]));
            let apart_m = (to[0] * back[1] - to[1] * back[0]).abs() / to_m.max(1e-9);
            let doubles = to[0] * back[0] + to[1] * back[1] > 0.0 && back_m > 0.5;
            assert!(!(doubles && apart_m < 1e-3), "there and back at {b:?}");
            checked += 1;
        }
    }
    assert!(checked > 40, "{checked}");
}

fn corners(shadow: &Shadow) -> usize {
    let rings = |p: &geo::Polygon<f64>| {
        p.exterior().0.len() + p.interiors().iter().map(|r| r.0.len()).sum::<usize>()
    };
    shadow.shaded.0.iter().map(rings).sum()
}
