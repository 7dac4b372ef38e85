//! Sums the rows up once, so that a deviance costs a pass over groups, not over rows.
//! Refuses crossed data that would need a very large dense block.

use super::components::Lot;
use super::factors::{Factor, Shape};
use super::guard::fault;
use super::orthogonal::Orthogonal;
use crate::MeasureError;

/// Most columns of a dense block of effects that cannot be kept apart.
pub(super) const DENSE_LIMIT: usize = 2000;
/// Most numbers in all dense blocks together (400 MB).
const DENSE_TOTAL: usize = 50_000_000;

/// A level outside the leading factor and its place in the dense block.
#[derive(Debug, Clone)]
pub(super) struct Rest {
    pub(super) factor: usize,
    pub(super) level: u32,
    pub(super) offset: usize,
}

/// Sums of one lot.
#[derive(Debug, Clone)]
pub(super) struct Component {
    pub(super) groups: Vec<u32>,
    pub(super) rest: Vec<Rest>,
    /// Columns of the dense block.
    pub(super) m: usize,
    /// Rest by rest, m x m.
    pub(super) zz: Vec<f64>,
    /// Rest by fixed columns and response, m x width.
    pub(super) zc: Vec<f64>,
}

/// Where a group meets a level of another factor.
#[derive(Debug, Clone)]
pub(super) struct Meeting {
    /// Position in the rest of the component.
    pub(super) rest: u32,
    /// Start of its q x q block in `meeting_values`.
    pub(super) at: usize,
}

/// All sums over rows.
#[derive(Debug, Clone)]
pub(super) struct Stats {
    pub(super) n: usize,
    /// Fixed columns and the response, side by side: p + 1.
    pub(super) width: usize,
    /// Sums of products of these, width x width.
    pub(super) gram: Vec<f64>,
    /// Leading factor by itself, q x q a level.
    pub(super) lead_zz: Vec<f64>,
    /// Leading factor by fixed columns and response, q x width a level.
    pub(super) lead_zc: Vec<f64>,
    /// Meetings of level g are `meeting_start[g]..meeting_start[g + 1]`.
    pub(super) meeting_start: Vec<usize>,
    pub(super) meetings: Vec<Meeting>,
    pub(super) meeting_values: Vec<f64>,
    pub(super) components: Vec<Component>,
    pub(super) shapes: Vec<Shape>,
}

/// Adds w a' b to a block of `out`, whose rows are `stride` long.
fn add_outer(out: &mut [f64], stride: usize, a: &[f64], b: &[f64], w: f64) {
    for (i, &x) in a.iter().enumerate() {
        let row = &mut out[i * stride..i * stride + b.len()];
        for (sum, &y) in row.iter_mut().zip(b) {
            *sum += w * x * y;
        }
    }
}

/// Sums up the rows.
pub(super) fn sum(
    factors: Vec<Factor>,
    lots: Vec<Lot>,
    fixed: &Orthogonal,
    w: &[f64],
) -> Result<Stats, MeasureError> {
    let (n, width) = (w.len(), fixed.q.len() + 1);
    let (q, levels) = (factors[0].shape.q, factors[0].shape.labels.len());
    let (components, place) = empty(&factors, lots, width)?;
    let mut stats = Stats {
        n,
        width,
        gram: vec![0.0; width * width],
        lead_zz: vec![0.0; levels * q * q],
        lead_zc: vec![0.0; levels * q * width],
        meeting_start: vec![0; levels + 1],
        meetings: Vec::new(),
        meeting_values: Vec::new(),
        components,
        shapes: Vec::new(),
    };
    let mut line = vec![0.0; width];
    for row in 0..n {
        for (value, axis) in line.iter_mut().zip(&fixed.q) {
            *value = axis[row];
        }
        line[width - 1] = fixed.residual[row];
        add_outer(&mut stats.gram, width, &line, &line, w[row]);
        let g = factors[0].index[row] as usize;
        let z = &factors[0].z[row * q..(row + 1) * q];
        add_outer(&mut stats.lead_zz[g * q * q..], q, z, z, w[row]);
        add_outer(&mut stats.lead_zc[g * q * width..], width, z, &line, w[row]);
        add_rest(&mut stats.components, &factors, &place, row, &line, w[row]);
    }
    add_meetings(&mut stats, &factors, &place, w);
    stats.shapes = factors.into_iter().map(|f| f.shape).collect();
    Ok(stats)
}

