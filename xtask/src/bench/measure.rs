//! Wall time of whole programs, ours and the peer in turn; the best of several.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// The best times of a job, and the most memory ours held.
#[derive(Debug, Clone, Copy)]
pub struct Best {
    pub ours_s: f64,
    pub peer_s: f64,
    pub ours_mib: Option<f64>,
}

impl Best {
    /// Returns the better of two.
    pub fn better(self, other: Self) -> Self {
        Self {
            ours_s: self.ours_s.min(other.ours_s),
            peer_s: self.peer_s.min(other.peer_s),
            ours_mib: self
                .ours_mib
                .into_iter()
                .chain(other.ours_mib)
                .reduce(f64::max),
        }
    }
}

/// Runs both in turn so many times. An exit status of 1 means findings, which is fine.
pub fn interleaved(times: u32, ours: &[&Path], peer: &[&Path]) -> Result<Best, String> {
    let mut best: Option<Best> = None;
    for _ in 0..times {
        let (ours_s, ours_mib) = once(ours)?;
        let (peer_s, _) = once(peer)?;
        let now = Best {
            ours_s,
            peer_s,
            ours_mib,
        };
        best = Some(best.map_or(now, |b| b.better(now)));
    }
    best.ok_or_else(|| "nothing was measured".to_owned())
}

/// Returns seconds and, where the system's `time` is there, the most memory held, MiB.
fn once(words: &[&Path]) -> Result<(f64, Option<f64>), String> {
    let (name, args) = words.split_first().ok_or("an empty command")?;
    let timer = Path::new("/usr/bin/time");
    let mut command = if timer.is_file() {
        let mut command = Command::new(timer);
        command.args(["-f", "MAXRSS %M"]).arg(name);
        command
    } else {
        Command::new(name)
    };
    command
        .args(args)
        .stdout(Stdio::null())
        .stderr(Stdio::piped());
    let begun = Instant::now();
    let out = command
        .output()
        .map_err(|e| format!("{}: {e}", name.display()))?;
    let seconds = begun.elapsed().as_secs_f64();
    let said = String::from_utf8_lossy(&out.stderr);
    if out.status.code().is_none_or(|c| c > 1) {
        return Err(format!("{} failed: {said}", name.display()));
    }
    let kib = said
        .lines()
        .rev()
        .find_map(|l| l.strip_prefix("MAXRSS ")?.trim().parse::<f64>().ok());
    Ok((seconds, kib.map(|k| k / 1024.0)))
}
