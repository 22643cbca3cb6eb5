//! From the file of a site to one checked venue a field.
//!
//! In: a [`SiteFile`], whose shared tables speak the axes of the site and those of a field its
//! own. Out: a [`Site`]; or the list of everything found wrong, keys as the file has them. Each
//! field is a [`VenueFile`] of its own tables with what it shares; what else stands on the site
//! is built once in its own axes and set beside it, moved in the local frame.

use geo::{Area, BooleanOps, Polygon, Translate};
use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::base::limits::{MAX_NAME, MAX_THINGS_OF_SITE};
use crate::base::units::Azimuth;
use crate::venue::file::{North, SiteFieldTable, SiteFile, VenueFile};
use crate::venue::model::{Venue, Zone};
use crate::venue::occluder::{Body, Occluder, Part, Shape};
use crate::venue::problem::Problems;
use crate::venue::site::{Site, SiteField};

use super::field::{Around, BuiltField, TOUCH_M2};
use super::mesh::MeshFiles;
use super::moving::{days, low_over_m2};
use super::site_field::{Keys, field_file, serves};
use super::site_play::order;
use super::{Beside, build_with, nearest, place, standing};

/// A field farther from the origin of the site is a slip of unit, metres: as of the corners of
/// a field.
const MAX_AWAY_M: f64 = 2_000.0;

/// The venue files of a site's fields, and where their keys stand.
type Sites = Vec<(VenueFile, Keys)>;

/// Builds and checks a site; `files` says what becomes of meshes, `sizes` holds each venue file
/// to the limits of one and counts its things. `None` when `problems` has anything to say.
pub fn build_site(
    file: &SiteFile,
    files: MeshFiles,
    sizes: impl Fn(&VenueFile, &mut Problems) -> usize,
    problems: &mut Problems,
) -> Option<Site> {
    names(file, problems);
    let frame = axes(file, problems);
    place(&file.place, problems);
    problems.is_empty().then_some(())?;
    let frame = frame?;
    let at: Vec<DVec3> = file.field.iter().map(|f| origin(frame, f)).collect();
    let mut of_play = Problems::default();
    let timed = order(file, &mut of_play);
    let mut fields: Sites = Vec::new();
    let mut things = 0;
    for (index, at) in at.iter().enumerate() {
        let (venue, keys) = field_file(file, (index, frame, *at), timed.as_ref(), problems);
        let mut found = Problems::default();
        things += sizes(&venue, &mut found);
        keys.note(found, problems);
        fields.push((venue, keys));
    }
    let shared = shared_file(file, &fields)?;
    things += sizes(&shared, problems);
    if things.saturating_mul(fields.len()) > MAX_THINGS_OF_SITE {
        let found = format!("{things} things on a site of {} fields", fields.len());
        problems.add("field", found, format!("at most {MAX_THINGS_OF_SITE}, once a field"));
    }
    problems.is_empty().then_some(())?;
    // each part by itself first: what is wrong in it is said once
    let ground = shared_ground(file, (&shared, frame), problems)?;
    let mut parts = vec![(DVec3::ZERO, standing(&shared, files, &ground, problems))];
    let mut alone = Vec::new();
    for ((venue, keys), at) in fields.iter().zip(&at) {
        let mut found = Problems::default();
        let built = build_with(venue, files, Around::Planned, Beside::default(), &mut found);
        keys.note(found, problems);
        let Some(built) = built else { continue };
        parts.push((*at, built.clone().into()));
        alone.push(built);
    }
    of_play.into_list().into_iter().for_each(|problem| problems.push(problem));
    problems.is_empty().then_some(())?;
    apart(file, (&alone, &at), problems);
    clear(&Laid { file, shared: &shared, fields: &fields, alone: &alone, parts: &parts }, problems);
    problems.is_empty().then_some(())?;
    let mut built = Vec::new();
    for (index, (venue, keys)) in fields.iter().enumerate() {
        let beside = beside(file, &parts, index);
        let mut found = Problems::default();
        let venue = build_with(venue, files, Around::Planned, beside, &mut found);
        keys.note(found, problems);
        let served_by = keys.cameras.iter().map(|(i, _)| &file.camera[*i].camera.name);
        let others = (0..fields.len()).filter(|other| *other != index).map(|other| Zone {
            name: file.field[other].name.trim().to_owned(),
            outline: outline_at(&alone[other], at[other] - at[index]),
        });
        built.extend(venue.map(|venue| SiteField {
            name: file.field[index].name.trim().to_owned(),
            at: at[index],
            venue: Venue { beside: others.collect(), ..venue },
            served_by: served_by.map(|name| name.trim().to_owned()).collect(),
        }));
    }
    problems.is_empty().then(|| Site {
        title: file.title.trim().to_owned(),
        fields: built,
        order: timed.map(|timed| timed.order),
    })
}

