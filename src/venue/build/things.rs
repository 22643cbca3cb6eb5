//! Solids, trees and panels.

use glam::DVec3;

use crate::base::frame::{FieldPoint, area_vector};
use crate::base::units::Transmittance;
use crate::venue::file::{PanelTable, SolidTable, TreeTable};
use crate::venue::occluder::{Body, Leaves, Lit, Occluder, OccluderKind, Part, Passes, Shape};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

use super::field::BuiltField;
use super::lattice::SheetKeys;
use super::profile::{check_sheet, closed, sheet_reflectance};
use super::ring::{crossing, is_convex, note_crossing, open, sound};

/// A round footprint is a polygon of this many sides and equal area.
const ROUND_SIDES: usize = 24;
/// Sides of a trunk, and of each ring of a crown.
const TRUNK_SIDES: usize = 8;
const CROWN_SIDES: usize = 12;
/// Rings of a crown between its two poles.
const CROWN_RINGS: usize = 5;
/// Corners of a panel may lie out of its plane by this much, metres: what a tape
/// gets wrong.
pub const PANEL_PLANE_TOLERANCE_M: f64 = 0.05;

pub(super) fn solid(
    table: &SolidTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let ring = match (&table.footprint, table.centre, table.radius_m) {
        (Some(ring), None, None) => sound(ring, &format!("{key}.footprint"), problems),
        (None, Some(centre), Some(radius)) => Some(round(centre, radius, ROUND_SIDES)),
        _ => {
            problems.add(
                format!("{key}.footprint"),
                "a solid without one clear footprint",
                "either footprint = [[along, across], ...] or centre and radius_m",
            );
            None
        }
    };
    if table.top_m <= table.bottom_m {
        problems.add(
            format!("{key}.top_m"),
            format!("a top at {} m", table.top_m),
            format!("more than the bottom, {} m", table.bottom_m),
        );
        return None;
    }
    let ring = ring?;
    let stands_in_play = table.bottom_m < 2.5 && table.top_m > 0.0;
    if stands_in_play && !off_field(&ring, key, "footprint", ground, problems) {
        return None;
    }
    let base = ground.base_m(middle(&ring));
    // a foot on the ground goes down to the lowest of it: no light passes below
    let bottom = if table.bottom_m == 0.0 { ground.deepest_m(&ring, base) } else { base };
    let heights = (bottom + table.bottom_m, base + table.top_m);
    let bodies = prism(&ring, heights, (Part::Solid, table.reflectance), ground);
    Some(Occluder { name: table.name.trim().to_owned(), kind: OccluderKind::Solid, bodies })
}

/// The middle of a footprint by its area.
fn middle(ring: &[Point]) -> Point {
    use geo::Centroid;
    let at = super::areas::in_axes(ring).centroid();
    at.map_or([0.0; 2], |at| [at.x(), at.y()])
}

