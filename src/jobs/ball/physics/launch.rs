//! How balls are struck.
//!
//! In: speed (m/s), angle (degrees), spin (revolutions a minute), the way it goes. Out: a
//! [`Launch`]; named strokes with the source of their numbers.

use glam::DVec3;

use super::flight::Launch;
use super::kind::BallKind;

/// Metres a second in a mile an hour.
const MPH: f64 = 0.447_04;

/// A strike, without its direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    pub speed_m_per_s: f64,
    /// Over the horizontal.
    pub angle_deg: f64,
    /// Positive lifts the ball; negative is top spin.
    pub back_spin_rpm: f64,
    /// Positive makes it curve to the right.
    pub side_spin_rpm: f64,
}

/// A stroke with a name and where its numbers come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NamedStroke {
    pub kind: BallKind,
    pub name: &'static str,
    pub stroke: Stroke,
    pub source: &'static str,
}

impl Stroke {
    /// The launch from a place toward a horizontal direction (unit vector).
    pub fn launch(&self, at: DVec3, toward: DVec3) -> Launch {
        let (sin, cos) = self.angle_deg.to_radians().sin_cos();
        let right = toward.cross(DVec3::Z);
        let rad_per_s = std::f64::consts::TAU / 60.0;
        // lift is along spin x velocity. Back spin is along `right`: right x Z is -toward, so
        // the top of the ball runs back, and right x toward is Z, so it lifts. A spin
        // clockwise from above is along -Z, and -Z x toward is right
        let spin =
            right * (self.back_spin_rpm * rad_per_s) - DVec3::Z * (self.side_spin_rpm * rad_per_s);
        Launch { at, velocity: (toward * cos + DVec3::Z * sin) * self.speed_m_per_s, spin }
    }
}

// both: printed table "PGA & LPGA Tour averages", 2010, from memory
const MEN: &str = "means of professional men by radar, a table printed in 2010, from memory";
const WOMEN: &str = "means of professional women by radar, a table printed in 2010, from memory";
const HOLMES: &str = "14 professional kickers (Holmes and others 2006, in Linthorne and Stokes, \
                      Journal of Sports Science and Medicine 13, 2014); spin common practice";
const PRACTICE: &str = "common practice, no source";

const fn golf(
    name: &'static str,
    mph: f64,
    angle: f64,
    rpm: f64,
    source: &'static str,
) -> NamedStroke {
    let stroke = Stroke {
        speed_m_per_s: mph * MPH,
        angle_deg: angle,
        back_spin_rpm: rpm,
        side_spin_rpm: 0.0,
    };
    NamedStroke { kind: BallKind::Golf, name, stroke, source }
}

const fn other(
    kind: BallKind,
    name: &'static str,
    speed_m_per_s: f64,
    angle_deg: f64,
    back_spin_rpm: f64,
    source: &'static str,
) -> NamedStroke {
    let stroke = Stroke { speed_m_per_s, angle_deg, back_spin_rpm, side_spin_rpm: 0.0 };
    NamedStroke { kind, name, stroke, source }
}

/// All strokes that have a name; the first of a ball is its usual one.
pub fn strokes() -> &'static [NamedStroke] {
    const ALL: [NamedStroke; 24] = [
        golf("driver", 167.0, 10.9, 2686.0, MEN),
        golf("3 wood", 158.0, 9.2, 3655.0, MEN),
        golf("5 wood", 152.0, 9.4, 4350.0, MEN),
        golf("hybrid", 146.0, 10.2, 4437.0, MEN),
        golf("3 iron", 142.0, 10.4, 4630.0, MEN),
        golf("4 iron", 137.0, 11.0, 4836.0, MEN),
        golf("5 iron", 132.0, 12.1, 5361.0, MEN),
        golf("6 iron", 127.0, 14.1, 6231.0, MEN),
        golf("7 iron", 120.0, 16.3, 7097.0, MEN),
        golf("8 iron", 115.0, 18.1, 7998.0, MEN),
        golf("9 iron", 109.0, 20.4, 8647.0, MEN),
        golf("pitching wedge", 102.0, 24.2, 9304.0, MEN),
        golf("women's driver", 140.0, 13.2, 2611.0, WOMEN),
        golf("women's 3 wood", 132.0, 11.2, 2704.0, WOMEN),
        golf("women's 7 iron", 104.0, 19.0, 6699.0, WOMEN),
        golf("women's pitching wedge", 86.0, 25.6, 8403.0, WOMEN),
        other(BallKind::Football, "goal kick", 28.0, 38.0, 240.0, PRACTICE),
        other(BallKind::Football, "goalkeeper's punt", 26.0, 44.0, 300.0, PRACTICE),
        other(BallKind::Football, "clearance", 25.0, 55.0, 240.0, PRACTICE),
        other(BallKind::Rugby, "place kick", 26.4, 30.2, 300.0, HOLMES),
        other(BallKind::Rugby, "high punt", 25.0, 62.0, 240.0, PRACTICE),
        other(BallKind::Cricket, "big hit", 42.0, 38.0, 0.0, PRACTICE),
        other(BallKind::Cricket, "skier", 35.0, 68.0, 0.0, PRACTICE),
        other(BallKind::Tennis, "lob", 20.0, 52.0, 1000.0, PRACTICE),
    ];
    &ALL
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Kinematics of a rigid body: a place r from the middle moves at `spin x r`. With back
    /// spin the top of the ball runs against the flight; with side spin its front runs to
    /// the right.
    #[test]
    fn spin_turns_the_surface_the_way_its_name_says() {
        let toward = DVec3::new(0.6, 0.8, 0.0);
        let right = DVec3::new(0.8, -0.6, 0.0);
        let stroke = |back: f64, side: f64| Stroke {
            speed_m_per_s: 30.0,
            angle_deg: 20.0,
            back_spin_rpm: back,
            side_spin_rpm: side,
        };
        let back = stroke(600.0, 0.0).launch(DVec3::ZERO, toward);
        assert!(back.spin.cross(DVec3::Z).dot(toward) < 0.0);
        assert!(back.spin.cross(back.velocity).z > 0.0);
        let side = stroke(0.0, 600.0).launch(DVec3::ZERO, toward);
        assert!(side.spin.cross(toward).dot(right) > 0.0);
        // 600 revolutions a minute are 10 a second
        assert!((back.spin.length() - 20.0 * std::f64::consts::PI).abs() < 1e-9);
    }
}
