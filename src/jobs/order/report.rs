//! A day's order in a terminal and as `order.csv`.
//!
//! In: [`DayOrder`]. Out: text and bytes, and the sentences that the page says as well.

use std::fmt::Write;

use crate::jobs::brief::report::words::{
    clock, cue_key, sure_words, uncertain_s, urgency_key, verdict_key,
};
use crate::jobs::crew::cues::crew::{setting_words, verdict_words};
use crate::output::csv::CsvError;
use crate::output::table::{self, Column, ColumnDoc, docs, number, text as text_column};
use crate::output::text::{Ink, cautions, wrapped};
use crate::output::words::{self, local_time};
use chrono::DateTime;
use chrono_tz::Tz;

use super::{ArrivalSetting, DayOrder, OnAirStretch, OnArrival, StretchCue};

/// Day, zone and sky.
pub(super) fn day_words(day: &DayOrder<'_>) -> String {
    let words = heading(day);
    words.split_once(". ").map_or(words.clone(), |(first, _)| first.to_owned())
}

/// Day, zone, sky and air.
pub(super) fn heading(day: &DayOrder<'_>) -> String {
    let plan = day.fields.iter().flatten().map(|field| &field.plan).next();
    let Some((plan, first)) = plan.and_then(|plan| Some((plan, plan.instants.first()?))) else {
        return String::new();
    };
    format!(
        "{}, {} (UTC{}), {}. {}",
        first.at.format("%A %-d %B %Y"),
        first.at.timezone(),
        first.at.format("%:z"),
        plan.sky,
        plan.air.statement()
    )
}

impl DayOrder<'_> {
    pub(super) fn field_name(&self, index: usize) -> &str {
        self.site.fields.get(index).map_or("", |field| &field.name)
    }

    /// "Court 1, 12:45 to 13:55: Match 3".
    pub(super) fn stretch_words(&self, stretch: &OnAirStretch) -> String {
        let on_air = &stretch.on_air;
        let matches = match stretch.matches.is_empty() {
            true => "no match".to_owned(),
            false => stretch.matches.join(", "),
        };
        let (from, until) = (clock(on_air.from), clock(on_air.until));
        format!("{}, {from} to {until}: {matches}", self.field_name(on_air.field))
    }
}

/// "ND 1/16, T5.6", "ND 1/16, T8.0 in sun, T4.0 in shade".
pub(super) fn set_words(set: &ArrivalSetting) -> String {
    let glass = setting_words(set.nd_stops, set.gain_db);
    let iris = |t| words::iris(set.lens, t);
    let sides = set.sun_t.filter(|_| set.verdict != crate::camera::Verdict::Hold);
    match sides {
        Some(sun) => format!("{glass}, {} in sun, {} in shade", iris(sun), iris(set.shade_t)),
        None => format!("{glass}, {}", iris(set.one_t)),
    }
}

/// What to do with a camera that comes from another field; `None` where it does not.
pub(super) fn turn_words(day: &DayOrder<'_>, camera: &OnArrival) -> Option<String> {
    let before = camera.comes_from.as_ref()?;
    let (from, to) = (&before.setting, &camera.setting);
    let change = |was: String, is: String| match was == is {
        true => format!("{is} stays"),
        false => format!("{was} to {is}"),
    };
    let glass =
        change(setting_words(from.nd_stops, from.gain_db), setting_words(to.nd_stops, to.gain_db));
    let iris = |set: &ArrivalSetting| words::iris(set.lens, set.one_t);
    let iris = change(iris(from), iris(to));
    let brighter = camera.brighter().map_or_else(String::new, |stops| {
        let stops = stops.stops();
        match stops {
            s if s.abs() < 0.05 => ", as bright as there".to_owned(),
            s if s > 0.0 => format!(", {s:.1} stops brighter here"),
            s => format!(", {:.1} stops darker here", -s),
        }
    });
    let field = day.field_name(before.field);
    Some(format!("from {field} ({}): {glass}, {iris}{brighter}", clock(before.at)))
}

