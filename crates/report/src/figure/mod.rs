//! Figures as SVG, each with a text alternative.
//! Must not compute statistics beyond median and quartiles, and must not rely on hue alone.
//! Look: `chalk and clay`; shape and word carry the state, colour only repeats it.

mod agreement;
mod axis;
mod centiles;
mod change;
mod cut;
mod distribution;
mod history;
mod kit;
mod level;
mod marks;
mod measure;
mod mixed;
mod pairs;
mod sound;
mod stops;
mod swarm;
mod training;
mod true_change;
mod worm;

pub use agreement::{AgreementPlot, LimitLine, figure_agreement};
pub use centiles::{CentileCurve, CentilePlot, figure_centiles};
pub use change::{CHANGE_ROWS, figure_change, figure_change_in_parts};
pub use cut::{CUT_ROWS, CutMark, CutPlot, figure_cut};
pub use distribution::figure_distribution;
pub use history::figure_history;
pub use kit::{Anchor, FONT_FAMILIES, Label};
pub use level::{LevelMark, figure_level};
pub use mixed::{DeviationMark, MixedPlot, SharePart, figure_mixed};
pub use pairs::{
    ErrorBandPlot, ErrorByLevelPlot, PairLinesPlot, figure_error_by_level, figure_pair_lines,
};
pub use sound::{SOUND_STRETCHES, figure_sound};
pub use stops::{STOP_STRIPS, StopStrip, figure_stops};
pub use training::figure_training;
pub use true_change::{TrueChangePlot, TrueChangeRow, figure_true_change};
pub use worm::{WormGroup, WormPlot, figure_worm};

/// A drawn figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The picture: an SVG with `viewBox`, `role="img"`, `<title>` and `<desc>`.
    pub svg: String,
    /// What the picture says, in words; the same text as in `<desc>`.
    pub alt: String,
    /// Width of the view box, CSS px.
    pub width: f64,
    /// Height of the view box, CSS px.
    pub height: f64,
    /// The same picture without its texts, for pages that set them themselves.
    pub bare: String,
    /// The texts that `bare` lacks.
    pub labels: Vec<Label>,
}
