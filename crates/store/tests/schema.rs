//! The schema: strict tables, references, triggers that refuse, and every earlier version brought up to
//! date.

mod shop;

use gradeworthy_store::{Error, MIGRATIONS, Options, SCHEMA_VERSION, Store, check_file};
use rusqlite::{Connection, params};
use sha2::{Digest, Sha256};
use shop::{Shop, path_in};
use tempfile::TempDir;

/// Tables whose rows may change, each with the reason.
const CHANGING: [&str; 11] = [
    "member",         // name, role, hashes and tries; every change leaves a row in 'audit'
    "setup_token",    // used once
    "session",        // ends
    "draft",          // typed and not yet entered
    "wanted",         // tonight's trains
    "car_now",        // follows from the events
    "label_sheet",    // what the club prints on; every change leaves a row in 'audit'
    "server_address", // the same
    "spread_now",     // follows from the readings
    "rule_draft",     // no edition yet
    "car_group",      // a search with a name
];

fn tables(connection: &Connection) -> Vec<String> {
    let sql = "SELECT name FROM pragma_table_list
        WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name";
    let mut statement = connection.prepare(sql).expect("prepared");
    let names = statement.query_map([], |row| row.get(0)).expect("listed");
    names.collect::<Result<_, _>>().expect("names")
}

fn columns(connection: &Connection, table: &str) -> Vec<String> {
    let mut statement = connection
        .prepare("SELECT name FROM pragma_table_info(?1)")
        .expect("prepared");
    let names = statement
        .query_map([table], |row| row.get(0))
        .expect("listed");
    names.collect::<Result<_, _>>().expect("names")
}

fn content(connection: &Connection, table: &str) -> Vec<String> {
    let columns: Vec<_> = columns(connection, table)
        .iter()
        .map(|name| format!("quote({name})"))
        .collect();
    let sql = format!("SELECT {} FROM {table}", columns.join(" || ',' || "));
    let mut statement = connection.prepare(&sql).expect("prepared");
    let rows = statement.query_map([], |row| row.get(0)).expect("listed");
    rows.collect::<Result<_, _>>().expect("rows")
}

#[test]
fn every_table_is_strict() {
    let shop = Shop::open();
    let connection = Connection::open(shop.path()).expect("opened");
    for table in tables(&connection) {
        let strict: bool = connection
            .query_row(
                "SELECT strict FROM pragma_table_list WHERE name = ?1",
                [&table],
                |row| row.get(0),
            )
            .expect("a table");
        assert!(strict, "{table} is not STRICT");
    }
}

#[test]
fn what_was_written_is_neither_changed_nor_deleted_nor_replaced() {
    let shop = Shop::open();
    shop::everything::happen(&shop);
    let connection = Connection::open(shop.path()).expect("opened");
    // The worst case: a program that has switched off what it can.
    connection
        .execute_batch("PRAGMA foreign_keys = OFF; PRAGMA recursive_triggers = OFF;")
        .expect("off");
    let mut tried = 0;
    for table in tables(&connection) {
        if CHANGING.contains(&table.as_str()) {
            continue;
        }
        let before = content(&connection, &table);
        assert!(!before.is_empty(), "{table} has no row to try this on");
        let mut attempts = vec![
            format!("DELETE FROM {table}"),
            format!("INSERT OR REPLACE INTO {table} SELECT * FROM {table}"),
            format!("REPLACE INTO {table} SELECT * FROM {table} LIMIT 1"),
        ];
        for column in columns(&connection, &table) {
            attempts.push(format!("UPDATE {table} SET {column} = {column}"));
            attempts.push(format!("UPDATE OR REPLACE {table} SET {column} = {column}"));
        }
        for attempt in attempts {
            let refusal = connection
                .execute(&attempt, [])
                .expect_err(&attempt)
                .to_string();
            assert_eq!(refusal, format!("{table} is append-only"), "{attempt}");
            tried += 1;
        }
        assert_eq!(content(&connection, &table), before, "{table}");
    }
    assert!(tried > 200, "only {tried} attempts were made");
    let error = connection
        .execute("DELETE FROM member", [])
        .expect_err("refused")
        .to_string();
    assert_eq!(error, "member is never deleted: set active to 0");
}

