//! Critical speed (CS) and the distance above it (D′) from maximal trials, by five fits.
//! Distances in m, times in s. A spread between fits is reported, never hidden by choosing one.
//! Model d = D′ + CS t; formulas, sources and limits: docs/methods/training.md.

mod balance;
mod fits;
mod hyperbola;
mod lines;

pub use balance::{Balance, Bout, Emptied, Left, balance, bouts_until};
pub use fits::{CriticalFit, CriticalFits, CriticalWarning, Method, Trial, critical_fits};
pub use hyperbola::Convergence;
