//! A disk that takes no more, and a file that may not be written: said in words with a way onward, nothing
//! acknowledged is lost, and the record serves again once there is room.
//!
//! A full disk is tried twice. The system's own limit on the size of a file (`RLIMIT_FSIZE`, by the shell's
//! `ulimit -f`, lifted by `prlimit` while the server runs) makes a write fail in the middle, as a quota or
//! a bad disk does; SQLite's `max_page_count` makes it say 'full' itself, as it does for `ENOSPC`.
#![cfg(unix)]

mod running;

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

use gradeworthy_store::{Options, Store};
use running::batch::{Batch, batches};
use running::talk::{Said, Talk};
use running::{Club, Running, program};

/// Sends batches until one is refused; gives those acknowledged and the refusal.
fn fill(talk: &mut Talk, club: &Club, from: u32) -> (BTreeSet<Batch>, Said) {
    let mut acknowledged = BTreeSet::new();
    for number in from..from + 5000 {
        let said = send(talk, club, number);
        if said.status != 200 {
            return (acknowledged, said);
        }
        acknowledged.insert(Batch { bench: 0, number });
    }
    unreachable!("the disk never filled");
}

fn send(talk: &mut Talk, club: &Club, number: u32) -> Said {
    let car = club.cars[0];
    let bench = talk.get(&format!("/api/bench/{car}")).expect("an answer");
    assert_eq!(
        bench.status, 200,
        "a full disk can still be read: {bench:?}"
    );
    let json: serde_json::Value = serde_json::from_str(&bench.body).expect("JSON");
    let body = Batch { bench: 0, number }.body(json["version"].as_i64().expect("a version"));
    let said = talk.json(&format!("/api/bench/{car}/readings"), &body);
    said.expect("an answer, whatever it says")
}

/// The refusal is in words, for a program and for a person, and leads on.
fn said_well(talk: &mut Talk, refused: &Said, status: u16, words: &str) {
    assert_eq!(refused.status, status, "{refused:?}");
    assert_eq!(refused.kind, "application/problem+json");
    let problem: serde_json::Value = serde_json::from_str(&refused.body).expect("JSON");
    let detail = problem["detail"].as_str().expect("words");
    assert!(detail.contains(words), "{detail}");
    let report =
        "client_id=0123456789abcdef0123456789abcdef&mark=TST+0&defect=wheel&place=car&note=";
    let page = talk.form("/report", report).expect("an answer");
    assert_eq!(page.status, status, "{page:?}");
    assert!(page.kind.starts_with("text/html"), "{page:?}");
    assert!(page.body.contains(words), "{}", page.body);
    assert!(
        page.body.contains("Tell whoever keeps the machine"),
        "{}",
        page.body
    );
    assert!(page.body.contains("<a "), "no way onward: {}", page.body);
}

fn there(club: &Club) -> BTreeSet<Batch> {
    let store = Store::open(&club.path(), &Options::default()).expect("opened");
    let integrity = store.check().expect("checked");
    assert!(integrity.is_whole(), "{:?}", integrity.problems);
    batches(&store.snapshot().expect("a snapshot"), &club.cars)
}

