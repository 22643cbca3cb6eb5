//! A camera prepared for asking: what do sun and shade look like from here.
//!
//! In: a camera position, its [`Cover`], the venue's obstacles; then, per
//! instant, the sun, the daylight and the shadows at turf and face height. Out:
//! a [`CameraView`].
//!
//! The cover is sampled at evenly spread places. Each knows once and for all
//! how much sky its turf sees, and how much sky a face at 1.7 m turned toward
//! the camera sees. At an instant the light on
//! * turf is `transmission * direct_horizontal + sky_seen * diffuse_horizontal`;
//! * a face is `transmission * direct_normal * cos(incidence) + sky_seen *
//!   diffuse_horizontal + surface_reflectance / 2 * light on the turf it stands
//!   on` (an upright face sees ground over half of its hemisphere).
//!
//! The sky is taken as evenly bright, and what hides it as black: a first form,
//! named in every result.

use geo::{BoundingRect, Contains, Coord, MultiPolygon, Point};
use glam::DVec3;

use super::cover::Cover;
use super::split::{CameraView, OneSide, Split, SplitState};
use crate::geometry::{FACE_HEIGHT_M, Obstacle, Region, ShadeShare, Shadow, SkyDome};
use crate::light::Daylight;
use crate::solar::Sun;
use crate::units::{Azimuth, Luminance, Lux, Stops};
use crate::venue::CameraPost;

/// About this many places of the cover are sampled.
const SAMPLES: f64 = 240.0;

/// Reflectance of the grey surface a subject stands for: the 18 % grey card of
/// exposure metering (common practice, no source).
pub const GREY_REFLECTANCE: f64 = 0.18;

/// Each side must take this share of the cover for the edge to be in shot: half
/// a percent of what is covered is a strip that no exposure is set for.
pub const LEAST_SIDE_SHARE: f64 = 0.005;

/// A camera and all about it that does not change during a day.
#[derive(Debug, Clone)]
pub struct CameraEye {
    region: Region,
    samples: Vec<Sample>,
    surface_reflectance: f64,
}

#[derive(Debug, Clone)]
struct Sample {
    at: Coord<f64>,
    /// Horizontal unit vector from the subject toward the camera.
    facing: DVec3,
    turf_sky: f64,
    face_sky: f64,
}

/// Light on one sample, on either side of an edge and as it is.
struct Lit {
    /// Share of direct light that arrives, 0 to 1.
    transmission: f64,
    direct_lx: f64,
    /// All but the direct light, where the place is in sun and in shade.
    rest_in_sun_lx: f64,
    rest_in_shade_lx: f64,
}

impl CameraEye {
    /// Prepares a camera for a venue's obstacles.
    pub fn new(
        post: &CameraPost,
        cover: &Cover,
        obstacles: &[Obstacle],
        dome: &SkyDome,
        surface_reflectance: f64,
    ) -> Self {
        let sample = |at: Coord<f64>| {
            let flat = DVec3::new(post.at.x - at.x, post.at.y - at.y, 0.0);
            let facing = flat.try_normalize().unwrap_or(DVec3::Y);
            let turf = DVec3::new(at.x, at.y, 0.0);
            let face = DVec3::new(at.x, at.y, FACE_HEIGHT_M);
            let azimuth = Azimuth::from_degrees(facing.x.atan2(facing.y).to_degrees());
            Sample {
                at,
                facing,
                turf_sky: dome.horizontal(&dome.from_point(obstacles, turf)),
                face_sky: dome.upright(&dome.from_point(obstacles, face), azimuth),
            }
        };
        Self {
            region: Region::new(&cover.region),
            samples: spread_over(&cover.region, cover.area_m2).into_iter().map(sample).collect(),
            surface_reflectance,
        }
    }

    /// What the camera sees of an instant. `turf` and `face` are the shadows at
    /// turf and at face height.
    pub fn view(&self, sun: &Sun, daylight: &Daylight, turf: &Shadow, face: &Shadow) -> CameraView {
        let turf_share = self.region.share(turf);
        let face_share = self.region.share(face);
        CameraView {
            shaded_share: turf_share.shaded,
            turf: self.split(daylight, turf_share, self.surface_reflectance, |s| {
                self.on_turf(s, daylight, turf)
            }),
            subject: self.split(daylight, face_share, GREY_REFLECTANCE, |s| {
                self.on_face(s, sun, daylight, turf, face)
            }),
        }
    }

    fn on_turf(&self, sample: &Sample, daylight: &Daylight, turf: &Shadow) -> Lit {
        let sky = sample.turf_sky * daylight.diffuse_horizontal.lux();
        Lit {
            transmission: turf.transmission_at(sample.at).share(),
            direct_lx: daylight.direct_horizontal.lux(),
            rest_in_sun_lx: sky,
            rest_in_shade_lx: sky,
        }
    }

