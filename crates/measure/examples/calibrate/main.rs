//! Calibration by seeded simulation at full size: intervals against known truth, chances against what came.
//! `calibrate [JOB ...]` prints one JSON line: sections with tables and bounds; without a job, all of them.

mod athletes;
mod bias;
mod change;
mod cut;
mod fingerprint;
mod fitted;
mod growth;
mod level;
mod mixed;
mod numbers;
mod section;
mod study;
mod tally;
mod wave;

use std::time::Instant;

use section::Section;
use serde_json::json;

type Fault = Box<dyn std::error::Error + Send + Sync>;
type Job = fn() -> Result<Section, Fault>;

const JOBS: [(&str, Job); 10] = [
    ("level", level::job),
    ("fitted", fitted::job),
    ("bias", bias::job),
    ("change", change::job),
    ("study", study::job),
    ("mixed", mixed::job),
    ("fingerprint", fingerprint::job),
    ("growth", growth::job),
    ("cut", cut::job),
    ("wave", wave::job),
];

fn main() -> Result<(), Fault> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if let Some(other) = words
        .iter()
        .find(|w| JOBS.iter().all(|(name, _)| name != w))
    {
        return Err(format!("no job `{other}`").into());
    }
    let begun = Instant::now();
    let mut sections = Vec::new();
    for (name, job) in JOBS {
        if words.is_empty() || words.iter().any(|word| word == name) {
            let start = Instant::now();
            sections.push(job()?.told(start.elapsed().as_secs_f64()));
        }
    }
    #[expect(clippy::print_stdout, reason = "the answer of the example")]
    {
        println!(
            "{}",
            json!({ "s": begun.elapsed().as_secs_f64(), "sections": sections })
        );
    }
    Ok(())
}
