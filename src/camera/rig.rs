//! A camera's exposure: from luminance to T-number and back.
//!
//! In: what the venue file states of a camera, a luminance in cd/m2. Out: a [`Rig`]
//! and the T-number that puts that luminance at white, or the video level at a
//! T-number; linear, 1 is white.
//!
//! Exposure of an image is `luminance * time / T^2` (ISO 2720, the relation for
//! reflected light, without its constant): the constant comes from the camera's
//! sensitivity as data sheets state it, a T-number for a white of 89.9 % at 2000 lx.

use crate::base::units::Luminance;
use crate::camera::lens_range::LensRange;
use crate::camera::ramp::{LensRamp, ZoomRange};
use crate::camera::setting::LOOKS_WRONG_STOPS;
use crate::camera::tones::Tones;
use crate::signal::{CameraCurve, CameraSensitivity, IrisSetting, Making};
use crate::venue::{ExposesFor, Output, Production, StatedExposure};

pub use crate::signal::{CHART_LUX, CHART_REFLECTANCE, DB_PER_STOP};

/// A camera as it exposes. What the file leaves open is common practice of modern
/// 2/3 inch cameras and box lenses, no source: T11 at 2000 lx and 50 frames, T1.9 to
/// T16 and best from T4 to T8, ND of 2, 4 and 6 stops, 600 to 1 with two stops of
/// knee, one second from hand to iris.
///
/// T-numbers are those on the ring of the lens. An extender of a factor takes
/// `2 log2(factor)` stops, since it spreads the same light over so many times the width of
/// the image: a factor of 2 takes two (common practice, no source).
#[derive(Debug, Clone, PartialEq)]
pub struct Rig {
    pub t_number_at_2000_lx: f64,
    /// The shutter's time over a whole frame, stops: 0 or less.
    pub shutter_stops: f64,
    /// What extender and filter take, stops: 0 or more.
    pub lost_stops: f64,
    /// How much warmer the filter makes the light, mired.
    pub filter_mired: f64,
    /// Of all focal lengths that are used.
    pub widest_t: f64,
    /// `None` unless the lens loses light at its long end.
    pub zoom: Option<ZoomRange>,
    pub narrowest_t: f64,
    /// Smallest and largest.
    pub prefers_t: (f64, f64),
    /// Rising, stops.
    pub nd_stops: Vec<f64>,
    /// Rising, dB.
    pub gain_db: Vec<f64>,
    /// White over the darkest tone with detail, stops.
    pub under_white_stops: f64,
    /// Stops over white that are kept in the output that the iris is set for.
    pub knee_stops: f64,
    /// Stops over white that the camera itself keeps.
    pub camera_keeps_stops: f64,
    /// Stops over white at which the sensor clips, where the file says.
    pub sensor_stops: Option<f64>,
    pub curve: CameraCurve,
    /// A bright side that is over by more looks wrong in that output, stops.
    pub looks_wrong_over_stops: f64,
    pub delay_s: f64,
    pub exposes_for: ExposesFor,
    /// Keys that the file leaves open.
    pub assumed: Vec<&'static str>,
}

