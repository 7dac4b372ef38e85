//! The one small database seam: statements in, rows out, transactions around them.
//! Only this module knows an engine; all SQL above it is portable (see `portable`).

mod error;
mod lite;
pub(crate) mod migrate;
mod portable;
mod value;

use std::ops::ControlFlow;
use std::path::Path;

pub use error::{DbCause, DbError};
pub(crate) use lite::{Access, Lite};
pub(crate) use value::{Row, Stmt, V};

/// A column as the live database has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LiveColumn {
    /// Its name.
    pub(crate) name: String,
}

/// What an engine must be able to do.
pub(crate) trait Engine: Send {
    /// Runs a statement and hands over row by row, until told to break.
    fn each(&self, stmt: &Stmt, row: &mut dyn FnMut(Row) -> ControlFlow<()>)
    -> Result<(), DbError>;
    /// Runs a statement that returns no rows; returns how many rows it touched.
    fn execute(&self, stmt: &Stmt) -> Result<usize, DbError>;
    /// Runs the statements of a migration step, its tokens replaced.
    fn script(&self, sql: &str) -> Result<(), DbError>;
    /// Opens a transaction; `write` takes the right to write at once.
    fn begin(&self, write: bool) -> Result<(), DbError>;
    /// Makes the transaction durable.
    fn commit(&self) -> Result<(), DbError>;
    /// Forgets the transaction.
    fn rollback(&self) -> Result<(), DbError>;
    /// Returns the columns of a table; none when there is no such table.
    fn columns(&self, table: &str) -> Result<Vec<LiveColumn>, DbError>;
    /// Returns what the engine's own check of its pages and references complains of.
    fn complaints(&self) -> Result<Vec<String>, DbError>;
    /// Writes a consistent copy of the whole database to a file that does not exist yet.
    fn copy_to(&self, path: &Path) -> Result<(), DbError>;
}

/// An open database.
pub(crate) struct Db {
    engine: Box<dyn Engine>,
}

/// An open transaction: the only way to run statements.
pub(crate) struct Tx<'a> {
    engine: &'a dyn Engine,
}

/// Rolls back unless it was told that the work is done.
struct Undecided<'a>(Option<&'a dyn Engine>);

impl Drop for Undecided<'_> {
    fn drop(&mut self) {
        if let Some(engine) = self.0 {
            // The engine may have rolled back by itself (a full disk); then there is nothing to do.
            let _ = engine.rollback();
        }
    }
}

impl Db {
    /// Returns a database on an engine.
    pub(crate) fn new(engine: impl Engine + 'static) -> Self {
        Self {
            engine: Box::new(engine),
        }
    }

    /// Runs reads that all see the same state.
    pub(crate) fn read<T, E: From<DbError>>(
        &self,
        work: impl FnOnce(&Tx<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        self.transaction(false, work)
    }

    /// Runs reads and writes that take effect all together or not at all.
    pub(crate) fn write<T, E: From<DbError>>(
        &mut self,
        work: impl FnOnce(&Tx<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        self.transaction(true, work)
    }

    fn transaction<T, E: From<DbError>>(
        &self,
        write: bool,
        work: impl FnOnce(&Tx<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let engine = self.engine.as_ref();
        engine.begin(write)?;
        let mut undecided = Undecided(Some(engine));
        let value = work(&Tx { engine })?;
        engine.commit()?;
        undecided.0 = None;
        Ok(value)
    }

    /// Returns what the engine's own check complains of.
    pub(crate) fn complaints(&self) -> Result<Vec<String>, DbError> {
        self.engine.complaints()
    }

    /// Writes a consistent copy of the whole database to a file that does not exist yet.
    pub(crate) fn copy_to(&self, path: &Path) -> Result<(), DbError> {
        self.engine.copy_to(path)
    }
}

impl Tx<'_> {
    /// Returns all rows of a statement.
    pub(crate) fn query(&self, stmt: &Stmt) -> Result<Vec<Row>, DbError> {
        let mut rows = Vec::new();
        self.engine.each(portable::checked(stmt), &mut |row| {
            rows.push(row);
            ControlFlow::Continue(())
        })?;
        Ok(rows)
    }

    /// Hands over the rows of a statement one by one, and stops at the first error.
    pub(crate) fn each<E: From<DbError>>(
        &self,
        stmt: &Stmt,
        mut work: impl FnMut(Row) -> Result<(), E>,
    ) -> Result<(), E> {
        let mut failed = None;
        self.engine
            .each(portable::checked(stmt), &mut |row| match work(row) {
                Ok(()) => ControlFlow::Continue(()),
                Err(error) => {
                    failed = Some(error);
                    ControlFlow::Break(())
                }
            })?;
        failed.map_or(Ok(()), Err)
    }

    /// Runs a statement that returns no rows; returns how many rows it touched.
    pub(crate) fn execute(&self, stmt: &Stmt) -> Result<usize, DbError> {
        self.engine.execute(portable::checked(stmt))
    }

    /// Returns the columns of a table; none when there is no such table.
    pub(crate) fn columns(&self, table: &str) -> Result<Vec<LiveColumn>, DbError> {
        self.engine.columns(table)
    }

    /// Runs the statements of a migration step, its tokens replaced.
    fn script(&self, sql: &str) -> Result<(), DbError> {
        self.engine.script(sql)
    }
}
