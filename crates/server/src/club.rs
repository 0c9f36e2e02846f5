//! An invented club to test in: one member of each role, signed in; a clock that stands where it is
//! put; requests answered in this process, without a socket.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use axum::Router;
use axum::body::Body;
use axum::http::header::{ACCEPT, CONTENT_TYPE, COOKIE, HOST, LOCATION, SET_COOKIE};
use axum::http::{HeaderMap, Method, Request, StatusCode};
use gradeworthy_standards::Scale;
use gradeworthy_store::{
    BackupPlan, Backups, CarId, ClientId, ClubAct, ClubCommand, LogIn, MemberId, NewCar, Options,
    Role, Secret, Store, Token,
};
use gradeworthy_units::Length;
use gradeworthy_workbench::record::{Car, CarMark, CarType, Check};
use gradeworthy_workbench::rules::STARTER;
use gradeworthy_workbench::shop::Shop;
use http_body_util::BodyExt;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use tempfile::TempDir;
use tokio::runtime::Runtime;
use tower::ServiceExt;

use crate::{App, Settings, build_app};

/// 2026-11-25 19:00 UTC.
const START_S: i64 = 1_795_633_200;
pub(crate) const HOST_NAME: &str = "bench.test:7700";

pub(crate) struct Club {
    pub(crate) app: App,
    router: Router,
    runtime: Runtime,
    clock: Arc<AtomicI64>,
    pub(crate) members: HashMap<Role, MemberId>,
    tokens: RefCell<HashMap<Role, Token>>,
    /// A car that the member who is an owner owns, at the bench.
    pub(crate) own_car: CarId,
    /// A car that the track lead owns, at the bench.
    pub(crate) track_leads_car: CarId,
    _folder: TempDir,
}

/// What came back.
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) body: String,
    /// The same as it came, for what is no text.
    pub(crate) bytes: Vec<u8>,
}

impl Answer {
    pub(crate) fn location(&self) -> &str {
        self.headers
            .get(LOCATION)
            .map_or("", |own| own.to_str().expect("text"))
    }

    pub(crate) fn cookie(&self) -> Option<&str> {
        let cookie = self.headers.get(SET_COOKIE)?.to_str().ok()?;
        cookie.split(';').next()
    }

    /// The value of the first hidden field of that name.
    pub(crate) fn hidden(&self, name: &str) -> String {
        let start = format!("type=\"hidden\" name=\"{name}\" value=\"");
        let at = self
            .body
            .find(&start)
            .unwrap_or_else(|| panic!("no {name} in {}", self.body));
        let rest = &self.body[at + start.len()..];
        rest[..rest.find('"').expect("a quote")].to_owned()
    }
}

fn name(role: Role) -> String {
    format!("Member {role}")
}

impl Club {
    /// A record without members and the address to set it up.
    pub(crate) fn new_record() -> (Self, String) {
        let token = Token::random().expect("randomness");
        let path = format!("/set-up/{}", token.to_hex());
        (Self::bare(Some(token), false), path)
    }

    fn bare(set_up: Option<Token>, tls: bool) -> Self {
        let folder = TempDir::new().expect("a folder");
        let store = Store::create(&folder.path().join("club.sqlite"), &Options::default())
            .expect("a record");
        let clock = Arc::new(AtomicI64::new(START_S));
        let ticking = Arc::clone(&clock);
        let settings = Settings {
            clock: Arc::new(move || {
                Timestamp::from_second(ticking.load(Ordering::Relaxed)).expect("in range")
            }),
            zone: TimeZone::UTC,
            shop: Shop::default(),
            sample: false,
            backups: Some(Backups {
                folder: folder.path().join("copies"),
                plan: BackupPlan::default(),
            }),
            tls,
            set_up,
        };
        let app = App::new(store, settings);
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .expect("a runtime");
        Self {
            router: build_app(app.clone()),
            app,
            runtime,
            clock,
            members: HashMap::new(),
            tokens: RefCell::default(),
            own_car: CarId::from_number(0),
            track_leads_car: CarId::from_number(0),
            _folder: folder,
        }
    }