/// Notes a thing that stands on the field of play; whether it does not.
fn off_field(
    ring: &[Point],
    key: &str,
    field: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> bool {
    let Some(overlap) = ground.overlap_m2(ring) else { return true };
    problems.add(
        format!("{key}.{field}"),
        format!("{overlap:.2} m2 of it on the field of play"),
        "a place outside the field of play",
    );
    false
}

/// An upright prism: one closed body over a convex footprint, sheets otherwise.
fn prism(
    ring: &[Point],
    (bottom_m, top_m): (f64, f64),
    (part, reflectance): (Part, f64),
    ground: &BuiltField,
) -> Vec<Body> {
    let level = |up_m: f64| -> Vec<DVec3> {
        let point = |p: &Point| FieldPoint { along_m: p[0], across_m: p[1], up_m };
        ring.iter().map(|p| ground.frame.to_local(point(p))).collect()
    };
    let (low, high) = (level(bottom_m), level(top_m));
    let passes = Passes::Always(Transmittance::OPAQUE);
    if is_convex(ring) {
        return vec![Body {
            part,
            shape: between(&low, &high),
            passes,
            reflectance,
            scatters: 0.0,
            lit: None,
        }];
    }
    let sheet = |corners: Vec<DVec3>| Body {
        part,
        shape: Shape::Sheet { corners },
        passes,
        reflectance,
        scatters: 0.0,
        lit: None,
    };
    let n = ring.len();
    let side = |i: usize| {
        let j = (i + 1) % n;
        sheet(vec![low[i], low[j], high[j], high[i]])
    };
    let mut bodies: Vec<Body> = (0..n).map(side).collect();
    bodies.extend([sheet(low.clone()), sheet(high.clone())]);
    bodies
}

/// A closed body between two rings of equal length.
fn between(low: &[DVec3], high: &[DVec3]) -> Shape {
    let n = low.len();
    let vertices = low.iter().chain(high).copied().collect();
    let mut faces: Vec<Vec<usize>> = vec![(0..n).collect(), (n..2 * n).collect()];
    faces.extend((0..n).map(|i| vec![i, (i + 1) % n, n + (i + 1) % n, n + i]));
    closed(vertices, faces)
}

/// A regular polygon with the area of a circle.
fn round(centre: Point, radius_m: f64, sides: usize) -> Vec<Point> {
    let radius = radius_m * equal_area(sides);
    let corner = |i: usize| {
        let angle = std::f64::consts::TAU * i as f64 / sides as f64;
        [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()]
    };
    (0..sides).map(corner).collect()
}

/// Circumradius of a regular polygon over the radius of the circle of its area.
fn equal_area(sides: usize) -> f64 {
    let angle = std::f64::consts::TAU / sides as f64;
    (angle / angle.sin()).sqrt()
}

pub(super) fn tree(
    table: &TreeTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let passes = crown_passes(table, key, problems)?;
    let trunk = round(table.at, table.trunk_radius_m, TRUNK_SIDES);
    if !off_field(&trunk, key, "at", ground, problems) {
        return None;
    }
    let reflectance = table.reflectance;
    // trees grow on the ground, wherever it lies
    let base = ground.height_m(table.at);
    let shape = crown(table, base, ground);
    let mut bodies =
        vec![Body { part: Part::Crown, shape, passes, reflectance, scatters: 0.0, lit: None }];
    if table.trunk_height_m > 0.0 {
        let heights = (ground.deepest_m(&trunk, base), base + table.trunk_height_m);
        bodies.extend(prism(&trunk, heights, (Part::Trunk, reflectance), ground));
    }
    Some(Occluder { name: table.name.trim().to_owned(), kind: OccluderKind::Tree, bodies })
}

fn crown_passes(table: &TreeTable, key: &str, problems: &mut Problems) -> Option<Passes> {
    let in_leaf = Transmittance::from_share(table.in_leaf_transmittance);
    let Some(bare) = table.bare_transmittance else {
        if table.leaf_from.is_some() || table.leaf_to.is_some() {
            problems.add(
                format!("{key}.leaf_from"),
                "days in leaf without a bare crown",
                "bare_transmittance beside leaf_from and leaf_to",
            );
            return None;
        }
        return Some(Passes::Always(in_leaf));
    };
    let mut day = |stated: &Option<String>, field: &str| {
        let found = stated.as_deref().and_then(month_and_day);
        if found.is_none() {
            let said = stated.as_ref().map_or("nothing".to_owned(), |s| format!("\"{s}\""));
            problems.add(format!("{key}.{field}"), said, "a day of the year, \"MM-DD\"");
        }
        found
    };
    let (from, to) = (day(&table.leaf_from, "leaf_from"), day(&table.leaf_to, "leaf_to"));
    let bare = Transmittance::from_share(bare);
    Some(Passes::Leaves(Leaves { in_leaf, bare, from: from?, to: to? }))
}

fn month_and_day(text: &str) -> Option<(u32, u32)> {
    let (month, day) = text.split_once('-')?;
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    // a leap year, so that 29 February is a day
    chrono::NaiveDate::from_ymd_opt(2028, month, day).map(|_| (month, day))
}

/// A spheroid as a closed body, as wide in plan as the circle it stands for.
fn crown(table: &TreeTable, base_m: f64, ground: &BuiltField) -> Shape {
    let radius = table.crown_radius_m * equal_area(CROWN_SIDES);
    let half = table.crown_height_m / 2.0;
    let middle = base_m + table.trunk_height_m + half;
    let point = |turn: f64, rise: f64| {
        ground.frame.to_local(FieldPoint {
            along_m: table.at[0] + radius * rise.cos() * turn.cos(),
            across_m: table.at[1] + radius * rise.cos() * turn.sin(),
            up_m: middle + half * rise.sin(),
        })
    };
    let rise =
        |ring: usize| std::f64::consts::PI * ((ring + 1) as f64 / (CROWN_RINGS + 1) as f64 - 0.5);
    let turn = |i: usize| std::f64::consts::TAU * i as f64 / CROWN_SIDES as f64;
    let mut vertices: Vec<DVec3> = (0..CROWN_RINGS)
        .flat_map(|ring| (0..CROWN_SIDES).map(move |i| point(turn(i), rise(ring))))
        .collect();
    let quarter = std::f64::consts::FRAC_PI_2;
    vertices.extend([point(0.0, -quarter), point(0.0, quarter)]);
    let (bottom, top) = (vertices.len() - 2, vertices.len() - 1);
    let at = |ring: usize, i: usize| ring * CROWN_SIDES + i % CROWN_SIDES;
    let mut faces = Vec::new();
    for i in 0..CROWN_SIDES {
        faces.push(vec![bottom, at(0, i), at(0, i + 1)]);
        faces.push(vec![top, at(CROWN_RINGS - 1, i), at(CROWN_RINGS - 1, i + 1)]);
        for ring in 1..CROWN_RINGS {
            faces.push(vec![at(ring - 1, i), at(ring - 1, i + 1), at(ring, i + 1), at(ring, i)]);
        }
    }
    closed(vertices, faces)
}

/// The unit normal of the plane that corners lie in, by their enclosed area, or
/// by their widest triangle where loops cancel each other.
fn normal_of(corners: &[DVec3]) -> Option<DVec3> {
    let enclosed = area_vector(corners.iter().copied());
    let triangles = corners.windows(2).map(|w| area_vector([corners[0], w[0], w[1]]));
    let widest = triangles.max_by(|a, b| a.length().total_cmp(&b.length()))?;
    let of_all = enclosed.length() > 1e-6 * widest.length();
    if of_all { enclosed } else { widest }.try_normalize()
}

/// Colour of what is lit where nobody says it, K: the white of monitors and most screens, D65.
const LIT_K: f64 = 6500.0;

/// Light of its own of a panel, toward the centre of play; `None` with a problem noted.
fn lit(
    table: &PanelTable,
    (centre, normal): (DVec3, DVec3),
    key: &str,
    problems: &mut Problems,
) -> Option<Option<Lit>> {
    let Some(luminance_cd_m2) = table.luminance_cd_m2 else {
        if table.colour_temperature_k.is_some() {
            let found = "a colour of light without a luminance";
            problems.add(format!("{key}.luminance_cd_m2"), found, "its luminance, cd/m2");
            return None;
        }
        return Some(None);
    };
    let side = -centre.dot(normal);
    if side.abs() < PANEL_PLANE_TOLERANCE_M {
        problems.add(
            format!("{key}.luminance_cd_m2"),
            "a lit panel in whose plane the centre of play lies",
            "corners that turn one side of it toward the centre of play",
        );
        return None;
    }
    let passes = table.lattice.as_ref().map_or(table.transmittance, |l| l.openness);
    if passes > 0.0 {
        problems.add(
            format!("{key}.luminance_cd_m2"),
            format!("a lit panel with a transmittance of {passes}"),
            "a lit panel that nothing passes",
        );
        return None;
    }
    let colour_temperature_k = table.colour_temperature_k.unwrap_or(LIT_K);
    Some(Some(Lit { luminance_cd_m2, colour_temperature_k, toward: normal * side.signum() }))
}

pub(super) fn panel(
    table: &PanelTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let panel_key = key;
    let sound = format!("{key}.reflectance");
    let sheet = SheetKeys {
        transmittance: table.transmittance,
        scattered_share: Some(table.scattered_share),
        lattice: table.lattice.as_ref(),
    };
    if !sheet.check(key, problems)
        || !check_sheet(table.reflectance, table.transmittance, sound, problems)
    {
        return None;
    }
    let key = format!("{key}.corners");
    let point = |c: &[f64; 3]| FieldPoint { along_m: c[0], across_m: c[1], up_m: c[2] };
    let corners = open(table.corners.iter().map(|c| ground.frame.to_local(point(c))).collect());
    if corners.len() < 3 {
        problems.add(key, format!("{} different corners", corners.len()), "at least 3 corners");
        return None;
    }
    let Some(normal) = normal_of(&corners) else {
        problems.add(key, "a panel without area", "corners that enclose an area");
        return None;
    };
    let centre = corners.iter().sum::<DVec3>() / corners.len() as f64;
    let out = corners.iter().map(|p| (p - centre).dot(normal).abs()).fold(0.0, f64::max);
    if out > PANEL_PLANE_TOLERANCE_M {
        problems.add_with_help(
            key,
            format!("a corner {out:.2} m out of the panel's plane"),
            format!("corners within {PANEL_PLANE_TOLERANCE_M} m of one plane"),
            "state a bent roof as several panels",
        );
        return None;
    }
    let (u, v) = (normal.any_orthonormal_vector(), normal);
    let w = v.cross(u);
    let flat: Vec<Point> =
        corners.iter().map(|p| [(p - centre).dot(u), (p - centre).dot(w)]).collect();
    if let Some((i, j, at)) = crossing(&flat) {
        let place = ground.frame.to_field(centre + u * at.x + w * at.y);
        let place = [place.along_m, place.across_m, place.up_m];
        note_crossing((i, j), &place, &key, problems);
        return None;
    }
    let lit = lit(table, (centre, normal), panel_key, problems)?;
    let passing = sheet.passing(0.0);
    let passes = Passes::Always(passing.straight);
    let reflectance = sheet_reflectance(table.reflectance, table.transmittance);
    let (first, inside) = (corners[1] - corners[0], centre - corners[0]);
    let shape = Shape::Sheet { corners };
    let scatters = passing.scattered;
    let mut body = Body { part: Part::Panel, shape, passes, reflectance, scatters, lit };
    sheet.put_on(std::slice::from_mut(&mut body), first, inside);
    Some(Occluder {
        name: table.name.trim().to_owned(),
        kind: OccluderKind::Panel,
        bodies: vec![body],
    })
}
