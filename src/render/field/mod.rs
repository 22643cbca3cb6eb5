//! The field at one instant, from above.
//!
//! In: a venue, its plan, the index of an instant. Out: a picture of 2000 by
//! 1414 pixels. The drawing holds the field and its nearest surroundings; what
//! stands farther off throws its shadow into it but does not shrink it.

mod cameras;
mod facts;
mod ground;
mod layout;
mod legend;
mod light_map;
mod positions;
mod shade;
mod zones;

pub(super) use facts::clock_text;
pub use light_map::light_map;
pub use positions::positions;
pub(super) use shade::share_text;

use cameras::Seen;
use ground::Surroundings;
use layout::{PLAN, SIZE, View};
use legend::Shown;
use sketch::Sketch;

use super::palette::INK;
use super::{Picture, RenderError, canvas, clip, sketch};
use crate::plan::{Instant, MatchPlan};
use crate::venue::Venue;

/// Draws the field of play with its shade at one instant of a plan.
///
/// # Errors
/// [`RenderError::NoSuchInstant`] when the plan has no instant `index`, and the
/// drawing library's own failures.
pub fn field(venue: &Venue, plan: &MatchPlan, index: usize) -> Result<Picture, RenderError> {
    let instant = plan
        .instants
        .get(index)
        .ok_or(RenderError::NoSuchInstant { index, count: plan.instants.len() })?;
    let sketch = draw(venue, plan, instant);
    let title = format!("{}, {}", venue.title, instant.at.format("%Y-%m-%d %H:%M %Z"));
    canvas::draw(SIZE, &title, &facts::description(plan, instant), &sketch)
}

fn draw(venue: &Venue, plan: &MatchPlan, instant: &Instant) -> Sketch {
    let view = View::of(&venue.field);
    let seen: Vec<Seen> = venue
        .cameras
        .iter()
        .enumerate()
        .map(|(i, post)| Seen {
            number: i + 1,
            post,
            cover: plan.covers.get(i),
            view: instant.cameras.get(i),
        })
        .collect();
    let around = Surroundings::of(venue, &view, instant.at.date_naive());
    let mut sketch = Sketch::default();

    sketch.fill(PLAN.ring(), ground::GROUND);
    let looks = around.draw(&mut sketch);
    shade::turf(&mut sketch, &view, &venue.field, &instant.turf.shadow);
    shade::markings(&mut sketch, &view, &venue.field);
    let overhang = around.draw_overhang(&mut sketch, &view);
    let covers = cameras::covers(&mut sketch, &view, &venue.field, &seen);
    shade::turf_edge(&mut sketch, &view, &instant.turf.edge);
    shade::face_edge(&mut sketch, &view, &instant.face.edge);
    let tags = shade::dimmed_tags(&mut sketch, &view, &instant.turf.shadow);
    sketch.outline(PLAN.ring(), 4, INK);
    cameras::markers(&mut sketch, &view, &seen, tags);

    facts::header(&mut sketch, venue, plan, instant);
    facts::compass(&mut sketch, &view, plan.sky, (&instant.sun, instant.sun_state));
    let shown = Shown {
        looks,
        overhang,
        covers,
        markers: [true, false].map(|with| seen.iter().any(|c| c.in_shot() == with)),
    };
    legend::legend(&mut sketch, &view, instant, &shown);
    let end = cameras::list(&mut sketch, &seen);
    zones::list(&mut sketch, end, &venue.zones, &instant.turf.zones);
    sketch
}
