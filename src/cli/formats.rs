//! The formats of files that commands write and read, as `quarterstop schema` prints them.
//!
//! In: a [`FormatChoice`]. Out: a JSON Schema, or the columns of a table.

use serde_json::Value;

use crate::jobs::{
    ball, brief, changed, check, clouds, fit, forecast, look_up, match_plan, matching, odds,
    on_air, order, places, positions, sensitivity, starts, states,
};
#[cfg(feature = "parquet")]
use crate::jobs::{league, year};
use crate::output::table::{ColumnDoc, metadata};
use crate::venue;

use super::options::FormatChoice;

/// What a format is.
pub enum Format {
    /// JSON or TOML, by its JSON Schema.
    Schema(Value),
    /// A CSV.
    Table(TableDoc),
}

/// A CSV: the usual name of its file, the command that writes it, its columns.
pub struct TableDoc {
    pub file: &'static str,
    pub command: &'static str,
    pub columns: Vec<ColumnDoc>,
}

impl Format {
    /// The JSON Schema, or the metadata of the table.
    pub fn json(&self) -> Value {
        match self {
            Self::Schema(schema) => schema.clone(),
            Self::Table(table) => metadata(table.file, &table.columns),
        }
    }
}

/// What there is to know of a format.
pub fn format(choice: FormatChoice) -> Format {
    let table = |file, command, columns| Format::Table(TableDoc { file, command, columns });
    match choice {
        FormatChoice::Venue => Format::Schema(venue::schema()),
        FormatChoice::Site => Format::Schema(venue::site_schema()),
        FormatChoice::Match => Format::Schema(match_plan::report::json::schema()),
        FormatChoice::Brief => Format::Schema(brief::report::data::schema()),
        FormatChoice::Matching => Format::Schema(matching::report::data::schema()),
        FormatChoice::States => Format::Schema(states::report::schema()),
        FormatChoice::Sensitivity => Format::Schema(sensitivity::report::data::schema()),
        FormatChoice::OnAir => Format::Schema(on_air::report::schema()),
        FormatChoice::Order => Format::Schema(order::data::schema()),
        FormatChoice::Positions => Format::Schema(positions::report::data::schema()),
        FormatChoice::LookUp => Format::Schema(look_up::report::schema()),
        FormatChoice::Places => Format::Schema(places::report::schema()),
        FormatChoice::Ball => Format::Schema(ball::report::schema()),
        FormatChoice::BallHours => Format::Schema(ball::report::hours::schema()),
        #[cfg(feature = "parquet")]
        FormatChoice::Year => Format::Schema(year::report::schema()),
        FormatChoice::Check => Format::Schema(check::report::schema()),
        FormatChoice::Seen => Format::Schema(fit::seen::schema()),
        FormatChoice::Fit => Format::Schema(fit::report::schema()),
        FormatChoice::Costs => Format::Schema(starts::profile_schema()),
        FormatChoice::Rules => Format::Schema(starts::season::rules_schema()),
        #[cfg(feature = "parquet")]
        FormatChoice::League => Format::Schema(league::schema()),
        FormatChoice::Clouds => Format::Schema(clouds::report::data::schema()),
        FormatChoice::Forecast => Format::Schema(forecast::report::data::schema()),
        FormatChoice::Starts => Format::Schema(starts::report::data::schema()),
        FormatChoice::MatchCsv => table("match.csv", "match", match_plan::report::csv::columns()),
        FormatChoice::DuskCsv => table("dusk.csv", "match", match_plan::report::dusk::columns()),
        FormatChoice::LightCsv => {
            table("light.csv", "match --at", match_plan::report::map_csv::columns())
        }
        FormatChoice::CuesCsv => table("cues.csv", "brief", brief::report::tables::cue_columns()),
        FormatChoice::SettingsCsv => {
            table("settings.csv", "brief", brief::report::tables::setting_columns())
        }
        FormatChoice::MatchingCsv => {
            table("matching.csv", "matching", matching::report::table::columns())
        }
        FormatChoice::StatesCsv => table("states.csv", "states", states::report::columns()),
        FormatChoice::OrderCsv => table("order.csv", "order", order::report::columns()),
        FormatChoice::PositionsCsv => {
            table("positions.csv", "positions", positions::report::table::columns())
        }
        FormatChoice::SensitivityCsv => {
            table("sensitivity.csv", "sensitivity", sensitivity::report::table::columns())
        }
        FormatChoice::OnAirCsv => table("on-air.csv", "on-air", on_air::report::columns()),
        FormatChoice::SkylineCsv => table("look-up.csv", "look-up", look_up::report::columns()),
        FormatChoice::PlacesCsv => table("places.csv", "places --csv", places::report::columns()),
        FormatChoice::BallCsv => table("ball.csv", "ball", ball::report::columns()),
        FormatChoice::HoursCsv => {
            table("hours.csv", "ball --hours", ball::report::hours::columns())
        }
        FormatChoice::CloudsCsv => table("clouds.csv", "clouds", clouds::report::table::columns()),
        FormatChoice::ForecastCsv => {
            table("forecast.csv", "forecast", forecast::report::table::columns())
        }
        #[cfg(feature = "parquet")]
        FormatChoice::YearCsv => table("year.csv", "year", year::report::column_docs()),
        FormatChoice::StartsCsv => {
            table("starts.csv", "starts", starts::report::table::start_columns())
        }
        FormatChoice::SeasonCsv => {
            table("season.csv", "starts", starts::report::table::fixture_columns())
        }
        #[cfg(feature = "parquet")]
        FormatChoice::LeagueCsv => table("league.csv", "league", league::columns()),
        FormatChoice::OddsCsv => table("odds.csv", "odds --csv", odds::report::columns()),
        FormatChoice::ChangesCsv => {
            table("changes.csv", "odds --minutes", odds::report::station::columns())
        }
        FormatChoice::ChangedCsv => {
            table("changed.csv", "changed --csv", changed::report::columns())
        }
    }
}
