//! The venue file of one field of a site.
//!
//! In: the tables of the field and those that it shares. Out: a [`VenueFile`] in the field's own
//! axes, in which cameras and gantries of the site are turned, and [`Keys`], which say where its
//! keys stand in the file of the site.

use std::collections::HashSet;

use glam::DVec3;

use crate::base::frame::{FieldFrame, FieldPoint};
use crate::venue::file::{
    CameraTable, FIELD_TABLES, FieldTable, GantryTable, North, OperatorTable, ReliefTable,
    SHARED_TABLES, SiteCameraTable, SiteFile, VenueFile,
};
use crate::venue::problem::Problems;

use super::field::true_bearing;
use super::site_play::Timed;

/// Where the keys of a field's venue file stand in the file of the site.
#[derive(Debug, Clone)]
pub(super) struct Keys {
    field: usize,
    own_gantries: usize,
    own_cameras: usize,
    /// Of each camera of the site that serves the field: its index, and that of its framing.
    pub cameras: Vec<(usize, Option<usize>)>,
    own_moments: bool,
    own_floodlights: bool,
    own_relief: bool,
}

impl Keys {
    /// A key of the venue file as the file of the site has it.
    pub fn in_site(&self, key: &str) -> String {
        let field = format!("field[{}]", self.field);
        let (table, rest) = match key.find(['.', '[']) {
            Some(end) => key.split_at(end),
            None => (key, ""),
        };
        let counted = rest.strip_prefix('[').and_then(|rest| rest.split_once(']'));
        let index = counted.and_then(|(index, rest)| Some((index.parse::<usize>().ok()?, rest)));
        match (table, index) {
            ("field", _) => field + rest,
            ("gantry", Some((index, rest))) if index >= self.own_gantries => {
                format!("gantry[{}]{rest}", index - self.own_gantries)
            }
            ("camera", Some((index, rest))) if index >= self.own_cameras => {
                let Some((camera, framing)) = self.cameras.get(index - self.own_cameras) else {
                    return "camera".to_owned();
                };
                match framing.filter(|_| rest.starts_with(".looks_at")) {
                    Some(framing) => format!("camera[{camera}].framing[{framing}]{rest}"),
                    None => format!("camera[{camera}]{rest}"),
                }
            }
            ("moment", _) if !self.own_moments => key.to_owned(),
            ("floodlights", _) if !self.own_floodlights => key.to_owned(),
            ("relief", _) if !self.own_relief => key.to_owned(),
            _ if FIELD_TABLES.contains(&table) || SHARED_TABLES.contains(&table) => {
                format!("{field}.{key}")
            }
            _ => key.to_owned(),
        }
    }

    /// Problems of the field's venue file as problems of the file.
    pub fn note(&self, found: Problems, problems: &mut Problems) {
        for mut problem in found.into_list() {
            problem.key = self.in_site(&problem.key);
            problems.push(problem);
        }
    }
}

/// Whether a camera of the site serves a field.
pub(super) fn serves(camera: &SiteCameraTable, field: &str) -> bool {
    camera.serves.as_ref().is_none_or(|all| all.iter().any(|name| name.trim() == field))
}

