//! One figure of a year's table, day by day, for a picture.
//!
//! In: [`YearTable`]s in order of time and [`YearFigure`]s. Out: a [`YearGrid`] of what each figure
//! reads at each time of the wall clock.

use chrono::NaiveDate;

use crate::camera::LensState;
use crate::engine::season::FIELD_SIDE_SHARE;
use crate::jobs::year::{GridCell, GridDay, GridReading, YearGrid};
use crate::solar;
use crate::solar::SunDay;
use crate::venue::Venue;

use super::columns::{CameraFigure, ColumnContent, ShareFigure, YearCell, date_of};
use super::table::YearTable;

/// What a picture of a year shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum YearFigure {
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

/// Grids of some figures, filled table by table.
pub struct Grids<'v> {
    venue: &'v Venue,
    /// Later days have no place in a picture.
    until: Option<NaiveDate>,
    all: Vec<(YearFigure, YearGrid)>,
}

impl<'v> Grids<'v> {
    /// Without days yet. Days from `until` on are left out.
    pub fn new(
        venue: &'v Venue,
        figures: &[YearFigure],
        step_min: u32,
        until: Option<NaiveDate>,
    ) -> Self {
        let empty = |figure: &YearFigure| (*figure, YearGrid { days: Vec::new(), step_min });
        Self { venue, until, all: figures.iter().map(empty).collect() }
    }

    /// Adds the rows of a table, later than all before; days without rows are left out.
    pub fn add(&mut self, table: &YearTable) {
        let dates = table.dates().into_iter().filter(|date| self.until.is_none_or(|u| *date < u));
        let suns: Vec<(NaiveDate, SunDay)> =
            dates.map(|date| (date, solar::day(&self.venue.place, date))).collect();
        for (figure, grid) in self.all.iter_mut().filter(|_| !suns.is_empty()) {
            add(grid, table, *figure, &suns);
        }
    }

    /// In the order of the figures.
    pub fn done(self) -> Vec<(YearFigure, YearGrid)> {
        self.all
    }
}

/// Adds the rows of some days to the grid of a figure.
fn add(grid: &mut YearGrid, table: &YearTable, figure: YearFigure, suns: &[(NaiveDate, SunDay)]) {
    let column = |what: ColumnContent| table.of(what).unwrap_or_default();
    let whole = |cells: &[YearCell], row: usize| match cells.get(row) {
        Some(YearCell::Whole(value)) => *value,
        _ => 0,
    };
    let (dates, minutes) = (column(ColumnContent::LocalDate), column(ColumnContent::LocalMinute));
    let (offsets, states) = (column(ColumnContent::UtcOffset), column(ColumnContent::SunState));
    let values = column(figure.value());
    let edges = figure.edge().map(column).unwrap_or_default();
    for row in 0..table.len() {
        let date = date_of(whole(dates, row));
        let Some((date, sun)) = suns.iter().find(|(known, _)| Some(*known) == date) else {
            continue;
        };
        let reading = match states.get(row).and_then(|cell| cell.word()) {
            Some("up") => {
                let at = |cells: &[YearCell]| cells.get(row).copied().unwrap_or(YearCell::Empty);
                figure.reading(at(values), at(edges))
            }
            Some("behind_skyline") => GridReading::BehindSkyline,
            _ => GridReading::SunDown,
        };
        let cell = GridCell {
            minute: whole(minutes, row).clamp(0, 24 * 60) as u32,
            offset_min: whole(offsets, row) as i32,
            reading,
        };
        match grid.days.last_mut() {
            Some(day) if day.date == *date => day.cells.push(cell),
            _ => grid.days.push(GridDay { date: *date, sun: *sun, cells: vec![cell] }),
        }
    }
}

impl YearFigure {
    /// The column of its value.
    pub fn value(self) -> ColumnContent {
        match self {
            YearFigure::Field | YearFigure::Mixed => ColumnContent::Field(ShareFigure::Shaded),
            YearFigure::Zone(zone) => ColumnContent::Zone(zone, ShareFigure::Shaded),
            YearFigure::Turf(camera) => ColumnContent::Camera(camera, CameraFigure::TurfStops),
            YearFigure::Subject(camera) => {
                ColumnContent::Camera(camera, CameraFigure::SubjectStops)
            }
            YearFigure::Lens(camera) => ColumnContent::Camera(camera, CameraFigure::Lens),
        }
    }

    /// The column that says whether both sides are in the cover.
    fn edge(self) -> Option<ColumnContent> {
        match self {
            YearFigure::Turf(camera) => Some(ColumnContent::Camera(camera, CameraFigure::TurfEdge)),
            YearFigure::Subject(camera) => {
                Some(ColumnContent::Camera(camera, CameraFigure::SubjectEdge))
            }
            _ => None,
        }
    }

    fn reading(self, value: YearCell, edge: YearCell) -> GridReading {
        let number = value.number();
        match self {
            YearFigure::Field | YearFigure::Zone(_) => {
                number.map_or(GridReading::Nothing, GridReading::Share)
            }
            YearFigure::Mixed => number.map_or(GridReading::Nothing, |share| {
                let both = (FIELD_SIDE_SHARE..=1.0 - FIELD_SIDE_SHARE).contains(&share);
                if both { GridReading::BothSides } else { GridReading::OneSide }
            }),
            YearFigure::Turf(_) | YearFigure::Subject(_) => match (edge.word(), number) {
                (Some("in_shot"), Some(stops)) => GridReading::Stops(stops),
                (Some("all_sunlit" | "all_dimmed" | "all_shaded"), _) => GridReading::OneSide,
                _ => GridReading::Nothing,
            },
            YearFigure::Lens(_) => match value.word() {
                Some("clear") => GridReading::Lens(LensState::Clear),
                Some("shaded") => GridReading::Lens(LensState::Shaded),
                Some("on_element") => GridReading::Lens(LensState::OnElement),
                Some("in_frame") => GridReading::Lens(LensState::InFrame),
                _ => GridReading::Nothing,
            },
        }
    }

    /// What a heading calls it.
    pub fn title(self, venue: &Venue) -> String {
        let camera = |index: usize| venue.cameras.get(index).map_or("", |c| c.name.as_str());
        match self {
            YearFigure::Field => "share of the field in shade".to_owned(),
            YearFigure::Mixed => "sun and shade on the field at once".to_owned(),
            YearFigure::Zone(zone) => {
                let name = venue.zones.get(zone).map_or("", |z| z.name.as_str());
                format!("share of zone {name} in shade")
            }
            YearFigure::Turf(index) => {
                let surface = venue.field.surface.name();
                format!("split on the {surface}, camera {}", camera(index))
            }
            YearFigure::Subject(index) => format!("split of a subject, camera {}", camera(index)),
            YearFigure::Lens(index) => format!("the sun and the lens of camera {}", camera(index)),
        }
    }
}
