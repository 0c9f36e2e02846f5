-- Members of the club: who may do what, how they prove who they are, and what was changed about them.

CREATE TABLE member (
    id              INTEGER PRIMARY KEY,
    name            TEXT    NOT NULL UNIQUE COLLATE NOCASE CHECK (length(trim(name)) > 0),
    role            TEXT    NOT NULL
                    CHECK (role IN ('lead', 'inspector', 'apprentice', 'operator', 'owner', 'track lead')),
    active          INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
    password_hash   TEXT,
    pin_hash        TEXT,
    failed_tries    INTEGER NOT NULL DEFAULT 0 CHECK (failed_tries >= 0),
    locked_until_us INTEGER
) STRICT;

-- A member leaves by 'active = 0'; rows that name him stay readable for ever.
CREATE TRIGGER member_no_delete BEFORE DELETE ON member
BEGIN SELECT RAISE(ABORT, 'member is never deleted: set active to 0'); END;

-- One-time tokens with which a member sets his first password. Only the SHA-256 is kept.
CREATE TABLE setup_token (
    token_sha256  BLOB    PRIMARY KEY CHECK (length(token_sha256) = 32),
    member_id     INTEGER NOT NULL REFERENCES member (id),
    expires_at_us INTEGER NOT NULL,
    used_at_us    INTEGER
) STRICT;
CREATE INDEX setup_token_by_member ON setup_token (member_id);

-- Open sessions. Only the SHA-256 of the token is kept.
CREATE TABLE session (
    token_sha256  BLOB    PRIMARY KEY CHECK (length(token_sha256) = 32),
    member_id     INTEGER NOT NULL REFERENCES member (id),
    device        TEXT    NOT NULL,
    opened_at_us  INTEGER NOT NULL,
    expires_at_us INTEGER NOT NULL
) STRICT;
CREATE INDEX session_by_member ON session (member_id);

-- Sign-off per check: the last row for a member and a check counts.
CREATE TABLE sign_off (
    id         INTEGER PRIMARY KEY,
    member_id  INTEGER NOT NULL REFERENCES member (id),
    check_name TEXT    NOT NULL,
    granted    INTEGER NOT NULL CHECK (granted IN (0, 1)),
    by_id      INTEGER NOT NULL REFERENCES member (id),
    at_us      INTEGER NOT NULL
) STRICT;
CREATE INDEX sign_off_by_member ON sign_off (member_id, check_name, id);

-- Every change of members and rules, with who and when.
-- Releases and consents are rows of 'event', which names who and when itself.
CREATE TABLE audit (
    id        INTEGER PRIMARY KEY,
    at_us     INTEGER NOT NULL,
    by_id     INTEGER NOT NULL REFERENCES member (id),
    member_id INTEGER REFERENCES member (id),
    change    TEXT    NOT NULL,
    detail    TEXT    NOT NULL
) STRICT;
CREATE INDEX audit_by_time ON audit (at_us, id);

-- What was written stays. The third trigger of each table is for INSERT OR REPLACE, which deletes
-- a row without asking the second.

CREATE TRIGGER sign_off_no_update BEFORE UPDATE ON sign_off
BEGIN SELECT RAISE(ABORT, 'sign_off is append-only'); END;
CREATE TRIGGER sign_off_no_delete BEFORE DELETE ON sign_off
BEGIN SELECT RAISE(ABORT, 'sign_off is append-only'); END;
CREATE TRIGGER sign_off_no_replace BEFORE INSERT ON sign_off
WHEN EXISTS (SELECT 1 FROM sign_off WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'sign_off is append-only'); END;

CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit
BEGIN SELECT RAISE(ABORT, 'audit is append-only'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit
BEGIN SELECT RAISE(ABORT, 'audit is append-only'); END;
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit
WHEN EXISTS (SELECT 1 FROM audit WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'audit is append-only'); END;
