//! What the signs of the drawing mean, and its scale.

use geo::{Area, BooleanOps, MultiPolygon};
use plotters::style::RGBColor;

use crate::base::units::Transmittance;
use crate::engine::Instant;
use crate::geometry::Dimmed;
use crate::output::draw::palette::{BLUE, INK, MUTED, PAPER, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::draw::{clip, contours};
use crate::output::words::share_text;
use crate::solar::SunState;
use crate::venue::Field;

use super::ground::BodyStyle;
use super::layout::{LEGEND, PlanView};
use super::{around, cameras, ground, shade};

/// Ground beside the field that is dimmed has a sign from this area on, m2.
const SHOWN_M2: f64 = 0.1;

/// What appears on the drawing and wants a word.
pub(crate) struct LegendContent<'a> {
    pub field: &'a Field,
    pub looks: Vec<BodyStyle>,
    pub overhang: bool,
    /// Words for the contours that are drawn.
    pub relief: Option<String>,
    /// Whether the edge of the sun crosses any of the ground.
    pub edge: bool,
    pub covers: bool,
    /// Cameras with the edge in shot, and without.
    pub markers: [bool; 2],
}

enum Sign {
    Patch(RGBColor),
    Hatched(RGBColor),
    Contour,
    TurfEdge,
    FaceEdge,
    Overhang,
    Coverage,
    Marker(bool),
}

/// The signs used, and the scale.
pub(crate) fn legend(
    sketch: &mut Sketch,
    view: &PlanView,
    instant: &Instant,
    shown: &LegendContent,
) {
    let scale_left = scale_bar(sketch, view);
    let lettering = Lettering::of(25.0);
    let (mut x, mut y) = (LEGEND.left, LEGEND.top + 20.0);
    for (sign, text) in signs(instant, shown) {
        let width = 58.0 + lettering.width(&text);
        // the scale stands at the right end of the first row
        let right = if y < LEGEND.top + 60.0 { scale_left - 30.0 } else { LEGEND.right };
        if x + width > right && x > LEGEND.left {
            (x, y) = (LEGEND.left, y + 42.0);
        }
        draw_sign(sketch, PxBox::around([x + 23.0, y], 46.0, 28.0), sign);
        sketch.text(text, [x + 58.0, y], lettering);
        x += width + 36.0;
    }
}

fn signs(instant: &Instant, shown: &LegendContent) -> Vec<(Sign, String)> {
    let mut signs = Vec::new();
    let up = instant.sun_state == SunState::Up;
    if up {
        signs.push((Sign::Patch(lit_colour(shown.field.surface)), "Full sun".to_owned()));
    }
    if up && shown.field.playing_area != shown.field.outline {
        signs.push((
            Sign::Patch(around::playing_colour(shown.field.surface)),
            "Playing area".to_owned(),
        ));
    }
    if up && shown.field.surrounds != shown.field.playing_area {
        signs.push((Sign::Patch(around::SURROUNDS), "Ground around".to_owned()));
    }
    signs.extend(dimmed_signs(instant, shown.field));
    let shade_name = if up { "Shade" } else { "No direct sun" };
    signs.push((Sign::Patch(shade::SHADE), shade_name.to_owned()));
    if shown.edge {
        signs.push((
            Sign::TurfEdge,
            format!("Edge of full sun on {} (0 m)", shown.field.surface.short_name()),
        ));
    }
    if !instant.face.edge.is_empty() {
        signs.push((Sign::FaceEdge, "Edge at face height (1.7 m)".to_owned()));
    }
    for look in &shown.looks {
        if let Some(name) = look.name() {
            signs.push((Sign::Patch(look.colour()), name.to_owned()));
        }
    }
    if let Some(words) = &shown.relief {
        let words = format!("{}{}", words[..1].to_uppercase(), &words[1..]);
        signs.push((Sign::Contour, words));
    }
    if shown.overhang {
        signs.push((Sign::Overhang, "Roof rim over the ground".to_owned()));
    }
    let [with_edge, without] = shown.markers;
    if with_edge {
        signs.push((Sign::Marker(true), "Camera, edge in shot".to_owned()));
    }
    if without {
        signs.push((Sign::Marker(false), "Camera, no edge in shot".to_owned()));
    }
    if shown.covers {
        signs.push((Sign::Coverage, "Camera cover, colours as in list".to_owned()));
    }
    signs
}

