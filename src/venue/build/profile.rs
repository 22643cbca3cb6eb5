//! Cross-sections of stands, and what is spanned between two of them.
//!
//! In: the section keys of a stand or bowl and a line on the ground. Out:
//! bodies in the local frame. Each corner is computed once per profile, so that
//! bodies on either side of it share it to the last bit.

use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint, area_vector};
use crate::base::units::Transmittance;
use crate::venue::file::{Foot, RoofTable, Section};
use crate::venue::occluder::{Body, Part, Passes, Shape};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

/// A face bent by more than this is cut into two triangles, metres.
const FLAT_M: f64 = 1e-9;

/// A cross-section at one place; points in the local frame.
#[derive(Debug, Clone)]
pub(super) struct CrossSection {
    /// Deck from front foot around to back foot, without repeated points.
    deck: Vec<DVec3>,
    foot: Foot,
    front_top: DVec3,
    back_top: DVec3,
    /// Top of the wall behind, where it rises over the deck.
    wall_top: Option<DVec3>,
    roof: Option<Roof>,
    seat_reflectance: f64,
    wall_reflectance: f64,
}

#[derive(Debug, Clone, Copy)]
struct Roof {
    front: DVec3,
    back: DVec3,
    passing: Passing,
    reflectance: f64,
    /// Deck and roof where the roof begins to cover the deck.
    deck_under: DVec3,
    over_deck: DVec3,
}

impl CrossSection {
    /// The section over the front-row point `front`, going outward by `outward`
    /// for each metre of depth (field axes; longer than 1 at a mitre).
    pub fn at(section: &Section, front: Point, outward: Point, frame: FieldFrame) -> Self {
        let point = |out: f64, up_m: f64| {
            frame.to_local(FieldPoint {
                along_m: front[0] + out * outward[0],
                across_m: front[1] + out * outward[1],
                up_m,
            })
        };
        let depth = section.depth_m;
        let front_foot = point(0.0, 0.0);
        let front_top = point(0.0, section.front_height_m);
        let back_top = point(depth, section.back_height_m);
        let mut deck = vec![front_foot, front_top, back_top, point(depth, 0.0)];
        deck.dedup();
        let roof = section.roof.as_ref().map(|roof| {
            let start = (-roof.overhang_m).max(0.0);
            Roof {
                front: point(-roof.overhang_m, roof.front_height_m),
                back: point(depth, roof.back_height_m),
                passing: Passing::new(
                    roof.transmittance,
                    roof.scattered_share.unwrap_or(ROOF_SCATTERS),
                ),
                reflectance: sheet_reflectance(roof.soffit_reflectance, roof.transmittance),
                deck_under: point(start, deck_height(section, start)),
                over_deck: point(start, roof_height(section, roof, start)),
            }
        });
        let wall = section.roof.as_ref().map(|roof| roof.back_height_m - roof.gap_m);
        let wall_top = wall.filter(|top| *top > section.back_height_m).map(|top| point(depth, top));
        Self {
            deck,
            foot: section.foot,
            front_top,
            back_top,
            wall_top,
            roof,
            seat_reflectance: section.reflectance(),
            wall_reflectance: section.wall_reflectance,
        }
    }

    /// Front and back of the deck on the ground, for its outline in plan.
    pub fn feet(&self) -> [DVec3; 2] {
        [self.front_foot(), self.back_top.with_z(0.0)]
    }

    /// The front foot, for finding which ends of two stands are neighbours.
    pub fn front_foot(&self) -> DVec3 {
        self.deck[0]
    }
}

/// How much of what passes a roof is scattered where nobody says it: usual roofs that let
/// light through are membranes and opal sheets. Makers give both by EN 410 or EN 14500 as
/// normal-hemispherical and normal-normal transmittance, or their ratio as haze (ASTM
/// D1003): under 0.05 for clear glass and polycarbonate, over 0.9 for opal sheets, glass
/// reinforced ones and coated fabrics (values from memory).
pub(super) const ROOF_SCATTERS: f64 = 0.9;

/// What passes a sheet, 0 to 1: straight on, and scattered.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passing {
    pub straight: Transmittance,
    pub scattered: f64,
}

impl Passing {
    const NOTHING: Self = Self { straight: Transmittance::OPAQUE, scattered: 0.0 };

    pub fn new(transmittance: f64, scattered_share: f64) -> Self {
        Self {
            straight: Transmittance::from_share(transmittance * (1.0 - scattered_share)),
            scattered: transmittance * scattered_share,
        }
    }

