//! A test definition as data: course, pace, stages, rules, each value with its confidence.
//! Nothing here is computed; `build` turns it into a ladder.

use serde::Serialize;

use crate::confidence::Confidence;
use crate::units::{Length, Span, Speed};

/// A value with its confidence and the keys of its sources.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// How it was obtained.
    pub confidence: Confidence,
    /// Keys of the sources, see [`crate::Source`].
    pub sources: Vec<String>,
}

/// The shape of a test: how it is paced, or what is measured when it is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// A number of legs at a speed, then a rest; paced by cues.
    Bouts,
    /// A run of fixed duration over lines, then a walk; paced by a cue at each line.
    TimedRuns,
    /// Continuous running, speed a function of time or of shuttle number; paced by cues.
    Continuous,
    /// As far as possible in a fixed time.
    DistanceInTime,
    /// A fixed distance as fast as possible.
    TimeForDistance,
    /// Repeated sprints with short rests.
    Sprints,
    /// Several maximal runs from which a model is fitted.
    Trials,
}

impl Shape {
    /// Every shape with the word a definition uses for it.
    pub const ALL: [(Self, &'static str); 7] = [
        (Self::Bouts, "bouts"),
        (Self::TimedRuns, "timed_runs"),
        (Self::Continuous, "continuous"),
        (Self::DistanceInTime, "distance_in_time"),
        (Self::TimeForDistance, "time_for_distance"),
        (Self::Sprints, "sprints"),
        (Self::Trials, "trials"),
    ];

    /// Returns the word a definition uses for this shape.
    pub fn as_str(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(shape, _)| *shape == self)
            .map_or("", |(_, word)| word)
    }

    /// Returns whether cues pace the runners, so that the test has a ladder.
    pub const fn is_paced(self) -> bool {
        matches!(self, Self::Bouts | Self::TimedRuns | Self::Continuous)
    }
}

/// When the speed of a continuous test rises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Advance {
    /// At exact times; a leg may be run partly at one speed and partly at the next.
    ExactTime,
    /// On the cue that ends a whole number of legs.
    WholeLegs,
    /// With every leg.
    EveryLeg,
}

/// What is measured and fixed on the ground.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Course {
    /// Length of one leg: line to line, or cone to cone on a track.
    pub leg: Option<Sourced<Length>>,
    /// Length of one leg of the recovery strip.
    pub recovery_leg: Option<Sourced<Length>>,
    /// Width of a lane.
    pub lane_width: Option<Sourced<Length>>,
    /// Positions of the lines from the first, ascending; for timed runs.
    pub lines: Option<Sourced<Vec<Length>>>,
    /// Depth of the zone in which a runner counts as there.
    pub zone: Option<Sourced<Length>>,
    /// Distances of a run for time, of a sprint, or of the trials.
    pub distances: Option<Sourced<Vec<Length>>>,
    /// Whether the course is a loop: cues fall at cones and nobody turns.
    pub is_loop: bool,
    /// What the course looks like, in words.
    pub description: Option<Sourced<String>>,
}

/// What is fixed in time.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Pace {
    /// Legs in a bout.
    pub legs: Option<Sourced<u32>>,
    /// Rest after a bout, run or sprint.
    pub recovery: Option<Sourced<Span>>,
    /// Duration of one run of a timed-run test, or of a whole run for distance.
    pub run: Option<Sourced<Span>>,
    /// Time one turn costs, taken off the distance of a timed run.
    pub turn_allowance: Option<Sourced<Span>>,
    /// When the speed of a continuous test rises.
    pub advance: Option<Sourced<Advance>>,
    /// First speed of a test whose speed rises with every leg.
    pub start_speed: Option<Sourced<Speed>>,
    /// Rise of speed with every leg.
    pub increment: Option<Sourced<Speed>>,
    /// Legs on the ladder of a test whose speed rises with every leg.
    pub max_legs: Option<Sourced<u32>>,
    /// Number of sprints or runs.
    pub repeats: Option<Sourced<u32>>,
    /// Time from one start to the next, where starts are fixed.
    pub cycle: Option<Sourced<Span>>,
    /// Instants called out or recorded in an unpaced test.
    pub marks: Option<Sourced<Vec<Span>>>,
}

