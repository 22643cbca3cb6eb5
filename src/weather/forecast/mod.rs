//! A forecast of the day, hour by hour, from whatever service people have.
//!
//! In: a table of hours (CSV with a header), several members or models side by side, and the
//! place it has to be for. Out: a [`Forecast`]: for any instant the [`ForecastSky`] that each
//! member has, as [`crate::weather::States`] of the sky.
//!
//! | question | where |
//! | --- | --- |
//! | which columns there are, in which units | [`ForecastQuantity`] |
//! | what the file says, and what is wrong with it | [`read`], [`parse`] |
//! | which sky is that | `sky` |
//! | how likely is sun at 15:20, and do members agree | [`Forecast::at`] |

mod column;
mod file;
mod outlook;
mod sky;

pub use column::{COLUMNS, ForecastQuantity};
pub use file::{Forecast, ForecastHour, MAX_MB, Member, parse, read, text};
pub use outlook::{ForecastGap, ForecastSky, MemberAgreement};

use crate::base::read::ReadError;

/// Why a forecast is not planned on.
#[derive(Debug, thiserror::Error)]
pub enum ForecastError {
    #[error(transparent)]
    Read(#[from] ReadError),
    /// Mistakes in the file, all together.
    #[error("{} in the forecast `{file}`\n{}", super::counted(*count), super::indented(problems))]
    Mistakes { file: String, problems: Vec<String>, count: usize },
    #[error(
        "the forecast `{file}` is for a place {km:.0} km from the venue\n  \
         take one for within {most:.0} km, or mend its latitude_deg and longitude_deg"
    )]
    ElsewhereThan { file: String, km: f64, most: f64 },
    #[error(
        "the forecast `{file}` does not say which of the venues it is for\n  \
         add columns latitude_deg and longitude_deg"
    )]
    NoPlace { file: String },
    #[error(
        "the forecast `{file}` says nothing about {from} to {until}: its hours run from {first} \
         to {last}\n  take a forecast of that day, or check the zone of its times"
    )]
    OtherDay { file: String, from: String, until: String, first: String, last: String },
}
