//! A scene of a make-up on a line, as a job: what is asked, how it is played, the moving picture.

use std::ops::ControlFlow;
use std::sync::Arc;

use gradeworthy_reports::climb::{Consist, Line};
use gradeworthy_reports::scene::{self as report, wire};
use gradeworthy_store::HillKind;
use gradeworthy_train::dynamics::{Config, StopReason};
use gradeworthy_train::scene::{Coupled, Scene, Usual, write_scene};
use gradeworthy_train::sweep::first_head_place;

use super::bytes::{Bytes, single};
use super::climb::{Joined, Question};
use super::picture::{Mark, film_points};
use super::stock;
use crate::App;
use crate::guard::Caller;
use crate::jobs::{Job, JobId, Outcome, Progress, written};
use crate::refusal::Refusal;

/// Pictures of a scene at the most, and the least time between two, s. ASSUMED: a blow between two cars
/// lasts about as long; the hardest moments are kept beside the pictures.
const PICTURES: f64 = 1500.0;
const BETWEEN: f64 = 0.01;
/// Line that is drawn beyond where the train comes, m.
const BEYOND: f64 = 0.4;
/// Parts of the progress.
const PARTS: f64 = 1000.0;

/// Which scene is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    /// One that every hill knows.
    Usual(Usual),
    /// One of the club's, by its number.
    Own(i64),
}

impl Which {
    /// From the word or the number that an address or a program names.
    pub(crate) fn read(text: &str) -> Result<Self, Refusal> {
        let usual = Usual::ALL.into_iter().find(|own| own.word() == text);
        usual
            .map(Self::Usual)
            .or_else(|| text.parse().ok().map(Self::Own))
            .ok_or_else(|| {
                let words = Usual::ALL.map(Usual::word).join(", ");
                let fault = format!(
                    "'{text}' is no scene: one of {words}, or the number of one of the club's"
                );
                Refusal::Hill {
                    faults: vec![fault],
                }
            })
    }
}

/// A scene, and the train and line it is asked of.
#[derive(Clone)]
pub(crate) struct Asked {
    pub(crate) climb: Question,
    which: Which,
    scene: Scene,
    /// Where the head shall stand, where that is said.
    head_at: Option<f64>,
}

impl Asked {
    /// Reads what the record says now.
    pub(crate) fn read(
        app: &App,
        (line, make_up): (i64, i64),
        which: Which,
        head_at: Option<f64>,
    ) -> Result<Self, Refusal> {
        if let Some(place) = head_at.filter(|own| !own.is_finite() || *own < 0.0) {
            let fault =
                format!("the head's place is {place}: it must be a number of metres from 0 on");
            return Err(Refusal::Hill {
                faults: vec![fault],
            });
        }
        let scene = match which {
            Which::Usual(own) => own.scene(0.0),
            Which::Own(item) => {
                let edition = app.store().snapshot()?.hill_item(HillKind::Scene, item)?;
                stock::scene(&edition)?
            }
        };
        Ok(Self {
            climb: Question::read(app, line, make_up)?,
            which,
            scene,
            head_at,
        })
    }

    fn id(&self) -> JobId {
        let head = self.head_at.map_or_else(String::new, |own| own.to_string());
        self.climb
            .id_with("scene", &[write_scene(&self.scene), head])
    }

    /// Starts the scene, or finds it.
    pub(crate) fn start(self, app: &App, caller: &Caller) -> Result<Job, Refusal> {
        let (id, own) = (self.id(), app.clone());
        let what = format!("{}: {}", self.scene.name, self.climb.make_up.name);
        app.jobs()
            .start(id, &what, caller.member.id, move |progress| {
                let play = self.play(&own, progress).map_err(|why| why.to_string())?;
                Ok(Arc::new(play))
            })
    }