impl Rig {
    /// What is stated, and what is usual where nothing is.
    pub fn of(stated: &StatedExposure) -> Self {
        let zoom = zoom_range(stated);
        let widest_t = zoom.as_ref().map(ZoomRange::widest_t).or(stated.widest_t);
        let mut assumed = Vec::new();
        let mut or = |key: &'static str, value: Option<f64>, usual: f64| {
            value.unwrap_or_else(|| {
                assumed.push(key);
                usual
            })
        };
        let frames = or("frames_per_s", stated.frames_per_s, 50.0);
        let t_number_at_2000_lx = or("t_number_at_2000_lx", stated.t_number_at_2000_lx, 11.0);
        let widest_t = or("widest_t", widest_t, 1.9);
        let narrowest_t = or("narrowest_t", stated.narrowest_t, 16.0);
        let tones = Tones::of(stated, &mut or);
        let extender_takes = 2.0 * stated.extender.unwrap_or(1.0).log2();
        let mut rig = Self {
            t_number_at_2000_lx,
            shutter_stops: (frames / stated.shutter_one_over.unwrap_or(frames)).log2().min(0.0),
            lost_stops: extender_takes + stated.filter_stops.unwrap_or(0.0),
            filter_mired: stated.filter_mired.unwrap_or(0.0),
            widest_t,
            zoom,
            narrowest_t,
            prefers_t: (0.0, 0.0),
            nd_stops: Vec::new(),
            gain_db: stated.gain_db.clone().unwrap_or_else(|| vec![0.0]),
            under_white_stops: tones.under_white_stops,
            knee_stops: tones.curve.sdr_keeps_stops,
            camera_keeps_stops: tones.camera_keeps_stops,
            sensor_stops: tones.sensor_stops,
            curve: tones.curve,
            looks_wrong_over_stops: LOOKS_WRONG_STOPS,
            delay_s: or("delay_s", stated.delay_s, 1.0),
            exposes_for: stated.exposes_for.unwrap_or_default(),
            assumed,
        };
        rig.nd_stops = stated.nd_stops.clone().unwrap_or_else(|| {
            rig.assumed.push("nd_stops");
            vec![0.0, 2.0, 4.0, 6.0]
        });
        let [from, to] = stated.prefers_t.unwrap_or_else(|| {
            rig.assumed.push("prefers_t");
            [4.0, 8.0]
        });
        // a lens cannot prefer what it cannot reach
        let within = |t: f64| t.clamp(rig.widest_t, rig.narrowest_t.max(rig.widest_t));
        rig.prefers_t = (within(from), within(to));
        rig
    }

    /// The same, set for the output that a production shades on; as it is without one.
    pub fn shaded_on(self, production: Option<&Production>) -> Self {
        let Some(production) = production else { return self };
        let making = Making::of(production, production.shades_on, &self.curve);
        self.for_making(&making)
    }

    /// The same, set for an output. In HDR nothing over reference white is squeezed, so a
    /// bright side looks bright, not wrong, up to the peak of the signal or of the camera: no
    /// published number says how far, the curves of BT.2100 do. SDR made of HDR looks wrong
    /// where SDR does.
    pub fn for_making(&self, making: &Making) -> Self {
        let keeps = making.keeps_over_stops(self.camera_keeps_stops);
        let over = match making.output() {
            Output::Sdr => LOOKS_WRONG_STOPS,
            Output::Hlg | Output::Pq => keeps.max(LOOKS_WRONG_STOPS),
        };
        Self { knee_stops: keeps, looks_wrong_over_stops: over, ..self.clone() }
    }

    /// T-number at which `white` is at 100 % video, with ND and gain.
    ///
    /// ```
    /// use quarterstop::camera::Rig;
    /// use quarterstop::base::units::Luminance;
    /// use quarterstop::venue::StatedExposure;
    /// let rig = Rig::of(&StatedExposure::default());
    /// // the chart of the sensitivity itself: T11
    /// let chart = Luminance::from_cd_per_m2(2000.0 * 0.899 / std::f64::consts::PI);
    /// assert!((rig.t_for_white(chart, 0.0, 0.0).unwrap() - 11.0).abs() < 1e-9);
    /// // two stops of ND open the iris by two stops, 6.02 dB close it by one
    /// assert!((rig.t_for_white(chart, 2.0, 0.0).unwrap() - 5.5).abs() < 1e-9);
    /// ```
    pub fn t_for_white(&self, white: Luminance, nd_stops: f64, gain_db: f64) -> Option<f64> {
        self.sensitivity().t_for_white(white, nd_stops, gain_db)
    }

    /// What turns an iris into a luminance at white.
    pub fn sensitivity(&self) -> CameraSensitivity {
        CameraSensitivity {
            t_number_at_2000_lx: self.t_number_at_2000_lx,
            shutter_stops: self.shutter_stops - self.lost_stops,
        }
    }

    /// The same with the lens at one focal length, without an extender, mm.
    pub fn zoomed_to(self, focal_mm: f64) -> Self {
        let Some(zoom) = self.zoom else { return self };
        let zoom = ZoomRange { used_mm: (focal_mm, focal_mm), ..zoom };
        Self { widest_t: zoom.widest_t(), zoom: Some(zoom), ..self }
    }

    /// The T-numbers that the lens has.
    pub fn lens(&self) -> LensRange {
        LensRange { widest_t: self.widest_t, narrowest_t: self.narrowest_t }
    }

    /// What is set where a luminance is wanted at white, with an ND: gain where the lens opens
    /// no farther, and less light where that is not enough; the iris closes no farther than it
    /// goes. `None` in darkness.
    pub fn reach(&self, white: Luminance, nd_stops: f64) -> Option<IrisSetting> {
        let wanted = |gain_db: f64| self.t_for_white(white, nd_stops, gain_db);
        let mut gains = self.gain_db.iter().copied().filter(|gain| *gain > 0.0);
        let enough = |gain: &f64| wanted(*gain).is_some_and(|t| t >= self.widest_t);
        let gain_db = match enough(&0.0) {
            true => 0.0,
            false => gains.clone().find(enough).or(gains.next_back()).unwrap_or(0.0),
        };
        let t_number = self.lens().set_t(wanted(gain_db)?);
        Some(IrisSetting { t_number, nd_stops, gain_db })
    }

    /// Linear video level of a luminance, 1 at white, where `white` is the luminance
    /// that is at white.
    pub fn level(luminance: Luminance, white: Luminance) -> f64 {
        match white.cd_per_m2() {
            white if white > 0.0 => luminance.cd_per_m2() / white,
            _ => 0.0,
        }
    }
}

/// The lens's loss of light over the focal lengths that are used: those stated, else the
/// camera's own, else all of the ramp.
fn zoom_range(stated: &StatedExposure) -> Option<ZoomRange> {
    let pairs = stated.widest_t_by_mm.as_deref()?;
    let ramp = LensRamp::new(pairs)?;
    let ends = pairs.first().zip(pairs.last()).map(|(first, last)| (first[0], last[0]));
    let own = stated.focal_mm.map(|focal_mm| (focal_mm, focal_mm));
    let used_mm = stated.zoom_mm.map(|[from, to]| (from, to)).or(own).or(ends)?;
    Some(ZoomRange { ramp, used_mm })
}

/// Stops from one T-number down to another: twice the logarithm of their ratio.
pub fn stops_between_t(wide: f64, narrow: f64) -> f64 {
    2.0 * (narrow / wide).log2()
}
