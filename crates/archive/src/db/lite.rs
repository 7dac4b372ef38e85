//! The SQLite engine. The only file that knows rusqlite.
//! Must not hold a query of the archive's own: those are portable and live above the seam.

use std::ops::ControlFlow;
use std::path::Path;
use std::time::Duration;

use rusqlite::types::{ToSqlOutput, ValueRef};
use rusqlite::{Connection, ErrorCode, OpenFlags, ToSql, params_from_iter};

use super::{DbCause, DbError, Engine, LiveColumn, Row, Stmt, V};

/// How long to wait for another process before giving up. Common practice, no source.
const PATIENCE: Duration = Duration::from_secs(5);

/// Statements kept prepared; more than the archive has, so that none is prepared twice.
const PREPARED: usize = 128;

/// The log file is cut back to this many bytes after a large import.
const LOG_LIMIT: u32 = 16 * 1024 * 1024;

/// How a database is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Access {
    /// For writing; the file is made when it is not there.
    Create,
    /// For writing; the file must be there.
    Write,
    /// For reading only.
    Read,
}

/// An open SQLite database.
pub(crate) struct Lite {
    conn: Connection,
}

impl Lite {
    /// Opens the file with write-ahead log, full synchronisation and references enforced.
    pub(crate) fn open(path: &Path, access: Access) -> Result<Self, DbError> {
        let flags = OpenFlags::SQLITE_OPEN_NO_MUTEX
            | match access {
                Access::Create => OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE,
                Access::Write => OpenFlags::SQLITE_OPEN_READ_WRITE,
                Access::Read => OpenFlags::SQLITE_OPEN_READ_ONLY,
            };
        let conn = Connection::open_with_flags(path, flags).map_err(worded)?;
        conn.busy_timeout(PATIENCE).map_err(worded)?;
        conn.set_prepared_statement_cache_capacity(PREPARED);
        if access == Access::Read {
            conn.execute_batch("PRAGMA trusted_schema=OFF;")
                .map_err(worded)?;
            return Ok(Self { conn });
        }
        let mode: String = conn
            .query_row("PRAGMA journal_mode=WAL", [], |row| row.get(0))
            .map_err(worded)?;
        if mode != "wal" {
            return Err(DbError {
                cause: DbCause::Denied,
                message: format!("journal mode is `{mode}`, not `wal`"),
            });
        }
        conn.execute_batch(&format!(
            "PRAGMA synchronous=FULL; PRAGMA fullfsync=ON; PRAGMA checkpoint_fullfsync=ON; \
             PRAGMA foreign_keys=ON; PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON; \
             PRAGMA journal_size_limit={LOG_LIMIT};"
        ))
        .map_err(worded)?;
        Ok(Self { conn })
    }

    /// Caps the database at a number of pages, as a full disk would.
    #[cfg(test)]
    pub(crate) fn cap_pages(&self, pages: u32) {
        self.conn
            .execute_batch(&format!("PRAGMA max_page_count={pages}"))
            .expect("the pragma is known");
    }

    /// Returns how many pages the database has.
    #[cfg(test)]
    pub(crate) fn pages(&self) -> u32 {
        self.conn
            .query_row("PRAGMA page_count", [], |row| row.get(0))
            .expect("the pragma is known")
    }

    fn texts(
        &self,
        sql: &str,
        read: impl Fn(&rusqlite::Row<'_>) -> rusqlite::Result<String>,
    ) -> Result<Vec<String>, DbError> {
        let mut stmt = self.conn.prepare(sql).map_err(worded)?;
        let rows = stmt.query_map([], |row| read(row)).map_err(worded)?;
        rows.collect::<Result<_, _>>().map_err(worded)
    }
}

impl Engine for Lite {
    fn each(
        &self,
        stmt: &Stmt,
        row: &mut dyn FnMut(Row) -> ControlFlow<()>,
    ) -> Result<(), DbError> {
        let mut prepared = self.conn.prepare_cached(&stmt.sql).map_err(worded)?;
        let width = prepared.column_count();
        let mut rows = prepared
            .query(params_from_iter(stmt.args.iter()))
            .map_err(worded)?;
        while let Some(found) = rows.next().map_err(worded)? {
            let values = (0..width)
                .map(|at| found.get_ref(at).map(value).map_err(worded))
                .collect::<Result<Row, _>>()?;
            if row(values).is_break() {
                break;
            }
        }
        Ok(())
    }