/// The summary, without the list of files.
pub fn text(day: &DayOrder<'_>, ink: Ink) -> String {
    let mut text = format!("{}\n", ink.heading(&day.site.title));
    text += &wrapped("", &heading(day));
    for stretch in &day.stretches {
        let _ = write!(text, "\n{}\n", ink.heading(&day.stretch_words(stretch)));
        let act = |told: &&StretchCue| told.cue.is_key_action();
        let (off, on): (Vec<_>, Vec<_>) =
            stretch.cues.iter().filter(act).partition(|told| !told.on_air);
        text += &off.iter().map(|told| cue_line(told)).collect::<String>();
        for camera in &stretch.cameras {
            if let Some(turn) = turn_words(day, camera) {
                text += &wrapped("  ", &format!("{} {}", camera.name, turn));
            }
        }
        text += &on.iter().map(|told| cue_line(told)).collect::<String>();
    }
    text.push('\n');
    text += &wrapped("", LENGTHS);
    text.push('\n');
    text += &cautions(ink);
    text
}

fn cue_line(told: &StretchCue) -> String {
    let off = if told.on_air { "" } else { " (off air)" };
    let (at, what) = (clock(told.cue.at), &told.cue.what);
    wrapped("  ", &format!("{at}  {what}{off}, {}", sure_words(told.cue.sure)))
}

/// What the times hang on.
pub(super) const LENGTHS: &str = "Matches are as long as the file expects; a match that ends \
     early or late moves those that follow it on its field. Times of shadows do not move.";

/// A row of the table.
struct Row<'a> {
    day: &'a DayOrder<'a>,
    stretch: &'a OnAirStretch,
    of: Of<'a>,
}

#[derive(Clone, Copy)]
enum Of<'a> {
    Field,
    Camera(&'a OnArrival),
    Cue(&'a StretchCue),
}

impl Row<'_> {
    fn at(&self) -> DateTime<Tz> {
        match self.of {
            Of::Cue(told) => told.cue.at,
            _ => self.stretch.on_air.from,
        }
    }

    fn kind(&self) -> &'static str {
        match self.of {
            Of::Field => "field",
            Of::Camera(_) => "camera",
            Of::Cue(told) => cue_key(told.cue.kind),
        }
    }

    fn what(&self) -> String {
        match self.of {
            Of::Field => self.day.stretch_words(self.stretch),
            Of::Camera(camera) => match turn_words(self.day, camera) {
                Some(turn) => turn,
                None => set_words(&camera.setting),
            },
            Of::Cue(told) => told.cue.what.clone(),
        }
    }

    fn cameras(&self) -> String {
        match self.of {
            Of::Field => String::new(),
            Of::Camera(camera) => camera.name.clone(),
            Of::Cue(told) => {
                let day = self.day.fields.get(self.stretch.on_air.field).and_then(Option::as_ref);
                let name = |c: &usize| Some(day?.venue.cameras.get(*c)?.name.as_str());
                told.cue.cameras.iter().filter_map(name).collect::<Vec<_>>().join("; ")
            }
        }
    }

    fn camera(&self) -> Option<&OnArrival> {
        match self.of {
            Of::Camera(camera) => Some(camera),
            _ => None,
        }
    }

    fn cue(&self) -> Option<&StretchCue> {
        match self.of {
            Of::Cue(told) => Some(told),
            _ => None,
        }
    }

    fn is_on_air(&self) -> bool {
        self.cue().is_none_or(|told| told.on_air)
    }

    fn before(&self) -> Option<&ArrivalSetting> {
        Some(&self.camera()?.comes_from.as_ref()?.setting)
    }
}

