//! Source: `tests/data/ladders.csv`, the raw transcription of every paced ladder, tagged per test
//! in `protocols/` as its source is. Times and distances there are printed to two and one decimals.

use plimsoll_ladder::{Catalogue, Ladder, Length, StageSpan};

/// Half of the last digit printed for times (0.01 s).
const PRINTED_S: f64 = 0.0051;
/// Half of the last digit printed for distances (0.1 m).
const PRINTED_M: f64 = 0.051;
/// Half of the last digit printed for fractional shuttles (0.001; 0.01 for sums).
const PRINTED_SHUTTLES: f64 = 0.000_51;
const PRINTED_SHUTTLE_SUMS: f64 = 0.0051;

/// One row of the transcription; empty cells are `None`.
struct Row {
    test: String,
    stage: String,
    cells: Vec<Option<f64>>,
    header: Vec<String>,
}

impl Row {
    fn get(&self, column: &str) -> Option<f64> {
        let at = self
            .header
            .iter()
            .position(|h| h == column)
            .expect("column exists");
        self.cells[at]
    }
}

fn rows() -> Vec<Row> {
    let text = include_str!("../../data/ladders.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header: Vec<String> = reader
        .headers()
        .expect("header")
        .iter()
        .map(str::to_owned)
        .collect();
    reader
        .records()
        .map(|r| {
            let r = r.expect("row");
            Row {
                test: r[0].to_owned(),
                stage: r[1].to_owned(),
                cells: r.iter().map(|c| c.parse().ok()).collect(),
                header: header.clone(),
            }
        })
        .collect()
}

fn close(got: f64, want: f64, tolerance: f64) -> bool {
    (got - want).abs() <= tolerance
}

fn span<'l>(ladder: &'l Ladder, label: &str) -> (usize, &'l StageSpan) {
    ladder
        .stages()
        .iter()
        .enumerate()
        .find(|(_, s)| s.label == label)
        .unwrap_or_else(|| panic!("stage {label}"))
}

#[test]
fn every_row_of_the_transcription_is_reproduced() {
    let catalogue = Catalogue::built_in();
    let mut checked = 0;
    for row in rows() {
        let test = catalogue
            .get(&row.test)
            .unwrap_or_else(|| panic!("no test {}", row.test));
        let ladder = test.ladder().expect("paced");
        let (index, stage) = span(ladder, &row.stage);
        let at = format!("{} stage {}", row.test, row.stage);
        let bouts = ladder.bouts().iter().filter(|b| b.stage == index).count();
        if let Some(v) = row.get("speed_kmh") {
            assert!(
                close(stage.speed.as_kmh_f64(), v, 1e-9),
                "{at}: speed {}",
                stage.speed
            );
            checked += 1;
        }
        if let Some(n) = row.get("bouts") {
            assert!(
                close(bouts as f64, n, 0.0),
                "{at}: {bouts} bouts, printed {n}"
            );
            checked += 1;
        }
        if let Some(d) = row.get("cumulative_distance_m") {
            let got = stage.distance.as_m_f64();
            assert!(close(got, d, PRINTED_M), "{at}: {got} m, printed {d}");
            checked += 1;
        }
        if let Some(t) = row.get("end_s") {
            let got = stage.end.as_secs_f64();
            assert!(close(got, t, PRINTED_S), "{at}: ends {got} s, printed {t}");
            checked += 1;
        }
        if let Some(n) = row.get("cumulative_shuttles") {
            let leg = test.definition().course.leg.as_ref().expect("leg").value;
            let got = stage.distance.as_m_f64() / leg.as_m_f64();
            assert!(
                close(got, n, PRINTED_SHUTTLE_SUMS),
                "{at}: {got} shuttles, printed {n}"
            );
            checked += 1;
        }
        if let Some(n) = row.get("shuttles_in_stage") {
            let shuttle = row.get("shuttle_m").map_or(0.0, |m| m * 1000.0);
            let before = index
                .checked_sub(1)
                .map_or(Length::ZERO, |i| ladder.stages()[i].distance);
            let mm = (stage.distance.as_mm() - before.as_mm()) as f64;
            // Stage distances are rounded to the millimetre at both ends.
            let tolerance = PRINTED_SHUTTLES + 1.0 / shuttle;
            if row.test.starts_with("msr20") {
                assert!(
                    close(mm / shuttle, n, tolerance),
                    "{at}: {} shuttles, printed {n}",
                    mm / shuttle
                );
                checked += 1;
            }
        }
        if let (Some(d), true) = (row.get("stage_duration_s"), row.test.starts_with("msr20")) {
            let got = stage.end.since(stage.start).as_secs_f64();
            assert!(close(got, d, PRINTED_S), "{at}: lasts {got} s, printed {d}");
            checked += 1;
        }
    }
    assert!(checked > 900, "only {checked} cells were checked");
}
