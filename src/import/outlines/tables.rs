//! Tables of the venue file, each with where it comes from.
//!
//! In: what was built. Out: text that the venue's own reader has read. What the
//! reader refuses is taken out and listed, so that a footprint nobody can use
//! does not cost all the others.

use std::collections::{HashMap, HashSet};

use toml_edit::{Item as TomlItem, Table, value};

use crate::base::limits::MAX_VENUE_BYTES;
use crate::import::write::{NewTable, append, comment, number, numbers, rows};
use crate::venue;
use crate::venue::VenueError;

use super::build::SkippedShape;
use super::error::OutlineError;
use super::ground::ImportTarget;
use super::item::{Built, FoundTree, Item, LeafSeason};
use super::source::Feature;
use super::{Counts, Wish};

/// What leaves and bare twigs let through, and when trees are in leaf: common
/// practice, no source.
const IN_LEAF: f64 = 0.15;
const BARE: f64 = 0.6;
const IN_LEAF_FROM_TO: [(&str, &str); 2] = [("04-20", "11-05"), ("10-20", "05-05")];
/// Names are cut to this many characters, so that a number still fits.
const MAX_NAME: usize = 60;
/// The reader finds mistakes in stages: once for each, and once to be sure.
const MAX_ROUNDS: usize = 6;

/// Writes all that was built; moves what the venue's reader refuses to `skipped`.
///
/// # Errors
/// [`OutlineError`] when the venue cannot take tables, or is not sound itself.
pub fn write(
    ground: &ImportTarget,
    names: HashSet<String>,
    built: &mut Vec<Built>,
    skipped: &mut Vec<SkippedShape>,
    features: &[Feature],
    wish: &Wish,
) -> Result<(String, Counts), OutlineError> {
    let mut round = 0;
    loop {
        round += 1;
        let (text, origin) = text(ground, names.clone(), built, skipped, features, wish)?;
        let (bytes, limit) = (text.len() as u64, MAX_VENUE_BYTES);
        if bytes > limit {
            return Err(OutlineError::TooLong { bytes, limit });
        }
        let mistakes = match venue::check_text(&text, "the new venue file") {
            Ok(()) => return Ok((text, counts(built))),
            Err(VenueError::Mistakes(mistakes)) if round < MAX_ROUNDS => mistakes,
            Err(other) => return Err(other.into()),
        };
        let mut refused: HashMap<usize, String> = HashMap::new();
        for problem in mistakes.problems() {
            let key = problem.key.split('.').next().unwrap_or_default();
            // a camera of the venue may stand in what is added, which it names
            let named = || problem.found.split('"').nth(1).and_then(|name| origin.get(name));
            let Some(one) = origin.get(key).or_else(named) else { continue };
            refused
                .entry(*one)
                .or_insert_with(|| format!("the venue cannot take it: {}", problem.found));
        }
        if refused.is_empty() {
            return Err(VenueError::Mistakes(mistakes).into());
        }
        let mut place = 0;
        built.retain(|one| {
            let why = refused.remove(&place);
            place += 1;
            match why {
                Some(why) => {
                    skipped.push(SkippedShape { feature: one.feature, why });
                    false
                }
                None => true,
            }
        });
    }
}

fn counts(built: &[Built]) -> Counts {
    let mut counts = Counts::default();
    for item in built.iter().flat_map(|b| &b.items) {
        match item {
            Item::Prism { .. } | Item::Column { .. } => counts.solids += 1,
            Item::Tree(_) => counts.trees += 1,
            Item::Panel { .. } => counts.panels += 1,
        }
    }
    counts
}

/// Where each table comes from: `solid[3]` and its name to the place in `built`.
type Origin = HashMap<String, usize>;

