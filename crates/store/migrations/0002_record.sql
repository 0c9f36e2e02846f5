-- The record of the cars. Everything that happens to a car is one row of 'event' and one row of the
-- table named for its kind. The sequence number orders all of it; the last one of a car is that car's
-- version. Nothing here is ever changed or deleted.

CREATE TABLE rule_book (
    edition       INTEGER PRIMARY KEY CHECK (edition > 0),
    title         TEXT    NOT NULL,
    effective     TEXT    NOT NULL,
    text          TEXT    NOT NULL,
    text_sha256   BLOB    NOT NULL CHECK (length(text_sha256) = 32),
    entered_at_us INTEGER NOT NULL,
    by_id         INTEGER NOT NULL REFERENCES member (id)
) STRICT;

CREATE TABLE car (
    id INTEGER PRIMARY KEY
) STRICT;

CREATE TABLE event (
    seq       INTEGER PRIMARY KEY,
    car_id    INTEGER NOT NULL REFERENCES car (id),
    kind      TEXT    NOT NULL,
    at_us     INTEGER NOT NULL,
    by_id     INTEGER NOT NULL REFERENCES member (id),
    second_id INTEGER REFERENCES member (id) CHECK (second_id <> by_id),
    client_id BLOB    NOT NULL UNIQUE CHECK (length(client_id) = 16)
) STRICT;
CREATE UNIQUE INDEX event_by_car ON event (car_id, seq);
CREATE INDEX event_releases ON event (at_us, seq) WHERE kind = 'release';
CREATE INDEX event_consents ON event (at_us, seq) WHERE kind = 'consent';

-- Reporting marks and number, from this event on.
CREATE TABLE lettering (
    seq  INTEGER PRIMARY KEY REFERENCES event (seq),
    mark TEXT    NOT NULL
) STRICT;

-- Whose car it is, from this event on; 'member_id' where the owner is a member.
CREATE TABLE ownership (
    seq       INTEGER PRIMARY KEY REFERENCES event (seq),
    owner     TEXT,
    member_id INTEGER REFERENCES member (id)
) STRICT;

-- What the car is, from this event on.
CREATE TABLE description (
    seq                     INTEGER PRIMARY KEY REFERENCES event (seq),
    scale                   TEXT    NOT NULL,
    car_type                TEXT,
    description             TEXT,
    axle_count              INTEGER NOT NULL,
    body_length_nm          INTEGER,
    length_over_couplers_nm INTEGER,
    truck_centres_nm        INTEGER,
    truck_wheelbase_nm      INTEGER,
    overhang_a_nm           INTEGER,
    overhang_b_nm           INTEGER,
    wheel_code              INTEGER,
    frame_material          TEXT
) STRICT;

CREATE TABLE description_tag (
    seq     INTEGER NOT NULL REFERENCES description (seq),
    ordinal INTEGER NOT NULL,
    tag     TEXT    NOT NULL,
    PRIMARY KEY (seq, ordinal)
) STRICT;

CREATE TABLE description_shim (
    seq          INTEGER NOT NULL REFERENCES description (seq),
    car_end      TEXT    NOT NULL CHECK (car_end IN ('A', 'B')),
    ordinal      INTEGER NOT NULL,
    thickness_nm INTEGER NOT NULL,
    PRIMARY KEY (seq, car_end, ordinal)
) STRICT;

-- A truck, wheelset, coupler or other part fitted, with its maker and lot as far as known.
CREATE TABLE fitting (
    seq         INTEGER PRIMARY KEY REFERENCES event (seq),
    part        TEXT    NOT NULL,
    place       TEXT    NOT NULL,
    description TEXT    NOT NULL,
    lot         TEXT
) STRICT;
CREATE INDEX fitting_by_lot ON fitting (lot) WHERE lot IS NOT NULL;

-- One reading. 'amount' and 'resolution' are exact: whole nanometres or femtograms (as text beyond
-- 64 bits), else an SI number.
CREATE TABLE reading (
    seq            INTEGER PRIMARY KEY,
    car_id         INTEGER NOT NULL,
    measure        TEXT    NOT NULL,
    place          TEXT    NOT NULL,
    answer         TEXT,
    typed          TEXT,
    unit           TEXT,
    unit_was_typed INTEGER CHECK (unit_was_typed IN (0, 1)),
    amount         ANY CHECK (typeof(amount) IN ('null', 'integer', 'real', 'text')),
    resolution     ANY CHECK (typeof(resolution) IN ('null', 'integer', 'real', 'text')),
    instrument     TEXT,
    read_on        TEXT,
    FOREIGN KEY (car_id, seq) REFERENCES event (car_id, seq),
    CHECK ((answer IS NULL) = (typed IS NOT NULL)
       AND (typed IS NULL) = (unit IS NULL)
       AND (typed IS NULL) = (unit_was_typed IS NULL)
       AND (typed IS NULL) = (amount IS NULL)
       AND (typed IS NULL) = (resolution IS NULL))
) STRICT;
CREATE INDEX reading_by_place ON reading (measure, place, car_id, seq);

