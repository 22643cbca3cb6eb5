//! Sun and shadow on the field of play, in stops, camera by camera.
//!
//! Data flows one way, stage by stage; each has its own module, whose first lines say what
//! comes in and what goes out. All of it for one match, as `quarterstop match` has it:
//!
//! ```
//! use chrono::TimeDelta;
//! use quarterstop::jobs;
//! use quarterstop::engine;
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::engine::Settings;
//! use quarterstop::base::units::Stops;
//! use quarterstop::{solar, venue};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let ground = venue::read("venues/football-demo.toml".as_ref())?;
//! let fixture = ground.fixture.ok_or("the file proposes a fixture")?;
//! let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None)?;
//! let programme = engine::programme(&ground);
//! let (from, until) = programme.window_from(start);
//! let settings = Settings {
//!     from,
//!     until,
//!     step: TimeDelta::minutes(30),
//!     sky: Sky::Clear,
//!     air: Air::default(),
//!     hold: Stops::from_stops(engine::DEFAULT_HOLD_STOPS),
//!     milestones: programme.milestones_from(start),
//! };
//! let plan = engine::run(&ground, &settings, |_done, _all| {})?;
//! let picture = jobs::match_plan::picture::timeline(&ground, &plan)?;
//! let table = jobs::match_plan::report::csv::write(&ground, &plan)?;
//! assert!(picture.svg.starts_with("<svg") && !table.is_empty());
//! # Ok(())
//! # }
//! ```
//!
//! # Stage by stage
//!
//! [`venue`] reads and checks a file; nothing after it checks it again:
//!
//! ```
//! let ground = quarterstop::venue::read("venues/tennis-demo.toml".as_ref()).unwrap();
//! assert!(!ground.cameras.is_empty());
//! ```
//!
//! [`solar`] knows the sun, its days and the clocks of a place:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{TimeZone, Utc};
//! let noon = Utc.with_ymd_and_hms(2027, 6, 21, 12, 0, 0).unwrap();
//! let sun = quarterstop::solar::position(&ground.place, noon);
//! // the height of the equator and the tilt of the earth's axis
//! assert!((sun.apparent_elevation.degrees() - (90.0 - 52.31 + 23.44)).abs() < 0.2);
//! ```
//!
//! [`geometry`] throws shadows and asks rays what they meet:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{NaiveDate, TimeZone, Utc};
//! use quarterstop::geometry::{Caster, TURF_HEIGHT_M, OverlayScratch};
//! let date = NaiveDate::from_ymd_opt(2027, 10, 16).unwrap();
//! let caster = Caster::new(&ground, date, TURF_HEIGHT_M);
//! let at = Utc.with_ymd_and_hms(2027, 10, 16, 15, 30, 0).unwrap();
//! let sun = quarterstop::solar::position(&ground.place, at);
//! let shadow = caster.cast(sun.toward(), &mut OverlayScratch::default());
//! assert!((0.3..1.0).contains(&shadow.field_share().shaded));
//! ```
//!
//! [`light`] says how bright and how
//! blue both sides are, [`camera`] what each camera sees of it, and [`engine`] puts them over
//! time; one instant of it:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{NaiveDate, TimeZone};
//! use quarterstop::geometry::OverlayScratch;
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::engine::Prepared;
//! let prepared = Prepared::new(&ground, NaiveDate::from_ymd_opt(2027, 10, 16).unwrap());
//! let at = ground.place.zone.with_ymd_and_hms(2027, 10, 16, 15, 30, 0).unwrap();
//! let now = prepared.instant(at, Sky::Clear, &Air::default(), &mut OverlayScratch::default());
//! assert!(now.field_light.in_sun.unwrap().lux() > 2.0 * now.field_light.in_shade.lux());
//! assert_eq!(now.cameras.len(), ground.cameras.len());
//! ```
//!
//! [`engine::season`] does so for many days, under the skies that [`weather`] reads:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{NaiveDate, TimeDelta};
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::engine::season::{Season, Wanted, Weather};
//! let weather = Weather { sky: Sky::Clear, air: Air::default().into() };
//! let season = Season::new(&ground, weather, Wanted { field: true, ..Wanted::NOTHING });
//! let date = NaiveDate::from_ymd_opt(2027, 10, 16);
//! let days = season.days(date, TimeDelta::hours(1), |day| {
//!     assert_eq!(day.rows.len(), 24);
//!     Ok::<(), std::convert::Infallible>(())
//! });
//! assert!(days.is_ok());
//! ```
//!
//! [`jobs`] has what the program answers, one folder a job, each with its pictures, tables
//! and command; [`output`] is what they write with. [`import`] reads data of others, [`cli`]
//! is the command line on top.

pub mod base;
pub mod camera;
#[cfg(feature = "cli")]
pub mod cli;
#[cfg(feature = "cli")]
pub mod command;
pub mod engine;
pub mod geometry;
pub mod import;
pub mod jobs;
pub mod light;
pub mod output;
#[cfg(feature = "serve")]
pub mod serve;
pub mod signal;
pub mod solar;
pub mod venue;
pub mod weather;
