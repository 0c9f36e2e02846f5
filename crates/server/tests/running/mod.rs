//! A served record in a process of its own, and a club to put into it.
#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test file uses a part of it"
)]

pub mod batch;
pub mod talk;

use std::io::{BufRead, BufReader};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use gradeworthy_standards::Scale;
use gradeworthy_store::{
    CarId, ClientId, ClubAct, ClubCommand, LogIn, MemberId, NewCar, Options, Role, Secret, Store,
    Token,
};
use gradeworthy_workbench::record::{Car, CarMark, CarType};
use gradeworthy_workbench::rules::STARTER;
use jiff::{SignedDuration, Timestamp};
use tempfile::TempDir;

const PASSWORD: &str = "twelve easy grades";

/// A record with a lead, his session, the starter rule book and some cars.
pub struct Club {
    folder: TempDir,
    pub token: String,
    pub cars: Vec<CarId>,
}

impl Club {
    pub fn new(car_count: usize) -> Self {
        let folder = TempDir::new().expect("a folder");
        let path = folder.path().join("club.sqlite");
        let store = Store::create(&path, &Options::default()).expect("a record");
        let (lead, token) = lead(&store);
        let cars = (0..car_count).map(|number| car(&store, lead, number));
        let cars = cars.collect();
        Self {
            folder,
            token,
            cars,
        }
    }

    pub fn path(&self) -> PathBuf {
        self.folder.path().join("club.sqlite")
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }
}

fn lead(store: &Store) -> (MemberId, String) {
    let at = Timestamp::now();
    let until = at + SignedDuration::from_hours(12);
    let link = Token::random().expect("randomness");
    let add = ClubAct::AddMember {
        name: "A. Lead".into(),
        role: Role::Lead,
        token: link.hash(),
        expires: until,
    };
    let act = |by, act| store.club(ClubCommand { by, at, act }).expect("done");
    let lead = act(None, add).expect("a lead");
    let text = STARTER.into();
    act(Some(lead), ClubAct::AddRuleBook { text });
    store.redeem(&link, PASSWORD, at).expect("set");
    let secret = Secret::Password(PASSWORD);
    let session = store.log_in("A. Lead", secret, "a test", at, until);
    let LogIn::Open(token, _) = session.expect("read") else {
        unreachable!("the lead cannot come in");
    };
    (lead, token.to_hex())
}

fn car(store: &Store, by: MemberId, number: usize) -> CarId {
    let mark = CarMark::new(&format!("TST {number}")).expect("a mark");
    let mut car = Car::new(mark, Scale::HO);
    car.car_type = Some(CarType::new("XM"));
    let new = NewCar {
        client_id: ClientId::random().expect("randomness"),
        by,
        at: Timestamp::now(),
        car,
        owner: None,
    };
    store.new_car(new).expect("a car").car
}

/// The server as a process; killed when it is let go.
pub struct Running {
    child: Child,
    pub address: SocketAddr,
}

impl Running {
    /// Serves the record; returns once requests are answered.
    pub fn start(record: &Path) -> Self {
        Self::spawn(Command::new(program()).arg(record))
    }

    pub fn spawn(command: &mut Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).spawn().expect("started");
        let mut output = BufReader::new(child.stdout.take().expect("its output"));
        let mut line = String::new();
        output.read_line(&mut line).expect("its first line");
        let address = line.trim().parse().expect("an address");
        Self { child, address }
    }

    pub fn id(&self) -> u32 {
        self.child.id()
    }

    pub fn talk(&self, token: &str) -> talk::Talk {
        talk::Talk::open(self.address, token).expect("connected")
    }

    /// Ends it as a power cut would: SIGKILL on Unix, `TerminateProcess` on Windows.
    pub fn kill(mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("ended");
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // Ended already, where the test went well.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

pub fn program() -> PathBuf {
    let test = std::env::current_exe().expect("this program");
    let folder = test
        .parent()
        .and_then(Path::parent)
        .expect("the folder of examples");
    let program = folder
        .join("examples")
        .join(format!("serve_record{}", std::env::consts::EXE_SUFFIX));
    assert!(
        program.is_file(),
        "build it first: cargo build -p gradeworthy-server --examples"
    );
    program
}