#[test]
fn writes_that_the_system_refuses_lose_nothing_and_end_when_it_takes_them_again() {
    let club = Club::new(1);
    // A limit in blocks of 512 bytes, above the record and below what its log grows to. The signal that
    // comes with such a refusal would end the process, where a full disk sends none.
    let blocks = fs::metadata(club.path()).expect("a file").len() / 512 + 300;
    let script = format!("trap '' XFSZ; ulimit -S -f {blocks}; exec \"$0\" \"$@\"");
    let mut command = Command::new("sh");
    command
        .arg("-c")
        .arg(script)
        .arg(program())
        .arg(club.path());
    let server = Running::spawn(&mut command);
    let mut talk = server.talk(&club.token);
    let (mut acknowledged, refused) = fill(&mut talk, &club, 0);
    said_well(&mut talk, &refused, 503, "refused it (");
    let next = u32::try_from(acknowledged.len()).expect("few");
    assert!(next > 10, "only {next} batches fitted");
    for number in next..next + 3 {
        assert_eq!(send(&mut talk, &club, number).status, 503);
    }
    let room = Command::new("prlimit")
        .args([
            "--pid",
            &server.id().to_string(),
            "--fsize=unlimited:unlimited",
        ])
        .status()
        .expect("prlimit, of util-linux");
    assert!(room.success());
    for number in next..next + 20 {
        let said = send(&mut talk, &club, number);
        assert_eq!(said.status, 200, "{said:?}");
        acknowledged.insert(Batch { bench: 0, number });
    }
    server.kill();
    assert_eq!(there(&club), acknowledged);
}

#[test]
fn a_full_disk_loses_nothing_and_serves_again_with_more_room() {
    let club = Club::new(1);
    let pages = fs::metadata(club.path()).expect("a file").len() / 4096 + 20;
    let mut command = Command::new(program());
    command.arg(club.path()).arg(pages.to_string());
    let server = Running::spawn(&mut command);
    let mut talk = server.talk(&club.token);
    let (mut acknowledged, refused) = fill(&mut talk, &club, 0);
    said_well(
        &mut talk,
        &refused,
        507,
        "is full: nothing of this entry was kept",
    );
    server.kill();
    assert_eq!(there(&club), acknowledged);
    let server = Running::start(&club.path());
    let next = u32::try_from(acknowledged.len()).expect("few");
    assert_eq!(send(&mut server.talk(&club.token), &club, next).status, 200);
    acknowledged.insert(Batch {
        bench: 0,
        number: next,
    });
    server.kill();
    assert_eq!(there(&club), acknowledged);
}

/// The server as somebody who owns nothing here, since what may be written does not bind root.
fn as_nobody(club: &Club) -> Command {
    let own = club.folder().join("serve_record");
    fs::copy(program(), &own).expect("copied");
    permit(&own, 0o755);
    let is_root = fs::File::options().append(true).open(club.path()).is_ok();
    let mut command = if is_root {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]);
        command.arg(own);
        command
    } else {
        Command::new(own)
    };
    command.arg(club.path());
    command
}

fn permit(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("permitted");
}

#[test]
fn a_file_that_may_only_be_read_is_served_for_reading_and_says_so() {
    let club = Club::new(1);
    permit(&club.path(), 0o444);
    permit(club.folder(), 0o777);
    let server = Running::spawn(&mut as_nobody(&club));
    let mut talk = server.talk(&club.token);
    let (acknowledged, refused) = fill(&mut talk, &club, 0);
    assert!(acknowledged.is_empty());
    said_well(&mut talk, &refused, 503, "open for reading only");
    assert_eq!(talk.get("/fleet").expect("an answer").status, 200);
    server.kill();
    permit(&club.path(), 0o666);
    for suffix in ["-wal", "-shm"] {
        let beside = club.folder().join(format!("club.sqlite{suffix}"));
        if beside.exists() {
            permit(&beside, 0o666);
        }
    }
    let server = Running::start(&club.path());
    assert_eq!(send(&mut server.talk(&club.token), &club, 0).status, 200);
    server.kill();
    assert_eq!(there(&club).len(), 1);
}

#[test]
fn a_folder_that_may_not_be_written_is_told_before_anything_is_served() {
    let club = Club::new(1);
    let mut command = as_nobody(&club);
    permit(&club.path(), 0o444);
    permit(club.folder(), 0o555);
    let output = command.output().expect("started");
    let said = String::from_utf8(output.stderr).expect("text");
    assert!(!output.status.success());
    assert!(
        said.contains("DiskRefused") || said.contains("ReadOnly"),
        "{said}"
    );
    permit(club.folder(), 0o755);
    assert!(there(&club).is_empty());
}