-- The verdict on a car, under one edition, on the readings up to 'read_to'.
CREATE TABLE inspection (
    seq     INTEGER PRIMARY KEY REFERENCES event (seq),
    edition INTEGER NOT NULL REFERENCES rule_book (edition),
    read_to INTEGER NOT NULL REFERENCES event (seq),
    verdict TEXT    NOT NULL
) STRICT;
CREATE INDEX inspection_by_edition ON inspection (edition);

CREATE TABLE inspection_check (
    seq        INTEGER NOT NULL REFERENCES inspection (seq),
    check_name TEXT    NOT NULL,
    verdict    TEXT    NOT NULL,
    PRIMARY KEY (seq, check_name)
) STRICT;

CREATE TABLE inspection_line (
    seq        INTEGER NOT NULL REFERENCES inspection (seq),
    ordinal    INTEGER NOT NULL,
    check_name TEXT    NOT NULL,
    aspect     TEXT    NOT NULL,
    place      TEXT    NOT NULL,
    dimension  TEXT,
    reading    ANY CHECK (typeof(reading) IN ('null', 'integer', 'real', 'text')),
    lower      ANY CHECK (typeof(lower) IN ('null', 'integer', 'real', 'text')),
    upper      ANY CHECK (typeof(upper) IN ('null', 'integer', 'real', 'text')),
    margin     ANY CHECK (typeof(margin) IN ('null', 'integer', 'real', 'text')),
    conformity REAL,
    verdict    TEXT    NOT NULL,
    grounds    TEXT    NOT NULL,
    PRIMARY KEY (seq, ordinal)
) STRICT;

CREATE TABLE inspection_finding (
    seq     INTEGER NOT NULL REFERENCES inspection (seq),
    ordinal INTEGER NOT NULL,
    text    TEXT    NOT NULL,
    PRIMARY KEY (seq, ordinal)
) STRICT;

-- A cure that was carried out.
CREATE TABLE cure (
    seq     INTEGER PRIMARY KEY REFERENCES event (seq),
    cure    TEXT    NOT NULL,
    place   TEXT    NOT NULL,
    done_on TEXT,
    note    TEXT    NOT NULL
) STRICT;

CREATE TABLE note (
    seq  INTEGER PRIMARY KEY REFERENCES event (seq),
    text TEXT    NOT NULL
) STRICT;

-- The owner's word on a kind of work; the last one for a kind counts.
CREATE TABLE consent (
    seq     INTEGER PRIMARY KEY REFERENCES event (seq),
    work    TEXT    NOT NULL,
    granted INTEGER NOT NULL CHECK (granted IN (0, 1))
) STRICT;

-- A mistake, struck. The struck row stays.
CREATE TABLE strike (
    seq        INTEGER PRIMARY KEY REFERENCES event (seq),
    struck_seq INTEGER NOT NULL UNIQUE REFERENCES event (seq) CHECK (struck_seq < seq),
    why        TEXT    NOT NULL CHECK (length(trim(why)) > 0)
) STRICT;

-- What is typed and not yet entered, by bench and car. Not part of the record: rows come and go.
CREATE TABLE draft (
    bench       TEXT    NOT NULL,
    car_id      INTEGER NOT NULL REFERENCES car (id),
    field       TEXT    NOT NULL,
    text        TEXT    NOT NULL,
    by_id       INTEGER NOT NULL REFERENCES member (id),
    typed_at_us INTEGER NOT NULL,
    PRIMARY KEY (bench, car_id, field)
) STRICT, WITHOUT ROWID;
CREATE INDEX draft_by_car ON draft (car_id);

-- What was written stays. The third trigger of each table is for INSERT OR REPLACE, which deletes
-- a row without asking the second.

CREATE TRIGGER rule_book_no_update BEFORE UPDATE ON rule_book
BEGIN SELECT RAISE(ABORT, 'rule_book is append-only'); END;
CREATE TRIGGER rule_book_no_delete BEFORE DELETE ON rule_book
BEGIN SELECT RAISE(ABORT, 'rule_book is append-only'); END;
CREATE TRIGGER rule_book_no_replace BEFORE INSERT ON rule_book
WHEN EXISTS (SELECT 1 FROM rule_book WHERE edition = NEW.edition)
BEGIN SELECT RAISE(ABORT, 'rule_book is append-only'); END;