/// The field's own tables with what it shares, in the axes of the field.
pub(super) fn field_file(
    file: &SiteFile,
    (index, site, at): (usize, FieldFrame, DVec3),
    timed: Option<&Timed>,
    problems: &mut Problems,
) -> (VenueFile, Keys) {
    let table = file.field[index].clone();
    let name = table.name.trim().to_owned();
    let magnetic = |north: Option<North>| north == Some(North::Magnetic);
    let asks =
        magnetic(Some(table.field.north)) || magnetic(file.horizon.as_ref().map(|h| h.north));
    let stated = table.field.declination_deg;
    let declination_deg = stated.or(file.site.declination_deg.filter(|_| asks));
    let field = FieldTable { declination_deg, ..table.field };
    // without a bearing nothing is placed, which the field's own build says
    let own = true_bearing(&field, &mut Problems::default()).map(FieldFrame::new).unwrap_or(site);
    let is_on_relief = table.relief.is_some() || file.relief.is_some();
    let axes = Turned { site, field: own, at, is_on_relief };
    let mut keys = Keys {
        field: index,
        own_gantries: table.gantry.len(),
        own_cameras: table.camera.len(),
        cameras: Vec::new(),
        own_moments: !table.moment.is_empty(),
        own_floodlights: table.floodlights.is_some(),
        own_relief: table.relief.is_some(),
    };
    let (mut gantry, mut camera) = (table.gantry, table.camera);
    gantry.extend(file.gantry.iter().map(|gantry| axes.gantry(gantry)));
    for (i, served) in file.camera.iter().enumerate().filter(|(_, c)| serves(c, &name)) {
        let framing = served.framing.iter().position(|framing| framing.field.trim() == name);
        keys.cameras.push((i, framing));
        camera.push(axes.camera(served, framing));
    }
    let here: Vec<&str> = camera.iter().map(|camera| camera.name.trim()).collect();
    let operator = operators(file, &here);
    let own_names: HashSet<&str> =
        gantry.iter().take(keys.own_gantries).map(|g| &*g.name).collect();
    for (i, shared) in file.gantry.iter().enumerate() {
        if own_names.contains(&*shared.name) {
            let found = format!("\"{}\", which \"{name}\" has as well", shared.name.trim());
            problems.add(format!("gantry[{i}].name"), found, "another name");
        }
    }
    let (fixture, moment) = match timed.and_then(|timed| timed.of_field(index)) {
        Some((fixture, moments)) => (Some(fixture), moments),
        None if table.moment.is_empty() => (file.fixture.clone(), file.moment.clone()),
        None => (file.fixture.clone(), table.moment),
    };
    let venue = VenueFile {
        title: format!("{}, {name}", file.title.trim()),
        place: file.place.clone(),
        field,
        zone: table.zone,
        hole: table.hole,
        relief: table.relief.or_else(|| file.relief.as_ref().map(|relief| axes.relief(relief))),
        stand: table.stand,
        corner: table.corner,
        bowl: table.bowl,
        grandstand: table.grandstand,
        solid: table.solid,
        tree: table.tree,
        panel: table.panel,
        mesh: table.mesh,
        moving: table.moving,
        moves: table.moves,
        gantry,
        camera,
        candidate: table.candidate,
        exposure: file.exposure.clone(),
        subject: file.subject,
        production: file.production.clone(),
        operator,
        horizon: file.horizon.clone(),
        air: file.air.clone(),
        floodlights: table.floodlights.or_else(|| file.floodlights.clone()),
        fixture,
        moment,
        surveyed: table.surveyed,
    };
    (venue, keys)
}

/// Operators with those of their cameras that a field has; names that no field has stay, to be
/// reported.
fn operators(file: &SiteFile, here: &[&str]) -> Vec<OperatorTable> {
    let own = file.field.iter().flat_map(|field| &field.camera).map(|camera| &camera.name);
    let shared = file.camera.iter().map(|camera| &camera.camera.name);
    let known: HashSet<&str> = own.chain(shared).map(|name| name.trim()).collect();
    let kept = |name: &String| here.contains(&name.trim()) || !known.contains(name.trim());
    let operator = |table: &OperatorTable| {
        let cameras = table.cameras.iter().filter(|name| kept(name)).cloned();
        OperatorTable { cameras: cameras.collect(), ..table.clone() }
    };
    file.operator.iter().map(operator).collect()
}

/// From the axes of the site to those of a field.
struct Turned {
    site: FieldFrame,
    field: FieldFrame,
    at: DVec3,
    is_on_relief: bool,
}

impl Turned {
    fn point(&self, [along_m, across_m, up_m]: [f64; 3]) -> [f64; 3] {
        let local = self.site.to_local(FieldPoint { along_m, across_m, up_m }) - self.at;
        let own = self.field.to_field(local);
        [own.along_m, own.across_m, own.up_m]
    }

    fn relief(&self, table: &ReliefTable) -> ReliefTable {
        let points = |all: &Vec<[f64; 3]>| all.iter().map(|p| self.point(*p)).collect();
        ReliefTable {
            heights: points(&table.heights),
            breaklines: table.breaklines.iter().map(points).collect(),
            ..ReliefTable::default()
        }
    }

    fn gantry(&self, table: &GantryTable) -> GantryTable {
        let GantryTable { name, from, to } = table.clone();
        GantryTable { name, from: self.point(from), to: self.point(to) }
    }

    fn camera(&self, served: &SiteCameraTable, framing: Option<usize>) -> CameraTable {
        let mut table = served.camera.clone();
        table.at = table.at.map(|at| {
            let [along, across, up] = self.point(at);
            // over the ground at the place, or over the plane of the site
            [along, across, if self.is_on_relief { at[2] } else { up }]
        });
        let flat = |[along, across]: [f64; 2]| {
            let [along, across, _] = self.point([along, across, self.at.z]);
            [along, across]
        };
        table.aim = table.aim.into_iter().map(flat).collect();
        let Some(framing) = framing.and_then(|i| served.framing.get(i)) else { return table };
        if !(framing.looks_at.is_empty() && framing.aim.is_empty()) {
            (table.looks_at, table.aim) = (framing.looks_at.clone(), framing.aim.clone());
        }
        if framing.horizontal_fov_deg.is_some() || framing.focal_length_mm.is_some() {
            table.horizontal_fov_deg = framing.horizontal_fov_deg;
            table.focal_length_mm = framing.focal_length_mm;
        }
        table
    }
}
