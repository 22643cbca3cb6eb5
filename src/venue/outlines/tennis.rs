//! Tennis, doubles court: ITF Rules of Tennis, rule 1 (The Court).

use super::{Beyond, ENDS, Outline, SIDES, Sizes, closed, grown_box, halves, rectangle, strips};

/// Rule 1: 23.77 m long, 10.97 m wide for doubles.
const LENGTH_M: f64 = 23.77;
const DOUBLES_WIDTH_M: f64 = 10.97;
/// Rule 1: 8.23 m wide for singles.
const SINGLES_WIDTH_M: f64 = 8.23;
/// Rule 1: service lines from the net.
const SERVICE_LINE_M: f64 = 6.40;
/// Rule 1: the centre mark, 10 cm into the court.
const CENTRE_MARK_M: f64 = 0.10;
/// Half the depth of the zone "net": a volley's reach, common practice, no
/// source.
const NET_ZONE_M: f64 = 2.0;

pub(super) const SIZES: Sizes = Sizes {
    length: (LENGTH_M, LENGTH_M),
    width: (DOUBLES_WIDTH_M, DOUBLES_WIDTH_M),
    usual: (LENGTH_M, DOUBLES_WIDTH_M),
    law: "ITF Rules of Tennis, rule 1",
    // Rules of Tennis, Appendix IX, and ITF Technical Booklet (2015), table 5, for
    // international play: 6.40 m or more from baseline to backstop, 3.66 m from sideline
    // to sidestop (for clubs 5.48 and 3.05 m)
    playing_area: Beyond { ends_m: 6.40, sides_m: 3.66 },
};

/// Line umpires, benches and cameras beside the stops (common practice, no source).
pub(super) const SURROUNDS: Beyond = Beyond::all_around(2.0);

pub(super) fn outline(playing: Beyond) -> Outline {
    let (x, y, single) = (LENGTH_M / 2.0, DOUBLES_WIDTH_M / 2.0, SINGLES_WIDTH_M / 2.0);
    let boundary = rectangle([-x, -y], [x, y]);
    let mut markings = vec![
        closed(&boundary),
        vec![[0.0, -y], [0.0, y]],
        vec![[-x, single], [x, single]],
        vec![[-x, -single], [x, -single]],
        vec![[-SERVICE_LINE_M, 0.0], [SERVICE_LINE_M, 0.0]],
    ];
    let mut zones = halves(LENGTH_M, DOUBLES_WIDTH_M);
    zones.push(("net".into(), rectangle([-NET_ZONE_M, -y], [NET_ZONE_M, y])));
    let mut marks = vec![("net centre".to_owned(), [0.0, 0.0])];
    for (end, sign) in ENDS {
        let service = sign * SERVICE_LINE_M;
        markings.push(vec![[service, -single], [service, single]]);
        markings.push(vec![[sign * x, 0.0], [sign * (x - CENTRE_MARK_M), 0.0]]);
        for (side, across) in SIDES {
            let ring = rectangle([0.0, 0.0], [service, across * single]);
            zones.push((format!("service box {end} {side}"), ring));
        }
        zones.push((format!("backcourt {end}"), rectangle([service, -single], [sign * x, single])));
        marks.push((format!("service line {end}"), [service, 0.0]));
        marks.push((format!("baseline {end}"), [sign * x, 0.0]));
    }
    zones.extend(strips((LENGTH_M, DOUBLES_WIDTH_M), playing, ("run-back", "side run")));
    let playing_area = grown_box(LENGTH_M, DOUBLES_WIDTH_M, playing);
    Outline { boundary, playing_area, markings, zones, marks }
}
