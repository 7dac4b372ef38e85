//! Schema steps: which are applied, which are missing, and applying them in one transaction.
//! Must not change a step once it is released: its checksum is recorded in every archive.

use super::{Db, DbError, Stmt, Tx, V};
use crate::digest::sha256_hex;
use crate::error::ArchiveError;

/// One step of the schema.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    /// Its number, from 1, without gaps.
    pub(crate) number: i64,
    /// What it adds, as its file is called.
    pub(crate) name: &'static str,
    /// Its statements, with type tokens.
    pub(crate) sql: &'static str,
}

/// The steps this build knows.
pub(crate) const STEPS: [Step; 6] = [
    Step {
        number: 1,
        name: "changes",
        sql: include_str!("../../migrations/0001_changes.sql"),
    },
    Step {
        number: 2,
        name: "imports",
        sql: include_str!("../../migrations/0002_imports.sql"),
    },
    Step {
        number: 3,
        name: "people",
        sql: include_str!("../../migrations/0003_people.sql"),
    },
    Step {
        number: 4,
        name: "days_and_results",
        sql: include_str!("../../migrations/0004_days_and_results.sql"),
    },
    Step {
        number: 5,
        name: "sound_checks",
        sql: include_str!("../../migrations/0005_sound_checks.sql"),
    },
    Step {
        number: 6,
        name: "waves",
        sql: include_str!("../../migrations/0006_waves.sql"),
    },
];

/// A step as an archive records it.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub(crate) struct Applied {
    /// Its number.
    pub(crate) number: i64,
    /// Its name.
    pub(crate) name: String,
    /// SHA-256 of its text, 64 hexadecimal digits.
    pub(crate) sha256: String,
    /// When it was applied, milliseconds since 1970-01-01 UTC.
    pub(crate) applied_at_ms: i64,
}

/// Returns the applied steps in order, or nothing when the database holds no archive.
pub(crate) fn applied(tx: &Tx<'_>) -> Result<Option<Vec<Applied>>, DbError> {
    if tx.columns("schema_step")?.is_empty() {
        return Ok(None);
    }
    let rows = tx.query(&Stmt::new(
        "SELECT number, name, sha256, applied_at_ms FROM schema_step ORDER BY number",
    ))?;
    let steps = rows.into_iter().filter_map(|row| match row.as_slice() {
        [V::I(number), V::T(name), V::T(sha256), V::I(at)] => Some(Applied {
            number: *number,
            name: name.clone(),
            sha256: sha256.clone(),
            applied_at_ms: *at,
        }),
        _ => None,
    });
    Ok(Some(steps.collect()))
}

/// Compares the applied steps with the known ones; returns how many are applied.
///
/// # Errors
///
/// [`ArchiveError::AlteredStep`] when a step was another one when it was applied.
pub(crate) fn compare(applied: &[Applied], known: &[Step]) -> Result<usize, ArchiveError> {
    for (step, number) in applied.iter().zip(1..) {
        let same = known.iter().find(|known| known.number == number);
        let altered = step.number != number
            || same.is_some_and(|known| sha256_hex(known.sql.as_bytes()) != step.sha256);
        if altered {
            return Err(ArchiveError::AlteredStep {
                number,
                name: step.name.clone(),
            });
        }
    }
    Ok(applied.len())
}

/// Applies the missing steps in one transaction; `at_ms` gives each step's time.
///
/// # Errors
///
/// [`ArchiveError::NewerSchema`] when the archive has more steps than are known, and the errors of
/// [`compare`].
pub(crate) fn bring_up_to_date(
    db: &mut Db,
    known: &[Step],
    at_ms: impl Fn(i64) -> i64,
) -> Result<(), ArchiveError> {
    db.write(|tx| {
        let applied = applied(tx)?;
        if applied.is_none() {
            tx.script(
                "CREATE TABLE schema_step (number {i64} NOT NULL PRIMARY KEY, name TEXT NOT NULL, \
                 sha256 TEXT NOT NULL, applied_at_ms {i64} NOT NULL) {strict}",
            )?;
        }
        let applied = applied.unwrap_or_default();
        let done = compare(&applied, known)?;
        if done > known.len() {
            return Err(ArchiveError::NewerSchema {
                found: done,
                known: known.len(),
            });
        }
        for step in &known[done..] {
            tx.script(step.sql)?;
            tx.execute(
                &Stmt::new(
                    "INSERT INTO schema_step (number, name, sha256, applied_at_ms) \
                     VALUES ($1, $2, $3, $4)",
                )
                .with(step.number)
                .with(step.name)
                .with(sha256_hex(step.sql.as_bytes()))
                .with(at_ms(step.number)),
            )?;
        }
        Ok(())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::db::{Access, Lite};

    const ONE: Step = Step {
        number: 1,
        name: "one",
        sql: "CREATE TABLE a (b {i64}) {strict}",
    };
    const TWO: Step = Step {
        number: 2,
        name: "two",
        sql: "ALTER TABLE a ADD COLUMN c TEXT; INSERT INTO a (b) VALUES (7)",
    };
    const BROKEN: Step = Step {
        number: 3,
        name: "broken",
        sql: "CREATE TABLE d (e {i64}) {strict}; INSERT INTO nowhere VALUES (1)",
    };

    fn fresh(dir: &tempfile::TempDir) -> Db {
        Db::new(Lite::open(&dir.path().join("x.db"), Access::Create).expect("a database opens"))
    }

    fn numbers(db: &Db) -> Vec<i64> {
        let steps = db.read(applied).expect("the steps can be read");
        steps
            .unwrap_or_default()
            .iter()
            .map(|step| step.number)
            .collect()
    }

    #[test]
    fn missing_steps_are_applied_once_and_a_broken_one_takes_its_transaction_back() {
        let dir = tempfile::tempdir().expect("a folder");
        let mut db = fresh(&dir);
        bring_up_to_date(&mut db, &[ONE], |_| 5).expect("step one");
        bring_up_to_date(&mut db, &[ONE, TWO], |_| 6).expect("step two");
        bring_up_to_date(&mut db, &[ONE, TWO], |_| 7).expect("nothing left to do");
        assert_eq!(numbers(&db), [1, 2]);
        bring_up_to_date(&mut db, &[ONE, TWO, BROKEN], |_| 8).expect_err("a broken step");
        assert_eq!(numbers(&db), [1, 2]);
        let columns = db.read(|tx| tx.columns("d")).expect("columns can be read");
        assert_eq!(columns, [], "half a step was kept");
    }

    #[test]
    fn a_newer_schema_is_not_written() {
        let dir = tempfile::tempdir().expect("a folder");
        let mut db = fresh(&dir);
        bring_up_to_date(&mut db, &[ONE, TWO], |_| 5).expect("two steps");
        let error = bring_up_to_date(&mut db, &[ONE], |_| 6).expect_err("one step known");
        assert_eq!(
            error.to_string(),
            "the archive is of schema 2 and this build knows schema 1: it was not opened for \
             writing; open it for reading, or use the newer build"
        );
    }

    #[test]
    fn an_altered_step_is_refused() {
        let dir = tempfile::tempdir().expect("a folder");
        let mut db = fresh(&dir);
        bring_up_to_date(&mut db, &[ONE], |_| 5).expect("step one");
        let other = Step {
            sql: "CREATE TABLE a (b TEXT) {strict}",
            ..ONE
        };
        let error = bring_up_to_date(&mut db, &[other], |_| 6).expect_err("another step one");
        assert_eq!(
            error.to_string(),
            "schema step 1 (`one`) of the archive is not the one this build knows; use the build \
             that made the archive, export it there and restore the export here"
        );
    }
}
