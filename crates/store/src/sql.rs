//! Every statement that is put to the file, so that it can be seen in one place what is asked of it.
//! A test prepares each against a fresh file, and another finds no SQL anywhere else in the crate.

macro_rules! statements {
    ($($name:ident = $text:expr;)+) => {
        $(pub(crate) const $name: &str = $text;)+

        /// All of them, by name.
        #[cfg(test)]
        pub(crate) const ALL: &[(&str, &str)] = &[$((stringify!($name), $name)),+];
    };
}

/// How many cars of each class have which latest reading, counted from the readings. Migration 8 says the
/// same of the files that it found, and stays as it was.
macro_rules! counted {
    () => {
        "SELECT r.measure, r.place, c.scale, coalesce(c.car_type, '') AS car_type, r.amount,
            count(*) AS car_count
        FROM (SELECT max(l.seq) AS seq FROM reading l
              WHERE l.amount IS NOT NULL
                AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = l.seq)
              GROUP BY l.measure, l.place, l.car_id) last
        JOIN reading r ON r.seq = last.seq
        JOIN car_now c ON c.car_id = r.car_id
        GROUP BY 1, 2, 3, 4, 5"
    };
}

statements! {
    // The file itself.
    TABLE_COUNT = "SELECT count(*) FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%'";
    BEGIN_IMMEDIATE = "BEGIN IMMEDIATE";
    BEGIN_READ = "BEGIN";
    COMMIT = "COMMIT";
    ROLLBACK = "ROLLBACK";
    SAVEPOINT = "SAVEPOINT command";
    RELEASE_SAVEPOINT = "RELEASE command";
    ROLLBACK_TO_SAVEPOINT = "ROLLBACK TO command";
    INTEGRITY_CHECK = "PRAGMA integrity_check";
    FOREIGN_KEY_CHECK =
        "SELECT \"table\", coalesce(rowid, 0), parent FROM pragma_foreign_key_check LIMIT 100";
    HALF_WRITTEN_EVENTS = "SELECT seq, kind FROM event e WHERE NOT CASE kind
        WHEN 'lettering' THEN EXISTS (SELECT 1 FROM lettering d WHERE d.seq = e.seq)
        WHEN 'ownership' THEN EXISTS (SELECT 1 FROM ownership d WHERE d.seq = e.seq)
        WHEN 'description' THEN EXISTS (SELECT 1 FROM description d WHERE d.seq = e.seq)
        WHEN 'fitting' THEN EXISTS (SELECT 1 FROM fitting d WHERE d.seq = e.seq)
        WHEN 'reading' THEN EXISTS (SELECT 1 FROM reading d WHERE d.seq = e.seq)
        WHEN 'inspection' THEN EXISTS (SELECT 1 FROM inspection d WHERE d.seq = e.seq)
        WHEN 'cure' THEN EXISTS (SELECT 1 FROM cure d WHERE d.seq = e.seq)
        WHEN 'note' THEN EXISTS (SELECT 1 FROM note d WHERE d.seq = e.seq)
        WHEN 'consent' THEN EXISTS (SELECT 1 FROM consent d WHERE d.seq = e.seq)
        WHEN 'ask' THEN EXISTS (SELECT 1 FROM ask d WHERE d.seq = e.seq)
        WHEN 'strike' THEN EXISTS (SELECT 1 FROM strike d WHERE d.seq = e.seq)
        WHEN 'bad order' THEN EXISTS (SELECT 1 FROM bad_order d WHERE d.seq = e.seq)
        WHEN 'merge' THEN EXISTS (SELECT 1 FROM merge d WHERE d.seq = e.seq)
        WHEN 'rest' THEN EXISTS (SELECT 1 FROM rest d WHERE d.seq = e.seq)
        WHEN 'wait' THEN EXISTS (SELECT 1 FROM wait d WHERE d.seq = e.seq)
        WHEN 'wait end' THEN EXISTS (SELECT 1 FROM wait_end d WHERE d.seq = e.seq)
        WHEN 'handing back' THEN EXISTS (SELECT 1 FROM handing_back d WHERE d.seq = e.seq)
        WHEN 'taking in' THEN EXISTS (SELECT 1 FROM taking_in d WHERE d.seq = e.seq)
        WHEN 'release' THEN EXISTS (SELECT 1 FROM release d WHERE d.seq = e.seq)
        WHEN 'photo' THEN EXISTS (SELECT 1 FROM photo d WHERE d.seq = e.seq)
        ELSE 0 END LIMIT 100";
    TABLES = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'
        ORDER BY name";
    COLUMNS = "SELECT name FROM pragma_table_info(?1) ORDER BY cid";
    DEFER_FOREIGN_KEYS = "PRAGMA defer_foreign_keys = ON";
    COUNT_EVENTS = "SELECT count(*) FROM event";

    // Events.
    INSERT_CAR = "INSERT INTO car DEFAULT VALUES";
    INSERT_EVENT = "INSERT INTO event (car_id, kind, at_us, by_id, second_id, client_id)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
    VERSION_OF_CAR = "SELECT max(seq) FROM event WHERE car_id = ?1";
    ALL_CARS = "SELECT id FROM car ORDER BY id";
    EVENT_BY_CLIENT_ID = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id, e.client_id,
            s.seq, se.at_us, se.by_id, s.why
        FROM event e LEFT JOIN strike s ON s.struck_seq = e.seq LEFT JOIN event se ON se.seq = s.seq
        WHERE e.client_id = ?1";
    EVENTS_OF_CAR = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id, e.client_id,
            s.seq, se.at_us, se.by_id, s.why
        FROM event e LEFT JOIN strike s ON s.struck_seq = e.seq LEFT JOIN event se ON se.seq = s.seq
        WHERE e.car_id = ?1 AND e.seq > ?2 ORDER BY e.seq LIMIT ?3";

    PHOTOS_OF_CAR = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id, e.client_id,
            s.seq, se.at_us, se.by_id, s.why
        FROM event e LEFT JOIN strike s ON s.struck_seq = e.seq LEFT JOIN event se ON se.seq = s.seq
        WHERE e.car_id = ?1 AND e.kind = 'photo' ORDER BY e.seq";
    READINGS_LATELY = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id, e.client_id,
            s.seq, se.at_us, se.by_id, s.why
        FROM event e LEFT JOIN strike s ON s.struck_seq = e.seq LEFT JOIN event se ON se.seq = s.seq
        WHERE e.car_id = ?1 AND e.kind = 'reading' AND e.by_id = ?2 AND e.at_us >= ?3
        ORDER BY e.seq DESC LIMIT ?4";
    STANDING_EVENTS_OF_CAR = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id,
            e.client_id, s.seq, se.at_us, se.by_id, s.why
        FROM event e LEFT JOIN strike s ON s.struck_seq = e.seq LEFT JOIN event se ON se.seq = s.seq
        WHERE e.car_id = ?1 AND e.kind IN ('lettering', 'ownership', 'description', 'bad order',
            'merge', 'rest', 'wait', 'wait end', 'ask', 'consent', 'handing back', 'taking in', 'release')
        ORDER BY e.seq";
    KIND_OF_EVENT = "SELECT e.kind, e.by_id, EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        FROM event e WHERE e.seq = ?1 AND e.car_id = ?2";
    LIVE_OF_KIND = "SELECT count(*) FROM event e WHERE e.car_id = ?1 AND e.kind = ?2
        AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)";

    // Files taken in.
    CARS_MARKED = "SELECT car_id FROM car_now WHERE mark = ?1 ORDER BY car_id";
    INSERT_IMPORT = "INSERT INTO import (at_us, by_id, file_name, file_sha256, new_cars, known_cars,
            fact_count)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
    IMPORT_OF_FILE = "SELECT id, at_us, by_id, file_name, file_sha256, new_cars, known_cars, fact_count
        FROM import WHERE file_sha256 = ?1 ORDER BY id LIMIT 1";
    IMPORTS = "SELECT id, at_us, by_id, file_name, file_sha256, new_cars, known_cars, fact_count
        FROM import ORDER BY id DESC LIMIT ?1";

    // Facts, a table each.
    INSERT_LETTERING = "INSERT INTO lettering (seq, mark) VALUES (?1, ?2)";
    LETTERING = "SELECT mark FROM lettering WHERE seq = ?1";
    INSERT_OWNERSHIP = "INSERT INTO ownership (seq, owner, member_id) VALUES (?1, ?2, ?3)";
    OWNERSHIP = "SELECT owner, member_id FROM ownership WHERE seq = ?1";
    INSERT_DESCRIPTION = "INSERT INTO description (seq, scale, car_type, description, axle_count,
            body_length_nm, length_over_couplers_nm, truck_centres_nm, truck_wheelbase_nm,
            overhang_a_nm, overhang_b_nm, wheel_code, frame_material)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)";
    DESCRIPTION = "SELECT scale, car_type, description, axle_count,
            body_length_nm, length_over_couplers_nm, truck_centres_nm, truck_wheelbase_nm,
            overhang_a_nm, overhang_b_nm, wheel_code, frame_material
        FROM description WHERE seq = ?1";
    INSERT_TAG = "INSERT INTO description_tag (seq, ordinal, tag) VALUES (?1, ?2, ?3)";
    TAGS = "SELECT tag FROM description_tag WHERE seq = ?1 ORDER BY ordinal";
    INSERT_SHIM = "INSERT INTO description_shim (seq, car_end, ordinal, thickness_nm)
        VALUES (?1, ?2, ?3, ?4)";
    SHIMS = "SELECT car_end, thickness_nm FROM description_shim WHERE seq = ?1
        ORDER BY car_end, ordinal";
    INSERT_FITTING = "INSERT INTO fitting (seq, part, place, description, lot)
        VALUES (?1, ?2, ?3, ?4, ?5)";
    FITTING = "SELECT part, place, description, lot FROM fitting WHERE seq = ?1";
    INSERT_READING = "INSERT INTO reading (seq, car_id, measure, place, answer, typed, unit,
            unit_was_typed, amount, resolution, instrument, read_on)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)";
    READING = "SELECT measure, place, answer, typed, unit, unit_was_typed, amount, resolution,
            instrument, read_on
        FROM reading WHERE seq = ?1";
    INSERT_INSPECTION = "INSERT INTO inspection (seq, edition, read_to, verdict)
        VALUES (?1, ?2, ?3, ?4)";
    INSPECTION = "SELECT edition, read_to, verdict FROM inspection WHERE seq = ?1";
    INSERT_INSPECTION_CHECK = "INSERT INTO inspection_check (seq, check_name, verdict)
        VALUES (?1, ?2, ?3)";
    INSPECTION_CHECKS = "SELECT check_name, verdict FROM inspection_check WHERE seq = ?1";
    INSERT_INSPECTION_LINE = "INSERT INTO inspection_line (seq, ordinal, check_name, aspect, place,
            dimension, reading, lower, upper, margin, conformity, verdict, grounds)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)";
    INSPECTION_LINES = "SELECT check_name, aspect, place, dimension, reading, lower, upper, margin,
            conformity, verdict, grounds
        FROM inspection_line WHERE seq = ?1 ORDER BY ordinal";
    INSERT_FINDING = "INSERT INTO inspection_finding (seq, ordinal, text) VALUES (?1, ?2, ?3)";
    FINDINGS = "SELECT text FROM inspection_finding WHERE seq = ?1 ORDER BY ordinal";
    INSERT_CURE = "INSERT INTO cure (seq, cure, place, done_on, note) VALUES (?1, ?2, ?3, ?4, ?5)";
    CURE = "SELECT cure, place, done_on, note FROM cure WHERE seq = ?1";
    INSERT_NOTE = "INSERT INTO note (seq, text) VALUES (?1, ?2)";
    NOTE = "SELECT text FROM note WHERE seq = ?1";
    INSERT_CONSENT = "INSERT INTO consent (seq, work, granted, word) VALUES (?1, ?2, ?3, ?4)";
    CONSENT = "SELECT work, granted, word FROM consent WHERE seq = ?1";
    INSERT_ASK = "INSERT INTO ask (seq, work, what) VALUES (?1, ?2, ?3)";
    ASK = "SELECT work, what FROM ask WHERE seq = ?1";
    INSERT_STRIKE = "INSERT INTO strike (seq, struck_seq, why) VALUES (?1, ?2, ?3)";
    STRIKE = "SELECT struck_seq, why FROM strike WHERE seq = ?1";
    INSERT_BAD_ORDER = "INSERT INTO bad_order (seq, defect, place, note) VALUES (?1, ?2, ?3, ?4)";
    BAD_ORDER = "SELECT defect, place, note FROM bad_order WHERE seq = ?1";
    INSERT_MERGE = "INSERT INTO merge (seq, duplicate_seq, into_seq) VALUES (?1, ?2, ?3)";
    MERGE = "SELECT duplicate_seq, into_seq FROM merge WHERE seq = ?1";
    INSERT_REST = "INSERT INTO rest (seq, not_before_us, why) VALUES (?1, ?2, ?3)";
    REST = "SELECT not_before_us, why FROM rest WHERE seq = ?1";
    INSERT_WAIT = "INSERT INTO wait (seq, wait_for, what) VALUES (?1, ?2, ?3)";
    WAIT = "SELECT wait_for, what FROM wait WHERE seq = ?1";
    INSERT_WAIT_END = "INSERT INTO wait_end (seq, wait_seq, note) VALUES (?1, ?2, ?3)";
    WAIT_END = "SELECT wait_seq, note FROM wait_end WHERE seq = ?1";
    INSERT_HANDING_BACK = "INSERT INTO handing_back (seq, why) VALUES (?1, ?2)";
    HANDING_BACK = "SELECT why FROM handing_back WHERE seq = ?1";
    INSERT_TAKING_IN = "INSERT INTO taking_in (seq, why) VALUES (?1, ?2)";
    TAKING_IN = "SELECT why FROM taking_in WHERE seq = ?1";
    INSERT_RELEASE = "INSERT INTO release (seq, restriction, note) VALUES (?1, ?2, ?3)";
    RELEASE = "SELECT restriction, note FROM release WHERE seq = ?1";
    INSERT_PHOTO = "INSERT INTO photo (seq, sha256, media_type, width_px, height_px, caption)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
    PHOTO = "SELECT sha256, media_type, width_px, height_px, caption FROM photo WHERE seq = ?1";
    PHOTO_COUNT = "SELECT count(*) FROM event WHERE car_id = ?1 AND kind = 'photo'";
    HAS_PHOTO_CONTENT = "SELECT EXISTS (SELECT 1 FROM photo_content WHERE sha256 = ?1)";
    INSERT_PHOTO_CONTENT = "INSERT INTO photo_content (sha256, bytes) VALUES (?1, ?2)";
    PHOTO_CONTENT = "SELECT bytes FROM photo_content WHERE sha256 = ?1";
    PHOTO_CONTENTS = "SELECT sha256, bytes FROM photo_content";

    // What follows from the events.
    PUT_CAR_NOW = "INSERT INTO car_now (car_id, mark, owner, owner_member_id, scale, car_type,
            description, standing, since_us, not_before_us, detail)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)
        ON CONFLICT (car_id) DO UPDATE SET mark = excluded.mark,
            owner = excluded.owner, owner_member_id = excluded.owner_member_id,
            scale = excluded.scale, car_type = excluded.car_type,
            description = excluded.description, standing = excluded.standing,
            since_us = excluded.since_us, not_before_us = excluded.not_before_us,
            detail = excluded.detail";
    CAR_NOW = "SELECT car_id, mark, owner, owner_member_id, scale, car_type, description,
            standing, since_us, not_before_us, detail
        FROM car_now WHERE car_id = ?1";

    // Lists.
    FLEET = "SELECT car_id, mark, owner, owner_member_id, scale, car_type, description,
            standing, since_us, not_before_us, detail
        FROM car_now
        WHERE (mark, car_id) > (?1, ?2)
          AND (?3 IS NULL OR instr(mark, ?3) > 0)
          AND (?4 IS NULL OR instr(lower(owner), ?4) > 0)
          AND (?5 IS NULL OR owner_member_id = ?5)
          AND (?6 IS NULL OR standing = ?6)
          AND (?7 IS NULL OR scale = ?7)
          AND (?8 IS NULL OR car_type = ?8)
        ORDER BY mark, car_id LIMIT ?9";
    ROWS_MARKED = "SELECT car_id, mark, owner, owner_member_id, scale, car_type, description,
            standing, since_us, not_before_us, detail
        FROM car_now WHERE mark = ?1 ORDER BY car_id";
    RIP_TRACK = "SELECT c.car_id, c.mark, c.owner, c.owner_member_id, c.scale, c.car_type,
            c.description, c.standing, c.since_us, c.not_before_us, c.detail, w.needed_at_us
        FROM car_now c LEFT JOIN wanted w ON w.car_id = c.car_id
        WHERE c.standing IN ('bad-ordered', 'resting', 'waiting for parts', 'waiting for owner')
        ORDER BY c.since_us, c.car_id";
    CLEAR_WANTED = "DELETE FROM wanted";
    INSERT_WANTED = "INSERT INTO wanted (car_id, needed_at_us) VALUES (?1, ?2)
        ON CONFLICT (car_id) DO NOTHING";
    READINGS_OF_CAR = "SELECT r.measure, r.place, r.answer, r.typed, r.unit, r.unit_was_typed, r.amount,
            r.resolution, r.instrument, r.read_on, r.seq
        FROM event e JOIN reading r ON r.seq = e.seq
        WHERE e.car_id = ?1
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.seq";
    CURES_OF_CAR = "SELECT c.seq FROM event e JOIN cure c ON c.seq = e.seq
        WHERE e.car_id = ?1 AND e.kind = 'cure'
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.seq";
    TIME_OF_EVENT = "SELECT at_us FROM event WHERE seq = ?1";
    PREVIOUS_READING = "SELECT r.seq, e.at_us
        FROM reading r JOIN event e ON e.seq = r.seq
        WHERE r.measure = ?1 AND r.place = ?2 AND r.car_id = ?3 AND r.seq < ?4
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = r.seq)
        ORDER BY r.seq DESC LIMIT 1";
    SPREAD = "SELECT amount, car_count FROM spread_now
        WHERE measure = ?1 AND place = ?2 AND scale = ?3 AND (?4 IS NULL OR car_type = ?4)";
    SPOT_OF_READING = "SELECT measure, place FROM reading WHERE seq = ?1";
    LATEST_AMOUNT = "SELECT r.amount FROM reading r
        WHERE r.measure = ?1 AND r.place = ?2 AND r.car_id = ?3 AND r.amount IS NOT NULL
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = r.seq)
        ORDER BY r.seq DESC LIMIT 1";
    AMOUNTS_OF_CAR = "SELECT r.measure, r.place, r.amount
        FROM event e JOIN reading r ON r.seq = e.seq
        WHERE e.car_id = ?1 AND r.amount IS NOT NULL
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.seq DESC";
    CLASS_OF_CAR = "SELECT scale, coalesce(car_type, '') FROM car_now WHERE car_id = ?1";
    COUNT_IN = "INSERT INTO spread_now (measure, place, scale, car_type, amount, car_count)
        VALUES (?1, ?2, ?3, ?4, ?5, 1)
        ON CONFLICT DO UPDATE SET car_count = car_count + 1";
    COUNT_OUT_LAST = "DELETE FROM spread_now
        WHERE measure = ?1 AND place = ?2 AND scale = ?3 AND car_type = ?4 AND amount = ?5
          AND car_count = 1";
    COUNT_OUT = "UPDATE spread_now SET car_count = car_count - 1
        WHERE measure = ?1 AND place = ?2 AND scale = ?3 AND car_type = ?4 AND amount = ?5";
    MISCOUNTED = concat!("WITH counted AS (", counted!(), "),
        kept AS (SELECT measure, place, scale, car_type, amount, car_count FROM spread_now)
        SELECT measure, place FROM (SELECT * FROM counted EXCEPT SELECT * FROM kept)
        UNION
        SELECT measure, place FROM (SELECT * FROM kept EXCEPT SELECT * FROM counted)
        LIMIT 100");
    EMPTY_SPREAD = "DELETE FROM spread_now";
    RECOUNT_SPREAD = concat!("INSERT INTO spread_now (measure, place, scale, car_type, amount, car_count)
        ", counted!());
    CONSENTS = "SELECT c.work, c.granted FROM event e JOIN consent c ON c.seq = e.seq
        WHERE e.car_id = ?1 AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
          AND e.seq > coalesce((SELECT max(o.seq) FROM event o WHERE o.car_id = ?1
              AND o.kind = 'ownership'
              AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = o.seq)), 0)
        ORDER BY e.seq";
    WANTED = "SELECT car_id, needed_at_us FROM wanted ORDER BY car_id";
    LATELY_MOVED = "SELECT car_id, mark, owner, owner_member_id, scale, car_type, description,
            standing, since_us, not_before_us, detail
        FROM car_now ORDER BY since_us DESC, car_id DESC LIMIT ?1";

    // The fleet, for whoever holds it in memory.
    LAST_EVENT = "SELECT coalesce(max(seq), 0) FROM event";
    CARS_SINCE = "SELECT DISTINCT car_id FROM event WHERE seq > ?1 ORDER BY car_id";
    CARS_BETWEEN = "SELECT id FROM car WHERE id BETWEEN ?1 AND ?2 ORDER BY id";
    READINGS_BY_CAR = "SELECT r.measure, r.place, r.answer, r.typed, r.unit, r.unit_was_typed, r.amount,
            r.resolution, r.instrument, r.read_on, e.car_id, e.seq, e.at_us, e.by_id
        FROM event e CROSS JOIN reading r ON r.seq = e.seq
        WHERE e.car_id BETWEEN ?1 AND ?2
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.car_id, e.seq";
    CURES_BY_CAR = "SELECT e.car_id, e.seq, c.cure, c.done_on
        FROM event e CROSS JOIN cure c ON c.seq = e.seq
        WHERE e.car_id BETWEEN ?1 AND ?2
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.car_id, e.seq";
    FITTINGS_BY_CAR = "SELECT e.car_id, e.seq, f.part, f.place, f.description, f.lot
        FROM event e CROSS JOIN fitting f ON f.seq = e.seq
        WHERE e.car_id BETWEEN ?1 AND ?2
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.car_id, e.seq";

    // What happened to every car, for a report.
    DOINGS_BY_CAR = "SELECT e.seq, e.car_id, e.kind, e.at_us, e.by_id, e.second_id, e.client_id,
            NULL, NULL, NULL, NULL
        FROM event e
        WHERE e.car_id >= 0
          AND e.kind IN ('inspection', 'bad order', 'merge', 'release', 'handing back')
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        ORDER BY e.car_id, e.seq";
    INSTRUMENT_USES = "SELECT r.instrument, count(*), max(e.at_us)
        FROM event e CROSS JOIN reading r ON r.seq = e.seq
        WHERE e.car_id >= 0 AND e.at_us >= ?1 AND e.at_us < ?2
          AND NOT EXISTS (SELECT 1 FROM strike s WHERE s.struck_seq = e.seq)
        GROUP BY r.instrument ORDER BY r.instrument";

    // Drafts of an edition, and groups.
    INSERT_RULE_DRAFT = "INSERT INTO rule_draft (name, base_edition, text, by_id, changed_at_us, revision)
        VALUES (?1, ?2, ?3, ?4, ?5, 1)";
    SET_RULE_DRAFT = "UPDATE rule_draft SET text = ?2, by_id = ?3, changed_at_us = ?4,
            revision = revision + 1 WHERE id = ?1";
    RULE_DRAFT = "SELECT id, name, base_edition, text, by_id, changed_at_us, revision
        FROM rule_draft WHERE id = ?1";
    RULE_DRAFTS = "SELECT id, name, base_edition, text, by_id, changed_at_us, revision
        FROM rule_draft ORDER BY id";
    DROP_RULE_DRAFT = "DELETE FROM rule_draft WHERE id = ?1";
    INSERT_CAR_GROUP = "INSERT INTO car_group (name, query, by_id, made_at_us) VALUES (?1, ?2, ?3, ?4)";
    CAR_GROUP_NAMED = "SELECT id, by_id FROM car_group WHERE name = ?1";
    MAKER_OF_CAR_GROUP = "SELECT by_id FROM car_group WHERE id = ?1";
    CAR_GROUPS = "SELECT id, name, query, by_id, made_at_us FROM car_group ORDER BY name, id";
    DROP_CAR_GROUP = "DELETE FROM car_group WHERE id = ?1";

    // Drafts.
    PUT_DRAFT = "INSERT INTO draft (bench, car_id, field, text, by_id, typed_at_us)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6)
        ON CONFLICT (bench, car_id, field) DO UPDATE SET text = excluded.text,
            by_id = excluded.by_id, typed_at_us = excluded.typed_at_us";
    DROP_DRAFT = "DELETE FROM draft WHERE bench = ?1 AND car_id = ?2 AND field = ?3";
    DRAFTS = "SELECT field, text, by_id, typed_at_us FROM draft
        WHERE bench = ?1 AND car_id = ?2 ORDER BY field";
    CARS_WITH_DRAFTS = "SELECT car_id, max(typed_at_us) AS last FROM draft WHERE bench = ?1
        GROUP BY car_id ORDER BY last DESC, car_id";

    // The hill.
    INSERT_HILL_ITEM = "INSERT INTO hill_item (kind, name) VALUES (?1, ?2)";
    INSERT_HILL_EDITION = "INSERT INTO hill_edition (item_id, edition, text, readings, withdrawn,
            entered_at_us, by_id, client_id)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)";
    HILL_OF_KIND = "SELECT i.id, i.kind, i.name, d.edition, d.text, d.readings, d.withdrawn,
            d.entered_at_us, d.by_id
        FROM hill_item i JOIN hill_edition d ON d.item_id = i.id
        WHERE i.kind = ?1
          AND d.edition = (SELECT max(l.edition) FROM hill_edition l WHERE l.item_id = i.id)
        ORDER BY i.name";
    HILL_LATEST = "SELECT i.id, i.kind, i.name, d.edition, d.text, d.readings, d.withdrawn,
            d.entered_at_us, d.by_id
        FROM hill_item i JOIN hill_edition d ON d.item_id = i.id
        WHERE i.id = ?1 AND i.kind = ?2 ORDER BY d.edition DESC LIMIT 1";
    HILL_NAMED = "SELECT i.id, i.kind, i.name, d.edition, d.text, d.readings, d.withdrawn,
            d.entered_at_us, d.by_id
        FROM hill_item i JOIN hill_edition d ON d.item_id = i.id
        WHERE i.kind = ?1 AND i.name = ?2 ORDER BY d.edition DESC LIMIT 1";
    HILL_EDITIONS = "SELECT i.id, i.kind, i.name, d.edition, d.text, d.readings, d.withdrawn,
            d.entered_at_us, d.by_id
        FROM hill_item i JOIN hill_edition d ON d.item_id = i.id
        WHERE i.id = ?1 ORDER BY d.edition DESC";
    HILL_BY_CLIENT_ID = "SELECT i.id, i.kind, i.name, d.edition, d.text, d.readings, d.withdrawn,
            d.entered_at_us, d.by_id
        FROM hill_edition d JOIN hill_item i ON i.id = d.item_id
        WHERE d.client_id = ?1";

    // Rule books.
    INSERT_RULE_BOOK = "INSERT INTO rule_book (edition, title, effective, text, text_sha256,
            entered_at_us, by_id)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
    LATEST_EDITION = "SELECT max(edition) FROM rule_book";
    HAS_EDITION = "SELECT EXISTS (SELECT 1 FROM rule_book WHERE edition = ?1)";
    RULE_BOOK = "SELECT edition, title, effective, text, text_sha256, entered_at_us, by_id
        FROM rule_book WHERE edition = ?1";
    EDITIONS = "SELECT edition, effective FROM rule_book ORDER BY edition";
    RULE_BOOKS = "SELECT edition, title, effective, text, text_sha256, entered_at_us, by_id
        FROM rule_book ORDER BY edition";

    // Paper.
    LABEL_SHEETS = "SELECT name, paper, columns, rows, width, height, left_margin, top_margin,
            pitch_across, pitch_down
        FROM label_sheet ORDER BY name";
    PUT_LABEL_SHEET = "INSERT INTO label_sheet (name, paper, columns, rows, width, height,
            left_margin, top_margin, pitch_across, pitch_down)
        VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
        ON CONFLICT (name) DO UPDATE SET paper = excluded.paper, columns = excluded.columns,
            rows = excluded.rows, width = excluded.width, height = excluded.height,
            left_margin = excluded.left_margin, top_margin = excluded.top_margin,
            pitch_across = excluded.pitch_across, pitch_down = excluded.pitch_down";
    DROP_LABEL_SHEET = "DELETE FROM label_sheet WHERE name = ?1";
    SERVER_ADDRESS = "SELECT address FROM server_address";
    PUT_SERVER_ADDRESS = "INSERT INTO server_address (only, address) VALUES (1, ?1)
        ON CONFLICT (only) DO UPDATE SET address = excluded.address";
    DROP_SERVER_ADDRESS = "DELETE FROM server_address";

    // Members.
    MEMBER_COUNT = "SELECT count(*) FROM member";
    ACTIVE_LEADS = "SELECT count(*) FROM member WHERE role = 'lead' AND active = 1";
    INSERT_MEMBER = "INSERT INTO member (name, role) VALUES (?1, ?2)";
    MEMBER_NAMED = "SELECT id FROM member WHERE name = ?1";
    MEMBER = "SELECT id, name, role, active, failed_tries, locked_until_us,
            password_hash IS NOT NULL, pin_hash IS NOT NULL
        FROM member WHERE id = ?1";
    MEMBERS = "SELECT id, name, role, active, failed_tries, locked_until_us,
            password_hash IS NOT NULL, pin_hash IS NOT NULL
        FROM member ORDER BY name, id";
    SECRETS = "SELECT id, active, password_hash, pin_hash, locked_until_us FROM member WHERE name = ?1";
    SECRETS_BY_ID = "SELECT id, active, password_hash, pin_hash, locked_until_us FROM member
        WHERE id = ?1";
    SET_MEMBER_NAME = "UPDATE member SET name = ?2 WHERE id = ?1";
    SET_MEMBER_ROLE = "UPDATE member SET role = ?2 WHERE id = ?1";
    SET_MEMBER_ACTIVE = "UPDATE member SET active = ?2 WHERE id = ?1";
    SET_PASSWORD_HASH = "UPDATE member SET password_hash = ?2 WHERE id = ?1";
    SET_PIN_HASH = "UPDATE member SET pin_hash = ?2 WHERE id = ?1";
    SET_TRIES = "UPDATE member SET failed_tries = ?2, locked_until_us = ?3 WHERE id = ?1";
    INSERT_TOKEN = "INSERT INTO setup_token (token_sha256, member_id, expires_at_us)
        VALUES (?1, ?2, ?3)";
    DROP_UNUSED_TOKENS = "DELETE FROM setup_token WHERE member_id = ?1 AND used_at_us IS NULL";
    USABLE_TOKEN = "SELECT t.member_id FROM setup_token t JOIN member m ON m.id = t.member_id
        WHERE t.token_sha256 = ?1 AND t.used_at_us IS NULL AND t.expires_at_us > ?2 AND m.active = 1";
    USE_TOKEN = "UPDATE setup_token SET used_at_us = ?2 WHERE token_sha256 = ?1";
    INSERT_SIGN_OFF = "INSERT INTO sign_off (member_id, check_name, granted, by_id, at_us)
        VALUES (?1, ?2, ?3, ?4, ?5)";
    SIGN_OFFS = "SELECT check_name, granted FROM sign_off WHERE member_id = ?1 ORDER BY id";
    INSERT_SESSION = "INSERT INTO session (token_sha256, member_id, device, opened_at_us, expires_at_us)
        VALUES (?1, ?2, ?3, ?4, ?5)";
    SESSION = "SELECT s.member_id, s.device, s.opened_at_us, s.expires_at_us
        FROM session s JOIN member m ON m.id = s.member_id
        WHERE s.token_sha256 = ?1 AND s.expires_at_us > ?2 AND m.active = 1";
    SESSIONS = "SELECT member_id, device, opened_at_us, expires_at_us FROM session
        WHERE member_id = ?1 AND expires_at_us > ?2 ORDER BY opened_at_us, token_sha256";
    DROP_SESSION = "DELETE FROM session WHERE token_sha256 = ?1";
    DROP_SESSIONS_OF = "DELETE FROM session WHERE member_id = ?1";
    DROP_EXPIRED_SESSIONS = "DELETE FROM session WHERE expires_at_us <= ?1";
    INSERT_AUDIT = "INSERT INTO audit (at_us, by_id, member_id, change, detail)
        VALUES (?1, ?2, ?3, ?4, ?5)";
    AUDIT = "SELECT at_us, by_id, member_id, NULL, change, detail, id FROM audit
            WHERE at_us >= ?1 AND at_us < ?2
        UNION ALL
        SELECT e.at_us, e.by_id, NULL, e.car_id, 'car released', coalesce(r.restriction, ''), e.seq
            FROM event e JOIN release r ON r.seq = e.seq
            WHERE e.kind = 'release' AND e.at_us >= ?1 AND e.at_us < ?2
        UNION ALL
        SELECT e.at_us, e.by_id, NULL, e.car_id,
                CASE c.granted WHEN 1 THEN 'consent given' ELSE 'consent refused' END,
                CASE c.word WHEN '' THEN c.work ELSE c.work || ': ' || c.word END, e.seq
            FROM event e JOIN consent c ON c.seq = e.seq
            WHERE e.kind = 'consent' AND e.at_us >= ?1 AND e.at_us < ?2
        UNION ALL
        SELECT e.at_us, e.by_id, NULL, e.car_id, 'entry struck', 'entry ' || s.struck_seq || ': ' || s.why,
                e.seq
            FROM event e JOIN strike s ON s.seq = e.seq
            WHERE e.kind = 'strike' AND e.at_us >= ?1 AND e.at_us < ?2
        ORDER BY 1, 7";
}

