//! What cameras cover of ground that is not flat, against rays.

use geo::{Contains, Coord, Point};
use glam::DVec3;

use crate::geometry_relief::field_on;
use crate::geometry_relief_rays::{hills, meets, things};
use crate::support;
use quarterstop::camera::{Pinhole, cover_ground};
use quarterstop::geometry::Terrain;
use quarterstop::venue::CameraPost;

/// What a camera covers of hills by chance is what a ray from each place to the lens says: in the
/// frame, and not behind a hill. A place beside an edge may go either way.
#[test]
fn a_cover_of_hills_leaves_out_what_they_hide() {
    let mut dice = support::Dice(77);
    let (mut seen, mut behind, mut beside, mut out) = (0, 0, 0, 0);
    for (step, high) in [(25.0, 3.0), (15.0, 8.0), (30.0, 25.0)] {
        for _ in 0..3 {
            let venue = field_on(&hills(&mut dice, step, high), &[]);
            let (x, y) = (dice.between(-70.0, -52.0), dice.between(-30.0, 30.0));
            let at = DVec3::new(x, y, venue.ground_m(x, y) + dice.between(2.0, 9.0));
            let aim = |x: f64, y: f64| DVec3::new(x, y, venue.ground_m(x, y));
            let post = CameraPost {
                name: "1".into(),
                at,
                aims: vec![aim(0.0, dice.between(-20.0, 20.0))],
                horizontal_fov_deg: dice.between(20.0, 60.0),
                aspect: 16.0 / 9.0,
                floodlight: None,
                exposure: Default::default(),
                sway: Default::default(),
            };
            let all = things(&venue);
            let cover = cover_ground(&post, &venue.field, &[], &Terrain::of(&venue));
            let eye = Pinhole::new(&post, post.aims[0]);
            let by_rays = |c: Coord<f64>| {
                let place = aim(c.x, c.y);
                let image = eye.project(place);
                let in_frame = image.is_some_and(|[u, v]| u.abs() <= 1.0 && v.abs() <= 1.0);
                let from = place + DVec3::Z * 1e-6;
                // of a way in units of itself: what lies before the lens
                (in_frame, in_frame && !all.iter().any(|(t, _)| blocks(t, from, at - from)))
            };
            for _ in 0..400 {
                let c = Coord { x: dice.between(-49.9, 49.9), y: dice.between(-34.9, 34.9) };
                let (in_frame, rays) = by_rays(c);
                let ours = cover.region.contains(&Point(c));
                seen += usize::from(rays);
                behind += usize::from(in_frame && !rays);
                out += usize::from(!in_frame);
                if ours != rays {
                    let ways = [[1e-3, 0.0], [-1e-3, 0.0], [0.0, 1e-3], [0.0, -1e-3]];
                    let near = ways.map(|[x, y]| by_rays(Coord { x: c.x + x, y: c.y + y }).1);
                    assert!(near.iter().any(|near| *near != rays), "{step} {high} {c:?}: {rays}");
                    beside += 1;
                }
            }
        }
    }
    println!("{seen} seen, {behind} behind hills, {out} out of frame, {beside} beside edges");
    assert!(seen > 600 && behind > 200 && out > 600 && beside < 10, "{seen} {behind} {out}");
}

/// Whether any triangle lies on a way.
fn blocks(triangles: &[[DVec3; 3]], from: DVec3, way: DVec3) -> bool {
    let nearer = |t: &&[DVec3; 3]| meets(**t, from + way, -way) && meets(**t, from, way);
    triangles.iter().any(|t| nearer(&t))
}
