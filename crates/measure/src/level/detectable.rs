//! When a steady gain will show: the chance, at each planned test, that the rise is then seen.
//! Works with Gaussian errors; rounding to whole bouts enters as extra variance.
//! Formula: docs/methods/level.md, "When a gain shows".

use super::model::{Model, Normal};
use super::reading::Reading;
use super::series::{Observation, Outcome};
use super::tail::Tails;
use crate::{MeasureError, check, dist};

/// A plan of tests, and the gain it should show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Position of the test in the model.
    pub test: usize,
    /// Weeks from now to the first planned test, and between tests; above 0.
    pub every_weeks: f64,
    /// Width of one score on the scale of the outcome; 0 for exact outcomes.
    pub score_width: f64,
    /// True gain per week from now on, above 0. For a loss give its size.
    pub weekly_gain: f64,
    /// Smallest worthwhile change, 0 or more.
    pub worthwhile: f64,
    /// A rise counts as seen once its chance reaches this, such as 0.90.
    pub certainty: f64,
    /// The wanted probability of seeing it, such as 0.80.
    pub probability: f64,
    /// Tests after which to stop looking, 1 to 1000.
    pub most_tests: usize,
}

/// One planned test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planned {
    /// Weeks from now.
    pub weeks: f64,
    /// Probability that the rise since now counts as seen after this test.
    pub probability: f64,
}

/// When a gain shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Detectable {
    /// Each planned test up to the answer, or up to the last allowed.
    pub tests: Vec<Planned>,
    /// Weeks from now to the first test that shows it with the wanted probability; none where no
    /// allowed number of tests does.
    pub weeks: Option<f64>,
}

/// Two levels, now and at a later date: gains and covariances of their estimate.
struct Pair {
    /// Model covariance: now-now, now-later, later-later.
    model: [f64; 3],
    /// Covariance of the errors when the truth is a straight line.
    truth: [f64; 3],
    /// Mean error when the truth is a straight line.
    bias: [f64; 2],
}

/// Returns when a steady gain will be detectable by somebody whose level now is `now`.
///
/// The model reads the planned results as it reads all others, as a random walk, while the truth
/// is a straight line.
pub fn detectable(model: &Model, now: Normal, plan: &Plan) -> Result<Detectable, MeasureError> {
    plan.checked()?;
    let now = now.checked("level now", "SD of the level now")?;
    let next = Observation::plain(0.0, plan.test, Outcome::Exact(0.0));
    let reading = Reading::of(model, &next)?;
    let rounding = plan.score_width * plan.score_width / 12.0;
    let noise = (reading.variance_at(now.mean) + rounding) / (reading.slope * reading.slope);
    let noise = check::positive("variance of a planned result", noise)?;
    let known = now.sd * now.sd;
    let mut pair = Pair {
        model: [known; 3],
        truth: [known; 3],
        bias: [0.0; 2],
    };
    let z = dist::normal_quantile(plan.certainty)?;
    let step = model.drift * plan.every_weeks;
    let gain = plan.weekly_gain * plan.every_weeks;
    let most = plan.most_tests as f64;
    check::result("the plan", plan.every_weeks * most)?;
    check::result(
        "the plan",
        (gain * most).abs() + step * most + known + noise,
    )?;
    let mut tests = Vec::new();
    for count in 1..=plan.most_tests {
        pair.walk(step, gain);
        pair.see(noise);
        let probability = pair.seen(gain * count as f64, plan.worthwhile, z);
        let weeks = plan.every_weeks * count as f64;
        tests.push(Planned { weeks, probability });
        if probability >= plan.probability {
            return Ok(Detectable {
                tests,
                weeks: Some(weeks),
            });
        }
    }
    Ok(Detectable { tests, weeks: None })
}

impl Plan {
    fn checked(&self) -> Result<(), MeasureError> {
        let fraction = |p: f64| p > 0.0 && p < 1.0;
        let words = "a fraction between 0 and 1, such as 0.90";
        check::positive("weeks between planned tests", self.every_weeks)?;
        check::not_negative("width of a score", self.score_width)?;
        check::positive("gain per week", self.weekly_gain)?;
        check::not_negative("smallest worthwhile change", self.worthwhile)?;
        check::within(
            "certainty of a rise",
            self.certainty,
            fraction(self.certainty),
            words,
        )?;
        check::within(
            "probability wanted",
            self.probability,
            fraction(self.probability),
            words,
        )?;
        check::within(
            "number of planned tests",
            self.most_tests as f64,
            (1..=1000).contains(&self.most_tests),
            "1 to 1000",
        )?;
        Ok(())
    }
}

impl Pair {
    /// The model expects a random walk; the truth gains, and nothing else.
    fn walk(&mut self, step: f64, gain: f64) {
        self.model[2] += step;
        self.bias[1] -= gain;
    }

    /// Brings in a result of the later level.
    fn see(&mut self, noise: f64) {
        let [aa, ab, bb] = self.model;
        let (k0, k1) = (ab / (bb + noise), bb / (bb + noise));
        self.model = [aa - k0 * ab, ab - k0 * bb, bb * noise / (bb + noise)];
        // Error after = error before - gain x (error of the later level) + gain x noise.
        let [e0, e1] = self.bias;
        self.bias = [e0 - k0 * e1, e1 - k1 * e1];
        let [s, t, u] = self.truth;
        self.truth = [
            s - 2.0 * k0 * t + k0 * k0 * (u + noise),
            t - k0 * u - k1 * t + k0 * k1 * (u + noise),
            (1.0 - k1) * (1.0 - k1) * u + k1 * k1 * noise,
        ];
    }

    /// Returns the probability that the chance of a rise beyond `worthwhile` reaches that of `z`.
    fn seen(&self, gained: f64, worthwhile: f64, z: f64) -> f64 {
        let sd = |v: [f64; 3]| (v[0] + v[2] - 2.0 * v[1]).max(0.0).sqrt();
        let short = worthwhile + z * sd(self.model) - (gained + self.bias[1] - self.bias[0]);
        let spread = sd(self.truth);
        if spread > 0.0 {
            Tails::get().above((short / spread).clamp(-40.0, 40.0))
        } else if short <= 0.0 {
            1.0
        } else {
            0.0
        }
    }
}