    fn whole(self) -> f64 {
        self.straight.share() + self.scattered
    }
}

/// Reflectance of a thin thing: as stated, or 0.4 (coated metal and membranes;
/// common practice, no source), and never more than what does not pass.
pub(super) fn sheet_reflectance(stated: Option<f64>, transmittance: f64) -> f64 {
    stated.unwrap_or(0.4).min(1.0 - transmittance)
}

/// Notes a thin thing that would give back and let through more light than comes.
pub(super) fn check_sheet(
    reflectance: Option<f64>,
    transmittance: f64,
    key: String,
    problems: &mut Problems,
) -> bool {
    let sound = reflectance.is_none_or(|r| r + transmittance <= 1.0);
    if !sound {
        problems.add(
            key,
            format!("{} beside a transmittance of {transmittance}", reflectance.unwrap_or(0.0)),
            format!("at most {:.2}, what does not pass", 1.0 - transmittance),
        );
    }
    sound
}

fn deck_height(section: &Section, out: f64) -> f64 {
    let rise = section.back_height_m - section.front_height_m;
    section.front_height_m + rise * out / section.depth_m
}

fn roof_height(section: &Section, roof: &RoofTable, out: f64) -> f64 {
    let run = section.depth_m + roof.overhang_m;
    let rise = roof.back_height_m - roof.front_height_m;
    roof.front_height_m + rise * (out + roof.overhang_m) / run
}

/// Notes what heights and depths of a section say against each other; whether it
/// can be built.
pub(super) fn check(section: &Section, key: &str, problems: &mut Problems) -> bool {
    let mut sound = true;
    let mut note = |field: &str, found: String, allowed: String| {
        problems.add(format!("{key}.{field}"), found, allowed);
        sound = false;
    };
    let (front, back) = (section.front_height_m, section.back_height_m);
    if back < front {
        note("back_height_m", format!("{back} m"), format!("at least the front height, {front} m"));
    }
    if back <= 0.0 {
        note("back_height_m", format!("{back} m"), "more than 0 m".into());
    }
    if let Some(roof) = &section.roof {
        if roof.overhang_m <= -section.depth_m {
            note(
                "roof.overhang_m",
                format!("{} m, so the roof ends behind the back wall", roof.overhang_m),
                format!("more than minus the depth, -{} m", section.depth_m),
            );
            return false;
        }
        let start = (-roof.overhang_m).max(0.0);
        for (out, place) in [(start, "front"), (section.depth_m, "back")] {
            let (deck, over) = (deck_height(section, out), roof_height(section, roof, out));
            if over < deck {
                note(
                    &format!("roof.{place}_height_m"),
                    format!("a roof at {over:.2} m under the deck at {deck:.2} m"),
                    "a roof above the deck all over it".into(),
                );
            }
        }
        if roof.back_height_m - roof.gap_m < back && roof.gap_m > 0.0 {
            note(
                "roof.gap_m",
                format!("a gap of {} m", roof.gap_m),
                format!(
                    "at most {:.2} m, from the back of the deck to the roof",
                    roof.back_height_m - back
                ),
            );
        }
    }
    if let Some(roof) = &section.roof {
        let key = format!("{key}.roof.soffit_reflectance");
        sound &= check_sheet(roof.soffit_reflectance, roof.transmittance, key, problems);
    }
    sound
}

/// Deck, back wall and roof between two profiles of the same section shape.
pub(super) fn span(a: &CrossSection, b: &CrossSection) -> Vec<Body> {
    let mut bodies = deck(a, b);
    bodies.extend(back_wall(a, b));
    bodies.extend(roof(a, b));
    bodies
}

/// The deck between two profiles: a closed body down to the ground, or a sheet where
/// either stands on columns.
pub(super) fn deck(a: &CrossSection, b: &CrossSection) -> Vec<Body> {
    if a.foot == Foot::Open || b.foot == Foot::Open {
        let corners = vec![a.front_top, a.back_top, b.back_top, b.front_top];
        return sheets(Part::Deck, corners, Passing::NOTHING, a.seat_reflectance);
    }
    if a.deck.len() != b.deck.len() {
        return Vec::new();
    }
    let n = a.deck.len();
    let vertices: Vec<DVec3> = a.deck.iter().chain(&b.deck).copied().collect();
    let mut faces: Vec<Vec<usize>> = vec![(0..n).collect(), (n..2 * n).collect()];
    for i in 0..n {
        let j = (i + 1) % n;
        faces.extend(flat_faces(&[i, j, n + j, n + i], &vertices));
    }
    let shape = closed(vertices, faces);
    let passes = Passes::Always(Transmittance::OPAQUE);
    vec![Body {
        part: Part::Deck,
        shape,
        passes,
        reflectance: a.seat_reflectance,
        scatters: 0.0,
        lit: None,
    }]
}

