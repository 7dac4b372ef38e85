-- Imported files, their rows as they were written, and what was held back.
CREATE TABLE import (
    id TEXT NOT NULL PRIMARY KEY,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    kind TEXT NOT NULL,
    file_name TEXT NOT NULL,
    file_sha256 TEXT NOT NULL,
    ladder_id TEXT,
    on_date TEXT,
    rows_seen {i64} NOT NULL,
    rows_accepted {i64} NOT NULL,
    rows_held {i64} NOT NULL,
    forced {i64} NOT NULL,
    options TEXT
) {strict};
CREATE INDEX import_by_file ON import (file_sha256);

CREATE TABLE source_row (
    id TEXT NOT NULL PRIMARY KEY,
    import_id TEXT NOT NULL REFERENCES import (id),
    sheet TEXT,
    row_number {i64} NOT NULL,
    as_written TEXT NOT NULL,
    row_sha256 TEXT NOT NULL
) {strict};
CREATE INDEX source_row_by_import ON source_row (import_id);

CREATE TABLE held_row (
    id TEXT NOT NULL PRIMARY KEY,
    import_id TEXT NOT NULL REFERENCES import (id),
    sheet TEXT,
    row_number {i64} NOT NULL,
    as_written TEXT NOT NULL,
    row_sha256 TEXT NOT NULL
) {strict};
CREATE INDEX held_row_by_import ON held_row (import_id);

CREATE TABLE finding (
    id TEXT NOT NULL PRIMARY KEY,
    import_id TEXT NOT NULL REFERENCES import (id),
    sheet TEXT,
    row_number {i64} NOT NULL,
    column_name TEXT,
    code TEXT NOT NULL,
    found TEXT,
    allowed TEXT,
    suggestion TEXT
) {strict};
CREATE INDEX finding_by_import ON finding (import_id);

CREATE TABLE settlement (
    id TEXT NOT NULL PRIMARY KEY,
    held_row_id TEXT NOT NULL REFERENCES held_row (id),
    note TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX settlement_by_held_row ON settlement (held_row_id);
