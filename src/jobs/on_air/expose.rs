//! How a camera is set for a picture.
//!
//! In: what the camera sees at an instant, its rig, what the exposure is for. Out: [`Set`]:
//! the luminance at white with iris, ND and gain, and the light that is balanced to. A lens that
//! opens no farther takes gain, and what is then still missing leaves the picture dark.

use crate::base::units::Luminance;
use crate::camera::{CameraView, Rig, SkinLight, exposure, skin_lights, stops_between_t};
use crate::engine::view::ViewLight;
use crate::light::{ColourTemperature, Tristimulus};
use crate::output::words::{nd_in_full, nd_words};
use crate::signal::{Chain, Output, WhiteBalance};
use crate::venue::Subject;

/// Less than this nobody sees, stops.
const UNSEEN_STOPS: f64 = 0.05;

/// What belongs at white, or what is balanced to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
#[derive(serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Expose {
    /// The sunlit side
    Sun,
    /// The shaded side
    Shade,
    /// One setting for both
    Between,
}

impl Expose {
    pub const ALL: [Self; 3] = [Self::Sun, Self::Between, Self::Shade];

    /// In words, after "exposed".
    pub fn words(self) -> &'static str {
        match self {
            Self::Sun => "for the sun",
            Self::Shade => "for the shade",
            Self::Between => "between",
        }
    }
}

/// A camera as it is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    pub expose: Expose,
    pub white: Luminance,
    /// `None` where no light asks for one.
    pub t_number: Option<f64>,
    pub nd_stops: f64,
    pub gain_db: f64,
    /// How much darker than wanted, stops: 0 unless the lens is wide open at the highest gain.
    pub dark_stops: f64,
    /// How much brighter than wanted, stops: 0 unless the lens is closed all the way.
    pub bright_stops: f64,
    /// Colour temperature of the light that is balanced to, K.
    pub balanced_k: Option<f64>,
    /// What an optical filter makes of that, K; `None` without one.
    pub behind_filter_k: Option<f64>,
    /// In every light that the picture shows, of the skins that the venue file names.
    pub skins: Vec<SkinLight>,
    /// White over the darkest tone with detail, and what the knee keeps over it, stops.
    pub under_white_stops: f64,
    pub knee_stops: f64,
    pub chain: Chain,
}

impl Set {
    /// `seen` is what the camera sees of its cover; nothing of it is needed where it sees no
    /// field, which is exposed for grass in the open. Behind the ND that is stated, stops, else
    /// the least that lets the iris work where the lens likes it.
    pub fn new(
        [expose, balance]: [Expose; 2],
        seen: Option<&CameraView>,
        (rig, nd_stops): (&Rig, Option<f64>),
        subject: &Subject,
        light: &ViewLight,
    ) -> Self {
        let exposure = seen.and_then(|view| exposure(view, rig, subject));
        let at_white = subject.skin_reflectance * subject.skin_under_white_stops.exp2();
        let open = |light: Tristimulus| {
            Luminance::from_cd_per_m2(light.lux() * at_white * std::f64::consts::FRAC_1_PI)
        };
        let white = match (exposure, expose) {
            (Some(e), Expose::Sun) => e.sun.unwrap_or(e.shade),
            (Some(e), Expose::Shade) => e.shade,
            (Some(e), Expose::Between) => e.one.white,
            (None, Expose::Shade) => open(light.shade_light()),
            (None, _) => open(light.open_light()),
        };
        let (sun, shade) = (light.open_light(), light.shade_light());
        let balanced = match balance {
            Expose::Sun => sun,
            Expose::Shade => shade,
            Expose::Between => sun.scaled_to(1.0) + shade.scaled_to(1.0),
        };
        let set = rig.reach(white, nd_stops.unwrap_or_else(|| least_nd(rig, white)));
        let missing = set.map_or(0.0, |set| {
            let wanted = rig.t_for_white(white, set.nd_stops, set.gain_db);
            wanted.map_or(0.0, |wanted| stops_between_t(wanted, set.t_number))
        });
        let missing = if missing.abs() < UNSEEN_STOPS { 0.0 } else { missing };
        let white = Luminance::from_cd_per_m2(white.cd_per_m2() * missing.exp2());
        let balanced_k = ColourTemperature::of(balanced).map(|t| t.kelvin);
        let filtered = |k: f64| 1e6 / (1e6 / k + rig.filter_mired);
        Self {
            expose,
            white,
            t_number: set.map(|set| set.t_number),
            nd_stops: set.map_or(0.0, |set| set.nd_stops),
            gain_db: set.map_or(0.0, |set| set.gain_db),
            dark_stops: missing.max(0.0),
            bright_stops: (-missing).max(0.0),
            balanced_k,
            behind_filter_k: balanced_k.filter(|_| rig.filter_mired != 0.0).map(filtered),
            skins: seen.map_or_else(Vec::new, |v| skin_lights(v, rig, subject.skins, white)),
            under_white_stops: rig.under_white_stops,
            knee_stops: rig.knee_stops,
            chain: Chain {
                white,
                balance: WhiteBalance::to(balanced),
                curve: rig.curve,
                // where nobody says, a sensor holds at least what HLG shows
                sensor_stops: rig
                    .sensor_stops
                    .unwrap_or_else(|| rig.knee_stops.max(Output::Hlg.headroom_stops())),
            },
        }
    }

    /// Iris, ND and gain, and what is still missing.
    pub fn iris_words(&self) -> String {
        self.iris_with(nd_words)
    }

    fn iris_with(&self, nd_words: fn(f64) -> String) -> String {
        let iris = self.t_number.map_or_else(String::new, |t| format!("T{t:.1}, "));
        let nd = match self.nd_stops > 0.0 {
            true => nd_words(self.nd_stops),
            false => "no ND".to_owned(),
        };
        let gain = match self.gain_db != 0.0 {
            true => format!(", {:+.0} dB", self.gain_db),
            false => String::new(),
        };
        let dark = match self.dark_stops > 0.0 {
            true => format!(", wide open and {:.1} stops dark", self.dark_stops),
            false => String::new(),
        };
        let bright = match self.bright_stops > 0.0 {
            true => format!(", closed all the way and {:.1} stops bright", self.bright_stops),
            false => String::new(),
        };
        iris + &nd + &gain + &dark + &bright
    }

    /// Iris, ND by share and in stops, and balance in a line.
    pub fn words(&self) -> String {
        let round = |k: f64| (k / 50.0).round() * 50.0;
        let balanced =
            self.balanced_k.map_or_else(String::new, |k| format!(", white at {:.0} K", round(k)));
        let behind = self
            .behind_filter_k
            .map_or_else(String::new, |k| format!(" ({:.0} K behind the filter)", round(k)));
        self.iris_with(nd_in_full) + &balanced + &behind
    }
}

/// The least ND that lets the iris work where the lens likes it, or as near as the wheel goes,
/// stops.
fn least_nd(rig: &Rig, white: Luminance) -> f64 {
    let off = |nd: f64| {
        let t = rig.t_for_white(white, nd, 0.0)?;
        let (low, high) = rig.prefers_t;
        Some((2.0 * (low / t).log2()).max(2.0 * (t / high).log2()).max(0.0))
    };
    let all = rig.nd_stops.iter().filter_map(|nd| Some((*nd, off(*nd)?)));
    let best = all.min_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or(0.0, |(nd, _)| nd)
}
