-- What the club prints on, and under which address its server is known. Neither is about a car, and
-- both may change: who changed what stands in 'audit'.

-- Sheets of labels by the names that the club gives them, every measure as it was typed.
CREATE TABLE label_sheet (
    name         TEXT PRIMARY KEY COLLATE NOCASE CHECK (length(trim(name)) > 0),
    paper        TEXT NOT NULL,
    columns      TEXT NOT NULL,
    rows         TEXT NOT NULL,
    width        TEXT NOT NULL,
    height       TEXT NOT NULL,
    left_margin  TEXT NOT NULL,
    top_margin   TEXT NOT NULL,
    pitch_across TEXT NOT NULL,
    pitch_down   TEXT NOT NULL
) STRICT;

-- One row at most: the address that codes on labels begin with.
CREATE TABLE server_address (
    only    INTEGER PRIMARY KEY CHECK (only = 1),
    address TEXT    NOT NULL CHECK (length(address) BETWEEN 8 AND 120)
) STRICT;
