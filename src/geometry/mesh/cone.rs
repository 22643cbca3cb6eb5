//! The directions that faces of a group are turned to.
//!
//! In: faces of one kind. Out: a cone that holds all their normals, and from it, for a
//! direction toward the sun, whether all of them face it or none does.

use glam::DVec3;

use super::{Face, Sides};

/// Closer to edge-on than this, each face is asked by itself.
const MARGIN: f64 = 1e-9;

/// Normals around an axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cone {
    axis: DVec3,
    /// Of the widest angle between a normal and the axis, less than a right one.
    sine: f64,
    sides: Sides,
}

impl Cone {
    /// `None` for faces of several kinds, or turned too far apart.
    pub fn of(faces: &[Face]) -> Option<Self> {
        let sides = faces.first()?.sides;
        let axis = faces.iter().map(|face| face.normal).sum::<DVec3>().try_normalize()?;
        let cosine = faces.iter().map(|face| face.normal.dot(axis)).fold(1.0, f64::min);
        let one_kind = faces.iter().all(|face| face.sides == sides);
        (one_kind && cosine > 0.0).then(|| Self {
            axis,
            sine: (1.0 - cosine * cosine).sqrt(),
            sides,
        })
    }

    /// The sense in which the shadow of every face counts, where it is the same for all.
    pub fn turned(&self, toward_sun: DVec3) -> Option<i8> {
        let facing = self.axis.dot(toward_sun);
        match self.sides {
            _ if facing > self.sine + MARGIN => Some(1),
            Sides::Outer if facing < -self.sine - MARGIN => Some(0),
            Sides::Both if facing < -self.sine - MARGIN => Some(-1),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the cone says of all holds for each.
    #[test]
    fn what_holds_for_the_cone_holds_for_each_face() {
        for sides in [Sides::Outer, Sides::Both] {
            let mut said = [0; 3];
            for spread in [0.0, 0.05, 0.3, 0.8] {
                let normal = |i: u32| {
                    let (sin, cos) = (f64::from(i) * 2.4).sin_cos();
                    DVec3::new(spread * sin, spread * cos, 1.0).normalize()
                };
                let faces: Vec<Face> = (0..9).map(|i| Face { normal: normal(i), sides }).collect();
                let cone = Cone::of(&faces).unwrap();
                for step in 0..360 {
                    let (sin, cos) = f64::from(step).to_radians().sin_cos();
                    let sun = DVec3::new(0.6 * cos, 0.8 * cos, sin);
                    let Some(sense) = cone.turned(sun) else {
                        said[2] += 1;
                        continue;
                    };
                    assert!(faces.iter().all(|face| face.turned(sun) == sense), "{spread} {step}");
                    said[usize::from(sense == 1)] += 1;
                }
            }
            assert!(said.iter().all(|&n| n > 100), "{said:?}");
        }
    }

    #[test]
    fn faces_all_around_have_no_cone() {
        let all = [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y];
        let faces = all.map(|normal| Face { normal, sides: Sides::Outer });
        assert!(Cone::of(&faces).is_none());
        let two = [Sides::Outer, Sides::Both].map(|sides| Face { normal: DVec3::Z, sides });
        assert!(Cone::of(&two).is_none());
    }
}