    /// A club at work.
    pub(crate) fn open() -> Self {
        Self::opened(false)
    }

    /// A club at work whose server is under TLS.
    pub(crate) fn under_tls() -> Self {
        Self::opened(true)
    }

    fn opened(tls: bool) -> Self {
        let mut club = Self::bare(None, tls);
        let lead = club.act(None, add(Role::Lead)).expect("the lead");
        club.members.insert(Role::Lead, lead);
        club.act(
            Some(lead),
            ClubAct::AddRuleBook {
                text: STARTER.into(),
            },
        );
        for role in Role::ALL.iter().filter(|role| **role != Role::Lead) {
            let member = club.act(Some(lead), add(*role)).expect("a member");
            club.members.insert(*role, member);
        }
        let inspector = club.members[&Role::Inspector];
        for check in Check::ALL {
            let act = ClubAct::SignOff {
                member: inspector,
                check,
                granted: true,
            };
            club.act(Some(lead), act);
        }
        club.own_car = club.car("OWN 1", Some(club.members[&Role::Owner]));
        club.track_leads_car = club.car("OWN 2", Some(club.members[&Role::TrackLead]));
        club.sign_in_again();
        club
    }

    fn act(&self, by: Option<MemberId>, act: ClubAct) -> Option<MemberId> {
        let at = self.app.now();
        self.app
            .store()
            .club(ClubCommand { by, at, act })
            .expect("done")
    }

    /// Enters a car.
    pub(crate) fn car(&self, mark: &str, owner: Option<MemberId>) -> CarId {
        let mut car = Car::new(CarMark::new(mark).expect("a mark"), Scale::HO);
        car.car_type = Some(CarType::new("XM"));
        car.figures.body_length = Some(Length::from_hundredths_mm(17_780));
        let new = NewCar {
            client_id: ClientId::random().expect("randomness"),
            by: self.members[&Role::Lead],
            at: self.app.now(),
            car,
            owner,
        };
        self.app.store().new_car(new).expect("a car").car
    }

    /// Gives every role a session, whatever became of the one before; without the slow hash.
    pub(crate) fn sign_in_again(&self) {
        let snapshot = self.app.store().snapshot().expect("a snapshot");
        let open = |token: &Token| {
            snapshot
                .session(token, self.app.now())
                .expect("read")
                .is_some()
        };
        let missing: Vec<Role> = {
            let tokens = self.tokens.borrow();
            let missing = Role::ALL
                .iter()
                .filter(|role| !tokens.get(role).is_some_and(open));
            missing.copied().collect()
        };
        drop(snapshot);
        for role in missing {
            self.sign_in(role);
        }
    }

    /// Sets a password with a new link and signs in with it.
    pub(crate) fn sign_in(&self, role: Role) {
        let (lead, member) = (self.members[&Role::Lead], self.members[&role]);
        let link = Token::random().expect("randomness");
        let expires = self.app.now() + jiff::SignedDuration::from_hours(1);
        self.act(
            Some(lead),
            ClubAct::IssueToken {
                member,
                token: link.hash(),
                expires,
            },
        );
        self.app
            .store()
            .redeem(&link, PASSWORD, self.app.now())
            .expect("set");
        let until = self.app.now() + jiff::SignedDuration::from_hours(12);
        let secret = Secret::Password(PASSWORD);
        let (store, now) = (self.app.store(), self.app.now());
        let name = store.snapshot().expect("a snapshot").member(member);
        let name = name.expect("a member").name;
        let LogIn::Open(token, _) = store
            .log_in(&name, secret, "bench", now, until)
            .expect("read")
        else {
            panic!("{role} cannot come in");
        };
        self.tokens.borrow_mut().insert(role, token);
    }

    /// A form or JSON for a car, on its latest version.
    pub(crate) fn entry(&self, car: CarId, rest: &str) -> String {
        let version = self.snapshot().version(car).expect("a car");
        let id = ClientId::random().expect("randomness");
        format!("client_id={id}&version={version}&{rest}")
    }

