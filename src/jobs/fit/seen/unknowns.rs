//! What is searched for, from the tables of the file.
//!
//! In: `[[unknown]]` tables and the venue's file. Out: [`Unknown`]s with their start and
//! limits, in the unit of each; problems go to the builder's list.

use crate::venue::{Address, Unit};

use super::build::Builder;
use super::file::UnknownTable;
use super::{Quantity, Unknown};

/// What may be found of the watch and the compass, s and degrees.
const WATCH_LIMITS: (f64, f64) = (-7200.0, 7200.0);
const COMPASS_LIMITS: (f64, f64) = (-60.0, 60.0);
/// Height of a pole, m.
const POLE_LIMITS: (f64, f64) = (0.01, 300.0);

impl Builder<'_> {
    pub fn unknowns(&mut self) -> Vec<Unknown> {
        let mut all: Vec<Unknown> = Vec::new();
        for (i, table) in self.file.unknown.iter().enumerate() {
            let key = format!("unknown[{i}]");
            let Some(unknown) = self.unknown(table, &key) else { continue };
            if all.iter().any(|u| u.quantity == unknown.quantity) {
                let found = format!("`{}` a second time", unknown.name);
                self.problems.add(format!("{key}.what"), found, "each unknown once");
            }
            let (least, most) = unknown.limits;
            if least >= most || !(least..=most).contains(&unknown.start) {
                self.problems.add(
                    format!("{key}.least"),
                    format!("{least} to {most} around {}, where the search starts", unknown.start),
                    "limits on either side of the start",
                );
            }
            all.push(unknown);
        }
        all
    }

    fn unknown(&mut self, table: &UnknownTable, key: &str) -> Option<Unknown> {
        let what = format!("{key}.what");
        let parts = table.what.parse::<Address>().ok();
        let parts: Vec<&str> = parts.iter().flat_map(|a| a.parts()).map(String::as_str).collect();
        let (quantity, name, unit, start, limits) = match parts.as_slice() {
            ["watch", "ahead_s"] => {
                (Quantity::Watch, table.what.trim().to_owned(), Unit::Second, 0.0, WATCH_LIMITS)
            }
            ["compass", "reads_high_deg"] => {
                (Quantity::Compass, table.what.trim().to_owned(), Unit::Degree, 0.0, COMPASS_LIMITS)
            }
            ["pole", name, "height_m"] => {
                let Some(i) = self.file.pole.iter().position(|p| p.name.trim() == *name) else {
                    self.problems.add(what, format!("`{}`", table.what), "the name of a [[pole]]");
                    return None;
                };
                let start = self.file.pole[i].height_m;
                let name = Address::from_parts(parts.iter().copied()).to_string();
                (Quantity::Pole(i), name, Unit::Metre, start, POLE_LIMITS)
            }
            ["field", "length_m" | "width_m" | "corners", ..] => {
                self.problems.add_with_help(
                    what,
                    format!("`{}`, which all places are measured from", table.what),
                    "another number",
                    "measure the field with a tape and write it into the venue file",
                );
                return None;
            }
            _ => {
                let (address, unit) = self.address(&table.what, &what)?;
                let start = self.draft.value(&address).ok()?;
                let limits = self.draft.limits(&address).ok()?;
                (Quantity::Dimension(address.clone()), address.to_string(), unit, start, limits)
            }
        };
        if let Some(error) = table.plus_minus {
            self.positive(error, key, "plus_minus");
        }
        let limits = (
            table.least.map_or(limits.0, |least| least.max(limits.0)),
            table.most.map_or(limits.1, |most| most.min(limits.1)),
        );
        Some(Unknown { quantity, name, unit, start, limits, plus_minus: table.plus_minus })
    }
}
