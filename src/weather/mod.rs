//! Odds of sun: what the sky at a place tends to be, month by month and hour by hour.
//!
//! In: hourly weather files in the open EPW format, a typical year each. Out: for each
//! hour which [`SkyCover`]s of the sky it had and for how much of it; from these tables of
//! odds, and days to play a match under. Knows no plan.
//!
//! | question | where |
//! | --- | --- |
//! | what does the file say | [`epw`] |
//! | do its hours stand where the sun says | `shift` |
//! | which sky was that | [`state`] |
//! | how likely is sun in June at four | [`Odds::table`] |
//! | what would this minute be on the days around | [`Odds::states`] |
//! | how often sun and shade changed at a station, minute by minute | [`station`] |
//! | what the forecast of a day says, member by member | [`forecast`] |
//! | expected value, 10th and 90th percentile | [`Spread`] |

pub mod epw;
pub mod forecast;
mod odds;
mod shift;
mod spread;
pub mod state;
pub mod station;

pub(crate) use odds::km;
pub use odds::{DAYS_AROUND, Odds, OddsCell, WeatherDay, WeatherPlace, files, read};
pub use spread::Spread;
pub use state::{SkyCover, States};

use crate::base::read::ReadError;

/// Why weather files give no odds.
#[derive(Debug, thiserror::Error)]
pub enum WeatherError {
    #[error(transparent)]
    Read(#[from] ReadError),
    /// Mistakes in one file, all together.
    #[error("{} in the weather file `{file}`\n{}", counted(*count), indented(problems))]
    Mistakes { file: String, problems: Vec<String>, count: usize },
    #[error("`{folder}` holds no weather file; names of these end in .epw")]
    NoFiles { folder: String },
    #[error("`{folder}` holds {count} weather files; at most {most} are read")]
    TooMany { folder: String, count: usize, most: usize },
    #[error(
        "`{file}` is for a place {km:.0} km from that of `{first}`\n  \
         files of one folder have to be for one place: take the others out"
    )]
    Apart { file: String, first: String, km: f64 },
    #[error(
        "no hour of `{file}` has both direct and diffuse radiation with the sun high enough \
         to tell the sky\n  take a file with radiation (fields 14 to 16 of each row)"
    )]
    Silent { file: String },
    #[error(
        "no minute of `{file}` has direct radiation with the sun over 10 degrees\n  \
         take files of a station that measures direct radiation, by day"
    )]
    NoMinutes { file: String },
}

fn counted(count: usize) -> String {
    if count == 1 { "1 mistake".to_owned() } else { format!("{count} mistakes") }
}

fn indented(problems: &[String]) -> String {
    problems.iter().map(|p| format!("  {p}")).collect::<Vec<_>>().join("\n")
}
