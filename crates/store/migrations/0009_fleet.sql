-- Kept beside the record, and changed by whoever works on it: drafts of an edition, and groups of cars by
-- name. No verdict rests on either. An edition that was put in force is a row of 'rule_book'.

CREATE TABLE rule_draft (
    id            INTEGER PRIMARY KEY AUTOINCREMENT,
    name          TEXT    NOT NULL CHECK (length(trim(name)) > 0),
    base_edition  INTEGER NOT NULL REFERENCES rule_book (edition),
    text          TEXT    NOT NULL,
    by_id         INTEGER NOT NULL REFERENCES member (id),
    changed_at_us INTEGER NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision > 0)
) STRICT;
CREATE INDEX rule_draft_by_edition ON rule_draft (base_edition);

-- 'query' is what stands after the question mark of a search.
CREATE TABLE car_group (
    id            INTEGER PRIMARY KEY AUTOINCREMENT,
    name          TEXT    NOT NULL UNIQUE COLLATE NOCASE CHECK (length(trim(name)) > 0),
    query         TEXT    NOT NULL,
    by_id         INTEGER NOT NULL REFERENCES member (id),
    made_at_us    INTEGER NOT NULL
) STRICT;
