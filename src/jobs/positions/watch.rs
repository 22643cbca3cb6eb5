//! What each place sees, added up over play.
//!
//! In: instants of a plan with a camera at every place. Out: [`Watched`]: counts of
//! instants, the widest split of each place with its range, and mean differences between
//! cameras for the same subject, stops.

use std::sync::Arc;

use rayon::prelude::*;

use crate::base::units::Stops;
use crate::camera::{CameraView, Coverage, Interval, LensState, LensView, SubjectLit, lens_view};
use crate::engine::Prepared;
use crate::engine::lit_venue::PreparedCamera;
use crate::engine::model::Instant;
use crate::geometry::SampleGrid;
use crate::light::Scene;
use crate::solar::SunState;
use crate::venue::CameraPost;

/// About so many places of a cover are looked at through the camera.
const VIEW_SAMPLES: f64 = 80.0;

/// One instant.
pub(super) struct Watch {
    sun_out: bool,
    posts: Vec<PostWatch>,
    /// By mark of the field, then by post: `log2` of the light on a face turned to it, lx;
    /// no number where it does not see the mark.
    faces: Vec<Vec<f32>>,
}

struct PostWatch {
    /// Widest split in shot, of turf and subject, either way.
    split: Option<f64>,
    lens: LensView,
}

impl Watch {
    pub fn of(prepared: &Prepared<'_>, instant: &Instant) -> Self {
        let sun_out =
            instant.sun_state == SunState::Up && instant.daylight.direct_normal.lux() > 0.0;
        let (toward, stands) = (instant.sun.toward(), prepared.at(instant.at));
        let posts = prepared.venue.cameras.iter().zip(&instant.cameras).map(|(post, view)| {
            let splits = [view.turf.state.in_shot(), view.subject.state.in_shot()];
            let widths = splits.into_iter().flatten().map(|s| s.stops().abs());
            PostWatch {
                split: widths.reduce(f64::max),
                lens: match sun_out {
                    true => lens_view(post, toward, stands.lit.scene.transmission(post.at, toward)),
                    false => LensView::NO_SUN,
                },
            }
        });
        let log = |light: &Option<crate::light::Tristimulus>| {
            light.map(|l| l.lux()).filter(|lux| *lux > 0.0).map_or(f32::NAN, |l| l.log2() as f32)
        };
        Self {
            sun_out,
            posts: posts.collect(),
            faces: instant.faces.iter().map(|mark| mark.iter().map(log).collect()).collect(),
        }
    }
}

/// Sums over instants.
pub(super) struct Watched {
    pub instants: usize,
    pub sun_instants: usize,
    pub posts: Vec<Counted>,
    pub gaps: Gaps,
    over: Vec<Stops>,
}

/// Instants of one post.
#[derive(Debug, Clone, Default)]
pub(super) struct Counted {
    pub over: Vec<usize>,
    pub widest: Option<f64>,
    /// Its range, once it is known.
    pub widest_range: Option<Interval>,
    /// Where the widest one is among the instants added last; `None` where it is older.
    at: Option<usize>,
    pub in_frame: usize,
    pub on_lens: usize,
    pub back_lit: usize,
    /// Sum of shares.
    pub in_sun: f64,
}

impl Watched {
    /// `against` are the posts that all others are compared to.
    pub fn new(posts: usize, against: Vec<usize>, over: &[Stops]) -> Self {
        let none = Counted { over: vec![0; over.len()], ..Counted::default() };
        Self {
            instants: 0,
            sun_instants: 0,
            posts: vec![none; posts],
            gaps: Gaps::new(posts, against),
            over: over.to_vec(),
        }
    }

    /// Adds instants. Gives those, counted from the first of them, in which some post has
    /// its widest split so far: whoever asks for ranges needs these only.
    pub fn add(&mut self, seen: &[Watch]) -> Vec<usize> {
        self.instants += seen.len();
        self.sun_instants += seen.iter().filter(|w| w.sun_out).count();
        self.posts.iter_mut().for_each(|counted| counted.at = None);
        for (index, watch) in seen.iter().enumerate() {
            for (counted, post) in self.posts.iter_mut().zip(&watch.posts) {
                counted.add(index, post, &self.over);
            }
        }
        self.gaps.add(seen);
        let mut moments: Vec<usize> = self.posts.iter().filter_map(|post| post.at).collect();
        moments.sort_unstable();
        moments.dedup();
        moments
    }

