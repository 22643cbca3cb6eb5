//! Heading, names of what stands, and the signs under the chart.

use plotters::style::RGBColor;

use crate::base::plane::dashes;
use crate::engine::{ElevationSpan, SeenInDirection, SpotKind};
use crate::jobs::look_up::LookUp;
use crate::jobs::look_up::report::standing;
use crate::output::draw::clip;
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette::{
    BLUISH_GREEN, INK, MUTED, ORANGE, REDDISH_PURPLE, VERMILLION, YELLOW,
};
use crate::output::draw::placer::Labels;
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::Venue;

use super::around::{DIMMED, HATCH_PX, LAND, LEAVES, OPAQUE, RIM};
use super::chart::SkyChart;
use super::paths::{DayPen, LightStrength, day_words};
use super::{MARGIN, PAGE, around};

const TEXT: f64 = 27.0;
const SMALL: f64 = 24.0;
const ROWS: [f64; 3] = [60.0, 116.0, 158.0];
const ROW_PX: f64 = 40.0;
const SWATCH: [f64; 2] = [52.0, 26.0];
/// A thing whose share of the chart is narrower has no name there, degrees.
const NAMED_FROM_DEG: f64 = 1.5;

/// Places for a name are looked for in each so many azimuths.
const LOOK_EVERY: usize = 6;

/// The name of the picture.
pub(super) fn title(venue: &Venue, look: &LookUp) -> String {
    let date = look.date().map_or_else(String::new, |d| d.date.format(", %Y-%m-%d").to_string());
    format!("{}, looking up from {}{date}", venue.title, look.spot.name)
}

/// The picture in a sentence.
pub(super) fn description(look: &LookUp) -> String {
    let Some(day) = look.date() else { return String::new() };
    let lit =
        day.spans.iter().filter(|s| LightStrength::of(s.sunlight) == Some(LightStrength::Lit));
    let spans: Vec<String> = lit
        .map(|s| format!("{} to {}", s.from.format("%H:%M:%S"), s.until.format("%H:%M:%S")))
        .collect();
    let when = if spans.is_empty() { "at no time".to_owned() } else { spans.join(", ") };
    format!(
        "What stands around {} and the paths of the sun; on {} the sun reaches it {when}.",
        look.spot.name,
        day.date.format("%-d %B %Y")
    )
}

/// Venue and place on the left, date on the right.
pub(super) fn heading(sketch: &mut Sketch, venue: &Venue, look: &LookUp) {
    let date = look.date().map(|d| d.date);
    let of = |form: &str| date.map_or_else(String::new, |d| d.format(form).to_string());
    let right_edge = f64::from(PAGE) - MARGIN;
    let plain = Lettering::of(TEXT).align(Align::Right);
    let right = [
        (of("%-d %B %Y"), Lettering::of(46.0).bold().align(Align::Right)),
        (of("%A"), plain),
        (window_words(look), plain.colour(MUTED)),
    ];
    let left = [
        (venue.title.clone(), 46.0, Weight::Bold, INK),
        (format!("Looking up from {}", look.spot.name), TEXT, Weight::Regular, INK),
        (place_words(venue, look), TEXT, Weight::Regular, MUTED),
    ];
    for (((text, lettering), (name, size, weight, colour)), row) in
        right.into_iter().zip(left).zip(ROWS)
    {
        let text = fitted(&text, 0.45 * f64::from(PAGE), lettering.size, lettering.weight);
        let room = right_edge - MARGIN - lettering.width(&text) - 40.0;
        sketch.text(text, [right_edge, row], lettering);
        let name = fitted(&name, room, size, weight);
        sketch.text(name, [MARGIN, row], Lettering { size, weight, colour, align: Align::Left });
    }
}

fn window_words(look: &LookUp) -> String {
    look.window.map_or_else(String::new, |(from, until)| {
        format!("fixture {} to {}", from.format("%H:%M"), until.format("%H:%M"))
    })
}

