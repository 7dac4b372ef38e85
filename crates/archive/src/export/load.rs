//! Loading one table of an export, cell by cell, into a database.
//! Must name file, row and column of the first cell that does not fit.

use std::collections::{BTreeMap, HashSet};
use std::fs::File;
use std::path::Path;

use super::manifest::TableEntry;
use super::restore::{ALTERED, altered};
use crate::db::{Tx, V};
use crate::digest::Digesting;
use crate::error::{ArchiveError, ExportFault, file};
use crate::rows;
use crate::schema::{Column, Kind, Table, objection, shown};

/// Longest row that is read, bytes.
const ROW_LIMIT: usize = 16 * 1024 * 1024;

/// What was loaded so far: the keys of each table, and references still to be found.
#[derive(Default)]
pub(super) struct Loader {
    keys: BTreeMap<&'static str, HashSet<String>>,
    /// References of a table to itself can point forward: file, row, column, table, key.
    open: Vec<(String, u64, &'static str, &'static str, String)>,
}

impl Loader {
    /// Loads a table.
    pub(super) fn load(
        &mut self,
        tx: &Tx<'_>,
        table: &'static Table,
        entry: &TableEntry,
        export: &Path,
    ) -> Result<(), ArchiveError> {
        let path = export.join(&entry.file);
        let inner = File::open(&path).map_err(file("read", &path))?;
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(Digesting::new(inner));
        let mut insert = rows::insert(table);
        let mut record = csv::StringRecord::new();
        let mut row = 0;
        loop {
            let at = Place {
                file: &entry.file,
                row: row + 1,
            };
            reader.get_mut().allow(ROW_LIMIT);
            match reader.read_record(&mut record) {
                Ok(false) => break,
                Ok(true) => row += 1,
                Err(error) if error.is_io_error() => {
                    return Err(file("read", &path)(error.into()));
                }
                Err(error) => {
                    let found = format!("`{error}`");
                    return Err(at.refuse(None, found, "CSV in UTF-8".to_owned()));
                }
            }
            if record.len() != table.columns.len() {
                let found = format!("{} cells", record.len());
                let allowed = format!("{} cells", table.columns.len());
                return Err(at.refuse(None, found, allowed));
            }
            if row == 1 {
                header(table, &record, &at)?;
                continue;
            }
            insert.args = self.values(table, &record, &at)?;
            tx.execute(&insert)?;
        }
        self.answered()?;
        let read = row.saturating_sub(1);
        if read != entry.rows {
            let at = Place {
                file: &entry.file,
                row,
            };
            let allowed = format!("the {} rows of the manifest", entry.rows);
            return Err(at.refuse(None, format!("{read} rows"), allowed));
        }
        let (_, found) = reader.into_inner().finish();
        if found != entry.sha256 {
            return Err(altered(&entry.file, &found, &entry.sha256));
        }
        Ok(())
    }

    fn values(
        &mut self,
        table: &'static Table,
        record: &csv::StringRecord,
        at: &Place<'_>,
    ) -> Result<Vec<V>, ArchiveError> {
        let mut values = Vec::with_capacity(table.columns.len());
        for (index, (column, cell)) in table.columns.iter().zip(record).enumerate() {
            let value = value(column, cell);
            let name = column.name;
            if let Some(allowed) = objection(column, &value) {
                return Err(at.refuse(Some(name), shown(&value), allowed));
            }
            if index == 0
                && !self
                    .keys
                    .entry(table.name)
                    .or_default()
                    .insert(cell.to_owned())
            {
                let found = format!("`{cell}` a second time");
                return Err(at.refuse(Some(name), found, "each key once".to_owned()));
            }
            let target = match column.kind {
                Kind::Ref(target) => target,
                Kind::SeqRef => "change",
                _ => "",
            };
            if !target.is_empty() && value != V::Null {
                if target == table.name {
                    let open = (at.file.to_owned(), at.row, name, target, cell.to_owned());
                    self.open.push(open);
                } else if !self.has(target, cell) {
                    return Err(dangling(at, name, target, cell));
                }
            }
            values.push(value);
        }
        Ok(values)
    }

    fn has(&self, table: &str, key: &str) -> bool {
        self.keys.get(table).is_some_and(|keys| keys.contains(key))
    }

    /// Looks for references of a table to itself that no row answered.
    fn answered(&mut self) -> Result<(), ArchiveError> {
        for (file, row, column, target, key) in std::mem::take(&mut self.open) {
            if !self.has(target, &key) {
                return Err(dangling(&Place { file: &file, row }, column, target, &key));
            }
        }
        Ok(())
    }
}

/// Where in the export.
struct Place<'a> {
    file: &'a str,
    row: u64,
}

impl Place<'_> {
    fn refuse(&self, column: Option<&str>, found: String, allowed: String) -> ArchiveError {
        ArchiveError::Export(Box::new(ExportFault {
            file: self.file.to_owned(),
            row: Some(self.row),
            column: column.map(str::to_owned),
            found,
            allowed,
            hint: ALTERED,
        }))
    }
}

fn dangling(at: &Place<'_>, column: &str, target: &str, key: &str) -> ArchiveError {
    let allowed = format!("the key of a row in `{target}.csv`");
    at.refuse(Some(column), format!("`{}`", key.escape_debug()), allowed)
}

fn header(table: &Table, record: &csv::StringRecord, at: &Place<'_>) -> Result<(), ArchiveError> {
    for (column, cell) in table.columns.iter().zip(record) {
        if column.name != cell {
            let found = format!("the heading `{}`", cell.escape_debug());
            return Err(at.refuse(Some(column.name), found, format!("`{}`", column.name)));
        }
    }
    Ok(())
}

/// Returns a cell as a value: of the column's type where it can be read so, else as text.
fn value(column: &Column, cell: &str) -> V {
    if cell.is_empty() {
        return V::Null;
    }
    let number = match column.kind {
        Kind::Seq | Kind::SeqRef | Kind::Int(..) | Kind::Flag | Kind::Instant => cell
            .parse::<i64>()
            .ok()
            .filter(|n| n.to_string() == cell)
            .map(V::I),
        Kind::Real(..) => cell
            .parse::<f64>()
            .ok()
            .filter(|n| n.to_string() == cell)
            .map(V::F),
        _ => None,
    };
    number.unwrap_or_else(|| V::from(cell))
}