    /// Ranges of the widest split of all posts at instants of the last [`Watched::add`].
    pub fn add_ranges(&mut self, ranged: &[(usize, Vec<Option<Interval>>)]) {
        for (post, counted) in self.posts.iter_mut().enumerate() {
            let Some(at) = counted.at else { continue };
            let moment = ranged.iter().find(|(index, _)| *index == at);
            counted.widest_range = moment.and_then(|(_, posts)| *posts.get(post)?);
        }
    }
}

impl Counted {
    fn add(&mut self, index: usize, post: &PostWatch, over: &[Stops]) {
        if let Some(split) = post.split {
            if self.widest.is_none_or(|widest| split > widest) {
                (self.widest, self.at) = (Some(split), Some(index));
            }
            for (count, over) in self.over.iter_mut().zip(over) {
                *count += usize::from(split > over.stops());
            }
        }
        match post.lens.state {
            LensState::InFrame => self.in_frame += 1,
            LensState::OnElement => self.on_lens += 1,
            LensState::Clear | LensState::Shaded => {}
        }
        self.back_lit += usize::from(post.lens.subject == Some(SubjectLit::Back));
        self.in_sun += post.lens.at_camera.map_or(0.0, |t| t.share());
    }
}

/// Ranges of the widest split in shot of each camera, whatever its sign.
pub(super) fn widest_ranges(instant: &Instant) -> Vec<Option<Interval>> {
    let of = |view: &CameraView| {
        let splits = [&view.turf, &view.subject].into_iter();
        let in_shot = splits.filter_map(|s| Some((s.state.in_shot()?.stops().abs(), s)));
        let widest = in_shot.reduce(|a, b| if b.0 > a.0 { b } else { a });
        widest?.1.range?.stops.map(Interval::either_way)
    };
    instant.cameras.iter().map(of).collect()
}

/// Differences between posts for the same subject at the same place.
pub(super) struct Gaps {
    against: Vec<usize>,
    /// By post, then by the one it is compared to: sum of stops, and of how many.
    sums: Vec<Vec<(f64, u32)>>,
}

impl Gaps {
    fn new(posts: usize, against: Vec<usize>) -> Self {
        Self { sums: vec![vec![(0.0, 0); against.len()]; posts], against }
    }

    fn add(&mut self, seen: &[Watch]) {
        let against = &self.against;
        self.sums.par_iter_mut().enumerate().for_each(|(post, sums)| {
            let marks = seen.iter().flat_map(|watch| &watch.faces);
            let marks = marks.filter_map(|mark| Some((mark, *mark.get(post)?)));
            for (mark, own) in marks.filter(|(_, own)| own.is_finite()) {
                for (sum, &other) in sums.iter_mut().zip(against) {
                    let gap = mark.get(other).map_or(f32::NAN, |theirs| (own - theirs).abs());
                    if gap.is_finite() {
                        *sum = (sum.0 + f64::from(gap), sum.1 + 1);
                    }
                }
            }
        });
    }

    /// Where some posts are among those compared to.
    pub fn places_of(&self, posts: &[usize]) -> Vec<usize> {
        let place = |post: &usize| self.against.iter().position(|a| a == post);
        posts.iter().filter_map(place).collect()
    }

    /// Mean difference of a post to the `other`th of those compared to, stops; `None`
    /// where they share no place, and for the post itself.
    pub fn between(&self, post: usize, other: usize) -> Option<f64> {
        let itself = self.against.get(other) == Some(&post);
        let (sum, count) = *self.sums.get(post)?.get(other)?;
        (count > 0 && !itself).then(|| sum / f64::from(count))
    }
}

/// Share of a cover that nothing hides from the lens, 0 to 1: rays to places all over it.
pub(super) fn clear_view(post: &CameraPost, cover: &Coverage, scene: &Scene) -> f64 {
    let places = SampleGrid::over(&cover.region, cover.area_m2, VIEW_SAMPLES);
    let count = places.places().len().max(1) as f64;
    let clear = |at: &geo::Coord<f64>| {
        // the cover is what no ground hides: bodies before the place are left to ask
        let way = scene.obstacles().on_ground(*at) - post.at;
        let look = |toward| scene.obstacles().look(post.at, toward, way.length());
        way.try_normalize().map_or(1.0, |toward| look(toward).passes())
    };
    places.places().iter().map(clear).sum::<f64>() / count
}

/// Covers of all posts: area in m2 and the share that is seen.
pub(super) fn covers(prepared: &Prepared<'_>) -> Vec<(f64, f64)> {
    let posts = prepared.venue.cameras.par_iter().zip(&prepared.lit.cameras);
    let one = |(post, camera): (&CameraPost, &Arc<PreparedCamera>)| {
        (camera.cover.area_m2, clear_view(post, &camera.cover, &prepared.lit.scene))
    };
    posts.map(one).collect()
}
