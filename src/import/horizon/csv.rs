//! A skyline as a list: azimuth and elevation, degrees.
//!
//! In: text with a row a point; commas, semicolons, tabs or blanks between; lines
//! that begin with `#` are left out; a header may name the columns. Out: a
//! [`Skyline`], true azimuths, sorted.

use crate::base::read::clean;

use super::{HorizonError, Skyline};

/// Rows that are read at most.
const MAX_ROWS: usize = 100_000;
/// Problems that are shown.
const MAX_SHOWN: usize = 10;

/// Reads a list. Azimuths count from magnetic north where a declination (east
/// positive, degrees) is given.
///
/// ```
/// use quarterstop::import::horizon::csv::read;
/// let skyline = read("azimuth_deg,elevation_deg\n350,2.5\n10,1\n", "list.csv", Some(15.0))?;
/// assert_eq!(skyline, [[5.0, 2.5], [25.0, 1.0]]);
/// # Ok::<(), quarterstop::import::horizon::HorizonError>(())
/// ```
///
/// # Errors
/// [`HorizonError::List`] with the rows that cannot be used, all together.
pub fn read(text: &str, file: &str, declination_deg: Option<f64>) -> Result<Skyline, HorizonError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut rows = Rows { points: Vec::new(), problems: Vec::new() };
    let mut columns = None;
    let lines = text.lines().enumerate().map(|(i, line)| (i + 1, line.trim()));
    let mut lines = lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#'));
    for (number, line) in lines.by_ref().take(MAX_ROWS + 1) {
        let cells = cells(line);
        match columns {
            Some(columns) => rows.add(number, &cells, columns),
            None if cells.iter().any(|c| c.parse::<f64>().is_ok()) => {
                columns = Some((0, 1));
                rows.add(number, &cells, (0, 1));
            }
            None => match header(&cells) {
                Some(found) => columns = Some(found),
                None => {
                    rows.problems.push(format!(
                        "line {number}: a header without azimuth_deg and elevation_deg: {}",
                        clean(line)
                    ));
                    break;
                }
            },
        }
    }
    if rows.points.len() + rows.problems.len() > MAX_ROWS {
        rows.problems.insert(0, format!("more than {MAX_ROWS} rows"));
    }
    rows.finish(file, declination_deg.unwrap_or(0.0))
}

fn cells(line: &str) -> Vec<&str> {
    let mark = [';', '\t', ','].into_iter().find(|mark| line.contains(*mark));
    match mark {
        Some(mark) => line.split(mark).map(|cell| cell.trim().trim_matches('"')).collect(),
        None => line.split_whitespace().collect(),
    }
}

/// Which columns hold azimuth and elevation.
fn header(cells: &[&str]) -> Option<(usize, usize)> {
    let of = |word: &str| cells.iter().position(|c| c.to_lowercase().starts_with(word));
    Some((of("az")?, of("el").or_else(|| of("alt"))?))
}

struct Rows {
    /// Line, azimuth as written, elevation.
    points: Vec<(usize, f64, f64)>,
    problems: Vec<String>,
}

impl Rows {
    fn add(&mut self, line: usize, cells: &[&str], (azimuth, elevation): (usize, usize)) {
        let number = |column: usize| cells.get(column).and_then(|c| c.parse::<f64>().ok());
        let problem = match (number(azimuth), number(elevation)) {
            (Some(azimuth), _) if !(-360.0..=720.0).contains(&azimuth) => {
                format!("an azimuth of {azimuth} degrees; allowed: 0 to 360")
            }
            (_, Some(elevation)) if !(-10.0..90.0).contains(&elevation) => {
                format!("an elevation of {elevation} degrees; allowed: -10 to 90")
            }
            (Some(azimuth), Some(elevation)) => {
                self.points.push((line, azimuth, elevation));
                return;
            }
            _ => format!(
                "\"{}\"; allowed: azimuth and elevation as numbers, with a decimal point",
                clean(&cells.join(" "))
            ),
        };
        self.problems.push(format!("line {line}: found {problem}"));
    }

    fn finish(mut self, file: &str, declination: f64) -> Result<Skyline, HorizonError> {
        let mut points: Vec<(usize, f64, f64)> = self
            .points
            .iter()
            .map(|(line, azimuth, elevation)| {
                // twelve digits, so that a declination of 0.7 leaves no dust behind
                let turned = ((azimuth + declination) * 1e9).round() / 1e9;
                let turned = turned.rem_euclid(360.0);
                (*line, if turned >= 360.0 { 0.0 } else { turned }, *elevation)
            })
            .collect();
        points.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        // a list that goes all around may say north twice
        points.dedup_by(|b, a| a.1 == b.1 && a.2 == b.2);
        for pair in points.windows(2).filter(|p| p[0].1 == p[1].1) {
            self.problems.push(format!(
                "line {}: found another elevation for the azimuth of line {}",
                pair[1].0, pair[0].0
            ));
        }
        if points.is_empty() && self.problems.is_empty() {
            self.problems.push("no point in it; a row is azimuth and elevation in degrees".into());
        }
        if self.problems.is_empty() {
            return Ok(points
                .into_iter()
                .map(|(_, azimuth, elevation)| [azimuth, elevation])
                .collect());
        }
        let count = self.problems.len();
        self.problems.truncate(MAX_SHOWN);
        Err(HorizonError::List { file: file.to_owned(), problems: self.problems, count })
    }
}