    fn on_face(
        &self,
        sample: &Sample,
        sun: &Sun,
        daylight: &Daylight,
        turf: &Shadow,
        face: &Shadow,
    ) -> Lit {
        let ground = self.on_turf(sample, daylight, turf);
        let from_ground = 0.5 * self.surface_reflectance;
        let sky = sample.face_sky * daylight.diffuse_horizontal.lux();
        let incidence = sample.facing.dot(sun.toward()).max(0.0);
        let transmission = face.transmission_at(sample.at).share();
        let bounced =
            |share: f64| from_ground * (share * ground.direct_lx + ground.rest_in_shade_lx);
        Lit {
            transmission,
            direct_lx: incidence * daylight.direct_normal.lux(),
            rest_in_sun_lx: sky + bounced(1.0),
            // where it is sunny now, an edge would bring shade to the turf as well
            rest_in_shade_lx: sky
                + if transmission < 1.0 {
                    bounced(ground.transmission.min(transmission))
                } else {
                    bounced(0.0)
                },
        }
    }

    fn split(
        &self,
        daylight: &Daylight,
        share: ShadeShare,
        reflectance: f64,
        light: impl Fn(&Sample) -> Lit,
    ) -> Split {
        if self.samples.is_empty() {
            return Split { sunlit: None, shaded: None, state: SplitState::NoEdge };
        }
        let lit: Vec<Lit> = self.samples.iter().map(light).collect();
        let luminance = |lux: f64| Luminance::of_matt_surface(Lux::from_lux(lux), reflectance);
        let in_sun = |l: &Lit| l.direct_lx + l.rest_in_sun_lx;
        let in_shade = |l: &Lit| l.transmission * l.direct_lx + l.rest_in_shade_lx;
        // what the place would get under something opaque
        let under_cover = |l: &Lit| {
            if l.transmission < 1.0 { in_shade(l) } else { l.rest_in_shade_lx }
        };
        let shaded = mean(lit.iter().filter(|l| l.transmission < 1.0).map(in_shade))
            .or_else(|| mean(lit.iter().map(under_cover)));
        if daylight.direct_normal.lux() <= 0.0 {
            let all = mean(lit.iter().map(|l| l.rest_in_shade_lx));
            return Split { sunlit: None, shaded: all.map(luminance), state: SplitState::NoEdge };
        }
        let sunlit = mean(lit.iter().filter(|l| l.transmission >= 1.0).map(in_sun))
            .or_else(|| mean(lit.iter().map(in_sun)));
        let (sunlit, shaded) = (sunlit.map(luminance), shaded.map(luminance));
        let stops = sunlit.zip(shaded).and_then(|(sun, shade)| Stops::between(sun, shade));
        let state = match stops {
            None => SplitState::NoEdge,
            Some(stops) if share.shaded < LEAST_SIDE_SHARE => {
                SplitState::Latent(stops, OneSide::AllSunlit)
            }
            Some(stops) if share.shaded > 1.0 - LEAST_SIDE_SHARE => {
                SplitState::Latent(stops, OneSide::AllShaded)
            }
            Some(stops) => SplitState::InShot(stops),
        };
        Split { sunlit, shaded, state }
    }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (count, sum) = values.fold((0_usize, 0.0), |(n, sum), v| (n + 1, sum + v));
    (count > 0).then(|| sum / count as f64)
}

/// Places on a square lattice over a region; a sliver that no lattice point
/// meets gets its own middle.
fn spread_over(region: &MultiPolygon<f64>, area_m2: f64) -> Vec<Coord<f64>> {
    let Some(bounds) = region.bounding_rect() else {
        return Vec::new();
    };
    if area_m2 <= 0.0 {
        return Vec::new();
    }
    let spacing = (area_m2 / SAMPLES).sqrt();
    let steps = |length: f64| (length / spacing).ceil().max(1.0) as usize;
    let (columns, rows) = (steps(bounds.width()), steps(bounds.height()));
    let at = |i: usize, j: usize| Coord {
        x: bounds.min().x + (i as f64 + 0.5) / columns as f64 * bounds.width(),
        y: bounds.min().y + (j as f64 + 0.5) / rows as f64 * bounds.height(),
    };
    let lattice = (0..rows).flat_map(|j| (0..columns).map(move |i| (i, j)));
    let inside: Vec<Coord<f64>> =
        lattice.map(|(i, j)| at(i, j)).filter(|&c| region.contains(&Point(c))).collect();
    if !inside.is_empty() {
        return inside;
    }
    use geo::InteriorPoint;
    region.0.iter().filter_map(|p| p.interior_point().map(|p| p.0)).collect()
}
