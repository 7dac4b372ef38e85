//! What can be wrong with a definition: where, what was found, what was allowed, what to do next.

use std::fmt;

/// One fault in a definition file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefinitionError {
    /// Name of the file or text, as the caller gave it.
    pub file: String,
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
    /// What is wrong: what was found and what was allowed.
    pub message: String,
    /// What to do next.
    pub hint: String,
}

impl fmt::Display for DefinitionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}:{}:{}: {}",
            self.file, self.line, self.column, self.message
        )?;
        if !self.hint.is_empty() {
            write!(f, "\n  hint: {}", self.hint)?;
        }
        Ok(())
    }
}

impl std::error::Error for DefinitionError {}

/// Every fault found in one definition file, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DefinitionErrors(pub Vec<DefinitionError>);

impl fmt::Display for DefinitionErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, error) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{error}")?;
        }
        Ok(())
    }
}

impl std::error::Error for DefinitionErrors {}

/// What can go wrong when definitions are put together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CatalogueError {
    /// A definition file has faults.
    #[error(transparent)]
    Definition(#[from] DefinitionErrors),
    /// Two definitions have one id.
    #[error(
        "{file}: the id `{id}` is already taken by {other}; a definition of your own may stand \
         beside a built-in one but not replace it: give it another id, such as `{id}_own`"
    )]
    IdTaken {
        /// The file that came second.
        file: String,
        /// The id both use.
        id: String,
        /// Who has it already.
        other: String,
    },
    /// A definition builds on one that is not there or that itself builds on another.
    #[error("{file}: `base = \"{base}\"` names {problem}; known bases: {known}")]
    Base {
        /// The file with the reference.
        file: String,
        /// The id it names.
        base: String,
        /// What is wrong with it.
        problem: String,
        /// Ids that would do.
        known: String,
    },
    /// The stop label of a shortened form is not on the ladder it shortens.
    #[error("{file}: `stop_after = \"{label}\"` is not on the ladder of `{base}`; {hint}")]
    StopAfter {
        /// The file with the reference.
        file: String,
        /// The label it names.
        label: String,
        /// The ladder it should be on.
        base: String,
        /// What to do next.
        hint: String,
    },
}
