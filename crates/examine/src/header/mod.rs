//! Maps headers to fields: words first, then what the values look like, then the caller's choice.
//! Every column is listed with its field and confidence, or as unmapped; nothing is dropped quietly.

mod field;
mod fold;
mod heart;
mod mapping;
mod profile;
mod recognise;
mod settle;
mod unit;
mod words;

pub use field::Field;
pub use heart::HeartRole;
pub use mapping::{ColumnMap, Mapping};
pub use unit::Unit;

pub(crate) use fold::fold;
pub(crate) use mapping::map;
pub(crate) use recognise::recognise;
