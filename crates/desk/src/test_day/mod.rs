//! The test day: plan and papers, the opening of a wave, what a closed wave gives to the archive.
//! Must not decide for the lead; proposals are proposals, and the code of a person has no reason.

mod deal;
mod opening;
mod outcomes;
mod papers;
mod plan;
pub mod rehearsal;
mod sheets;

pub use deal::{Expected, deal};
pub(crate) use deal::{dealt_wave, first_blocks};
pub use opening::{OpeningFault, easier_form, opening};
pub use outcomes::{Around, outcomes};
pub use papers::{
    Arrival, Code, Conditions, CourseReadings, Decision, EmergencyCard, HealthAnswers, PaperFault,
    Participation, SignOff, Verdict, read_paper, write_paper,
};
pub use plan::{Plan, PlanFault, PlannedRunner, PlannedWave};
pub use sheets::Sheets;
