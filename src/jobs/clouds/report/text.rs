//! The printed summary of `quarterstop clouds`.

use std::fmt::Write;

use crate::jobs::clouds::{
    CameraOutlook, CloudField, CloudKind, ENHANCED, Follow, HOUR_MIN, Outlook, Reach,
};
use crate::jobs::crew::setting_words;
use crate::output::cautions::SHORT;
use crate::output::text::{Ink, fit, listed, titled, wrapped};
use crate::venue::Venue;
use crate::weather::Spread;

/// For a terminal.
pub fn text(venue: &Venue, outlook: &Outlook, ink: Ink) -> String {
    let mut text = titled(&venue.title, &sky_words(&outlook.field), ink);
    text.push('\n');
    text += &coming(outlook, ink);
    text.push('\n');
    text += &cameras(venue, outlook, ink);
    text.push('\n');
    text += &presets(venue, outlook, ink);
    text + "\n" + &listed(&SHORT, ink)
}

fn sky_words(field: &CloudField) -> String {
    let kind = match field.kind {
        CloudKind::Cumulus => "cumulus",
        CloudKind::Mixed => "low cloud of all sizes",
        CloudKind::Layered => "layers of cloud with holes",
    };
    let wind = match field.wind_m_s {
        Some(wind) => format!("wind {wind:.0} m/s at their height, as stated"),
        None => format!("wind {:.0} m/s at their height, typical", field.median_wind_m_s()),
    };
    format!(
        "Broken sky: {kind}, {:.0} % of the sky; {wind}; base {:.0} m above the ground.",
        100.0 * field.cover,
        field.base_m()
    )
}

fn coming(outlook: &Outlook, ink: Ink) -> String {
    let coming = &outlook.coming;
    let mut text = ink
        .heading(&format!("{:<44}{:>10}{:>12}{:>12}", "Sun and shade", "median", "10 %", "90 %"));
    text.push('\n');
    let mut line = |name: &str, spread: Option<&Spread>| {
        let cell = |p: f64| {
            let value = spread.and_then(|s| s.percentile(p));
            value.map_or_else(|| "-".to_owned(), |v| format!("{v:.0}"))
        };
        let name = fit(name, 42);
        let _ =
            writeln!(text, "  {name:<42}{:>10}{:>12}{:>12}", cell(50.0), cell(10.0), cell(90.0));
    };
    line("changes in an hour", coming.changes_in(HOUR_MIN));
    for (name, minutes) in &outlook.runs {
        line(&format!("changes from {name} on, {minutes} min"), coming.changes_in(*minutes));
    }
    line("sunny spell, min", Some(&coming.sunny_min));
    line("shaded spell, min", Some(&coming.shaded_min));
    line("shadows of 5 s and more in an hour", Some(&coming.shadows_per_hour));
    text + &wrapped(
        "  ",
        "A minute is sunny or shaded by its mean, so short spells count in the last line only. \
         Hours of one day differ that much: long clouds and gaps are rare, but take most of the \
         time.",
    )
}

fn cameras(venue: &Venue, outlook: &Outlook, ink: Ink) -> String {
    let title = format!(
        "{:<25}{:>11}{:>8}{:>13}{:>11}{:>12}",
        "When a cloud comes", "falls by", "within", "fastest", "hand off", "a hand"
    );
    let mut text = ink.heading(&title) + "\n";
    for camera in &outlook.cameras {
        let usual = &camera.usual;
        let _ = writeln!(
            text,
            "  {:<23}{:>5.1} stops{:>6.0} s{:>5.1} stops/s{:>5.1} stops{:>12}",
            fit(name(venue, camera), 22),
            camera.swing.stops.stops(),
            usual.passage.seconds,
            usual.passage.peak_stops_per_s,
            usual.behind_stops,
            follow_words(usual.follow)
        );
    }
    if outlook.cameras.is_empty() {
        text += "  No camera has sun to lose.\n";
    }
    let worst = outlook
        .cameras
        .iter()
        .max_by(|a, b| a.fast.passage.peak_stops_per_s.total_cmp(&b.fast.passage.peak_stops_per_s));
    let fast = worst.map_or_else(String::new, |camera| {
        format!(
            " With a sharp edge and a wind that one day of ten passes: {:.1} stops a second on \
             {}, a hand is off by {:.1} stops and {}.",
            camera.fast.passage.peak_stops_per_s,
            name(venue, camera),
            camera.fast.behind_stops,
            follow_words(camera.fast.follow)
        )
    });
    text + &wrapped(
        "  ",
        &format!(
            "Subjects in the sun, at the minute of play when a cloud takes most. The light comes \
             back as fast as it falls.{fast}"
        ),
    )
}

fn presets(venue: &Venue, outlook: &Outlook, ink: Ink) -> String {
    let title = format!(
        "{:<24}{:>12}{:>14}{:>9}   {}",
        "Ready for either", "in the sun", "under cloud", "filter", "lens"
    );
    let mut text = ink.heading(&title) + "\n";
    for camera in &outlook.cameras {
        let set = |t: f64| format!("T{:.1}", camera.lens.set_t(t));
        let t = |t: Option<f64>| t.map_or_else(|| "-".to_owned(), set);
        let lens = match camera.in_reach {
            Reach::Both => "reaches both",
            Reach::TooDarkUnderCloud => "too dark: less ND",
            Reach::TooBrightInSun => "too bright: more ND",
            Reach::Unknown => "-",
        };
        let _ = writeln!(
            text,
            "  {:<22}{:>12}{:>14}{:>9}   {lens}",
            fit(name(venue, camera), 21),
            t(camera.sun_t),
            t(camera.cloud_t),
            setting_words(camera.nd_stops, 0.0)
        );
    }
    let (low, high) = (ENHANCED.0.log2(), ENHANCED.1.log2());
    text + &wrapped(
        "  ",
        &format!(
            "Beside a bright edge of cloud the light is for moments over that of a clear sky, \
             usually by {low:.1} to {high:.1} stop. Leave that much room over a white shirt."
        ),
    )
}

fn name<'v>(venue: &'v Venue, camera: &CameraOutlook) -> &'v str {
    venue.cameras.get(camera.camera).map_or("", |c| c.name.as_str())
}

fn follow_words(follow: Follow) -> &'static str {
    match follow {
        Follow::Follows => "follows",
        Follow::Late => "is late",
        Follow::TooFast => "is too slow",
    }
}
