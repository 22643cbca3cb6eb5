//! The printed summary of `quarterstop forecast`.

use std::fmt::Write;

use crate::jobs::clouds::Reach;
use crate::jobs::crew::setting_words;
use crate::jobs::forecast::{DayOutlook, ReadySetting};
use crate::output::cautions::SHORT;
use crate::output::text::{Ink, fit, listed, titled, wrapped};
use crate::venue::Venue;

use super::{clock, members, note, stretch_line};

/// For a terminal.
pub fn text(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let under = format!("Forecast: {}.", members(day));
    let mut text = titled(&venue.title, &under, ink) + "\n";
    text += &expectation("What to expect", venue, day, ink);
    text.push('\n');
    text += &splits(venue, day, ink);
    text.push('\n');
    text += &ready(venue, day, ink);
    text + "\n" + &listed(&SHORT, ink)
}

/// Stretch by stretch, and what the brackets mean.
pub fn expectation(heading: &str, venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let stretches: String =
        day.stretches.iter().map(|stretch| wrapped("  ", &stretch_line(stretch))).collect();
    format!("{}\n{stretches}{}", ink.heading(heading), wrapped("  ", &note(venue, day)))
}

/// Widest expected split of each camera.
fn splits(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let title =
        format!("{:<40}{:>14}{:>20}", "Expected split in shot", "at its widest", "over the skies");
    let mut text = ink.heading(&title) + "\n";
    for (index, camera) in venue.cameras.iter().enumerate() {
        let expected = |m: &crate::jobs::forecast::ForecastMinute| m.splits.get(index)?.expected();
        let widest = day
            .minutes
            .iter()
            .max_by(|a, b| expected(a).unwrap_or(0.0).total_cmp(&expected(b).unwrap_or(0.0)));
        let cell = widest.and_then(|m| {
            let split = m.splits.get(index)?;
            let (low, high) = (split.percentile(10.0)?, split.percentile(90.0)?);
            let stops = split.expected()?;
            (stops > 0.0).then(|| {
                (format!("{stops:.1} at {}", clock(m.at)), format!("{low:.1} to {high:.1} stops"))
            })
        });
        let (widest, range) = cell.unwrap_or_else(|| ("no edge".to_owned(), String::new()));
        let line = format!("  {:<38}{widest:>14}{range:>20}", fit(&camera.name, 36));
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}

fn ready(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let title = format!(
        "{:<32}{:>8}{:>7}{:>7}{:>7}   {}",
        "Ready for either", "filter", "sun", "shade", "cloud", "lens"
    );
    let mut text = ink.heading(&title) + "\n";
    for ready in &day.ready {
        let ReadySetting { camera, run, nd_stops, sun_t, shade_t, cloud_t, in_reach, .. } = ready;
        let set = |t: f64| format!("T{:.1}", ready.lens.set_t(t));
        let t = |t: Option<f64>| t.map_or_else(|| "-".to_owned(), set);
        let camera = venue.cameras.get(*camera).map_or("", |c| c.name.as_str());
        let lens = match in_reach {
            Reach::Both => "reaches all",
            Reach::TooDarkUnderCloud => "too dark: less ND",
            Reach::TooBrightInSun => "too bright: more ND",
            Reach::Unknown => "-",
        };
        let name = fit(&format!("{}, {run}", fit(camera, 17)), 29);
        let _ = writeln!(
            text,
            "  {name:<30}{:>8}{:>7}{:>7}{:>7}   {lens}",
            setting_words(*nd_stops, 0.0),
            t(*sun_t),
            t(*shade_t),
            t(*cloud_t)
        );
    }
    text + &wrapped(
        "  ",
        "T-numbers in the middle of each run of play with the ND of a clear day; cloud is an \
         overcast sky. Clouds between are between.",
    )
}
