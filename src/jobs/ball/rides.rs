//! The rides of a flight.
//!
//! In: looks, the camera's exposure, what is asked. Out: a ride that keeps the background
//! on level and one that only keeps the ball to be seen, in stops against the setting at
//! the strike; T-numbers; what is left of the blacks at the landing.

use crate::base::units::Luminance;
use crate::camera::Rig;
use crate::venue::{CameraPost, Subject};

use super::BallSettings;
use super::look::BallLook;
use super::physics::{Need, Ride, Screen, Tone, threshold_contrast};

/// A background that lasts for less than this, s, asks for nothing: no hand follows a mast.
const BRIEF_S: f64 = 0.1;
/// Settings up to so many stops closed are tried for the ball.
const MAX_STOPS: f64 = 9.0;
const HALVINGS: u32 = 24;
/// Steps in which they are tried before halving.
const TRIED_EVERY: f64 = 0.25;

/// The rides of a flight.
#[derive(Debug, Clone, PartialEq)]
pub struct Rides {
    /// What is at white at the strike.
    pub white_at_strike: Luminance,
    /// For each look: stops closed that put its background on level.
    pub level: Vec<Need>,
    /// The same where backgrounds that are soon over are passed by: what the ride follows.
    pub followed: Vec<Need>,
    /// For each look: the least stops closed with which the ball is seen; 0 where it is
    /// seen with the setting at the strike, `None` where no setting shows it.
    pub visible: Vec<Option<f64>>,
    /// For each look: contrast of the ball on the screen that is needed.
    pub needed_contrast: Vec<f64>,
    /// For each look: contrast with its background on level.
    pub contrast_on_level: Vec<f64>,
    /// Keeps the background on level.
    pub background: Option<Ride>,
    /// Only keeps the ball to be seen.
    pub ball_only: Option<Ride>,
    pub setting: LensSetting,
    /// How much more than the landing needs the iris may be closed before the darkest kit
    /// loses its detail, stops.
    pub black_room_stops: f64,
}

/// What the lens is at.
#[derive(Debug, Clone, PartialEq)]
pub struct LensSetting {
    pub nd_stops: f64,
    /// At the strike, and most closed in the ride for the background; `None` in darkness.
    pub t_at_strike: Option<f64>,
    pub t_most_closed: Option<f64>,
    /// What the lens closes down to.
    pub narrowest_t: f64,
}

impl LensSetting {
    /// Whether the ride asks for more than the lens can close.
    pub fn runs_out(&self) -> bool {
        self.t_most_closed.is_some_and(|t| t > self.narrowest_t * (1.0 + 1e-9))
    }
}

pub(super) fn rides(
    looks: &[BallLook],
    rig: &Rig,
    post: &CameraPost,
    subject: &Subject,
    settings: &BallSettings,
) -> Rides {
    let white = looks.first().map_or(Luminance::from_cd_per_m2(0.0), |look| look.white);
    let eye = Eye { rig, post, settings, white };
    let level: Vec<Need> =
        looks.iter().map(|l| Need { t_s: l.t_s, stops: over(l.white, white) }).collect();
    let visible: Vec<Option<f64>> = looks.iter().map(|look| eye.least(look)).collect();
    let delay_s = settings.delay_s.unwrap_or(rig.delay_s);
    let followed = without_brief(looks, &level);
    let background = Ride::plan(&followed, settings.rate, delay_s);
    // what no setting shows asks for nothing
    let for_ball: Vec<Need> = looks
        .iter()
        .zip(&visible)
        .map(|(look, least)| Need { t_s: look.t_s, stops: least.unwrap_or(0.0) })
        .collect();
    let at_white = subject.skin_reflectance * subject.skin_under_white_stops.exp2();
    let black_under_white = (at_white / subject.black_kit_reflectance).log2();
    Rides {
        needed_contrast: looks.iter().map(|l| eye.needed(l, l.white)).collect(),
        contrast_on_level: looks.iter().map(|l| eye.contrast(l, l.white)).collect(),
        ball_only: Ride::plan(&for_ball, settings.rate, delay_s),
        setting: setting(rig, white, background.as_ref()),
        black_room_stops: rig.under_white_stops - black_under_white,
        white_at_strike: white,
        level,
        followed,
        visible,
        background,
    }
}

