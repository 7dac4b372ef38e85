//! Invented data of known make, the same everywhere: numbers from splitmix64 (Steele, Lea & Flood 2014).

use std::fmt::Write as _;
use std::path::Path;

use serde_json::{Value, json};

use crate::Fault;

/// Athletes and tests each of the mixed model.
pub const ATHLETES: usize = 50_000;
pub const TESTS: usize = 20;
/// People of the reference.
pub const PEOPLE: usize = 1_000_000;
/// People and trials of the study.
pub const STUDIED: usize = 100_000;
pub const TRIALS: usize = 3;

/// A generator of normal numbers.
pub struct Numbers(u64);

impl Numbers {
    pub fn from(seed: u64) -> Self {
        Self(seed)
    }

    pub fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Returns a number of mean 0 and SD 1 (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.even().max(1e-300).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// Writes the files of all jobs.
pub fn make(folder: &Path) -> Result<Value, Fault> {
    std::fs::create_dir_all(folder)?;
    std::fs::write(folder.join("mixed.csv"), mixed()?)?;
    std::fs::write(folder.join("lms.csv"), lms()?)?;
    std::fs::write(folder.join("study.csv"), study()?)?;
    Ok(json!({ "made": ["mixed.csv", "lms.csv", "study.csv"] }))
}

/// A level and a trend for each athlete, and a result for each week.
fn mixed() -> Result<String, Fault> {
    let mut numbers = Numbers::from(1);
    let mut text = String::from("athlete,week,value\n");
    for athlete in 0..ATHLETES {
        let level = 7.2 + 0.2 * numbers.normal();
        let trend = 0.004 + 0.003 * numbers.normal();
        for week in 0..TESTS {
            let value = level + trend * week as f64 + 0.07 * numbers.normal();
            writeln!(text, "{athlete},{week},{value:.6}")?;
        }
    }
    Ok(text)
}

/// Values that rise, spread and lose their skewness with age, in whole months and metres.
fn lms() -> Result<String, Fault> {
    let mut numbers = Numbers::from(2);
    let mut text = String::from("age,value\n");
    for _ in 0..PEOPLE {
        let age = 9.0 + (8.0 * 12.0 * numbers.even()).floor() / 12.0;
        let x = (age - 13.0) / 4.0;
        let (l, m, s) = (
            0.4 + 0.3 * x,
            950.0 + 420.0 * x - 60.0 * x * x,
            (-1.5 - 0.1 * x).exp(),
        );
        let z = numbers.normal();
        let value = (m * (1.0 + l * s * z).max(0.05).powf(1.0 / l))
            .round()
            .max(20.0);
        writeln!(text, "{age:.4},{value}")?;
    }
    Ok(text)
}

fn study() -> Result<String, Fault> {
    let mut numbers = Numbers::from(3);
    let mut text = String::from("person,trial,value\n");
    for person in 0..STUDIED {
        let level = 1500.0 + 200.0 * numbers.normal();
        for trial in 0..TRIALS {
            let value = level + 20.0 * trial as f64 + 90.0 * numbers.normal();
            writeln!(text, "{person},{trial},{value:.3}")?;
        }
    }
    Ok(text)
}
