//! An available reference for a page: its rows in words and, where it has curves, their picture.
//! Rows from memory are told apart by their tag and drawn in no picture.

use std::collections::BTreeMap;

use plimsoll_interpret::Confidence;
use plimsoll_interpret::data::{Population, ReferenceRow, Statistic};
use plimsoll_measure::dist::normal_quantile;
use plimsoll_measure::norms::Lms;
use plimsoll_report::format::number;
use plimsoll_report::{CentileCurve, CentilePlot, Figure, figure_centiles};

use super::fitted::CENTILES;

/// About how many rows of a curve are listed; the picture shows them all.
const CURVE_ROWS: usize = 12;
/// Most rows listed of a reference.
const MOST: usize = 60;

/// A reference as a page shows it.
#[derive(Debug, Clone)]
pub struct ShownReference {
    /// Test, group, n, what the row says, tag: a row of the table.
    pub rows: Vec<[String; 5]>,
    /// Rows that are not listed.
    pub more: usize,
    /// A picture for each group with curves, with its name.
    pub figures: Vec<(String, Figure)>,
}

/// Returns a metric as people say it: `final_speed_kmh` is the final speed.
pub fn metric_words(metric: &str) -> String {
    let plain = ["_kmh", "_m", "_s"]
        .iter()
        .find_map(|unit| metric.strip_suffix(unit));
    plain.unwrap_or(metric).replace('_', " ")
}

/// Returns a reference for a page.
pub fn shown(population: &Population) -> ShownReference {
    let curve = |r: &ReferenceRow| matches!(r.statistic, Statistic::Lms { .. });
    let stride = (population.rows.iter().filter(|r| curve(r)).count() / CURVE_ROWS).max(1);
    let mut nth = 0_usize;
    let listed = population.rows.iter().filter(|r| {
        nth += usize::from(curve(r));
        !curve(r) || (nth - 1).is_multiple_of(stride)
    });
    let rows: Vec<[String; 5]> = listed.take(MOST).map(row).collect();
    let mut groups: BTreeMap<String, Vec<&ReferenceRow>> = BTreeMap::new();
    for row in population
        .rows
        .iter()
        .filter(|r| r.confidence != Confidence::FromMemory)
    {
        let key = [
            row.test.as_str(),
            &row.sport,
            &row.standard,
            row.sex.words(),
        ];
        let key: Vec<&str> = key.into_iter().filter(|k| !k.is_empty()).collect();
        groups.entry(key.join(", ")).or_default().push(row);
    }
    let figures = groups
        .into_iter()
        .filter_map(|(name, rows)| curves(&rows).map(|figure| (name, figure)))
        .collect();
    ShownReference {
        more: population.rows.len().saturating_sub(rows.len()),
        rows,
        figures,
    }
}

fn row(row: &ReferenceRow) -> [String; 5] {
    let says = match &row.statistic {
        Statistic::Mean {
            mean,
            sd,
            sd_from_sem,
            ..
        } => {
            let sd = sd.map_or("SD not known".to_owned(), |sd| {
                format!("SD {}", number(sd, 1))
            });
            let how = if *sd_from_sem { " (SEM x root n)" } else { "" };
            format!("mean {} {}, {sd}{how}", number(*mean, 1), row.unit)
        }
        Statistic::Centile { centile, value } => {
            format!("P{centile} {} {}", number(*value, 1), row.unit)
        }
        Statistic::Lms { l, m, s } => format!(
            "L {}, M {} {}, S {}",
            number(*l, 2),
            number(*m, 1),
            row.unit,
            number(*s, 3)
        ),
        Statistic::Range { low, high } => format!(
            "range {} to {} {}",
            number(*low, 1),
            number(*high, 1),
            row.unit
        ),
        Statistic::CutPoint { value } => format!("cut-point {} {}", number(*value, 1), row.unit),
        Statistic::Note { value } => {
            value.map_or(String::new(), |v| format!("{} {}", number(v, 2), row.unit))
        }
    };
    let says = if row.note.is_empty() {
        says
    } else {
        format!("{says}; {}", row.note)
    };
    let group = [
        row.sport.as_str(),
        &row.standard,
        row.sex.words(),
        &ages(row),
    ];
    let group: Vec<&str> = group.into_iter().filter(|g| !g.is_empty()).collect();
    [
        format!("{}, {}", row.test, metric_words(&row.metric)),
        group.join(", "),
        row.n.map_or("not known".to_owned(), |n| n.to_string()),
        says,
        row.confidence.to_string(),
    ]
}

fn ages(row: &ReferenceRow) -> String {
    match (&row.statistic, row.age.min) {
        (Statistic::Lms { .. }, Some(age)) => format!("{} y", number(age, 1)),
        _ if row.age.printed.is_empty() => "age not stated".to_owned(),
        _ => row.age.printed.clone(),
    }
}

/// Draws L, M and S rows by age; nothing for a group without them.
fn curves(rows: &[&ReferenceRow]) -> Option<Figure> {
    let mut at: Vec<(f64, Lms)> = rows
        .iter()
        .filter_map(|row| match row.statistic {
            Statistic::Lms { l, m, s } => Some((row.age.min?, Lms::new(l, m, s).ok()?)),
            _ => None,
        })
        .collect();
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    if at.len() < 2 {
        return None;
    }
    let first = rows.first()?;
    let curves = CENTILES
        .iter()
        .map(|&p| {
            let z = normal_quantile(f64::from(p) / 100.0).ok();
            let value = |lms: &Lms| Some((lms.value_at(z?).ok()?, 0.0));
            CentileCurve {
                name: format!("P{p}"),
                values: at.iter().map(|(_, lms)| value(lms)).collect(),
            }
        })
        .collect();
    Some(figure_centiles(&CentilePlot {
        what: metric_words(&first.metric),
        unit: first.unit.clone(),
        ages: at.iter().map(|(age, _)| *age).collect(),
        curves,
        points: Vec::new(),
        people: first.n.map(f64::from),
    }))
}
