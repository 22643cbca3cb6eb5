//! Hockey: FIH Rules of Hockey, section "Field and Equipment Specifications".

use super::{
    Beyond, ENDS, Outline, Point, Sizes, arc, closed, grown_box, halves, rectangle, strips,
};

/// Specification 1.2: 91.40 m by 55.00 m.
const LENGTH_M: f64 = 91.40;
const WIDTH_M: f64 = 55.00;
/// Specification 1.4: lines across, measured from the back-lines.
const TWENTY_THREE_M: f64 = 22.90;
/// Specification 1.4: quarter circles about each goalpost, joined by a line.
const CIRCLE_M: f64 = 14.63;
/// Specification 1.4: centre of the penalty spot from the inner edge of the
/// goal-line.
const PENALTY_SPOT_M: f64 = 6.475;
/// Specification 1.5: between the goal-posts.
const GOAL_WIDTH_M: f64 = 3.66;

pub(super) const SIZES: Sizes = Sizes {
    length: (LENGTH_M, LENGTH_M),
    width: (WIDTH_M, WIDTH_M),
    usual: (LENGTH_M, WIDTH_M),
    law: "FIH Rules of Hockey, field specifications",
    // Specification 1.2 (1.3 of later editions), recommended: run-offs of 5 m outside the
    // back-lines and 4 m outside the side-lines
    playing_area: Beyond { ends_m: 5.0, sides_m: 4.0 },
};

/// Benches and those who work beside the run-offs (common practice, no source).
pub(super) const SURROUNDS: Beyond = Beyond::all_around(3.0);

pub(super) fn outline(length_m: f64, width_m: f64, playing: Beyond) -> Outline {
    let (x, y) = (length_m / 2.0, width_m / 2.0);
    let boundary = rectangle([-x, -y], [x, y]);
    let mut markings = vec![closed(&boundary), vec![[0.0, -y], [0.0, y]]];
    let mut zones = halves(length_m, width_m);
    let mut marks = vec![("centre spot".to_owned(), [0.0, 0.0])];
    for (end, sign) in ENDS {
        let line = sign * (x - TWENTY_THREE_M);
        markings.push(vec![[line, -y], [line, y]]);
        let circle = shooting_circle(x, sign);
        markings.push(circle.clone());
        let anticlockwise = if sign > 0.0 { circle } else { circle.into_iter().rev().collect() };
        zones.push((format!("shooting circle {end}"), anticlockwise));
        zones.push((format!("23 metres {end}"), rectangle([line, -y], [sign * x, y])));
        marks.push((format!("penalty spot {end}"), [sign * (x - PENALTY_SPOT_M), 0.0]));
        marks.push((format!("goal {end}"), [sign * x, 0.0]));
    }
    zones.extend(strips((length_m, width_m), playing, ("run-off", "run-off")));
    let playing_area = grown_box(length_m, width_m, playing);
    Outline { boundary, playing_area, markings, zones, marks }
}

/// From the back-line around one post, along, and around the other post back to
/// it. Anticlockwise at the end ahead.
fn shooting_circle(x: f64, sign: f64) -> Vec<Point> {
    let post = GOAL_WIDTH_M / 2.0;
    // drawn at the end ahead, mirrored to the other
    let ahead = arc([x, post], CIRCLE_M, 90.0, 180.0).into_iter().chain(arc(
        [x, -post],
        CIRCLE_M,
        180.0,
        270.0,
    ));
    ahead.map(|[a, c]| [sign * a, c]).collect()
}
