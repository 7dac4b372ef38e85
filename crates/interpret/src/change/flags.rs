//! Reasons to doubt a comparison, each with words and the studies behind it.
//! Flags inform; they change no number. What is not known raises no flag.
//! Evidence: `references/conditions`. Limits (5 degrees, 2 h, 48 h, 6 h): common practice.

use serde::Serialize;

use super::observation::{Observation, differ};
use crate::{Catalogue, Confidence, words};

/// Temperatures further apart than this are flagged, degrees C.
const HEAT_APART_C: f64 = 5.0;
/// Start times further apart than this are flagged, min.
const TIME_APART_MIN: u32 = 120;
/// A gap shorter than this is flagged, h.
const SHORT_GAP_H: f64 = 48.0;
/// Less sleep than this is flagged, h.
const SHORT_SLEEP_H: f64 = 6.0;
/// Most studies named with one flag.
const MAX_EVIDENCE: usize = 3;

/// Kind of doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FlagCode {
    /// The person's first result of this test.
    FirstTrial,
    /// The earlier result was the first ever, this one the second.
    LearningTrial,
    /// Ladder or rule settings differ.
    RulesChanged,
    /// The course was of another length.
    CourseDiffers,
    /// Another surface.
    SurfaceChanged,
    /// Indoors once, outdoors once.
    IndoorChanged,
    /// Temperatures far apart.
    HeatApart,
    /// Start times far apart.
    TimeOfDayApart,
    /// Less than 48 h between them.
    ShortGap,
    /// No reason for stopping recorded.
    ReasonMissing,
    /// This result is only known as "at least".
    LowerBoundNow,
    /// The earlier result is only known as "at least".
    LowerBoundBefore,
    /// The ladder ended before the runner did, this time.
    CeilingNow,
    /// The ladder ended before the runner did, the earlier time.
    CeilingBefore,
    /// Ill on one of the days.
    Ill,
    /// Little sleep before one of them.
    PoorSleep,
    /// Caffeine on one of the days only.
    CaffeineDiffers,
    /// Other footwear.
    FootwearChanged,
    /// The earlier result is the best of several, so partly luck.
    BestOfSeveral,
}

/// A study behind a flag.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Evidence {
    /// What it found, in words.
    pub words: String,
    /// Citation.
    pub source: String,
    /// How it was seen.
    pub confidence: Confidence,
}

/// A reason to doubt a comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Flag {
    /// Kind of doubt.
    pub code: FlagCode,
    /// In words.
    pub words: String,
    /// Studies behind it; empty when it needs none or none was found.
    pub evidence: Vec<Evidence>,
}

/// Makes flags with evidence for one test.
pub(crate) struct Flagger<'a> {
    pub catalogue: &'a Catalogue,
    pub test: &'a str,
}

