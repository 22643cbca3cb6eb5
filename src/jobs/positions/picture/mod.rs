//! Places where cameras could stand, from above, coloured by their penalty.
//!
//! In: a venue and its [`Positions`]. Out: a picture of 2000 by 1414 pixels: the field
//! and its surroundings with a disc at every place, and beside it the score breakdown
//! of the best places.

mod bars;
mod scale;

use chrono::{NaiveDate, NaiveTime, TimeDelta};
use glam::DVec3;

use crate::jobs::match_plan::picture::field::facts::arrow;
use crate::jobs::match_plan::picture::field::ground::BodyPlans;
use crate::jobs::match_plan::picture::field::layout::{HEADER, LEGEND, PLAN, PlanView, SIZE};
use crate::jobs::match_plan::picture::field::{around, cameras, ground, legend, shade};
use crate::output::canvas;
use crate::output::draw::Picture;
use crate::output::draw::palette::{INK, MUTED, PAPER, lit_colour};
use crate::output::draw::sketch::{Align, Lettering, Px, PxBox, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::output::error::RenderError;
use crate::solar;
use crate::venue::Venue;

use super::report::summary::{days_words, places_words};
use super::{Positions, SetSearch};
use scale::PenaltyScale;

/// Radius of a place, pixels: within these limits as the distance to its neighbour.
const DISC_PX: (f64, f64) = (4.0, 11.0);
/// Share of the distance to the neighbour.
const DISC_SHARE: f64 = 0.46;

/// Draws places and their score breakdown.
///
/// # Errors
/// The drawing library's own failures.
pub fn positions(venue: &Venue, positions: &Positions) -> Result<Picture, RenderError> {
    let title = format!("Places for cameras at {}", venue.title);
    canvas::draw(SIZE, &title, &description(venue, positions), &draw(venue, positions))
}

fn draw(venue: &Venue, positions: &Positions) -> Sketch {
    let places = positions.sites.iter().filter(|s| s.candidate.is_some());
    // leaves do not change what a plan shows but how; any date will do
    let date = venue.fixture.map(|f| f.date).unwrap_or_default();
    let (view, far) = PlanView::holding(venue, &suns_of(venue, date), places.map(|s| s.post.at));
    let around = BodyPlans::of(venue, &view, date);
    let mut sketch = Sketch::default();
    sketch.fill(PLAN.ring(), ground::GROUND);
    around.draw_under(&mut sketch);
    around::ground(&mut sketch, &view, &venue.field, &around::GroundColouring::Bare);
    around.draw_over(&mut sketch);
    around::rim(&mut sketch, &view, &venue.field);
    let lit = lit_colour(venue.field.surface);
    sketch.fill(view.line(venue.field.outline.exterior()), lit);
    shade::markings(&mut sketch, &view, &venue.field);
    around.draw_overhang(&mut sketch, &view);
    let scale = PenaltyScale::of(positions);
    discs(&mut sketch, &view, venue, positions, &scale);
    fixed(&mut sketch, &view, positions);
    picks(&mut sketch, &view, positions, &scale);
    north(&mut sketch, &view);
    sketch.outline(PLAN.ring(), 4, INK);
    cameras::far(&mut sketch, &view, &far);
    header(&mut sketch, venue, positions);
    legend::scale_bar(&mut sketch, &view);
    scale.draw(&mut sketch, &LEGEND);
    bars::list(&mut sketch, venue, positions);
    sketch
}

/// The sun at every half hour of a day at which it stands over ten degrees, so that what
/// throws shadows while people play is in the drawing.
fn suns_of(venue: &Venue, date: NaiveDate) -> Vec<DVec3> {
    let midnight = date.and_time(NaiveTime::MIN).and_utc();
    let at = |half_hour: i64| midnight + TimeDelta::minutes(30 * half_hour);
    let suns = (-24..72).map(|i| solar::position(&venue.place, at(i)));
    let of_day = suns.filter(|sun| sun.apparent_elevation.degrees() > SUN_FROM_DEG);
    of_day.map(|sun| sun.toward()).collect()
}

const SUN_FROM_DEG: f64 = 10.0;

/// Every place; those that no other beats have a dark rim.
fn discs(
    sketch: &mut Sketch,
    view: &PlanView,
    venue: &Venue,
    positions: &Positions,
    scale: &PenaltyScale,
) {
    for number in 0..venue.candidates.len() {
        let sites = positions.sites.iter().enumerate();
        let sites = sites.filter(|(_, s)| s.candidate == Some(number));
        let places: Vec<(usize, Px)> = sites.map(|(i, s)| (i, view.point(s.post.at))).collect();
        let far = |a: Px, b: Px| (a[0] - b[0]).hypot(a[1] - b[1]);
        let steps = places.windows(2).map(|pair| far(pair[0].1, pair[1].1));
        let step = steps.filter(|step| *step > 1.0).fold(f64::INFINITY, f64::min);
        let radius = (DISC_SHARE * step).clamp(DISC_PX.0, DISC_PX.1);
        for (i, at) in places {
            if positions.front.contains(&i) {
                sketch.disc(at, radius + 3.0, INK);
            }
            sketch.disc(at, radius, scale.colour(positions.sites[i].penalty));
        }
    }
}

/// Cameras that stay where they are.
fn fixed(sketch: &mut Sketch, view: &PlanView, positions: &Positions) {
    for camera in &positions.fixed {
        let Some(site) = positions.sites.get(*camera) else { continue };
        let at = PLAN.grown(-10.0).nearest(view.point(site.post.at));
        sketch.fill(PxBox::around(at, 18.0, 18.0).ring(), PAPER);
        sketch.fill(PxBox::around(at, 14.0, 14.0).ring(), INK);
    }
}

/// The best place of each candidate by the letter that the list has, and those of the
/// best set with a ring.
fn picks(sketch: &mut Sketch, view: &PlanView, positions: &Positions, scale: &PenaltyScale) {
    let in_set = match &positions.set {
        SetSearch::Found(set) => set.places.as_slice(),
        SetSearch::NotAsked | SetSearch::NoneApart => &[],
    };
    for place in in_set {
        let Some(site) = positions.sites.get(*place) else { continue };
        let at = view.point(site.post.at);
        for (radius, colour) in [(19.0, PAPER), (17.0, INK), (12.0, PAPER)] {
            sketch.disc(at, radius, colour);
        }
        sketch.disc(at, 8.0, scale.colour(site.penalty));
    }
    let mut taken: Vec<PxBox> = Vec::new();
    for (number, pick) in positions.picks.iter().enumerate() {
        let Some(site) = pick.and_then(|i| positions.sites.get(i)) else { continue };
        let foot = view.point(site.post.at);
        let letter = bars::letter(number);
        let text = Lettering::of(25.0).bold();
        let plate = free_plate(foot, text.width(&letter) + 20.0, &taken);
        sketch.stroke([foot, plate.middle()], 5, PAPER);
        sketch.stroke([foot, plate.middle()], 3, INK);
        sketch.disc(foot, 4.0, INK);
        sketch.tag(&letter, plate, text);
        taken.push(plate);
    }
}

/// A plate near a place, inside the drawing and clear of others.
fn free_plate(foot: Px, width: f64, taken: &[PxBox]) -> PxBox {
    let inside = PLAN.grown(-6.0);
    let ways = (0..16).map(|turn| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(turn) / 16.0).sin_cos();
        [cos, sin]
    });
    let tries = [46.0, 70.0, 100.0]
        .into_iter()
        .flat_map(|r| ways.clone().map(move |way| [foot[0] + r * way[0], foot[1] - r * way[1]]));
    let plates = tries.map(|at| PxBox::around(at, width, 36.0));
    let free = |plate: &PxBox| {
        inside.holds([plate.left, plate.top])
            && inside.holds([plate.right, plate.bottom])
            && !taken.iter().any(|t| t.meets(&plate.grown(6.0)))
    };
    let found = plates.clone().find(free);
    found.unwrap_or_else(|| PxBox::around(inside.nearest(foot), width, 36.0))
}

