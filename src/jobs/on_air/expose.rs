//! How a camera is set for a picture.
//!
//! In: what the camera sees at an instant, its rig, what the exposure is for. Out: [`Set`]:
//! the luminance at white with iris and ND, and the light that is balanced to.

use crate::base::units::Luminance;
use crate::camera::{CameraView, Rig, exposure};
use crate::engine::view::ViewLight;
use crate::light::{ColourTemperature, Tristimulus};
use crate::signal::{BlackStretch, Chain, Knee, Output, WhiteBalance};
use crate::venue::Subject;

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
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Set {
    pub expose: Expose,
    pub white: Luminance,
    /// `None` where no light asks for one.
    pub t_number: Option<f64>,
    pub nd_stops: f64,
    /// Colour temperature of the light that is balanced to, K.
    pub balanced_k: Option<f64>,
    /// White over the darkest tone with detail, and what the knee keeps over it, stops.
    pub under_white_stops: f64,
    pub knee_stops: f64,
    pub chain: Chain,
}

impl Set {
    /// `seen` is what the camera sees of its cover; nothing of it is needed where it sees no
    /// field, which is exposed for grass in the open.
    pub fn new(
        expose: Expose,
        balance: Expose,
        seen: Option<&CameraView>,
        rig: &Rig,
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
        let (t_number, nd_stops) = iris(rig, white);
        Self {
            expose,
            white,
            t_number,
            nd_stops,
            balanced_k: ColourTemperature::of(balanced).map(|t| t.kelvin),
            under_white_stops: rig.under_white_stops,
            knee_stops: rig.knee_stops,
            chain: Chain {
                white,
                balance: WhiteBalance::to(balanced),
                knee: Knee::reaching(Knee::DEFAULT_POINT, rig.knee_stops, 1.0),
                black_stretch: BlackStretch::OFF,
                // a sensor holds at least what HLG shows
                sensor_stops: rig.knee_stops.max(Output::Hlg.headroom_stops()),
            },
        }
    }

    /// Iris and ND.
    pub fn iris_words(&self) -> String {
        let iris = self.t_number.map_or_else(String::new, |t| format!("T{t:.1}, "));
        match self.nd_stops > 0.0 {
            true => format!("{iris}ND {:.0} stops", self.nd_stops),
            false => format!("{iris}no ND"),
        }
    }

    /// Iris, ND and balance in a line.
    pub fn words(&self) -> String {
        let balanced = self
            .balanced_k
            .map_or_else(String::new, |k| format!(", white at {:.0} K", (k / 50.0).round() * 50.0));
        self.iris_words() + &balanced
    }
}

/// The least ND that lets the iris work where the lens likes it, or as near as the wheel goes.
fn iris(rig: &Rig, white: Luminance) -> (Option<f64>, f64) {
    let off = |nd: f64| {
        let t = rig.t_for_white(white, nd, 0.0)?;
        let (low, high) = rig.prefers_t;
        Some((2.0 * (low / t).log2()).max(2.0 * (t / high).log2()).max(0.0))
    };
    let all = rig.nd_stops.iter().filter_map(|nd| Some((*nd, off(*nd)?)));
    let best = all.min_by(|a, b| a.1.total_cmp(&b.1));
    let nd = best.map_or(0.0, |(nd, _)| nd);
    (rig.t_for_white(white, nd, 0.0), nd)
}