impl Flagger<'_> {
    /// Makes a flag with the evidence filed under `topic`, studies of the same test first.
    pub fn flag(&self, code: FlagCode, words: String, topic: &str) -> Flag {
        let family = match self.test {
            test if test.starts_with("msr20") => "20 m shuttle",
            test if test.starts_with("int30_15") => "30-15",
            "ir1" => "ir1",
            "ir2" => "ir2",
            other => other,
        };
        let mut found: Vec<_> = self
            .catalogue
            .effects
            .iter()
            .filter(|effect| effect.flag == topic)
            .collect();
        found.sort_by_key(|effect| !effect.test.contains(family));
        let evidence = found
            .into_iter()
            .take(MAX_EVIDENCE)
            .map(|effect| {
                let people = match effect.n {
                    Some(n) => format!("{}, n {n}", effect.population),
                    None => effect.population.clone(),
                };
                let condition = if effect.condition.is_empty() {
                    effect.factor.clone()
                } else {
                    effect.condition.clone()
                };
                let people = if people.is_empty() {
                    people
                } else {
                    format!(" ({people})")
                };
                Evidence {
                    words: format!(
                        "{condition}, {}: {} {}{people}",
                        effect.test, effect.effect, effect.unit
                    ),
                    source: effect.source.clone(),
                    confidence: effect.confidence,
                }
            })
            .collect();
        Flag {
            code,
            words,
            evidence,
        }
    }

    fn plain(code: FlagCode, words: &str) -> Flag {
        Flag {
            code,
            words: words.to_owned(),
            evidence: Vec::new(),
        }
    }

    /// Returns the flags that a result carries on its own.
    pub fn alone(&self, now: &Observation, has_earlier: bool) -> Vec<Flag> {
        let mut flags = Vec::new();
        if now.trial_number == Some(1) || (!has_earlier && now.trial_number.is_none()) {
            let words = "first result of this test: a starting point, not a baseline; repeat it \
                         within 7 to 10 days";
            flags.push(self.flag(FlagCode::FirstTrial, words.to_owned(), "learning"));
        }
        if now.reason_recorded == Some(false) {
            let words = "no reason for stopping is recorded, so the result may be \"at least\"";
            flags.push(Self::plain(FlagCode::ReasonMissing, words));
        }
        if now.lower_bound {
            let words = "this result is only known as \"at least\"";
            flags.push(Self::plain(FlagCode::LowerBoundNow, words));
        }
        if now.ceiling {
            let words = "the ladder ended before the runner did: \"at least\" this result";
            flags.push(Self::plain(FlagCode::CeilingNow, words));
        }
        if now.ill == Some(true) {
            flags.push(Self::plain(FlagCode::Ill, "ill on the day"));
        }
        if let Some(hours) = now
            .sleep_h
            .filter(|hours| (0.0..SHORT_SLEEP_H).contains(hours))
        {
            let words = format!(
                "only {} h of sleep the night before",
                words::number(hours, 1)
            );
            flags.push(self.flag(FlagCode::PoorSleep, words, "sleep"));
        }
        flags
    }

    /// Returns the flags of a comparison, the later result's own ones left out.
    pub fn between(&self, before: &Observation, now: &Observation) -> Vec<Flag> {
        let mut flags = Vec::new();
        self.earlier(before, now, &mut flags);
        self.settings(before, now, &mut flags);
        self.conditions(before, now, &mut flags);
        flags
    }

    fn earlier(&self, before: &Observation, now: &Observation, flags: &mut Vec<Flag>) {
        if before.trial_number == Some(1) {
            let (code, words) = if now.trial_number == Some(2) {
                let words = "first to second trial: part of a rise may be learning the test";
                (FlagCode::LearningTrial, words)
            } else {
                let words = "the earlier result was the person's first ever: not a baseline";
                (FlagCode::FirstTrial, words)
            };
            flags.push(self.flag(code, words.to_owned(), "learning"));
        }
        if before.reason_recorded == Some(false) {
            let words = "no reason for stopping is recorded for the earlier result";
            flags.push(Self::plain(FlagCode::ReasonMissing, words));
        }
        if before.lower_bound {
            let words = "the earlier result is only known as \"at least\"";
            flags.push(Self::plain(FlagCode::LowerBoundBefore, words));
        }
        if before.ceiling {
            let words = "the ladder ended before the runner did, the earlier time";
            flags.push(Self::plain(FlagCode::CeilingBefore, words));
        }
        if before.ill == Some(true) {
            flags.push(Self::plain(
                FlagCode::Ill,
                "ill on the day of the earlier result",
            ));
        }
        if let Some(hours) = before
            .sleep_h
            .filter(|hours| (0.0..SHORT_SLEEP_H).contains(hours))
        {
            let hours = words::number(hours, 1);
            let words = format!("only {hours} h of sleep before the earlier result");
            flags.push(self.flag(FlagCode::PoorSleep, words, "sleep"));
        }
    }

    fn settings(&self, before: &Observation, now: &Observation, flags: &mut Vec<Flag>) {
        if differ(before.rules.as_ref(), now.rules.as_ref()) {
            let words = "ladder or rule settings differ between the two results";
            flags.push(Self::plain(FlagCode::RulesChanged, words));
        }
        if let (Some(a), Some(b)) = (before.course_length_mm, now.course_length_mm)
            && a != b
        {
            let words = format!(
                "the course was {} m long, the earlier one {} m",
                words::number(f64::from(b) / 1000.0, 3),
                words::number(f64::from(a) / 1000.0, 3)
            );
            flags.push(self.flag(FlagCode::CourseDiffers, words, "layout"));
        }
        let hours = now.hours_since(before);
        if hours < SHORT_GAP_H {
            let words = "less than 48 h between the two results: fatigue may not have gone";
            flags.push(Self::plain(FlagCode::ShortGap, words));
        }
    }

    fn conditions(&self, before: &Observation, now: &Observation, flags: &mut Vec<Flag>) {
        if let (Some(a), Some(b)) = (&before.surface, &now.surface)
            && a != b
        {
            let words = format!("surface was {b}, the earlier one {a}");
            flags.push(self.flag(FlagCode::SurfaceChanged, words, "surface"));
        }
        if let (Some(a), Some(b)) = (before.indoor, now.indoor)
            && a != b
        {
            let place = |indoor| if indoor { "indoors" } else { "outdoors" };
            let words = format!("run {}, the earlier one {}", place(b), place(a));
            flags.push(self.flag(FlagCode::IndoorChanged, words, "wind"));
        }
        // Globe and air temperature are never compared with each other.
        let heat = [
            (before.wbgt_c, now.wbgt_c, "WBGT"),
            (before.air_c, now.air_c, "air"),
        ];
        for (a, b, kind) in heat {
            if let (Some(a), Some(b)) = (a, b)
                && (a.is_finite() && b.is_finite() && (b - a).abs() > HEAT_APART_C)
            {
                let (b, a) = (words::number(b, 1), words::number(a, 1));
                let words = format!("{kind} temperature {b} degrees C, the earlier one {a}");
                flags.push(self.flag(FlagCode::HeatApart, words, "heat"));
                break;
            }
        }
        if let (Some(a), Some(b)) = (before.time_of_day_min, now.time_of_day_min) {
            let straight = a.abs_diff(b) % 1440;
            if straight.min(1440 - straight) > TIME_APART_MIN {
                let clock = |min: u32| format!("{:02}:{:02}", min / 60 % 24, min % 60);
                let words = format!("started at {}, the earlier one at {}", clock(b), clock(a));
                flags.push(self.flag(FlagCode::TimeOfDayApart, words, "time_of_day"));
            }
        }
        if differ(before.caffeine.as_ref(), now.caffeine.as_ref()) {
            let when = if now.caffeine == Some(true) {
                "this time"
            } else {
                "the earlier time"
            };
            let words = format!("caffeine {when} only");
            flags.push(self.flag(FlagCode::CaffeineDiffers, words, "caffeine"));
        }
        if let (Some(a), Some(b)) = (&before.footwear, &now.footwear)
            && a != b
        {
            let words = format!("footwear was {b}, the earlier time {a}");
            flags.push(self.flag(FlagCode::FootwearChanged, words, "footwear"));
        }
    }

    /// Returns the flag for a comparison with the best of several.
    pub fn best_of(count: usize) -> Flag {
        let words = format!(
            "the best of {count} results is partly luck: expect the next one to be lower without \
             any change in the runner"
        );
        Flag {
            code: FlagCode::BestOfSeveral,
            words,
            evidence: Vec::new(),
        }
    }
}
