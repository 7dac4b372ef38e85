//! Checks of the interpretation crate: data, published examples, rules, faults, properties.

mod by_age;
mod change;
mod change_flags;
mod data;
mod estimates;
mod loader;
mod properties;
mod published;
mod quick;
mod reference;
mod reliability;
mod speeds;
mod training;

use plimsoll_interpret::{Catalogue, Performance, Person, Sex};

/// Returns the built-in catalogue.
fn catalogue() -> Catalogue {
    Catalogue::built_in().expect("the built-in references load")
}

/// Returns a person with sex and age.
fn person(sex: Sex, age: f64) -> Person {
    Person {
        sex: Some(sex),
        age_years: Some(age),
        ..Person::default()
    }
}

/// Returns a performance with its test only.
fn performance(test: &str) -> Performance {
    Performance {
        test: test.to_owned(),
        ..Performance::default()
    }
}
