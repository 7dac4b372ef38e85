//! The picture of a mixed model: whose the scatter is, and the deviations of the first group's levels.

use plimsoll_measure::dist;
use plimsoll_report::{DeviationMark, Figure, MixedPlot, SharePart, figure_mixed};

use super::answer::MixedAnswer;
use super::pen::percent;

/// Draws a fit; deviations are those of the height of the first group.
pub fn figure(answer: &MixedAnswer) -> Figure {
    let log = answer.ask.log;
    let show = |v: f64| if log { percent(v) } else { v };
    let z = dist::two_sided(answer.ask.level, None).unwrap_or(f64::NAN);
    let shares = answer.shares.iter().map(|s| SharePart {
        name: match &s.group {
            Some(group) => format!("from one {group} to another"),
            None => "left over".to_owned(),
        },
        share: s.share,
    });
    let mut marks = Vec::new();
    if let (Some(term), Some(labels)) = (answer.fit.terms.first(), answer.levels.first()) {
        for (level, name) in labels.iter().enumerate() {
            let (value, sd) = (term.effects[level][0], term.conditional_sds[level][0]);
            marks.push(DeviationMark {
                name: name.clone(),
                value: show(value),
                low: show(value - z * sd),
                high: show(value + z * sd),
            });
        }
    }
    figure_mixed(&MixedPlot {
        shares: shares.collect(),
        group: answer
            .fit
            .terms
            .first()
            .map_or(String::new(), |t| t.name.clone()),
        unit: if log {
            "%".to_owned()
        } else {
            answer.unit.clone()
        },
        marks,
        level: answer.ask.level,
    })
}
