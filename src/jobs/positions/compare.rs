//! Every place over every instant of play, and what comes of it.
//!
//! In: a venue with candidates, [`PositionSettings`]. Out: [`Positions`]: covers in m2, times in
//! minutes of play, splits and gaps in stops; a penalty for each place, the best set.

use std::sync::atomic::{AtomicUsize, Ordering};

use chrono::DateTime;
use chrono_tz::Tz;
use rayon::prelude::*;

use super::score::{PenaltyPart, PenaltyParts, PositionWeights, undominated};
use super::set::{self, BestSet, SetError, SetRequest, best_set};
use super::settings::{PlayTime, PositionSettings};
use super::watch::{self, Counted, Gaps, Watch, Watched};
use crate::base::units::Stops;
use crate::camera::Interval;
use crate::engine::Prepared;
use crate::geometry::OverlayScratch;
use crate::light::{AirByDate, Sharing, Sky};
use crate::venue::{CameraPost, Venue};

/// More instants than this over all matches are refused.
pub const MAX_WATCHED: usize = 200_000;

/// Why positions cannot be compared.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PositionsError {
    /// Nothing to compare.
    #[error(
        "the venue file names no places to compare; add a [[candidate]] with at, gantry or deck"
    )]
    NoCandidates,
    /// Play never runs.
    #[error("play never runs in the matches asked for; give a start and moments of play")]
    NoPlay,
    /// More work than is sensible.
    #[error(
        "{count} instants over all matches, more than {MAX_WATCHED}; take a longer --step or \
         fewer dates"
    )]
    TooMany { count: usize },
    /// A set that cannot be.
    #[error("{0}")]
    Set(#[from] SetError),
}

/// Places compared.
#[derive(Debug, Clone)]
pub struct Positions {
    pub sky: Sky,
    pub air: AirByDate,
    /// Matches looked at.
    pub matches: usize,
    /// Minutes of play in all, and of these with direct sun.
    pub play_min: f64,
    pub sun_min: f64,
    pub over: Vec<Stops>,
    pub weights: PositionWeights,
    /// The cameras that are there now, in the order of [`Venue::cameras`], then every
    /// place of every candidate, in the order of the file.
    pub sites: Vec<ScoredPosition>,
    /// Indices of cameras that no candidate replaces: what everyone is matched to.
    pub fixed: Vec<usize>,
    /// For each candidate, the index of its best place; `None` where none sees the field.
    pub picks: Vec<Option<usize>>,
    /// Indices of places that no other of their candidate beats in all parts that count.
    pub front: Vec<usize>,
    pub set: SetSearch,
}

/// One place.
#[derive(Debug, Clone, PartialEq)]
pub struct ScoredPosition {
    /// Index of the candidate; `None` for a camera that is there now.
    pub candidate: Option<usize>,
    pub post: CameraPost,
    /// Of the field of play that it covers, m2; 0 where it sees nothing.
    pub cover_m2: f64,
    /// Minutes of play with the split in shot over each of [`Positions::over`].
    pub over_min: Vec<f64>,
    /// Widest split in shot, on turf or subject, stops; `None` where none is in shot.
    pub widest: Option<Stops>,
    /// From its 10th to its 90th percentile for what is unknown of the air; `None` where
    /// none is given (overcast).
    pub widest_range: Option<Interval>,
    /// Mean difference to each of [`Positions::fixed`] for the same subject at the same
    /// place, stops; `None` where they share no place, and for the camera itself.
    pub gaps: Vec<Option<f64>>,
    pub parts: PenaltyParts,
    /// Sum of the parts by their weights; the lower the better. `None` for a camera that
    /// sees nothing of the field.
    pub penalty: Option<f64>,
}

/// What came of the search for a set.
#[derive(Debug, Clone, PartialEq)]
pub enum SetSearch {
    NotAsked,
    Found(BestSet),
    /// No set keeps the distance that was asked for.
    NoneApart,
}