fn place_words(venue: &Venue, look: &LookUp) -> String {
    let at = venue.field.frame.to_field(look.spot.at);
    let side = |metres: f64, positive: &str, negative: &str| {
        let word = if metres < 0.0 { negative } else { positive };
        format!("{:.1} m {word}", metres.abs())
    };
    let spot = look.spot.at;
    let ground_m = venue.relief.as_ref().map_or(0.0, |relief| relief.height_m(spot.x, spot.y));
    let what = match look.spot.kind {
        SpotKind::Camera(_) => "lens",
        SpotKind::Mark | SpotKind::Point => "eye",
    };
    format!(
        "{}, {} of the centre of play, {what} {:.1} m over the {}",
        side(at.along_m, "ahead", "behind"),
        side(at.across_m, "left", "right"),
        at.up_m - ground_m,
        venue.field.surface.name()
    )
}

/// Names of what stands, along its upper edge.
pub(super) fn names(
    sketch: &mut Sketch,
    labels: &mut Labels,
    venue: &Venue,
    chart: &SkyChart,
    columns: &[(f64, &[ElevationSpan])],
) {
    let mut things: Vec<(usize, Vec<[f64; 3]>)> = Vec::new();
    for (turn, runs) in columns {
        for run in *runs {
            let (SeenInDirection::Opaque { by } | SeenInDirection::Dimmed { by }) = run.seen else {
                continue;
            };
            let part = [*turn, run.from.degrees(), run.until.degrees().min(chart.top_deg)];
            match things.iter_mut().find(|(thing, _)| *thing == by) {
                Some((_, parts)) => parts.push(part),
                None => things.push((by, vec![part])),
            }
        }
    }
    // wide things first: they have the fewest other places
    things.sort_by_key(|(_, parts)| std::cmp::Reverse(parts.len()));
    for (thing, parts) in things {
        let Some(occluder) = venue.occluders.get(thing) else { continue };
        let lettering = Lettering::of(25.0).bold();
        let text = fitted(&occluder.name, 420.0, lettering.size, lettering.weight);
        let wide = parts.len() as f64 * crate::geometry::PANORAMA_STEP_DEG;
        if wide < NAMED_FROM_DEG && !around::is_tree(venue, thing) {
            narrow_name(sketch, labels, chart, &text, &parts);
            continue;
        }
        let half = 0.5 * lettering.width(&text);
        let inside = |middle: &Px| {
            // the whole word on the thing: both ends and the middle
            [-half, 0.0, half].iter().all(|dx| {
                let at = [middle[0] + dx, middle[1]];
                parts.iter().any(|[turn, from, until]| {
                    let ([x, low], [_, high]) = (chart.px(*turn, *from), chart.px(*turn, *until));
                    (x - at[0]).abs() <= 2.0 && high + 14.0 <= at[1] && at[1] <= low - 10.0
                })
            })
        };
        let mut under: Vec<Px> = parts
            .iter()
            .step_by(LOOK_EVERY)
            .flat_map(|[turn, _, until]| {
                let [x, y] = chart.px(*turn, *until);
                [24.0, 40.0, 64.0, 96.0].map(|dy| [x, y + dy])
            })
            .filter(inside)
            .collect();
        let middle = under.iter().map(|p| p[0]).sum::<f64>() / under.len().max(1) as f64;
        under.sort_by(|a, b| (a[0] - middle).abs().total_cmp(&(b[0] - middle).abs()));
        if !labels.write(sketch, &text, lettering, under) {
            narrow_name(sketch, labels, chart, &text, &parts);
        }
    }
}

/// A name over a thing that is too small to hold it.
fn narrow_name(
    sketch: &mut Sketch,
    labels: &mut Labels,
    chart: &SkyChart,
    text: &str,
    parts: &[[f64; 3]],
) {
    let Some(top) = parts.iter().max_by(|a, b| a[2].total_cmp(&b[2])) else { return };
    let mean = parts.iter().map(|p| p[0]).sum::<f64>() / parts.len() as f64;
    let [x, y] = chart.px(mean, top[2]);
    let lettering = Lettering::of(23.0);
    let out = 0.5 * lettering.width(text) + 12.0;
    let over = [[0.0, -20.0], [0.0, -42.0], [out, -18.0], [-out, -18.0]];
    // down along both sides of something tall
    let foot = chart.px(mean, top[1])[1];
    let beside = (0..12).flat_map(|i| {
        let down = 12.0 + 26.0 * f64::from(i);
        [[out, down], [-out, down]].into_iter().filter(move |d| y + d[1] < foot.max(y + 60.0))
    });
    let near = over.into_iter().chain(beside);
    labels.write(sketch, text, lettering, near.map(|d| [x + d[0], y + d[1]]));
}

