//! What to say about an import: on the terminal and in the file.

use super::build::Skipped;
use super::item::Built;
use super::source::{Feature, clean};
use super::{Group, Imported, Wish};
use crate::import::write::wrapped;

/// What was assumed or made simpler, with the features.
pub(super) fn simplified(built: &[Built], features: &[Feature]) -> Vec<Group> {
    let assumed = built.iter().filter(|b| b.assumed).map(|b| (b.feature, b.from.clone()));
    let simpler =
        built.iter().flat_map(|b| b.simplified.iter().map(|what| (b.feature, what.clone())));
    let levels = built.iter().filter(|b| b.from.contains(" m a level"));
    let levels = levels.map(|b| (b.feature, "height by levels, not by a stated height".into()));
    grouped(assumed.chain(levels).chain(simpler), features)
}

/// What was left out, with the features.
pub(super) fn left_out(skipped: &[Skipped], features: &[Feature]) -> Vec<Group> {
    grouped(skipped.iter().map(|s| (s.feature, s.why.clone())), features)
}

/// The same things said together, in the order of their first.
fn grouped(all: impl Iterator<Item = (usize, String)>, features: &[Feature]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let mut place: std::collections::HashMap<String, usize> = Default::default();
    for (feature, what) in all {
        let at = *place.entry(what.clone()).or_insert_with(|| {
            groups.push(Group { what, features: Vec::new() });
            groups.len() - 1
        });
        let called = clean(&features[feature].called());
        if groups[at].features.last() != Some(&called) {
            groups[at].features.push(called);
        }
    }
    groups
}

fn lines(group: &Group) -> Vec<String> {
    let features = group.features.join(", ");
    wrapped("  ", &format!("{} ({}): {features}", group.what, group.features.len()))
}

/// Comment at the head of what is written.
pub(super) fn heading(
    built: &[Built],
    skipped: &[Skipped],
    features: &[Feature],
    wish: &Wish,
) -> Vec<String> {
    let mut head = wrapped(
        "",
        &format!(
            "Outlines from {}. Heights are above the turf, in metres. Each table says \
             which feature it is and where its height comes from. Maps are drawn from the \
             air: check on site what matters.",
            clean(&wish.source)
        ),
    );
    let left_out = left_out(skipped, features);
    if !left_out.is_empty() {
        head.push("Left out:".into());
        head.extend(left_out.iter().flat_map(lines));
    }
    let simplified = simplified(built, features);
    if !simplified.is_empty() {
        head.push("Taken for granted or made simpler:".into());
        head.extend(simplified.iter().flat_map(lines));
    }
    head
}

/// What to print after an import.
pub fn text(imported: &Imported, wish: &Wish) -> String {
    let counts = imported.written;
    let many = |count: usize, one: &str| match count {
        1 => format!("1 {one}"),
        count => format!("{count} {one}s"),
    };
    let mut all = wrapped(
        "",
        &format!(
            "{} of {} became {}, {} and {}; heights are above the turf, \
             {} m a level where only levels are stated",
            many(imported.features, "feature"),
            clean(&wish.source),
            many(counts.solids, "solid"),
            many(counts.trees, "tree"),
            many(counts.panels, "panel"),
            wish.rule.level_m,
        ),
    );
    for told in &imported.told {
        all.extend(wrapped("  ", told));
    }
    for (title, groups) in [
        ("Taken for granted or made simpler:", &imported.simplified),
        ("Left out:", &imported.left_out),
    ] {
        if !groups.is_empty() {
            all.push(title.into());
            all.extend(groups.iter().flat_map(lines));
        }
    }
    all.join("\n") + "\n"
}