/// One sign for each share that passes, or one for all where they are many.
fn dimmed_signs(instant: &Instant, field: &Field) -> Vec<(Sign, String)> {
    // what is dimmed beside the field of play has its sign as well
    let dimmed = instant.turf.shadow.dimmed.iter();
    let surrounds = MultiPolygon::from(field.surrounds.clone());
    let reaches = |d: &&Dimmed| d.region.intersection(&surrounds).unsigned_area() > SHOWN_M2;
    let beside = instant.turf.ground.dimmed.iter().filter(reaches);
    let mut shares: Vec<f64> = dimmed.chain(beside).map(|d| d.transmittance.share()).collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup_by_key(|share| share_text(*share));
    let colour = |share: f64| shade::dimmed_colour(field.surface, Transmittance::from_share(share));
    let sign = |share: f64| Sign::Hatched(colour(share));
    match shares.as_slice() {
        [] => Vec::new(),
        [low, .., high] if shares.len() > 3 => {
            let text = format!("Dimmed, {} to {} passes", share_text(*low), share_text(*high));
            vec![(sign(0.5 * (low + high)), text)]
        }
        few => {
            few.iter().map(|&s| (sign(s), format!("Dimmed, {} passes", share_text(s)))).collect()
        }
    }
}

fn draw_sign(sketch: &mut Sketch, area: PxBox, sign: Sign) {
    let middle = area.middle()[1];
    let line = [[area.left, middle], [area.right, middle]];
    match sign {
        Sign::Patch(colour) => sketch.plate(area, colour, MUTED),
        Sign::Hatched(colour) => {
            sketch.plate(area, colour, MUTED);
            let ring = vec![area.grown(-2.0).ring().to_vec()];
            for stroke in clip::hatching(&ring, 9.0) {
                sketch.stroke(stroke, 1, shade::HATCH);
            }
        }
        Sign::Contour => sketch.stroke(line, contours::WIDTH_PX, contours::COLOUR),
        Sign::TurfEdge => sketch.stroke(line, 6, shade::TURF_EDGE),
        Sign::FaceEdge => shade::dashed(sketch, &line),
        Sign::Overhang => ground::overhang(sketch, &line),
        Sign::Coverage => sketch.stroke(line, 2, BLUE),
        Sign::Marker(filled) => cameras::numbered(sketch, &area, "1", filled),
    }
}

/// A bar of a round length; gives back where it begins.
pub(crate) fn scale_bar(sketch: &mut Sketch, view: &PlanView) -> f64 {
    let longest = 240.0 / view.scale;
    let decade = 10.0_f64.powf(longest.log10().floor());
    let steps = [5.0, 2.0, 1.0].map(|step| step * decade);
    let length = steps.into_iter().find(|s| *s <= longest).unwrap_or(decade);
    let text = Lettering::of(25.0);
    let label = format!("{length} m");
    let right = LEGEND.right - text.width(&label) - 14.0;
    let left = right - length * view.scale;
    let y = LEGEND.top + 20.0;
    let half = 0.5 * (left + right);
    sketch.plate(PxBox { left, top: y - 8.0, right, bottom: y + 8.0 }, PAPER, INK);
    sketch.fill(PxBox { left, top: y - 8.0, right: half, bottom: y + 8.0 }.ring(), INK);
    sketch.text(label, [LEGEND.right, y], text.align(Align::Right));
    left
}
