//! Bad input or usage: one message for people, one document for programs, exit status 2.

use std::fmt;

use serde_json::{Map, Value, json};

/// What a command found: whether a person has something to settle (exit status 1).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Found {
    /// All is well.
    Nothing,
    /// The data has findings.
    Findings,
}

impl Found {
    /// Returns findings when there are any.
    pub const fn any(there_are: bool) -> Self {
        if there_are {
            Self::Findings
        } else {
            Self::Nothing
        }
    }

    /// Returns whether a person has something to settle.
    pub const fn needs_a_person(self) -> bool {
        matches!(self, Self::Findings)
    }
}

/// Why a command could not do its work. Nothing was written.
#[derive(Debug)]
pub struct Failure(Box<Words>);

/// What a failure says; boxed, since every command may return one.
#[derive(Debug)]
struct Words {
    message: String,
    hints: Vec<String>,
    more: Map<String, Value>,
    closed_pipe: bool,
}

impl Failure {
    /// Returns a failure with a message that says where, what was found and what was allowed.
    pub fn new(message: impl fmt::Display) -> Self {
        Self(Box::new(Words {
            message: message.to_string(),
            hints: Vec::new(),
            more: Map::new(),
            closed_pipe: false,
        }))
    }

    /// Adds what to do next.
    #[must_use]
    pub fn hint(mut self, hint: impl fmt::Display) -> Self {
        self.0.hints.push(hint.to_string());
        self
    }

    /// Adds a key to the document for programs.
    #[must_use]
    pub fn with(mut self, key: &str, value: Value) -> Self {
        self.0.more.insert(key.to_owned(), value);
        self
    }

    /// Returns whether the reader of our output went away, which is nobody's fault.
    pub fn is_closed_pipe(&self) -> bool {
        self.0.closed_pipe
    }

    /// Returns the document for programs.
    pub fn to_json(&self) -> Value {
        let mut document = json!({ "error": self.0.message });
        if !self.0.hints.is_empty() {
            document["hints"] = json!(self.0.hints);
        }
        for (key, value) in &self.0.more {
            document[key] = value.clone();
        }
        document
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0.message)?;
        for hint in &self.0.hints {
            write!(f, "\n  → {hint}")?;
        }
        Ok(())
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        let closed_pipe = error.kind() == std::io::ErrorKind::BrokenPipe;
        let mut failure = Self::new(error);
        failure.0.closed_pipe = closed_pipe;
        failure
    }
}

impl From<plimsoll_desk::import::ImportError> for Failure {
    fn from(error: plimsoll_desk::import::ImportError) -> Self {
        Self::new(error)
    }
}

impl From<plimsoll_examine::ExamineError> for Failure {
    fn from(error: plimsoll_examine::ExamineError) -> Self {
        Self::new(error)
    }
}
