-- The RIP track: reports of bad order, rests, waits and releases; photographs; and what follows from
-- a car's events today.

CREATE TABLE bad_order (
    seq    INTEGER PRIMARY KEY REFERENCES event (seq),
    defect TEXT    NOT NULL,
    place  TEXT    NOT NULL,
    note   TEXT    NOT NULL
) STRICT;

-- Two reports of one defect: the later stays readable and no longer counts.
CREATE TABLE merge (
    seq           INTEGER PRIMARY KEY REFERENCES event (seq),
    duplicate_seq INTEGER NOT NULL UNIQUE REFERENCES bad_order (seq),
    into_seq      INTEGER NOT NULL REFERENCES bad_order (seq) CHECK (into_seq <> duplicate_seq)
) STRICT;

CREATE TABLE rest (
    seq           INTEGER PRIMARY KEY REFERENCES event (seq),
    not_before_us INTEGER NOT NULL,
    why           TEXT    NOT NULL
) STRICT;

CREATE TABLE wait (
    seq        INTEGER PRIMARY KEY REFERENCES event (seq),
    wait_for   TEXT    NOT NULL CHECK (wait_for IN ('parts', 'owner')),
    what       TEXT    NOT NULL
) STRICT;

CREATE TABLE wait_end (
    seq      INTEGER PRIMARY KEY REFERENCES event (seq),
    wait_seq INTEGER NOT NULL UNIQUE REFERENCES wait (seq),
    note     TEXT    NOT NULL
) STRICT;

-- Given back to its owner unadmitted, and taken in again.
CREATE TABLE handing_back (
    seq INTEGER PRIMARY KEY REFERENCES event (seq),
    why TEXT    NOT NULL
) STRICT;

CREATE TABLE taking_in (
    seq INTEGER PRIMARY KEY REFERENCES event (seq),
    why TEXT    NOT NULL
) STRICT;

-- Back into the fleet; 'restriction' is empty for a car without one.
CREATE TABLE release (
    seq         INTEGER PRIMARY KEY REFERENCES event (seq),
    restriction TEXT,
    note        TEXT    NOT NULL
) STRICT;

-- Bytes of photographs, by content. The limit stands here so that no program can pass it.
CREATE TABLE photo_content (
    sha256 BLOB PRIMARY KEY CHECK (length(sha256) = 32),
    bytes  BLOB NOT NULL CHECK (length(bytes) BETWEEN 1 AND 1048576)
) STRICT;

CREATE TABLE photo (
    seq        INTEGER PRIMARY KEY REFERENCES event (seq),
    sha256     BLOB    NOT NULL REFERENCES photo_content (sha256),
    media_type TEXT    NOT NULL CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp')),
    width_px   INTEGER NOT NULL CHECK (width_px  BETWEEN 1 AND 8192),
    height_px  INTEGER NOT NULL CHECK (height_px BETWEEN 1 AND 8192),
    caption    TEXT    NOT NULL
) STRICT;
CREATE INDEX photo_by_content ON photo (sha256);

-- Which cars tonight's trains want.
CREATE TABLE wanted (
    car_id       INTEGER PRIMARY KEY REFERENCES car (id),
    needed_at_us INTEGER NOT NULL
) STRICT;

-- What follows from the events of each car, kept so that lists of thousands are quick.
-- Written only by the folding of those events; the check of the file folds them again and compares.
CREATE TABLE car_now (
    car_id          INTEGER PRIMARY KEY REFERENCES car (id),
    mark            TEXT    NOT NULL,
    owner           TEXT,
    owner_member_id INTEGER REFERENCES member (id),
    scale           TEXT    NOT NULL,
    car_type        TEXT,
    description     TEXT,
    standing        TEXT    NOT NULL,
    since_us        INTEGER NOT NULL,
    not_before_us   INTEGER,
    detail          TEXT    NOT NULL
) STRICT;
CREATE INDEX car_now_by_mark ON car_now (mark, car_id);
CREATE INDEX car_now_by_owner ON car_now (owner_member_id);
CREATE INDEX car_now_by_standing ON car_now (standing, since_us);
CREATE INDEX car_now_by_class ON car_now (scale, car_type);

-- What was written stays. The third trigger of each table is for INSERT OR REPLACE, which deletes
-- a row without asking the second.

CREATE TRIGGER bad_order_no_update BEFORE UPDATE ON bad_order
BEGIN SELECT RAISE(ABORT, 'bad_order is append-only'); END;
CREATE TRIGGER bad_order_no_delete BEFORE DELETE ON bad_order
BEGIN SELECT RAISE(ABORT, 'bad_order is append-only'); END;
CREATE TRIGGER bad_order_no_replace BEFORE INSERT ON bad_order
WHEN EXISTS (SELECT 1 FROM bad_order WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'bad_order is append-only'); END;

