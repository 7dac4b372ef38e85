-- Sound checks: what was heard in a recording, kept beside a test day.
CREATE TABLE sound_check (
    id TEXT NOT NULL PRIMARY KEY,
    day_id TEXT NOT NULL REFERENCES test_day (id),
    kind TEXT NOT NULL,
    file_name TEXT NOT NULL,
    file_sha256 TEXT NOT NULL,
    heard TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX sound_check_by_day ON sound_check (day_id);
