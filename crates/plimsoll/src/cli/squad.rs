//! The words of `plimsoll squad`.

use std::path::PathBuf;

use clap::Args;

/// `plimsoll squad`.
#[derive(Debug, Args)]
pub struct Squad {
    /// The day: a date, or a date and a test such as 2026-11-21/ir1.
    #[arg(long, value_name = "DAY")]
    pub day: String,
    /// A cut: a label such as 16.3, or metres such as 1200m.
    #[arg(long, value_name = "LABEL|METRES")]
    pub cut: Option<String>,
    /// Trials of which the best would count at the cut.
    #[arg(long, value_name = "N", default_value_t = 2,
        value_parser = clap::value_parser!(u32).range(1..=i64::from(plimsoll_desk::squad::MOST_TRIALS)))]
    pub best_of: u32,
    /// How many of the lowest are meant [default: a quarter].
    #[arg(long, value_name = "N")]
    pub lowest: Option<usize>,
    /// Typical error: a number in the unit of the test, or a percentage such as 4.9%.
    #[arg(long, value_name = "E or CV%", allow_hyphen_values = true)]
    pub typical_error: Option<String>,
    /// How trained: untrained, recreational, trained or elite.
    #[arg(long, value_name = "LEVEL")]
    pub level: Option<String>,
    /// Use facts that are only known from memory too; they keep their tag.
    #[arg(long)]
    pub from_memory: bool,
    /// A file for the figure of the cut (SVG).
    #[arg(long, value_name = "FILE", requires = "cut")]
    pub out: Option<PathBuf>,
}
