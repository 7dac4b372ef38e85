-- Waves of a test day: their events, the results they gave, and the papers of the day.
CREATE TABLE wave (
    id TEXT NOT NULL PRIMARY KEY,
    day_id TEXT NOT NULL REFERENCES test_day (id),
    number {i64} NOT NULL,
    name TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX wave_by_day ON wave (day_id);
CREATE TABLE wave_event (
    id TEXT NOT NULL PRIMARY KEY,
    wave_id TEXT NOT NULL REFERENCES wave (id),
    nth {i64} NOT NULL,
    device TEXT NOT NULL,
    device_seq {i64} NOT NULL,
    received_at_ms {i64} NOT NULL,
    body TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    UNIQUE (wave_id, nth),
    UNIQUE (wave_id, device, device_seq)
) {strict};
CREATE TABLE wave_result (
    id TEXT NOT NULL PRIMARY KEY,
    wave_id TEXT NOT NULL REFERENCES wave (id),
    result_id TEXT NOT NULL REFERENCES result (id),
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX wave_result_by_wave ON wave_result (wave_id);
CREATE TABLE day_paper (
    id TEXT NOT NULL PRIMARY KEY,
    day_id TEXT NOT NULL REFERENCES test_day (id),
    kind TEXT NOT NULL,
    subject TEXT,
    document TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX day_paper_by_day ON day_paper (day_id);
CREATE TABLE health_note (
    id TEXT NOT NULL PRIMARY KEY,
    day_id TEXT NOT NULL REFERENCES test_day (id),
    person_id TEXT NOT NULL REFERENCES person (id),
    document TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX health_note_by_day ON health_note (day_id);
