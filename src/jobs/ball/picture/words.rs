//! Words of the picture: heading, legend of the backgrounds, caution.

use crate::jobs::ball::BallPlan;
use crate::output::draw::legend::{Legend, LegendEntry};
use crate::output::draw::palette::{INK, MUTED, VERMILLION};
use crate::output::draw::sketch::{Lettering, Sketch};
use crate::output::draw::text::{Weight, fitted};
use crate::venue::Venue;

use super::tints::Tints;

const LEFT: f64 = 40.0;
const ROW_PX: f64 = 46.0;

/// "The high ball at Umbra Park".
pub(super) fn title(venue: &Venue, plan: &BallPlan) -> String {
    format!("The high ball ({}) at {}", plan.ball.kind.word(), venue.title)
}

pub(super) fn heading(sketch: &mut Sketch, venue: &Venue, plan: &BallPlan, right: f64) {
    let title = fitted(&title(venue, plan), right - LEFT, 46.0, Weight::Bold);
    sketch.text(title, [LEFT, 50.0], Lettering::of(46.0).bold());
    let under = format!(
        "{}, {}, sun {:.0}° at {:.0}°",
        plan.at.format("%A %-d %B %Y, %H:%M"),
        plan.post.name,
        plan.sun.apparent_elevation.degrees(),
        plan.sun.azimuth.degrees()
    );
    let under = fitted(&under, right - LEFT, 28.0, Weight::Regular);
    sketch.text(under, [LEFT, 104.0], Lettering::of(28.0).colour(MUTED));
}

/// What the picture shows, in a sentence.
pub(super) fn description(plan: &BallPlan) -> String {
    let apex = plan.flight.apex();
    let ride = plan.rides.background.as_ref().map_or(0.0, |r| r.most.stops);
    format!(
        "A {} ball in the air for {:.1} s, {:.0} m far and {:.0} m high, followed by {}; the \
         background asks the iris to close by {ride:.1} stops.",
        plan.ball.kind.word(),
        plan.flight.lasts_s(),
        plan.flight.carry_m(),
        apex.at.z,
        plan.post.name
    )
}

/// Names of the backgrounds; gives where they end.
pub(super) fn legend(
    sketch: &mut Sketch,
    venue: &Venue,
    tints: &Tints,
    top: f64,
    right: f64,
) -> f64 {
    let lettering = Lettering::of(24.0);
    sketch.text("Behind the ball and around", [LEFT, top + 16.0], Lettering::of(28.0).bold());
    let entries: Vec<LegendEntry<'_>> = tints
        .all
        .iter()
        .map(|backdrop| {
            let text = fitted(&backdrop.words(venue), 420.0, 24.0, Weight::Regular);
            let colour = tints.colour(*backdrop);
            LegendEntry::new(text, move |sketch, plate| sketch.plate(plate, colour, INK))
        })
        .collect();
    let sample = [36.0, 28.0];
    let legend = Legend { left: LEFT, right, sample, row: ROW_PX, text: lettering };
    legend.draw(sketch, top + 62.0 - 0.5 * ROW_PX, &entries)
}

/// The caution of every picture that has people look up.
pub(super) fn caution(sketch: &mut Sketch, top: f64) -> f64 {
    let text = "Never follow a ball into the sun: no eye at a viewfinder, sight or lens.";
    sketch.text(text, [LEFT, top + 16.0], Lettering::of(26.0).bold().colour(VERMILLION));
    top + 56.0
}
