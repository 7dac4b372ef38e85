//! File sizes: small files, one topic each. Prints median and 95th percentile.

use crate::run::{Outcome, files, root};

/// Most lines of a file; at this it is time to split.
const MOST: usize = 800;
/// The median and the 95th percentile stay below these.
const MEDIAN: usize = 150;
const P95: usize = 500;

/// Checks every Rust file that is not a test.
pub fn check() -> Outcome {
    let mut sizes = Vec::new();
    for name in files()?
        .into_iter()
        .filter(|n| n.ends_with(".rs") && !n.contains("/tests/"))
    {
        let text =
            std::fs::read_to_string(root().join(&name)).map_err(|e| format!("{name}: {e}"))?;
        sizes.push((text.lines().count(), name));
    }
    let report = report(&mut sizes)?;
    println!("── sizes: {report}");
    Ok(())
}

/// Returns the report of a list of sizes, or what is too large.
fn report(sizes: &mut [(usize, String)]) -> Result<String, String> {
    sizes.sort();
    let at = |share: f64| {
        let last = sizes.len().saturating_sub(1) as f64;
        sizes
            .get((last * share).round() as usize)
            .map_or(0, |(n, _)| *n)
    };
    let (median, p95) = (at(0.5), at(0.95));
    let words = format!(
        "{} files, median {median}, 95th percentile {p95}, largest {}",
        sizes.len(),
        sizes
            .last()
            .map_or_else(String::new, |(n, name)| format!("{n} ({name})"))
    );
    let large: Vec<&String> = sizes
        .iter()
        .filter(|(n, _)| *n > MOST)
        .map(|(_, n)| n)
        .collect();
    if large.is_empty() && median <= MEDIAN && p95 <= P95 {
        return Ok(words);
    }
    Err(format!(
        "file sizes: {words}; allowed are median {MEDIAN}, 95th percentile {P95}, {MOST} at most; \
         split {large:?}"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_too_large_is_named() {
        let mut fine = vec![(10, "a.rs".to_owned()), (20, "b.rs".to_owned())];
        assert!(report(&mut fine).is_ok());
        let mut large = vec![(10, "a.rs".to_owned()), (801, "b.rs".to_owned())];
        assert!(report(&mut large).expect_err("too large").contains("b.rs"));
    }
}
