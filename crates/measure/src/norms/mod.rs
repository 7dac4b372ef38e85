//! Where a value stands in a reference: z and centile.
//! Never extrapolates a table and never puts a word such as "good" on a number.
//! Sources: Cole & Green 1992 (LMS); docs/methods/references.md.

mod age;
mod from_centiles;
mod lms;
mod mean_sd;
mod table;

pub use age::{AgeCurve, Interpolation};
pub use from_centiles::OfCentiles;
pub use lms::Lms;
pub use mean_sd::{Standing, sd_from_sem, standing, standing_of_z};
pub use table::{CentileTable, Place};
