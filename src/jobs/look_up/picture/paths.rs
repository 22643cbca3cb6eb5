//! The paths of the sun, with hours on the venue's clock.
//!
//! In: the days of a place, the chart. Out: marks. Where the place is lit a path is a
//! strong line, through something translucent dashes, hidden a row of dots.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone};
use chrono_tz::Tz;
use plotters::style::RGBColor;

use crate::base::plane::{between, dashes};
use crate::jobs::look_up::{DayAtPlace, LookUp, PathPoint, Sunlight};
use crate::output::draw::clip;
use crate::output::draw::palette::{BLUE, BLUISH_GREEN, MUTED, ORANGE, PAPER, VERMILLION, YELLOW};
use crate::output::draw::placer::Labels;
use crate::output::draw::sketch::{Lettering, Px, PxBox, Sketch};
use crate::solar::TurningPoint;

use super::chart::SkyChart;

/// Width of the band behind the path during the fixture, pixels.
const BAND_PX: u32 = 30;
/// A path that leaves the chart on one side comes back on the other.
const WRAP_DEG: f64 = 90.0;
/// Paths whose noons are nearer than this lie beside each other, degrees.
const BESIDE_DEG: f64 = 1.5;
/// Between points that words keep off, pixels.
const AVOID_EVERY_PX: f64 = 6.0;

/// How much of the light arrives, for the choice of a pen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LightStrength {
    Lit,
    Dimmed,
    Hidden,
}

impl LightStrength {
    pub fn of(sunlight: Sunlight) -> Option<Self> {
        match sunlight {
            Sunlight::Down => None,
            Sunlight::Lit => Some(Self::Lit),
            Sunlight::Dimmed { .. } => Some(Self::Dimmed),
            Sunlight::Hidden { .. } | Sunlight::BehindLand => Some(Self::Hidden),
        }
    }
}

/// The pen of a day: colour, and whether it is the date asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct DayPen {
    pub colour: RGBColor,
    pub asked: bool,
}

/// One pen a day, in their order; the first is the date asked for.
pub(super) fn pens(look: &LookUp) -> Vec<DayPen> {
    let colour = |season: Option<TurningPoint>| match season {
        Some(TurningPoint::JuneSolstice) => ORANGE,
        Some(TurningPoint::DecemberSolstice) => BLUE,
        Some(TurningPoint::MarchEquinox | TurningPoint::SeptemberEquinox) => BLUISH_GREEN,
        None => VERMILLION,
    };
    let pen = |(i, day): (usize, &DayAtPlace)| match i {
        0 => DayPen { colour: VERMILLION, asked: true },
        _ => DayPen { colour: colour(day.season), asked: false },
    };
    look.days.iter().enumerate().map(pen).collect()
}

impl DayPen {
    /// Draws a line of a strength.
    pub fn draw(&self, sketch: &mut Sketch, line: &[Px], strength: LightStrength) {
        let (lit, dimmed, hidden) = if self.asked { (9, 6, 4) } else { (5, 4, 2) };
        match strength {
            LightStrength::Lit => sketch.stroke(line, lit, self.colour),
            LightStrength::Dimmed => {
                for dash in dashes(line, 16.0, 9.0) {
                    sketch.stroke(dash, dimmed, self.colour);
                }
            }
            LightStrength::Hidden => {
                for dash in dashes(line, 3.0, 10.0) {
                    sketch.stroke(dash, hidden, self.colour);
                }
            }
        }
    }
}

/// "16 October", the way people say it.
pub(super) fn day_words(date: NaiveDate) -> String {
    date.format("%-d %B").to_string()
}

/// Draws all paths, seasons first.
pub(super) fn draw(sketch: &mut Sketch, labels: &mut Labels, look: &LookUp, chart: &SkyChart) {
    for piece in band(sketch, look, chart) {
        // words keep off the band as well as off the line
        let off = 0.5 * f64::from(BAND_PX);
        let sides = [[-off, 0.0], [off, 0.0], [0.0, -off], [0.0, off]];
        let moved = evenly(&piece);
        labels.avoid(
            sides.iter().flat_map(|d| moved.iter().map(move |p| [p[0] + d[0], p[1] + d[1]])),
        );
    }
    let pens = pens(look);
    for (day, pen) in look.days.iter().zip(&pens).rev() {
        for (strength, line) in lines(day, chart) {
            for piece in clip::line_in(&line, &chart.area) {
                pen.draw(sketch, &piece, strength);
                labels.avoid(evenly(&piece));
            }
        }
    }
}