/// All that stands on a sound site but what belongs to one field, by its index, in the local
/// frame of that field; `None` where the file is not sound.
pub fn beside_field(file: &SiteFile, files: MeshFiles, index: usize) -> Option<Beside> {
    let problems = &mut Problems::default();
    let frame = axes(file, problems)?;
    let mut fields: Sites = Vec::new();
    let mut parts = Vec::new();
    for (i, field) in file.field.iter().enumerate() {
        let at = origin(frame, field);
        let (venue, keys) = field_file(file, (i, frame, at), None, problems);
        let built = build_with(&venue, files, Around::Planned, Beside::default(), problems)?;
        parts.push((at, built.into()));
        fields.push((venue, keys));
    }
    let shared = shared_file(file, &fields)?;
    let ground = shared_ground(file, (&shared, frame), problems)?;
    parts.insert(0, (DVec3::ZERO, standing(&shared, files, &ground, problems)));
    problems.is_empty().then(|| beside(file, &parts, index))
}

/// The ground that shared things stand on.
fn shared_ground(
    file: &SiteFile,
    (shared, frame): (&VenueFile, FieldFrame),
    problems: &mut Problems,
) -> Option<BuiltField> {
    let mut ground = BuiltField::of_site(frame);
    let Some(relief) = &file.relief else { return Some(ground) };
    let of_field = [
        ("crown_mm", relief.crown_mm),
        ("fall_percent", relief.fall_percent),
        ("falls_toward_deg", relief.falls_toward_deg),
    ];
    for (key, _) in of_field.iter().filter(|(_, stated)| stated.is_some()) {
        let allowed = "heights and breaklines; crown and fall stand in the [field.relief] of one";
        problems.add(format!("relief.{key}"), "a key of a field of play", allowed);
    }
    ground.relief = super::relief::relief(shared, &ground, problems);
    ground.counts_from_ground = true;
    problems.is_empty().then_some(ground)
}

/// The centre of a field in the local frame of the site.
fn origin(frame: FieldFrame, field: &SiteFieldTable) -> DVec3 {
    let [along_m, across_m] = field.at;
    frame.to_local(FieldPoint { along_m, across_m, up_m: field.up_m })
}

/// Index of a field by its name; notes a name that is not there.
pub(super) fn field_of(
    file: &SiteFile,
    name: &str,
    key: String,
    problems: &mut Problems,
) -> Option<usize> {
    let found = file.field.iter().position(|field| field.name.trim() == name.trim());
    if found.is_none() {
        let known = || file.field.iter().map(|field| field.name.trim());
        let near = nearest(name, known());
        problems.add_with_help(
            key,
            format!("\"{}\"", name.trim()),
            format!("a field of this site: \"{}\"", known().collect::<Vec<_>>().join("\", \"")),
            near.map_or_else(String::new, |near| format!("did you mean \"{near}\"?")),
        );
    }
    found
}

