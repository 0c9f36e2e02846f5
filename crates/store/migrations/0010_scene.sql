-- Scenes beside lines, locomotives and make-ups: kept alike, edition after edition. What a column may
-- hold cannot be changed in place, so both tables are made anew with every row they had.

CREATE TABLE kept_item AS SELECT * FROM hill_item;
CREATE TABLE kept_edition AS SELECT * FROM hill_edition;
DROP TABLE hill_edition;
DROP TABLE hill_item;

CREATE TABLE hill_item (
    id   INTEGER PRIMARY KEY,
    kind TEXT    NOT NULL CHECK (kind IN ('line', 'locomotive', 'make-up', 'scene')),
    name TEXT    NOT NULL COLLATE NOCASE CHECK (length(trim(name)) BETWEEN 1 AND 80),
    UNIQUE (kind, name)
) STRICT;

-- 'readings' are those of a surveyed line, a row each; its text is then what is known beside them.
CREATE TABLE hill_edition (
    id            INTEGER PRIMARY KEY,
    item_id       INTEGER NOT NULL REFERENCES hill_item (id),
    edition       INTEGER NOT NULL CHECK (edition > 0),
    text          TEXT    NOT NULL CHECK (length(text) <= 1048576),
    readings      TEXT    CHECK (length(readings) <= 1048576),
    withdrawn     INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    entered_at_us INTEGER NOT NULL,
    by_id         INTEGER NOT NULL REFERENCES member (id),
    client_id     BLOB    NOT NULL UNIQUE CHECK (length(client_id) = 16),
    UNIQUE (item_id, edition)
) STRICT;

INSERT INTO hill_item (id, kind, name) SELECT id, kind, name FROM kept_item;
INSERT INTO hill_edition (id, item_id, edition, text, readings, withdrawn, entered_at_us, by_id, client_id)
SELECT id, item_id, edition, text, readings, withdrawn, entered_at_us, by_id, client_id FROM kept_edition;
DROP TABLE kept_edition;
DROP TABLE kept_item;

-- What was written stays. The third trigger of each table is for INSERT OR REPLACE, which deletes
-- a row without asking the second.

CREATE TRIGGER hill_item_no_update BEFORE UPDATE ON hill_item
BEGIN SELECT RAISE(ABORT, 'hill_item is append-only'); END;
CREATE TRIGGER hill_item_no_delete BEFORE DELETE ON hill_item
BEGIN SELECT RAISE(ABORT, 'hill_item is append-only'); END;
CREATE TRIGGER hill_item_no_replace BEFORE INSERT ON hill_item
WHEN EXISTS (SELECT 1 FROM hill_item WHERE id = NEW.id OR (kind = NEW.kind AND name = NEW.name))
BEGIN SELECT RAISE(ABORT, 'hill_item is append-only'); END;

CREATE TRIGGER hill_edition_no_update BEFORE UPDATE ON hill_edition
BEGIN SELECT RAISE(ABORT, 'hill_edition is append-only'); END;
CREATE TRIGGER hill_edition_no_delete BEFORE DELETE ON hill_edition
BEGIN SELECT RAISE(ABORT, 'hill_edition is append-only'); END;
CREATE TRIGGER hill_edition_no_replace BEFORE INSERT ON hill_edition
WHEN EXISTS (SELECT 1 FROM hill_edition WHERE id = NEW.id OR client_id = NEW.client_id
    OR (item_id = NEW.item_id AND edition = NEW.edition))
BEGIN SELECT RAISE(ABORT, 'hill_edition is append-only'); END;