/// Words on the paths, those of the date first.
pub(super) fn words(sketch: &mut Sketch, labels: &mut Labels, look: &LookUp, chart: &SkyChart) {
    let pens = pens(look);
    let days = || look.days.iter().zip(&pens);
    // marks of all hours before words, so that no word covers one
    for (day, pen) in days().rev().filter(|(day, _)| !beside_date(look, day)) {
        for hour in hours(day) {
            if let Some((at, sunlight)) = placed(day, chart, hour) {
                let radius = if pen.asked { 9.0 } else { 6.0 };
                sketch.disc(at, radius, pen.colour);
                if LightStrength::of(sunlight) != Some(LightStrength::Lit) {
                    sketch.disc(at, radius - 3.0, PAPER);
                }
                labels.keep_free(PxBox::around(at, 2.0 * radius + 2.0, 2.0 * radius + 2.0));
            }
        }
    }
    for (day, _) in days().take(1) {
        hour_words(sketch, labels, day, chart, Lettering::of(26.0).bold(), &[-1.0, 1.0]);
        window_words(sketch, labels, look, day, chart);
    }
    for (day, pen) in days() {
        name(sketch, labels, day, chart, *pen, shared_name(look, day));
    }
    for (day, _) in days().skip(1).filter(|(day, _)| !beside_date(look, day)) {
        // both equinoxes share a path: hours of March over it, of September under it
        let sides: &[f64] = match day.season {
            Some(TurningPoint::SeptemberEquinox) => &[1.0],
            Some(TurningPoint::MarchEquinox) => &[-1.0],
            _ => &[-1.0, 1.0],
        };
        hour_words(sketch, labels, day, chart, Lettering::of(23.0), sides);
    }
}

/// Whether a season's path runs so near that of the date that its hours would only
/// cover the date's.
fn beside_date(look: &LookUp, day: &DayAtPlace) -> bool {
    let highest = |day: &DayAtPlace| {
        day.path.iter().map(|p| p.elevation.degrees()).fold(f64::NEG_INFINITY, f64::max)
    };
    let date = look.date().filter(|first| first.date != day.date);
    date.is_some_and(|first| (highest(first) - highest(day)).abs() < BESIDE_DEG)
}

/// Names beside a path, the best first; none where another day's name stands for it.
fn shared_name(look: &LookUp, day: &DayAtPlace) -> Vec<String> {
    let other = |season| look.days.iter().skip(1).find(|d| d.season == Some(season));
    let asked = look.date().is_some_and(|first| first.date == day.date);
    let name = day_words(day.date);
    match day.season {
        _ if asked => vec![name],
        Some(TurningPoint::SeptemberEquinox) if other(TurningPoint::MarchEquinox).is_some() => {
            Vec::new()
        }
        Some(TurningPoint::MarchEquinox) => match other(TurningPoint::SeptemberEquinox) {
            Some(second) => {
                let second = day_words(second.date);
                let long = format!("{name} (hours over the line), {second} (under it)");
                vec![long, format!("{name}, {second}"), name]
            }
            None => vec![name],
        },
        _ => vec![name],
    }
}

/// Pieces of a path that one pen draws.
fn lines(day: &DayAtPlace, chart: &SkyChart) -> Vec<(LightStrength, Vec<Px>)> {
    let mut lines: Vec<(LightStrength, Vec<Px>)> = Vec::new();
    let mut begun = false;
    for pair in day.path.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        let jump = (chart.turn(b.azimuth) - chart.turn(a.azimuth)).abs() > WRAP_DEG;
        let gap = b.at - a.at > TimeDelta::minutes(5);
        let Some(strength) = LightStrength::of(a.sunlight).filter(|_| !jump && !gap) else {
            begun = false;
            continue;
        };
        let to = chart.place(b.azimuth, b.elevation);
        match lines.last_mut() {
            Some((last, line)) if begun && *last == strength => line.push(to),
            _ => lines.push((strength, vec![chart.place(a.azimuth, a.elevation), to])),
        }
        begun = true;
    }
    lines
}

/// Where the sun is at a time of a day, inside the chart.
fn placed(day: &DayAtPlace, chart: &SkyChart, at: DateTime<Tz>) -> Option<(Px, Sunlight)> {
    let next = day.path.partition_point(|p| p.at <= at);
    let a: &PathPoint = day.path.get(next.checked_sub(1)?)?;
    let b = day.path.get(next).unwrap_or(a);
    let whole = (b.at - a.at).as_seconds_f64();
    let share = if whole > 0.0 { (at - a.at).as_seconds_f64() / whole } else { 0.0 };
    if whole > 600.0 || a.sunlight == Sunlight::Down {
        return None;
    }
    let turns = [chart.turn(a.azimuth), chart.turn(b.azimuth)];
    let jump = (turns[1] - turns[0]).abs() > WRAP_DEG;
    let turn = if jump { turns[0] } else { turns[0] + share * (turns[1] - turns[0]) };
    let rise = b.elevation.degrees() - a.elevation.degrees();
    let px = chart.px(turn, a.elevation.degrees() + share * rise);
    chart.area.holds(px).then_some((px, a.sunlight))
}

/// The full hours of a day on the venue's clock; one that comes twice is there twice,
/// one that is skipped is not.
fn hours(day: &DayAtPlace) -> Vec<DateTime<Tz>> {
    let Some(zone) = day.path.first().map(|p| p.at.timezone()) else { return Vec::new() };
    let hour = |h: u32| NaiveTime::from_hms_opt(h, 0, 0).map(|t| day.date.and_time(t));
    let instants = |at| {
        let mapped = zone.from_local_datetime(&at);
        let (first, last) =
            (mapped.earliest(), mapped.latest().filter(|l| Some(*l) != mapped.earliest()));
        first.into_iter().chain(last)
    };
    (0..24).filter_map(hour).flat_map(instants).collect()
}

