//! Infill between the ends of two neighbouring stands: a straight chamfer.

use super::nearest;
use super::profile::{Profile, back_wall, deck, roof};
use super::stand::Stand;
use crate::venue::file::{CornerRoof, CornerTable, SideName};
use crate::venue::model::{Occluder, OccluderKind};
use crate::venue::problem::Problems;

pub(super) fn corners(
    tables: &[CornerTable],
    stands: &[Stand],
    problems: &mut Problems,
) -> Vec<Occluder> {
    let tables = tables.iter().enumerate();
    tables
        .filter_map(|(i, table)| corner(table, &format!("corner[{i}]"), stands, problems))
        .collect()
}

fn corner(
    table: &CornerTable,
    key: &str,
    stands: &[Stand],
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

/// The two ends that lie nearest to each other.
fn facing_ends<'s>(a: &'s Stand, b: &'s Stand) -> (&'s Profile, &'s Profile) {
    let pairs = [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(i, j)| (&a.ends[i], &b.ends[j]));
    let gap = |(x, y): &(&Profile, &Profile)| x.front_foot().distance(y.front_foot());
    pairs.into_iter().min_by(|p, q| gap(p).total_cmp(&gap(q))).unwrap_or((&a.ends[0], &b.ends[0]))
}
