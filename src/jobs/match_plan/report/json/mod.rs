//! The JSON of a match: everything of every instant, for other programs.
//!
//! In: a venue, its [`MatchPlan`] and light maps. Out: one object of the format
//! `quarterstop.match/2`, numbers unrounded, units in the keys, absent values
//! `null`. The structs of [`MatchFile`] are the format; [`schema`] derives its
//! JSON Schema from them. Keys may be added under the same number; a change of
//! meaning or a removal gets the next one.
//!
//! Points are `[east, north]` in metres from the centre of play, north true.
//! Regions are nested as in a GeoJSON MultiPolygon (RFC 7946, section 3.1.7):
//! polygons, of which the first ring is the outside and the others are holes;
//! rings are closed.

use geo::{Area, LineString, MultiPolygon, Polygon};

use crate::base::slug::unique_ids;
use crate::camera::{CameraView, ClassShares, Coverage, Interval, Side, Split, SplitRange};
use crate::engine::{Hidden, Instant, MatchPlan, PlaneShade, SkyGrid};
use crate::geometry::{EdgeLine, ShadeShare};
use crate::jobs::match_plan::dusk::{BalanceMove, Dusk, Leader};
use crate::jobs::match_plan::facts::SplitTarget;
use crate::jobs::match_plan::{LightMap, ProfilePoint, facts};
use crate::light::{Sky, Tristimulus};
use crate::output::air::AirOut;
use crate::output::json::JsonError;
use crate::output::words;
use crate::output::words::finite;
use crate::solar::SunDay;
use crate::venue::{CameraPost, Venue, Zone};

use super::dusk::target_word;
use format::{EastNorth, RegionOut, Ring};

pub(crate) mod format;

pub use format::*;

