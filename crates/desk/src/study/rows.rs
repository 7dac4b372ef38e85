//! The numbers of a study as rows of a table; what has no value says why.

use plimsoll_measure::MeasureError;
use plimsoll_report::format::{number, with_unit};

use super::answer::{StudyAnswer, change_of, limits_of};
use super::words::Pen;

/// Returns rows of (what, value, interval or why not).
pub fn rows(answer: &StudyAnswer) -> Vec<[String; 3]> {
    let (pen, a) = (Pen::of(answer), answer.analysis());
    let mut out = Vec::new();
    let names = |n: u32| {
        answer
            .table
            .trials
            .get(n as usize - 1)
            .cloned()
            .unwrap_or_default()
    };
    for pair in &a.pairs {
        let what = format!(
            "{} minus {}",
            names(pair.second_trial),
            names(pair.first_trial)
        );
        out.push(row(
            &format!("change in the mean, {what} (n {})", pair.n),
            &change_of(pair),
            |c| (pen.signed(c.mean), pen.range(c.interval, true)),
        ));
        if a.pairs.len() > 1 {
            out.push(row(&format!("typical error, {what}"), &pair.error, |e| {
                (pen.size(e.error.value), pen.range(e.interval, false))
            }));
        }
        out.push(row(
            &format!("95 % limits of agreement, {what}"),
            &limits_of(pair),
            |l| {
                (
                    format!("{} to {}", pen.signed(l.lower), pen.signed(l.upper)),
                    format!(
                        "{} and {}",
                        pen.range(l.lower_interval, true),
                        pen.range(l.upper_interval, true)
                    ),
                )
            },
        ));
    }
    out.push(row("typical error, all trials", &a.pooled, |e| {
        (pen.size(e.error.value), pen.range(e.interval, false))
    }));
    if !pen.logs {
        let cv = answer
            .study
            .logs
            .clone()
            .and_then(|l| l.pooled?.cv_percent());
        out.push(row("the same as a percentage", &cv, |(v, i)| {
            (
                with_unit(number(*v, 1), "%"),
                format!("{} to {}", number(i.lower, 1), number(i.upper, 1)),
            )
        }));
    }
    if let Ok(all) = &a.correlations {
        for (name, at) in [("ICC(3,1), trials out", 2), ("ICC(2,1), trials counted", 1)] {
            let ends = all[at].calibrated.map_or("none".to_owned(), |i| {
                format!("{} to {}", number(i.lower, 2), number(i.upper, 2))
            });
            out.push([name.to_owned(), number(all[at].icc.value, 3), ends]);
        }
    } else {
        out.push(row("ICC", &a.correlations, |_| {
            (String::new(), String::new())
        }));
    }
    out.push(row(
        "smallest worthwhile change (0.2 SD between people)",
        &a.worthwhile,
        |w| (pen.size(*w), String::new()),
    ));
    out.push(row(
        "error against level (correlation)",
        &answer.study.level_check,
        |c| {
            (
                number(c.raw.r, 2),
                format!(
                    "{} to {}",
                    number(c.raw.interval.lower, 2),
                    number(c.raw.interval.upper, 2)
                ),
            )
        },
    ));
    out
}

fn row<T>(
    what: &str,
    found: &Result<T, MeasureError>,
    show: impl FnOnce(&T) -> (String, String),
) -> [String; 3] {
    match found {
        Ok(found) => {
            let (value, interval) = show(found);
            [what.to_owned(), value, interval]
        }
        Err(why) => [what.to_owned(), "–".to_owned(), why.to_string()],
    }
}