CREATE TRIGGER car_no_update BEFORE UPDATE ON car
BEGIN SELECT RAISE(ABORT, 'car is append-only'); END;
CREATE TRIGGER car_no_delete BEFORE DELETE ON car
BEGIN SELECT RAISE(ABORT, 'car is append-only'); END;
CREATE TRIGGER car_no_replace BEFORE INSERT ON car
WHEN EXISTS (SELECT 1 FROM car WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'car is append-only'); END;

CREATE TRIGGER event_no_update BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;
CREATE TRIGGER event_no_replace BEFORE INSERT ON event
WHEN EXISTS (SELECT 1 FROM event WHERE seq = NEW.seq OR client_id = NEW.client_id)
BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;

CREATE TRIGGER lettering_no_update BEFORE UPDATE ON lettering
BEGIN SELECT RAISE(ABORT, 'lettering is append-only'); END;
CREATE TRIGGER lettering_no_delete BEFORE DELETE ON lettering
BEGIN SELECT RAISE(ABORT, 'lettering is append-only'); END;
CREATE TRIGGER lettering_no_replace BEFORE INSERT ON lettering
WHEN EXISTS (SELECT 1 FROM lettering WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'lettering is append-only'); END;

CREATE TRIGGER ownership_no_update BEFORE UPDATE ON ownership
BEGIN SELECT RAISE(ABORT, 'ownership is append-only'); END;
CREATE TRIGGER ownership_no_delete BEFORE DELETE ON ownership
BEGIN SELECT RAISE(ABORT, 'ownership is append-only'); END;
CREATE TRIGGER ownership_no_replace BEFORE INSERT ON ownership
WHEN EXISTS (SELECT 1 FROM ownership WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'ownership is append-only'); END;

CREATE TRIGGER description_no_update BEFORE UPDATE ON description
BEGIN SELECT RAISE(ABORT, 'description is append-only'); END;
CREATE TRIGGER description_no_delete BEFORE DELETE ON description
BEGIN SELECT RAISE(ABORT, 'description is append-only'); END;
CREATE TRIGGER description_no_replace BEFORE INSERT ON description
WHEN EXISTS (SELECT 1 FROM description WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'description is append-only'); END;

CREATE TRIGGER description_tag_no_update BEFORE UPDATE ON description_tag
BEGIN SELECT RAISE(ABORT, 'description_tag is append-only'); END;
CREATE TRIGGER description_tag_no_delete BEFORE DELETE ON description_tag
BEGIN SELECT RAISE(ABORT, 'description_tag is append-only'); END;
CREATE TRIGGER description_tag_no_replace BEFORE INSERT ON description_tag
WHEN EXISTS (SELECT 1 FROM description_tag WHERE seq = NEW.seq AND ordinal = NEW.ordinal)
BEGIN SELECT RAISE(ABORT, 'description_tag is append-only'); END;

CREATE TRIGGER description_shim_no_update BEFORE UPDATE ON description_shim
BEGIN SELECT RAISE(ABORT, 'description_shim is append-only'); END;
CREATE TRIGGER description_shim_no_delete BEFORE DELETE ON description_shim
BEGIN SELECT RAISE(ABORT, 'description_shim is append-only'); END;
CREATE TRIGGER description_shim_no_replace BEFORE INSERT ON description_shim
WHEN EXISTS (SELECT 1 FROM description_shim WHERE seq = NEW.seq AND car_end = NEW.car_end AND ordinal = NEW.ordinal)
BEGIN SELECT RAISE(ABORT, 'description_shim is append-only'); END;

CREATE TRIGGER fitting_no_update BEFORE UPDATE ON fitting
BEGIN SELECT RAISE(ABORT, 'fitting is append-only'); END;
CREATE TRIGGER fitting_no_delete BEFORE DELETE ON fitting
BEGIN SELECT RAISE(ABORT, 'fitting is append-only'); END;
CREATE TRIGGER fitting_no_replace BEFORE INSERT ON fitting
WHEN EXISTS (SELECT 1 FROM fitting WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'fitting is append-only'); END;

CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading
BEGIN SELECT RAISE(ABORT, 'reading is append-only'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading
BEGIN SELECT RAISE(ABORT, 'reading is append-only'); END;
CREATE TRIGGER reading_no_replace BEFORE INSERT ON reading
WHEN EXISTS (SELECT 1 FROM reading WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'reading is append-only'); END;

CREATE TRIGGER inspection_no_update BEFORE UPDATE ON inspection
BEGIN SELECT RAISE(ABORT, 'inspection is append-only'); END;
CREATE TRIGGER inspection_no_delete BEFORE DELETE ON inspection
BEGIN SELECT RAISE(ABORT, 'inspection is append-only'); END;
CREATE TRIGGER inspection_no_replace BEFORE INSERT ON inspection
WHEN EXISTS (SELECT 1 FROM inspection WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'inspection is append-only'); END;

CREATE TRIGGER inspection_check_no_update BEFORE UPDATE ON inspection_check
BEGIN SELECT RAISE(ABORT, 'inspection_check is append-only'); END;
CREATE TRIGGER inspection_check_no_delete BEFORE DELETE ON inspection_check
BEGIN SELECT RAISE(ABORT, 'inspection_check is append-only'); END;
CREATE TRIGGER inspection_check_no_replace BEFORE INSERT ON inspection_check
WHEN EXISTS (SELECT 1 FROM inspection_check WHERE seq = NEW.seq AND check_name = NEW.check_name)
BEGIN SELECT RAISE(ABORT, 'inspection_check is append-only'); END;

CREATE TRIGGER inspection_line_no_update BEFORE UPDATE ON inspection_line
BEGIN SELECT RAISE(ABORT, 'inspection_line is append-only'); END;
CREATE TRIGGER inspection_line_no_delete BEFORE DELETE ON inspection_line
BEGIN SELECT RAISE(ABORT, 'inspection_line is append-only'); END;
CREATE TRIGGER inspection_line_no_replace BEFORE INSERT ON inspection_line
WHEN EXISTS (SELECT 1 FROM inspection_line WHERE seq = NEW.seq AND ordinal = NEW.ordinal)
BEGIN SELECT RAISE(ABORT, 'inspection_line is append-only'); END;

CREATE TRIGGER inspection_finding_no_update BEFORE UPDATE ON inspection_finding
BEGIN SELECT RAISE(ABORT, 'inspection_finding is append-only'); END;
CREATE TRIGGER inspection_finding_no_delete BEFORE DELETE ON inspection_finding
BEGIN SELECT RAISE(ABORT, 'inspection_finding is append-only'); END;
CREATE TRIGGER inspection_finding_no_replace BEFORE INSERT ON inspection_finding
WHEN EXISTS (SELECT 1 FROM inspection_finding WHERE seq = NEW.seq AND ordinal = NEW.ordinal)
BEGIN SELECT RAISE(ABORT, 'inspection_finding is append-only'); END;

CREATE TRIGGER cure_no_update BEFORE UPDATE ON cure
BEGIN SELECT RAISE(ABORT, 'cure is append-only'); END;
CREATE TRIGGER cure_no_delete BEFORE DELETE ON cure
BEGIN SELECT RAISE(ABORT, 'cure is append-only'); END;
CREATE TRIGGER cure_no_replace BEFORE INSERT ON cure
WHEN EXISTS (SELECT 1 FROM cure WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'cure is append-only'); END;

CREATE TRIGGER note_no_update BEFORE UPDATE ON note
BEGIN SELECT RAISE(ABORT, 'note is append-only'); END;
CREATE TRIGGER note_no_delete BEFORE DELETE ON note
BEGIN SELECT RAISE(ABORT, 'note is append-only'); END;
CREATE TRIGGER note_no_replace BEFORE INSERT ON note
WHEN EXISTS (SELECT 1 FROM note WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'note is append-only'); END;

CREATE TRIGGER consent_no_update BEFORE UPDATE ON consent
BEGIN SELECT RAISE(ABORT, 'consent is append-only'); END;
CREATE TRIGGER consent_no_delete BEFORE DELETE ON consent
BEGIN SELECT RAISE(ABORT, 'consent is append-only'); END;
CREATE TRIGGER consent_no_replace BEFORE INSERT ON consent
WHEN EXISTS (SELECT 1 FROM consent WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'consent is append-only'); END;

CREATE TRIGGER strike_no_update BEFORE UPDATE ON strike
BEGIN SELECT RAISE(ABORT, 'strike is append-only'); END;
CREATE TRIGGER strike_no_delete BEFORE DELETE ON strike
BEGIN SELECT RAISE(ABORT, 'strike is append-only'); END;
CREATE TRIGGER strike_no_replace BEFORE INSERT ON strike
WHEN EXISTS (SELECT 1 FROM strike WHERE seq = NEW.seq OR struck_seq = NEW.struck_seq)
BEGIN SELECT RAISE(ABORT, 'strike is append-only'); END;