fn of_row<'a>() -> Vec<Column<'a, Row<'a>>> {
    let set = |of: fn(&ArrivalSetting) -> Option<f64>| move |r: &Row<'a>| of(&r.camera()?.setting);
    let was = |of: fn(&ArrivalSetting) -> Option<f64>| move |r: &Row<'a>| of(r.before()?);
    vec![
        text_column("time", "RFC 3339", "when, with the venue's offset", |r: &Row<'a>| {
            local_time(r.at())
        }),
        text_column("field", "text", "name of the field", |r: &Row<'a>| {
            r.day.field_name(r.stretch.on_air.field).to_owned()
        }),
        table::yes_or_no("on_air", "the field is on air then", |r: &Row<'a>| r.is_on_air()),
        text_column(
            "kind",
            "word",
            "field (the programme goes there), camera (how one is set then), or the kind of a cue \
             as in cues.csv",
            |r: &Row<'a>| r.kind().to_owned(),
        ),
        text_column("what", "text", "what happens, what to do", |r: &Row<'a>| r.what()),
        text_column("cameras", "text", "names with \"; \" between", |r: &Row<'a>| r.cameras()),
        text_column("urgency", "word", "of a cue, as in cues.csv", |r: &Row<'a>| {
            r.cue().map_or_else(String::new, |told| urgency_key(told.cue.urgency).to_owned())
        }),
        number("uncertain_s", ("s", 0), "of a cue, as in cues.csv", |r: &Row<'a>| {
            uncertain_s(r.cue()?.cue.sure)
        }),
        text_column("verdict", "word", "of a camera: hold, ride or choose", |r: &Row<'a>| {
            let verdict = r.camera().map(|camera| camera.setting.verdict);
            verdict.map_or_else(String::new, |verdict| verdict_key(Some(verdict)).to_owned())
        }),
        number("nd_stops", ("stop", 2), "ND of a camera", set(|s| Some(s.nd_stops))),
        number("gain_db", ("dB", 1), "gain of a camera", set(|s| Some(s.gain_db))),
        number("one_t", ("T-number", 2), "one iris for both sides", set(|s| Some(s.one_t))),
        number(
            "sun_t",
            ("T-number", 2),
            "for the sunlit side; empty without sun",
            set(|s| s.sun_t),
        ),
        number("shade_t", ("T-number", 2), "for the shaded side", set(|s| Some(s.shade_t))),
        number(
            "split_stops",
            ("stop", 2),
            "sun over shade of the playing surface; empty where both are not in the cover",
            |r: &Row<'a>| r.camera()?.split.map(|split| split.stops()),
        ),
        text_column(
            "from_field",
            "text",
            "where a camera of the site worked before; empty where it stays",
            |r: &Row<'a>| {
                let from = r.camera().and_then(|camera| camera.comes_from.as_ref());
                from.map_or_else(String::new, |from| r.day.field_name(from.field).to_owned())
            },
        ),
        number("nd_stops_before", ("stop", 1), "its ND there", was(|s| Some(s.nd_stops))),
        number("gain_db_before", ("dB", 1), "its gain there", was(|s| Some(s.gain_db))),
        number("one_t_before", ("T-number", 2), "its one iris there", was(|s| Some(s.one_t))),
        number(
            "brighter_stops",
            ("stop", 2),
            "what it puts at white here over what it put at white there",
            |r: &Row<'a>| r.camera()?.brighter().map(|stops| stops.stops()),
        ),
    ]
}

/// Columns of `order.csv`.
pub fn columns() -> Vec<ColumnDoc> {
    docs(&of_row())
}

/// `order.csv`.
///
/// # Errors
/// [`CsvError`] where the writer refuses, which no day should cause.
pub fn csv(day: &DayOrder<'_>) -> Result<Vec<u8>, CsvError> {
    let rows = day.stretches.iter().flat_map(|stretch| {
        let row = move |of| Row { day, stretch, of };
        let (off, on): (Vec<_>, Vec<_>) = stretch.cues.iter().partition(|told| !told.on_air);
        let here = stretch.cameras.iter().map(Of::Camera);
        let (off, on) = (off.into_iter().map(Of::Cue), on.into_iter().map(Of::Cue));
        let all = off.chain([Of::Field]).chain(here).chain(on);
        all.map(row).collect::<Vec<_>>()
    });
    table::csv(&of_row(), rows)
}

/// What a camera asks of a hand, in words.
pub(super) fn handling(camera: &OnArrival) -> String {
    let verdict = verdict_words(camera.setting.verdict);
    match camera.split {
        Some(split) => format!("{verdict}; split {:.1} stops", split.stops()),
        None => verdict.to_owned(),
    }
}
