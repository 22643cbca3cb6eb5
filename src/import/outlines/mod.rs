//! Outlines with heights, from GeoJSON to a venue file.
//!
//! In: GeoJSON (RFC 7946: longitude and latitude on WGS 84, degrees) with the
//! properties of open map data, and a venue or what a new one needs. Out: text of
//! a venue file in field axes, metres, and the list of all that was left out,
//! assumed or made simpler. Heights count from the turf; where a feature states
//! the height of its ground above sea level (`ele`) and the venue states its own,
//! it is lifted by the difference.
//!
//! [`source`] reads, [`kind`] and [`height`] say what a feature is, [`footprint`]
//! and [`roof`] give it shape, [`mod@build`] joins them; [`ground`] and
//! [`field`] are about the venue, [`tables`] writes.

pub mod build;
mod error;
pub mod field;
pub mod footprint;
pub mod ground;
pub mod height;
pub mod item;
pub mod kind;
pub mod roof;
pub mod source;
pub mod tables;
pub mod text;
mod there;
mod upright;

pub use error::OutlineError;
pub use ground::{FieldChoice, Goal, NewVenue};
pub use height::HeightRule;
pub use text::text;

use item::Built;

/// Farther outlines than this from the centre of play are left out unless asked
/// for, metres: a tower of 40 m throws its shadow so far with the sun at 6
/// degrees.
pub const DEFAULT_WITHIN_M: f64 = 400.0;

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// What the file is called, for the comment in the result.
    pub source: String,
    pub within_m: f64,
    pub rule: HeightRule,
}

/// What came of it.
#[derive(Debug, Clone)]
pub struct Imported {
    /// Text of the venue file.
    pub text: String,
    /// Tables written: solids, trees, panels.
    pub written: Counts,
    /// Features that became something.
    pub features: usize,
    /// What was found out about the field of play.
    pub told: Vec<String>,
    /// What was assumed or made simpler: what, and which features.
    pub simplified: Vec<FeatureGroup>,
    /// What was left out: why, and which features.
    pub left_out: Vec<FeatureGroup>,
}

/// How many tables of each kind.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    pub solids: usize,
    pub trees: usize,
    pub panels: usize,
}

/// Features of which the same is to be said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeatureGroup {
    pub what: String,
    pub features: Vec<String>,
}

/// Brings outlines into a venue file.
///
/// # Errors
/// [`OutlineError`] when the file, the field of play or the venue cannot be used.
/// Features that cannot be used are no error; they are listed.
pub fn import(geojson: &str, goal: Goal<'_>, wish: &Wish) -> Result<Imported, OutlineError> {
    let features = source::read(geojson)?;
    let mut ground = ground::ground(goal, &features)?;
    let site = build::BuildContext {
        axes: &ground.axes,
        field: ground.field.clone(),
        within_m: wish.within_m,
        rule: wish.rule,
        turf_m: ground.turf_m,
        southern: ground.southern,
    };
    let parts = build::parts(&features, &site);
    let (mut built, mut skipped) = (Vec::new(), Vec::new());
    for (i, feature) in features.iter().enumerate().filter(|(i, _)| Some(*i) != ground.own) {
        for outcome in build::feature(i, feature, &parts, &site) {
            match outcome {
                Ok(mut one) => match ground.there.beside(&mut one) {
                    Ok(()) => built.push(one),
                    Err(why) => skipped.push(build::SkippedShape { feature: i, why }),
                },
                Err(why) => skipped.push(why),
            }
        }
    }
    let names = std::mem::take(&mut ground.names);
    let (text, written) = tables::write(&ground, names, &mut built, &mut skipped, &features, wish)?;
    Ok(Imported {
        text,
        written,
        features: count_features(&built),
        told: ground.told,
        simplified: text::simplified(&built, &features),
        left_out: text::left_out(&skipped, &features),
    })
}

fn count_features(built: &[Built]) -> usize {
    let mut all: Vec<usize> = built.iter().map(|b| b.feature).collect();
    all.sort_unstable();
    all.dedup();
    all.len()
}
