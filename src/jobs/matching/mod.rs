//! Cameras that cut to each other: how far apart they are for the same subject, and what to
//! trim.
//!
//! In: a plan and the crew's brief of it. Out: a [`MatchedPairs`]: for every pair with a place
//! in common and every instant the difference of light, of picture and of colour, and the trims
//! that bring the second camera to the first, in each output.

#[cfg(feature = "cli")]
pub mod command;
#[cfg(feature = "cli")]
pub mod options;
pub mod picture;
pub mod report;

use rayon::prelude::*;

use crate::base::units::{Luminance, Stops};
use crate::camera::LensEnd;
use crate::engine::model::{Instant, MatchPlan};
use crate::jobs::crew::{Brief, CameraBrief, MATCHED_STOPS};
use crate::light::{ColourTemperature, Trims, Tristimulus, behind_filter};
use crate::signal::{Making, Output};
use crate::venue::{Production, SdrFrom, Venue};

/// Signals nearer to each other than this tell no slope: a code value of 10 bits is 0.0011.
const LEVEL_SIGNALS: f64 = 0.004;
/// The most that a paint control gives, either way; what asks for more is two pictures of another
/// light (common practice, no source).
pub const MAX_TRIM_GAIN: f64 = 2.0;

/// All pairs that may cut to each other.
#[derive(Debug, Clone)]
pub struct MatchedPairs {
    /// Outputs that trims are given for, in the order in which they are made.
    pub outputs: Vec<Output>,
    /// The hardest first: by [`MatchedPair::hard`].
    pub pairs: Vec<MatchedPair>,
    /// Cameras whose lens is at an end of its range at times.
    pub at_ends: Vec<LensAtEnd>,
}

/// A camera whose one setting asks for more than its lens has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LensAtEnd {
    pub camera: usize,
    /// Indices of the first and the last instant.
    pub instants: (usize, usize),
    /// With the most stops that it leaves.
    pub end: LensEnd,
}

/// Two cameras through the match.
#[derive(Debug, Clone)]
pub struct MatchedPair {
    /// Indices into [`Venue::cameras`], the lower first.
    pub cameras: (usize, usize),
    /// At each instant; `None` where they see no place in common or one of them is set for
    /// nothing.
    pub gaps: Vec<Option<CameraGap>>,
}

/// Two cameras at one instant, the first over the second.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraGap {
    /// Index of the mark where the picture differs most.
    pub mark: usize,
    /// Light on a face there, turned to the one and to the other camera.
    pub light: Stops,
    /// The same in the picture, each with its one setting for both sides as far as its lens
    /// goes.
    pub picture: Stops,
    /// Where the lens of the one and of the other is at an end of its range, and what that
    /// leaves.
    pub ends: [Option<LensEnd>; 2],
    /// Whether one of them is so dark that its white lies under its darkest tone: there is no
    /// picture to match.
    pub is_lost: bool,
    /// How much warmer the first sees the face, each behind its filter; `None` where a light has
    /// no temperature.
    pub mired: Option<f64>,
    /// Red and blue gain of the second camera; `None` outside of the camera's colours.
    pub trims: Option<Trims>,
    /// Of the second camera, in the order of [`MatchedPairs::outputs`]; `None` where no gain and
    /// lift match both sides.
    pub outputs: Vec<Option<LevelTrim>>,
}

/// Gain and lift that bring the second camera's signal to the first's: gain times signal, and
/// lift added.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelTrim {
    pub gain: f64,
    /// Of the signal, 0.01 is 1 %.
    pub lift: f64,
}

impl MatchedPair {
    /// Instants at which the pair is over what cameras are matched to.
    pub fn hard(&self) -> usize {
        self.seen().filter(|(_, gap)| gap.picture.stops().abs() > MATCHED_STOPS).count()
    }

    /// Share of the instants with a picture of both at which that is so, 0 to 1.
    pub fn hard_share(&self) -> f64 {
        self.hard() as f64 / self.seen().count().max(1) as f64
    }

    /// Instants at which there is a picture of both.
    fn seen(&self) -> impl Iterator<Item = (usize, &CameraGap)> {
        let gaps = self.gaps.iter().enumerate();
        let gaps = gaps.filter_map(|(index, gap)| Some((index, gap.as_ref()?)));
        gaps.filter(|(_, gap)| !gap.is_lost)
    }

    /// The widest difference of the picture, with its instant; `None` without any.
    pub fn worst(&self) -> Option<(usize, &CameraGap)> {
        let gaps = self.seen();
        // the first of equals
        gaps.reduce(
            |a, b| {
                if b.1.picture.stops().abs() > a.1.picture.stops().abs() { b } else { a }
            },
        )
    }
}

