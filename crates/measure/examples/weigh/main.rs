//! Large jobs of this crate, timed beside peers that read the same files.
//! `weigh make FOLDER` writes the data; `weigh mixed|level|lms|study FOLDER` does a job and prints one JSON line
//! with the seconds it took, reading left out.

mod data;
mod jobs;

type Fault = Box<dyn std::error::Error>;

fn main() -> Result<(), Fault> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [job, folder] = words.as_slice() else {
        return Err("weigh make|mixed|level|lms|study FOLDER".into());
    };
    let folder = std::path::Path::new(folder);
    let said = match job.as_str() {
        "make" => data::make(folder)?,
        "mixed" => jobs::mixed(folder)?,
        "level" => jobs::level()?,
        "lms" => jobs::lms(folder)?,
        "study" => jobs::study(folder)?,
        other => return Err(format!("no job `{other}`").into()),
    };
    #[expect(clippy::print_stdout, reason = "the answer of the example")]
    {
        println!("{said}");
    }
    Ok(())
}
