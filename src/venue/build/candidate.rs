//! Candidate positions: a camera at every place of a row or an area.

use geo::{BoundingRect, Contains, Coord, InteriorPoint, LineString, Point, Polygon};
use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint, area_vector};
use crate::base::units::Lux;
use crate::venue::candidate::{Candidate, CandidateGround};
use crate::venue::file::{CameraTable, CandidateTable, VenueFile};
use crate::venue::model::{CameraPost, Zone};
use crate::venue::occluder::Occluder;
use crate::venue::problem::{Problems, counted};

use super::camera::{aims, gantry, inside_of, sway};
use super::crew::exposure;
use super::field::BuiltField;
use super::lens::{at_focal_length, field_of_view};
use super::nearest;

/// More places than this in a file are refused.
pub(super) const MAX_PLACES: usize = 5_000;
/// Corners of a deck may lie so far off their common plane, metres.
const FLAT_M: f64 = 0.05;
/// A deck steeper than this cannot be stood on: least upward part of its normal.
const MIN_UP: f64 = 0.3;

/// Everything that candidates are made from.
pub(super) struct CandidateInputs<'a> {
    pub file: &'a VenueFile,
    pub ground: &'a BuiltField,
    pub zones: &'a [Zone],
    pub occluders: &'a [Occluder],
    pub cameras: &'a [CameraPost],
}

pub(super) fn candidates(site: &CandidateInputs<'_>, problems: &mut Problems) -> Vec<Candidate> {
    let mut room = MAX_PLACES;
    let tables = site.file.candidate.iter().enumerate();
    let made = tables.filter_map(|(i, table)| {
        let key = format!("candidate[{i}]");
        candidate(site, table, &key, &mut room, problems)
    });
    made.collect()
}

fn candidate(
    site: &CandidateInputs<'_>,
    table: &CandidateTable,
    key: &str,
    room: &mut usize,
    problems: &mut Problems,
) -> Option<Candidate> {
    let replaced = replaced(site, table, key, problems)?;
    let look = look(table, replaced.map(|(_, camera)| camera));
    let aims = aims(&look, site.ground, site.zones, key, problems);
    let exposure = exposure(site.file, look.exposure.as_ref(), key, problems);
    let lens = match table.shows_m {
        Some(width_m) => shows(table, width_m, key, problems),
        None => field_of_view(&look, &exposure, key, problems).map(Lens::Angle),
    };
    let (ground, places) = places(site, table, key, problems)?;
    let (aims, lens) = (aims?, lens?);
    if places.len() > *room {
        problems.add(
            format!("{key}.every_m"),
            counted(places.len(), "place"),
            format!("at most {MAX_PLACES} places in all; take a longer step"),
        );
        return None;
    }
    *room -= places.len();
    let free = |at: &&DVec3| inside_of(**at, site.occluders).is_none();
    let kept: Vec<DVec3> = places.iter().filter(free).copied().collect();
    if kept.is_empty() {
        let inside = places.first().and_then(|at| inside_of(*at, site.occluders));
        problems.add(
            format!("{key}.{}", ground_key(table)),
            format!("no place outside of \"{}\"", inside.unwrap_or_default()),
            "at least one place outside of all decks and solids",
        );
        return None;
    }
    let post = |(i, &at): (usize, &DVec3)| CameraPost {
        name: match kept.len() {
            1 => table.name.trim().to_owned(),
            _ => format!("{} {}", table.name.trim(), i + 1),
        },
        at,
        aims: aims.clone(),
        horizontal_fov_deg: lens.at(at, &aims),
        aspect: look.aspect,
        floodlight: look.floodlight_lx.map(Lux::from_lux),
        exposure: at_focal_length(exposure.clone(), &look, lens.at(at, &aims)),
        sway: sway(&look),
    };
    Some(Candidate {
        name: table.name.trim().to_owned(),
        instead_of: replaced.map(|(index, _)| index),
        ground,
        most: table.most as usize,
        posts: kept.iter().enumerate().map(post).collect(),
        left_out: places.len() - kept.len(),
    })
}

