//! Rows of any table: the few statements that are the same for all of them.
//! Must stay generic; what a row means is known to the models.

use crate::db::{Row, Stmt, Tx, V};
use crate::error::ArchiveError;
use crate::schema::Table;

/// Returns a statement for all rows of a table, undone and superseded ones too.
pub(crate) fn all(table: &Table) -> Stmt {
    Stmt::new(format!(
        "SELECT {} FROM {}",
        table.column_list(""),
        table.name
    ))
}

/// Returns a statement for the row with this key.
pub(crate) fn by_key(table: &Table, key: V) -> Stmt {
    let name = table.columns[0].name;
    Stmt::new(format!(
        "SELECT {} FROM {} WHERE {name} = $1",
        table.column_list(""),
        table.name
    ))
    .with(key)
}

/// Returns a statement for the keys of a table.
pub(crate) fn keys(table: &Table) -> Stmt {
    Stmt::new(format!(
        "SELECT {} FROM {}",
        table.columns[0].name, table.name
    ))
}

/// Returns a statement for the rows whose `column` is `value`, undone and superseded ones too.
pub(crate) fn having(table: &Table, column: &str, value: impl Into<V>) -> Stmt {
    Stmt::new(format!(
        "SELECT {} FROM {} WHERE {column} = $1",
        table.column_list(""),
        table.name
    ))
    .with(value)
}

/// Returns a statement for the rows in force: recorded by a change that is not undone, and not
/// superseded by another such row. With a column and value: only those that have it.
pub(crate) fn in_force(table: &Table, which: Option<(&str, V)>) -> Stmt {
    let mut sql = format!(
        "SELECT {} FROM {} r JOIN change c ON c.seq = r.change_seq WHERE c.undone = 0",
        table.column_list("r."),
        table.name
    );
    if table.has_versions() {
        sql += &format!(
            " AND NOT EXISTS (SELECT n.id FROM {} n JOIN change d ON d.seq = n.change_seq \
             WHERE n.supersedes = r.id AND d.undone = 0)",
            table.name
        );
    }
    match which {
        None => Stmt::new(sql),
        Some((column, value)) => Stmt::new(format!("{sql} AND r.{column} = $1")).with(value),
    }
}

/// Returns a statement that inserts a row; its values are to be given in the table's order.
pub(crate) fn insert(table: &Table) -> Stmt {
    let places: Vec<String> = (1..=table.columns.len()).map(|n| format!("${n}")).collect();
    Stmt::new(format!(
        "INSERT INTO {} ({}) VALUES ({})",
        table.name,
        table.column_list(""),
        places.join(", ")
    ))
}

/// Returns the one row of a statement, read; nothing when there is none.
pub(crate) fn one<T>(
    tx: &Tx<'_>,
    stmt: &Stmt,
    read: impl FnOnce(Row) -> Result<T, ArchiveError>,
) -> Result<Option<T>, ArchiveError> {
    let first = tx.query(stmt)?.into_iter().next();
    first.map(read).transpose()
}

/// Returns all rows of a statement, read.
pub(crate) fn each<T>(
    tx: &Tx<'_>,
    stmt: &Stmt,
    read: impl Fn(Row) -> Result<T, ArchiveError>,
) -> Result<Vec<T>, ArchiveError> {
    let mut found = Vec::new();
    tx.each(stmt, |row| {
        found.push(read(row)?);
        Ok::<(), ArchiveError>(())
    })?;
    Ok(found)
}
