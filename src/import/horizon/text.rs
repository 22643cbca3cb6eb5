//! What to say about a skyline: on the terminal and in the file.

use super::Skyline;
use super::profile::{HorizonRay, REFRACTION, SeenHorizon, Viewpoint};
use super::tile::TerrainTile;

/// A venue's height may differ by this from the terrain's, metres, before it is
/// pointed out.
const HEIGHT_M: f64 = 10.0;
/// Names of missing tiles that are told.
const MAX_NAMED: usize = 12;

/// About a list.
pub fn list(
    file: &str,
    read: &Skyline,
    kept: &Skyline,
    declination_deg: Option<f64>,
    tolerance_deg: Option<f64>,
) -> Vec<String> {
    let north = match declination_deg {
        Some(d) => format!("turned from magnetic to true north by a declination of {d} degrees"),
        None => "from true north".to_owned(),
    };
    let mut about = format!("Skyline from {file}: {} points, azimuths {north}", read.len());
    if let Some(tolerance) = tolerance_deg.filter(|t| *t > 0.0) {
        about += &format!("; {} kept, within {tolerance} degree of all", kept.len());
    }
    vec![about + "."]
}

/// About terrain; `height_m` is the venue's own.
pub fn terrain(
    tiles: &[TerrainTile],
    look: &Viewpoint,
    seen: &SeenHorizon,
    kept: &Skyline,
    tolerance_deg: f64,
    height_m: Option<f64>,
) -> Vec<String> {
    let files: Vec<&str> = tiles.iter().map(|t| t.file.as_str()).collect();
    let mut about = vec![format!(
        "Skyline from {}: the highest land from {} m to {} km around {:.5}, {:.5}, every {} \
         degrees, seen from {} m over ground at {:.1} m; earth's curvature with a coefficient of \
         refraction of {REFRACTION}. {} of {} points are kept; lines between them pass within \
         {tolerance_deg} degree of all.",
        files.join(", "),
        look.near_m,
        look.far_m / 1000.0,
        look.from.latitude_deg,
        look.from.longitude_deg,
        look.every_deg,
        look.eye_m,
        seen.ground_m,
        kept.len(),
        seen.rays.len(),
    )];
    about.extend(highest(&seen.rays));
    about.push(ground(look, seen, height_m));
    about.extend(voids(tiles, &seen.rays));
    about.extend(silent(seen));
    about
}

fn highest(rays: &[HorizonRay]) -> Option<String> {
    let seen = rays.iter().filter_map(|ray| Some((ray.azimuth_deg, ray.highest?)));
    let (azimuth, (elevation, far)) = seen.max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    Some(format!(
        "It is highest toward {azimuth:.1} degrees: {elevation:.2} degrees, {:.1} km away.",
        far / 1000.0
    ))
}

fn ground(look: &Viewpoint, seen: &SeenHorizon, height_m: Option<f64>) -> String {
    let Some(terrain) = seen.terrain_m else {
        return "The terrain has no height at the centre of play.".into();
    };
    let mut text = format!("The terrain is {terrain:.1} m high at the centre of play");
    if let Some(stated) = look.ground_m {
        text += &format!("; {stated} m is stated and taken");
    }
    match height_m {
        None => text + ".",
        Some(height) => {
            let check = (height - terrain).abs() > HEIGHT_M;
            let check = if check { ": check which is right" } else { "" };
            text + &format!(", {height} m in the venue file{check}.")
        }
    }
}

/// Posts without a height.
fn voids(tiles: &[TerrainTile], rays: &[HorizonRay]) -> Vec<String> {
    let empty: Vec<String> = tiles
        .iter()
        .filter_map(|tile| match tile.voids() {
            0 => None,
            voids => Some(format!("{} {voids} of {}", tile.file, tile.heights.len())),
        })
        .collect();
    if empty.is_empty() {
        return Vec::new();
    }
    let mut all = vec![format!("Posts without a height: {}.", empty.join(", "))];
    let worst = rays.iter().max_by(|a, b| a.void_m.total_cmp(&b.void_m));
    let touched = sectors(rays, |ray| ray.void_m > 0.0);
    if let (Some(worst), false) = (worst, touched.is_empty()) {
        all.push(format!(
            "Rays pass over them toward {}, at worst {:.1} km of the one toward {:.1}; \
             land there may be higher.",
            touched.join(", "),
            worst.void_m / 1000.0,
            worst.azimuth_deg
        ));
    }
    all
}

/// Directions in which tiles end before the look does.
fn silent(seen: &SeenHorizon) -> Vec<String> {
    let short = sectors(&seen.rays, |ray| ray.outside_m > 1000.0);
    if short.is_empty() {
        return Vec::new();
    }
    let mut text = format!("The tiles end sooner toward {}", short.join(", "));
    let blind = sectors(&seen.rays, |ray| ray.highest.is_none());
    if !blind.is_empty() {
        text += &format!("; toward {} there is no land at all and 0 is taken", blind.join(", "));
    }
    let named: Vec<&str> = seen.missing.iter().take(MAX_NAMED).map(String::as_str).collect();
    let more = seen.missing.len().saturating_sub(MAX_NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    vec![format!("{text}. Tiles of SRTM that would say more: {}{more}.", named.join(", "))]
}

/// Runs of neighbouring rays that have something in common, as `10 to 35`.
fn sectors(rays: &[HorizonRay], has: impl Fn(&HorizonRay) -> bool) -> Vec<String> {
    let mut runs: Vec<(f64, f64)> = Vec::new();
    let mut open = false;
    for ray in rays {
        match (has(ray), open, runs.last_mut()) {
            (true, true, Some(run)) => run.1 = ray.azimuth_deg,
            (true, ..) => runs.push((ray.azimuth_deg, ray.azimuth_deg)),
            _ => {}
        }
        open = has(ray);
    }
    if runs.len() == 1 && rays.iter().all(&has) {
        return vec!["every direction".into()];
    }
    // more than a handful says no more than the first and the last
    const MAX: usize = 6;
    let shown = runs.iter().take(MAX).map(|(from, to)| match from == to {
        true => format!("{from:.1} degrees"),
        false => format!("{from:.1} to {to:.1} degrees"),
    });
    let mut shown: Vec<String> = shown.collect();
    if runs.len() > MAX {
        shown.push(format!("and {} more sectors", runs.len() - MAX));
    }
    shown
}
