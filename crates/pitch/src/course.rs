//! The course from tape readings: two lengths, two diagonals, widths where there are any, by least squares.
//! Derived. The tape's error and the tolerance are common practice or from memory, as tagged below.

/// Standard error of one tape reading, m. Common practice, no source: a tape pulled by two people.
const TAPE_M: f64 = 0.01;
/// Standard error of a width nobody taped, m: laid by eye. Common practice, no source.
const BY_EYE_M: f64 = 0.3;
/// Aim for a line, m. Common practice, no source.
const AIM_M: f64 = 0.02;
/// A reading this many standard errors off belongs to another course.
const BLUNDER: f64 = 4.0;
/// Steps of the search; it converges in three or four.
const STEPS: usize = 25;

/// Readings of a course of two lines. Left and right as seen from the start line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Readings {
    /// Length at the left edge, m.
    pub left_m: f64,
    /// Length at the right edge, m.
    pub right_m: f64,
    /// From the left end of the start line to the right end of the far line, m.
    pub diagonal_a_m: Option<f64>,
    /// From the right end of the start line to the left end of the far line, m.
    pub diagonal_b_m: Option<f64>,
    /// Width at the start line, m.
    pub near_m: Option<f64>,
    /// Width at the far line, m.
    pub far_m: Option<f64>,
    /// What the length should be, m.
    pub nominal_m: f64,
    /// What the width was meant to be, m.
    pub width_m: f64,
}

/// A side of the course.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left, seen from the start line.
    Left,
    /// Right.
    Right,
}

/// The course as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Length at the left edge, m.
    pub left_m: f64,
    /// Length at the right edge, m.
    pub right_m: f64,
    /// Mean length, m.
    pub mean_m: f64,
    /// Standard error of the mean length, m.
    pub standard_error_m: f64,
    /// Mean length against what it should be, parts per million; negative when too short.
    pub error_ppm: f64,
    /// How far the far line is shifted sideways against the start line, m, positive to the right;
    /// nothing without diagonals.
    pub skew_m: Option<f64>,
    /// Largest difference between a reading and the fitted course, m.
    pub largest_residual_m: f64,
    /// Where to move the far line, m, positive away from the start line; only where it is worth it.
    pub moves: Vec<(Side, f64)>,
}

impl Course {
    /// Returns what to do, a sentence for each end of the far line.
    pub fn advice(&self) -> Vec<String> {
        self.moves
            .iter()
            .map(|(side, by)| {
                let end = match side {
                    Side::Left => "left",
                    Side::Right => "right",
                };
                let way = if *by > 0.0 { "out" } else { "in" };
                format!(
                    "move the {end} end of the far line {:.0} cm {way}",
                    by.abs() * 100.0
                )
            })
            .collect()
    }
}

/// Readings that make no course.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CourseFault {
    /// A reading is out of range.
    #[error("{what} is {found} m; allowed is more than 0 and up to 500 m")]
    Value {
        /// Which reading.
        what: &'static str,
        /// What was found, m.
        found: f64,
    },
    /// A reading cannot belong to the others.
    #[error(
        "{what} reads {found:.2} m, and the other readings make it {fitted:.2} m: tape it again, \
         it may be from another corner or a metre off"
    )]
    Blunder {
        /// Which reading.
        what: &'static str,
        /// What was found, m.
        found: f64,
        /// What the others say, m.
        fitted: f64,
    },
}

/// Returns whether two measurements of one length agree: within 0.0003 of it and 1 cm.
///
/// Source: rule books of athletics (from memory): 16 mm on 20 m.
pub fn agree(first_m: f64, second_m: f64) -> bool {
    let length = f64::midpoint(first_m, second_m);
    (first_m - second_m).abs() <= 0.0003 * length + 0.01
}

/// One observed distance between two corners: which reading, value, standard error, corners.
type Observed = (&'static str, f64, f64, usize, usize);

/// Returns the course that fits the readings best.
///
/// # Errors
///
/// [`CourseFault`] names the reading that cannot be.
pub fn course(readings: &Readings) -> Result<Course, CourseFault> {
    let checked = |what: &'static str, found: f64| {
        if found.is_finite() && found > 0.0 && found <= 500.0 {
            Ok(found)
        } else {
            Err(CourseFault::Value { what, found })
        }
    };
    let left = checked("the length at the left", readings.left_m)?;
    let right = checked("the length at the right", readings.right_m)?;
    let nominal = checked("the length it should be", readings.nominal_m)?;
    let width = checked("the width", readings.width_m)?;
    // Corners: 0 near left, 1 near right, 2 far left, 3 far right.
    let mut seen: Vec<Observed> = vec![
        ("the length at the left", left, TAPE_M, 0, 2),
        ("the length at the right", right, TAPE_M, 1, 3),
    ];
    for (what, reading, a, b) in [
        ("the width at the start line", readings.near_m, 0, 1),
        ("the width at the far line", readings.far_m, 2, 3),
    ] {
        match reading {
            Some(found) => seen.push((what, checked(what, found)?, TAPE_M, a, b)),
            None => seen.push((what, width, BY_EYE_M, a, b)),
        }
    }
    let mut diagonals = 0;
    for (what, reading, a, b) in [
        ("the diagonal from near left", readings.diagonal_a_m, 0, 3),
        ("the diagonal from near right", readings.diagonal_b_m, 1, 2),
    ] {
        if let Some(found) = reading {
            seen.push((what, checked(what, found)?, TAPE_M, a, b));
            diagonals += 1;
        }
    }
    if diagonals < 2 {
        // Nothing tells the angle: the lengths stand for themselves.
        return Ok(answer(left, right, nominal, None, 0.0));
    }
    let start = [
        width,
        0.0,
        f64::midpoint(left, right),
        width,
        f64::midpoint(left, right),
    ];
    let (fitted, residuals) = fit(&seen, start);
    let worst = seen
        .iter()
        .zip(&residuals)
        .filter(|((_, _, error, ..), _)| *error <= TAPE_M)
        .max_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()));
    let largest = worst.map_or(0.0, |(_, residual)| residual.abs());
    if largest > BLUNDER * TAPE_M {
        return Err(blunder(&seen, start).unwrap_or(CourseFault::Blunder {
            what: "one of the readings",
            found: left,
            fitted: distance(&fitted, 0, 2),
        }));
    }
    let skew = f64::midpoint(fitted[1], fitted[3] - fitted[0]);
    Ok(answer(
        distance(&fitted, 0, 2),
        distance(&fitted, 1, 3),
        nominal,
        Some(skew),
        largest,
    ))
}

