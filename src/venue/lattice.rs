//! Lattices: what passes straight on between bars, by the direction of the light.
//!
//! In: the share that is open square on, the section of a bar, the plane and the ways that
//! bars run in it (local frame). Out: the share that passes along a direction, 0 to 1.
//!
//! Own geometry. A ray crosses the plane along `s`; `m` is the unit vector in the plane square
//! to bars that run one way, `n` the plane's normal. Between the faces of the lattice the ray
//! moves `t = (s . m) / (s . n)` sideways for each metre through. On the plane, along the ray,
//! a bar of width `w` takes `w g`, where `g = 1 + d |t| / w` for a rectangle of depth `d` and
//! `g = sqrt(1 + t^2)` for a round one. Bars that leave the share `q` open square on leave
//! `max(0, 1 - (1 - q) g)` along the ray. A place's distances from bars of two ways are
//! coordinates that do not depend on each other, so over the area shares of the ways multiply;
//! of three ways and more that holds where their bars do not meet in the same nodes again and
//! again. Each of `k` ways closes the same share, `q = openness^(1/k)`.
//!
//! Bars that run all ways alike are the limit of many ways: `openness^mean(g)`, where the mean
//! over all ways of `|t|` is `2 tan(a) / pi` at the angle `a` from square on. The same follows
//! from lines thrown at random in the plane, of which a segment of length `v` widened by `w`
//! is met by `L (w + 2 v / pi)` on average, `L` their length in a unit of area (Poisson line
//! process: Chiu, Stoyan, Kendall and Mecke, Stochastic Geometry and its Applications, 3rd
//! ed., chapter 8; from memory).

use std::f64::consts::{FRAC_2_PI, PI};

use glam::DVec3;

use crate::base::units::Transmittance;

/// Ways that bars of one lattice may run.
pub const MAX_BAR_WAYS: usize = 4;
/// The mean over all ways is that over so many: over half a turn it converges faster than
/// any power of their number.
const MEAN_OVER: u32 = 32;
/// A ray in the plane, cosine to its normal.
const EDGE_ON: f64 = 1e-9;

/// Bars in a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lattice {
    /// Share that is open, seen square on, over 0 and under 1.
    pub openness: f64,
    pub section: BarSection,
    /// Unit vector.
    pub normal: DVec3,
    pub ways: BarWays,
}

/// The section of a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarSection {
    Round,
    Rectangle {
        /// Through the lattice, over the width that is seen square on.
        depth_over_width: f64,
    },
}

/// Which ways bars run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarWays {
    /// All ways in the plane alike.
    All,
    /// Unit vectors in the plane square to bars of each way; those up to the first that is
    /// `None` count.
    Across([Option<DVec3>; MAX_BAR_WAYS]),
}

impl Lattice {
    /// The share that passes straight on along a direction, unit vector, either way: the mean
    /// over an area of many openings.
    pub fn toward(&self, direction: DVec3) -> Transmittance {
        let facing = direction.dot(self.normal).abs();
        if facing < EDGE_ON {
            return Transmittance::OPAQUE;
        }
        Transmittance::from_share(match self.ways {
            BarWays::All => self.openness.powf(self.mean_over_ways(facing)),
            BarWays::Across(ways) => {
                let ways = || ways.iter().map_while(|way| *way);
                let closed = 1.0 - self.openness.powf(1.0 / ways().count().max(1) as f64);
                let open = |way: DVec3| 1.0 - closed * self.widens(direction.dot(way) / facing);
                ways().map(|way| open(way).max(0.0)).product()
            }
        })
    }

    /// How much wider than square on bars are for a ray that moves so far across them for
    /// each metre through.
    fn widens(&self, sideways: f64) -> f64 {
        match self.section {
            BarSection::Round => sideways.hypot(1.0),
            BarSection::Rectangle { depth_over_width } => 1.0 + depth_over_width * sideways.abs(),
        }
    }

    fn mean_over_ways(&self, facing: f64) -> f64 {
        let tangent = (1.0 - facing * facing).max(0.0).sqrt() / facing;
        match self.section {
            BarSection::Rectangle { .. } => self.widens(FRAC_2_PI * tangent),
            BarSection::Round => {
                let way = |i: u32| PI * f64::from(i) / f64::from(MEAN_OVER);
                let sum: f64 = (0..MEAN_OVER).map(|i| self.widens(tangent * way(i).cos())).sum();
                sum / f64::from(MEAN_OVER)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(angle_deg: f64) -> DVec3 {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        DVec3::new(sin, 0.0, cos)
    }

    fn lattice(section: BarSection, ways: BarWays) -> Lattice {
        Lattice { openness: 0.64, section, normal: DVec3::Z, ways }
    }

    /// By hand: slats of width 36 at a pitch of 100, 36 deep, and a light from 45 degrees.
    #[test]
    fn it_follows_the_direction() {
        let flat = BarSection::Rectangle { depth_over_width: 1.0 };
        let across = lattice(flat, BarWays::Across([Some(DVec3::X), None, None, None]));
        let along = lattice(flat, BarWays::Across([Some(DVec3::Y), None, None, None]));
        let both = lattice(flat, BarWays::Across([Some(DVec3::X), Some(DVec3::Y), None, None]));
        let share = |of: Lattice, angle_deg: f64| of.toward(at(angle_deg)).share();
        assert!((share(across, 45.0) - 0.28).abs() < 1e-12);
        assert!((share(along, 45.0) - 0.64).abs() < 1e-12);
        // each way closes a fifth: 0.6 across, 0.8 along
        assert!((share(both, 45.0) - 0.48).abs() < 1e-12);
        assert_eq!(share(across, 70.0), 0.0);
        for of in [across, along, both, lattice(flat, BarWays::All)] {
            assert!((share(of, 0.0) - 0.64).abs() < 1e-12);
            assert_eq!(of.toward(at(30.0)), of.toward(-at(30.0)));
            assert_eq!(share(of, 90.0), 0.0);
        }
    }

    /// Round bars all ways at 60 degrees: the complete elliptic integral of the second kind,
    /// E(m = 3/4) = 1.2110560 (Abramowitz and Stegun, table 17.1, from memory), makes the mean
    /// of sqrt(1 + 3 cos^2) 2 / pi * 2 * E = 1.5419644.
    #[test]
    fn round_bars_all_ways_follow_the_elliptic_integral() {
        let round = lattice(BarSection::Round, BarWays::All);
        let mean = round.toward(at(60.0)).share().ln() / 0.64_f64.ln();
        assert!((mean - 1.541_964_4).abs() < 1e-6, "{mean}");
    }
}
