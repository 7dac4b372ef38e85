//! The schema as a page and as a data dictionary, both from the same description.
//! Must not add facts of its own.

use std::fmt::Write as _;

use super::value::allowed;
use super::{Kind, SCHEMA_STEP, TABLES, Table};

/// Returns the tables of the schema in Markdown, as `docs/formats/archive-schema.md` shows them.
pub fn schema_page() -> String {
    let mut page = String::new();
    for table in TABLES.into_iter().chain([&SCHEMA_STEP]) {
        let _ = write!(
            page,
            "\n### `{}`\n\n{}\n\n| column | type | unit | allowed | meaning |\n\
             | --- | --- | --- | --- | --- |\n",
            table.name, table.meaning
        );
        for column in table.columns {
            let _ = writeln!(
                page,
                "| `{}` | {} | {} | {} | {} |",
                column.name,
                sql_type(column.kind),
                column.unit,
                allowed(column),
                column.meaning
            );
        }
    }
    page
}

/// Returns the data dictionary of an export: one line for each column, header line first.
///
/// Each line holds table, column, type, required, unit, allowed and meaning.
pub fn data_dictionary() -> Vec<[String; 7]> {
    let header = [
        "table", "column", "type", "required", "unit", "allowed", "meaning",
    ];
    let columns = TABLES.into_iter().flat_map(rows);
    [header.map(str::to_owned)]
        .into_iter()
        .chain(columns)
        .collect()
}

fn rows(table: &Table) -> impl Iterator<Item = [String; 7]> + '_ {
    table.columns.iter().map(|column| {
        [
            table.name.to_owned(),
            column.name.to_owned(),
            sql_type(column.kind).to_owned(),
            if column.optional { "no" } else { "yes" }.to_owned(),
            column.unit.to_owned(),
            allowed(column),
            column.meaning.to_owned(),
        ]
    })
}

const fn sql_type(kind: Kind) -> &'static str {
    match kind {
        Kind::Seq | Kind::SeqRef | Kind::Int(..) | Kind::Flag | Kind::Instant => "BIGINT",
        Kind::Real(..) => "DOUBLE PRECISION",
        _ => "TEXT",
    }
}