fn names(file: &SiteFile, problems: &mut Problems) {
    if file.title.trim().is_empty() {
        problems.add("title", "an empty title", "a name for headings");
    }
    if file.field.is_empty() {
        problems.add("field", "no field", "at least one [[field]]");
    }
    let mut seen: Vec<&str> = Vec::new();
    for (i, field) in file.field.iter().enumerate() {
        let (key, name) = (format!("field[{i}].name"), field.name.trim());
        let first = seen.iter().position(|known| *known == name);
        if name.is_empty() {
            problems.add(key, "an empty name", "a name");
        } else if name.chars().count() > MAX_NAME || name.chars().any(char::is_control) {
            let allowed = format!("up to {MAX_NAME} characters on one line");
            problems.add(key, "a name that does not fit", allowed);
        } else if let Some(first) = first {
            let allowed = format!("a name that differs from field[{first}].name");
            problems.add(key, format!("\"{name}\" a second time"), allowed);
        }
        seen.push(name);
        let [along, across] = field.at;
        if along.hypot(across) > MAX_AWAY_M {
            problems.add(
                format!("field[{i}].at"),
                format!("[{along}, {across}]"),
                format!("a place within {MAX_AWAY_M} m of the origin of the site"),
            );
        }
    }
    for (i, camera) in file.camera.iter().enumerate() {
        for name in camera.serves.iter().flatten() {
            field_of(file, name, format!("camera[{i}].serves"), problems);
        }
        let serves = |name: &str| serves(camera, name);
        for (j, framing) in camera.framing.iter().enumerate() {
            let key = format!("camera[{i}].framing[{j}].field");
            let found = field_of(file, &framing.field, key.clone(), problems);
            let name = framing.field.trim();
            if found.is_some() && !serves(name) {
                problems.add(key, format!("\"{name}\""), "a field that the camera serves");
            } else if camera.framing[..j].iter().any(|f| f.field.trim() == name) {
                problems.add(key, format!("\"{name}\" a second time"), "each field once");
            }
        }
    }
}

fn axes(file: &SiteFile, problems: &mut Problems) -> Option<FieldFrame> {
    let axes = &file.site;
    let turned = match (axes.north, axes.declination_deg) {
        (North::True, _) => 0.0,
        (North::Magnetic, Some(declination)) => declination,
        (North::Magnetic, None) => {
            let found = "magnetic north without a declination";
            problems.add("site.north", found, "declination_deg beside it, east positive");
            return None;
        }
    };
    Some(FieldFrame::new(Azimuth::from_degrees(axes.bearing_deg + turned)))
}

/// The shared part as a venue file of which what stands is asked alone.
fn shared_file(file: &SiteFile, fields: &Sites) -> Option<VenueFile> {
    let (first, _) = fields.first()?;
    Some(VenueFile {
        title: file.title.clone(),
        zone: Vec::new(),
        hole: None,
        relief: file.relief.clone(),
        stand: Vec::new(),
        corner: Vec::new(),
        bowl: Vec::new(),
        grandstand: file.grandstand.clone(),
        solid: file.solid.clone(),
        tree: file.tree.clone(),
        panel: file.panel.clone(),
        mesh: file.mesh.clone(),
        moving: file.moving.clone(),
        moves: file.moves.clone(),
        gantry: Vec::new(),
        camera: Vec::new(),
        candidate: Vec::new(),
        operator: Vec::new(),
        moment: Vec::new(),
        surveyed: Vec::new(),
        ..first.clone()
    })
}

/// A field of play where its centre lies at a place.
fn outline_at(venue: &Venue, at: DVec3) -> Polygon<f64> {
    venue.field.outline.translate(at.x, at.y)
}

