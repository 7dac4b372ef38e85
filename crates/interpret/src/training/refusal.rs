//! Why no training speed or group is given, in words.
//! A refusal is an answer: it says what was found, what holds, and what to do next.

use thiserror::Error;

use crate::InterpretError;

/// Why no training speed, distance or group is given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TrainingRefusal {
    /// The test's speed has no rule.
    #[error(
        "the final speed of `{test}` has no rule for training; take the result of a test that has \
         one, or say with a factor of your own what it is worth in a straight line"
    )]
    NoRule {
        /// Id of the test.
        test: String,
    },
    /// The speed was reached after rests.
    #[error(
        "the final speed of `{test}` is reached after rests and gives no speed for running without \
         them; enter a factor of your own from it to maximal aerobic speed, or take another test"
    )]
    AfterRests {
        /// Id of the test.
        test: String,
    },
    /// A shuttle speed is asked to be something else.
    #[error(
        "the final speed of `{test}` is a shuttle speed, below maximal aerobic speed because of the \
         turns; it is offered as shuttle intervals over {lane_m} m lanes at 100 % of itself, found \
         {found}; take that, or enter a factor of your own"
    )]
    ShuttlesOnly {
        /// Id of the test.
        test: String,
        /// The test's own lane, m.
        lane_m: f64,
        /// What was asked for.
        found: String,
    },
    /// Both corrections for turns are asked for.
    #[error(
        "a straight-line factor ({factor}) and a loss per turn ({turn_s} s) are both given; each \
         stands for the turns, so they would be counted twice: give one of them"
    )]
    BothCorrections {
        /// The factor.
        factor: f64,
        /// The loss, s.
        turn_s: f64,
    },
    /// A loss per turn is given for the lane on which the speed was reached.
    #[error(
        "a loss per turn ({turn_s} s) is given for {lane_m} m lanes, but the final speed of \
         `{test}` already holds the turns of such lanes: leave the loss out, or take another lane"
    )]
    TurnsAlreadyIn {
        /// Id of the test.
        test: String,
        /// The lane, m.
        lane_m: f64,
        /// The loss, s.
        turn_s: f64,
    },
    /// The straight-line factor is used where it was not measured.
    #[error(
        "a straight-line factor ({factor}) is given for {found}; it was measured for straight runs \
         from a final speed over 40 m lanes: leave it out"
    )]
    FactorElsewhere {
        /// The factor.
        factor: f64,
        /// For what it was given.
        found: String,
    },
    /// Too fast for the rule.
    #[error(
        "{percent} % of the final speed is asked for; the rule fails above 110 %: take a lower \
         percentage, or a sprint speed and a share of the reserve"
    )]
    TooFast {
        /// Percentage asked for.
        percent: f64,
    },
    /// The lane is too short.
    #[error("the lane is {lane_m} m; the rule for turns fails under 10 m: take a longer lane")]
    LaneTooShort {
        /// Length found, m.
        lane_m: f64,
    },
    /// The turns take all of the time.
    #[error(
        "the turns leave no time to run in {work_s} s over {lane_m} m lanes; take a longer lane, a \
         longer run or a smaller loss per turn"
    )]
    NoTimeLeft {
        /// Length of the run, s.
        work_s: f64,
        /// Length of the lane, m.
        lane_m: f64,
    },
    /// A share of the reserve without a sprint speed.
    #[error(
        "a share of the speed reserve needs a maximal sprint speed, and there is none; add the \
         column mss_kmh, or give a percentage"
    )]
    NoSprintSpeed,
    /// A share of the reserve from something that is not maximal aerobic speed.
    #[error(
        "a share of the speed reserve needs maximal aerobic speed; the final speed of `{test}` is \
         not that: give a percentage, or a factor of your own"
    )]
    NoReserve {
        /// Id of the test.
        test: String,
    },
    /// The format has no row.
    #[error(
        "there is no interval format `{found}` in the table; it has {known}; for other times give \
         work:rest in seconds and a percentage"
    )]
    UnknownFormat {
        /// What was found.
        found: String,
        /// The formats there are.
        known: String,
    },
    /// The format is run at maximal speed.
    #[error(
        "`{format}` is run as fast as possible, so there is no speed to prescribe; give a \
         percentage, or take another format"
    )]
    Maximal {
        /// The format.
        format: String,
    },
    /// No percentage is known for the pair of format and basis.
    #[error(
        "the table has no intensity for `{format}` from this kind of speed; give a percentage or a \
         share of the reserve"
    )]
    NoIntensity {
        /// The format.
        format: String,
    },
    /// Bands narrower than the error.
    #[error(
        "bands of {found} km/h are narrower than one typical error ({error} km/h): they would sort \
         people by chance; allowed are {error} km/h or more"
    )]
    BandTooNarrow {
        /// Width asked for, km/h.
        found: String,
        /// Typical error, km/h.
        error: String,
    },
    /// Nobody can be grouped.
    #[error("there is nobody to group: {why}")]
    Nobody {
        /// Why, and what to do.
        why: String,
    },
    /// A move names nobody, or more than one.
    #[error("a move names `{name}`, who {what}; the names are {known}")]
    MoveWho {
        /// Name found.
        name: String,
        /// What is wrong with it.
        what: &'static str,
        /// The names there are.
        known: String,
    },
    /// A move goes to a group that is not there.
    #[error("a move puts `{name}` into group {group}; the groups are {known}")]
    MoveWhere {
        /// Name found.
        name: String,
        /// Group found.
        group: usize,
        /// The groups there are.
        known: String,
    },
    /// A value is out of range.
    #[error(transparent)]
    Value(#[from] InterpretError),
}
