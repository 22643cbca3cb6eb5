//! The printed summary of `quarterstop forecast`.

use std::fmt::Write;

use chrono::DateTime;
use chrono_tz::Tz;

use super::stretch_words;
use crate::cautions::SHORT;
use crate::clouds::{DayOutlook, Reach, Ready, Stretch};
use crate::report::summary::{Ink, fit, listed, titled, wrapped};
use crate::venue::Venue;

/// Gaps that are listed.
const MAX_GAPS: usize = 6;

/// For a terminal.
pub fn text(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let members = match day.members {
        1 => "one member, so nothing is known of how sure it is".to_owned(),
        n => format!("{n} members side by side"),
    };
    let mut text = titled(&venue.title, &format!("Forecast: {members}."), ink) + "\n";
    text += &(ink.heading("What to expect") + "\n");
    for stretch in &day.stretches {
        text += &wrapped("  ", &stretch_line(stretch));
    }
    text += &wrapped("  ", &silence(day));
    text += &gaps(venue, day);
    text.push('\n');
    text += &splits(venue, day, ink);
    text.push('\n');
    text += &ready(venue, day, ink);
    text + "\n" + &listed(&SHORT, ink)
}

fn stretch_line(stretch: &Stretch) -> String {
    let changes = stretch.changes_per_hour.as_ref().map_or_else(String::new, |spread| {
        let at = |p| spread.percentile(p).unwrap_or(0.0);
        format!("; {:.0} changes an hour ({:.0} to {:.0})", at(50.0), at(10.0), at(90.0))
    });
    let (from, until) = (clock(stretch.from), clock(stretch.until));
    format!("{from} to {until}  {}{changes}", stretch_words(stretch))
}

fn silence(day: &DayOutlook) -> String {
    match day.silent_from {
        None => "In brackets: 8 members of 10 lie between.".to_owned(),
        Some(at) => format!(
            "From {} on the forecast tells nothing: no hours, or members that say the opposite. \
             Prepare for either.",
            clock(at)
        ),
    }
}

fn gaps(venue: &Venue, day: &DayOutlook) -> String {
    let zone = venue.place.zone;
    let words = |gap: &crate::weather::forecast::Gap| {
        let member = if gap.member.is_empty() { "the forecast" } else { gap.member.as_str() };
        let at = |at: DateTime<chrono::Utc>| clock(at.with_timezone(&zone));
        format!("{} from {} to {}", fit(member, 30), at(gap.from), at(gap.until))
    };
    if day.gaps.is_empty() {
        return String::new();
    }
    let listed: Vec<String> = day.gaps.iter().take(MAX_GAPS).map(words).collect();
    let more = match day.gaps.len().saturating_sub(MAX_GAPS) {
        0 => String::new(),
        n => format!(" and {n} more"),
    };
    wrapped("  ", &format!("Nothing is said by {}{more}.", listed.join(", ")))
}

/// Widest expected split of each camera.
fn splits(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let title =
        format!("{:<40}{:>14}{:>20}", "Expected split in shot", "at its widest", "over the skies");
    let mut text = ink.heading(&title) + "\n";
    for (index, camera) in venue.cameras.iter().enumerate() {
        let expected = |m: &crate::clouds::Minute| m.splits.get(index)?.expected();
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
        let _ = writeln!(text, "  {:<38}{widest:>14}{range:>20}", fit(&camera.name, 36));
    }
    text
}

fn ready(venue: &Venue, day: &DayOutlook, ink: Ink) -> String {
    let title = format!(
        "{:<32}{:>4}{:>7}{:>7}{:>7}   {}",
        "Ready for either", "ND", "sun", "shade", "cloud", "lens"
    );
    let mut text = ink.heading(&title) + "\n";
    let t = |t: Option<f64>| t.map_or_else(|| "-".to_owned(), |t| format!("T{t:.1}"));
    for Ready { camera, run, nd_stops, sun_t, shade_t, cloud_t, in_reach } in &day.ready {
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
            "  {name:<30}{nd_stops:>4.0}{:>7}{:>7}{:>7}   {lens}",
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

fn clock(at: DateTime<Tz>) -> String {
    at.format("%H:%M").to_string()
}