#[test]
fn a_client_id_cannot_be_taken_from_its_event() {
    let shop = Shop::open();
    shop.car("TST 1");
    let connection = Connection::open(shop.path()).expect("opened");
    let sql = "REPLACE INTO event (car_id, kind, at_us, by_id, client_id)
        SELECT car_id, 'note', at_us, by_id, client_id FROM event LIMIT 1";
    let refusal = connection
        .execute(sql, [])
        .expect_err("refused")
        .to_string();
    assert_eq!(refusal, "event is append-only");
}

#[test]
fn every_reference_is_looked_up_by_a_key_or_an_index() {
    let shop = Shop::open();
    let connection = Connection::open(shop.path()).expect("opened");
    for table in tables(&connection) {
        let sql = "SELECT \"table\", \"to\" FROM pragma_foreign_key_list(?1)";
        let mut statement = connection.prepare(sql).expect("prepared");
        let rows = statement
            .query_map([&table], |row| {
                Ok((row.get::<_, String>(0)?, row.get::<_, Option<String>>(1)?))
            })
            .expect("listed");
        for row in rows {
            let (parent, column) = row.expect("a reference");
            assert!(
                tables(&connection).contains(&parent),
                "{table} points at {parent}"
            );
            assert!(column.is_some(), "{table} names no column of {parent}");
        }
    }
    let broken: i64 = connection
        .query_row("SELECT count(*) FROM pragma_foreign_key_check", [], |row| {
            row.get(0)
        })
        .expect("checked");
    assert_eq!(broken, 0);
}

/// A step never changes once a record has been made with it; a change is a further file, whose hash is
/// added here. (Before the first release a step may still change, and its hash with it.)
#[test]
fn the_steps_are_as_they_were_laid_down() {
    let laid_down = [
        "a56506e1850246d558e16d8b8ce855e5b7fbb787304676ec542f601767cbfc4c",
        "6a90ea3be4feb6091b731e326782a9c0a8b5f6150c4b49506a85f0e709c869a4",
        "b08b47784a4c0eb2106f4246cad5e7276a0c579ab3f3f0c589dd82d08578cd00",
        "48051406179683c405da9324b9df7b84817494207d678d493b8123d69c4ab508",
        "d55eb2882be36e012805dafa9b341a850c38a140da28a48a14f2b1722f5e4388",
        "d480898699a9410ee55ffacfd23bc71f14dcb87357074cc151e9a24450240f43",
        "16a02b8670a18690663491a672725f8bdacb11cbea4fae756d1827d4fde2b812",
        "46f1e636ecd6c4bb94727b21ada02bacb3fc20684f995a2034b1a0c795f4496d",
        "00889dfe3349c72127d8b63d80d99fd3382b23ed5705b234730e18e07a75dd8c",
        "452419d0cfdd4aee25ed69ed8d932b8c1cd17e0e25d54dd8c7d02bff35bcbbd5",
    ];
    assert_eq!(MIGRATIONS.len(), laid_down.len());
    assert_eq!(
        MIGRATIONS.len(),
        usize::try_from(SCHEMA_VERSION).expect("small")
    );
    for (step, expected) in MIGRATIONS.iter().zip(laid_down) {
        let digest = Sha256::digest(step.as_bytes());
        let digits: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(
            digits,
            expected,
            "{}",
            step.lines().next().unwrap_or_default()
        );
    }
}