    fn play(&self, app: &App, progress: &Progress) -> Result<Play, Refusal> {
        let Joined { consist, line, .. } = self.climb.join(app)?;
        let scene = Scene {
            head_at: self.place(&consist, &line)?,
            ..self.scene.clone()
        };
        let config = Config {
            sample: (scene.lasts / PICTURES).max(BETWEEN),
            ..Config::default()
        };
        let mut watch = |done: f64, total: f64| -> ControlFlow<()> {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "from 0 to 1000"
            )]
            let part = (PARTS * done / total) as usize;
            progress.tell(part, 1000)
        };
        let answer = report::answer(&scene, &consist, &line, &config, &mut watch)
            .map_err(|error| stock::faults(&error))?;
        if answer.played.solution.stop == StopReason::BrokenOff {
            return Err(Refusal::NotDone);
        }
        Ok(Play {
            question: self.climb.clone(),
            consist,
            line,
            answer,
        })
    }

    /// Where the head stands: as asked, as the club's scene says, else halfway between where the whole
    /// train first stands on the line and its end.
    fn place(&self, consist: &Consist, line: &Line) -> Result<f64, Refusal> {
        match (self.head_at, self.which) {
            (Some(place), _) => Ok(place),
            (None, Which::Own(_)) => Ok(self.scene.head_at),
            (None, Which::Usual(_)) => {
                let first = first_head_place(consist.train.numbers(), &line.alignment)
                    .map_err(|error| stock::faults(&error))?;
                Ok(0.5 * (first + line.alignment.length()))
            }
        }
    }
}

/// A scene that was played.
pub(crate) struct Play {
    pub(crate) question: Question,
    pub(crate) consist: Consist,
    pub(crate) line: Line,
    pub(crate) answer: report::Answer,
}

impl Outcome for Play {
    fn json(&self) -> Result<String, Refusal> {
        written(wire::json(&self.answer, &self.consist, &self.line))
    }
}

impl Play {
    /// The stretch of line on which everything happens, m.
    pub(crate) fn stretch(&self) -> (f64, f64) {
        let samples = &self.answer.played.solution.samples;
        let every = samples.place.iter().copied();
        let first = every.clone().fold(f64::INFINITY, f64::min);
        let last = every.fold(f64::NEG_INFINITY, f64::max);
        (first - BEYOND, last + BEYOND)
    }

    /// Half the distance between the bolsters of each vehicle, m.
    pub(crate) fn halves(&self) -> impl Iterator<Item = f64> {
        let all = self.consist.train.numbers().iter();
        all.map(|own| own.half_truck_centres)
    }

    /// Every coupling at one picture: halfway between the bodies that it joins, and how it stands.
    pub(crate) fn marks(&self, picture: usize) -> Vec<Mark> {
        let places = self.answer.played.solution.samples.places(picture);
        let halves: Vec<f64> = self.halves().collect();
        let coupled = self.answer.played.coupled(picture);
        let pairs = places.windows(2).zip(halves.windows(2)).zip(coupled);
        pairs
            .map(|((at, half), coupled)| Mark {
                s: 0.5 * ((at[0] - BODY * half[0]) + (at[1] + BODY * half[1])),
                coupled,
            })
            .collect()
    }
}

/// A body reaches past its bolsters by a quarter of their distance, so that from its middle it is so many
/// times half that distance to its end.
const BODY: f64 = 1.5;

/// The picture's data, little-endian, for the page's script; see `scripts/src/hill/scene_film.ts` and
/// `docs/MOTION.md`.
pub(crate) fn film(play: &Play) -> Vec<u8> {
    let samples = &play.answer.played.solution.samples;
    let points = film_points(&play.line.alignment, Some(play.stretch()));
    let hardest = samples
        .force
        .iter()
        .fold(0.1_f64, |most, own| most.max(own.abs()));
    let newtons = single(hardest / 32_000.0);
    let mut bytes = Bytes::default();
    bytes.counts(&[samples.len(), samples.vehicle_count, points.len()]);
    bytes.float(newtons);
    samples
        .time
        .iter()
        .for_each(|own| bytes.float(single(*own)));
    points.iter().flatten().for_each(|own| bytes.float(*own));
    play.halves().for_each(|own| bytes.float(single(own)));
    samples
        .place
        .iter()
        .for_each(|own| bytes.float(single(*own)));
    samples
        .force
        .iter()
        .for_each(|own| bytes.step(single(*own) / newtons));
    for picture in 0..samples.len() {
        let number = |own: &Coupled| Coupled::ALL.iter().position(|each| each == own);
        for own in play.answer.played.coupled(picture) {
            bytes.byte(
                number(&own)
                    .and_then(|own| u8::try_from(own).ok())
                    .unwrap_or(0),
            );
        }
    }
    bytes.all()
}