/// For each factor but the first and each level: component and position in its rest.
type Places = Vec<Vec<(u32, u32)>>;

fn empty(
    factors: &[Factor],
    lots: Vec<Lot>,
    width: usize,
) -> Result<(Vec<Component>, Places), MeasureError> {
    let mut place: Places = factors
        .iter()
        .map(|f| vec![(0, 0); f.shape.labels.len()])
        .collect();
    let mut components = Vec::with_capacity(lots.len());
    let mut total = 0;
    for lot in lots {
        let mut m = 0;
        let mut rest = Vec::with_capacity(lot.rest.len());
        for (factor, level) in lot.rest {
            place[factor][level as usize] = (components.len() as u32, rest.len() as u32);
            rest.push(Rest {
                factor,
                level,
                offset: m,
            });
            m += factors[factor].shape.q;
        }
        total += m * m;
        if m > DENSE_LIMIT || total > DENSE_TOTAL {
            return Err(too_wide(m, total));
        }
        components.push(Component {
            groups: lot.groups,
            rest,
            m,
            zz: vec![0.0; m * m],
            zc: vec![0.0; m * width],
        });
    }
    Ok((components, place))
}

fn too_wide(m: usize, total: usize) -> MeasureError {
    fault(
        "crossed random terms",
        format!(
            "{m} effects besides the largest factor in one connected lot, {total} numbers in all"
        ),
        format!("{DENSE_LIMIT} such effects, {DENSE_TOTAL} numbers"),
        "take the smaller crossed factor as fixed or leave it out, or fit a part of the data",
    )
}

fn add_rest(
    components: &mut [Component],
    factors: &[Factor],
    place: &Places,
    row: usize,
    line: &[f64],
    w: f64,
) {
    for (f, factor) in factors.iter().enumerate().skip(1) {
        let (c, i) = place[f][factor.index[row] as usize];
        let component = &mut components[c as usize];
        let (m, q) = (component.m, factor.shape.q);
        let at = component.rest[i as usize].offset;
        let z = &factor.z[row * q..(row + 1) * q];
        add_outer(&mut component.zc[at * line.len()..], line.len(), z, line, w);
        for (f2, other) in factors.iter().enumerate().skip(1) {
            let (_, j) = place[f2][other.index[row] as usize];
            let at2 = component.rest[j as usize].offset;
            let q2 = other.shape.q;
            let z2 = &other.z[row * q2..(row + 1) * q2];
            add_outer(&mut component.zz[at * m + at2..], m, z, z2, w);
        }
    }
}

fn add_meetings(stats: &mut Stats, factors: &[Factor], place: &Places, w: &[f64]) {
    let lead = &factors[0];
    let q = lead.shape.q;
    let mut keys: Vec<(u32, u32, u32, u32)> = Vec::new();
    for (f, factor) in factors.iter().enumerate().skip(1) {
        for (row, (&g, &level)) in lead.index.iter().zip(&factor.index).enumerate() {
            keys.push((g, place[f][level as usize].1, f as u32, row as u32));
        }
    }
    keys.sort_unstable();
    let mut last = None;
    for (g, rest, f, row) in keys {
        let (factor, row) = (&factors[f as usize], row as usize);
        let q2 = factor.shape.q;
        if last != Some((g, rest)) {
            last = Some((g, rest));
            let at = stats.meeting_values.len();
            stats.meetings.push(Meeting { rest, at });
            stats.meeting_values.resize(at + q * q2, 0.0);
            stats.meeting_start[g as usize + 1] += 1;
        }
        let at = stats.meetings[stats.meetings.len() - 1].at;
        let (z, z2) = (&lead.z[row * q..][..q], &factor.z[row * q2..][..q2]);
        add_outer(&mut stats.meeting_values[at..], q2, z, z2, w[row]);
    }
    for g in 1..stats.meeting_start.len() {
        stats.meeting_start[g] += stats.meeting_start[g - 1];
    }
}
