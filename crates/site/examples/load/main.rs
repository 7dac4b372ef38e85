//! Loads the live channel: many devices on one wave, beside an echo server of the same stack that does nothing.
//! Prints one JSON line. `load [DEVICES [PER_S [SECONDS]]]`, by default 200, 50 and 120.

mod drive;
mod echo;
mod ours;

use drive::Load;

type Fault = Box<dyn std::error::Error + Send + Sync>;

#[tokio::main]
async fn main() -> Result<(), Fault> {
    let mut words = std::env::args().skip(1);
    let mut next = |usual: u64| words.next().map_or(Ok(usual), |word| word.parse());
    let load = Load {
        devices: usize::try_from(next(200)?)?,
        per_s: next(50)?,
        seconds: next(120)?,
    };
    let folder = tempfile::tempdir()?;
    let site = ours::start(folder.path(), load.devices).await?;
    let ours = drive::run(&load, &site.address, &site.path, &site.cookies).await?;
    let stored = site.stored().await?;
    if stored != load.events() as u64 + 1 {
        return Err(format!("{stored} events on disk, {} sent", load.events()).into());
    }
    let address = echo::start().await?;
    let nobody = vec![String::new(); load.devices];
    let echo = drive::run(&load, &address, "/live", &nobody).await?;
    let told = serde_json::json!({
        "devices": load.devices, "events": load.events(), "stored": stored, "ours": ours, "echo": echo,
    });
    #[expect(clippy::print_stdout, reason = "the answer of the example")]
    {
        println!("{told}");
    }
    Ok(())
}