/// What a sign under the chart shows.
enum Sign {
    Line(LightStrength),
    Fill(RGBColor, Option<RGBColor>),
    Frame,
}

/// Signs and notes under the chart; where they end.
pub(super) fn legend(
    sketch: &mut Sketch,
    venue: &Venue,
    look: &LookUp,
    chart: &SkyChart,
    columns: &[(f64, &[ElevationSpan])],
    pan_shown: Option<bool>,
    top: f64,
) -> f64 {
    let seen = |test: &dyn Fn(SeenInDirection) -> bool| {
        columns.iter().any(|(_, runs)| runs.iter().any(|run| test(run.seen)))
    };
    let date = look.date().map_or_else(String::new, |d| day_words(d.date));
    let mut signs = vec![
        (Sign::Line(LightStrength::Lit), format!("sun of {date} reaches the place")),
        (Sign::Line(LightStrength::Dimmed), "through something translucent".to_owned()),
        (Sign::Line(LightStrength::Hidden), "hidden".to_owned()),
    ];
    if look.window.is_some() {
        signs.push((Sign::Fill(YELLOW, None), "the fixture".to_owned()));
    }
    if pan_shown == Some(true) {
        signs.push((Sign::Frame, "the camera's frame and pan".to_owned()));
    }
    if seen(&|s| matches!(s, SeenInDirection::Opaque { .. })) {
        signs.push((Sign::Fill(OPAQUE, None), "opaque".to_owned()));
    }
    if seen(&|s| matches!(s, SeenInDirection::Dimmed { .. })) {
        let tree = |s| matches!(s, SeenInDirection::Dimmed { by } if around::is_tree(venue, by));
        if seen(&|s| matches!(s, SeenInDirection::Dimmed { .. }) && !tree(s)) {
            signs.push((Sign::Fill(DIMMED, Some(ORANGE)), "translucent".to_owned()));
        }
        if seen(&tree) {
            signs.push((Sign::Fill(LEAVES, Some(BLUISH_GREEN)), "tree".to_owned()));
        }
    }
    if seen(&|s| s == SeenInDirection::Land) {
        signs.push((Sign::Fill(LAND, None), "land".to_owned()));
    }
    let text = Lettering::of(SMALL);
    let entries: Vec<LegendEntry<'_>> = signs
        .iter()
        .map(|(sign, word)| {
            LegendEntry::new(word.as_str(), |sketch, plate| swatch(sketch, sign, plate))
        })
        .collect();
    let right = f64::from(PAGE) - MARGIN;
    let legend = Legend { left: MARGIN, right, sample: SWATCH, row: ROW_PX, text };
    let bottom = legend.draw(sketch, top, &entries);
    let mut notes = format!(
        "Numbers on paths: hours on the venue's clock. Elevation drawn {:.1} times as large as azimuth.",
        chart.stretch()
    );
    if pan_shown == Some(false) {
        notes += " The camera's frame stays outside this part of the sky.";
    }
    let room = f64::from(PAGE) - 2.0 * MARGIN;
    let muted = text.colour(MUTED);
    sketch.text(fitted(&notes, room, SMALL, Weight::Regular), [MARGIN, bottom + 20.0], muted);
    let Some(standing) = standing(venue, look) else { return bottom + ROW_PX };
    let at = [MARGIN, bottom + 20.0 + ROW_PX];
    sketch.text(fitted(&standing, room, SMALL, Weight::Regular), at, muted);
    bottom + 2.0 * ROW_PX
}

fn swatch(sketch: &mut Sketch, sign: &Sign, plate: PxBox) {
    let line = [[plate.left, plate.middle()[1]], [plate.right, plate.middle()[1]]];
    match sign {
        Sign::Line(strength) => {
            DayPen { colour: VERMILLION, asked: true }.draw(sketch, &line, *strength);
        }
        Sign::Fill(fill, hatch) => {
            sketch.plate(plate, *fill, RIM);
            if let Some(colour) = hatch {
                let ring = plate.grown(-2.0).ring().to_vec();
                for stroke in clip::hatching(&[ring], HATCH_PX) {
                    sketch.stroke(stroke, 1, *colour);
                }
            }
        }
        Sign::Frame => {
            for dash in dashes(&line, 22.0, 8.0) {
                sketch.stroke(dash, 4, REDDISH_PURPLE);
            }
        }
    }
}