/// Compares the candidates of a venue. `progress` is told how many of how many instants
/// are done, from any thread.
///
/// # Errors
/// [`PositionsError`] without candidates or play, or for a set that cannot be.
pub fn positions(
    venue: &Venue,
    settings: &PositionSettings,
    progress: impl Fn(usize, usize) + Sync,
) -> Result<Positions, PositionsError> {
    if venue.candidates.is_empty() {
        return Err(PositionsError::NoCandidates);
    }
    let matches: Vec<Vec<DateTime<Tz>>> =
        settings.matches.iter().map(|m| m.instants(settings.step)).collect();
    let count = matches.iter().map(Vec::len).sum();
    match count {
        0 => return Err(PositionsError::NoPlay),
        n if n > MAX_WATCHED => return Err(PositionsError::TooMany { count }),
        _ => {}
    }
    if let Some(size) = settings.set {
        set::check(size, venue.candidates.iter().map(|c| (c.posts.len(), c.most)))?;
    }
    let crowded = crowded(venue);
    let fixed = fixed(venue);
    let posts = crowded.cameras.len();
    let against = match settings.set {
        None => fixed.clone(),
        Some(_) => (0..posts).collect(),
    };
    let mut watched = Watched::new(posts, against, &settings.over);
    let mut covers = Vec::new();
    let done = AtomicUsize::new(0);
    for instants in &matches {
        let Some(first) = instants.first() else { continue };
        let prepared = Prepared::sharing(&crowded, first.date_naive(), Sharing::Shared);
        if covers.is_empty() {
            covers = watch::covers(prepared.at(*first));
        }
        let air = settings.air.on(first.date_naive());
        let one = |bench: &mut OverlayScratch, at: &DateTime<Tz>| {
            let instant = prepared.instant(*at, settings.sky, &air, bench);
            let seen = Watch::of(&prepared, &instant);
            progress(done.fetch_add(1, Ordering::Relaxed) + 1, count);
            seen
        };
        let seen: Vec<Watch> = instants.par_iter().map_init(OverlayScratch::default, one).collect();
        let moments = watched.add(&seen);
        let ranged = moments.par_iter().map_init(OverlayScratch::default, |bench, index| {
            let instant = prepared.ranged(*instants.get(*index)?, settings.sky, &air, bench);
            Some((*index, watch::widest_ranges(&instant)))
        });
        let ranged: Vec<(usize, Vec<Option<Interval>>)> = ranged.flatten().collect();
        watched.add_ranges(&ranged);
    }
    Ok(outcome(venue, crowded.cameras, settings, fixed, &watched, &covers))
}

/// The venue with a camera at every place.
fn crowded(venue: &Venue) -> Venue {
    let mut crowded = venue.clone();
    crowded.cameras.extend(venue.candidates.iter().flat_map(|c| c.posts.iter().cloned()));
    crowded
}

/// Cameras that no candidate replaces.
fn fixed(venue: &Venue) -> Vec<usize> {
    let replaced = |camera: &usize| venue.candidates.iter().any(|c| c.instead_of == Some(*camera));
    (0..venue.cameras.len()).filter(|camera| !replaced(camera)).collect()
}

fn outcome(
    venue: &Venue,
    posts: Vec<CameraPost>,
    settings: &PositionSettings,
    fixed: Vec<usize>,
    watched: &Watched,
    covers: &[(f64, f64)],
) -> Positions {
    let play_min: f64 = settings.matches.iter().map(PlayTime::play_min).sum();
    // an instant stands for its share of play
    let minutes = |count: usize| play_min * count as f64 / watched.instants.max(1) as f64;
    let tables = venue.candidates.iter().enumerate();
    let of_places = tables.flat_map(|(i, c)| c.posts.iter().map(move |_| Some(i)));
    let candidates = venue.cameras.iter().map(|_| None).chain(of_places);
    let site = |(index, (post, candidate)): (usize, (CameraPost, Option<usize>))| {
        let (cover_m2, clear) = covers.get(index).copied().unwrap_or((0.0, 0.0));
        let counted = watched.posts.get(index).cloned().unwrap_or_default();
        let gap = |other: &usize| watched.gaps.between(index, *other);
        let gaps: Vec<Option<f64>> = watched.gaps.places_of(&fixed).iter().map(gap).collect();
        let others = fixed.iter().filter(|camera| **camera != index).count();
        let parts = parts(&counted, watched.instants, clear, mean_gap(&gaps, others));
        let penalty = (cover_m2 > 0.0).then(|| settings.weights.penalty(&parts));
        let over_min = counted.over.iter().map(|count| minutes(*count)).collect();
        let widest = counted.widest.map(Stops::from_stops);
        let widest_range = counted.widest_range;
        ScoredPosition {
            candidate,
            post,
            cover_m2,
            over_min,
            widest,
            widest_range,
            gaps,
            parts,
            penalty,
        }
    };
    let sites: Vec<ScoredPosition> =
        posts.into_iter().zip(candidates).enumerate().map(site).collect();
    let usable: Vec<usize> = (0..sites.len())
        .filter(|&i| sites[i].penalty.is_some() && sites[i].candidate.is_some())
        .collect();
    let penalty = |i: usize| sites[i].penalty.unwrap_or(f64::INFINITY);
    let pick = |table: usize| {
        let of_table = usable.iter().filter(|&&i| sites[i].candidate == Some(table));
        of_table.copied().min_by(|a, b| penalty(*a).total_cmp(&penalty(*b)))
    };
    let picks = (0..venue.candidates.len()).map(pick).collect();
    let front = (0..venue.candidates.len()).flat_map(|table| {
        let of_table = usable.iter().copied().filter(|&i| sites[i].candidate == Some(table));
        let of_table: Vec<usize> = of_table.collect();
        let parts: Vec<PenaltyParts> = of_table.iter().map(|&i| sites[i].parts).collect();
        undominated(&parts, &settings.weights).into_iter().map(move |i| of_table[i])
    });
    let front = front.collect();
    let set = match settings.set {
        None => SetSearch::NotAsked,
        Some(count) => search(venue, settings, &sites, &fixed, &watched.gaps, count),
    };
    let air = match settings.matches.as_slice() {
        [only] => settings.air.on(only.within.0.date_naive()).into(),
        _ => settings.air,
    };
    Positions {
        sky: settings.sky,
        air,
        matches: settings.matches.len(),
        play_min,
        sun_min: minutes(watched.sun_instants),
        over: settings.over.clone(),
        weights: settings.weights,
        sites,
        fixed,
        picks,
        front,
        set,
    }
}

