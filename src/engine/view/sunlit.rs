//! What is played on in a picture, and how much of the sun it gets: no light but that.
//!
//! In: a [`ViewScene`], the [`ViewLight`] of an instant, a [`View`]. Out: shares of the sun,
//! 0 to 1. No face needs nodes for it, so a view can be tried for a moment's work.

use rayon::prelude::*;

use super::figures::Figure;
use super::instant::ViewLight;
use super::render::View;
use super::scene::ViewScene;
use crate::base::frame::plan_view;
use crate::geometry::{MeshEdges, PictureRays, SunDisc};

impl ViewScene {
    /// The share of the sun that arrives at each pixel which shows what is played on, row by
    /// row; lines count to it. All are 0 where the sun does not shine.
    pub fn sun_on_play(&self, light: &ViewLight, view: &View) -> Vec<f64> {
        let rays = PictureRays::new(self.obstacles(), view.frame(), view.tile());
        let disc = light.sun_is_out().then(|| SunDisc::new(self.obstacles(), light.toward_sun));
        let posed: Vec<_> = view.figures.iter().map(Figure::posed).collect();
        let [width, height] = view.size;
        let of_row = |y: usize| {
            let mut hits = Vec::new();
            let mut shares = Vec::new();
            for x in 0..width {
                let image = view.image(x as f64 + 0.5, y as f64 + 0.5);
                let toward = rays.frame().ray(image);
                let ground_m = self.obstacles().ground_m(view.eye.at, toward);
                if !ground_m.is_finite() {
                    continue;
                }
                let at = view.eye.at + toward * ground_m;
                let plan = plan_view(at);
                rays.hits(image, toward, ground_m, &mut hits);
                let mut met = posed.iter().filter_map(|figure| figure.met(view.eye.at, toward));
                let is_hidden = !hits.is_empty() || met.any(|hit| hit.distance_m < ground_m);
                if !is_hidden && self.ground.kind(plan.x, plan.y) == 0 {
                    let share = |disc: &SunDisc| disc.share(at, None, MeshEdges::Hard).0;
                    shares.push(disc.as_ref().map_or(0.0, share));
                }
            }
            shares
        };
        (0..height).into_par_iter().flat_map_iter(of_row).collect()
    }
}