/// Matches every pair.
pub fn matched_pairs(venue: &Venue, plan: &MatchPlan, brief: &Brief) -> MatchedPairs {
    let production = production(venue);
    let of = |(a, b): (&CameraBrief, &CameraBrief)| {
        let gap = |(index, instant): (usize, &Instant)| {
            gap((venue, instant), (brief, a, b), index, &production)
        };
        let gaps: Vec<Option<CameraGap>> = plan.instants.iter().enumerate().map(gap).collect();
        let cameras = (a.camera, b.camera);
        gaps.iter().any(Option::is_some).then_some(MatchedPair { cameras, gaps })
    };
    let pairs: Vec<(&CameraBrief, &CameraBrief)> = two_by_two(&brief.cameras).collect();
    let mut pairs: Vec<MatchedPair> = pairs.into_par_iter().filter_map(of).collect();
    let worst = |pair: &MatchedPair| pair.worst().map_or(0.0, |(_, g)| g.picture.stops().abs());
    pairs.sort_by(|a, b| {
        (b.hard(), worst(b)).partial_cmp(&(a.hard(), worst(a))).unwrap_or(std::cmp::Ordering::Equal)
    });
    let paired =
        |c: &&CameraBrief| pairs.iter().any(|p| [p.cameras.0, p.cameras.1].contains(&c.camera));
    let at_ends = brief.cameras.iter().filter(paired).flat_map(|c| at_ends(brief, c)).collect();
    MatchedPairs { outputs: production.makes, pairs, at_ends }
}

/// The end of its range that the lens of a camera is at for its one setting.
fn end_at(brief: &Brief, camera: &CameraBrief, index: usize) -> Option<LensEnd> {
    let exposure = camera.exposures.get(index).copied().flatten()?;
    let wanted = camera.t_at(&brief.spans, index, exposure.one.white)?;
    camera.end_at(index, wanted)
}

/// Open end and closed end of a lens, where it is there at all.
fn at_ends(brief: &Brief, camera: &CameraBrief) -> Vec<LensAtEnd> {
    let mut found: Vec<LensAtEnd> = Vec::new();
    for index in 0..camera.exposures.len() {
        let Some(end) = end_at(brief, camera, index) else { continue };
        let alike =
            |one: &&mut LensAtEnd| std::mem::discriminant(&one.end) == std::mem::discriminant(&end);
        match found.iter_mut().find(alike) {
            None => {
                let camera = camera.camera;
                found.push(LensAtEnd { camera, instants: (index, index), end });
            }
            Some(one) => {
                one.instants.1 = index;
                if end.stops().stops() > one.end.stops().stops() {
                    one.end = end;
                }
            }
        }
    }
    found
}

/// Every two cameras at one instant, by their indices, the hardest to cut first; those that
/// show nothing are left out.
pub fn gaps_at(
    venue: &Venue,
    plan: &MatchPlan,
    brief: &Brief,
    index: usize,
) -> Vec<((usize, usize), CameraGap)> {
    let Some(instant) = plan.instants.get(index) else { return Vec::new() };
    let production = production(venue);
    let all = two_by_two(&brief.cameras).filter_map(|(a, b)| {
        let gap = gap((venue, instant), (brief, a, b), index, &production)?;
        Some(((a.camera, b.camera), gap))
    });
    let mut all: Vec<_> = all.collect();
    all.retain(|(_, gap)| !gap.is_lost);
    let wide = |gap: &CameraGap| gap.picture.stops().abs();
    all.sort_by(|a, b| wide(&b.1).total_cmp(&wide(&a.1)));
    all
}

/// What is made; SDR where the venue file does not say.
fn production(venue: &Venue) -> Production {
    venue.production.clone().unwrap_or(Production {
        makes: vec![Output::Sdr],
        shades_on: Output::Sdr,
        sdr_from: SdrFrom::Camera,
    })
}

fn two_by_two(cameras: &[CameraBrief]) -> impl Iterator<Item = (&CameraBrief, &CameraBrief)> {
    let rest = |i: usize| cameras.iter().skip(i + 1);
    cameras.iter().enumerate().flat_map(move |(i, a)| rest(i).map(move |b| (a, b)))
}

