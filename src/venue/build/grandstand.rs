//! Grandstands: layers of any profile along a cranked or curved line in plan.
//!
//! A profile is drawn along the line bay by bay, mitred where bays meet, so that `out` is
//! square to each bay and neighbours share their corners to the last bit. An opening cuts the
//! line and the profile at its limits, and what lies in it is left out.

use geo::{BooleanOps, Euclidean, Length, MultiLineString};
use glam::DVec3;

use crate::base::frame::FieldPoint;
use crate::venue::file::{EndAt, EndTable, GrandstandTable, LayerPart, LayerTable, OpeningTable};
use crate::venue::occluder::{Body, Occluder, OccluderKind, Part};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

use super::field::BuiltField;
use super::lattice::SheetKeys;
use super::profile::{ROOF_SCATTERS, check_sheet, sheets};
use super::ring::line;

/// What is lower stands on the ground, metres: as of solids.
const CLEAR_M: f64 = 2.5;
/// A line may cross the field of play by so much, metres: rounding.
const TOUCH_M: f64 = 1e-3;
/// Bays that turn back by more than this have no mitre, cosine of the turn.
const SHARPEST: f64 = -0.9;

/// A place on the line: where it is, outward for a metre of depth, how far along.
#[derive(Clone, Copy)]
struct Station {
    at: Point,
    outward: Point,
    along_m: f64,
}

pub(super) fn grandstand(
    table: &GrandstandTable,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let before = problems.len();
    let stations = stations(&points(table, key, problems)?, key, problems)?;
    if table.layer.is_empty() {
        problems.add(format!("{key}.layer"), "no layer", "at least one [[grandstand.layer]]");
    }
    let builder = Builder { ground, stations: &stations, filled: table.filled };
    let mut bodies = Vec::new();
    for (i, layer) in table.layer.iter().enumerate() {
        bodies.extend(builder.layer(layer, &format!("{key}.layer[{i}]"), problems));
    }
    for (i, end) in table.end.iter().enumerate() {
        bodies.extend(builder.end(end, &format!("{key}.end[{i}]"), problems));
    }
    let name = table.name.trim().to_owned();
    let kind = OccluderKind::Grandstand;
    (problems.len() == before).then_some(Occluder { name, kind, bodies })
}

/// Corners of the line.
fn points(table: &GrandstandTable, key: &str, problems: &mut Problems) -> Option<Vec<Point>> {
    let points = match (&table.line, &table.arc) {
        (Some(line), None) => {
            let mut line = line.clone();
            line.dedup();
            line
        }
        (None, Some(arc)) => {
            let turn = arc.to_deg - arc.from_deg;
            if turn <= 0.0 || turn >= 360.0 {
                problems.add(
                    format!("{key}.arc.to_deg"),
                    format!("{} degrees with from_deg = {}", arc.to_deg, arc.from_deg),
                    "more than from_deg, less than a full turn further",
                );
                return None;
            }
            let point = |bay: u32| {
                let share = f64::from(bay) / f64::from(arc.bays);
                let (sin, cos) = (arc.from_deg + share * turn).to_radians().sin_cos();
                [arc.centre[0] + arc.radius_m * cos, arc.centre[1] + arc.radius_m * sin]
            };
            (0..=arc.bays).map(point).collect()
        }
        _ => {
            let found = "a grandstand without one clear line";
            problems.add(
                format!("{key}.line"),
                found,
                "either line = [[along, across], ...] or arc",
            );
            return None;
        }
    };
    if points.len() < 2 {
        let found = format!("{} different points", points.len());
        problems.add(format!("{key}.line"), found, "at least 2 points");
        return None;
    }
    Some(points)
}

/// The corners with their ways outward, away from the centre of play.
fn stations(points: &[Point], key: &str, problems: &mut Problems) -> Option<Vec<Station>> {
    let bays: Vec<(Point, f64, Point)> = points
        .windows(2)
        .map(|pair| {
            let (x, y) = (pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
            let length = x.hypot(y);
            let middle = [0.5 * (pair[0][0] + pair[1][0]), 0.5 * (pair[0][1] + pair[1][1])];
            ([y / length, -x / length], length, middle)
        })
        .collect();
    let away: f64 = bays.iter().map(|(n, length, m)| length * (n[0] * m[0] + n[1] * m[1])).sum();
    if away.abs() < 1e-6 {
        problems.add(
            format!("{key}.line"),
            "a line that runs through the centre of play",
            "a line that has the centre of play on one side",
        );
        return None;
    }
    let sign = away.signum();
    let mut along_m = 0.0;
    let mut stations = Vec::with_capacity(points.len());
    for (i, at) in points.iter().enumerate() {
        let normal = |bay: usize| bays.get(bay).map(|(n, ..)| [sign * n[0], sign * n[1]]);
        let after = normal(i);
        let before = if i > 0 { normal(i - 1) } else { after };
        let (Some(a), Some(b)) = (before.or(after), after.or(before)) else { continue };
        let cosine = a[0] * b[0] + a[1] * b[1];
        if cosine < SHARPEST {
            problems.add(
                format!("{key}.line[{i}]"),
                "a line that turns back on itself",
                "bays that turn by less than 150 degrees",
            );
            return None;
        }
        let outward = [(a[0] + b[0]) / (1.0 + cosine), (a[1] + b[1]) / (1.0 + cosine)];
        stations.push(Station { at: *at, outward, along_m });
        along_m += bays.get(i).map_or(0.0, |(_, length, _)| *length);
    }
    Some(stations)
}

struct Builder<'a> {
    ground: &'a BuiltField,
    stations: &'a [Station],
    filled: f64,
}

