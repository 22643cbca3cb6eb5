//! What to say about an import: on the terminal and in the file.

use crate::base::read::clean;
use crate::import::write::wrapped;
use crate::venue::counted;

use super::build::{FAR, FLAT, SkippedShape};
use super::item::Built;
use super::source::Feature;
use super::{FeatureGroup, Imported, Wish};

/// Features that are named on the terminal for one reason; the file has the others.
const MAX_PRINTED: usize = 20;
/// Features that are named in the file for one reason that says itself: what is far
/// off, what has no height and needs none, what the tables say one by one.
const MAX_OBVIOUS: usize = 60;

/// Reasons that are listed; a broken file may have one for each feature.
const MAX_REASONS: usize = 30;

/// What was assumed or made simpler, with the features.
pub(super) fn simplified(built: &[Built], features: &[Feature]) -> Vec<FeatureGroup> {
    let assumed = built.iter().filter(|b| b.assumed).map(|b| (b.feature, b.from.clone()));
    let simpler =
        built.iter().flat_map(|b| b.simplified.iter().map(|what| (b.feature, what.clone())));
    let levels = built.iter().filter(|b| b.from.contains(" m a level"));
    let levels = levels.map(|b| (b.feature, "height by levels, not by a stated height".into()));
    grouped(assumed.chain(levels).chain(simpler), features)
}

/// What was left out, with the features.
pub(super) fn left_out(skipped: &[SkippedShape], features: &[Feature]) -> Vec<FeatureGroup> {
    grouped(skipped.iter().map(|s| (s.feature, s.why.clone())), features)
}

/// The same things said together, in the order of their first.
fn grouped(all: impl Iterator<Item = (usize, String)>, features: &[Feature]) -> Vec<FeatureGroup> {
    let mut groups: Vec<FeatureGroup> = Vec::new();
    let mut place: std::collections::HashMap<String, usize> = Default::default();
    for (feature, what) in all {
        let at = *place.entry(what.clone()).or_insert_with(|| {
            groups.push(FeatureGroup { what, features: Vec::new() });
            groups.len() - 1
        });
        let called = clean(&features[feature].called());
        if groups[at].features.last() != Some(&called) {
            groups[at].features.push(called);
        }
    }
    groups
}

/// A group in lines, with up to `most` of its features by name.
fn lines(group: &FeatureGroup, most: usize) -> Vec<String> {
    let named = group.features.iter().take(most).map(String::as_str);
    let named = named.collect::<Vec<_>>().join(", ");
    let more = match group.features.len().saturating_sub(most) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    wrapped("  ", &format!("{} ({}): {named}{more}", group.what, group.features.len()))
}

/// Groups in lines, at most [`MAX_REASONS`] of them; `most` says how many features of each
/// are named.
fn listed(groups: &[FeatureGroup], most: impl Fn(&FeatureGroup) -> usize) -> Vec<String> {
    let shown = groups.iter().take(MAX_REASONS);
    let mut all: Vec<String> = shown.flat_map(|group| lines(group, most(group))).collect();
    if let Some(rest) = groups.get(MAX_REASONS..).filter(|rest| !rest.is_empty()) {
        let features: usize = rest.iter().map(|group| group.features.len()).sum();
        let reasons = counted(rest.len(), "more reason");
        all.extend(wrapped("  ", &format!("and {} for {reasons}", counted(features, "feature"))));
    }
    all
}

/// Comment at the head of what is written.
pub(super) fn heading(
    built: &[Built],
    skipped: &[SkippedShape],
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
        let most =
            |group: &FeatureGroup| match [FAR, FLAT].iter().any(|w| group.what.starts_with(w)) {
                true => MAX_OBVIOUS,
                false => usize::MAX,
            };
        head.extend(listed(&left_out, most));
    }
    let simplified = simplified(built, features);
    if !simplified.is_empty() {
        head.push("Taken for granted or made simpler:".into());
        head.extend(listed(&simplified, |_| MAX_OBVIOUS));
    }
    head
}

/// What to print after an import.
pub fn text(imported: &Imported, wish: &Wish) -> String {
    let counts = imported.written;
    let mut all = wrapped(
        "",
        &format!(
            "{} of {} became {}, {} and {}; heights are above the turf, \
             {} m a level where only levels are stated",
            counted(imported.features, "feature"),
            clean(&wish.source),
            counted(counts.solids, "solid"),
            counted(counts.trees, "tree"),
            counted(counts.panels, "panel"),
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
            all.extend(listed(groups, |_| MAX_PRINTED));
        }
    }
    all.join("\n") + "\n"
}
