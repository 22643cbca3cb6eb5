//! The field at one instant, from above.
//!
//! In: a venue, its plan, the index of an instant. Out: a picture of 2000 by
//! 1414 pixels. The drawing holds all of the ground that is planned and what throws a
//! shadow on it during the plan; what stands so far off that the field would become
//! small is named at the border.

pub(crate) mod around;
pub(crate) mod cameras;
pub(crate) mod facts;
pub(crate) mod ground;
pub(crate) mod layout;
pub(crate) mod legend;
pub mod light_map;
mod relief;
pub(crate) mod shade;
mod zones;

use glam::DVec3;
use sketch::{Px, Sketch};

use crate::engine::{Instant, MatchPlan};
use crate::output::canvas;
use crate::output::draw::palette::INK;
use crate::output::draw::{Picture, sketch};
use crate::output::error::RenderError;
use crate::solar::SunState;
use crate::venue::Venue;

use cameras::DrawnCamera;
use ground::BodyPlans;
use layout::{PLAN, PlanView, SIZE};
use legend::LegendContent;

#[cfg(any(feature = "cli", feature = "serve"))]
pub(crate) use facts::clock_text;
pub use light_map::light_map;

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
    let sketch = draw(&venue.at(instant.at), plan, instant);
    let title = format!("{}, {}", venue.title, instant.at.format("%Y-%m-%d %H:%M %Z"));
    canvas::draw(SIZE, &title, &facts::description(venue, plan, instant), &sketch)
}

fn draw(venue: &Venue, plan: &MatchPlan, instant: &Instant) -> Sketch {
    let up = plan.instants.iter().filter(|i| i.sun_state == SunState::Up);
    let suns: Vec<DVec3> = up.map(|i| i.sun.toward()).collect();
    let (view, far) = PlanView::of(venue, &suns);
    let seen: Vec<DrawnCamera> = venue
        .cameras
        .iter()
        .enumerate()
        .map(|(i, post)| DrawnCamera {
            number: i + 1,
            post,
            cover: plan.covers.get(i),
            view: instant.cameras.get(i),
        })
        .collect();
    let around = BodyPlans::of(venue, &view, instant.at.date_naive());
    let mut sketch = Sketch::default();
    let relief = relief::Lines::of(venue, &view);

    sketch.fill(PLAN.ring(), ground::GROUND);
    relief.draw(&mut sketch, &view, None);
    let beside = around::beside(&mut sketch, &view, &venue.beside);
    let mut looks = around.draw_under(&mut sketch);
    let shade = around::GroundColouring::Shade(&instant.turf.ground);
    around::ground(&mut sketch, &view, &venue.field, &shade);
    relief.draw(&mut sketch, &view, Some(&venue.field.surrounds));
    looks.extend(around.draw_over(&mut sketch));
    around::rim(&mut sketch, &view, &venue.field);
    shade::turf(&mut sketch, &view, &venue.field, &instant.turf.shadow);
    relief.draw(&mut sketch, &view, Some(&venue.field.outline));
    shade::markings(&mut sketch, &view, &venue.field);
    let overhang = around.draw_overhang(&mut sketch, &view);
    let covers = cameras::covers(&mut sketch, &view, &venue.field, &seen);
    let edge = instant.sun_state == SunState::Up
        && around::edge(&mut sketch, &view, &venue.field, &instant.turf.ground);
    shade::turf_edge(&mut sketch, &view, &instant.turf.edge);
    shade::face_edge(&mut sketch, &view, &instant.face.edge);
    let feet: Vec<Px> = venue.cameras.iter().map(|post| view.point(post.at)).collect();
    let mut tags = around::zones(&mut sketch, &view, &venue.zones, &venue.field, &feet);
    tags.extend(beside);
    tags.extend(shade::dimmed_tags(&mut sketch, &view, &instant.turf.shadow, &tags));
    sketch.outline(PLAN.ring(), 4, INK);
    tags.extend(cameras::far(&mut sketch, &view, &far));
    cameras::markers(&mut sketch, &view, &seen, tags);

    facts::header(&mut sketch, venue, plan, instant);
    facts::compass(
        &mut sketch,
        &view,
        (plan.sky, venue.field.surface),
        (&instant.sun, instant.sun_state),
    );
    let shown = LegendContent {
        field: &venue.field,
        looks,
        edge: edge || !instant.turf.edge.is_empty(),
        overhang,
        relief: relief.words(),
        covers,
        markers: [true, false].map(|with| seen.iter().any(|c| c.in_shot() == with)),
    };
    legend::legend(&mut sketch, &view, instant, &shown);
    let end = cameras::list(&mut sketch, venue.field.surface, &seen);
    let letters = around::letters(&venue.zones, &venue.field);
    zones::list(&mut sketch, end, &venue.field, &venue.zones, &instant.turf.zones, &letters);
    sketch
}