impl Builder<'_> {
    fn layer(&self, table: &LayerTable, key: &str, problems: &mut Problems) -> Vec<Body> {
        let mut profile = table.profile.clone();
        profile.dedup();
        if profile.len() < 2 {
            let found = format!("{} different points", profile.len());
            problems.add(format!("{key}.profile"), found, "at least 2 points, [out, up]");
            return Vec::new();
        }
        if !self.over_ground(&profile, key, problems) || !self.off_field(&profile, key, problems) {
            return Vec::new();
        }
        for (k, opening) in table.opening.iter().enumerate() {
            self.check_opening(opening, &format!("{key}.opening[{k}]"), problems);
        }
        let (part, usual, scatters) = match table.part {
            LayerPart::Deck => (Part::Deck, 0.2, 0.0),
            LayerPart::Front | LayerPart::Wall => (Part::BackWall, 0.3, 0.0),
            LayerPart::Roof => (Part::Roof, 0.4, ROOF_SCATTERS),
        };
        let sheet = SheetKeys {
            transmittance: table.transmittance,
            scattered_share: table.scattered_share,
            lattice: table.lattice.as_ref(),
        };
        sheet.check(key, problems);
        let stated = [table.reflectance, table.full_reflectance];
        let keys = ["reflectance", "full_reflectance"];
        for (stated, field) in stated.into_iter().zip(keys) {
            check_sheet(stated, table.transmittance, format!("{key}.{field}"), problems);
        }
        let most = 1.0 - table.transmittance;
        let empty = table.reflectance.unwrap_or(usual).min(most);
        let full = table.full_reflectance.unwrap_or(empty).min(most);
        let filled = if table.part == LayerPart::Deck { self.filled } else { 0.0 };
        let reflectance = empty + (full - empty) * filled;
        let passing = sheet.passing(scatters);
        let (stations, profile) = self.cut(&profile, &table.opening);
        let mut bodies = Vec::new();
        for bay in stations.windows(2) {
            let along_m = 0.5 * (bay[0].along_m + bay[1].along_m);
            for pair in profile.windows(2) {
                let out_m = 0.5 * (pair[0][0] + pair[1][0]);
                if table.opening.iter().any(|opening| is_open(opening, along_m, out_m)) {
                    continue;
                }
                let corners = vec![
                    self.place(&bay[0], pair[0]),
                    self.place(&bay[0], pair[1]),
                    self.place(&bay[1], pair[1]),
                    self.place(&bay[1], pair[0]),
                ];
                let (first, next) = (corners[3] - corners[0], corners[1] - corners[0]);
                let mut bay = sheets(part, corners, passing, reflectance);
                sheet.put_on(&mut bay, first, next);
                bodies.extend(bay);
            }
        }
        bodies
    }

    fn end(&self, table: &EndTable, key: &str, problems: &mut Problems) -> Vec<Body> {
        let mut profile = table.profile.clone();
        profile.dedup();
        if profile.len() < 3 {
            let found = format!("{} different points", profile.len());
            problems.add(format!("{key}.profile"), found, "at least 3 points, [out, up]");
            return Vec::new();
        }
        let sheet = SheetKeys {
            transmittance: table.transmittance,
            scattered_share: table.scattered_share,
            lattice: table.lattice.as_ref(),
        };
        let stated = format!("{key}.reflectance");
        if !sheet.check(key, problems)
            || !check_sheet(table.reflectance, table.transmittance, stated, problems)
            || !self.over_ground(&profile, key, problems)
            || !self.off_field(&profile, key, problems)
        {
            return Vec::new();
        }
        let reflectance = table.reflectance.unwrap_or(0.3).min(1.0 - table.transmittance);
        let passing = sheet.passing(0.0);
        let last = self.stations.len() - 1;
        let is_walled = |i: usize| match table.at {
            EndAt::First => i == 0,
            EndAt::Last => i == last,
            EndAt::Both => i == 0 || i == last,
            EndAt::Each => true,
        };
        let wall = |station: &Station| {
            let corners = profile.iter().map(|p| self.place(station, *p)).collect();
            let mut wall = sheets(Part::EndWall, corners, passing, reflectance);
            let level = self.place(station, [1.0, 0.0]) - self.place(station, [0.0, 0.0]);
            sheet.put_on(&mut wall, level, DVec3::Z);
            wall
        };
        let walled = self.stations.iter().enumerate().filter(|(i, _)| is_walled(*i));
        walled.flat_map(|(_, station)| wall(station)).collect()
    }

    fn place(&self, station: &Station, [out, up_m]: [f64; 2]) -> DVec3 {
        self.ground.frame.to_local(FieldPoint {
            along_m: station.at[0] + out * station.outward[0],
            across_m: station.at[1] + out * station.outward[1],
            up_m,
        })
    }

    /// Line and profile with corners of their own at the limits of openings.
    fn cut(
        &self,
        profile: &[[f64; 2]],
        openings: &[OpeningTable],
    ) -> (Vec<Station>, Vec<[f64; 2]>) {
        let mut stations = self.stations.to_vec();
        for limit in openings.iter().flat_map(|opening| opening.along_m) {
            let after = stations.partition_point(|station| station.along_m < limit - TOUCH_M);
            let (Some(a), Some(b)) =
                (after.checked_sub(1).map(|i| stations[i]), stations.get(after))
            else {
                continue;
            };
            if b.along_m - limit > TOUCH_M {
                let share = (limit - a.along_m) / (b.along_m - a.along_m);
                let between = |p: Point, q: Point| [0, 1].map(|i| p[i] + (q[i] - p[i]) * share);
                let (at, outward) = (between(a.at, b.at), between(a.outward, b.outward));
                stations.insert(after, Station { at, outward, along_m: limit });
            }
        }
        let mut cut = vec![profile[0]];
        for pair in profile.windows(2) {
            let inside = |limit: &f64| {
                let (low, high) = (pair[0][0].min(pair[1][0]), pair[0][0].max(pair[1][0]));
                low + TOUCH_M < *limit && *limit < high - TOUCH_M
            };
            let limits = openings.iter().filter_map(|opening| opening.out_m).flatten();
            let mut limits: Vec<f64> = limits.filter(inside).collect();
            limits.sort_by(f64::total_cmp);
            limits.dedup();
            if pair[1][0] < pair[0][0] {
                limits.reverse();
            }
            cut.extend(limits.into_iter().map(|out| {
                let share = (out - pair[0][0]) / (pair[1][0] - pair[0][0]);
                [out, pair[0][1] + (pair[1][1] - pair[0][1]) * share]
            }));
            cut.push(pair[1]);
        }
        (stations, cut)
    }

    fn check_opening(&self, opening: &OpeningTable, key: &str, problems: &mut Problems) {
        let length_m = self.stations.last().map_or(0.0, |last| last.along_m);
        let [from, to] = opening.along_m;
        if !(0.0 <= from && from < to && to <= length_m + TOUCH_M) {
            problems.add(
                format!("{key}.along_m"),
                format!("[{from}, {to}]"),
                format!("from and to between 0 and the length of the line, {length_m:.2} m"),
            );
        }
        if let Some([from, to]) = opening.out_m.filter(|[from, to]| from >= to) {
            problems.add(
                format!("{key}.out_m"),
                format!("[{from}, {to}]"),
                "from, and more than that",
            );
        }
    }

    fn over_ground(&self, profile: &[[f64; 2]], key: &str, problems: &mut Problems) -> bool {
        let under = profile.iter().position(|[_, up]| *up < 0.0 || *up > 300.0);
        if let Some(i) = under {
            let found = format!("a point {} m up", profile[i][1]);
            problems.add(format!("{key}.profile[{i}]"), found, "0 to 300 m over the field");
        }
        under.is_none()
    }

    /// Notes a profile that, low over the ground, would cross the field of play.
    fn off_field(&self, profile: &[[f64; 2]], key: &str, problems: &mut Problems) -> bool {
        let outline = &self.ground.field.outline;
        for (i, [out, up]) in profile.iter().enumerate() {
            let row: Vec<Point> = self
                .stations
                .iter()
                .map(|s| [s.at[0] + out * s.outward[0], s.at[1] + out * s.outward[1]])
                .collect();
            let row = MultiLineString(vec![line(self.ground.frame, &row)]);
            let inside = Euclidean.length(&outline.clip(&row, false));
            if *up < CLEAR_M && inside > TOUCH_M {
                problems.add(
                    format!("{key}.profile[{i}]"),
                    format!("a row {up} m up of which {inside:.1} m cross the field of play"),
                    format!("a place outside the field of play, or {CLEAR_M} m up and more"),
                );
                return false;
            }
        }
        true
    }
}

fn is_open(opening: &OpeningTable, along_m: f64, out_m: f64) -> bool {
    let within = |[from, to]: [f64; 2], at: f64| from <= at && at <= to;
    within(opening.along_m, along_m) && opening.out_m.is_none_or(|out| within(out, out_m))
}
