//! How a camera of the brief is looked through.
//!
//! In: a plan and its brief. Out: the view of one camera at one instant, at the one setting
//! that the brief gives it.

use glam::DVec3;

use crate::jobs::brief::picture::EyeView;

use super::Report;
use crate::jobs::crew::setting_words;

impl Report<'_> {
    /// The view of a camera at its one setting, looking at the middle one of its aims; `None`
    /// where it sees nothing of the field.
    pub fn eye_view(&self, camera: usize, index: usize) -> Option<EyeView> {
        let post = self.venue.cameras.get(camera)?;
        let brief = self.brief.cameras.iter().find(|c| c.camera == camera)?;
        let levels = self.brief.levels(self.venue, self.plan, camera, index)?;
        let spans = &self.brief.spans;
        let exposure = brief.exposures.get(index).copied().flatten()?;
        let t = brief.t_at(spans, index, exposure.one.white)?;
        let set = brief.setting_at(spans, index)?;
        let looks_at = post.aims.get(post.aims.len() / 2).copied().unwrap_or(DVec3::ZERO);
        let setting = format!("T{t:.1}, {}", setting_words(set.nd_stops, set.gain_db));
        Some(EyeView { camera, looks_at, levels, setting })
    }
}
