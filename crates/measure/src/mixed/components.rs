//! Finds levels that share no row with one another, so that each lot is solved alone.
//! Nested factors fall apart into their top levels; crossed ones stay together.

use super::Structure;
use super::factors::Factor;

/// A lot of levels that hang together.
#[derive(Debug, Clone, Default)]
pub(super) struct Lot {
    /// Levels of the leading factor.
    pub(super) groups: Vec<u32>,
    /// Other levels, as (factor, level).
    pub(super) rest: Vec<(usize, u32)>,
}

struct Union(Vec<usize>);

impl Union {
    fn root(&mut self, mut node: usize) -> usize {
        while self.0[node] != node {
            self.0[node] = self.0[self.0[node]];
            node = self.0[node];
        }
        node
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}

/// Returns the lots; with one factor there is a single lot, whose groups are apart anyway.
pub(super) fn lots(factors: &[Factor], structure: Structure) -> Vec<Lot> {
    let mut base = vec![0];
    for factor in factors {
        base.push(base[base.len() - 1] + factor.shape.labels.len());
    }
    let total = base[factors.len()];
    let mut union = Union((0..total).collect());
    if structure == Structure::OneBlock || factors.len() == 1 {
        (1..total).for_each(|node| union.join(0, node));
    } else {
        for row in 0..factors[0].index.len() {
            let lead = factors[0].index[row] as usize;
            for (f, factor) in factors.iter().enumerate().skip(1) {
                union.join(lead, base[f] + factor.index[row] as usize);
            }
        }
    }
    let mut number = vec![usize::MAX; total];
    let mut lots: Vec<Lot> = Vec::new();
    for (f, factor) in factors.iter().enumerate() {
        for level in 0..factor.shape.labels.len() {
            let root = union.root(base[f] + level);
            if number[root] == usize::MAX {
                number[root] = lots.len();
                lots.push(Lot::default());
            }
            let lot = &mut lots[number[root]];
            if f == 0 {
                lot.groups.push(level as u32);
            } else {
                lot.rest.push((f, level as u32));
            }
        }
    }
    lots
}
