//! Spells of sun and shade.
//!
//! In: a [`CloudField`]. Out: a [`Coming`]: changes in a stretch of time, lengths of spells,
//! the share of sun, each with its percentiles.
//!
//! Clouds and gaps pass one after the other at the speed of the wind. Some hundred stretches
//! of three hours are drawn, each with a wind of its own, beginning anywhere in a cloud or a
//! gap. Sun and shade are then told minute by minute as stations do: a minute is sunny where
//! its mean direct irradiance is over 120 W/m2 (WMO-No. 8, sunshine), so that spells of
//! seconds do not count. The draws are always the same: the same sky gives the same figures.

use crate::weather::Spread;

use super::field::CloudField;

/// Stretches that are drawn, and how long each is.
const STRETCHES: usize = 600;
const STRETCH_MIN: usize = 180;
/// Share of a minute in the sun that makes it sunny: 120 W/m2 of the 800 that the sun sends
/// through a gap (the latter from memory).
pub const SUN_SHARE_OF_MINUTE: f64 = 0.15;
/// Shadows shorter than this are no event for a hand, s (common practice, no source).
const MIN_SPELL_S: f64 = 5.0;
const MINUTE_S: f64 = 60.0;
/// Where the draws begin: any number does.
const SEED: u64 = 0x5155_4152_5445_5221;

/// How a broken sky comes and goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Coming {
    /// Changes between sunny and shaded minutes within so many minutes.
    pub changes: Vec<(u32, Spread)>,
    /// Cloud shadows of 5 s and more an hour, short ones within a minute counted.
    pub shadows_per_hour: Spread,
    /// Lengths of spells that begin and end, minutes.
    pub sunny_min: Spread,
    pub shaded_min: Spread,
    /// Share of sunny minutes in an hour, 0 to 1.
    pub sun_share: Spread,
}

impl Coming {
    /// Of a sky; `windows_min` are the stretches that changes are counted in, minutes (up to
    /// 180).
    pub fn new(field: &CloudField, windows_min: &[u32]) -> Self {
        let mut draws = Draws(SEED);
        let stretches: Vec<SimulatedHours> =
            (0..STRETCHES).map(|_| SimulatedHours::drawn(field, &mut draws)).collect();
        let even = |values: Vec<f64>| Spread::of(values.into_iter().map(|v| (v, 1.0)));
        let changes = |window: u32| {
            let window_min = (window as usize).clamp(1, STRETCH_MIN);
            let counts = stretches.iter().flat_map(|s| s.changes_in(window_min));
            (window, even(counts.collect()))
        };
        let of_hours = |of: fn(&[bool]) -> f64| {
            let hours = stretches.iter().flat_map(|s| s.sunny.chunks_exact(60));
            even(hours.map(of).collect())
        };
        let spells = |sunny: bool| {
            let all = stretches.iter().flat_map(|s| spells(&s.sunny));
            even(all.filter(|(sun, _)| *sun == sunny).map(|(_, minutes)| minutes as f64).collect())
        };
        let hours = STRETCH_MIN as f64 / 60.0;
        Self {
            changes: windows_min.iter().copied().map(changes).collect(),
            shadows_per_hour: even(stretches.iter().map(|s| s.shadows as f64 / hours).collect()),
            sunny_min: spells(true),
            shaded_min: spells(false),
            sun_share: of_hours(|hour| {
                hour.iter().filter(|sun| **sun).count() as f64 / hour.len() as f64
            }),
        }
    }

    /// Changes within so many minutes, where they were asked for.
    pub fn changes_in(&self, minutes: u32) -> Option<&Spread> {
        self.changes.iter().find(|(window, _)| *window == minutes).map(|(_, spread)| spread)
    }
}

/// Three hours of sun and shade.
struct SimulatedHours {
    /// Minute by minute.
    sunny: Vec<bool>,
    shadows: usize,
}