    fn execute(&self, stmt: &Stmt) -> Result<usize, DbError> {
        let mut prepared = self.conn.prepare_cached(&stmt.sql).map_err(worded)?;
        prepared
            .execute(params_from_iter(stmt.args.iter()))
            .map_err(worded)
    }

    fn script(&self, sql: &str) -> Result<(), DbError> {
        let sql = sql
            .replace("{i64}", "INTEGER")
            .replace("{f64}", "REAL")
            .replace("{bytes}", "BLOB")
            .replace("{strict}", "STRICT");
        self.conn.execute_batch(&sql).map_err(worded)
    }

    fn begin(&self, write: bool) -> Result<(), DbError> {
        let sql = if write { "BEGIN IMMEDIATE" } else { "BEGIN" };
        self.conn.execute_batch(sql).map_err(worded)
    }

    fn commit(&self) -> Result<(), DbError> {
        self.conn.execute_batch("COMMIT").map_err(worded)
    }

    fn rollback(&self) -> Result<(), DbError> {
        self.conn.execute_batch("ROLLBACK").map_err(worded)
    }

    fn columns(&self, table: &str) -> Result<Vec<LiveColumn>, DbError> {
        let mut stmt = self
            .conn
            .prepare_cached("SELECT name FROM pragma_table_info(?1)")
            .map_err(worded)?;
        let rows = stmt
            .query_map([table], |row| Ok(LiveColumn { name: row.get(0)? }))
            .map_err(worded)?;
        rows.collect::<Result<_, _>>().map_err(worded)
    }

    fn complaints(&self) -> Result<Vec<String>, DbError> {
        let mut found = self.texts("PRAGMA integrity_check", |row| row.get(0))?;
        found.retain(|line| line != "ok");
        found.extend(self.texts("PRAGMA foreign_key_check", |row| {
            let (table, target): (String, String) = (row.get(0)?, row.get(2)?);
            Ok(format!(
                "a row of `{table}` refers to a row of `{target}` that is not there"
            ))
        })?);
        Ok(found)
    }

    fn copy_to(&self, path: &Path) -> Result<(), DbError> {
        let Some(path) = path.to_str() else {
            return Err(DbError {
                cause: DbCause::Denied,
                message: format!("the path `{}` is not valid text", path.display()),
            });
        };
        self.conn
            .execute("VACUUM INTO ?1", [path])
            .map(|_| ())
            .map_err(worded)
    }
}

impl ToSql for V {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Self::Null => ValueRef::Null,
            Self::I(value) => ValueRef::Integer(*value),
            Self::F(value) => ValueRef::Real(*value),
            Self::T(value) => ValueRef::Text(value.as_bytes()),
            Self::B(value) => ValueRef::Blob(value),
        }))
    }
}

/// Returns the value; text that is not UTF-8 comes back as bytes, so that a check can name it.
fn value(found: ValueRef<'_>) -> V {
    match found {
        ValueRef::Null => V::Null,
        ValueRef::Integer(value) => V::I(value),
        ValueRef::Real(value) => V::F(value),
        ValueRef::Text(bytes) => std::str::from_utf8(bytes)
            .map_or_else(|_| V::B(bytes.to_vec()), |text| V::T(text.to_owned())),
        ValueRef::Blob(bytes) => V::B(bytes.to_vec()),
    }
}

fn worded(error: rusqlite::Error) -> DbError {
    let cause = match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => DbCause::Full,
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => DbCause::Busy,
        Some(ErrorCode::SystemIoFailure) => DbCause::Io,
        Some(ErrorCode::DatabaseCorrupt) => DbCause::Damaged,
        Some(ErrorCode::NotADatabase) => DbCause::NotADatabase,
        Some(ErrorCode::CannotOpen | ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => {
            DbCause::Denied
        }
        Some(ErrorCode::ConstraintViolation) => DbCause::Rule,
        _ => DbCause::Other,
    };
    DbError {
        cause,
        message: error.to_string(),
    }
}