fn hour_words(
    sketch: &mut Sketch,
    labels: &mut Labels,
    day: &DayAtPlace,
    chart: &SkyChart,
    lettering: Lettering,
    sides: &[f64],
) {
    for hour in hours(day) {
        let Some((at, _)) = placed(day, chart, hour) else { continue };
        let text = hour.format("%-H").to_string();
        let near = sides.iter().flat_map(|side| {
            let up = side * lettering.size;
            [[0.0, up], [-16.0, 0.9 * up], [16.0, 0.9 * up], [-24.0, 0.5 * up], [24.0, 0.5 * up]]
        });
        labels.write(sketch, &text, lettering, near.map(|d| [at[0] + d[0], at[1] + d[1]]));
    }
}

/// The fixture's window behind the path of its date; gives its middle line.
fn band(sketch: &mut Sketch, look: &LookUp, chart: &SkyChart) -> Vec<Vec<Px>> {
    let (Some(day), Some((from, until))) = (look.date(), look.window) else { return Vec::new() };
    let inside = |p: &&PathPoint| p.at >= from && p.at <= until && p.elevation.degrees() > 0.0;
    let mut pieces: Vec<Vec<Px>> = Vec::new();
    let mut last: Option<f64> = None;
    for point in day.path.iter().filter(inside) {
        let turn = chart.turn(point.azimuth);
        let px = chart.place(point.azimuth, point.elevation);
        match pieces.last_mut() {
            Some(piece) if last.is_some_and(|l| (l - turn).abs() < WRAP_DEG) => piece.push(px),
            _ => pieces.push(vec![px]),
        }
        last = Some(turn);
    }
    let pieces: Vec<Vec<Px>> =
        pieces.iter().flat_map(|piece| clip::line_in(piece, &chart.area)).collect();
    for piece in &pieces {
        sketch.stroke(piece.clone(), BAND_PX + 4, MUTED);
        sketch.stroke(piece.clone(), BAND_PX, YELLOW);
    }
    pieces
}

fn window_words(
    sketch: &mut Sketch,
    labels: &mut Labels,
    look: &LookUp,
    day: &DayAtPlace,
    chart: &SkyChart,
) {
    let Some((from, until)) = look.window else { return };
    for (at, word, side) in [(from, "start", -1.0), (until, "end", 1.0)] {
        let Some((px, _)) = placed(day, chart, at) else { continue };
        let text = format!("{word} {}", at.format("%H:%M"));
        let lettering = Lettering::of(24.0).bold();
        let out = 0.5 * lettering.width(&text) + 20.0;
        let near = [-30.0, -46.0, 34.0, 46.0, -70.0, 70.0].into_iter();
        let middles = near.flat_map(|dy| {
            [side * out, 0.3 * side * out, -side * out].map(|dx| [px[0] + dx, px[1] + dy])
        });
        labels.write(sketch, &text, lettering, middles);
    }
}

/// The date on a path, where it is highest in the chart or as near to that as there is
/// room.
fn name(
    sketch: &mut Sketch,
    labels: &mut Labels,
    day: &DayAtPlace,
    chart: &SkyChart,
    pen: DayPen,
    names: Vec<String>,
) {
    let lettering = match pen.asked {
        true => Lettering::of(28.0).bold(),
        false => Lettering::of(23.0),
    };
    let shown: Vec<Px> = day
        .path
        .iter()
        .filter(|p| p.sunlight != Sunlight::Down)
        .map(|p| chart.place(p.azimuth, p.elevation))
        .filter(|p| chart.area.holds(*p))
        .collect();
    let Some(highest) = shown.iter().copied().min_by(|a, b| a[1].total_cmp(&b[1])) else { return };
    let mut near: Vec<Px> = shown;
    near.sort_by(|a, b| (a[0] - highest[0]).abs().total_cmp(&(b[0] - highest[0]).abs()));
    let middles =
        near.iter().step_by(4).flat_map(|p| [-34.0, -48.0, 34.0, 48.0].map(|dy| [p[0], p[1] + dy]));
    // a word far from the top of its path would look like another's
    let middles: Vec<Px> = middles.take(160).collect();
    let _ = names.iter().any(|text| labels.write(sketch, text, lettering, middles.iter().copied()));
}

/// Points along a line, some pixels from each other.
pub(super) fn evenly(line: &[Px]) -> Vec<Px> {
    let mut points: Vec<Px> = line.first().copied().into_iter().collect();
    // length walked since the last point
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let length = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        let mut next = AVOID_EVERY_PX - walked;
        while next <= length {
            points.push(between(pair[0], pair[1], next / length));
            next += AVOID_EVERY_PX;
        }
        walked = length - (next - AVOID_EVERY_PX);
    }
    points
}