/// The whole file; `hidden` are the cameras, by index, from which most of their cover is hidden.
///
/// # Errors
/// [`JsonError`] where the writer refuses, which no plan should cause.
pub fn write(
    venue: &Venue,
    plan: &MatchPlan,
    maps: &[LightMap],
    hidden: &[(usize, Hidden)],
) -> Result<Vec<u8>, JsonError> {
    let mut file = match_file(venue, plan, maps);
    for (index, hidden) in hidden {
        if let Some(camera) = file.cameras.get_mut(*index) {
            camera.hidden = Some(hidden_out(venue, hidden));
        }
    }
    let mut bytes = serde_json::to_vec(&file)?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The object, without what is hidden from cameras.
fn match_file(venue: &Venue, plan: &MatchPlan, maps: &[LightMap]) -> MatchFile {
    let ids = Ids::of(venue);
    let milestone = |m: &crate::engine::Milestone| MilestoneOut {
        name: m.name.clone(),
        time: words::local_time(m.at),
    };
    let zones = ids.zones.iter().zip(&venue.zones);
    let cameras = ids.cameras.iter().zip(&venue.cameras).zip(&plan.covers);
    MatchFile {
        format: FORMAT,
        written_by: concat!("quarterstop ", env!("CARGO_PKG_VERSION")),
        venue: venue_out(venue),
        sky: words::sky(plan.sky),
        thin_cloud_direct_share: match plan.sky {
            Sky::Thin(share) => Some(share.share()),
            _ => None,
        },
        air: AirOut::of(&plan.air),
        step_min: facts::step(plan).map(|s| s.as_seconds_f64() / 60.0),
        day: day_out(plan.day),
        milestones: plan.milestones.iter().map(milestone).collect(),
        zones: zones.map(|(id, zone)| zone_out(id, zone)).collect(),
        cameras: cameras.map(|((id, camera), cover)| camera_out(&ids, id, camera, cover)).collect(),
        sky_view: sky_out(&plan.sky_view),
        floodlight_to_hold: hold_out(&ids, plan),
        instants: plan.instants.iter().map(|i| instant_out(&ids, plan, i)).collect(),
        light_maps: maps.iter().map(map_out).collect(),
        dusk: Dusk::of(plan).and_then(|dusk| dusk_out(&ids, &dusk)),
    }
}

/// Keys of zones and cameras, in the order of the venue.
struct Ids {
    zones: Vec<String>,
    cameras: Vec<String>,
}

impl Ids {
    fn of(venue: &Venue) -> Self {
        Self {
            zones: unique_ids(venue.zones.iter().map(|z| z.name.as_str()), "zone"),
            cameras: unique_ids(venue.cameras.iter().map(|c| c.name.as_str()), "camera"),
        }
    }
}

fn venue_out(venue: &Venue) -> VenueOut {
    let place = &venue.place;
    VenueOut {
        title: venue.title.clone(),
        latitude_deg: place.latitude_deg,
        longitude_deg: place.longitude_deg,
        height_above_sea_m: place.height_m,
        time_zone: place.zone.name().to_owned(),
        pressure_hpa: place.pressure_hpa,
        temperature_c: place.temperature_c,
        sport: venue.field.sport.word(),
        field_bearing_deg: venue.field.frame.bearing().degrees(),
        field_area_m2: venue.field.outline.unsigned_area(),
        playing_area_m2: venue.field.playing_area.unsigned_area(),
        surrounds_m2: venue.field.surrounds.unsigned_area(),
        surface: words::surface(venue.field.surface),
        surface_reflectance: venue.field.surface_reflectance,
        surrounds_surface: words::surface(venue.field.surrounds_surface),
        surrounds_reflectance: venue.field.surrounds_reflectance,
        field_outline_east_north_m: rings(&venue.field.outline),
        playing_area_outline_east_north_m: rings(&venue.field.playing_area),
        surrounds_outline_east_north_m: rings(&venue.field.surrounds),
    }
}

fn day_out(day: SunDay) -> DayOut {
    let (kind, rise, noon, set) = match day {
        SunDay::RisesAndSets { rise, noon, set } => ("rises_and_sets", Some(rise), noon, Some(set)),
        SunDay::OnlyRises { rise, noon } => ("only_rises", Some(rise), noon, None),
        SunDay::OnlySets { noon, set } => ("only_sets", None, noon, Some(set)),
        SunDay::PolarDay { noon } => ("polar_day", None, noon, None),
        SunDay::PolarNight { noon } => ("polar_night", None, noon, None),
    };
    DayOut {
        kind,
        rise: rise.map(words::local_time),
        noon: words::local_time(noon),
        set: set.map(words::local_time),
    }
}

fn zone_out(id: &str, zone: &Zone) -> ZoneOut {
    ZoneOut {
        id: id.to_owned(),
        name: zone.name.clone(),
        area_m2: zone.outline.unsigned_area(),
        outline_east_north_m: rings(&zone.outline),
    }
}

fn camera_out(ids: &Ids, id: &str, camera: &CameraPost, cover: &Coverage) -> CameraOut {
    let zones = ids.zones.iter().zip(&cover.zone_shares);
    let zone = |(zone, share): (&String, &f64)| ZoneCoverOut {
        zone: zone.clone(),
        covered_share: finite(*share),
    };
    CameraOut {
        id: id.to_owned(),
        name: camera.name.clone(),
        position_east_north_up_m: camera.at.to_array(),
        horizontal_fov_deg: camera.horizontal_fov_deg,
        cover: CoverOut {
            area_m2: cover.area_m2,
            field_m2: cover.field_m2,
            playing_area_m2: cover.playing_area_m2,
            zones: zones.map(zone).collect(),
            polygons_east_north_m: region(&cover.region),
        },
        hidden: None,
    }
}

fn hidden_out(venue: &Venue, hidden: &Hidden) -> HiddenOut {
    HiddenOut {
        cover_share: hidden.share,
        by: venue.occluders.get(hidden.thing).map_or_else(String::new, |o| o.name.clone()),
        by_share: hidden.thing_share,
    }
}

fn instant_out(ids: &Ids, plan: &MatchPlan, instant: &Instant) -> InstantOut {
    let views = ids.cameras.iter().zip(&instant.cameras).zip(&plan.covers);
    InstantOut {
        time: words::local_time(instant.at),
        time_utc: words::utc_time(instant.at),
        sun: SunOut {
            azimuth_deg: instant.sun.azimuth.degrees(),
            apparent_elevation_deg: instant.sun.apparent_elevation.degrees(),
            true_elevation_deg: instant.sun.true_elevation.degrees(),
            state: words::sun_state(instant.sun_state),
        },
        daylight: DaylightOut {
            direct_normal_lx: instant.daylight.direct_normal.lux(),
            direct_horizontal_lx: instant.daylight.direct_horizontal.lux(),
            diffuse_horizontal_lx: instant.daylight.diffuse_horizontal.lux(),
            direct_k: words::kelvin(instant.daylight.direct_normal),
            diffuse_k: words::kelvin(instant.daylight.diffuse_horizontal),
        },
        floodlights: words::floodlight(instant.floodlight),
        field_light: FieldLightOut {
            in_sun: instant.field_light.in_sun.map(light_out),
            in_shade: light_out(instant.field_light.in_shade),
            under_cloud: instant.field_light.under_cloud.map(light_out),
        },
        turf: plane_out(ids, &instant.turf),
        face: plane_out(ids, &instant.face),
        cameras: views.map(|((id, view), cover)| view_out(id, view, cover)).collect(),
    }
}

fn plane_out(ids: &Ids, plane: &PlaneShade) -> PlaneOut {
    let zone = |(zone, share): (&String, &ShadeShare)| ZoneShareOut {
        zone: zone.clone(),
        share: share_out(share),
    };
    let dimmed = |d: &crate::geometry::Dimmed| DimmedOut {
        transmittance: d.transmittance.share(),
        polygons_east_north_m: region(&d.region),
    };
    PlaneOut {
        height_m: plane.shadow.height_m,
        field: share_out(&plane.field),
        playing_area: share_out(&plane.playing_area),
        surrounds: share_out(&plane.surrounds),
        zones: ids.zones.iter().zip(&plane.zones).map(zone).collect(),
        opaque_polygons_east_north_m: region(&plane.shadow.opaque),
        dimmed: plane.shadow.dimmed.iter().map(dimmed).collect(),
        edge: plane.edge.iter().map(edge_out).collect(),
    }
}

fn share_out(share: &ShadeShare) -> ShareOut {
    ShareOut {
        opaque_share: finite(share.opaque),
        shaded_share: finite(share.shaded),
        mean_transmission: finite(share.mean_transmission),
    }
}

fn view_out(id: &str, view: &CameraView, cover: &Coverage) -> ViewOut {
    let sees_field = cover.area_m2 > 0.0;
    ViewOut {
        camera: id.to_owned(),
        shaded_share: finite(view.shaded_share).filter(|_| sees_field),
        turf: split_out(&view.turf),
        subject: split_out(&view.subject),
    }
}

fn split_out(split: &Split) -> SplitOut {
    let colour = split.colour();
    let range = |of: fn(&SplitRange) -> Option<Interval>| split.range.as_ref().and_then(of);
    let low = |of| range(of).and_then(|r| finite(r.low));
    let high = |of| range(of).and_then(|r| finite(r.high));
    let luminance = |side: Option<Side>| side.and_then(|s| finite(s.luminance.cd_per_m2()));
    SplitOut {
        sunlit_cd_per_m2: luminance(split.sunlit),
        shaded_cd_per_m2: luminance(split.shaded),
        state: words::split_state(split.state),
        stops: words::stops(split.state),
        stops_low: low(|r| r.stops),
        stops_high: high(|r| r.stops),
        sunlit_cd_per_m2_low: low(|r| r.sunlit),
        sunlit_cd_per_m2_high: high(|r| r.sunlit),
        shaded_cd_per_m2_low: low(|r| r.shaded),
        shaded_cd_per_m2_high: high(|r| r.shaded),
        swing_stops_low: low(|r| r.swing),
        swing_stops_high: high(|r| r.swing),
        side: words::side(split.state),
        sunlit: split.sunlit.map(|side| light_out(side.light)),
        shaded: split.shaded.map(|side| light_out(side.light)),
        colour_gap_mired: colour.and_then(|c| finite(c.mired)),
        shade_red_trim_stops: colour.and_then(|c| finite(c.trims_for_shade.red)),
        shade_blue_trim_stops: colour.and_then(|c| finite(c.trims_for_shade.blue)),
        swing_stops: split.swing.and_then(|s| finite(s.stops.stops())),
        swing_mired: split.swing.and_then(|s| s.mired).and_then(finite),
        floodlights_take_stops: split.floodlights_take.and_then(|s| finite(s.stops())),
        between: words::between(split.between),
        picture_shares: split.shaded.map(|_| shares_out(&split.shares)),
        dimmed: split.dimmed_side().map(|side| light_out(side.light)),
        sun_over_dimmed_stops: split.sun_over_dimmed().and_then(|s| finite(s.stops())),
    }
}

fn shares_out(shares: &ClassShares) -> PictureSharesOut {
    PictureSharesOut {
        sun_share: shares.sun,
        dimmed_share: shares.dimmed,
        shade_share: shares.shade,
        transmittance: (shares.dimmed > 0.0).then_some(shares.transmittance),
    }
}

fn light_out(light: Tristimulus) -> LightOut {
    LightOut {
        illuminance_lx: light.lux(),
        chromaticity_xy: words::chromaticity(light).map(|c| [c.x, c.y]),
        colour_temperature_k: words::kelvin(light),
        duv: words::duv(light),
    }
}

fn hold_out(ids: &Ids, plan: &MatchPlan) -> HoldOut {
    let level = |camera: usize, target: SplitTarget| {
        facts::floodlight_to_hold(plan, camera, target).map(|held| held.level.lux())
    };
    let camera = |(index, id): (usize, &String)| CameraHoldOut {
        camera: id.clone(),
        turf_lx: level(index, SplitTarget::Turf),
        subject_lx: level(index, SplitTarget::Subject),
    };
    HoldOut {
        most_stops: plan.hold.stops(),
        cameras: ids.cameras.iter().enumerate().map(camera).collect(),
    }
}

fn map_out(map: &LightMap) -> LightMapOut {
    let point = |p: &ProfilePoint| ProfilePointOut {
        from_edge_m: p.metres,
        direct_share: p.transmission,
        turf_lx: p.light.lux(),
        stops: p.stops.stops(),
    };
    LightMapOut {
        time: words::local_time(map.at),
        reference: map.reference.name.clone(),
        reference_east_north_m: [map.reference.at.x, map.reference.at.y],
        reference_light: light_out(map.reference_light),
        spacing_m: map.grid.spacing_m,
        edge_profile: map.profile.as_ref().map(|profile| ProfileOut {
            at_east_north_m: [profile.at.x, profile.at.y],
            penumbra_m: profile.penumbra_m,
            points: profile.points.iter().map(point).collect(),
        }),
    }
}

fn dusk_out(ids: &Ids, dusk: &Dusk) -> Option<DuskOut> {
    let balance = |m: &BalanceMove| BalanceOut {
        time: words::local_time(m.at),
        to_k: m.to_kelvin(),
        to_mired: m.to_mired,
        by_mired: m.by_mired,
    };
    let takeovers = ids.cameras.iter().enumerate().flat_map(|(index, id)| {
        [SplitTarget::Turf, SplitTarget::Subject].into_iter().flat_map(move |target| {
            let found = dusk.takeovers(index, target).into_iter();
            found.map(move |takeover| TakeoverOut {
                time: words::local_time(takeover.at),
                camera: id.clone(),
                target: target_word(target),
                leader: match takeover.leader {
                    Leader::Floodlights => "floodlights",
                    Leader::Daylight => "daylight",
                },
            })
        })
    });
    Some(DuskOut {
        from: words::local_time(*dusk.times.first()?),
        until: words::local_time(*dusk.times.last()?),
        first_balance_k: dusk.first_balance_mired.map(|mired| 1e6 / mired),
        white_balance: dusk.balance.iter().map(balance).collect(),
        takeovers: takeovers.collect(),
    })
}

fn points(line: &LineString<f64>) -> Vec<EastNorth> {
    line.coords().map(|c| [c.x, c.y]).collect()
}

fn rings(polygon: &Polygon<f64>) -> Vec<Ring> {
    std::iter::once(polygon.exterior()).chain(polygon.interiors()).map(points).collect()
}

fn region(polygons: &MultiPolygon<f64>) -> RegionOut {
    polygons.iter().map(rings).collect()
}

fn edge_out(edge: &EdgeLine) -> EdgeOut {
    EdgeOut { line_east_north_m: points(&edge.line), penumbra_m: edge.penumbra_m.clone() }
}

fn sky_out(grid: &SkyGrid) -> SkyOut {
    let place = |(at, factor): &(geo::Coord<f64>, f64)| [at.x, at.y, *factor];
    SkyOut {
        spacing_m: grid.spacing_m,
        places_east_north_m_factor: grid.places.iter().map(place).collect(),
    }
}
