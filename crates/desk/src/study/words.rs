//! What a study says, in sentences. The error to use comes first.

use plimsoll_measure::study::{BlendBasis, Detectable};
use plimsoll_measure::{Interval, MeasureError};
use plimsoll_report::format::{decimals, number, signed, with_unit};

use super::answer::StudyAnswer;
use super::learning::practice;

/// Writes numbers of a study in its unit, or in percent.
pub(super) struct Pen<'a> {
    pub(super) logs: bool,
    unit: &'a str,
    places: usize,
}

impl<'a> Pen<'a> {
    pub(super) fn of(answer: &'a StudyAnswer) -> Self {
        let logs = answer.in_percent();
        let unit = if logs {
            "%"
        } else {
            answer.table.unit.as_str()
        };
        let size = answer
            .blend
            .as_ref()
            .map(|b| b.error.value)
            .or_else(|_| answer.analysis().pooled.as_ref().map(|e| e.error.value));
        // Three digits of the error, so that small units keep their decimals.
        let places = match size {
            _ if logs => 1,
            Ok(size) if size.is_finite() && size > 0.0 => {
                (1.0 - size.log10().floor()).clamp(0.0, 6.0) as usize
            }
            _ => decimals(unit),
        };
        Self { logs, unit, places }
    }

    pub(super) fn value(&self, value: f64) -> f64 {
        if self.logs {
            100.0 * value.exp_m1()
        } else {
            value
        }
    }

    pub(super) fn size(&self, value: f64) -> String {
        with_unit(number(self.value(value), self.places), self.unit)
    }

    pub(super) fn signed(&self, value: f64) -> String {
        with_unit(signed(self.value(value), self.places), self.unit)
    }

    pub(super) fn range(&self, interval: Interval, with_sign: bool) -> String {
        let one = |v: f64| {
            if with_sign {
                signed(self.value(v), self.places)
            } else {
                number(self.value(v), self.places)
            }
        };
        format!("{} to {}", one(interval.lower), one(interval.upper))
    }
}

/// Returns the verdict: which error to use, what change it detects, whether trial 1 is practice.
pub fn verdict(answer: &StudyAnswer) -> Vec<String> {
    let pen = Pen::of(answer);
    let mut out = vec![error_words(answer, &pen)];
    if let Ok(found) = &answer.detectable {
        out.push(detectable_words(answer, &pen, found));
    }
    out.push(practice(answer).1);
    let report = answer.analysis().influence.as_ref().ok();
    let named = |name: &String| {
        if name.parse::<f64>().is_ok() {
            format!("Person {name}")
        } else {
            name.clone()
        }
    };
    let odd: Vec<String> = report
        .into_iter()
        .flat_map(|r| r.flagged())
        .filter_map(|p| answer.table.people.get(p.person as usize).map(named))
        .collect();
    if !odd.is_empty() {
        let (verb, them) = if odd.len() == 1 {
            ("stands", "that row")
        } else {
            ("stand", "those rows")
        };
        out.push(format!(
            "{} {verb} out: the error depends on {them} more than chance allows. Look at the record \
             before you use it.",
            odd.join(", ")
        ));
    }
    out
}

fn error_words(answer: &StudyAnswer, pen: &Pen<'_>) -> String {
    let pairs = answer.pairs;
    let blend = match &answer.blend {
        Ok(blend) => blend,
        Err(why) => {
            let own = match &answer.analysis().pooled {
                Ok(own) => format!(
                    " Own data alone give {} ({}, {:.0} % interval), for reading only.",
                    pen.size(own.error.value),
                    pen.range(own.interval, false),
                    answer.study.level * 100.0
                ),
                Err(_) => String::new(),
            };
            let next = match why {
                MeasureError::TooFew { needed: 10, .. } if answer.test.is_none() => {
                    format!(
                        "{pairs} pairs are too few to stand alone (10 needed), and no published default \
                         can be added: say which test it is"
                    )
                }
                MeasureError::TooFew { needed: 10, .. } => format!(
                    "{pairs} pairs are too few to stand alone (10 needed), and no published default is \
                     known for this test"
                ),
                other => other.to_string(),
            };
            return format!("No error to use yet: {next}.{own}");
        }
    };
    let interval = answer.blend_interval.as_ref().map_or(String::new(), |i| {
        format!(
            " ({}, {:.0} % interval)",
            pen.range(*i, false),
            i.level * 100.0
        )
    });
    let size = pen.size(blend.error.value);
    let published = answer.published.as_ref().map_or(String::new(), |p| {
        format!(
            "published default {} ({}; {})",
            p.words, p.source, p.confidence
        )
    });
    match blend.basis {
        BlendBasis::Own { pairs } => {
            let instead = if published.is_empty() {
                String::new()
            } else {
                format!(" It takes the place of the {published}.")
            };
            format!(
                "Use a typical error of {size}{interval}: your own, from {pairs} pairs.{instead}"
            )
        }
        BlendBasis::Both { pairs, own_weight } => format!(
            "Use a typical error of {size}{interval}: your own {pairs} pairs (weight {}) together with \
             the {published}. From 10 pairs on your own stands alone.",
            number(own_weight, 2)
        ),
        BlendBasis::Published => format!(
            "Use a typical error of {size}{interval}: the {published}. Your own data give no error."
        ),
    }
}

fn detectable_words(answer: &StudyAnswer, pen: &Pen<'_>, found: &[Detectable; 3]) -> String {
    let [_, middle, high] = found;
    let mean = answer.mean;
    let both = |d: &Detectable| {
        if pen.logs {
            format!("+{} or {}", pen.size(d.student), pen.size(-d.student))
        } else {
            pen.size(d.student)
        }
    };
    let there = if pen.logs && mean > 0.0 {
        let unit = &answer.table.unit;
        let size = mean * high.student.exp_m1();
        format!(
            ", at the mean of {} a rise of {}",
            with_unit(number(mean, decimals(unit)), unit),
            with_unit(number(size, decimals(unit)), unit)
        )
    } else {
        String::new()
    };
    format!(
        "In one person a change of {} is more than error (95 %){there}; {} at 90 %.",
        both(high),
        both(middle)
    )
}
