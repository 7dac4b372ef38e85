//! What the ground, the air and the sun do to a test: course, heat, wind. Plain numbers in and out.
//! Must not decide for anyone: it computes, and says what a named policy advises.

mod advice;
mod course;
mod fault;
mod heat;
mod indices;
mod sun;
mod wind;

pub use advice::{Advice, Circumstances, Policy, Verdict, advice, policies};
pub use course::{Course, CourseFault, Readings, Side, agree, course};
pub use fault::{PitchFault, Range};
pub use heat::{Heat, HeatMethod, Sky, Weather, direct_fraction, heat, wbgt_in_shade};
pub use indices::{
    bom_approximation, dew_point, heat_index, humidex, stull_wet_bulb, vapour_pressure_hpa,
};
pub use sun::{Sun, sun};
pub use wind::{across, along_lanes};
