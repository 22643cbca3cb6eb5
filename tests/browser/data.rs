//! The data embedded in a board, read without the page's script.

use std::fs;
use std::path::Path;

use serde_json::Value;

pub struct Board(Value);

/// The board's data as the file holds it.
pub fn read(board: &Path) -> Board {
    let page = fs::read_to_string(board).unwrap();
    let (_, rest) = page.split_once(r#"id="plan-data">"#).unwrap();
    let (json, _) = rest.split_once("</script>").unwrap();
    Board(serde_json::from_str(json).unwrap())
}

pub fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

pub fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

/// Seconds of the day from a clock with or without seconds.
pub fn of_day(clock: &str) -> i64 {
    let mut parts = clock.split(':').map(|p| p.parse::<i64>().unwrap());
    let [hours, minutes] = [parts.next().unwrap(), parts.next().unwrap()];
    hours * 3600 + minutes * 60 + parts.next().unwrap_or(0)
}

impl Board {
    pub fn get(&self, key: &str) -> &Value {
        &self.0[key]
    }

    pub fn clock(&self, index: usize) -> &str {
        text(&self.0["clock"][index])
    }

    /// The index of an instant by its clock.
    pub fn at(&self, clock: &str) -> usize {
        list(&self.0["clock"]).iter().position(|c| c == clock).unwrap()
    }

    pub fn len(&self) -> usize {
        list(&self.0["epoch_s"]).len()
    }

    /// Seconds from an instant to the next.
    pub fn step_s(&self) -> i64 {
        let epochs = &self.0["epoch_s"];
        epochs[1].as_i64().unwrap() - epochs[0].as_i64().unwrap()
    }

    /// "sun", "dimmed", "shade" or "no sun" at a place in metres.
    pub fn light(&self, [along, across]: [f64; 2], index: usize) -> &'static str {
        if self.0["sun"][index][2] == 0 {
            return "no sun";
        }
        let shadow = &self.0["shadow"][index];
        let point = [along * 10.0, across * 10.0];
        if inside(&shadow["opaque"], point) {
            return "shade";
        }
        let dimmed = list(&shadow["dimmed"]).iter().any(|d| inside(&d["rings"], point));
        if dimmed { "dimmed" } else { "sun" }
    }

    /// Runs of one light over the plan: the light and its first instant.
    pub fn runs(&self, place: [f64; 2]) -> Vec<(&'static str, usize)> {
        let mut runs: Vec<(&str, usize)> = Vec::new();
        for index in 0..self.len() {
            let light = self.light(place, index);
            if runs.last().is_none_or(|(last, _)| *last != light) {
                runs.push((light, index));
            }
        }
        runs
    }
}

/// Even-odd over flat rings: how often a line from the point straight up is crossed.
fn inside(rings: &Value, [x, y]: [f64; 2]) -> bool {
    let mut crossings = 0;
    for ring in list(rings) {
        let corners: Vec<[f64; 2]> =
            list(ring).chunks_exact(2).map(|c| [number(&c[0]), number(&c[1])]).collect();
        let ends = corners.iter().skip(1).chain(corners.first());
        for (a, b) in corners.iter().zip(ends) {
            let (left, right) = if a[0] <= b[0] { (a, b) } else { (b, a) };
            if x < left[0] || x >= right[0] {
                continue;
            }
            let share = (x - left[0]) / (right[0] - left[0]);
            if left[1] + share * (right[1] - left[1]) > y {
                crossings += 1;
            }
        }
    }
    crossings % 2 == 1
}
