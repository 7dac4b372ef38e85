//! Runs the binary in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

/// A folder with an archive in it.
pub struct Bench {
    pub folder: tempfile::TempDir,
}

/// What a run gave.
pub struct Ran {
    pub status: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// Returns the one JSON document.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out)
            .unwrap_or_else(|e| panic!("{e}: {}\n{}", self.out, self.err))
    }
}

impl Bench {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().expect("folder"),
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Returns a bench with the small squad and its first day in the archive, and the second day's
    /// sheet on disk.
    pub fn filled() -> Self {
        let bench = Self::new();
        bench.put("roster.csv", ROSTER);
        bench.put("first.csv", FIRST);
        bench.put("second.csv", SECOND);
        assert_eq!(bench.run(&["people", "import", "roster.csv"]).status, 0);
        let first = bench.run(&[
            "results",
            "import",
            "first.csv",
            "--test",
            "ir1",
            "--on",
            "2026-09-12",
        ]);
        assert_eq!((first.status, first.err.as_str()), (0, ""), "{}", first.out);
        bench
    }

    /// Writes a file.
    pub fn put(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, text).expect("file");
        path
    }

    /// Runs the binary with this bench's archive.
    pub fn run(&self, args: &[&str]) -> Ran {
        run_in(self.folder.path(), &self.path("archive"), args)
    }
}

/// Runs the binary with an archive, in a folder.
pub fn run_in(folder: &Path, archive: &Path, args: &[&str]) -> Ran {
    let Output {
        status,
        stdout,
        stderr,
    } = Command::new(env!("CARGO_BIN_EXE_plimsoll"))
        .current_dir(folder)
        .arg("--archive")
        .arg(archive)
        .args(args)
        .output()
        .expect("the binary runs");
    Ran {
        status: status.code().unwrap_or(-1),
        out: String::from_utf8(stdout).expect("text"),
        err: String::from_utf8(stderr).expect("text"),
    }
}

/// A small squad.
pub const ROSTER: &str = "Name,Date of birth,Sex,Squad\n\
    Sol Heron,2008-03-04,F,U19\nTove Birk,2008-11-14,M,U19\nKai Linnet,2009-05-20,M,U19\n\
    Wren Osier,2007-12-01,F,U19\nQuin Plover,2008-07-07,M,U19\n";

/// Its first day: one stopped injured.
pub const FIRST: &str = "Player,Level,Distance (m),Why stopped,Sleep (h)\n\
    Sol Heron,15.2,840,misses,8\nTove Birk,17.4,1560,misses,7.5\nKai Linnet,16.3,1200,exhaustion,8\n\
    Wren Osier,14.6,680,misses,6\nQuin Plover,17.1,1440,injury,8\n";

/// Its second day: one label disagrees with its distance, one person is not on the roster.
pub const SECOND: &str = "Player,Level,Distance (m),Why stopped\n\
    Sol Heron,15.6,1000,misses\nTove Birk,18.2,1800,misses\nKai Linnet,16.1,1240,exhaustion\n\
    Wren Osier,14.7,720,misses\nQuin Plover,16.8,1400,misses\nUma Vetch,15.1,800,misses\n";