/// The camera that it would replace: its index and table. `None` for an unknown one.
fn replaced<'a>(
    site: &CandidateInputs<'a>,
    table: &CandidateTable,
    key: &str,
    problems: &mut Problems,
) -> Option<Option<(usize, &'a CameraTable)>> {
    let Some(name) = table.instead_of.as_deref().map(str::trim) else { return Some(None) };
    let camera = site.file.camera.iter().find(|c| c.name.trim() == name);
    let index = site.cameras.iter().position(|c| c.name == name);
    if camera.is_none() {
        let known = site.file.camera.iter().map(|c| c.name.as_str());
        problems.add_with_help(
            format!("{key}.instead_of"),
            format!("\"{name}\""),
            "the name of a camera",
            nearest(name, known).map_or_else(String::new, |n| format!("did you mean \"{n}\"?")),
        );
    }
    // a camera that did not come out well has been told of already
    Some(Some((index?, camera?)))
}

/// What the table says of the camera, the rest from the one that it replaces.
fn look(table: &CandidateTable, like: Option<&CameraTable>) -> CameraTable {
    let own_looks = !table.looks_at.is_empty() || !table.aim.is_empty();
    let own_lens = table.horizontal_fov_deg.is_some() || table.focal_length_mm.is_some();
    let looks = like.filter(|_| !own_looks);
    let lens = like.filter(|_| !own_lens);
    CameraTable {
        name: table.name.clone(),
        at: None,
        gantry: None,
        offset_m: None,
        looks_at: looks.map_or_else(|| table.looks_at.clone(), |l| l.looks_at.clone()),
        aim: looks.map_or_else(|| table.aim.clone(), |l| l.aim.clone()),
        horizontal_fov_deg: table.horizontal_fov_deg.or(lens.and_then(|l| l.horizontal_fov_deg)),
        focal_length_mm: table.focal_length_mm.or(lens.and_then(|l| l.focal_length_mm)),
        image_width_mm: table.image_width_mm.or(lens.and_then(|l| l.image_width_mm)),
        aspect: table.aspect.or(like.map(|l| l.aspect)).unwrap_or(16.0 / 9.0),
        floodlight_lx: like.and_then(|l| l.floodlight_lx),
        exposure: like.and_then(|l| l.exposure.clone()),
        // another place sways as its own table says
        sway_m: table.sway_m.unwrap_or(0.0),
        sway_deg: table.sway_deg.unwrap_or(0.0),
    }
}

/// How wide the picture is.
enum Lens {
    /// Horizontal field of view, degrees.
    Angle(f64),
    /// Width at the mean distance of the aims, metres.
    Width(f64),
}

impl Lens {
    fn at(&self, at: DVec3, aims: &[DVec3]) -> f64 {
        match self {
            Lens::Angle(degrees) => *degrees,
            Lens::Width(width_m) => {
                let sum: f64 = aims.iter().map(|aim| aim.distance(at)).sum();
                let mean_m = sum / aims.len().max(1) as f64;
                2.0 * (0.5 * width_m / mean_m.max(0.1)).atan().to_degrees()
            }
        }
    }
}

fn shows(table: &CandidateTable, width_m: f64, key: &str, problems: &mut Problems) -> Option<Lens> {
    if table.horizontal_fov_deg.is_some() || table.focal_length_mm.is_some() {
        problems.add(
            format!("{key}.shows_m"),
            "both a lens and the width of the picture",
            "one of the two",
        );
        return None;
    }
    Some(Lens::Width(width_m))
}

fn ground_key(table: &CandidateTable) -> &'static str {
    match (&table.at, &table.gantry) {
        (Some(_), _) => "at",
        (None, Some(_)) => "gantry",
        (None, None) => "deck",
    }
}

/// All places, local frame.
fn places(
    site: &CandidateInputs<'_>,
    table: &CandidateTable,
    key: &str,
    problems: &mut Problems,
) -> Option<(CandidateGround, Vec<DVec3>)> {
    let stated = [table.at.is_some(), table.gantry.is_some(), table.deck.is_some()];
    let found = match stated.iter().filter(|stated| **stated).count() {
        0 => Some("a candidate without a place"),
        1 => None,
        _ => Some("several kinds of place"),
    };
    if let Some(found) = found {
        problems.add(format!("{key}.at"), found, "one of at, gantry and deck");
        return None;
    }
    let corners: Vec<[f64; 3]> = match (table.at, &table.gantry, &table.deck) {
        (Some(at), ..) => vec![at],
        (_, Some(name), _) => {
            let gantry = gantry(name, site.file, key, problems)?;
            vec![gantry.from, gantry.to]
        }
        (.., deck) => deck.clone().unwrap_or_default(),
    };
    if let Some(low) = corners.iter().find(|p| p[2] < 0.0) {
        problems.add(
            format!("{key}.{}", ground_key(table)),
            format!("a place {:.2} m under ground", -low[2]),
            "a height of 0 m or more",
        );
        return None;
    }
    let frame = site.ground.frame;
    let local = |p: [f64; 3]| {
        let [along_m, across_m, up_m] = p;
        frame.to_local(FieldPoint { along_m, across_m, up_m })
    };
    match corners.as_slice() {
        [at] if table.at.is_some() => {
            let base = DVec3::Z * site.ground.base_m([at[0], at[1]]);
            Some((CandidateGround::Place, vec![local(*at) + base]))
        }
        [from, to] if table.gantry.is_some() => Some(row(local(*from), local(*to), table.every_m)),
        corners => deck(corners, table.every_m, frame, key, problems),
    }
}

