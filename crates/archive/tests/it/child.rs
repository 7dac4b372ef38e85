//! Another process: this test binary again, running one test in the role of a child.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStderr, ChildStdin, Command, Stdio};

/// The variable that tells a test to play the child, with the archive's folder.
const ROLE: &str = "PLIMSOLL_TEST_CHILD_DIR";

/// Returns the archive's folder when this process is the child.
pub fn role() -> Option<PathBuf> {
    std::env::var_os(ROLE).map(PathBuf::from)
}

/// Tells the parent how far the child is.
pub fn tell(word: &str) {
    writeln!(std::io::stderr(), "{word}").expect("the parent listens");
}

/// Waits for the parent's word.
pub fn await_word() {
    let mut line = String::new();
    std::io::stdin()
        .read_line(&mut line)
        .expect("the parent speaks");
}

/// A running child; killed when dropped.
pub struct Running {
    child: Child,
    heard: BufReader<ChildStderr>,
    mouth: ChildStdin,
}

impl Running {
    /// Starts the test of this name as a child on an archive.
    pub fn start(test: &str, dir: &Path) -> Self {
        let mut child = Command::new(std::env::current_exe().expect("this binary"))
            .args(["--exact", test, "--nocapture", "--test-threads=1"])
            .env(ROLE, dir)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the child starts");
        Self {
            heard: BufReader::new(child.stderr.take().expect("piped")),
            mouth: child.stdin.take().expect("piped"),
            child,
        }
    }

    /// Waits until the child has told a word.
    pub fn hear(&mut self, word: &str) {
        let mut line = String::new();
        while line.trim_end() != word {
            line.clear();
            let read = self
                .heard
                .read_line(&mut line)
                .expect("the child can be heard");
            assert_ne!(read, 0, "the child ended before `{word}`");
        }
    }

    /// Speaks to the child.
    pub fn say(&mut self, word: &str) {
        writeln!(self.mouth, "{word}").expect("the child listens");
    }

    /// Kills the child at once and waits until the system has cleared it away.
    pub fn kill(&mut self) {
        self.child.kill().expect("the child can be killed");
        self.child.wait().expect("the child is gone");
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
