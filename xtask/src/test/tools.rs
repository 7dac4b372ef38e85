//! What tests need beside the Rust toolchain: installed when missing, and never skipped.

use std::path::PathBuf;

use crate::run::{Outcome, is_there, program, root, step, target};

/// A Debian package with a program that shows it is there.
const PACKAGES: [(&str, &str, &[&str]); 9] = [
    ("poppler-utils", "pdftotext", &["-v"]),
    ("libreoffice-calc", "soffice", &["--version"]),
    ("ffmpeg", "ffmpeg", &["-version"]),
    ("sox", "sox", &["--version"]),
    // SoX reads MP3 through a plug-in; its help lists the formats there are.
    (
        "libsox-fmt-mp3",
        "sh",
        &["-c", "sox --help | grep -q '^AUDIO FILE FORMATS:.* mp3 '"],
    ),
    ("chromium", "chromium", &["--version"]),
    ("nodejs", "node", &["--version"]),
    ("npm", "npm", &["--version"]),
    ("python3-venv", "python3", &["-c", "import venv, ensurepip"]),
];

/// Installs what is missing and returns the Python of the tests' own environment.
pub fn install() -> Result<PathBuf, String> {
    let missing: Vec<&str> = PACKAGES
        .iter()
        .filter(|(_, name, args)| !is_there(name, args))
        .map(|(package, ..)| *package)
        .collect();
    if !missing.is_empty() {
        debian(&missing)?;
        for (package, name, args) in PACKAGES {
            if !is_there(name, args) {
                return Err(format!(
                    "`{name}` is still missing after installing {package}; install it by hand and \
                     run this again"
                ));
            }
        }
    }
    environment()
}

fn debian(packages: &[&str]) -> Outcome {
    if !is_there("apt-get", &["--version"]) {
        return Err(format!(
            "the tests need {}; this system has no apt-get, so install them its own way and run \
             this again",
            packages.join(", ")
        ));
    }
    let root_user = is_there("sh", &["-c", "test \"$(id -u)\" = 0"]);
    let apt = |args: &[&str]| {
        let mut command = if root_user {
            program("apt-get", args)
        } else {
            let mut sudo = program("sudo", &["apt-get"]);
            sudo.args(args);
            sudo
        };
        command.env("DEBIAN_FRONTEND", "noninteractive");
        command
    };
    step("package lists", &mut apt(&["update", "-qq"]))?;
    let mut args = vec!["install", "-y", "-qq", "--no-install-recommends"];
    args.extend(packages);
    step(
        &format!("installing {}", packages.join(", ")),
        &mut apt(&args),
    )
}

/// Makes the Python environment and installs its packages.
fn environment() -> Result<PathBuf, String> {
    let folder = target().join("python");
    let python = folder.join("bin/python");
    if !python.is_file() {
        let folder = folder.display().to_string();
        step(
            "python environment",
            &mut program("python3", &["-m", "venv", &folder]),
        )?;
    }
    let list = root()
        .join("scripts/requirements.txt")
        .display()
        .to_string();
    let args = [
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
        "-r",
        list.as_str(),
    ];
    step("python packages", &mut program(&python, &args))?;
    Ok(python)
}