/// Both ends and equal steps between, about as long as asked for.
fn row(from: DVec3, to: DVec3, every_m: f64) -> (CandidateGround, Vec<DVec3>) {
    let steps = (from.distance(to) / every_m).round().clamp(1.0, MAX_PLACES as f64) as usize;
    let places = (0..=steps).map(|i| from.lerp(to, i as f64 / steps as f64)).collect();
    (CandidateGround::Row { from, to }, places)
}

/// The middles of equal squares that lie on the deck, in rows along and across the field.
fn deck(
    corners: &[[f64; 3]],
    every_m: f64,
    frame: FieldFrame,
    key: &str,
    problems: &mut Problems,
) -> Option<(CandidateGround, Vec<DVec3>)> {
    let mut refuse = |found: String, allowed: &str| {
        problems.add(format!("{key}.deck"), found, allowed);
    };
    let area = area_vector(corners.iter().map(|c| DVec3::from(*c)));
    let Some(normal) = area.try_normalize().filter(|n| corners.len() > 2 && n.z.abs() > MIN_UP)
    else {
        refuse(
            format!("{} that enclose no floor", counted(corners.len(), "corner")),
            "3 corners or more",
        );
        return None;
    };
    let first = DVec3::from(corners[0]);
    let off = corners.iter().map(|c| (DVec3::from(*c) - first).dot(normal).abs());
    let off = off.fold(0.0, f64::max);
    if off > FLAT_M {
        refuse(format!("corners {off:.2} m off their plane"), "corners in one plane");
        return None;
    }
    let ring: Vec<Coord<f64>> = corners.iter().map(|c| Coord { x: c[0], y: c[1] }).collect();
    let outline = Polygon::new(LineString::from(ring), Vec::new());
    if !geo::Validation::is_valid(&outline) {
        refuse("an outline that crosses itself".to_owned(), "corners in order around the deck");
        return None;
    }
    let bounds = outline.bounding_rect()?;
    let steps = |length: f64| (length / every_m).round().max(1.0);
    let (columns, rows) = (steps(bounds.width()), steps(bounds.height()));
    if columns * rows > 20.0 * MAX_PLACES as f64 {
        refuse(
            format!("an area of {:.0} x {:.0} m", bounds.width(), bounds.height()),
            "a smaller area, or a longer every_m",
        );
        return None;
    }
    let node = |i: usize, j: usize| {
        Point::new(
            bounds.min().x + (i as f64 + 0.5) * bounds.width() / columns,
            bounds.min().y + (j as f64 + 0.5) * bounds.height() / rows,
        )
    };
    let nodes = (0..rows as usize).flat_map(|j| (0..columns as usize).map(move |i| (i, j)));
    let mut inside: Vec<Point> =
        nodes.map(|(i, j)| node(i, j)).filter(|p| outline.contains(p)).collect();
    if inside.is_empty() {
        inside.extend(outline.interior_point());
    }
    let on_plane = |p: &Point| {
        let run = normal.x * (p.x() - first.x) + normal.y * (p.y() - first.y);
        let up_m = first.z - run / normal.z;
        frame.to_local(FieldPoint { along_m: p.x(), across_m: p.y(), up_m })
    };
    let local =
        |c: &[f64; 3]| frame.to_local(FieldPoint { along_m: c[0], across_m: c[1], up_m: c[2] });
    let ground =
        CandidateGround::Deck { corners: corners.iter().map(local).collect(), spacing_m: every_m };
    Some((ground, inside.iter().map(on_plane).collect()))
}
