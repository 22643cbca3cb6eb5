//! A cloud's edge passes over the ground.
//!
//! In: height and speed of the cloud, the sun's elevation, how soft the cloud's own edge is,
//! how many stops the light changes. Out: a [`Passage`]: how long it takes and how fast the
//! light changes, stops a second.
//!
//! The sun is a disc: an edge at a distance `d` throws a penumbra of `0.0093 d` across the
//! beam. The cloud's own edge is no knife either: light comes through it for some tens of
//! metres. Direct light goes down by both, one folded with the other.

use crate::solar::SUN_DIAMETER_DEG;

/// How far in the light still comes through the edge of a cloud, m: usual, and the sharpest
/// (common practice in models of cumulus, no source).
pub const EDGE_M: f64 = 75.0;
pub const SHARP_EDGE_M: f64 = 20.0;
/// Steps that a passage is followed in.
const STEPS: usize = 400;
/// Places across the cloud's edge.
const EDGE_STEPS: usize = 24;
/// Lower suns are taken as this high: the way to the cloud grows without end, degrees.
const MIN_SUN_DEG: f64 = 3.0;

/// What passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CloudCourse {
    /// Of the cloud's base above the ground, m.
    pub base_m: f64,
    pub elevation_deg: f64,
    /// Of the shadow over the ground, m/s: that of the cloud.
    pub speed_m_s: f64,
    /// Of the cloud's own edge, m.
    pub edge_m: f64,
    /// From full sun down to the light under the cloud.
    pub swing_stops: f64,
}

/// An edge that passes, from full sun to shade. Back to sun it is the same in reverse.
#[derive(Debug, Clone, PartialEq)]
pub struct Passage {
    /// Of the sun's disc, across the beam, m.
    pub penumbra_m: f64,
    /// From a twentieth of the swing to the last twentieth, s.
    pub seconds: f64,
    /// Over these, and where it is fastest: near the dark end, since stops count factors.
    pub mean_stops_per_s: f64,
    pub peak_stops_per_s: f64,
    /// Between the values of `need`, s.
    pub step_s: f64,
    /// Light under full sun, stops, 0 down to minus the swing.
    pub need: Vec<f64>,
}

impl Passage {
    /// Follows an edge.
    pub fn new(course: &CloudCourse) -> Self {
        let CloudCourse { base_m, elevation_deg, speed_m_s, edge_m, swing_stops } = *course;
        let away_m = base_m / elevation_deg.max(MIN_SUN_DEG).to_radians().sin();
        let penumbra_m = away_m * SUN_DIAMETER_DEG.to_radians();
        let all_m = penumbra_m + edge_m;
        let step_m = all_m / STEPS as f64;
        let sun_over_cloud = swing_stops.max(0.0).exp2();
        let need: Vec<f64> = (0..=STEPS)
            .map(|step| {
                let at_m = all_m * 0.5 - step_m * step as f64;
                let direct = direct_share(at_m, penumbra_m, edge_m);
                ((1.0 + (sun_over_cloud - 1.0) * direct) / sun_over_cloud).log2()
            })
            .collect();
        let step_s = step_m / speed_m_s.max(0.1);
        let within = |share: f64| need.partition_point(|n| *n > -share * swing_stops);
        let seconds = (within(0.95) - within(0.05)) as f64 * step_s;
        let peak = need.windows(2).map(|w| (w[0] - w[1]) / step_s).fold(0.0, f64::max);
        Self {
            penumbra_m,
            seconds,
            mean_stops_per_s: if seconds > 0.0 { 0.9 * swing_stops / seconds } else { peak },
            peak_stops_per_s: peak,
            step_s,
            need,
        }
    }
}

/// Share of the direct light at a distance from the middle of the edge, m; positive into the
/// sun.
fn direct_share(at_m: f64, penumbra_m: f64, edge_m: f64) -> f64 {
    let each = (0..EDGE_STEPS).map(|step| {
        let within = (step as f64 + 0.5) / EDGE_STEPS as f64 - 0.5;
        disc_share(2.0 * (at_m - within * edge_m) / penumbra_m)
    });
    each.sum::<f64>() / EDGE_STEPS as f64
}

/// Area of an even disc on one side of a line, its radius 1, the line `at` from the middle.
fn disc_share(at: f64) -> f64 {
    let z = at.clamp(-1.0, 1.0);
    0.5 + (z * (1.0 - z * z).sqrt() + z.asin()) / std::f64::consts::PI
}

#[cfg(test)]
mod tests {
    use super::*;

    const COURSE: CloudCourse = CloudCourse {
        base_m: 1500.0,
        elevation_deg: 30.0,
        speed_m_s: 10.0,
        edge_m: 0.001,
        swing_stops: 3.0,
    };

    /// A knife's edge: 3000 m away, so 27.9 m of penumbra, 2.8 s at 10 m/s.
    #[test]
    fn a_sharp_edge_takes_the_suns_disc_to_pass() {
        let passage = Passage::new(&COURSE);
        assert!((passage.penumbra_m - 3000.0 * 0.533_f64.to_radians()).abs() < 1e-9);
        let whole_s = passage.step_s * (passage.need.len() - 1) as f64;
        assert!((whole_s - 2.79).abs() < 0.01, "{whole_s}");
        assert!(passage.seconds < whole_s);
        // half of the disc: 1 + 7 / 2 of 8 is 0.83 stop down
        let half = passage.need[passage.need.len() / 2];
        assert!((half - (4.5_f64 / 8.0).log2()).abs() < 0.01, "{half}");
    }

    #[test]
    fn the_light_falls_by_the_whole_swing_and_never_rises() {
        let passage = Passage::new(&CloudCourse { edge_m: 60.0, ..COURSE });
        assert!(passage.need[0].abs() < 1e-9);
        assert!((passage.need.last().unwrap() + 3.0).abs() < 1e-9);
        assert!(passage.need.windows(2).all(|w| w[1] <= w[0] + 1e-12));
        assert!(passage.peak_stops_per_s > passage.mean_stops_per_s);
    }

    #[test]
    fn faster_clouds_and_lower_bases_change_the_light_faster() {
        let rate = |course: CloudCourse| Passage::new(&course).peak_stops_per_s;
        assert!(rate(CloudCourse { speed_m_s: 20.0, ..COURSE }) > 1.9 * rate(COURSE));
        assert!(rate(CloudCourse { base_m: 750.0, ..COURSE }) > 1.9 * rate(COURSE));
        assert!(rate(CloudCourse { edge_m: 100.0, ..COURSE }) < 0.5 * rate(COURSE));
    }
}