fn parts(counted: &Counted, instants: usize, clear: f64, mismatch: f64) -> PenaltyParts {
    let share = |count: f64| count / instants.max(1) as f64;
    let mut parts = PenaltyParts::default();
    for (part, value) in [
        (PenaltyPart::Split, share(counted.over.first().copied().unwrap_or(0) as f64)),
        (PenaltyPart::Mismatch, mismatch),
        (PenaltyPart::BackLit, share(counted.back_lit as f64)),
        (PenaltyPart::SunInFrame, share(counted.in_frame as f64)),
        (PenaltyPart::SunOnLens, share(counted.on_lens as f64)),
        (PenaltyPart::Hidden, 1.0 - clear),
        (PenaltyPart::OwnSun, share(counted.in_sun)),
    ] {
        parts.set(part, value);
    }
    parts
}

/// Over `count` cameras; one without a place in common counts as no difference.
fn mean_gap(gaps: &[Option<f64>], count: usize) -> f64 {
    // an empty sum is -0
    (0.0 + gaps.iter().flatten().sum::<f64>()) / count.max(1) as f64
}

/// The set with the lowest penalty, each of its positions matched to the fixed cameras and
/// to the others of the set.
fn search(
    venue: &Venue,
    settings: &PositionSettings,
    sites: &[ScoredPosition],
    fixed: &[usize],
    gaps: &Gaps,
    count: usize,
) -> SetSearch {
    let first = venue.cameras.len();
    let places = &sites[first.min(sites.len())..];
    let others = fixed.len() + count - 1;
    let matching = settings.weights.get(PenaltyPart::Mismatch);
    let alone = |site: &ScoredPosition| {
        let own = site.penalty? - settings.weights.weighed(&site.parts, PenaltyPart::Mismatch);
        Some(own + matching * mean_gap(&site.gaps, others))
    };
    let alone: Vec<Option<f64>> = places.iter().map(alone).collect();
    let table: Vec<usize> = places.iter().filter_map(|s| s.candidate).collect();
    let most: Vec<usize> = venue.candidates.iter().map(|c| c.most).collect();
    let at: Vec<glam::DVec3> = places.iter().map(|s| s.post.at).collect();
    // each of the two is matched to the other
    let weight = 2.0 * matching / others.max(1) as f64;
    let together = |a: usize, b: usize| weight * gaps.between(first + a, first + b).unwrap_or(0.0);
    let request = SetRequest {
        count,
        alone: &alone,
        together: &together,
        table: &table,
        most: &most,
        at: &at,
        apart_m: settings.apart_m,
    };
    match best_set(&request) {
        None => SetSearch::NoneApart,
        Some(mut set) => {
            set.places.iter_mut().for_each(|place| *place += first);
            SetSearch::Found(set)
        }
    }
}