/// Notes fields of play that lie over each other.
fn apart(file: &SiteFile, (alone, at): (&[Venue], &[DVec3]), problems: &mut Problems) {
    let outline = |i: usize| outline_at(&alone[i], at[i]);
    for second in 1..alone.len() {
        for first in 0..second {
            let both = outline(first).intersection(&outline(second)).unsigned_area();
            if both > TOUCH_M2 {
                let name = file.field[first].name.trim();
                problems.add(
                    format!("field[{second}].at"),
                    format!("{both:.1} m2 of it on \"{name}\""),
                    "fields of play that do not overlap",
                );
            }
        }
    }
}

/// The parts of a site before they are put together: the shared one, then the fields.
struct Laid<'a> {
    file: &'a SiteFile,
    shared: &'a VenueFile,
    fields: &'a Sites,
    alone: &'a [Venue],
    parts: &'a [(DVec3, Beside)],
}

/// Notes what stands on a field that another part draws, and names that two parts have.
fn clear(laid: &Laid<'_>, problems: &mut Problems) {
    for (index, field) in laid.alone.iter().enumerate() {
        let name = laid.file.field[index].name.trim();
        for (part, (at, beside)) in laid.parts.iter().enumerate().filter(|(p, _)| *p != index + 1) {
            let by = *at - laid.parts[index + 1].0;
            let key = |occluder: &Occluder| {
                let tables = match part.checked_sub(1) {
                    None => days(laid.shared),
                    Some(other) => days(&laid.fields[other].0),
                };
                let table = tables.into_iter().find(|(_, named, _)| *named == occluder.name);
                let key = table.map_or_else(String::new, |(key, ..)| key);
                part.checked_sub(1).map_or(key.clone(), |other| laid.fields[other].1.in_site(&key))
            };
            for occluder in &beside.occluders {
                if part == 0 && field.occluders.iter().any(|own| own.name == occluder.name) {
                    let found = format!("\"{}\", which \"{name}\" has as well", occluder.name);
                    problems.add(format!("{}.name", key(occluder)), found, "another name");
                }
                let plain = |body: &&Body| {
                    body.part != Part::Crown && !matches!(body.shape, Shape::Mesh(_))
                };
                let moved = |body: &Body| body.moved(by, None);
                let bodies: Vec<Body> = occluder.bodies.iter().filter(plain).map(moved).collect();
                let taken = low_over_m2(&bodies, &field.field.outline);
                if taken > 0.0 {
                    let found = format!("{taken:.2} m2 of it on \"{name}\"");
                    problems.add(key(occluder), found, "a place outside of all fields of play");
                }
            }
        }
    }
}

/// All that stands on the site but a field's own things, in the local frame of that field;
/// things of other fields carry their names.
fn beside(file: &SiteFile, parts: &[(DVec3, Beside)], index: usize) -> Beside {
    let here = parts[index + 1].0;
    let others = parts.iter().enumerate().filter(|(part, _)| *part != index + 1);
    others.fold(Beside::default(), |all, (part, (at, beside))| {
        let mut beside = beside.clone();
        beside.shift(*at - here);
        if let Some(other) = part.checked_sub(1) {
            let named =
                |name: &mut String| *name = format!("{name} ({})", file.field[other].name.trim());
            beside.occluders.iter_mut().for_each(|o| named(&mut o.name));
            beside.changes.moving.iter_mut().for_each(|m| named(&mut m.name));
            beside.meshes.iter_mut().for_each(|m| named(&mut m.name));
        }
        all.and(beside)
    })
}

impl Beside {
    fn shift(&mut self, by: DVec3) {
        let own = self.occluders.iter_mut().map(|o| &mut o.bodies);
        let states = self.changes.moving.iter_mut().flat_map(|m| &mut m.states);
        let parts = states.flat_map(|s| &mut s.parts).map(|(_, bodies)| bodies);
        let dated = self.changes.dated.iter_mut().map(|d| &mut d.bodies);
        let growing = self.changes.growing.iter_mut().map(|g| &mut g.bodies);
        for bodies in own.chain(parts).chain(dated).chain(growing) {
            bodies.iter_mut().for_each(|body| *body = body.moved(by, None));
        }
    }
}
