//! What the desk has in common, in words: ND of cameras that cut to each other, irises that
//! are far apart, key actions of one operator at the same moment, pairs to match by hand.

use crate::jobs::crew::{AtOnce, FilterGroup, IRIS_APART_STOPS, PairGap};

use super::BriefReport;
use super::words::{clock, setting_words};

/// One sentence for each group of cameras, and one where its irises are far apart.
pub(crate) fn filters(report: &BriefReport<'_>) -> Vec<String> {
    let groups = report.brief.filters.iter();
    groups.flat_map(|group| [Some(filter(report, group)), iris(report, group)]).flatten().collect()
}

/// "ND in the 5 cameras that cut to each other: kickoff ND 1/16; second half ND 1/4, but
/// clear in 5 reverse."
fn filter(report: &BriefReport<'_>, group: &FilterGroup) -> String {
    let of = |(number, span): (usize, &crate::jobs::match_plan::play::PlaySpan)| {
        let common = group.nd_stops.get(number).copied().flatten();
        let others = group.others.iter().filter(|other| other.span == number);
        let others: Vec<String> = others
            .map(|o| format!("{} in {}", setting_words(o.nd_stops, 0.0), name(report, o.camera)))
            .collect();
        match (common, others.is_empty()) {
            (Some(nd), true) => format!("{} {}", span.name, setting_words(nd, 0.0)),
            (Some(nd), false) => {
                format!("{} {}, but {}", span.name, setting_words(nd, 0.0), others.join(", "))
            }
            (None, _) => format!("{} {}", span.name, others.join(", ")),
        }
    };
    let spans: Vec<String> = report.brief.spans.iter().enumerate().map(of).collect();
    let count = group.cameras.len();
    format!("ND in the {count} cameras that cut to each other: {}.", spans.join("; "))
}

fn iris(report: &BriefReport<'_>, group: &FilterGroup) -> Option<String> {
    let (apart, at, (wide, narrow)) = group.widest?;
    (apart.stops() > IRIS_APART_STOPS).then(|| {
        format!(
            "Irises up to {:.1} stops apart ({}: {} wider than {}): depth of field differs on a cut.",
            apart.stops(),
            clock(at),
            name(report, wide),
            name(report, narrow)
        )
    })
}

/// "15:32 operator B: 3 corner ahead and 4 corner behind at the same moment."
pub(crate) fn at_once(report: &BriefReport<'_>) -> Vec<String> {
    let line = |one: &AtOnce| {
        let operator =
            report.brief.desk.operators.get(one.operator).map_or("", |o| o.name.as_str());
        let cameras: Vec<&str> = one.cameras.iter().map(|c| name(report, *c)).collect();
        let cameras = cameras.join(" and ");
        format!("{} operator {operator}: {cameras} at the same moment.", clock(one.at))
    };
    report.brief.at_once.iter().map(line).collect()
}

/// What [`pair`] compares, and what it leaves to the job of that name.
pub(crate) const PAIRS_NOTE: &str = "Light on one face toward either camera, before any iris; \
    quarterstop matching compares the pictures.";

/// "1 main wide and 5 reverse: 0.6 stops at 15:40 (centre spot), over a quarter stop from 15:10
/// to 16:20": what has to be matched by hand on a cut.
pub(crate) fn pair(report: &BriefReport<'_>, pair: &PairGap) -> String {
    let (stops, at, mark) = pair.worst;
    let place = report.venue.field.marks.get(mark).map_or("", |m| m.name.as_str());
    let (from, until) = (pair.apart.first().map(|r| r.0), pair.apart.last().map(|r| r.1));
    let span = from.zip(until).map_or_else(String::new, |(from, until)| {
        format!(", over a quarter stop from {} to {}", clock(from), clock(until))
    });
    format!(
        "{} and {}: {:.1} stops at {} ({place}){span}",
        name(report, pair.cameras.0),
        name(report, pair.cameras.1),
        stops.stops().abs(),
        clock(at)
    )
}

fn name<'a>(report: &BriefReport<'a>, camera: usize) -> &'a str {
    report.venue.cameras.get(camera).map_or("", |c| c.name.as_str())
}
