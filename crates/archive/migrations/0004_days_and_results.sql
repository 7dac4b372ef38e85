-- Test days and results, every version of each.
CREATE TABLE test_day (
    id TEXT NOT NULL PRIMARY KEY,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};

CREATE TABLE test_day_version (
    id TEXT NOT NULL PRIMARY KEY,
    day_id TEXT NOT NULL REFERENCES test_day (id),
    on_date TEXT NOT NULL,
    name TEXT,
    squad TEXT,
    ladder_id TEXT,
    ladder_fingerprint TEXT,
    settings TEXT,
    venue TEXT,
    surface TEXT,
    indoor {i64},
    course_length_mm {i64},
    start_time TEXT,
    temperature_c {f64},
    humidity_percent {f64},
    wind_m_s {f64},
    wind_along_lane_m_s {f64},
    wbgt_c {f64},
    deviation TEXT,
    notes TEXT,
    supersedes TEXT REFERENCES test_day_version (id) DEFERRABLE INITIALLY DEFERRED,
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
CREATE INDEX test_day_version_by_day ON test_day_version (day_id);
CREATE INDEX test_day_version_by_superseded ON test_day_version (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TABLE result (
    id TEXT NOT NULL PRIMARY KEY,
    person_id TEXT NOT NULL REFERENCES person (id),
    day_id TEXT NOT NULL REFERENCES test_day (id),
    bib TEXT,
    ladder_id TEXT NOT NULL,
    amount_unit TEXT NOT NULL,
    amount {i64} NOT NULL,
    reason TEXT NOT NULL,
    censoring TEXT NOT NULL,
    trial_number {i64},
    attempt {i64},
    sleep_h {f64},
    wake_time TEXT,
    hours_since_meal {f64},
    caffeine {i64},
    caffeine_mg {f64},
    hours_since_hard_training {f64},
    time_of_day TEXT,
    footwear TEXT,
    familiarity TEXT,
    motivation {i64},
    illness TEXT,
    encouragement TEXT,
    wave_size {i64},
    mass_kg {f64},
    peak_hr_bpm {i64},
    hr_60s_bpm {i64},
    hr_120s_bpm {i64},
    rpe {f64},
    rpe_scale TEXT,
    rpe_minutes_after {f64},
    deviation TEXT,
    notes TEXT,
    withdrawn {i64} NOT NULL,
    supersedes TEXT REFERENCES result (id) DEFERRABLE INITIALLY DEFERRED,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    source_id TEXT REFERENCES source_row (id)
) {strict};
CREATE INDEX result_by_person ON result (person_id);
CREATE INDEX result_by_day ON result (day_id);
CREATE INDEX result_by_superseded ON result (supersedes)
    WHERE supersedes IS NOT NULL;
