//! What clips and what is crushed, over the picture in grey, in two outputs.

use super::page::{MARGIN, Page};
use super::{Inset, colour_of};
use crate::jobs::on_air::develop::{ToneZone, keeps_over_stops};
use crate::jobs::on_air::expose::Set;
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette::{INK, MUTED};
use crate::output::draw::sketch::Lettering;
use crate::output::error::RenderError;
use crate::signal::{GREY_CARD_REFLECTANCE, Output};

const GAP: f64 = 30.0;

/// Draws the zones of SDR and of HDR beside each other. `head` is venue and camera, date and
/// setting.
///
/// # Errors
/// [`RenderError`] when a library fails.
pub fn overlay(
    head: [&str; 4],
    sdr: &Inset,
    zones: [&[ToneZone]; 2],
    set: &Set,
    hdr: Output,
) -> Result<Vec<u8>, RenderError> {
    let [width, _] = sdr.size;
    let mut page = Page::new((2.0 * MARGIN + GAP + 2.0 * width as f64) as u32);
    let top = page.heading([head[0], head[1]], [head[2], head[3]]);
    let hdr_name = match hdr {
        Output::Pq => "HDR (PQ)",
        _ => "HDR (HLG)",
    };
    let mut bottom = top;
    for (i, (name, zones)) in ["SDR", hdr_name].into_iter().zip(zones).enumerate() {
        let share = |is: fn(ToneZone) -> bool| {
            let count = zones.iter().filter(|z| is(**z)).count();
            100.0 * count as f64 / zones.len().max(1) as f64
        };
        let words = format!(
            "{name}: {:.1} % of the picture clips, {:.1} % is crushed",
            share(ToneZone::is_clipped),
            share(|zone| zone == ToneZone::Crushed)
        );
        let left = MARGIN + i as f64 * (width as f64 + GAP);
        bottom = page.put(sdr.with_zones(zones), [left, top], &[(&words, true)]);
    }
    let legend = Legend {
        left: MARGIN,
        right: page.right(),
        sample: [44.0, 24.0],
        row: 36.0,
        text: Lettering::of(22.0),
    };
    let entries: Vec<LegendEntry<'_>> = ToneZone::ALL
        .into_iter()
        .filter_map(|zone| Some((zone, colour_of(zone)?)))
        .map(|(zone, colour)| {
            LegendEntry::new(meaning(zone, set, hdr), move |sketch, plate| {
                sketch.plate(plate, colour, INK);
            })
        })
        .collect();
    bottom = legend.draw(&mut page.sketch, bottom + 4.0, &entries);
    let note = "Stops from an 18 % grey card; grey where the picture is kept.";
    page.sketch.text(note, [MARGIN, bottom + 18.0], Lettering::of(22.0).colour(MUTED));
    let title = format!("{}, {}: what clips and what is crushed", head[0], head[1]);
    page.png(bottom + 40.0, &title, note)
}

/// A zone in stops from grey.
fn meaning(zone: ToneZone, set: &Set, hdr: Output) -> String {
    let white = -GREY_CARD_REFLECTANCE.log2();
    let black = white - set.under_white_stops;
    let [sdr, hdr] = [Output::Sdr, hdr].map(|output| white + keeps_over_stops(set, output));
    match zone {
        ToneZone::Crushed => format!("crushed: under {black:+.1}"),
        ToneZone::NearBlack => format!("near black: {black:+.1} to {:+.1}", black + 1.0),
        ToneZone::Kept => "kept".into(),
        ToneZone::InKnee => format!("over white: from {white:+.1}"),
        ToneZone::Clipped => format!("clips: from {sdr:+.1} in SDR, {hdr:+.1} in HDR"),
        ToneZone::FarClipped => "clips by over a stop".into(),
    }
}
