//! The chart: dates to the right, the wall clock downward.

use std::collections::HashSet;

use chrono::{DateTime, Datelike, NaiveDate, Timelike};
use chrono_tz::Tz;
use plotters::style::RGBColor;

use crate::jobs::year::{GridDay, GridReading, YearGrid};
use crate::output::draw::palette::{INK, MUTED, PAPER, RULE, VERMILLION};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::solar::SunDay;

use super::YearWindow;
use super::classes::colour;

const LEFT: f64 = 120.0;
const RIGHT: f64 = 1770.0;
const TOP: f64 = 268.0;
/// An hour is so high, pixels; short days get taller hours.
const HOUR_PX: (f64, f64) = (46.0, 76.0);
const HEIGHT_PX: f64 = 900.0;
/// A sunrise that moves by more than this from one day to the next does so because
/// clocks change or the sun stops rising: the line breaks, minutes.
const BREAK_MIN: f64 = 25.0;
const TEXT: f64 = 26.0;
/// Spans of dates up to this many days get a label a week instead of a month, up to so many one
/// a day: fewer may have no Monday.
const SHORT_SPAN: usize = 70;
const FEW_DAYS: usize = 14;

/// Dates and times on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct YearChart {
    pub area: PxBox,
    day_px: f64,
    /// First and last hour.
    low_h: u32,
    high_h: u32,
}

/// Clocks that change from one day's first instant to its last.
pub(super) struct ClockChange {
    pub date: NaiveDate,
    /// Forward is positive.
    pub by_min: i32,
}

impl YearChart {
    /// Around all hours at which the sun is up; `None` without days.
    pub fn of(grid: &YearGrid) -> Option<Self> {
        if grid.days.is_empty() {
            return None;
        }
        let cells = grid.days.iter().flat_map(|day| &day.cells);
        let light = cells.filter(|cell| cell.reading != GridReading::SunDown);
        let (low, high) = light.fold((24 * 60, 0), |(low, high), cell| {
            (cell.minute.min(low), (cell.minute + grid.step_min).max(high))
        });
        let (low, high) = if low < high { (low, high) } else { (0, 24 * 60) };
        let (low_h, high_h) = ((low / 60).saturating_sub(1), (high.div_ceil(60) + 1).min(24));
        let hours = f64::from(high_h - low_h);
        let height = hours * (HEIGHT_PX / hours).clamp(HOUR_PX.0, HOUR_PX.1);
        Some(Self {
            area: PxBox { left: LEFT, top: TOP, right: RIGHT, bottom: TOP + height },
            day_px: (RIGHT - LEFT) / grid.days.len() as f64,
            low_h,
            high_h,
        })
    }

    fn x(&self, day: usize) -> f64 {
        self.area.left + day as f64 * self.day_px
    }

    fn y(&self, minute: f64) -> f64 {
        let hours = f64::from(self.high_h - self.low_h);
        let share = (minute / 60.0 - f64::from(self.low_h)) / hours;
        self.area.top + share.clamp(0.0, 1.0) * self.area.height()
    }
}

/// Days on which clocks change.
pub(super) fn clock_changes(grid: &YearGrid) -> Vec<(usize, ClockChange)> {
    let change = |(place, day): (usize, &GridDay)| {
        let by_min = day.cells.last()?.offset_min - day.cells.first()?.offset_min;
        (by_min != 0).then_some((place, ClockChange { date: day.date, by_min }))
    };
    grid.days.iter().enumerate().filter_map(change).collect()
}

/// All readings. Neighbours of one colour are drawn as one.
pub(super) fn cells(sketch: &mut Sketch, chart: &YearChart, grid: &YearGrid) {
    // what no instant covers stays paper
    sketch.fill(chart.area.ring(), PAPER);
    for (place, day) in grid.days.iter().enumerate() {
        let twice = twice(day);
        let mut run: Option<ColourRun> = None;
        for cell in &day.cells {
            let half = match twice.contains(&cell.minute) {
                false => Half::Both,
                true if Some(cell.offset_min) == day.cells.first().map(|c| c.offset_min) => {
                    Half::First
                }
                true => Half::Second,
            };
            let (from, to) = (cell.minute, cell.minute + grid.step_min);
            let colour = colour(cell.reading);
            match &mut run {
                Some(run) if run.to == from && run.colour == colour && run.half == half => {
                    run.to = to;
                }
                _ => {
                    let ended = run.replace(ColourRun { from, to, colour, half });
                    ended.into_iter().for_each(|run| run.draw(sketch, chart, place));
                }
            }
        }
        run.into_iter().for_each(|run| run.draw(sketch, chart, place));
    }
}