/// Every row of a table. Both names come from the file's own schema.
pub(crate) fn every_row(table: &str, columns: &[String]) -> String {
    format!("SELECT {} FROM {}", list(columns), quoted(table))
}

/// One row into a table. Both names come from the file's own schema.
pub(crate) fn insert_row(table: &str, columns: &[String]) -> String {
    let places = vec!["?"; columns.len()].join(", ");
    let (table, columns) = (quoted(table), list(columns));
    format!("INSERT INTO {table} ({columns}) VALUES ({places})")
}

fn list(names: &[String]) -> String {
    let quoted: Vec<_> = names.iter().map(|name| quoted(name)).collect();
    quoted.join(", ")
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use rusqlite::Connection;

    use super::*;

    #[test]
    fn every_statement_is_prepared_against_a_fresh_file() {
        let mut connection = Connection::open_in_memory().expect("memory");
        crate::schema::migrate(&mut connection).expect("a fresh schema");
        connection
            .execute_batch("BEGIN; SAVEPOINT command")
            .expect("begun");
        for (name, text) in ALL {
            if let Err(error) = connection.prepare(text) {
                panic!("{name}: {error}\n{text}");
            }
        }
    }

    #[test]
    fn no_sql_stands_anywhere_else() {
        let verbs = [
            "SELECT ", "INSERT ", "UPDATE ", "DELETE ", "BEGIN", "COMMIT", "ROLLBACK",
        ];
        let mut files = Vec::new();
        collect(
            &Path::new(env!("CARGO_MANIFEST_DIR")).join("src"),
            &mut files,
        );
        assert!(files.len() > 20, "the sources were not found");
        for file in files.iter().filter(|file| !file.ends_with("sql.rs")) {
            let text = fs::read_to_string(file).expect("a source file");
            for (number, line) in (1..).zip(text.lines()) {
                let found = verbs
                    .iter()
                    .find(|verb| line.contains(&format!("\"{verb}")));
                assert_eq!(found, None, "{}:{number}: {line}", file.display());
            }
        }
    }

    fn collect(folder: &Path, files: &mut Vec<std::path::PathBuf>) {
        for entry in fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                collect(&path, files)
            } else {
                files.push(path)
            }
        }
    }

    /// A list that reads the whole of a large table to find a few rows would be slow in ten years.
    #[test]
    fn lists_and_look_ups_go_by_an_index() {
        let mut connection = Connection::open_in_memory().expect("memory");
        crate::schema::migrate(&mut connection).expect("a fresh schema");
        for (name, text) in ALL.iter().filter(|row| row.1.starts_with("SELECT")) {
            let plan = format!("EXPLAIN QUERY PLAN {text}");
            let mut statement = connection.prepare(&plan).expect(name);
            let count = statement.parameter_count();
            let nothing = vec![rusqlite::types::Null; count];
            let lines: Vec<String> = statement
                .query_map(rusqlite::params_from_iter(nothing), |row| row.get(3))
                .expect(name)
                .collect::<Result<_, _>>()
                .expect(name);
            let whole = ["HALF_WRITTEN_EVENTS", "COUNT_EVENTS"];
            for line in lines.iter().filter(|_| !whole.contains(name)) {
                for table in ["event", "reading", "e", "r", "l"] {
                    assert_ne!(line, &format!("SCAN {table}"), "{name}: {lines:#?}");
                }
            }
        }
    }
}
