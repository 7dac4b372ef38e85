-- The journal: one row for each change, and whether it is undone.
CREATE TABLE about (
    key TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
) {strict};

CREATE TABLE change (
    seq {i64} NOT NULL PRIMARY KEY,
    at_ms {i64} NOT NULL,
    who TEXT NOT NULL,
    kind TEXT NOT NULL,
    summary TEXT NOT NULL,
    row_count {i64} NOT NULL,
    target_seq {i64} REFERENCES change (seq),
    undone {i64} NOT NULL
) {strict};
