//! Cricket: an oval ground with the pitch of the MCC Laws of Cricket.

use super::{Beyond, ENDS, Outline, Sizes, arc, closed, rectangle};

/// Law 6.1: the pitch is 22 yards long and 10 feet wide.
const PITCH_LENGTH_M: f64 = 20.12;
const PITCH_WIDTH_M: f64 = 3.05;
/// Law 7.3: popping crease 4 feet in front of the bowling crease, and 12 feet
/// or more long on both sides together.
const POPPING_CREASE_M: f64 = 1.22;
const POPPING_CREASE_LENGTH_M: f64 = 3.66;
/// Law 7.2: the bowling crease is 8 feet 8 inches long.
const BOWLING_CREASE_LENGTH_M: f64 = 2.64;
/// Half the side of the zone around a wicket: where bails, bat and keeper are,
/// common practice, no source.
const WICKET_ZONE_M: f64 = 3.0;

/// Law 19 leaves the boundary to the ground; 137 to 150 m across with 59 to 82 m
/// from the pitch is what playing conditions of first-class cricket ask for
/// (common practice, no source). The limits keep an oval around the pitch.
pub(super) const SIZES: Sizes = Sizes {
    length: (60.0, 250.0),
    width: (60.0, 250.0),
    usual: (150.0, 140.0),
    law: "MCC Laws of Cricket, Law 19, leaves the boundary to the ground; an oval of",
    // Law 19.1: the boundary is the limit of the field of play
    playing_area: Beyond::NOTHING,
};

/// Playing conditions of internationals, clause 19.2: the rope lies 3 yards (2.74 m) or
/// more inside the fence. Twice that holds sight screens and those who wait beside the
/// rope (common practice, no source).
pub(super) const SURROUNDS: Beyond = Beyond::all_around(2.0 * 2.74);

pub(super) fn outline(length_m: f64, width_m: f64) -> Outline {
    let boundary: Vec<[f64; 2]> = arc([0.0, 0.0], 1.0, 0.0, 355.0)
        .into_iter()
        .map(|[a, c]| [a * length_m / 2.0, c * width_m / 2.0])
        .collect();
    let half = PITCH_LENGTH_M / 2.0;
    let pitch = rectangle([-half, -PITCH_WIDTH_M / 2.0], [half, PITCH_WIDTH_M / 2.0]);
    let mut markings = vec![closed(&boundary), closed(&pitch)];
    let mut zones = vec![("pitch".to_owned(), pitch)];
    let mut marks = vec![("centre of the pitch".to_owned(), [0.0, 0.0])];
    for (end, sign) in ENDS {
        let crease =
            |at: f64, length: f64| vec![[sign * at, -length / 2.0], [sign * at, length / 2.0]];
        markings.push(crease(half, BOWLING_CREASE_LENGTH_M));
        markings.push(crease(half - POPPING_CREASE_M, POPPING_CREASE_LENGTH_M));
        let around = rectangle(
            [sign * half - WICKET_ZONE_M, -WICKET_ZONE_M],
            [sign * half + WICKET_ZONE_M, WICKET_ZONE_M],
        );
        zones.push((format!("wicket {end}"), around));
        marks.push((format!("wicket {end}"), [sign * half, 0.0]));
        marks.push((format!("boundary {end}"), [sign * length_m / 2.0, 0.0]));
    }
    Outline { playing_area: boundary.clone(), boundary, markings, zones, marks }
}
