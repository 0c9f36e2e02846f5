//! Benches at work: each with one connection kept alive, at its own cars, one reading after another.
//!
//! *Closed loop*: a bench sends, waits for its answer, thinks, and sends the next; what a person does.
//! *Open loop*: readings fall due at a fixed rate whether the last one was answered or not, and a time is
//! counted from when its reading was due, so that a stalled server is charged for all it made wait.

use std::error::Error;
use std::net::SocketAddr;
use std::time::{Duration, Instant};

use gradeworthy_store::ClientId;
use serde_json::{Value, json};

use crate::talk::{Said, Talk};

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Readings of one car before the next is taken.
const READINGS_A_CAR: u64 = 8;

/// How a bench talks.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Through {
    /// JSON: the answer to the reading holds the verdicts.
    Program,
    /// The form without scripts: the answer leads to the page with the verdict, which is then fetched.
    Page,
}

/// When readings are sent.
#[derive(Clone, Copy)]
pub enum Pace {
    /// After the answer and a pause, even between half and one and a half of this.
    Closed { think: Duration },
    /// This many a second of all benches together.
    Open { rate: f64 },
}

/// What was measured, milliseconds, in no order.
#[derive(Default)]
pub struct Times {
    /// From sending a reading to having its verdict.
    pub saved_ms: Vec<f64>,
    /// From taking a car in hand to having its bench.
    pub opened_ms: Vec<f64>,
}

pub fn drive(
    address: SocketAddr,
    sessions: &[String],
    cars: u64,
    through: Through,
    pace: Pace,
    lasts: Duration,
) -> Outcome<Times> {
    let start = Instant::now();
    let mut all = Times::default();
    std::thread::scope(|scope| {
        let begin = |(number, token): (usize, &'_ String)| {
            let number = u64::try_from(number).unwrap_or_default();
            let token = token.clone();
            let of = u64::try_from(sessions.len()).unwrap_or(1);
            scope.spawn(move || {
                let mut bench = Bench::new(address, &token, number, cars, through)?;
                bench.work(pace, of, start, lasts)?;
                Outcome::Ok(bench.times)
            })
        };
        let threads: Vec<_> = sessions.iter().enumerate().map(begin).collect();
        for thread in threads {
            let own = thread.join().map_err(|_| "a bench stopped")??;
            all.saved_ms.extend(own.saved_ms);
            all.opened_ms.extend(own.opened_ms);
        }
        Outcome::Ok(())
    })?;
    Ok(all)
}

struct Bench {
    talk: Talk,
    number: u64,
    cars: u64,
    through: Through,
    sent: u64,
    car: u64,
    version: i64,
    times: Times,
}

impl Bench {
    fn new(
        address: SocketAddr,
        token: &str,
        number: u64,
        cars: u64,
        through: Through,
    ) -> Outcome<Self> {
        Ok(Self {
            talk: Talk::open(address, token)?,
            number,
            cars,
            through,
            sent: 0,
            car: 0,
            version: 0,
            times: Times::default(),
        })
    }

    fn work(&mut self, pace: Pace, of: u64, start: Instant, lasts: Duration) -> Outcome<()> {
        // Benches do not begin all at one instant.
        std::thread::sleep(Duration::from_millis(37 * self.number));
        loop {
            if self.sent.is_multiple_of(READINGS_A_CAR) {
                self.take_car()?;
            }
            let due = match pace {
                Pace::Closed { think } => {
                    std::thread::sleep(think.mul_f64(0.5 + self.chance()));
                    Instant::now()
                }
                Pace::Open { rate } => {
                    #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
                    let place = (self.sent * of + self.number) as f64;
                    start + Duration::from_secs(1) + Duration::from_secs_f64(place / rate)
                }
            };
            if due.duration_since(start) > lasts {
                return Ok(());
            }
            std::thread::sleep(due.saturating_duration_since(Instant::now()));
            self.read()?;
            self.times.saved_ms.push(ms(due.elapsed()));
            self.sent += 1;
        }
    }

    /// Even in [0, 1), from the bench's number and what it sent: the same in every run.
    fn chance(&self) -> f64 {
        let hash = (self.number << 32 | self.sent).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 40;
        #[expect(clippy::cast_precision_loss, reason = "24 bits")]
        let part = hash as f64 / 16_777_216.0;
        part
    }

    fn take_car(&mut self) -> Outcome<()> {
        let round = self.sent / READINGS_A_CAR;
        self.car = 1 + (round * 7919 + self.number * 613) % self.cars;
        let begun = Instant::now();
        let said = match self.through {
            Through::Program => self.talk.get(&format!("/api/bench/{}", self.car))?,
            Through::Page => self
                .talk
                .get(&format!("/bench/{}?check=wheelsets", self.car))?,
        };
        self.times.opened_ms.push(ms(begun.elapsed()));
        self.version = self.version_in(&said)?;
        Ok(())
    }

    fn read(&mut self) -> Outcome<()> {
        let index = self.sent % READINGS_A_CAR;
        let place = format!("station-{}-{}", 1 + index / 2, 1 + index % 2);
        // Within the outer fences of this fleet; what lies beyond them is questioned and not entered.
        let text = format!("14.{} mm", 44 + self.sent % 13);
        let id = ClientId::random()?;
        let said = match self.through {
            Through::Program => {
                let reading = json!({ "measure": "back to back", "place": place, "text": text });
                let body = json!({ "client_id": id.to_string(), "version": self.version,
                                   "readings": [reading] });
                let path = format!("/api/bench/{}/readings", self.car);
                self.talk.json(&path, &body.to_string())?
            }
            Through::Page => {
                let text = text.replace(' ', "+");
                let fields = format!(
                    "client_id={id}&version={}&check=wheelsets&read.back_to_back.{place}={text}",
                    self.version
                );
                let sent = self.talk.form(&format!("/bench/{}", self.car), &fields)?;
                if sent.status != 303 {
                    return Err(format!("{}: {}", sent.status, sent.body).into());
                }
                let path = sent.location.split('#').next().unwrap_or_default();
                self.talk.get(path)?
            }
        };
        self.version = self.version_in(&said)?;
        Ok(())
    }

    fn version_in(&self, said: &Said) -> Outcome<i64> {
        if said.status != 200 {
            return Err(format!("{}: {}", said.status, said.body).into());
        }
        let version = match self.through {
            Through::Program => {
                let json: Value = serde_json::from_str(&said.body)?;
                json["version"].as_i64()
            }
            Through::Page => {
                let field = "name=\"version\" value=\"";
                let rest = said.body.split_once(field).map(|two| two.1);
                rest.and_then(|rest| rest.split('"').next()?.parse().ok())
            }
        };
        version.ok_or_else(|| "the answer has no version".into())
    }
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}
