//! Football: IFAB Laws of the Game, Law 1 (The Field of Play).

use super::{Beyond, ENDS, Outline, Point, Sizes, arc, closed, halves, rectangle};

/// Law 1.3: touchline 90 to 120 m, goal line 45 to 90 m. 105 x 68 m is what Law
/// 1.4 allows for internationals and grounds commonly have.
pub(super) const SIZES: Sizes = Sizes {
    length: (90.0, 120.0),
    width: (45.0, 90.0),
    usual: (105.0, 68.0),
    law: "IFAB Laws of the Game, Law 1.3",
    // play stops at the lines
    playing_area: Beyond::NOTHING,
};

/// FIFA, Football Stadiums: Technical Recommendations and Requirements (5th ed., 2011),
/// section 4.1 (from memory): 125 x 85 m for a field of 105 x 68 m, which leaves room to
/// warm up and for those who work beside the field.
pub(super) const SURROUNDS: Beyond = Beyond { ends_m: 10.0, sides_m: 8.5 };

/// Law 1.9: up to 1 m from the touchline, and 1 m on either side of the seats.
const TECHNICAL_FROM_LINE_M: f64 = 1.0;
const TECHNICAL_BESIDE_SEATS_M: f64 = 1.0;
/// The law leaves the seats to the ground; where and how long they commonly are, from
/// the half-way line and from the touchline (common practice, no source).
const SEATS_FROM_HALF_WAY_M: f64 = 5.0;
const SEATS_LENGTH_M: f64 = 10.0;
const SEATS_FROM_LINE_M: f64 = 4.0;

/// The technical areas on one side, whose sign of `across` is stated.
pub(crate) fn technical_areas(
    width_m: f64,
    (side, across): (&str, f64),
) -> Vec<(String, Vec<Point>)> {
    let area = |(end, along): (&str, f64)| {
        let near = SEATS_FROM_HALF_WAY_M - TECHNICAL_BESIDE_SEATS_M;
        let far = SEATS_FROM_HALF_WAY_M + SEATS_LENGTH_M + TECHNICAL_BESIDE_SEATS_M;
        let off = |from_line_m: f64| across * (width_m / 2.0 + from_line_m);
        let ring = rectangle(
            [along * near, off(TECHNICAL_FROM_LINE_M)],
            [along * far, off(SEATS_FROM_LINE_M)],
        );
        (format!("technical area {side} {end}"), ring)
    };
    ENDS.map(area).to_vec()
}

/// Law 1.6: from the inside of each post and into the field.
const GOAL_AREA_M: f64 = 5.5;
/// Law 1.7: from the inside of each post and into the field.
const PENALTY_AREA_M: f64 = 16.5;
/// Law 1.7: from the midpoint between the posts.
const PENALTY_MARK_M: f64 = 11.0;
/// Law 1.5 and 1.7: centre circle and arc around the penalty mark.
const CIRCLE_M: f64 = 9.15;
/// Law 1.8.
const CORNER_ARC_M: f64 = 1.0;
/// Law 1.10: between the posts.
const GOAL_WIDTH_M: f64 = 7.32;

pub(super) fn outline(length_m: f64, width_m: f64) -> Outline {
    let (x, y) = (length_m / 2.0, width_m / 2.0);
    let boundary = rectangle([-x, -y], [x, y]);
    let mut markings =
        vec![closed(&boundary), vec![[0.0, -y], [0.0, y]], arc([0.0, 0.0], CIRCLE_M, 0.0, 360.0)];
    let mut zones = halves(length_m, width_m);
    let circle = arc([0.0, 0.0], CIRCLE_M, 0.0, 355.0);
    zones.push(("centre circle".into(), circle));
    let mut marks = vec![("centre spot".to_owned(), [0.0, 0.0])];
    for (end, sign) in ENDS {
        let area = |depth: f64| {
            let half = GOAL_WIDTH_M / 2.0 + depth;
            rectangle([sign * (x - depth), -half], [sign * x, half])
        };
        let spot: Point = [sign * (x - PENALTY_MARK_M), 0.0];
        let (penalty, goal) = (area(PENALTY_AREA_M), area(GOAL_AREA_M));
        markings.extend([closed(&penalty), closed(&goal), penalty_arc(spot, sign)]);
        zones.push((format!("penalty area {end}"), penalty));
        zones.push((format!("goal area {end}"), goal));
        // the goalmouth: goal width by the depth of the goal area
        let mouth = rectangle(
            [sign * (x - GOAL_AREA_M), -GOAL_WIDTH_M / 2.0],
            [sign * x, GOAL_WIDTH_M / 2.0],
        );
        zones.push((format!("goalmouth {end}"), mouth));
        marks.push((format!("penalty spot {end}"), spot));
        marks.push((format!("goal {end}"), [sign * x, 0.0]));
        for (side, across) in super::SIDES {
            let corner = [sign * x, across * y];
            let inward = if sign > 0.0 { 180.0 } else { 0.0 };
            let turn = 90.0 * sign * across;
            markings.push(arc(corner, CORNER_ARC_M, inward, inward + turn));
            marks.push((format!("corner flag {end} {side}"), corner));
        }
    }
    Outline { playing_area: boundary.clone(), boundary, markings, zones, marks }
}

/// The part of the circle around the penalty mark outside the penalty area.
fn penalty_arc(spot: Point, sign: f64) -> Vec<Point> {
    let half = ((PENALTY_AREA_M - PENALTY_MARK_M) / CIRCLE_M).acos().to_degrees();
    let middle = if sign > 0.0 { 180.0 } else { 0.0 };
    arc(spot, CIRCLE_M, middle - half, middle + half)
}
