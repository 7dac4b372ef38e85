//! Training set from results: whose speed, from where, with which error; then the card.
//! Must not apply a rule of its own: speeds, distances and bands come from `interpret`.

mod card;
mod notes;
mod people;

pub use card::{Origin, Wish, training_card};
pub use people::{Entrant, FromArchive, TrainingError, entrants_of_day, entrants_of_person};