/// Finds the reading without which the others fit.
fn blunder(seen: &[Observed], start: [f64; 5]) -> Option<CourseFault> {
    let taped = (0..seen.len()).filter(|at| seen[*at].2 <= TAPE_M);
    let (left_out, fitted, rest) = taped
        .map(|at| {
            let mut others = seen.to_vec();
            // Left out, but for a hint that keeps the corners where they can be found.
            others[at].2 = 100.0;
            let (fitted, residuals) = fit(&others, start);
            let rest = others
                .iter()
                .zip(&residuals)
                .filter(|((_, _, error, ..), _)| *error <= TAPE_M)
                .map(|(_, residual)| residual.abs())
                .fold(0.0, f64::max);
            (at, fitted, rest)
        })
        .min_by(|a, b| a.2.total_cmp(&b.2))?;
    let (what, found, _, a, b) = seen[left_out];
    (rest <= BLUNDER * TAPE_M).then(|| CourseFault::Blunder {
        what,
        found,
        fitted: distance(&fitted, a, b),
    })
}

fn answer(left: f64, right: f64, nominal: f64, skew: Option<f64>, largest: f64) -> Course {
    let mean = f64::midpoint(left, right);
    let moves = [(Side::Left, nominal - left), (Side::Right, nominal - right)];
    Course {
        left_m: left,
        right_m: right,
        mean_m: mean,
        standard_error_m: TAPE_M / 2.0_f64.sqrt(),
        error_ppm: (mean / nominal - 1.0) * 1e6,
        skew_m: skew,
        largest_residual_m: largest,
        moves: moves
            .into_iter()
            .filter(|(_, by)| by.abs() > AIM_M)
            .collect(),
    }
}

/// The corners: near left at 0, near right on the axis, so that nothing turns.
fn corner(x: &[f64; 5], at: usize) -> (f64, f64) {
    match at {
        0 => (0.0, 0.0),
        1 => (x[0], 0.0),
        2 => (x[1], x[2]),
        _ => (x[3], x[4]),
    }
}

fn distance(x: &[f64; 5], a: usize, b: usize) -> f64 {
    let ((ax, ay), (bx, by)) = (corner(x, a), corner(x, b));
    (bx - ax).hypot(by - ay)
}

/// Fits the corners by Gauss and Newton's method; returns them with reading minus fit.
fn fit(seen: &[Observed], start: [f64; 5]) -> ([f64; 5], Vec<f64>) {
    const NUDGE: f64 = 1e-6;
    let mut x = start;
    for _ in 0..STEPS {
        let mut normal = [[0.0; 6]; 5];
        for (_, value, error, a, b) in seen {
            let weight = 1.0 / (error * error);
            let residual = value - distance(&x, *a, *b);
            let mut slope = [0.0; 5];
            for (at, slope) in slope.iter_mut().enumerate() {
                let mut nudged = x;
                nudged[at] += NUDGE;
                let mut back = x;
                back[at] -= NUDGE;
                *slope = (distance(&nudged, *a, *b) - distance(&back, *a, *b)) / (2.0 * NUDGE);
            }
            for row in 0..5 {
                for column in 0..5 {
                    normal[row][column] += weight * slope[row] * slope[column];
                }
                normal[row][5] += weight * slope[row] * residual;
            }
        }
        let Some(step) = solve(normal) else { break };
        for (x, step) in x.iter_mut().zip(step) {
            *x += step;
        }
        if step.iter().all(|s| s.abs() < 1e-10) {
            break;
        }
    }
    let residuals = seen
        .iter()
        .map(|(_, value, _, a, b)| value - distance(&x, *a, *b))
        .collect();
    (x, residuals)
}

/// Solves five linear equations; nothing when they have no one solution.
fn solve(mut rows: [[f64; 6]; 5]) -> Option<[f64; 5]> {
    for at in 0..5 {
        let best = (at..5).max_by(|a, b| rows[*a][at].abs().total_cmp(&rows[*b][at].abs()))?;
        rows.swap(at, best);
        if rows[at][at].abs() < 1e-12 {
            return None;
        }
        let pivot = rows[at];
        for (other, row) in rows.iter_mut().enumerate() {
            if other != at {
                let share = row[at] / pivot[at];
                for (value, of_pivot) in row.iter_mut().zip(pivot) {
                    *value -= share * of_pivot;
                }
            }
        }
    }
    let mut x = [0.0; 5];
    for (at, value) in x.iter_mut().enumerate() {
        *value = rows[at][5] / rows[at][at];
    }
    Some(x)
}