/// Wall times that a day has twice.
fn twice(day: &GridDay) -> HashSet<u32> {
    let mut seen = HashSet::new();
    day.cells.iter().map(|cell| cell.minute).filter(|minute| !seen.insert(*minute)).collect()
}

/// Which part of a day's column a reading fills.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Half {
    Both,
    First,
    Second,
}

struct ColourRun {
    from: u32,
    to: u32,
    colour: RGBColor,
    half: Half,
}

impl ColourRun {
    fn draw(&self, sketch: &mut Sketch, chart: &YearChart, day: usize) {
        let (left, right) = (chart.x(day), chart.x(day + 1));
        let middle = 0.5 * (left + right);
        let (left, right) = match self.half {
            Half::Both => (left, right),
            Half::First => (left, middle),
            Half::Second => (middle, right),
        };
        let (top, bottom) = (chart.y(f64::from(self.from)), chart.y(f64::from(self.to)));
        if bottom > top {
            sketch.fill(PxBox { left, top, right, bottom }.ring(), self.colour);
        }
    }
}

/// Lines of hours, and sunrise and sunset.
pub(super) fn lines(sketch: &mut Sketch, chart: &YearChart, grid: &YearGrid) {
    let rise = |day: &GridDay| match day.sun {
        SunDay::RisesAndSets { rise, .. } | SunDay::OnlyRises { rise, .. } => Some(rise),
        _ => None,
    };
    let set = |day: &GridDay| match day.sun {
        SunDay::RisesAndSets { set, .. } | SunDay::OnlySets { set, .. } => Some(set),
        _ => None,
    };
    let noon = |day: &GridDay| Some(day.sun.noon());
    line(sketch, chart, grid, noon, 2);
    line(sketch, chart, grid, rise, 4);
    line(sketch, chart, grid, set, 4);
}

fn line(
    sketch: &mut Sketch,
    chart: &YearChart,
    grid: &YearGrid,
    of: impl Fn(&GridDay) -> Option<DateTime<Tz>>,
    width: u32,
) {
    let mut pieces: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for (place, day) in grid.days.iter().enumerate() {
        let minute = of(day).filter(|at| at.date_naive() == day.date).map(minute_of);
        let before = pieces.last().and_then(|piece| piece.last()).map(|(_, minute)| *minute);
        let breaks = match (minute, before) {
            (Some(now), Some(before)) => (now - before).abs() > BREAK_MIN,
            (None, _) => true,
            (Some(_), None) => false,
        };
        if breaks {
            pieces.push(Vec::new());
        }
        if let (Some(minute), Some(piece)) = (minute, pieces.last_mut()) {
            piece.push((chart.x(place) + 0.5 * chart.day_px, minute));
        }
    }
    for piece in &mut pieces {
        // a single day has its line over all of its column
        if let [(x, minute)] = piece[..] {
            *piece = vec![(x - 0.5 * chart.day_px, minute), (x + 0.5 * chart.day_px, minute)];
        }
    }
    for (width, colour) in [(width + 4, PAPER), (width, INK)] {
        for piece in &pieces {
            let points: Vec<Px> = piece.iter().map(|(x, minute)| [*x, chart.y(*minute)]).collect();
            sketch.stroke(points, width, colour);
        }
    }
}

fn minute_of(at: DateTime<Tz>) -> f64 {
    f64::from(at.num_seconds_from_midnight()) / 60.0
}

/// The match window over every day, and the day of the fixture.
pub(super) fn window(sketch: &mut Sketch, chart: &YearChart, grid: &YearGrid, window: YearWindow) {
    let start = minute_of(window.start);
    let end = start + (window.end - window.start).num_minutes() as f64;
    let (left, right) = (chart.area.left, chart.area.right);
    for (minute, word) in [(start, "start"), (end, "end")] {
        if minute > f64::from(chart.high_h) * 60.0 {
            continue;
        }
        let y = chart.y(minute);
        for (width, colour) in [(9, PAPER), (5, VERMILLION)] {
            sketch.stroke(vec![[left, y], [right, y]], width, colour);
        }
        let time = format!("{:02.0}:{:02.0}", (minute / 60.0).floor() % 24.0, minute % 60.0);
        let at = [right + 14.0, y];
        sketch.text(format!("{word} {time}"), at, Lettering::of(TEXT).bold());
    }
    let date = window.start.date_naive();
    if let Some(place) = grid.days.iter().position(|day| day.date == date) {
        let x = chart.x(place) + 0.5 * chart.day_px;
        let ends = [[x, chart.y(start)], [x, chart.y(end)]];
        for (width, colour) in [(9, PAPER), (5, VERMILLION)] {
            sketch.stroke(ends.to_vec(), width, colour);
        }
    }
}

