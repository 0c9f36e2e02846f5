-- How many cars of a class have which latest reading, so that the spread of a measure over a fleet of
-- thousands costs as many rows as there are different readings and not as many as there are cars.
-- Written only as readings are entered and struck and as a car's class changes; the check of the file
-- counts again and compares.

CREATE TABLE spread_now (
    measure   TEXT    NOT NULL,
    place     TEXT    NOT NULL,
    scale     TEXT    NOT NULL,
    -- Empty where the type of a car is not known.
    car_type  TEXT    NOT NULL,
    -- As 'reading' keeps it.
    amount    ANY     NOT NULL CHECK (typeof(amount) IN ('integer', 'real', 'text')),
    car_count INTEGER NOT NULL CHECK (car_count > 0),
    PRIMARY KEY (measure, place, scale, car_type, amount)
) STRICT, WITHOUT ROWID;

INSERT INTO spread_now (measure, place, scale, car_type, amount, car_count)
SELECT r.measure, r.place, c.scale, coalesce(c.car_type, ''), r.amount, count(*)
FROM (SELECT max(l.seq) AS seq FROM reading l
      WHERE l.amount IS NOT NULL
        AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = l.seq)
      GROUP BY l.measure, l.place, l.car_id) last
JOIN reading r ON r.seq = last.seq
JOIN car_now c ON c.car_id = r.car_id
GROUP BY 1, 2, 3, 4, 5;
