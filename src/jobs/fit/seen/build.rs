//! From the tables of the file to checked observations.
//!
//! In: a [`SeenFile`], the venue it is about. Out: [`Observations`], or every problem with
//! the path of its key.

use chrono_tz::Tz;

use crate::solar::{ClockError, Repeated, position, resolve};
use crate::venue::{Address, DAY, Draft, Problem, Problems, Unit, Venue, day_of, time_of_day};

use super::file::{SeenFile, Which};
use super::names::Names;
use super::{FieldSpot, Observation, ObservationKind, Observations, Pole, When};

/// More are no recce.
const MAX_OBSERVATIONS: usize = 1_000;
const MAX_UNKNOWNS: usize = 24;

pub(super) struct Builder<'a> {
    pub file: &'a SeenFile,
    pub draft: &'a Draft,
    venue: &'a Venue,
    names: Names<'a>,
    pub(super) poles: Vec<Pole>,
    pub(super) declination_deg: Option<f64>,
    pub problems: Problems,
    observations: Vec<Observation>,
}

/// Places and checks everything.
pub(super) fn seen(
    file: &SeenFile,
    draft: &Draft,
    venue: &Venue,
) -> Result<Observations, Vec<Problem>> {
    let mut problems = Problems::default();
    let names = Names::new(venue, &file.spot, &mut problems);
    let stated = || draft.value(&Address::from_parts(["field", "declination_deg"])).ok();
    let declination_deg = file.declination_deg.or_else(stated);
    let (observations, poles) = (Vec::new(), Vec::new());
    let mut b =
        Builder { file, draft, venue, names, poles, declination_deg, problems, observations };
    b.counts();
    if b.problems.is_empty() {
        b.poles();
        b.edges();
        b.passages();
        b.pole_shadows();
        b.sights();
        b.bearings();
        b.tapes();
    }
    let unknowns = b.unknowns();
    let problems = b.problems.into_list();
    if !problems.is_empty() {
        return Err(problems);
    }
    Ok(Observations {
        observations: b.observations,
        unknowns,
        poles: b.poles,
        errors: file.errors,
        declination_deg,
        spots: b.names.spots,
    })
}

impl Builder<'_> {
    fn counts(&mut self) {
        let f = self.file;
        let all = f.edge.len()
            + f.passage.len()
            + f.pole_shadow.len()
            + f.sight.len()
            + f.bearing.len()
            + f.tape.len();
        if all > MAX_OBSERVATIONS {
            let found = format!("{all} observations");
            self.problems.add("edge", found, format!("at most {MAX_OBSERVATIONS}"));
        }
        if all == 0 {
            self.problems.add(
                "observations",
                "none",
                "at least one [[edge]], [[passage]], [[pole_shadow]], [[sight]], [[bearing]] \
                 or [[tape]]",
            );
        }
        if f.unknown.is_empty() {
            let allowed = "[[unknown]] with what = \"...\" for each number to be found";
            self.problems.add("unknown", "none", allowed);
        }
        if f.unknown.len() > MAX_UNKNOWNS {
            let found = format!("{} unknowns", f.unknown.len());
            self.problems.add("unknown", found, format!("at most {MAX_UNKNOWNS}"));
        }
    }

    pub(super) fn push(
        &mut self,
        key: &str,
        label: String,
        note: &Option<String>,
        kind: ObservationKind,
    ) {
        let note = note.as_deref().map(str::trim).filter(|n| !n.is_empty());
        let label = note.map_or(label.clone(), |note| format!("{label} ({note})"));
        self.observations.push(Observation { label, key: key.to_owned(), kind });
    }

    /// An error of nothing would outweigh all else.
    pub fn positive(&mut self, value: f64, key: &str, field: &str) -> bool {
        if value <= 0.0 {
            let allowed = "a standard error of more than 0";
            self.problems.add(format!("{key}.{field}"), format!("{value}"), allowed);
        }
        value > 0.0
    }

    pub(super) fn spot(&mut self, name: &str, key: &str, field: &str) -> Option<FieldSpot> {
        self.names.spot(name, format!("{key}.{field}"), &mut self.problems)
    }

    pub(super) fn thing(&mut self, name: &str, key: &str, field: &str) -> Option<usize> {
        self.names.thing(name, format!("{key}.{field}"), &mut self.problems)
    }

    /// The instant of a reading of the watch. The sun has to be up.
    pub(super) fn when(
        &mut self,
        key: &str,
        (time, on, repeated): (&str, &Option<String>, Option<Which>),
        plus_minus_s: f64,
    ) -> Option<When> {
        let date_key = if on.is_some() { format!("{key}.on") } else { "on".to_owned() };
        let date = on.as_ref().or(self.file.on.as_ref()).map(|t| t.trim());
        let day = date.and_then(day_of);
        if day.is_none() {
            let found = date.map_or("no day".to_owned(), |t| format!("\"{t}\""));
            let key = if date.is_none() { format!("{key}.on") } else { date_key };
            self.problems.add(key, found, DAY);
        }
        let clock = time_of_day(time.trim());
        let time_key = format!("{key}.time");
        if clock.is_none() {
            let allowed = "a time of day, \"HH:MM\" or \"HH:MM:SS\"";
            self.problems.add(time_key.clone(), format!("\"{time}\""), allowed);
        }
        let (day, clock) = (day?, clock?);
        let repeated = repeated.map(|which| match which {
            Which::Earlier => Repeated::Earlier,
            Which::Later => Repeated::Later,
        });
        let at = match resolve(self.venue.place.zone, day, clock, repeated) {
            Ok(at) => at,
            Err(fault) => {
                self.problems.add(time_key, format!("\"{time}\""), clock_advice(&fault));
                return None;
            }
        };
        let sun = position(&self.venue.place, at);
        if sun.apparent_elevation.degrees() <= 0.0 {
            self.problems.add(
                time_key,
                format!(
                    "\"{time}\" on {day}, with the sun {:.1} degrees under the horizon",
                    -sun.apparent_elevation.degrees()
                ),
                "a time by day",
            );
            return None;
        }
        if plus_minus_s > 0.0 {
            Some(When { at, plus_minus_s })
        } else {
            self.positive(plus_minus_s, key, "plus_minus_s");
            None
        }
    }

    pub fn address(&mut self, text: &str, key: &str) -> Option<(Address, Unit)> {
        let found = text.parse::<Address>().map_err(|e| e.to_string()).and_then(|address| {
            self.draft.unit(&address).map(|unit| (address, unit)).map_err(|e| e.to_string())
        });
        match found {
            Ok(found) => Some(found),
            Err(why) => {
                self.problems.add(key, format!("\"{text}\""), why);
                None
            }
        }
    }
}

fn clock_advice(fault: &ClockError) -> String {
    let zone = |zone: &Tz| zone.name();
    match fault {
        ClockError::Skipped { zone: z, before, after, .. } => format!(
            "a time that the clocks of {} show: they go forward then, from {} to {}",
            zone(z),
            before.format("%H:%M"),
            after.format("%H:%M")
        ),
        ClockError::Twice { zone: z, .. } => format!(
            "repeated = \"earlier\" or \"later\" beside it: the clocks of {} go back then and \
             show it twice",
            zone(z)
        ),
    }
}
