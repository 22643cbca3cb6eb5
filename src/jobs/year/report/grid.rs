//! One figure of a year's table, day by day, for a picture.
//!
//! In: a [`Table`] and a [`Figure`]. Out: a [`Grid`] of what the figure reads at each
//! time of the wall clock.

use chrono::NaiveDate;

use crate::camera::LensState;
use crate::engine::season::FIELD_SIDE_SHARE;
use crate::jobs::year::{Grid, GridCell, GridDay, Reading};
use crate::solar;
use crate::venue::Venue;

use super::columns::{Cell, Seen, Share, What, date_of};
use super::table::Table;

/// What a picture of a year shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Figure {
    /// Share of the field in shade.
    Field,
    /// Whether sun and shade both lie on the field.
    Mixed,
    /// Share of a zone in shade.
    Zone(usize),
    /// Splits of a camera.
    Turf(usize),
    Subject(usize),
    /// The sun and a lens.
    Lens(usize),
}

/// The values of a figure; days without rows are left out.
pub fn grid(venue: &Venue, table: &Table, figure: Figure, step_min: u32) -> Grid {
    let column = |what: What| table.of(what).unwrap_or_default();
    let whole = |cells: &[Cell], row: usize| match cells.get(row) {
        Some(Cell::Whole(value)) => *value,
        _ => 0,
    };
    let (dates, minutes) = (column(What::LocalDate), column(What::LocalMinute));
    let (offsets, states) = (column(What::UtcOffset), column(What::SunState));
    let values = column(figure.value());
    let edges = figure.edge().map(column).unwrap_or_default();
    let mut days: Vec<GridDay> = Vec::new();
    for row in 0..table.len() {
        let Some(date) = date_of(whole(dates, row)) else { continue };
        let reading = match states.get(row).and_then(|cell| cell.word()) {
            Some("up") => {
                let at = |cells: &[Cell]| cells.get(row).copied().unwrap_or(Cell::Empty);
                figure.reading(at(values), at(edges))
            }
            Some("behind_skyline") => Reading::BehindSkyline,
            _ => Reading::SunDown,
        };
        let cell = GridCell {
            minute: whole(minutes, row).clamp(0, 24 * 60) as u32,
            offset_min: whole(offsets, row) as i32,
            reading,
        };
        match days.last_mut() {
            Some(day) if day.date == date => day.cells.push(cell),
            _ => days.push(day(venue, date, cell)),
        }
    }
    Grid { days, step_min }
}

fn day(venue: &Venue, date: NaiveDate, first: GridCell) -> GridDay {
    GridDay { date, sun: solar::day(&venue.place, date), cells: vec![first] }
}

impl Figure {
    /// The column of its value.
    pub fn value(self) -> What {
        match self {
            Figure::Field | Figure::Mixed => What::Field(Share::Shaded),
            Figure::Zone(zone) => What::Zone(zone, Share::Shaded),
            Figure::Turf(camera) => What::Camera(camera, Seen::TurfStops),
            Figure::Subject(camera) => What::Camera(camera, Seen::SubjectStops),
            Figure::Lens(camera) => What::Camera(camera, Seen::Lens),
        }
    }

    /// The column that says whether both sides are in the cover.
    fn edge(self) -> Option<What> {
        match self {
            Figure::Turf(camera) => Some(What::Camera(camera, Seen::TurfEdge)),
            Figure::Subject(camera) => Some(What::Camera(camera, Seen::SubjectEdge)),
            _ => None,
        }
    }

    fn reading(self, value: Cell, edge: Cell) -> Reading {
        let number = value.number();
        match self {
            Figure::Field | Figure::Zone(_) => number.map_or(Reading::Nothing, Reading::Share),
            Figure::Mixed => number.map_or(Reading::Nothing, |share| {
                let both = (FIELD_SIDE_SHARE..=1.0 - FIELD_SIDE_SHARE).contains(&share);
                if both { Reading::BothSides } else { Reading::OneSide }
            }),
            Figure::Turf(_) | Figure::Subject(_) => match (edge.word(), number) {
                (Some("in_shot"), Some(stops)) => Reading::Stops(stops),
                (Some("all_sunlit" | "all_dimmed" | "all_shaded"), _) => Reading::OneSide,
                _ => Reading::Nothing,
            },
            Figure::Lens(_) => match value.word() {
                Some("clear") => Reading::Lens(LensState::Clear),
                Some("shaded") => Reading::Lens(LensState::Shaded),
                Some("on_element") => Reading::Lens(LensState::OnElement),
                Some("in_frame") => Reading::Lens(LensState::InFrame),
                _ => Reading::Nothing,
            },
        }
    }

    /// The columns that [`grid`] reads for figures, each once.
    pub fn columns(figures: &[Self]) -> Vec<What> {
        let all = [What::LocalDate, What::LocalMinute, What::UtcOffset, What::SunState];
        let own = figures.iter().flat_map(|figure| [Some(figure.value()), figure.edge()]);
        let mut columns = all.to_vec();
        for what in own.flatten() {
            if !columns.contains(&what) {
                columns.push(what);
            }
        }
        columns
    }

    /// What a heading calls it.
    pub fn title(self, venue: &Venue) -> String {
        let camera = |index: usize| venue.cameras.get(index).map_or("", |c| c.name.as_str());
        match self {
            Figure::Field => "share of the field in shade".to_owned(),
            Figure::Mixed => "sun and shade on the field at once".to_owned(),
            Figure::Zone(zone) => {
                let name = venue.zones.get(zone).map_or("", |z| z.name.as_str());
                format!("share of zone {name} in shade")
            }
            Figure::Turf(index) => format!("split on the turf, camera {}", camera(index)),
            Figure::Subject(index) => format!("split of a subject, camera {}", camera(index)),
            Figure::Lens(index) => format!("the sun and the lens of camera {}", camera(index)),
        }
    }
}
