//! A picture through a camera: as `on-air` has it, as pixels inside of an SVG.
//!
//! In: a revision of the ground, a time, a camera with aim and zoom, what its iris is set for,
//! which signal is shown. Out: an SVG 480 pixels wide with title and description. What does not
//! change while a hand moves a control is kept by the ground: nodes on faces, the light of the
//! minute, what each pixel of the last framing shows, the last picture before any camera.

use std::sync::Arc;

use base64::Engine as _;
use chrono::DateTime;
use chrono_tz::Tz;
use serde::Deserialize;

use crate::engine::view::{Aimed, LinearPicture, Placing, View, ViewLight, ViewScene};
use crate::engine::{Conditions, Instant};
use crate::geometry::OverlayScratch;
use crate::jobs::match_plan::picture::field::clock_text;
use crate::jobs::on_air;
use crate::jobs::on_air::develop::{Hdr, ToneZone, zones};
use crate::jobs::on_air::picture::Inset;
use crate::jobs::on_air::{Developed, Expose, Framing};
use crate::light::{Air, AirByDate, Sky};
use crate::serve::ground::Ground;
use crate::serve::problem::Refused;
use crate::signal::{Output, png};
use crate::venue::CameraPost;

/// Width of a picture, pixels.
const WIDTH: usize = 480;
/// Horizontal field of view that may be asked for, degrees.
const ZOOM_DEG: std::ops::RangeInclusive<f64> = 0.5..=120.0;

/// Which signal of the camera is shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Signal {
    /// SDR by the camera's own knee.
    #[default]
    Sdr,
    /// SDR made of the HDR.
    SdrOfHdr,
    /// What clips and what is crushed in SDR.
    LostInSdr,
    /// The same in HDR.
    LostInHdr,
}

/// What to show of a camera.
#[derive(Debug, Clone, PartialEq)]
pub struct CameraShot {
    pub at: DateTime<Tz>,
    /// Index of the camera.
    pub camera: usize,
    pub framing: Framing,
    pub expose: Expose,
    /// ND that is in, stops; the least that suits the lens without.
    pub nd_stops: Option<f64>,
    pub signal: Signal,
    /// Sky, floodlights and air; a clear sky in the usual air of the date without.
    pub under: Option<(Conditions, Air)>,
}

/// All light of one minute.
pub struct MomentLight {
    at: DateTime<Tz>,
    under: (Conditions, Air),
    light: ViewLight,
    instant: Instant,
}

self_cell::self_cell! {
    /// What each pixel shows, with what it borrows.
    struct AimedView {
        owner: (Arc<ViewScene>, View),
        #[covariant]
        dependent: Aimed,
    }
}

/// A camera as it was aimed last.
pub struct LastAim {
    camera: usize,
    framing: Framing,
    placing: Placing,
    view: AimedView,
}

/// What was shown last, before any camera.
pub struct Taken {
    at: DateTime<Tz>,
    under: (Conditions, Air),
    aim: Arc<LastAim>,
    picture: LinearPicture,
}

/// What a ground keeps for pictures through its cameras.
#[derive(Default)]
pub struct KeptViews {
    moment: Option<Arc<MomentLight>>,
    aim: Option<Arc<LastAim>>,
    taken: Option<Arc<Taken>>,
}

/// Draws it.
///
/// # Errors
/// [`Refused`] for a camera that there is not, or work that nobody wants any more.
pub fn svg(
    ground: &Ground,
    wish: &CameraShot,
    go_on: &dyn Fn() -> Result<(), Refused>,
) -> Result<String, Refused> {
    let (venue, at) = (&*ground.venue, wish.at);
    let no_camera = || Refused::NotFound(format!("there is no camera of index {}", wish.camera));
    let post = venue.cameras.get(wish.camera).ok_or_else(no_camera)?;
    let date = at.date_naive();
    let prepared = ground.prepared(date);
    let prepared = prepared.borrow_dependent();
    go_on()?;
    let usual = || (Conditions { sky: Sky::Clear, lit: None }, AirByDate::of_venue(venue).on(date));
    let under = wish.under.unwrap_or_else(usual);
    let (conditions, air) = under;
    let scene = ground.view(at.naive_local(), || on_air::scene(prepared, at, Sky::Clear, &air));
    go_on()?;
    let kept = ground.kept_view(|kept| kept.moment.clone());
    let same = |moment: &Arc<MomentLight>| moment.at == at && moment.under == under;
    let moment = kept.filter(same).unwrap_or_else(|| {
        let mut bench = OverlayScratch::default();
        let (light, instant) = rayon::join(
            || prepared.view_light_under(at, conditions, &air),
            || prepared.instant_under(at, conditions, &air, &mut bench),
        );
        Arc::new(MomentLight { at, under, light, instant })
    });
    ground.kept_view(|kept| kept.moment = Some(Arc::clone(&moment)));
    go_on()?;
    let taken = taken(ground, &scene, &moment, (wish, post));
    go_on()?;
    let seen = moment.instant.cameras.get(wish.camera);
    let rig = on_air::rig(post, wish.framing);
    let expose = wish.expose;
    let rig = (&rig, wish.nd_stops);
    let set = on_air::Set::new([expose; 2], seen, rig, &venue.subject, &moment.light);
    let hdr = Hdr::of(venue.production.as_ref(), None);
    let (pixels, lost) = shown(&taken, &set, (wish.signal, hdr));
    let [width, height] = taken.picture.size;
    let size = (width as u32, height as u32);
    let png = png::write_codes(size, &pixels).map_err(|e| Refused::Internal(e.to_string()))?;
    let exposed = match expose {
        Expose::Between => "one setting between sun and shade".to_owned(),
        other => format!("set {}", other.words()),
    };
    let aim = taken.aim.placing.words().map_or_else(String::new, |words| format!(", {words}"));
    let words = format!(
        "What {} sees at {} on {}: {}, {exposed}, {}, field of view {:.1}° across{aim}.{}",
        post.name,
        clock_text(at),
        at.format("%-d %B %Y"),
        signal_words(wish.signal, hdr.output),
        set.words(),
        wish.framing.zoom_deg.unwrap_or(post.horizontal_fov_deg),
        lost.map_or_else(String::new, |lost| format!(" {lost}")),
    );
    let title =
        format!("{}, through {}, {}", venue.title, post.name, at.format("%Y-%m-%d %H:%M %Z"));
    Ok(framed(size, [&title, &words], &png))
}

