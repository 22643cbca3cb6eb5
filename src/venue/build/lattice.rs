//! Lattices: bars in the plane of a sheet.

use glam::DVec3;

use crate::base::frame::area_vector;
use crate::venue::file::LatticeTable;
use crate::venue::lattice::{BarSection, BarWays, Lattice, MAX_BAR_WAYS};
use crate::venue::occluder::{Body, Passes, Shape};
use crate::venue::problem::Problems;

use super::profile::Passing;

/// Directions are rounded to this, so that panels of one plane have one lattice.
const SAME: f64 = 1e-9;
/// Bars that run the same way to so many degrees run one way.
const SAME_WAY_DEG: f64 = 0.5;

/// What a sheet lets through, as the keys of its table say.
#[derive(Debug, Clone, Copy)]
pub(super) struct SheetKeys<'a> {
    pub transmittance: f64,
    pub scattered_share: Option<f64>,
    pub lattice: Option<&'a LatticeTable>,
}

impl SheetKeys<'_> {
    /// Notes what the keys say against each other; whether they are sound.
    pub fn check(&self, key: &str, problems: &mut Problems) -> bool {
        let Some(table) = self.lattice else { return true };
        let before = problems.len();
        let beside = [
            ("transmittance", (self.transmittance > 0.0).then_some(self.transmittance)),
            ("scattered_share", self.scattered_share.filter(|share| *share > 0.0)),
        ];
        for (field, stated) in beside {
            if let Some(stated) = stated {
                problems.add(
                    format!("{key}.{field}"),
                    format!("{stated} beside a lattice"),
                    "a lattice alone, whose openness and bars say what passes, or none",
                );
            }
        }
        for (i, way) in table.bars_deg.iter().flatten().enumerate() {
            let key = format!("{key}.lattice.bars_deg[{i}]");
            if !(-180.0..=180.0).contains(way) {
                problems.add(key, format!("{way} degrees"), "-180 to 180 degrees");
            } else if table.bars_deg.iter().flatten().take(i).any(|other| same_way(*way, *other)) {
                problems.add(key, format!("{way} degrees, the same way twice"), "each way once");
            }
        }
        if let Some(ways) = table.bars_deg.as_ref().map(Vec::len)
            && !(1..=MAX_BAR_WAYS).contains(&ways)
        {
            problems.add(
                format!("{key}.lattice.bars_deg"),
                format!("{ways} ways"),
                format!("1 to {MAX_BAR_WAYS} ways; left out, bars run all ways alike"),
            );
        }
        problems.len() == before
    }

    /// What passes without a lattice; `scatters` where the table does not say how much of it
    /// is scattered.
    pub fn passing(&self, scatters: f64) -> Passing {
        Passing::new(self.transmittance, self.scattered_share.unwrap_or(scatters))
    }

    /// Makes sheets a lattice, if they are one. `first` is the way from which their bars are
    /// counted, toward `next`. Of light that falls on it a lattice throws back what falls on
    /// bars.
    pub fn put_on(&self, bodies: &mut [Body], first: DVec3, next: DVec3) {
        let Some(table) = self.lattice else { return };
        for body in bodies {
            let Shape::Sheet { corners } = &body.shape else { continue };
            let normal = area_vector(corners.iter().copied()).normalize_or_zero();
            let in_plane = |way: DVec3, beside: DVec3| {
                (way - normal * way.dot(normal) - beside * way.dot(beside)).normalize_or_zero()
            };
            let first = in_plane(first, DVec3::ZERO);
            let next = in_plane(next, first);
            let across = |deg: &f64| {
                let (sin, cos) = deg.to_radians().sin_cos();
                tidy(next * cos - first * sin)
            };
            let ways = table.bars_deg.as_ref().map_or(BarWays::All, |stated| {
                let mut ways = [None; MAX_BAR_WAYS];
                ways.iter_mut().zip(stated).for_each(|(way, deg)| *way = Some(across(deg)));
                BarWays::Across(ways)
            });
            let depth = table.bar_depth_m.map(|depth_m| depth_m / table.bar_width_m);
            let section = depth.map_or(BarSection::Round, |depth_over_width| {
                BarSection::Rectangle { depth_over_width }
            });
            let openness = table.openness;
            body.passes =
                Passes::Lattice(Lattice { openness, section, normal: tidy(normal), ways });
            body.reflectance *= 1.0 - openness;
        }
    }
}

/// A direction rounded, and of the two along its line always the same one.
fn tidy(way: DVec3) -> DVec3 {
    let way = (way / SAME).round() * SAME;
    let first = way.to_array().into_iter().find(|c| *c != 0.0).unwrap_or(0.0);
    (way * first.signum()).normalize_or_zero() + 0.0
}

fn same_way(a: f64, b: f64) -> bool {
    let apart = (a - b).rem_euclid(180.0);
    apart.min(180.0 - apart) < SAME_WAY_DEG
}
