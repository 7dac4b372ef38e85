//! The table of bouts per stage that a sheet itself implies, when no known ladder fits it.
//! Needs labels with distances or counts. Finds competing tables of a test that nobody wrote down.

use std::collections::BTreeMap;

/// A table that a sheet implies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Implied {
    /// Legs before each stage that rows show: stage and legs.
    pub before: Vec<(u16, u32)>,
    /// Bouts in each stage where the next stage is shown too.
    pub bouts: Vec<(u16, u32)>,
    /// Rows that fit it.
    pub fits: usize,
    /// Rows looked at.
    pub rows: usize,
}

/// Fewest rows and fewest stages with two rows each for a table to be believed.
const ENOUGH_ROWS: usize = 8;
const ENOUGH_STAGES: usize = 3;

/// Returns the implied table of rows given as stage, bout in stage and total legs.
///
/// In a table every row of a stage has the same difference between its total and its bout.
pub(crate) fn imply(rows: &[(u16, u16, u32)]) -> Option<Implied> {
    if rows.len() < ENOUGH_ROWS {
        return None;
    }
    let mut stages: BTreeMap<u16, BTreeMap<i64, usize>> = BTreeMap::new();
    for (stage, bout, total) in rows {
        let before = i64::from(*total) - i64::from(*bout);
        *stages.entry(*stage).or_default().entry(before).or_default() += 1;
    }
    let mut before: Vec<(u16, u32)> = Vec::new();
    let (mut fits, mut backed) = (0, 0);
    for (stage, votes) in &stages {
        let (value, n) = votes.iter().max_by_key(|(_, n)| **n)?;
        before.push((*stage, u32::try_from(*value).ok()?));
        fits += n;
        backed += usize::from(*n >= 2);
    }
    let rising = before.windows(2).all(|w| matches!(w, [a, b] if b.1 > a.1));
    if !rising || backed < ENOUGH_STAGES || fits * 10 < rows.len() * 9 {
        return None;
    }
    let bouts = before
        .windows(2)
        .filter_map(|w| match w {
            [a, b] if b.0 == a.0 + 1 => Some((a.0, b.1 - a.1)),
            _ => None,
        })
        .collect();
    Some(Implied {
        before,
        bouts,
        fits,
        rows: rows.len(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_with_eight_then_nine_bouts_is_found() {
        let start = [0_u32, 8, 16, 25];
        let mut rows = Vec::new();
        for (i, before) in start.iter().enumerate() {
            for bout in [2_u16, 5, 7] {
                rows.push((i as u16 + 1, bout, before + u32::from(bout)));
            }
        }
        let implied = imply(&rows).expect("a table");
        assert_eq!(implied.bouts, [(1, 8), (2, 8), (3, 9)]);
        assert_eq!((implied.fits, implied.rows), (12, 12));
        // Totals that have nothing to do with the labels imply nothing.
        let noise: Vec<_> = rows
            .iter()
            .enumerate()
            .map(|(i, r)| (r.0, r.1, 7 * i as u32 % 50 + 20))
            .collect();
        assert_eq!(imply(&noise), None);
    }
}
