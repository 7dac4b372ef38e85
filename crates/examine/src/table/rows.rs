//! A set of row numbers kept as ranges, so that 200 000 accepted rows take a few bytes.
//! Rows are those a spreadsheet shows. It prints as `2-25, 27`.

use std::fmt;

use serde::{Serialize, Serializer};

/// A set of row numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowSet {
    ranges: Vec<(u32, u32)>,
}

impl RowSet {
    /// Puts a set together from numbers in any order.
    pub fn of(rows: impl IntoIterator<Item = u32>) -> Self {
        let mut rows: Vec<u32> = rows.into_iter().collect();
        rows.sort_unstable();
        rows.dedup();
        let mut set = Self::default();
        for row in rows {
            match set.ranges.last_mut() {
                Some((_, last)) if *last + 1 == row => *last = row,
                _ => set.ranges.push((row, row)),
            }
        }
        set
    }

    /// Returns how many rows there are.
    pub fn count(&self) -> usize {
        self.ranges.iter().map(|(a, z)| (z - a) as usize + 1).sum()
    }

    /// Returns whether there is none.
    pub const fn is_empty(&self) -> bool {
        self.ranges.is_empty()
    }

    /// Returns the first row.
    pub fn first(&self) -> Option<u32> {
        self.ranges.first().map(|r| r.0)
    }

    /// Returns whether a row is in it.
    pub fn contains(&self, row: u32) -> bool {
        let at = self.ranges.partition_point(|r| r.1 < row);
        self.ranges.get(at).is_some_and(|r| r.0 <= row)
    }

    /// Returns every row, ascending.
    pub fn iter(&self) -> impl Iterator<Item = u32> + '_ {
        self.ranges.iter().flat_map(|(a, z)| *a..=*z)
    }
}

impl fmt::Display for RowSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, (a, z)) in self.ranges.iter().enumerate() {
            if i > 0 {
                f.write_str(", ")?;
            }
            if a == z {
                write!(f, "{a}")?
            } else {
                write!(f, "{a}-{z}")?
            }
        }
        Ok(())
    }
}

impl Serialize for RowSet {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_print_count_and_contain() {
        let set = RowSet::of([5, 2, 3, 4, 9, 3]);
        assert_eq!(set.to_string(), "2-5, 9");
        assert_eq!(set.count(), 5);
        assert!(set.contains(4) && !set.contains(6) && set.contains(9));
        assert_eq!(set.iter().collect::<Vec<_>>(), [2, 3, 4, 5, 9]);
    }
}
