//! Backing up, checking and restoring as whoever keeps the machine does it.

use std::path::Path;

use assert_cmd::Command;
use gradeworthy_store::{ClubAct, ClubCommand, Options, Role, Store, Token};
use jiff::Timestamp;
use tempfile::TempDir;

fn run(arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("gradeworthy").expect("the binary is built");
    let output = command.args(arguments).output().expect("it starts");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    let code = output.status.code().expect("a code");
    (code, text(output.stdout), text(output.stderr))
}

fn add(
    store: &Store,
    by: Option<gradeworthy_store::MemberId>,
    name: &str,
) -> gradeworthy_store::MemberId {
    let act = ClubAct::AddMember {
        name: name.into(),
        role: Role::Lead,
        token: Token::random().expect("randomness").hash(),
        expires: Timestamp::MAX,
    };
    let at = Timestamp::UNIX_EPOCH;
    store
        .club(ClubCommand { by, at, act })
        .expect("added")
        .expect("a member")
}

fn text(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}

#[test]
fn a_copy_is_made_checked_and_restored_and_nothing_is_overwritten() {
    let folder = TempDir::new().expect("a folder");
    let club = folder.path().join("club");
    std::fs::create_dir(&club).expect("made");
    let record = club.join("club.sqlite");
    let store = Store::create(&record, &Options::default()).expect("a record");
    let first = add(&store, None, "First");
    // The record is copied while a server has it open.
    let (code, said, _) = run(&["record", "back-up", "--folder", text(&club)]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("whole"), "{said}");
    let copy = said.split(": ").next().expect("a path").to_owned();
    let aside = folder.path().join("elsewhere.sqlite");
    assert_eq!(
        run(&[
            "record",
            "back-up",
            "--folder",
            text(&club),
            "--to",
            text(&aside)
        ])
        .0,
        0
    );
    let (code, _, why) = run(&[
        "record",
        "back-up",
        "--folder",
        text(&club),
        "--to",
        text(&aside),
    ]);
    assert_eq!(code, 2);
    assert!(why.contains("exists already"), "{why}");
    add(&store, Some(first), "Second");
    let (code, _, why) = run(&["record", "restore", &copy, "--folder", text(&club)]);
    assert_eq!(code, 2, "somebody has it open");
    assert!(why.contains("held by another program"), "{why}");
    drop(store);

    assert_eq!(run(&["record", "check", "--folder", text(&club)]).0, 0);
    let (code, said, why) = run(&["record", "restore", &copy, "--folder", text(&club)]);
    assert_eq!(code, 0, "{why}");
    assert!(said.contains(".before-restore-"), "{said}");
    let store = Store::open(&record, &Options::default()).expect("a record");
    assert_eq!(
        store
            .snapshot()
            .expect("a snapshot")
            .members()
            .expect("read")
            .len(),
        1
    );
}

#[test]
fn a_damaged_copy_is_told_and_not_restored() {
    let folder = TempDir::new().expect("a folder");
    let club = folder.path().join("club");
    std::fs::create_dir(&club).expect("made");
    let store = Store::create(&club.join("club.sqlite"), &Options::default()).expect("a record");
    add(&store, None, "First");
    drop(store);
    let copy = folder.path().join("copy.sqlite");
    assert_eq!(
        run(&[
            "record",
            "back-up",
            "--folder",
            text(&club),
            "--to",
            text(&copy)
        ])
        .0,
        0
    );
    let mut bytes = std::fs::read(&copy).expect("read");
    let half = bytes.len() / 2;
    bytes[half..half + 8_192].fill(0xA5);
    std::fs::write(&copy, bytes).expect("written");
    let (code, _, why) = run(&["record", "check", text(&copy)]);
    assert_eq!(code, 2);
    assert!(
        why.contains("damaged") || why.contains("not whole"),
        "{why}"
    );
    let (code, _, why) = run(&["record", "restore", text(&copy), "--folder", text(&club)]);
    assert_eq!(code, 2, "{why}");
    assert_eq!(
        run(&["record", "check", "--folder", text(&club)]).0,
        0,
        "the record is as it was"
    );
    let (code, _, why) = run(&["record", "check", text(&folder.path().join("none"))]);
    assert_eq!(code, 2);
    assert!(why.contains("there is no record at"), "{why}");
}

#[test]
fn a_certificate_is_made_once_and_its_key_is_for_its_owner() {
    let folder = TempDir::new().expect("a folder");
    let own = folder.path().join("tls");
    let arguments = [
        "certificate",
        text(&own),
        "--name",
        "bench.test",
        "--name",
        "192.0.2.7",
    ];
    let (code, said, why) = run(&arguments);
    assert_eq!(code, 0, "{why}");
    assert!(
        said.contains("fingerprint") && said.contains("Caution"),
        "{said}"
    );
    assert!(
        std::fs::read_to_string(own.join("certificate.pem"))
            .expect("read")
            .starts_with("-----BEGIN CERTIFICATE")
    );
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = std::fs::metadata(own.join("key.pem"))
            .expect("there")
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600);
    }
    assert_eq!(run(&arguments).0, 2, "never overwritten");
}

#[test]
fn a_record_goes_through_json_and_comes_back_the_same() {
    let folder = TempDir::new().expect("a folder");
    let (club, other) = (folder.path().join("club"), folder.path().join("other"));
    std::fs::create_dir(&club).expect("made");
    let store = Store::create(&club.join("club.sqlite"), &Options::default()).expect("a record");
    add(&store, None, "First");
    drop(store);
    let (one, two) = (
        folder.path().join("one.json"),
        folder.path().join("two.json"),
    );
    let write = |folder: &Path, to: &Path| {
        run(&["record", "write-json", text(to), "--folder", text(folder)])
    };
    let (code, said, why) = write(&club, &one);
    assert_eq!(code, 0, "{said}{why}");
    assert_eq!(write(&club, &one).0, 2, "never overwritten");
    let read = |document: &Path| {
        run(&[
            "record",
            "read-json",
            text(document),
            "--folder",
            text(&other),
        ])
    };
    let (code, said, why) = read(&one);
    assert_eq!(code, 0, "{said}{why}");
    assert!(said.contains("whole"), "{said}");
    assert_eq!(write(&other, &two).0, 0);
    let bytes = |path: &Path| std::fs::read(path).expect("written");
    assert_eq!(bytes(&one), bytes(&two));
    let (code, _, why) = read(&one);
    assert_eq!(code, 2);
    assert!(why.contains("exists already"), "{why}");
    std::fs::write(&two, "{\"format\":\"something\"}").expect("written");
    std::fs::remove_file(other.join("club.sqlite")).expect("removed");
    let (code, _, why) = read(&two);
    assert_eq!(code, 2);
    assert!(why.contains("line 1") && why.contains("something"), "{why}");
}
