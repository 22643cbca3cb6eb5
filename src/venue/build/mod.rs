//! From the file's tables to a checked [`Venue`].
//!
//! In: a [`VenueFile`] in field axes. Out: a [`Venue`] in the local frame, or the
//! list of everything found wrong, each with the path of its key. Single numbers
//! have been held to their limits by the reader; here it is about what numbers
//! mean together.

mod areas;
mod bowl;
mod camera;
mod candidate;
mod corner;
mod crew;
mod extras;
mod field;
mod grandstand;
mod hole;
mod lattice;
mod lens;
mod mesh;
mod moving;
mod production;
mod profile;
mod relief;
mod ring;
mod site;
mod site_field;
mod site_play;
mod stand;
mod surveyed;
mod things;

use std::collections::HashMap;
use std::str::FromStr;

use chrono_tz::Tz;

use super::file::{North, PlaceTable, VenueFile};
use super::mesh::MeshNote;
use super::model::{Place, Venue};
use super::occluder::Occluder;
use super::problem::Problems;
use super::standing::Changes;
use super::usual::unusual;
use candidate::CandidateInputs;
pub(crate) use extras::{DAY, day_of, time_of_day};
pub use field::Around;
use field::BuiltField;
pub use mesh::MeshFiles;
pub(super) use site::{beside_field, build_site};

/// Builds and checks a venue. `None` when `problems` has anything to say; `files` says
/// what becomes of meshes, which lie in files of their own.
pub fn build(file: &VenueFile, files: MeshFiles, problems: &mut Problems) -> Option<Venue> {
    build_with(file, files, Around::Planned, Beside::default(), problems)
}

/// What stands at a place, with all that changes of it, in one local frame.
#[derive(Debug, Clone, Default)]
pub struct Beside {
    occluders: Vec<Occluder>,
    changes: Changes,
    meshes: Vec<MeshNote>,
}

impl From<Venue> for Beside {
    fn from(Venue { occluders, changes, meshes, .. }: Venue) -> Self {
        Self { occluders, changes, meshes }
    }
}

impl Beside {
    /// Leaves bodies to those things alone that have one of these names.
    pub fn retain(&mut self, names: &[&str]) {
        let others = self.occluders.iter_mut().filter(|o| !names.contains(&o.name.as_str()));
        others.for_each(|occluder| occluder.bodies.clear());
    }

    /// Both together; indices of what is added count on.
    fn and(mut self, other: Self) -> Self {
        let first = self.occluders.len();
        let Changes { mut moving, mut dated, mut growing } = other.changes;
        let states = moving.iter_mut().flat_map(|moving| &mut moving.states);
        states.flat_map(|state| &mut state.parts).for_each(|(occluder, _)| *occluder += first);
        dated.iter_mut().for_each(|dated| dated.occluder += first);
        growing.iter_mut().for_each(|tree| tree.occluder += first);
        self.occluders.extend(other.occluders);
        self.changes.moving.append(&mut moving);
        self.changes.dated.append(&mut dated);
        self.changes.growing.append(&mut growing);
        self.meshes.extend(other.meshes);
        self
    }
}

/// The same, with or without the ground around the field of play and its zones, and with what
/// stands beside that no table of the file draws.
pub fn build_with(
    file: &VenueFile,
    files: MeshFiles,
    around: Around,
    beside: Beside,
    problems: &mut Problems,
) -> Option<Venue> {
    let place = place(&file.place, problems);
    let ground = field::ground(&file.field, around, problems);
    let Some(mut ground) = ground else {
        // nothing else can be placed without a field
        return None;
    };
    let zones = match around {
        Around::Planned => field::zones(&file.zone, &ground, problems),
        Around::Left => Vec::new(),
    };
    ground.relief = relief::relief(file, &ground, problems);
    ground.counts_from_ground = file.relief.is_some();
    let hole = hole::hole(file, &ground, &zones, problems);
    let own = standing(file, files, &ground, problems);
    let own_things = own.occluders.len();
    let Beside { occluders, changes, meshes } = own.and(beside);
    if around == Around::Planned {
        ground.field = areas::finish(
            ground.field,
            &ground.planned,
            &zones,
            (&occluders, ground.relief.as_deref()),
        );
    }
    let cameras = camera::cameras(file, &ground, &zones, &occluders, problems);
    relief::over_ground(&ground, &occluders[..own_things], &cameras, problems);
    let site = CandidateInputs {
        file,
        ground: &ground,
        zones: &zones,
        occluders: &occluders,
        cameras: &cameras,
    };
    let candidates = candidate::candidates(&site, problems);
    let horizon = extras::horizon(file, problems);
    let mut field = ground.field;
    if let (Some(declination), Some(horizon)) = (&mut field.declination, &file.horizon) {
        declination.used |= horizon.north == North::Magnetic;
    }
    let air = extras::air(file);
    let floodlights = extras::floodlights(file, problems);
    let fixture = extras::fixture(file, problems);
    let moments = extras::moments(file, problems);
    let operators = crew::operators(file, &cameras, problems);
    crew::check_shared(file, problems);
    let production = production::production(file.production.as_ref(), problems);
    let surveyed = surveyed::surveyed(file, problems);
    names_differ(file, problems);
    if file.title.trim().is_empty() {
        problems.add("title", "an empty title", "a name for headings");
    }
    problems.is_empty().then_some(())?;
    Some(moving::at_fixture(Venue {
        title: file.title.trim().to_owned(),
        place: place?,
        field,
        zones,
        hole,
        relief: ground.relief,
        beside: Vec::new(),
        occluders,
        changes,
        cameras,
        candidates,
        horizon,
        air,
        floodlights,
        fixture,
        moments,
        subject: file.subject.unwrap_or_default(),
        production,
        operators,
        surveyed,
        meshes,
        unusual: unusual(file),
    }))
}

