//! The light on the turf at one time, from above: bands of equal stops.
//!
//! In: a venue and a [`LightMap`]. Out: a picture of 2000 by 1414 pixels. Stops
//! count from the map's point of reference; edges are as soft as the sun makes
//! them. Beside the map the scale in stops and lx, and the profile across the edge
//! nearest to the point of reference.

mod bands;
mod profile;
mod words;

use glam::DVec3;

use crate::jobs::match_plan::LightMap;
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{BLACK, INK, PAPER};
use crate::output::draw::sketch::{Align, Lettering, PxBox, Sketch};
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::Venue;

use super::ground::BodyPlans;
use super::layout::{CAMERAS, LEGEND, PLAN, PlanView, SIZE};
use super::{around, cameras, facts, ground, legend, shade};
use bands::Bands;

/// Numbers on the field: along and across.
const NUMBERS: (usize, usize) = (8, 5);
/// Numbers stand at least so far apart, along and across, pixels.
const NUMBER_APART_PX: [f64; 2] = [96.0, 52.0];
/// Radius of the mark of reference, pixels.
const MARK_PX: f64 = 13.0;
/// Share of the side column that the scale takes; the profile has the rest.
const SCALE_SHARE: f64 = 0.54;

/// Draws a light map.
///
/// # Errors
/// The drawing library's own failures.
pub fn light_map(venue: &Venue, map: &LightMap) -> Result<Picture, RenderError> {
    let sketch = draw(&venue.at(map.at), map)?;
    let title = format!("Light at {}, {}", venue.title, map.at.format("%Y-%m-%d %H:%M %Z"));
    canvas::draw(SIZE, &title, &words::description(venue, map), &sketch)
}

fn draw(venue: &Venue, map: &LightMap) -> Result<Sketch, RenderError> {
    let suns = [map.sun.toward()];
    let suns: &[DVec3] = if map.sun_state == SunState::Up { &suns } else { &[] };
    let (view, far) = PlanView::of(venue, suns);
    let around = BodyPlans::of(venue, &view, map.at.date_naive());
    let mut sketch = Sketch::default();
    sketch.fill(PLAN.ring(), ground::GROUND);
    around.draw_under(&mut sketch);
    around::ground(&mut sketch, &view, &venue.field, &around::GroundColouring::Bare);
    let bands = Bands::of(map);
    if let Some(bands) = &bands {
        bands.draw(&mut sketch, &view, map, &venue.field)?;
    }
    around.draw_over(&mut sketch);
    around::rim(&mut sketch, &view, &venue.field);
    shade::markings(&mut sketch, &view, &venue.field);
    around.draw_overhang(&mut sketch, &view);
    let reference = view.coord(map.reference.at);
    numbers(&mut sketch, &view, map);
    mark(&mut sketch, reference);
    if let Some(profile) = &map.profile {
        profile::place(&mut sketch, &view, profile);
    }
    sketch.outline(PLAN.ring(), 4, INK);
    cameras::far(&mut sketch, &view, &far);

    words::header(&mut sketch, venue, map);
    facts::compass(&mut sketch, &view, (map.sky, venue.field.surface), (&map.sun, map.sun_state));
    let split = CAMERAS.top + SCALE_SHARE * CAMERAS.height();
    if let Some(bands) = &bands {
        bands.scale(
            &mut sketch,
            map,
            venue.field.surface.name(),
            &PxBox { bottom: split - 24.0, ..CAMERAS },
        );
    }
    profile::chart(&mut sketch, map, &PxBox { top: split, ..CAMERAS });
    signs(&mut sketch, &view, map);
    Ok(sketch)
}

/// Stops at evenly spread places of the field.
fn numbers(sketch: &mut Sketch, view: &PlanView, map: &LightMap) {
    let lettering = Lettering::of(25.0).align(Align::Middle);
    let [columns, rows] = number_rows(view, map);
    let step = |i: usize, of: usize, nodes: usize| (2 * i + 1) * nodes / (2 * of);
    let reference = view.coord(map.reference.at);
    let crossed = map.profile.as_ref().map(|profile| view.coord(profile.at));
    for row in 0..rows {
        for column in 0..columns {
            let node = step(row, rows, map.grid.across) * map.grid.along
                + step(column, columns, map.grid.along);
            let Some(stops) = map.stops(node) else { continue };
            let text = words::stops_text(stops.stops());
            let at = view.field_point(map.grid.node(node));
            let plate = PxBox::around(at, lettering.width(&text) + 12.0, 30.0);
            let near = |sign: [f64; 2]| plate.grown(MARK_PX + 3.0).holds(sign);
            if near(reference) || crossed.is_some_and(near) {
                continue;
            }
            sketch.fill(plate.ring(), PAPER);
            sketch.text(text, at, lettering);
        }
    }
}

/// Columns and rows of numbers: as many as leave the light between them to be seen.
fn number_rows(view: &PlanView, map: &LightMap) -> [usize; 2] {
    let grid = &map.grid;
    let corner = |node: usize| view.field_point(grid.node(node));
    let last = (grid.along * grid.across).saturating_sub(1);
    let span = |from: [f64; 2], to: [f64; 2]| (from[0] - to[0]).hypot(from[1] - to[1]);
    let along = span(corner(0), corner(grid.along.saturating_sub(1)));
    let across = span(corner(grid.along.saturating_sub(1)), corner(last));
    let fit = |length: f64, apart: f64, most: usize| ((length / apart) as usize).clamp(1, most);
    [fit(along, NUMBER_APART_PX[0], NUMBERS.0), fit(across, NUMBER_APART_PX[1], NUMBERS.1)]
}

/// The point that stops count from.
fn mark(sketch: &mut Sketch, at: [f64; 2]) {
    sketch.disc(at, MARK_PX, BLACK);
    sketch.disc(at, MARK_PX - 4.0, PAPER);
    sketch.disc(at, MARK_PX - 8.0, BLACK);
}

/// What the marks on the map mean, and its scale in metres.
fn signs(sketch: &mut Sketch, view: &PlanView, map: &LightMap) {
    legend::scale_bar(sketch, view);
    let lettering = Lettering::of(25.0);
    let y = LEGEND.top + 20.0;
    mark(sketch, [LEGEND.left + 20.0, y]);
    let named = format!("stops count from here: {}", map.reference.name);
    sketch.text(named, [LEGEND.left + 48.0, y], lettering);
    let mut y = y + 42.0;
    if map.profile.is_some() {
        profile::sample(sketch, [LEGEND.left + 20.0, y]);
        sketch.text("where the profile crosses the edge", [LEGEND.left + 48.0, y], lettering);
        y += 42.0;
    }
    let plate = PxBox::around([LEGEND.left + 20.0, y], 44.0, 30.0);
    sketch.plate(plate, PAPER, INK);
    let middle = lettering.align(Align::Middle);
    sketch.text("\u{2212}1", plate.middle(), middle);
    sketch.text("stops at the number's place", [LEGEND.left + 60.0, y], lettering);
}
