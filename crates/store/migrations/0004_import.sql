-- Files taken in: each whole, in one transaction with everything that came of it.

CREATE TABLE import (
    id           INTEGER PRIMARY KEY,
    at_us        INTEGER NOT NULL,
    by_id        INTEGER NOT NULL REFERENCES member (id),
    file_name    TEXT    NOT NULL,
    file_sha256  BLOB    NOT NULL CHECK (length(file_sha256) = 32),
    new_cars     INTEGER NOT NULL CHECK (new_cars >= 0),
    known_cars   INTEGER NOT NULL CHECK (known_cars >= 0),
    fact_count   INTEGER NOT NULL CHECK (fact_count >= 0)
) STRICT;
CREATE INDEX import_by_file ON import (file_sha256);

CREATE TRIGGER import_no_update BEFORE UPDATE ON import
BEGIN SELECT RAISE(ABORT, 'import is append-only'); END;
CREATE TRIGGER import_no_delete BEFORE DELETE ON import
BEGIN SELECT RAISE(ABORT, 'import is append-only'); END;
CREATE TRIGGER import_no_replace BEFORE INSERT ON import
WHEN EXISTS (SELECT 1 FROM import WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'import is append-only'); END;