/// Whether a framing may be asked for.
///
/// # Errors
/// [`Refused`] where it may not.
pub fn check(framing: Framing) -> Result<Framing, Refused> {
    if !(0.0..=1.0).contains(&framing.along) {
        let found = framing.along;
        return Err(Refused::input(format!("along: found {found}; allowed: 0 to 1")));
    }
    match framing.zoom_deg {
        Some(found) if !ZOOM_DEG.contains(&found) => {
            let (low, high) = (ZOOM_DEG.start(), ZOOM_DEG.end());
            let text = format!("zoom_deg: found {found}; allowed: {low} to {high} degrees");
            Err(Refused::input(text))
        }
        _ => Ok(framing),
    }
}

/// The picture before any camera: the last one, where it shows the same.
fn taken(
    ground: &Ground,
    scene: &Arc<ViewScene>,
    moment: &MomentLight,
    (wish, post): (&CameraShot, &CameraPost),
) -> Arc<Taken> {
    let aim = aimed(ground, scene, (wish, post));
    let kept = ground.kept_view(|kept| kept.taken.clone());
    let same =
        |t: &Arc<Taken>| t.at == wish.at && t.under == moment.under && Arc::ptr_eq(&t.aim, &aim);
    let taken = kept.filter(same).unwrap_or_else(|| {
        let picture = aim.view.borrow_dependent().picture(&moment.light);
        Arc::new(Taken { at: wish.at, under: moment.under, aim, picture })
    });
    ground.kept_view(|kept| kept.taken = Some(Arc::clone(&taken)));
    taken
}

/// What the pixels show: as they did last, where the camera stands and looks as it did.
fn aimed(
    ground: &Ground,
    scene: &Arc<ViewScene>,
    (wish, post): (&CameraShot, &CameraPost),
) -> Arc<LastAim> {
    let kept = ground.kept_view(|kept| kept.aim.clone());
    let same = |aim: &Arc<LastAim>| {
        (aim.camera, aim.framing) == (wish.camera, wish.framing)
            && Arc::ptr_eq(&aim.view.borrow_owner().0, scene)
    };
    let aim = kept.filter(same).unwrap_or_else(|| {
        let (view, placing) = on_air::view(scene, post, wish.framing, WIDTH);
        let view = AimedView::new((Arc::clone(scene), view), |(scene, view)| scene.aimed(view));
        Arc::new(LastAim { camera: wish.camera, framing: wish.framing, placing, view })
    });
    ground.kept_view(|kept| kept.aim = Some(Arc::clone(&aim)));
    aim
}

/// Pixels of the signal that is wanted, and what is lost in words where that is shown.
fn shown(
    taken: &Taken,
    set: &on_air::Set,
    (signal, hdr): (Signal, Hdr),
) -> (Vec<[u8; 3]>, Option<String>) {
    let sdr = || Inset::sdr(&taken.picture, set);
    let lost_in = |output: Output| {
        let zones = zones(&taken.picture, set, output);
        let share = |is: fn(ToneZone) -> bool| {
            let count = zones.iter().filter(|zone| is(**zone)).count();
            100.0 * count as f64 / zones.len().max(1) as f64
        };
        let words = format!(
            "{:.1} % of the picture clips (vermilion, purple by over a stop), {:.1} % is over \
             white (yellow), {:.1} % is crushed (blue, light blue within a stop of it).",
            share(ToneZone::is_clipped),
            share(|zone| zone == ToneZone::InKnee),
            share(|zone| zone == ToneZone::Crushed),
        );
        (sdr().with_zones(&zones).pixels, Some(words))
    };
    match signal {
        Signal::Sdr => (sdr().pixels, None),
        Signal::SdrOfHdr => {
            let signals = Developed::new(&taken.picture, set, hdr).sdr_of_hdr;
            (Inset::of(taken.picture.size, &signals).pixels, None)
        }
        Signal::LostInSdr => lost_in(Output::Sdr),
        Signal::LostInHdr => lost_in(hdr.output),
    }
}

fn signal_words(signal: Signal, hdr: Output) -> String {
    let hdr = match hdr {
        Output::Pq => "PQ",
        _ => "HLG",
    };
    match signal {
        Signal::Sdr => "SDR".into(),
        Signal::SdrOfHdr => format!("SDR made of {hdr}"),
        Signal::LostInSdr => "what SDR loses".into(),
        Signal::LostInHdr => format!("what {hdr} loses"),
    }
}

fn framed((width, height): (u32, u32), [title, words]: [&str; 2], png: &[u8]) -> String {
    let text = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\"><title>{}</title><desc>{}</desc>\
         <image width=\"{width}\" height=\"{height}\" \
         href=\"data:image/png;base64,{}\"/></svg>",
        text(title),
        text(words),
        base64::engine::general_purpose::STANDARD.encode(png)
    )
}
