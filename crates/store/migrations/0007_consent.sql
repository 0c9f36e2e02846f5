-- The owner's word: what he is asked, by kind of work, and what was said when the word was given.

-- The owner is asked about a kind of work; his next word on that kind answers it.
CREATE TABLE ask (
    seq  INTEGER PRIMARY KEY REFERENCES event (seq),
    work TEXT    NOT NULL,
    what TEXT    NOT NULL
) STRICT;

-- What the owner said with his word; for a word given by mouth, who heard it and how.
ALTER TABLE consent ADD COLUMN word TEXT NOT NULL DEFAULT '';

-- Mistakes that were struck belong to the audit trail.
CREATE INDEX event_strikes ON event (at_us, seq) WHERE kind = 'strike';

-- The cars whose standing changed last.
CREATE INDEX car_now_by_since ON car_now (since_us, car_id);

-- What was written stays. The third trigger is for INSERT OR REPLACE, which deletes a row without
-- asking the second.

CREATE TRIGGER ask_no_update BEFORE UPDATE ON ask
BEGIN SELECT RAISE(ABORT, 'ask is append-only'); END;
CREATE TRIGGER ask_no_delete BEFORE DELETE ON ask
BEGIN SELECT RAISE(ABORT, 'ask is append-only'); END;
CREATE TRIGGER ask_no_replace BEFORE INSERT ON ask
WHEN EXISTS (SELECT 1 FROM ask WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'ask is append-only'); END;
