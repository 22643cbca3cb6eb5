//! Infill between the ends of two neighbouring stands: a straight chamfer.

use crate::base::plane::signed_area;
use crate::venue::file::{CornerRoof, CornerTable, SideName};
use crate::venue::occluder::{Occluder, OccluderKind};
use crate::venue::outlines::Point;
use crate::venue::problem::Problems;

use super::field::BuiltField;
use super::nearest;
use super::profile::{CrossSection, back_wall, deck, roof};
use super::ring::{crossing, is_convex, open};
use super::stand::Stand;

pub(super) fn corner(
    table: &CornerTable,
    key: &str,
    stands: &[Stand],
    ground: &BuiltField,
    problems: &mut Problems,
) -> Option<Occluder> {
    let mut find = |name: &str| {
        let found = stands.iter().find(|s| s.occluder.name == name.trim());
        if found.is_none() {
            let names = stands.iter().map(|s| s.occluder.name.as_str());
            let help = nearest(name, names).map_or_else(
                || "only straight stands without problems of their own can be joined".to_owned(),
                |n| format!("did you mean \"{n}\"?"),
            );
            problems.add_with_help(
                format!("{key}.joins"),
                format!("\"{name}\""),
                "the name of a stand",
                help,
            );
        }
        found
    };
    let (a, b) = (find(&table.joins[0]), find(&table.joins[1]));
    let (a, b) = (a?, b?);
    if !neighbours(a.side, b.side) {
        problems.add(
            format!("{key}.joins"),
            "two stands that are not on neighbouring sides",
            "one stand of `ahead` or `behind` and one of `left` or `right`",
        );
        return None;
    }
    let (from, to) = facing_ends(a, b);
    if !clear_of_field(from, to, key, ground, problems) {
        return None;
    }
    let mut bodies = deck(from, to);
    bodies.extend(back_wall(from, to));
    if table.roof == CornerRoof::Joined {
        bodies.extend(roof(from, to));
    }
    let name = format!("{} to {}", a.occluder.name, b.occluder.name);
    Some(Occluder { name, kind: OccluderKind::Corner, bodies })
}

fn neighbours(a: SideName, b: SideName) -> bool {
    let is_end = |side| matches!(side, SideName::Ahead | SideName::Behind);
    is_end(a) != is_end(b)
}

/// Whether the infill has a plain outline and stays off the field; notes it when
/// not.
fn clear_of_field(
    a: &CrossSection,
    b: &CrossSection,
    key: &str,
    ground: &BuiltField,
    problems: &mut Problems,
) -> bool {
    let ([a_front, a_back], [b_front, b_back]) = (a.feet(), b.feet());
    let in_field = |p| {
        let point = ground.frame.to_field(p);
        [point.along_m, point.across_m]
    };
    // ends may meet at their front or back
    let mut ring: Vec<Point> = open([a_front, a_back, b_back, b_front].map(in_field).to_vec());
    if signed_area(&ring) < 0.0 {
        ring.reverse();
    }
    let key = format!("{key}.joins");
    if crossing(&ring).is_some() || !is_convex(&ring) {
        problems.add_with_help(
            key,
            "two stands whose ends overlap or fold over each other",
            "ends with room between them for a straight infill",
            "shorten or shift one of the stands, or fill the corner with solids and panels",
        );
        return false;
    }
    if let Some(overlap) = ground.overlap_m2(&ring) {
        problems.add_with_help(
            key,
            format!("an infill with {overlap:.1} m2 of it on the field of play"),
            "an infill outside the field of play",
            "its front runs straight from one stand's end to the other's: lengthen the stands",
        );
        return false;
    }
    true
}

/// The two ends that lie nearest to each other.
fn facing_ends<'s>(a: &'s Stand, b: &'s Stand) -> (&'s CrossSection, &'s CrossSection) {
    let pairs = [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(i, j)| (&a.ends[i], &b.ends[j]));
    let gap = |(x, y): &(&CrossSection, &CrossSection)| x.front_foot().distance(y.front_foot());
    pairs.into_iter().min_by(|p, q| gap(p).total_cmp(&gap(q))).unwrap_or((&a.ends[0], &b.ends[0]))
}
