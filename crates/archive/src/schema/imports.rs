//! Tables of imported files, their rows and what was held back.
//! Must agree with `migrations/0002_imports.sql`.

use super::{CHANGE_SEQ, Kind, Table, column, id, int, reference, text, word};
use crate::model::ImportKind;
use crate::words::Word;

/// A spreadsheet's row numbers.
const ROWS: (i64, i64) = (1, u32::MAX as i64);
/// Numbers of rows.
const COUNT: (i64, i64) = (0, u32::MAX as i64);

/// Imported files.
pub(crate) const IMPORT: Table = Table {
    name: "import",
    meaning: "One imported file.",
    columns: &[
        id("The import."),
        CHANGE_SEQ,
        word("kind", ImportKind::WORDS, "What the file held."),
        text("file_name", "The file's name, without its folder."),
        column("file_sha256", Kind::Hash, "", "SHA-256 of the whole file."),
        text("ladder_id", "For results: the test definition.").optional(),
        column(
            "on_date",
            Kind::Date,
            "",
            "For results: the date of the test day.",
        )
        .optional(),
        int("rows_seen", COUNT, "rows", "Rows of data in the file."),
        int(
            "rows_accepted",
            COUNT,
            "rows",
            "Rows taken: as many as `source_row` has of it.",
        ),
        int(
            "rows_held",
            COUNT,
            "rows",
            "Rows held back: as many as `held_row` has of it.",
        ),
        column(
            "forced",
            Kind::Flag,
            "",
            "1 when the same content was imported before.",
        ),
        column(
            "options",
            Kind::Json,
            "",
            "The settings the import was run with.",
        )
        .optional(),
    ],
};

/// Rows that were taken.
pub(crate) const SOURCE_ROW: Table = Table {
    name: "source_row",
    meaning: "One row of an imported file that was taken, as it was written.",
    columns: &[
        id("The source row."),
        reference("import_id", "import", "The import."),
        text("sheet", "The sheet, for workbooks.").optional(),
        int(
            "row_number",
            ROWS,
            "",
            "The row as a spreadsheet shows it, header row included.",
        ),
        column(
            "as_written",
            Kind::Json,
            "",
            "The row's cells exactly as found.",
        ),
        column(
            "row_sha256",
            Kind::Hash,
            "",
            "SHA-256 of the text in `as_written`.",
        ),
    ],
};

/// Rows that were held back.
pub(crate) const HELD_ROW: Table = Table {
    name: "held_row",
    meaning: "One row of an imported file that was held back, as it was written.",
    columns: &[
        id("The held row."),
        reference("import_id", "import", "The import."),
        text("sheet", "The sheet, for workbooks.").optional(),
        int(
            "row_number",
            ROWS,
            "",
            "The row as a spreadsheet shows it, header row included.",
        ),
        column(
            "as_written",
            Kind::Json,
            "",
            "The row's cells exactly as found.",
        ),
        column(
            "row_sha256",
            Kind::Hash,
            "",
            "SHA-256 of the text in `as_written`.",
        ),
    ],
};

/// What the examination found.
pub(crate) const FINDING: Table = Table {
    name: "finding",
    meaning: "One thing the examination of an imported file found, about a held or a taken row.",
    columns: &[
        id("The finding."),
        reference("import_id", "import", "The import."),
        text("sheet", "The sheet, for workbooks.").optional(),
        int(
            "row_number",
            ROWS,
            "",
            "The row as a spreadsheet shows it, header row included.",
        ),
        text("column_name", "The column, where it is about one.").optional(),
        text("code", "Which rule found it."),
        text("found", "What is there.").optional(),
        text("allowed", "What may be there.").optional(),
        text("suggestion", "What to do.").optional(),
    ],
};

/// Held rows that a person has dealt with.
pub(crate) const SETTLEMENT: Table = Table {
    name: "settlement",
    meaning: "A person's word that a held row is dealt with, so that it is listed no more.",
    columns: &[
        id("The settlement."),
        reference("held_row_id", "held_row", "The held row."),
        text("note", "How it was dealt with."),
        CHANGE_SEQ,
    ],
};