/// Frame, hours on the left, dates under the chart, clock changes over it.
pub(super) fn axes(sketch: &mut Sketch, chart: &YearChart, grid: &YearGrid) {
    let area = chart.area;
    sketch.outline(area.ring(), 3, INK);
    let right = Lettering::of(TEXT).align(Align::Right);
    for hour in chart.low_h..=chart.high_h {
        let y = chart.y(f64::from(hour) * 60.0);
        sketch.stroke(vec![[area.left - 10.0, y], [area.left, y]], 3, INK);
        if (hour - chart.low_h).is_multiple_of(2) {
            sketch.text(format!("{hour:02}:00"), [area.left - 18.0, y], right);
        }
    }
    for (place, text) in labels(grid) {
        let x = chart.x(place);
        if place > 0 {
            sketch.stroke(vec![[x, area.top], [x, area.bottom]], 1, RULE);
        }
        sketch.stroke(vec![[x, area.bottom], [x, area.bottom + 12.0]], 3, INK);
        let left = Lettering::of(TEXT);
        if x + 6.0 + left.width(&text) < area.right + 60.0 {
            sketch.text(text, [x + 6.0, area.bottom + 30.0], left);
        }
    }
    for (place, change) in clock_changes(grid) {
        let x = chart.x(place) + 0.5 * chart.day_px;
        let peak: [Px; 3] =
            [[x, area.top - 4.0], [x - 9.0, area.top - 20.0], [x + 9.0, area.top - 20.0]];
        sketch.fill(peak, MUTED);
        let text = format!("clocks {:+} min, {}", change.by_min, change.date.format("%-d %B"));
        let lettering = Lettering::of(22.0).colour(MUTED).align(Align::Middle);
        let half = 0.5 * lettering.width(&text);
        let x = x.clamp(area.left + half, area.right - half);
        sketch.text(text, [x, area.top - 38.0], lettering);
    }
}

/// First days of months, of weeks, or every day, the fewer days the more.
fn labels(grid: &YearGrid) -> Vec<(usize, String)> {
    let (few, short) = (grid.days.len() <= FEW_DAYS, grid.days.len() <= SHORT_SPAN);
    let label = |(place, day): (usize, &GridDay)| {
        let date = day.date;
        if short {
            let monday = date.weekday().num_days_from_monday() == 0;
            return (few || monday).then(|| (place, date.format("%-d %b").to_string()));
        }
        let first = place == 0 && date.day() <= 20;
        let text = match date.month() {
            1 => date.format("%b %Y"),
            _ if place == 0 => date.format("%b %Y"),
            _ => date.format("%b"),
        };
        (date.day() == 1 || first).then(|| (place, text.to_string()))
    };
    grid.days.iter().enumerate().filter_map(label).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Days, TimeZone};
    use chrono_tz::Europe::London;

    /// Days from Tuesday 12 October 2027 on.
    fn grid(days: u64) -> YearGrid {
        let first = NaiveDate::from_ymd_opt(2027, 10, 12).unwrap();
        let day = |i| {
            let date = first + Days::new(i);
            let noon = London.from_local_datetime(&date.and_hms_opt(12, 0, 0).unwrap()).unwrap();
            GridDay { date, sun: SunDay::PolarDay { noon }, cells: Vec::new() }
        };
        YearGrid { days: (0..days).map(day).collect(), step_min: 60 }
    }

    #[test]
    fn every_span_has_dates() {
        for days in 1..=400 {
            assert!(!labels(&grid(days)).is_empty(), "{days} days");
        }
        let texts = |days| labels(&grid(days)).into_iter().map(|l| l.1).collect::<Vec<_>>();
        assert_eq!(texts(2), ["12 Oct", "13 Oct"]);
        assert_eq!(texts(20), ["18 Oct", "25 Oct"]);
        assert_eq!(texts(75), ["Oct 2027", "Nov", "Dec"]);
    }
}