fn gap(
    (venue, instant): (&Venue, &Instant),
    (brief, a, b): (&Brief, &CameraBrief, &CameraBrief),
    index: usize,
    production: &Production,
) -> Option<CameraGap> {
    let exposure = |brief: &CameraBrief| brief.exposures.get(index).copied().flatten();
    // what the lens has of the setting: in the dark all are wide open, whatever they ask for
    let white = |of: &CameraBrief| of.reached(&brief.spans, index, exposure(of)?.one.white);
    let (white_a, white_b) = (white(a)?, white(b)?);
    let irises = stops(white_b.cd_per_m2(), white_a.cd_per_m2())?;
    let at = |(mark, faces): (usize, &Vec<Option<Tristimulus>>)| {
        let (first, second) = ((*faces.get(a.camera)?)?, (*faces.get(b.camera)?)?);
        let light = stops(first.lux(), second.lux())?;
        Some((mark, light, first, second))
    };
    let seen = instant.faces.iter().enumerate().filter_map(at);
    let (mark, light, first, second) =
        seen.max_by(|x, y| (x.1 + irises).abs().total_cmp(&(y.1 + irises).abs()))?;
    // colours are those that each camera has behind its filter; what that takes of the light is
    // in the iris
    let behind =
        |brief: &CameraBrief, light| behind_filter(light, brief.rig_at(index).filter_mired);
    let (first, second) = (behind(a, first), behind(b, second));
    let mired = |light: Tristimulus| Some(ColourTemperature::of(light)?.mired());
    let sides = |brief: &CameraBrief, white: Luminance| levels(venue, instant, brief, white);
    let (levels_a, levels_b) = (sides(a, white_a)?, sides(b, white_b)?);
    let trim = |output: &Output| {
        let signal = |brief: &CameraBrief, level: f64| {
            Making::of(production, *output, &brief.rig_at(index).curve).of_level(level)
        };
        level_trim(levels_a.map(|l| signal(a, l)), levels_b.map(|l| signal(b, l)))
    };
    let ends = [a, b].map(|camera| end_at(brief, camera, index));
    Some(CameraGap {
        mark,
        light: Stops::from_stops(light),
        picture: Stops::from_stops(light + irises),
        ends,
        is_lost: [a, b].into_iter().zip(ends).any(|(camera, end)| match end {
            Some(LensEnd::WideOpen(dark)) => dark.stops() > camera.rig_at(index).under_white_stops,
            _ => false,
        }),
        mired: mired(first).zip(mired(second)).map(|(first, second)| first - second),
        trims: Trims::between(first, second),
        outputs: production.makes.iter().map(trim).collect(),
    })
}

/// Levels of the camera's grey subject in the sun and in shade with a luminance at white; twice
/// the shade's without direct sun.
fn levels(
    venue: &Venue,
    instant: &Instant,
    brief: &CameraBrief,
    white: Luminance,
) -> Option<[f64; 2]> {
    let split = &instant.cameras.get(brief.camera)?.subject;
    let shade = split.shaded?;
    let sun = split.sunlit.unwrap_or(shade);
    let level = |lux: f64| {
        let skin = lux * venue.subject.skin_reflectance / std::f64::consts::PI;
        skin / white.cd_per_m2()
    };
    Some([level(sun.light.lux()), level(shade.light.lux())])
}

/// Gain and lift that bring the second's signals, in the sun and in shade, to the first's;
/// gain alone where both lie at one level. `None` for a gain that no paint control has.
fn level_trim(first: [f64; 2], second: [f64; 2]) -> Option<LevelTrim> {
    let between = |[sun, shade]: [f64; 2]| sun - shade;
    let trim = if between(first).abs() < LEVEL_SIGNALS || between(second).abs() < LEVEL_SIGNALS {
        let gain = if second[1] > 0.0 { first[1] / second[1] } else { 1.0 };
        LevelTrim { gain, lift: 0.0 }
    } else {
        let gain = between(first) / between(second);
        LevelTrim { gain, lift: first[1] - gain * second[1] }
    };
    (1.0 / MAX_TRIM_GAIN..=MAX_TRIM_GAIN).contains(&trim.gain).then_some(trim)
}

fn stops(over: f64, under: f64) -> Option<f64> {
    let between = Stops::between(Luminance::from_cd_per_m2(over), Luminance::from_cd_per_m2(under));
    between.map(Stops::stops)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 0.8 and 0.4 from 0.75 and 0.45 need a slope of 0.4 / 0.3 = 4/3 and 0.4 - 4/3 x
    /// 0.45 = -0.2.
    #[test]
    fn gain_and_lift_bring_both_sides_over() {
        let trim = level_trim([0.8, 0.4], [0.75, 0.45]).unwrap();
        assert!((trim.gain - 4.0 / 3.0).abs() < 1e-12, "{trim:?}");
        assert!((trim.lift + 0.2).abs() < 1e-12, "{trim:?}");
        let gain = |gain: f64| Some(LevelTrim { gain, lift: 0.0 });
        assert_eq!(level_trim([0.5, 0.5], [0.25, 0.25]), gain(2.0));
        assert_eq!(level_trim([0.5, 0.5], [0.0, 0.0]), gain(1.0));
        // one of them sees both sides alike: no slope to tell
        assert_eq!(level_trim([0.6, 0.3], [0.3, 0.3]), gain(1.0));
        // next to no split in the second, or the other way round: two pictures of another light
        assert_eq!(level_trim([0.8, 0.4], [0.52, 0.5]), None);
        assert_eq!(level_trim([0.8, 0.4], [0.3, 0.6]), None);
    }
}
