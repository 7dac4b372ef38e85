//! Reads lists of speeds and of trials: CSV with known columns, bounded, with worded faults.

use std::path::Path;

use plimsoll_desk::training::Entrant;
use plimsoll_interpret::Size;
use plimsoll_interpret::training::Trial;

use crate::failure::Failure;
use crate::places;

/// Most rows of a list.
const MOST_ROWS: usize = 2_000;

/// A table with named columns.
struct Table {
    file: String,
    head: Vec<String>,
    rows: Vec<csv::StringRecord>,
    decimal_comma: bool,
}

/// Reads name, speed_kmh and, when there, mss_kmh and trial.
pub fn speeds(path: &Path, error: Option<Size>) -> Result<Vec<Entrant>, Failure> {
    let table = Table::read(path, &["name", "speed_kmh"], &["mss_kmh", "trial"])?;
    (0..table.rows.len())
        .map(|at| {
            let name = table.text(at, "name");
            if name.is_empty() {
                return Err(table.fault(at, "name", "a name"));
            }
            let speed = table.number(at, "speed_kmh", 1.0, 45.0, "a speed, 1 to 45 km/h")?;
            let allowed = "a speed, 1 to 50 km/h, or nothing";
            let sprint = match table.text(at, "mss_kmh") {
                "" => None,
                _ => Some(table.number(at, "mss_kmh", 1.0, 50.0, allowed)?),
            };
            if sprint.is_some_and(|sprint| sprint <= speed) {
                return Err(table.fault(at, "mss_kmh", "a speed above speed_kmh, or nothing"));
            }
            let first = match table.text(at, "trial") {
                "" => false,
                text => match text.parse::<u32>() {
                    Ok(n) if n >= 1 => n == 1,
                    _ => return Err(table.fault(at, "trial", "1, 2, 3 and so on, or nothing")),
                },
            };
            Ok(Entrant::listed(name, speed, sprint, error, first))
        })
        .collect()
}

/// Reads distance_m, time_s and, when there, name; people in the order of their first row.
pub fn trials(path: &Path) -> Result<Vec<(String, Vec<Trial>)>, Failure> {
    let table = Table::read(path, &["distance_m", "time_s"], &["name"])?;
    let mut people: Vec<(String, Vec<Trial>)> = Vec::new();
    for at in 0..table.rows.len() {
        let name = table.text(at, "name");
        let distance = table.number(at, "distance_m", 1.0, 1e5, "metres, 1 to 100000")?;
        let trial = Trial {
            distance,
            time: table.time(at)?,
        };
        match people.iter_mut().find(|(known, _)| known == name) {
            Some((_, list)) => list.push(trial),
            None => people.push((name.to_owned(), vec![trial])),
        }
    }
    Ok(people)
}

impl Table {
    fn read(path: &Path, needed: &[&str], optional: &[&str]) -> Result<Self, Failure> {
        let text = places::read_small(path)?;
        let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let file = path
            .file_name()
            .and_then(|n| n.to_str())
            .unwrap_or("the file")
            .to_owned();
        let first = text.lines().next().unwrap_or("");
        let delimiter = [b';', b'\t']
            .into_iter()
            .find(|d| first.contains(char::from(*d)))
            .unwrap_or(b',');
        let broken = |e: csv::Error| {
            Failure::new(format!("{file}: the table cannot be read: {e}"))
                .hint("save it as comma-separated text in UTF-8")
        };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let head: Vec<String> = reader
            .headers()
            .map_err(broken)?
            .iter()
            .map(str::to_lowercase)
            .collect();
        let columns = [needed, optional].concat().join(", ");
        let missing = needed.iter().find(|n| !head.iter().any(|h| h == *n));
        if let Some(missing) = missing {
            return Err(Failure::new(format!(
                "{file}, row 1: there is no column `{missing}`; found {}",
                if head.is_empty() {
                    "nothing".to_owned()
                } else {
                    head.join(", ")
                }
            ))
            .hint(format!("name the columns {columns}")));
        }
        if let Some(twice) = head
            .iter()
            .find(|h| head.iter().filter(|o| o == h).count() > 1)
        {
            return Err(Failure::new(format!(
                "{file}, row 1: the column `{twice}` is there twice"
            ))
            .hint("keep one of them"));
        }
        let mut rows = Vec::new();
        for record in reader.records() {
            rows.push(record.map_err(broken)?);
            if rows.len() > MOST_ROWS {
                return Err(Failure::new(format!("{file}: more than {MOST_ROWS} rows"))
                    .hint("is this the right file?"));
            }
        }
        if rows.is_empty() {
            return Err(
                Failure::new(format!("{file}: there is no row below the head"))
                    .hint(format!("write a row a person under {columns}")),
            );
        }
        let decimal_comma = delimiter != b',';
        Ok(Self {
            file,
            head,
            rows,
            decimal_comma,
        })
    }

    fn text(&self, at: usize, column: &str) -> &str {
        let place = self.head.iter().position(|h| h == column);
        place.and_then(|p| self.rows[at].get(p)).unwrap_or("")
    }

    fn number(
        &self,
        at: usize,
        column: &str,
        least: f64,
        most: f64,
        allowed: &str,
    ) -> Result<f64, Failure> {
        self.parsed(self.text(at, column))
            .filter(|v| (least..=most).contains(v))
            .ok_or_else(|| self.fault(at, column, allowed))
    }

    fn parsed(&self, text: &str) -> Option<f64> {
        if self.decimal_comma {
            return text.replace(',', ".").parse().ok();
        }
        text.parse().ok()
    }

    /// Returns seconds, written as such or as minutes:seconds.
    fn time(&self, at: usize) -> Result<f64, Failure> {
        let text = self.text(at, "time_s");
        let seconds = match text.split_once(':') {
            None => self.parsed(text),
            Some((minutes, rest)) => minutes
                .parse::<u32>()
                .ok()
                .zip(self.parsed(rest).filter(|s| (0.0..60.0).contains(s)))
                .map(|(m, s)| f64::from(m) * 60.0 + s),
        };
        seconds
            .filter(|s| (1.0..=86_400.0).contains(s))
            .ok_or_else(|| self.fault(at, "time_s", "seconds, 232, or minutes:seconds, 3:52"))
    }

    fn fault(&self, at: usize, column: &str, allowed: &str) -> Failure {
        let found: String = self.text(at, column).chars().take(60).collect();
        Failure::new(format!(
            "{}, row {}, column `{column}`: found `{found}`; allowed is {allowed}",
            self.file,
            at + 2
        ))
        .hint("correct the row; nothing was written")
    }
}
