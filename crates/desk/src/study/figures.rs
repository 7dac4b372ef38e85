//! The pictures of a study: difference against mean, everyone's line, error by level.
//! Figures are in the unit of the values, whatever scale the answer is on.

use plimsoll_measure::study::{error_by_level, pair_points, person_lines};
use plimsoll_report::{
    AgreementPlot, ErrorBandPlot, ErrorByLevelPlot, Figure, LimitLine, PairLinesPlot,
    figure_agreement, figure_error_by_level, figure_pair_lines,
};

use super::answer::{StudyAnswer, change_of, limits_of};

/// Fewest people of a band of level.
const BAND: usize = 5;
/// Most bands of level.
const BANDS: usize = 4;

/// The pictures that can be drawn.
#[derive(Debug, Clone)]
pub struct StudyFigures {
    /// Difference against mean, the first pair of trials.
    pub agreement: Option<Figure>,
    /// A line a person over the trials.
    pub lines: Figure,
    /// Error in bands of level, with enough people.
    pub by_level: Option<Figure>,
}

/// Draws a study.
pub fn figures(answer: &StudyAnswer) -> StudyFigures {
    let (table, raw) = (&answer.table, &answer.study.raw);
    let points = pair_points(&table.values, 0, 1).unwrap_or_default();
    let names = |at: usize| {
        let number = table.values.numbers().get(at).copied().unwrap_or(1);
        table
            .trials
            .get(number as usize - 1)
            .cloned()
            .unwrap_or_default()
    };
    let limits = raw.pairs.first().and_then(|p| limits_of(p).ok());
    let line = |value: f64, i: plimsoll_measure::Interval| LimitLine {
        value,
        low: i.lower,
        high: i.upper,
    };
    let change = raw.pairs.first().and_then(|p| change_of(p).ok());
    let agreement = (!points.is_empty()).then(|| {
        figure_agreement(&AgreementPlot {
            first: names(0),
            second: names(1),
            unit: table.unit.clone(),
            points: points.iter().map(|p| (p.mean, p.difference)).collect(),
            mean: change.map(|c| line(c.mean, c.interval)),
            limits: limits.map(|l| {
                [
                    line(l.lower, l.lower_interval),
                    line(l.upper, l.upper_interval),
                ]
            }),
            level: answer.study.level,
        })
    });
    let flagged: Vec<u64> = raw
        .influence
        .as_ref()
        .map(|r| r.flagged().map(|p| p.person).collect())
        .unwrap_or_default();
    let lines = figure_pair_lines(&PairLinesPlot {
        trials: (0..table.values.numbers().len()).map(names).collect(),
        unit: table.unit.clone(),
        lines: person_lines(&table.values)
            .into_iter()
            .map(|l| {
                let at = |n: u32| table.values.numbers().partition_point(|&m| m < n);
                let name = table
                    .people
                    .get(l.person as usize)
                    .cloned()
                    .unwrap_or_default();
                let points = l.points.iter().map(|&(n, v)| (at(n), v)).collect();
                (name, flagged.contains(&l.person), points)
            })
            .collect(),
    });
    StudyFigures {
        agreement,
        lines,
        by_level: by_level(answer, points.len()),
    }
}

fn by_level(answer: &StudyAnswer, people: usize) -> Option<Figure> {
    let bands = (people / BAND).min(BANDS);
    if bands < 2 {
        return None;
    }
    let found = error_by_level(&answer.table.values, 0, 1, bands, answer.study.level).ok()?;
    let bands: Vec<ErrorBandPlot> = found
        .iter()
        .filter_map(|band| {
            let e = band.error.as_ref().ok()?;
            Some(ErrorBandPlot {
                from: band.from,
                to: band.to,
                n: band.n,
                error: e.error.value,
                low: e.interval.lower,
                high: e.interval.upper,
            })
        })
        .collect();
    let pair = answer.study.raw.pairs.first()?;
    (bands.len() > 1).then(|| {
        figure_error_by_level(&ErrorByLevelPlot {
            unit: answer.table.unit.clone(),
            bands,
            whole: pair.error.as_ref().ok().map(|e| e.error.value),
            level: answer.study.level,
        })
    })
}