fn place(table: &PlaceTable, problems: &mut Problems) -> Option<Place> {
    let zone = match Tz::from_str(&table.zone) {
        Ok(zone) => zone,
        Err(_) => {
            let known = chrono_tz::TZ_VARIANTS.iter().map(|z| z.name());
            problems.add_with_help(
                "place.zone",
                format!("\"{}\"", table.zone),
                "the name of an IANA time zone, such as \"Europe/London\"",
                nearest(&table.zone, known)
                    .map_or_else(String::new, |n| format!("did you mean \"{n}\"?")),
            );
            return None;
        }
    };
    // ISO 2533:1975, Standard Atmosphere, troposphere: pressure over height
    let standard = 1013.25 * (1.0 - 2.255_77e-5 * table.height_m).powf(5.255_88);
    Some(Place {
        latitude_deg: table.latitude_deg,
        longitude_deg: table.longitude_deg,
        height_m: table.height_m,
        zone,
        pressure_hpa: table.pressure_hpa.unwrap_or(standard),
        temperature_c: table.temperature_c,
    })
}

/// What the tables of a file draw.
fn standing(
    file: &VenueFile,
    files: MeshFiles,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Beside {
    let mut occluders = occluders(file, ground, problems);
    relief::lower_feet(ground, &mut occluders);
    let mut meshes = Vec::new();
    for (occluder, note) in mesh::meshes(&file.mesh, files, ground, problems) {
        occluders.push(occluder);
        meshes.push(note);
    }
    let changes = moving::changes(file, ground, &occluders, problems);
    Beside { occluders, changes, meshes }
}

fn occluders(file: &VenueFile, ground: &BuiltField, problems: &mut Problems) -> Vec<Occluder> {
    let stands = each("stand", &file.stand, |t, key| stand::stand(t, key, ground, problems));
    let corners =
        each("corner", &file.corner, |t, key| corner::corner(t, key, &stands, ground, problems));
    let mut all: Vec<Occluder> = stands.into_iter().map(|stand| stand.occluder).collect();
    all.extend(corners);
    all.extend(each("bowl", &file.bowl, |t, key| bowl::bowl(t, key, ground, problems)));
    let stand = |t: &_, key: &str| grandstand::grandstand(t, key, ground, problems);
    all.extend(each("grandstand", &file.grandstand, stand));
    all.extend(each("solid", &file.solid, |t, key| things::solid(t, key, ground, problems)));
    all.extend(each("tree", &file.tree, |t, key| things::tree(t, key, ground, problems)));
    all.extend(each("panel", &file.panel, |t, key| things::panel(t, key, ground, problems)));
    all
}

/// What each table of a kind becomes; `build` gets it with the path of its key.
fn each<T, B>(kind: &str, tables: &[T], mut build: impl FnMut(&T, &str) -> Option<B>) -> Vec<B> {
    let tables = tables.iter().enumerate();
    tables.filter_map(|(i, table)| build(table, &format!("{kind}[{i}]"))).collect()
}

/// Names must tell things apart.
fn names_differ(file: &VenueFile, problems: &mut Problems) {
    let keyed = |kind: &'static str, names: Vec<&str>| {
        let keys = names.into_iter().enumerate();
        keys.map(|(i, n)| (n.trim().to_owned(), format!("{kind}[{i}].name"))).collect::<Vec<_>>()
    };
    let occluders = [
        keyed("stand", file.stand.iter().map(|t| t.name.as_str()).collect()),
        keyed("bowl", file.bowl.iter().map(|t| t.name.as_str()).collect()),
        keyed("grandstand", file.grandstand.iter().map(|t| t.name.as_str()).collect()),
        keyed("solid", file.solid.iter().map(|t| t.name.as_str()).collect()),
        keyed("tree", file.tree.iter().map(|t| t.name.as_str()).collect()),
        keyed("panel", file.panel.iter().map(|t| t.name.as_str()).collect()),
        keyed("mesh", file.mesh.iter().map(|t| t.name.as_str()).collect()),
    ]
    .concat();
    let groups = [
        occluders,
        keyed("camera", file.camera.iter().map(|t| t.name.as_str()).collect()),
        keyed("zone", file.zone.iter().map(|t| t.name.as_str()).collect()),
        keyed("moving", file.moving.iter().map(|t| t.name.as_str()).collect()),
        keyed("operator", file.operator.iter().map(|t| t.name.as_str()).collect()),
        keyed("candidate", file.candidate.iter().map(|t| t.name.as_str()).collect()),
        keyed("gantry", file.gantry.iter().map(|t| t.name.as_str()).collect()),
    ];
    for group in groups {
        let mut seen: HashMap<String, String> = HashMap::new();
        for (name, key) in group {
            if name.is_empty() {
                problems.add(key, "an empty name", "a name");
            } else if let Some(first) = seen.get(&name) {
                problems.add(
                    key,
                    format!("\"{name}\" a second time"),
                    format!("a name that differs from {first}"),
                );
            } else {
                seen.insert(name, key);
            }
        }
    }
}

/// The word nearest to one that is not known, if any is near.
pub(crate) fn nearest<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let near = |k: &str| strsim::jaro_winkler(&word.to_lowercase(), &k.to_lowercase());
    known
        .map(|k| (near(k), k))
        .filter(|(score, _)| *score > 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}