/// A file at an earlier step, with the rows that step could hold.
fn file_at(folder: &TempDir, version: usize) {
    let connection = Connection::open(path_in(folder)).expect("opened");
    connection
        .execute_batch("PRAGMA foreign_keys = ON")
        .expect("on");
    for step in &MIGRATIONS[..version] {
        connection.execute_batch(step).expect("a step");
    }
    connection
        .pragma_update(None, "application_id", 0x4752_4457)
        .expect("marked");
    connection
        .pragma_update(None, "user_version", i64::try_from(version).expect("small"))
        .expect("marked");
    if version >= 1 {
        connection
            .execute(
                "INSERT INTO member (name, role) VALUES ('A. Lead', 'lead')",
                [],
            )
            .expect("a lead");
    }
    if version >= 2 {
        connection
            .execute("INSERT INTO car DEFAULT VALUES", [])
            .expect("a car");
        for (kind, number) in [("lettering", 1_u8), ("description", 2)] {
            let row = params![kind, [number; 16]];
            let sql = "INSERT INTO event (car_id, kind, at_us, by_id, client_id) VALUES (1, ?1, 0, 1, ?2)";
            connection.execute(sql, row).expect("an event");
        }
        connection
            .execute("INSERT INTO lettering VALUES (1, 'TST 1')", [])
            .expect("marks");
        let sql = "INSERT INTO description (seq, scale, axle_count) VALUES (2, 'HO', 4)";
        connection.execute(sql, []).expect("a description");
    }
    if version >= 6 {
        let sql = "INSERT INTO hill_item (id, kind, name) VALUES (7, 'line', 'Test Hill')";
        connection.execute(sql, []).expect("a line");
        let sql = "INSERT INTO hill_edition
            (item_id, edition, text, withdrawn, entered_at_us, by_id, client_id)
            VALUES (7, 1, 'text', 0, 0, 1, ?1)";
        connection.execute(sql, [[7_u8; 16]]).expect("an edition");
    }
}

#[test]
fn every_earlier_version_is_brought_up_to_date_with_its_rows() {
    for version in 1..=MIGRATIONS.len() {
        let folder = TempDir::new().expect("a folder");
        file_at(&folder, version);
        if version < MIGRATIONS.len() {
            let error = check_file(&path_in(&folder)).expect_err("older");
            assert!(matches!(error, Error::OlderSchema { .. }), "{error}");
        }
        drop(Store::open(&path_in(&folder), &Options::default()).expect("brought up to date"));
        let connection = Connection::open(path_in(&folder)).expect("opened");
        let members: i64 = connection
            .query_row("SELECT count(*) FROM member", [], |row| row.get(0))
            .expect("counted");
        assert_eq!(members, 1, "from version {version}");
        let sql = "SELECT count(*) FROM hill_edition d JOIN hill_item i ON i.id = d.item_id
            WHERE i.id = 7 AND i.name = 'Test Hill' AND d.text = 'text'";
        let lines: u32 = connection
            .query_row(sql, [], |row| row.get(0))
            .expect("counted");
        assert_eq!(lines, u32::from(version >= 6), "from version {version}");
        let found: u32 = connection
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .expect("marked");
        assert_eq!(found, SCHEMA_VERSION);
    }
}

#[test]
fn a_file_brought_up_to_date_has_the_schema_of_a_fresh_one() {
    let schema = |folder: &TempDir| {
        let connection = Connection::open(path_in(folder)).expect("opened");
        let sql = "SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name";
        let mut statement = connection.prepare(sql).expect("prepared");
        let rows = statement
            .query_map([], |row| row.get::<_, String>(0))
            .expect("listed");
        rows.collect::<Result<Vec<_>, _>>().expect("texts")
    };
    let fresh = Shop::open();
    for version in 1..MIGRATIONS.len() {
        let folder = TempDir::new().expect("a folder");
        file_at(&folder, version);
        drop(Store::open(&path_in(&folder), &Options::default()).expect("brought up to date"));
        assert_eq!(
            schema(&folder),
            schema(&fresh.folder),
            "from version {version}"
        );
    }
}
