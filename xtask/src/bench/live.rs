//! The live channel under load, beside an echo server of the same stack in the same run.

use serde_json::Value;

use crate::run::{cargo, output};

/// Runs the load example; returns its table.
pub fn table() -> Result<String, String> {
    let mut load = cargo(&[
        "run",
        "--release",
        "--quiet",
        "--package",
        "plimsoll-site",
        "--example",
        "load",
    ]);
    println!("── the live channel under load");
    let said = output("load", &mut load)?;
    if !said.status.success() {
        return Err(String::from_utf8_lossy(&said.stderr).into_owned());
    }
    let told: Value = serde_json::from_slice(&said.stdout).map_err(|e| format!("load: {e}"))?;
    let ms = |who: &str, what: &str, share: &str| -> Result<f64, String> {
        told[who][what][share]
            .as_f64()
            .ok_or_else(|| format!("load: no {who}.{what}.{share} in {told}"))
    };
    let mut table = format!(
        "\n## The live channel under load\n\n{} devices on one wave, {} events in two minutes, each on disk before it \
         is acknowledged; beside an echo server of the same stack that stores and decides nothing. Milliseconds; \
         the ratio is ours over the echo's.\n\n\
         | from the tap | ours, median | ours, p99 | echo, median | echo, p99 | p99 ratio |\n\
         | --- | ---: | ---: | ---: | ---: | ---: |\n",
        told["devices"], told["events"]
    );
    for (what, name) in [
        ("ack_ms", "to its acknowledgement"),
        ("screens_ms", "to every other screen"),
    ] {
        let (ours, echo) = (ms("ours", what, "p99")?, ms("echo", what, "p99")?);
        table += &format!(
            "| {name} | {:.1} | {ours:.1} | {:.1} | {echo:.1} | {:.1} |\n",
            ms("ours", what, "p50")?,
            ms("echo", what, "p50")?,
            ours / echo
        );
    }
    Ok(table)
}
