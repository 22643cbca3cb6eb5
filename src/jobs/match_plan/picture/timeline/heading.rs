//! The heading: which ground, when, under which sky.
//!
//! In: the chart. Out: text at the top of the picture, and the title and
//! description that the SVG carries for readers who do not see it.

use crate::jobs::match_plan::facts::SplitTarget;
use crate::output::draw::palette;
use crate::output::draw::text::{Weight, fitted, width_px};
use crate::solar::SunDay;

use super::chart::TimelineChart;
use super::scene::{Anchor, Label, TimelineScene};
use super::worst::{name, worst};
use super::{MARGIN_PX, SMALL_PX, WIDTH_PX};

const TITLE_PX: f64 = 42.0;
const SUBTITLE_PX: f64 = 28.0;

/// Draws the heading; gives its bottom.
pub(super) fn draw(scene: &mut TimelineScene, chart: &TimelineChart, top: f64) -> f64 {
    let right = f64::from(WIDTH_PX) - MARGIN_PX;
    let room = right - MARGIN_PX;
    let title = fitted(&chart.venue.title, room, TITLE_PX, Weight::Bold);
    let mut baseline = top + 26.0;
    scene.text(Label::new(title, MARGIN_PX, baseline, TITLE_PX).bold());

    baseline += 44.0;
    let day = day_text(&chart.plan.day);
    let day_width = width_px(&day, SMALL_PX, Weight::Regular);
    let when = format!("{}, {}, {}", date(chart), window(chart), sky(chart));
    let when = fitted(&when, room - day_width - 40.0, SUBTITLE_PX, Weight::Regular);
    scene.text(Label::new(when, MARGIN_PX, baseline, SUBTITLE_PX));
    scene.text(
        Label::new(day, right, baseline, SMALL_PX).anchored(Anchor::Right).coloured(palette::MUTED),
    );
    baseline += 34.0;
    let air = format!("Air: {}", chart.plan.air.caption());
    let air = fitted(&air, room, SMALL_PX, Weight::Regular);
    scene.text(Label::new(air, MARGIN_PX, baseline, SMALL_PX).coloured(palette::MUTED));
    baseline + 20.0
}

/// The title for readers who do not see the picture.
pub(super) fn title(chart: &TimelineChart) -> String {
    format!("Sun and shade at {}, {}", chart.venue.title, date(chart))
}

/// The content in words.
pub(super) fn description(chart: &TimelineChart) -> String {
    let share = |shaded: f64| format!("{:.0} %", 100.0 * shaded);
    let surface = chart.venue.field.surface;
    let mut words = vec![format!(
        "{}, {}, {}. Field of play not in full sun at {} height: {} at {}, {} at {}.",
        window(chart),
        sky(chart),
        chart.plan.air.caption(),
        surface.short_name(),
        share(chart.first.turf.field.shaded),
        chart.first.at.format("%H:%M"),
        share(chart.last.turf.field.shaded),
        chart.last.at.format("%H:%M"),
    )];
    for (i, camera) in chart.venue.cameras.iter().enumerate() {
        let of = |target: SplitTarget| {
            worst(chart.plan, i, target).map_or_else(
                || format!("{} never in shot", name(target, surface)),
                |w| format!("{} {}", name(target, surface), w.text()),
            )
        };
        let (turf, subject) = (of(SplitTarget::Turf), of(SplitTarget::Subject));
        words.push(format!("{}, worst split in shot: {turf}, {subject}.", camera.name));
    }
    words.join(" ")
}

pub(super) fn date(chart: &TimelineChart) -> String {
    let date = |at: chrono::DateTime<chrono_tz::Tz>| at.format("%A %-d %B %Y").to_string();
    let (first, last) = (date(chart.first.at), date(chart.last.at));
    if first == last { first } else { format!("{first} to {last}") }
}

fn window(chart: &TimelineChart) -> String {
    format!(
        "{} to {} {}",
        chart.first.at.format("%H:%M"),
        chart.last.at.format("%H:%M"),
        zone(chart)
    )
}

/// The zone and its offset; both offsets when the clock changes meanwhile.
pub(super) fn zone(chart: &TimelineChart) -> String {
    let offset = |at: chrono::DateTime<chrono_tz::Tz>| at.format("UTC%:z").to_string();
    let name = chart.first.at.timezone().name();
    let (first, last) = (offset(chart.first.at), offset(chart.last.at));
    if first == last {
        format!("{name} ({first})")
    } else {
        format!("{name} ({first}, later {last})")
    }
}

fn sky(chart: &TimelineChart) -> String {
    chart.plan.sky.to_string()
}

fn day_text(day: &SunDay) -> String {
    match day {
        SunDay::RisesAndSets { rise, set, .. } => {
            format!("sunrise {}, sunset {}", rise.format("%H:%M"), set.format("%H:%M"))
        }
        SunDay::OnlyRises { rise, .. } => format!("sunrise {}, no sunset", rise.format("%H:%M")),
        SunDay::OnlySets { set, .. } => format!("no sunrise, sunset {}", set.format("%H:%M")),
        SunDay::PolarDay { .. } => "the sun stays up all day".into(),
        SunDay::PolarNight { .. } => "the sun stays down all day".into(),
    }
}
