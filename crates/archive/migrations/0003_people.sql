-- People, every version of what is known of them, their names, squads and merges.
CREATE TABLE person (
    id TEXT NOT NULL PRIMARY KEY,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    source_id TEXT REFERENCES source_row (id)
) {strict};

CREATE TABLE person_version (
    id TEXT NOT NULL PRIMARY KEY,
    person_id TEXT NOT NULL REFERENCES person (id),
    called_name TEXT NOT NULL,
    legal_name TEXT,
    birth_date TEXT,
    sex TEXT,
    external_id TEXT,
    notes TEXT,
    supersedes TEXT REFERENCES person_version (id) DEFERRABLE INITIALLY DEFERRED,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    source_id TEXT REFERENCES source_row (id)
) {strict};
CREATE INDEX person_version_by_person ON person_version (person_id);
CREATE INDEX person_version_by_superseded ON person_version (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TABLE alias (
    id TEXT NOT NULL PRIMARY KEY,
    person_id TEXT NOT NULL REFERENCES person (id),
    name TEXT NOT NULL,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    source_id TEXT REFERENCES source_row (id)
) {strict};
CREATE INDEX alias_by_person ON alias (person_id);

CREATE TABLE membership (
    id TEXT NOT NULL PRIMARY KEY,
    person_id TEXT NOT NULL REFERENCES person (id),
    squad TEXT NOT NULL,
    from_date TEXT,
    to_date TEXT,
    supersedes TEXT REFERENCES membership (id) DEFERRABLE INITIALLY DEFERRED,
    change_seq {i64} NOT NULL REFERENCES change (seq),
    source_id TEXT REFERENCES source_row (id)
) {strict};
CREATE INDEX membership_by_person ON membership (person_id);
CREATE INDEX membership_by_superseded ON membership (supersedes)
    WHERE supersedes IS NOT NULL;

CREATE TABLE merge (
    id TEXT NOT NULL PRIMARY KEY,
    kept_id TEXT NOT NULL REFERENCES person (id),
    duplicate_id TEXT NOT NULL REFERENCES person (id),
    change_seq {i64} NOT NULL REFERENCES change (seq)
) {strict};