    pub(crate) fn snapshot(&self) -> gradeworthy_store::Snapshot<'_> {
        self.app.store().snapshot().expect("a snapshot")
    }

    /// The cookie by which a member of that role is known.
    pub(crate) fn cookie_of(&self, role: Role) -> String {
        let token = self.tokens.borrow()[&role].to_hex();
        format!("gradeworthy_session={token}")
    }

    /// A form with a file, coded as browsers code it (RFC 7578).
    pub(crate) fn post_file(
        &self,
        role: Role,
        path: &str,
        fields: &[(&str, &str)],
        file: &[u8],
    ) -> Answer {
        let mut body = Vec::new();
        for (name, value) in fields {
            body.extend(format!(
                "--b0undary\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            ).bytes());
        }
        body.extend(
            b"--b0undary\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../../x.svg\"\r\n\
              Content-Type: image/svg+xml\r\n\r\n",
        );
        body.extend(file);
        body.extend(b"\r\n--b0undary--\r\n");
        let request = Request::post(path)
            .header(HOST, HOST_NAME)
            .header(COOKIE, self.cookie_of(role))
            .header(CONTENT_TYPE, "multipart/form-data; boundary=b0undary");
        self.send(request.body(Body::from(body)).expect("a request"))
    }

    /// JSON sent to a car's record, on its latest version; the object without its braces.
    pub(crate) fn post_json(&self, role: Role, car: CarId, kind: &str, rest: &str) -> Answer {
        let version = self.snapshot().version(car).expect("a car");
        let id = ClientId::random().expect("randomness");
        let body = format!("{{\"client_id\":\"{id}\",\"version\":{version},{rest}}}");
        self.call(
            Some(role),
            Method::POST,
            &format!("/api/cars/{car}/{kind}"),
            &body,
        )
    }

    pub(crate) fn later(&self, seconds: i64) {
        self.clock.fetch_add(seconds, Ordering::Relaxed);
    }

    pub(crate) fn get(&self, role: Role, path: &str) -> Answer {
        self.call(Some(role), Method::GET, path, "")
    }

    pub(crate) fn post(&self, role: Role, path: &str, form: &str) -> Answer {
        self.call(Some(role), Method::POST, path, form)
    }

    /// A request as a page's own script sends it.
    pub(crate) fn post_as_script(&self, role: Role, path: &str, json: &str) -> Answer {
        let token = self.tokens.borrow()[&role].to_hex();
        let request = Request::builder()
            .method(Method::POST)
            .uri(path)
            .header(HOST, HOST_NAME)
            .header(COOKIE, format!("gradeworthy_session={token}"))
            .header(ACCEPT, "application/json")
            .header(CONTENT_TYPE, "application/json")
            .body(Body::from(json.to_owned()));
        self.send(request.expect("a request"))
    }

    /// A request by a member of that role, or by nobody.
    pub(crate) fn call(
        &self,
        role: Option<Role>,
        method: Method,
        path: &str,
        body: &str,
    ) -> Answer {
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header(HOST, HOST_NAME);
        if let Some(role) = role {
            let token = self.tokens.borrow()[&role].to_hex();
            request = request.header(COOKIE, format!("other=1; gradeworthy_session={token}"));
        }
        let kind = if path.starts_with("/api/") {
            "application/json"
        } else {
            "application/x-www-form-urlencoded"
        };
        request = request.header(CONTENT_TYPE, kind);
        self.send(
            request
                .body(Body::from(body.to_owned()))
                .expect("a request"),
        )
    }

    pub(crate) fn send(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(async {
            let response = self
                .router
                .clone()
                .oneshot(request)
                .await
                .expect("infallible");
            let (parts, body) = response.into_parts();
            let bytes = body.collect().await.expect("a body").to_bytes();
            Answer {
                status: parts.status,
                headers: parts.headers,
                body: String::from_utf8_lossy(&bytes).into_owned(),
                bytes: bytes.to_vec(),
            }
        })
    }
}

pub(crate) const PASSWORD: &str = "twelve easy grades";

fn add(role: Role) -> ClubAct {
    ClubAct::AddMember {
        name: name(role).into(),
        role,
        token: Token::random().expect("randomness").hash(),
        expires: Timestamp::MAX,
    }
}
