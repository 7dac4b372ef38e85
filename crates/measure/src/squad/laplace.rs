//! Logistic model with random assessors and random events: mode and Laplace likelihood.
//! Events are taken out first, so only an assessors x assessors system is solved.
//! Formula: penalised iteratively reweighted least squares (textbook; as lme4 with nAGQ = 1).

use crate::spd::Factor;

/// Newton turns for the mode.
const TURNS: usize = 100;

/// Calls as numbered assessors and events, sorted by event.
pub(crate) struct Calls {
    pub assessors: usize,
    pub events: usize,
    /// Assessor, event, call (0 or 1).
    pub rows: Vec<(usize, usize, f64)>,
}

/// Log-odds common to all, and the two SDs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Setting {
    pub mean: f64,
    pub assessor_sd: f64,
    pub event_sd: f64,
}

/// The likeliest effects in units of their SDs.
pub(crate) struct Mode {
    pub assessors: Vec<f64>,
    pub events: Vec<f64>,
    /// Laplace log-likelihood.
    pub log_likelihood: f64,
}

/// Second derivatives with events taken out.
struct Reduced {
    /// Assessors (and the mean, when asked for, as the last row).
    system: Vec<f64>,
    size: usize,
    /// Slopes after taking events out.
    right: Vec<f64>,
    /// Own second derivative of each event.
    own: Vec<f64>,
    log_own: f64,
}

impl Calls {
    fn odds(&self, s: &Setting, a: &[f64], e: &[f64], row: (usize, usize, f64)) -> f64 {
        s.mean + s.assessor_sd * a[row.0] + s.event_sd * e[row.1]
    }

    /// Log-likelihood less half the squared effects.
    fn penalised(&self, s: &Setting, a: &[f64], e: &[f64]) -> f64 {
        let calls: f64 = self
            .rows
            .iter()
            .map(|&row| {
                let odds = self.odds(s, a, e, row);
                row.2 * odds - odds.max(0.0) - (-odds.abs()).exp().ln_1p()
            })
            .sum();
        let squares: f64 = a.iter().chain(e).map(|u| u * u).sum();
        calls - 0.5 * squares
    }

    /// Finds the mode; none when a step cannot be solved or the turns run out.
    pub fn mode(&self, s: &Setting) -> Option<Mode> {
        let (mut a, mut e) = (vec![0.0; self.assessors], vec![0.0; self.events]);
        let mut value = self.penalised(s, &a, &e);
        for _ in 0..TURNS {
            let reduced = self.reduced(s, &a, &e, false);
            let factor = Factor::new(&reduced.system, reduced.size)?;
            let step_a = factor.solve(&reduced.right);
            let step_e = self.event_steps(s, &a, &e, &reduced.own, &step_a);
            let largest = step_a
                .iter()
                .chain(&step_e)
                .fold(0.0_f64, |m, v| m.max(v.abs()));
            if largest < 1e-10 {
                let log_determinant = reduced.log_own + factor.log_determinant();
                return Some(Mode {
                    assessors: a,
                    events: e,
                    log_likelihood: value - 0.5 * log_determinant,
                });
            }
            let mut part = 1.0;
            loop {
                let moved = |u: &[f64], step: &[f64]| -> Vec<f64> {
                    u.iter().zip(step).map(|(u, s)| u + part * s).collect()
                };
                let (next_a, next_e) = (moved(&a, &step_a), moved(&e, &step_e));
                let next = self.penalised(s, &next_a, &next_e);
                if next >= value - 1e-12 * value.abs().max(1.0) || part < 1e-6 {
                    (a, e, value) = (next_a, next_e, next);
                    break;
                }
                part /= 2.0;
            }
        }
        None
    }

    /// Standard deviation of each assessor's effect (in its own unit) around the mode: without
    /// and with the uncertainty of the mean.
    pub fn deviations(&self, s: &Setting, mode: &Mode) -> Option<Vec<(f64, f64)>> {
        let (a, e) = (&mode.assessors, &mode.events);
        let alone = self.reduced(s, a, e, false);
        let joint = self.reduced(s, a, e, true);
        let alone = Factor::new(&alone.system, alone.size)?;
        let joint = Factor::new(&joint.system, joint.size)?;
        let sd = |factor: &Factor, i| s.assessor_sd * factor.inverse_diagonal(i).max(0.0).sqrt();
        Some(
            (0..self.assessors)
                .map(|i| (sd(&alone, i), sd(&joint, i)))
                .collect(),
        )
    }

    fn reduced(&self, s: &Setting, a: &[f64], e: &[f64], with_mean: bool) -> Reduced {
        let size = self.assessors + usize::from(with_mean);
        let mut system = vec![0.0; size * size];
        let mut right = vec![0.0; size];
        for i in 0..self.assessors {
            system[i * size + i] = 1.0;
            right[i] = -a[i];
        }
        let (mut own, mut log_own) = (vec![0.0; self.events], 0.0);
        for group in self.rows.chunk_by(|x, y| x.1 == y.1) {
            let event = group[0].1;
            let (mut event_own, mut event_right) = (1.0, -e[event]);
            let mut links: Vec<(usize, f64)> = Vec::with_capacity(group.len() + 1);
            for &row in group {
                let p = 1.0 / (1.0 + (-self.odds(s, a, e, row)).exp());
                let (w, gap) = (p * (1.0 - p), row.2 - p);
                let i = row.0;
                system[i * size + i] += s.assessor_sd * s.assessor_sd * w;
                right[i] += s.assessor_sd * gap;
                event_own += s.event_sd * s.event_sd * w;
                event_right += s.event_sd * gap;
                links.push((i, s.assessor_sd * s.event_sd * w));
                if with_mean {
                    let last = size - 1;
                    system[last * size + last] += w;
                    system[last * size + i] += s.assessor_sd * w;
                    system[i * size + last] += s.assessor_sd * w;
                    links.push((last, s.event_sd * w));
                }
            }
            for &(i, x) in &links {
                right[i] -= x * event_right / event_own;
                for &(j, y) in &links {
                    system[i * size + j] -= x * y / event_own;
                }
            }
            own[event] = event_own;
            log_own += event_own.ln();
        }
        Reduced {
            system,
            size,
            right,
            own,
            log_own,
        }
    }

    fn event_steps(
        &self,
        s: &Setting,
        a: &[f64],
        e: &[f64],
        own: &[f64],
        step_a: &[f64],
    ) -> Vec<f64> {
        let mut steps: Vec<f64> = e.iter().map(|u| -u).collect();
        for &row in &self.rows {
            let p = 1.0 / (1.0 + (-self.odds(s, a, e, row)).exp());
            let w = p * (1.0 - p);
            steps[row.1] += s.event_sd * (row.2 - p - s.assessor_sd * w * step_a[row.0]);
        }
        steps
            .iter()
            .zip(own)
            .map(|(step, own)| step / own)
            .collect()
    }
}
