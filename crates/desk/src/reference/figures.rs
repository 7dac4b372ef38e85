//! The pictures of a fit: centile curves with the people, and worm plots.

use plimsoll_report::format::number;
use plimsoll_report::{
    CentileCurve, CentilePlot, Figure, WormGroup, WormPlot, figure_centiles, figure_worm,
};

use super::fitted::{CENTILES, Fitted};
use super::sample::ReferenceSample;

/// The pictures of a fit.
#[derive(Debug, Clone)]
pub struct ReferenceFigures {
    /// Centile curves.
    pub centiles: Figure,
    /// Worm plots, when the groups are large enough.
    pub worms: Option<Figure>,
}

/// Draws a fit.
pub fn figures(
    fitted: &Fitted,
    sample: &ReferenceSample,
    what: &str,
    unit: &str,
) -> ReferenceFigures {
    let curves = CENTILES
        .iter()
        .enumerate()
        .map(|(at, p)| CentileCurve {
            name: format!("P{p}"),
            values: fitted
                .curves
                .iter()
                .map(|c| c.centiles[at].as_ref().ok().map(|c| (c.value, c.se)))
                .collect(),
        })
        .collect();
    let centiles = figure_centiles(&CentilePlot {
        what: super::shown::metric_words(what),
        unit: unit.to_owned(),
        ages: fitted.curves.iter().map(|c| c.age).collect(),
        curves,
        points: sample.points.clone(),
        people: Some(fitted.fit.people()),
    });
    let worms = fitted.worms.as_ref().ok().map(|worms| {
        let groups = worms
            .iter()
            .map(|w| WormGroup {
                name: format!("{} to {} y", number(w.ages.0, 1), number(w.ages.1, 1)),
                points: w
                    .points
                    .iter()
                    .map(|p| (p.expected, p.deviation, p.half_band))
                    .collect(),
                outside: w.outside,
            })
            .collect();
        figure_worm(&WormPlot {
            groups,
            level: fitted.ask.level,
        })
    });
    ReferenceFigures { centiles, worms }
}