/// The wall behind the deck, from its back up to the gap under the roof.
pub(super) fn back_wall(a: &CrossSection, b: &CrossSection) -> Vec<Body> {
    let mut corners = vec![a.back_top];
    corners.extend(a.wall_top);
    corners.extend(b.wall_top);
    corners.push(b.back_top);
    sheets(Part::BackWall, corners, Passing::NOTHING, a.wall_reflectance)
}

/// The roof between two profiles that both have one.
pub(super) fn roof(a: &CrossSection, b: &CrossSection) -> Vec<Body> {
    let (Some(x), Some(y)) = (a.roof, b.roof) else { return Vec::new() };
    // of two roofs that differ the darker one is taken for what joins them
    let passes = if x.passing.whole() <= y.passing.whole() { x } else { y };
    let corners = vec![x.front, x.back, y.back, y.front];
    sheets(Part::Roof, corners, passes.passing, passes.reflectance)
}

/// The wall at an end, between deck and roof where the roof covers the deck.
pub(super) fn end_wall(profile: &CrossSection) -> Vec<Body> {
    let Some(roof) = profile.roof else { return Vec::new() };
    let mut corners = vec![roof.deck_under, profile.back_top, roof.back, roof.over_deck];
    corners.dedup();
    if roof.deck_under == profile.front_top && profile.front_top == profile.back_top {
        return Vec::new();
    }
    sheets(Part::EndWall, corners, Passing::NOTHING, profile.wall_reflectance)
}

/// A sheet, or two triangles where four corners are not in one plane.
pub(super) fn sheets(
    part: Part,
    corners: Vec<DVec3>,
    passing: Passing,
    reflectance: f64,
) -> Vec<Body> {
    if corners.len() < 3 {
        return Vec::new();
    }
    let indices: Vec<usize> = (0..corners.len()).collect();
    let faces = flat_faces(&indices, &corners);
    let sheet = |face: Vec<usize>| Body {
        part,
        shape: Shape::Sheet { corners: face.iter().map(|&i| corners[i]).collect() },
        passes: Passes::Always(passing.straight),
        reflectance,
        scatters: passing.scattered,
        lit: None,
    };
    faces.into_iter().map(sheet).collect()
}

/// A face as it is when flat; a bent face of four corners as two triangles that
/// meet in a ridge. Faces without area vanish.
fn flat_faces(face: &[usize], vertices: &[DVec3]) -> Vec<Vec<usize>> {
    let p = |i: usize| vertices[face[i]];
    let area = |ring: &[usize]| area_vector(ring.iter().map(|&i| vertices[i]));
    let normal = area(face);
    if normal.length() < 1e-9 {
        return Vec::new();
    }
    let unit = normal.normalize();
    let bent = face.iter().map(|&i| (vertices[i] - p(0)).dot(unit).abs()).fold(0.0, f64::max);
    if face.len() != 4 || bent <= FLAT_M {
        return vec![face.to_vec()];
    }
    // the fold that leaves a ridge, not a valley: a deck stays convex
    let up = (p(1) - p(0)).cross(p(2) - p(0));
    let up = if up.z < 0.0 { -up } else { up };
    let ridge = (p(3) - p(0)).dot(up) <= 0.0;
    let triangles = if ridge { [[0, 1, 2], [0, 2, 3]] } else { [[1, 2, 3], [1, 3, 0]] };
    let faces = triangles.map(|t| t.map(|i| face[i]).to_vec());
    faces.into_iter().filter(|t| area(t).length() >= 1e-9).collect()
}

/// A closed body with every face turned outward.
pub(super) fn closed(vertices: Vec<DVec3>, faces: Vec<Vec<usize>>) -> Shape {
    let centre = vertices.iter().sum::<DVec3>() / vertices.len().max(1) as f64;
    let outward = |mut face: Vec<usize>| {
        let normal = area_vector(face.iter().map(|&i| vertices[i]));
        if normal.dot(vertices[face[0]] - centre) < 0.0 {
            face.reverse();
        }
        face
    };
    let faces = faces.into_iter().map(outward).collect();
    Shape::Convex { vertices, faces }
}