fn text(
    ground: &ImportTarget,
    names: HashSet<String>,
    built: &[Built],
    skipped: &[SkippedShape],
    features: &[Feature],
    wish: &Wish,
) -> Result<(String, Origin), OutlineError> {
    let mut document = ground.document.clone();
    let mut origin = Origin::new();
    let mut next: HashMap<&str, usize> = HashMap::new();
    for kind in ["solid", "tree", "panel"] {
        let tables = document.get(kind).and_then(TomlItem::as_array_of_tables);
        next.insert(kind, tables.map_or(0, toml_edit::ArrayOfTables::len));
    }
    let mut tables = Vec::new();
    let mut namer = Namer { taken: names, counts: HashMap::new() };
    for (place, one) in built.iter().enumerate() {
        let named = features[one.feature].name.is_some();
        for (item, name) in one.items.iter().zip(namer.names(one, named)) {
            let kind = kind(item);
            let index = next.entry(kind).or_insert(0);
            origin.insert(format!("{kind}[{index}]"), place);
            *index += 1;
            origin.insert(name.clone(), place);
            let comment = vec![said(one, &features[one.feature])];
            tables.push(NewTable { kind, comment, table: table(item, &name) });
        }
    }
    let heading = super::text::heading(built, skipped, features, wish);
    if ground.is_new {
        let first = format!("#:schema ./venue.schema.json\n{}\n", comment(&heading));
        if let Some(mut title) = document.as_table_mut().key_mut("title") {
            title.leaf_decor_mut().set_prefix(first);
        }
    }
    let heading = if ground.is_new { &[][..] } else { &heading };
    append(&mut document, heading, &tables)
        .map_err(|e| OutlineError::InlineTable { table: e.0.to_owned() })?;
    Ok((document.to_string(), origin))
}

/// Where a table comes from, on one line.
fn said(built: &Built, feature: &Feature) -> String {
    let mut said = format!("{}: {}", feature.id, built.from);
    for more in &built.simplified {
        said += &format!("; {more}");
    }
    said
}

fn kind(item: &Item) -> &'static str {
    match item {
        Item::Prism { .. } | Item::Column { .. } => "solid",
        Item::Tree(_) => "tree",
        Item::Panel { .. } => "panel",
    }
}

fn table(item: &Item, name: &str) -> Table {
    let mut table = Table::new();
    table["name"] = value(name);
    let mut put = |key: &str, value: toml_edit::Value| table[key] = TomlItem::Value(value);
    match item {
        Item::Prism { footprint, bottom_m, top_m } => {
            put("footprint", rows(footprint));
            put("bottom_m", number(*bottom_m));
            put("top_m", number(*top_m));
        }
        Item::Column { centre, radius_m, bottom_m, top_m } => {
            put("centre", numbers(centre));
            put("radius_m", number(*radius_m));
            put("bottom_m", number(*bottom_m));
            put("top_m", number(*top_m));
        }
        Item::Panel { corners } => put("corners", rows(corners)),
        Item::Tree(tree) => put_tree(tree, &mut put),
    }
    table
}

fn put_tree(tree: &FoundTree, put: &mut impl FnMut(&str, toml_edit::Value)) {
    put("at", numbers(&tree.at));
    put("trunk_height_m", number(tree.trunk_height_m));
    put("trunk_radius_m", number(tree.trunk_radius_m));
    put("crown_height_m", number(tree.crown_height_m));
    put("crown_radius_m", number(tree.crown_radius_m));
    put("in_leaf_transmittance", number(IN_LEAF));
    let (from, to) = match tree.leaves {
        LeafSeason::Always => return,
        LeafSeason::Northern => IN_LEAF_FROM_TO[0],
        LeafSeason::Southern => IN_LEAF_FROM_TO[1],
    };
    put("bare_transmittance", number(BARE));
    put("leaf_from", from.into());
    put("leaf_to", to.into());
}

/// Gives every table a name of its own.
struct Namer {
    taken: HashSet<String>,
    /// The last number given to things without a name.
    counts: HashMap<String, usize>,
}

impl Namer {
    /// One name for each item: the name itself where there is one item only.
    fn names(&mut self, built: &Built, named: bool) -> Vec<String> {
        let base: String = built.name.chars().take(MAX_NAME).collect();
        let base = base.trim();
        loop {
            let count = self.counts.entry(base.to_owned()).or_insert(0);
            *count += 1;
            let whole = match (named, *count) {
                (true, 1) => base.to_owned(),
                (_, count) => format!("{base} {count}"),
            };
            let names = pieces(built, &whole);
            if names.iter().all(|name| !self.taken.contains(name)) {
                self.taken.extend(names.iter().cloned());
                return names;
            }
        }
    }
}

fn pieces(built: &Built, whole: &str) -> Vec<String> {
    if let [_] = built.items[..] {
        return vec![whole.to_owned()];
    }
    let bodies = built.items.iter().filter(|i| kind(i) == "solid").count();
    let (mut body, mut panel) = (0, 0);
    let name = |item: &Item| match (kind(item), bodies) {
        ("solid", 1) => whole.to_owned(),
        ("solid", _) => {
            body += 1;
            format!("{whole} part {body}")
        }
        (_, 0) => {
            panel += 1;
            format!("{whole} part {panel}")
        }
        _ => {
            panel += 1;
            format!("{whole} roof {panel}")
        }
    };
    built.items.iter().map(name).collect()
}