fn north(sketch: &mut Sketch, view: &PlanView) {
    let middle = [PLAN.right - 56.0, PLAN.top + 60.0];
    let step = view.step(DVec3::Y).unwrap_or([0.0, -1.0]);
    let at = |r: f64| [middle[0] + r * step[0], middle[1] + r * step[1]];
    sketch.disc(middle, 46.0, MUTED);
    sketch.disc(middle, 44.0, PAPER);
    arrow(sketch, at(-34.0), at(14.0), 10.0, INK);
    sketch.text("N", at(28.0), Lettering::of(25.0).bold().align(Align::Middle));
}

fn header(sketch: &mut Sketch, venue: &Venue, positions: &Positions) {
    let rows = [
        (venue.title.clone(), 46.0, Weight::Bold, INK, 30.0),
        (
            "Where cameras could stand, by penalty while play runs".to_owned(),
            27.0,
            Weight::Regular,
            INK,
            86.0,
        ),
        (about(positions), 27.0, Weight::Regular, MUTED, 128.0),
    ];
    for (text, size, weight, colour, down) in rows {
        let lettering = Lettering { size, weight, colour, align: Align::Left };
        let text = fitted(&text, HEADER.width(), size, weight);
        sketch.text(text, [HEADER.left, HEADER.top + down], lettering);
    }
}

fn about(positions: &Positions) -> String {
    let places = positions.sites.iter().filter(|s| s.candidate.is_some()).count();
    let places = places_words(places);
    let days = days_words(positions.matches);
    format!(
        "{places} over {days}: {:.0} min of play, {:.0} of them in the sun",
        positions.play_min, positions.sun_min
    )
}

/// Whole metres, never "-0".
fn metres(value: f64) -> String {
    format!("{:.0}", value.round() + 0.0)
}

fn description(venue: &Venue, positions: &Positions) -> String {
    let pick = |(candidate, pick): (&crate::venue::Candidate, &Option<usize>)| {
        let site = pick.and_then(|i| positions.sites.get(i))?;
        let at = venue.field.frame.to_field(site.post.at);
        Some(format!(
            "{}: best at {} m along, {} m across, {} m up, penalty {:.2}",
            candidate.name,
            metres(at.along_m),
            metres(at.across_m),
            metres(at.up_m),
            site.penalty.unwrap_or_default()
        ))
    };
    let picks: Vec<String> =
        venue.candidates.iter().zip(&positions.picks).filter_map(pick).collect();
    format!(
        "Plan of the field with places for cameras. {}. {}.",
        about(positions),
        picks.join("; ")
    )
}
