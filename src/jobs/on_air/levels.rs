//! Levels at named places of a picture.
//!
//! In: a [`LinearPicture`], how the camera is set, the HDR output. Out: for turf in sun and in
//! shade, seats, kits, skins and sky: luminance in cd/m2, stops from the grey card, code
//! values at 10 bits in narrow range, and how much of it is clipped or crushed.

use super::develop::{Hdr, ToneZone, zones};
use super::expose::Set;
use crate::engine::view::{Figure, FigurePart, LinearPicture, PixelContent};
use crate::light::Tristimulus;
use crate::signal::{CodeRange, GREY_CARD_REFLECTANCE, Output};
use crate::venue::Part;

/// More of the sun's light arrives where something counts as sunlit, less where as shaded.
const SUNLIT: f32 = 0.9;
const SHADED: f32 = 0.1;
/// Fewer pixels say nothing.
const FEWEST_PIXELS: usize = 4;
const BITS: u32 = 10;

/// One place.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedLevel {
    pub name: String,
    /// How many pixels show it.
    pub pixels: usize,
    /// Mean, cd/m2.
    pub luminance_cd_per_m2: f64,
    /// Of that mean, from where a grey card of 18 % lies: 2.47 stops under white.
    pub stops_from_grey: f64,
    /// Green at 10 bits, narrow range, of the mean light: SDR, HDR, SDR made of the HDR.
    pub codes: [u32; 3],
    /// Share of its pixels, 0 to 1, in SDR and in HDR.
    pub clipped_shares: [f64; 2],
    pub crushed_shares: [f64; 2],
}

/// All places that a picture shows; `surface` is what the ground of play is called.
pub fn levels(
    surface: &str,
    picture: &LinearPicture,
    figures: &[Figure],
    set: &Set,
    hdr: Hdr,
) -> Vec<NamedLevel> {
    let zones = [zones(picture, set, Output::Sdr), zones(picture, set, hdr.output)];
    let level = |name: String, is: &dyn Fn(PixelContent, f32) -> bool| {
        let all = picture.seen.iter().zip(&picture.sun).enumerate();
        let of: Vec<usize> =
            all.filter(|(_, (seen, sun))| is(**seen, **sun)).map(|(i, _)| i).collect();
        (of.len() >= FEWEST_PIXELS).then(|| named(name, &of, picture, &zones, set, hdr))
    };
    let mut found = Vec::new();
    found.extend(
        brightest_turf(picture)
            .map(|of| named(format!("brightest {surface}"), &of, picture, &zones, set, hdr)),
    );
    found.extend(level(format!("{surface} in sun"), &|s, sun| {
        s == PixelContent::Turf && sun > SUNLIT
    }));
    found.extend(level(format!("{surface} in shade"), &|s, sun| {
        s == PixelContent::Turf && sun < SHADED
    }));
    let deck = PixelContent::Body(Part::Deck);
    found.extend(level("seats in sun".into(), &|s, sun| s == deck && sun > SUNLIT));
    found.extend(level("seats in shade".into(), &|s, sun| s == deck && sun < SHADED));
    for (i, figure) in figures.iter().enumerate() {
        let i = i as u8;
        let kit = figure.kit.name().to_owned();
        found.extend(level(kit.clone(), &|s, _| s == PixelContent::Figure(i, FigurePart::Kit)));
        let skin = format!("{} beside {kit}", figure.skin.name());
        found.extend(level(skin, &|s, _| s == PixelContent::Figure(i, FigurePart::Skin)));
    }
    found.extend(level("sky".into(), &|s, _| s == PixelContent::Sky));
    found
}

/// The brightest hundredth of the turf.
fn brightest_turf(picture: &LinearPicture) -> Option<Vec<usize>> {
    let mut turf: Vec<usize> =
        (0..picture.seen.len()).filter(|i| picture.seen[*i] == PixelContent::Turf).collect();
    turf.sort_by(|a, b| picture.light[*b][1].total_cmp(&picture.light[*a][1]));
    turf.truncate(turf.len().div_ceil(100));
    (turf.len() >= FEWEST_PIXELS).then_some(turf)
}

fn named(
    name: String,
    of: &[usize],
    picture: &LinearPicture,
    zones: &[Vec<ToneZone>; 2],
    set: &Set,
    hdr: Hdr,
) -> NamedLevel {
    let sum: Tristimulus =
        of.iter().map(|i| Tristimulus::from(picture.light[*i].map(f64::from))).sum();
    let mean = sum * (1.0 / of.len() as f64);
    let share = |of_zones: &[ToneZone], is: fn(ToneZone) -> bool| {
        of.iter().filter(|i| is(of_zones[**i])).count() as f64 / of.len() as f64
    };
    let code = |signal: [f64; 3]| CodeRange::Narrow.code(signal[1], BITS);
    let grey = set.white.cd_per_m2() * GREY_CARD_REFLECTANCE;
    NamedLevel {
        name,
        pixels: of.len(),
        luminance_cd_per_m2: mean.y,
        stops_from_grey: (mean.y.max(1e-9) / grey.max(1e-9)).log2(),
        codes: [
            code(set.chain.signal(mean, Output::Sdr)),
            code(set.chain.signal(mean, hdr.output)),
            code(set.chain.sdr_of(mean, hdr.output, hdr.sdr_by)),
        ],
        clipped_shares: [0, 1].map(|i| share(&zones[i], ToneZone::is_clipped)),
        crushed_shares: [0, 1].map(|i| share(&zones[i], |zone| zone == ToneZone::Crushed)),
    }
}