/// Needs with those of backgrounds that last under [`BRIEF_S`] laid between their
/// neighbours. Strike and landing keep their own.
fn without_brief(looks: &[BallLook], level: &[Need]) -> Vec<Need> {
    let end = level.len().saturating_sub(1);
    let mut kept: Vec<Need> = Vec::new();
    let mut first = 0;
    for (i, need) in level.iter().enumerate() {
        let Some(look) = looks.get(i) else { continue };
        if looks.get(first).is_some_and(|l| l.behind != look.behind) {
            first = i;
        }
        let rest = looks.iter().skip(i).take_while(|l| l.behind == look.behind);
        let until = rest.last().map_or(look.t_s, |l| l.t_s);
        let from = looks.get(first).map_or(look.t_s, |l| l.t_s);
        if i == 0 || i == end || until - from >= BRIEF_S {
            kept.push(*need);
        }
    }
    let between = |t: f64| {
        let next = kept.partition_point(|n| n.t_s < t);
        match (kept.get(next.saturating_sub(1)), kept.get(next)) {
            (Some(a), Some(b)) if b.t_s > a.t_s => {
                a.stops + (t - a.t_s) / (b.t_s - a.t_s) * (b.stops - a.stops)
            }
            (_, Some(only)) | (Some(only), None) => only.stops,
            (None, None) => 0.0,
        }
    };
    level.iter().map(|n| Need { t_s: n.t_s, stops: between(n.t_s) }).collect()
}

fn over(white: Luminance, base: Luminance) -> f64 {
    match (white.cd_per_m2(), base.cd_per_m2()) {
        (a, b) if a > 0.0 && b > 0.0 => (a / b).log2(),
        _ => 0.0,
    }
}

/// The ND of the wheel that leaves the whole ride within the lens and the start nearest to
/// where the lens looks best; of those that do not, the one that misses least.
fn setting(rig: &Rig, white: Luminance, ride: Option<&Ride>) -> LensSetting {
    let most = ride.map_or(0.0, |r| r.most.stops);
    let gain = rig.gain_db.first().copied().unwrap_or(0.0);
    let best = (rig.prefers_t.0 * rig.prefers_t.1).sqrt();
    let tried = rig.nd_stops.iter().map(|&nd_stops| {
        let t = rig.t_for_white(white, nd_stops, gain);
        let closed = t.map(|t| t * (0.5 * most).exp2());
        LensSetting {
            nd_stops,
            t_at_strike: t,
            t_most_closed: closed,
            narrowest_t: rig.narrowest_t,
        }
    });
    let cost = |s: &LensSetting| {
        let (Some(t), Some(closed)) = (s.t_at_strike, s.t_most_closed) else { return 0.0 };
        let beyond =
            (closed / rig.narrowest_t).log2().max(0.0) + (rig.widest_t / t).log2().max(0.0);
        100.0 * beyond + (t / best).log2().abs()
    };
    let none = LensSetting {
        nd_stops: 0.0,
        t_at_strike: None,
        t_most_closed: None,
        narrowest_t: rig.narrowest_t,
    };
    tried.min_by(|a, b| cost(a).total_cmp(&cost(b))).unwrap_or(none)
}

/// What a viewer sees of the ball.
struct Eye<'a> {
    rig: &'a Rig,
    post: &'a CameraPost,
    settings: &'a BallSettings,
    /// At white at the strike.
    white: Luminance,
}