impl SimulatedHours {
    fn drawn(field: &CloudField, draws: &mut Draws) -> Self {
        let (clouds, gaps) = field.laws();
        let m_s = field.wind_at(draws.normal());
        let seconds = |km: f64| 1000.0 * km / m_s;
        let mut shaded = draws.share() < field.cover;
        let law = |shaded: bool| if shaded { clouds } else { gaps };
        let around = law(shaded).around_point(draws.share());
        let mut left_s = seconds(around * draws.share());
        let mut sun_s = vec![0.0; STRETCH_MIN];
        let (mut at_s, mut shadows) = (0.0, 0);
        let end_s = STRETCH_MIN as f64 * MINUTE_S;
        while at_s < end_s {
            let until_s = (at_s + left_s).min(end_s);
            match shaded {
                true => shadows += usize::from(left_s >= MIN_SPELL_S),
                false => shine(&mut sun_s, at_s, until_s),
            }
            at_s = until_s;
            shaded = !shaded;
            left_s = seconds(law(shaded).at_share(draws.share()));
        }
        let sunny = sun_s.iter().map(|s| *s > SUN_SHARE_OF_MINUTE * MINUTE_S).collect();
        Self { sunny, shadows }
    }

    /// In each whole window of the stretch.
    fn changes_in(&self, minutes: usize) -> impl Iterator<Item = f64> {
        let count = |window: &[bool]| window.windows(2).filter(|w| w[0] != w[1]).count();
        self.sunny.chunks_exact(minutes).map(move |window| count(window) as f64)
    }
}

/// Adds seconds of sun to the minutes that they lie in.
fn shine(sun_s: &mut [f64], from_s: f64, until_s: f64) {
    let first = (from_s / MINUTE_S) as usize;
    for (minute, sun) in sun_s.iter_mut().enumerate().skip(first) {
        let begins = minute as f64 * MINUTE_S;
        if begins >= until_s {
            break;
        }
        *sun += (until_s.min(begins + MINUTE_S) - from_s.max(begins)).max(0.0);
    }
}

/// Spells that begin and end within some minutes: whether sunny, and how many minutes.
pub(super) fn spells(sunny: &[bool]) -> Vec<(bool, usize)> {
    let runs: Vec<(bool, usize)> =
        sunny.chunk_by(|a, b| a == b).filter_map(|run| Some((*run.first()?, run.len()))).collect();
    match runs.len() {
        0..=2 => Vec::new(),
        n => runs[1..n - 1].to_vec(),
    }
}

/// Numbers by chance, the same in every run (splitmix64: G. L. Steele and others, "Fast
/// splittable pseudorandom number generators", OOPSLA 2014).
struct Draws(u64);

impl Draws {
    /// From 0 up to 1.
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Of the standard normal distribution (Box and Muller, 1958).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.share()).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jobs::clouds::CloudKind;

    #[test]
    fn spells_at_the_ends_are_not_whole() {
        let minutes = [true, true, false, true, true, true, false, false];
        assert_eq!(spells(&minutes), [(false, 1), (true, 3)]);
        assert_eq!(spells(&[true; 5]), []);
    }

    #[test]
    fn sun_is_shared_out_to_its_minutes() {
        let mut minutes = [0.0; 4];
        shine(&mut minutes, 50.0, 130.0);
        assert_eq!(minutes, [10.0, 60.0, 10.0, 0.0]);
    }

    #[test]
    fn the_sun_shines_for_what_clouds_leave() {
        for (cover, kind) in
            [(0.2, CloudKind::Cumulus), (0.5, CloudKind::Mixed), (0.8, CloudKind::Cumulus)]
        {
            let coming = Coming::new(&CloudField::new(cover, kind), &[60]);
            let sun = coming.sun_share.expected().unwrap();
            // a minute counts as sunny from a seventh of it on, so there is some more sun
            assert!((sun - (1.0 - cover)).abs() < 0.12, "{cover} {kind:?}: {sun}");
        }
    }

    #[test]
    fn the_same_sky_gives_the_same_figures_and_wind_more_changes() {
        let calm = CloudField { wind_m_s: Some(4.0), ..CloudField::new(0.5, CloudKind::Mixed) };
        let windy = CloudField { wind_m_s: Some(12.0), ..calm };
        let [slow, fast] = [calm, windy].map(|field| Coming::new(&field, &[45, 60]));
        assert_eq!(slow, Coming::new(&calm, &[45, 60]));
        let shadows = |coming: &Coming| coming.shadows_per_hour.expected().unwrap();
        let changes = |coming: &Coming| coming.changes_in(60).and_then(Spread::expected).unwrap();
        assert!(shadows(&fast) > 2.0 * shadows(&slow));
        // many of them pass within a minute, which counts by its mean
        assert!(changes(&fast) > changes(&slow));
    }
}
