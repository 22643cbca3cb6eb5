//! Sun and shadow on the field of play, in stops, camera by camera.
//!
//! Data flows one way, stage by stage; each has its own module, whose first lines say what
//! comes in and what goes out. All of it for one match, as `quarterstop match` has it:
//!
//! ```
//! use chrono::TimeDelta;
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::plan::{self, Settings};
//! use quarterstop::units::Stops;
//! use quarterstop::{render, report, solar, venue};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let ground = venue::read("venues/football-demo.toml".as_ref())?;
//! let fixture = ground.fixture.ok_or("the file proposes a fixture")?;
//! let start = solar::resolve(ground.place.zone, fixture.date, fixture.start, None)?;
//! let programme = plan::programme(&ground);
//! let (from, until) = programme.window_from(start);
//! let settings = Settings {
//!     from,
//!     until,
//!     step: TimeDelta::minutes(30),
//!     sky: Sky::Clear,
//!     air: Air::default(),
//!     hold: Stops::from_stops(plan::USUAL_HOLD_STOPS),
//!     milestones: programme.milestones_from(start),
//! };
//! let plan = plan::run(&ground, &settings, |_done, _all| {})?;
//! let picture = render::timeline(&ground, &plan)?;
//! let table = report::csv::write(&ground, &plan)?;
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
//! use quarterstop::geometry::{Caster, TURF_HEIGHT_M, Workbench};
//! let date = NaiveDate::from_ymd_opt(2027, 10, 16).unwrap();
//! let caster = Caster::new(&ground, date, TURF_HEIGHT_M);
//! let at = Utc.with_ymd_and_hms(2027, 10, 16, 15, 30, 0).unwrap();
//! let sun = quarterstop::solar::position(&ground.place, at);
//! let shadow = caster.cast(sun.toward(), &mut Workbench::default());
//! assert!((0.3..1.0).contains(&shadow.field_share().shaded));
//! ```
//!
//! [`fit`] finds numbers of the venue from what was seen, [`light`] says how bright and how
//! blue both sides are, [`camera`] what each camera sees of it, and [`plan`] puts them over
//! time; one instant of it:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{NaiveDate, TimeZone};
//! use quarterstop::geometry::Workbench;
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::plan::Prepared;
//! let prepared = Prepared::new(&ground, NaiveDate::from_ymd_opt(2027, 10, 16).unwrap());
//! let at = ground.place.zone.with_ymd_and_hms(2027, 10, 16, 15, 30, 0).unwrap();
//! let now = prepared.instant(at, Sky::Clear, &Air::default(), &mut Workbench::default());
//! assert!(now.field_light.in_sun.unwrap().lux() > 2.0 * now.field_light.in_shade.lux());
//! assert_eq!(now.cameras.len(), ground.cameras.len());
//! ```
//!
//! [`season`], [`weather`] and [`starts`] do so for many days:
//!
//! ```
//! # let ground = quarterstop::venue::read("venues/football-demo.toml".as_ref()).unwrap();
//! use chrono::{NaiveDate, TimeDelta};
//! use quarterstop::light::{Air, Sky};
//! use quarterstop::season::{Season, Wanted, Weather};
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
//! [`render`] and [`report`] tell it, [`import`] brings in the data of others, [`cli`] is
//! the command line on top.

pub mod ball;
pub mod base;
mod bounded;
pub mod camera;
pub mod cautions;
pub mod cli;
pub mod clouds;
pub mod day;
pub mod fit;
pub mod frame;
pub mod geometry;
pub mod import;
pub mod light;
mod output;
pub mod plan;
pub mod plane;
pub mod render;
pub mod report;
pub mod season;
#[cfg(feature = "serve")]
pub mod serve;
pub mod solar;
pub mod starts;
pub mod units;
pub mod venue;
pub mod weather;