impl Eye<'_> {
    fn tone(&self) -> Tone {
        Tone { knee_stops: self.rig.knee_stops }
    }

    fn contrast(&self, look: &BallLook, white: Luminance) -> f64 {
        if white.cd_per_m2() <= 0.0 {
            return 0.0;
        }
        self.tone().contrast(look.ball, look.background, white)
    }

    /// Contrast that is needed on the screen where `white` is at white.
    fn needed(&self, look: &BallLook, white: Luminance) -> f64 {
        let screen: &Screen = &self.settings.screen;
        let shown = screen.white_cd_per_m2 * self.tone().shown(look.background, white);
        let size = screen.arc_min(look.share_of_width, self.post.aspect);
        self.settings.visibility * threshold_contrast(size, shown)
    }

    fn sees(&self, look: &BallLook, stops: f64) -> bool {
        let white = Luminance::from_cd_per_m2(self.white.cd_per_m2() * stops.exp2());
        look.hidden_by.is_none() && self.contrast(look, white) >= self.needed(look, white)
    }

    /// The least stops closed, 0 or more, with which the ball is seen.
    fn least(&self, look: &BallLook) -> Option<f64> {
        if look.hidden_by.is_some() || self.sees(look, 0.0) {
            return look.hidden_by.is_none().then_some(0.0);
        }
        let steps = (MAX_STOPS / TRIED_EVERY) as usize;
        let tried = (1..=steps).map(|i| TRIED_EVERY * i as f64);
        let first = tried.into_iter().find(|s| self.sees(look, *s))?;
        let (mut low, mut high) = (first - TRIED_EVERY, first);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.sees(look, middle) { high = middle } else { low = middle }
        }
        Some(high)
    }
}

#[cfg(test)]
mod tests {
    use glam::DVec3;

    use super::*;
    use crate::base::units::{Azimuth, Elevation};
    use crate::jobs::ball::{Backdrop, SunOrShade};

    fn look(t_s: f64, behind: Backdrop) -> BallLook {
        BallLook {
            t_s,
            at: DVec3::ZERO,
            distance_m: 50.0,
            pan: Azimuth::from_degrees(0.0),
            tilt: Elevation::from_degrees(0.0),
            turn_deg_per_s: 0.0,
            pan_deg_per_s: 0.0,
            tilt_deg_per_s: 0.0,
            size_deg: 0.2,
            share_of_width: 0.01,
            behind,
            hidden_by: None,
            background: Luminance::from_cd_per_m2(1.0),
            white: Luminance::from_cd_per_m2(1.0),
            ball: Luminance::from_cd_per_m2(1.0),
            ball_in_sun: None,
            sun_off_axis_deg: None,
            sun_in_frame: false,
        }
    }

    /// Sky at 2 stops, a mast in it for 40 ms at 5, sky again: the mast is passed by. The
    /// first look keeps its own though its background is as brief.
    #[test]
    fn a_mast_in_the_sky_is_passed_by() {
        let (sky, mast) = (Backdrop::Sky, Backdrop::Thing { by: 0, lit: SunOrShade::Sun });
        let turf = Backdrop::Turf(SunOrShade::Sun);
        let all = [
            (0.0, turf, 0.0),
            (0.03, turf, 0.0),
            (0.031, sky, 2.0),
            (0.5, sky, 2.0),
            (0.501, mast, 5.0),
            (0.541, mast, 5.0),
            (0.542, sky, 2.0),
            (1.0, sky, 2.0),
        ];
        let looks: Vec<BallLook> = all.iter().map(|(t, behind, _)| look(*t, *behind)).collect();
        let level: Vec<Need> = all.iter().map(|&(t_s, _, stops)| Need { t_s, stops }).collect();
        let kept = without_brief(&looks, &level);
        assert_eq!(kept[0].stops, 0.0);
        assert!(kept[2..].iter().all(|n| (n.stops - 2.0).abs() < 1e-12), "{kept:?}");
        // with the mast for 140 ms it is followed
        let slow: Vec<BallLook> = all
            .iter()
            .map(|(t, behind, _)| look(if *t > 0.51 { t + 0.1 } else { *t }, *behind))
            .collect();
        let level: Vec<Need> =
            slow.iter().zip(&all).map(|(l, a)| Need { t_s: l.t_s, stops: a.2 }).collect();
        assert_eq!(without_brief(&slow, &level)[4].stops, 5.0);
    }
}
