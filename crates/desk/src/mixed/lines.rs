//! A mixed model as rows of tables, and the record of its fit.

use plimsoll_measure::mixed::Stop;
use plimsoll_measure::{Interval, MeasureError};
use plimsoll_report::format::{number, signed};

use super::answer::{MixedAnswer, Part, Together};
use super::coding::INTERCEPT;
use super::pen::{Pen, is_height};
use super::words::{level, listed, part_of_whole};

/// Returns the fixed effects as rows: name, estimate, SE, degrees of freedom, interval.
pub fn fixed_rows(answer: &MixedAnswer) -> Vec<[String; 5]> {
    let pen = Pen::of(answer);
    let all = answer.fixed.iter().map(|effect| {
        let (estimate, name) = if is_height(effect) {
            (
                pen.height(effect.estimate, effect.se),
                "all columns at 0".to_owned(),
            )
        } else {
            (pen.signed(effect.estimate, effect.se), effect.name.clone())
        };
        [
            name,
            estimate,
            pen.unsigned(effect.se, effect.se),
            effect
                .df
                .map_or("not limited".to_owned(), |df| number(df, 1)),
            ends(&effect.interval, |i| pen.effect_range(effect, i)),
        ]
    });
    all.collect()
}

fn ends(found: &Result<Interval, MeasureError>, show: impl Fn(&Interval) -> String) -> String {
    match found {
        Ok(interval) => show(interval),
        Err(_) => "none".to_owned(),
    }
}

/// Returns the random parts as rows: what, SD, its interval, share of the scatter.
pub fn part_rows(answer: &MixedAnswer) -> Vec<[String; 4]> {
    let pen = Pen::of(answer);
    let share_of = |part: &Part| {
        let share = answer.shares.iter().find(|s| s.group == part.group);
        share
            .filter(|_| part.slope.is_none())
            .map_or_else(String::new, |s| part_of_whole(s.share))
    };
    let mut rows: Vec<[String; 4]> = Vec::new();
    for part in &answer.parts {
        let what = match (&part.group, &part.slope) {
            (Some(group), None) => format!("from one {group} to another"),
            (Some(group), Some(slope)) => format!("effect of {slope}, from one {group} to another"),
            (None, _) => "left over: typical error".to_owned(),
        };
        let interval = match &part.interval {
            Some(Ok(found)) => pen.sd_range(part.sd, found),
            Some(Err(_)) => "none".to_owned(),
            None => "not asked for".to_owned(),
        };
        let upper = match &part.interval {
            Some(Ok(found)) => found.interval.upper / 4.0,
            _ => 0.0,
        };
        let sd = pen.unsigned(part.sd, part.sd.max(upper));
        rows.push([what, sd, interval, share_of(part)]);
    }
    rows.extend(answer.together.iter().map(pair_row));
    rows
}

fn pair_row(pair: &Together) -> [String; 4] {
    let interval = match &pair.interval {
        Some(Ok(found)) => {
            let ends = found.interval;
            format!("{} to {}", signed(ends.lower, 2), signed(ends.upper, 2))
        }
        Some(Err(_)) => "none".to_owned(),
        None => "not asked for".to_owned(),
    };
    let columns = pair
        .columns
        .each_ref()
        .map(|c| if c == INTERCEPT { "height" } else { c.as_str() });
    [
        format!(
            "correlation of {} and {} by {}",
            columns[0], columns[1], pair.group
        ),
        pair.value.map_or("none".to_owned(), |r| signed(r, 2)),
        interval,
        String::new(),
    ]
}

/// Returns how the model was fitted and how the search ended.
pub fn record(answer: &MixedAnswer) -> Vec<String> {
    let fit = &answer.fit;
    let levels: Vec<String> = fit
        .terms
        .iter()
        .map(|t| format!("{} levels of {}", t.levels.len(), t.name))
        .collect();
    let ended = match fit.convergence.stop {
        Stop::Optimum => "ended at an optimum",
        Stop::NoDescent => "found no better step",
        Stop::Budget => "used up its evaluations",
    };
    let method = if answer.ask.ml { "ML" } else { "REML" };
    let mut out = vec![
        format!("{} rows, {}; fitted by {method}", fit.rows, listed(&levels)),
        format!(
            "the search {ended} after {} steps and {} evaluations; one more step would gain {:.0e} in deviance",
            fit.convergence.iterations, fit.convergence.evaluations, fit.convergence.expected_gain
        ),
        format!(
            "-2 log-likelihood {}, AIC {}, BIC {}, {} parameters",
            number(fit.deviance, 2),
            number(fit.aic, 2),
            number(fit.bic, 2),
            fit.parameters
        ),
        format!(
            "intervals {}: of fixed columns by Satterthwaite's degrees of freedom, of SDs by profile \
             likelihood (ML)",
            level(answer)
        ),
    ];
    out.extend(dropped(answer));
    out
}

fn dropped(answer: &MixedAnswer) -> Option<String> {
    const SHOWN: usize = 12;
    let all = &answer.dropped;
    let shown: Vec<String> = all
        .iter()
        .take(SHOWN)
        .map(|d| format!("{} (no {})", d.name, d.columns.join(", ")))
        .collect();
    let more = if all.len() > SHOWN {
        format!(" and {} more", all.len() - SHOWN)
    } else {
        String::new()
    };
    let rows = if all.len() == 1 {
        "row was"
    } else {
        "rows were"
    };
    (!all.is_empty()).then(|| {
        format!(
            "{} {rows} left out, since a value is missing: {}{more}",
            all.len(),
            shown.join("; ")
        )
    })
}