CREATE TRIGGER merge_no_update BEFORE UPDATE ON merge
BEGIN SELECT RAISE(ABORT, 'merge is append-only'); END;
CREATE TRIGGER merge_no_delete BEFORE DELETE ON merge
BEGIN SELECT RAISE(ABORT, 'merge is append-only'); END;
CREATE TRIGGER merge_no_replace BEFORE INSERT ON merge
WHEN EXISTS (SELECT 1 FROM merge WHERE seq = NEW.seq OR duplicate_seq = NEW.duplicate_seq)
BEGIN SELECT RAISE(ABORT, 'merge is append-only'); END;

CREATE TRIGGER rest_no_update BEFORE UPDATE ON rest
BEGIN SELECT RAISE(ABORT, 'rest is append-only'); END;
CREATE TRIGGER rest_no_delete BEFORE DELETE ON rest
BEGIN SELECT RAISE(ABORT, 'rest is append-only'); END;
CREATE TRIGGER rest_no_replace BEFORE INSERT ON rest
WHEN EXISTS (SELECT 1 FROM rest WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'rest is append-only'); END;

CREATE TRIGGER wait_no_update BEFORE UPDATE ON wait
BEGIN SELECT RAISE(ABORT, 'wait is append-only'); END;
CREATE TRIGGER wait_no_delete BEFORE DELETE ON wait
BEGIN SELECT RAISE(ABORT, 'wait is append-only'); END;
CREATE TRIGGER wait_no_replace BEFORE INSERT ON wait
WHEN EXISTS (SELECT 1 FROM wait WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'wait is append-only'); END;

CREATE TRIGGER wait_end_no_update BEFORE UPDATE ON wait_end
BEGIN SELECT RAISE(ABORT, 'wait_end is append-only'); END;
CREATE TRIGGER wait_end_no_delete BEFORE DELETE ON wait_end
BEGIN SELECT RAISE(ABORT, 'wait_end is append-only'); END;
CREATE TRIGGER wait_end_no_replace BEFORE INSERT ON wait_end
WHEN EXISTS (SELECT 1 FROM wait_end WHERE seq = NEW.seq OR wait_seq = NEW.wait_seq)
BEGIN SELECT RAISE(ABORT, 'wait_end is append-only'); END;

CREATE TRIGGER handing_back_no_update BEFORE UPDATE ON handing_back
BEGIN SELECT RAISE(ABORT, 'handing_back is append-only'); END;
CREATE TRIGGER handing_back_no_delete BEFORE DELETE ON handing_back
BEGIN SELECT RAISE(ABORT, 'handing_back is append-only'); END;
CREATE TRIGGER handing_back_no_replace BEFORE INSERT ON handing_back
WHEN EXISTS (SELECT 1 FROM handing_back WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'handing_back is append-only'); END;

CREATE TRIGGER taking_in_no_update BEFORE UPDATE ON taking_in
BEGIN SELECT RAISE(ABORT, 'taking_in is append-only'); END;
CREATE TRIGGER taking_in_no_delete BEFORE DELETE ON taking_in
BEGIN SELECT RAISE(ABORT, 'taking_in is append-only'); END;
CREATE TRIGGER taking_in_no_replace BEFORE INSERT ON taking_in
WHEN EXISTS (SELECT 1 FROM taking_in WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'taking_in is append-only'); END;

CREATE TRIGGER release_no_update BEFORE UPDATE ON release
BEGIN SELECT RAISE(ABORT, 'release is append-only'); END;
CREATE TRIGGER release_no_delete BEFORE DELETE ON release
BEGIN SELECT RAISE(ABORT, 'release is append-only'); END;
CREATE TRIGGER release_no_replace BEFORE INSERT ON release
WHEN EXISTS (SELECT 1 FROM release WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'release is append-only'); END;

CREATE TRIGGER photo_content_no_update BEFORE UPDATE ON photo_content
BEGIN SELECT RAISE(ABORT, 'photo_content is append-only'); END;
CREATE TRIGGER photo_content_no_delete BEFORE DELETE ON photo_content
BEGIN SELECT RAISE(ABORT, 'photo_content is append-only'); END;
CREATE TRIGGER photo_content_no_replace BEFORE INSERT ON photo_content
WHEN EXISTS (SELECT 1 FROM photo_content WHERE sha256 = NEW.sha256)
BEGIN SELECT RAISE(ABORT, 'photo_content is append-only'); END;

CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'photo is append-only'); END;
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'photo is append-only'); END;
CREATE TRIGGER photo_no_replace BEFORE INSERT ON photo
WHEN EXISTS (SELECT 1 FROM photo WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'photo is append-only'); END;