/// One speed step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stage {
    /// The stage's own label; text, never a number.
    pub label: String,
    /// Speed.
    pub speed: Speed,
    /// How much is run at this speed.
    pub work: Work,
    /// Leg length of this stage where it differs from the course's.
    pub leg: Option<Length>,
    /// How the step was obtained.
    pub confidence: Confidence,
    /// Keys of its sources.
    pub sources: Vec<String>,
}

/// How much is run in a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Work {
    /// A number of bouts or timed runs.
    Bouts(u32),
    /// A number of whole legs.
    Legs(u32),
    /// An exact time.
    Time(Span),
}

/// Rules that differ between sources: settings, stored with every outcome.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Rules {
    /// Misses that end a run.
    pub miss_limit: Option<Sourced<u32>>,
    /// `cumulative` or `consecutive`.
    pub miss_counting: Option<Sourced<String>>,
    /// Whether the last, incomplete bout counts.
    pub last_incomplete_counts: Option<Sourced<bool>>,
    /// `completed` or `announced`: which stage is the result.
    pub scored_stage: Option<Sourced<String>>,
    /// Countdown before the first start signal.
    pub countdown: Option<Sourced<Span>>,
    /// Which announcements are spoken: `stage_and_bout`, `stage` or `none`.
    pub announcements: Option<Sourced<String>>,
}

/// A rule, remark or check in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// The sentence.
    pub text: String,
    /// How it was obtained.
    pub confidence: Confidence,
    /// Keys of its sources.
    pub sources: Vec<String>,
}

/// Where the ladder of a definition comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LadderSource {
    /// Its own stages.
    Own,
    /// The ladder of another definition, cut after a label when one is given.
    Base {
        /// Id of the definition it builds on.
        base: String,
        /// Last label of the shortened form.
        stop_after: Option<Sourced<String>>,
    },
}

/// A whole test definition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Definition {
    /// Short id: lower-case letters, digits and `_`.
    pub id: String,
    /// Descriptive name.
    pub name: String,
    /// Shape.
    pub shape: Shape,
    /// Whether it asks for a maximal effort.
    pub maximal: bool,
    /// Id of an easier form to offer instead.
    pub easier: Option<String>,
    /// Whether a stage's label alone names a bout; otherwise it is `stage.bout`.
    pub stage_is_label: bool,
    /// Where its ladder comes from.
    pub ladder: LadderSource,
    /// Course.
    pub course: Course,
    /// Pace.
    pub pace: Pace,
    /// Stages, in running order.
    pub stages: Vec<Stage>,
    /// Rule settings.
    pub rules: Rules,
    /// Rules in words.
    pub rule_notes: Vec<Note>,
    /// Remarks, contradictions and checks in words.
    pub notes: Vec<Note>,
}

impl Definition {
    /// Returns the weakest confidence among the values that make the ladder or the measure.
    pub fn status(&self) -> Confidence {
        let c = &self.course;
        let p = &self.pace;
        let mut all: Vec<Confidence> = self.stages.iter().map(|s| s.confidence).collect();
        fn tag<T>(v: &Option<Sourced<T>>) -> Option<Confidence> {
            v.as_ref().map(|v| v.confidence)
        }
        all.extend(
            [
                tag(&c.leg),
                tag(&c.lines),
                tag(&c.distances),
                tag(&p.legs),
                tag(&p.recovery),
                tag(&p.run),
                tag(&p.turn_allowance),
                tag(&p.advance),
                tag(&p.start_speed),
                tag(&p.increment),
                tag(&p.repeats),
                tag(&p.cycle),
            ]
            .into_iter()
            .flatten(),
        );
        if let LadderSource::Base {
            stop_after: Some(stop),
            ..
        } = &self.ladder
        {
            all.push(stop.confidence);
        }
        all.into_iter().max().unwrap_or(Confidence::FromMemory)
    }
}
