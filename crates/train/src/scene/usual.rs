//! The scenes that every hill knows, for a head that stands anywhere.
//!
//! ASSUMED, all their figures: a start over three seconds, a helper 3 % fast, a second of dirty rail, a
//! stop over two seconds. They are questions, not measurements; a club that knows its own writes them
//! into a scene of its own.

use super::script::{Change, Couplers, Doing, Scene, Start, Who};
use crate::placement::Slack;

/// A scene that every hill knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usual {
    /// A train that stands on the hill, stretched, starts.
    Start,
    /// The locomotives cut in run 3 % fast.
    Helper,
    /// The head end loses power for a second.
    Power,
    /// A stop from speed.
    Stop,
}

impl Usual {
    /// Every one.
    pub const ALL: [Self; 4] = [Self::Start, Self::Helper, Self::Power, Self::Stop];

    /// The word it is asked for with.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Helper => "helper",
            Self::Power => "power",
            Self::Stop => "stop",
        }
    }

    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Start => "start on the hill",
            Self::Helper => "helper 3 % fast",
            Self::Power => "head end loses power one second",
            Self::Stop => "stop from speed",
        }
    }

    /// The scene with the head's front bolster at a place along the line, m.
    #[must_use]
    pub fn scene(self, head_at: f64) -> Scene {
        let (start, lasts, at, who, doing) = match self {
            Self::Start => {
                let start = Start::Standing(Slack::Stretched);
                let run = Doing::Run {
                    speed: 1.0,
                    over: 3.0,
                };
                (start, 12.0, 1.0, Who::All, run)
            }
            Self::Helper => {
                let run = Doing::Run {
                    speed: 1.03,
                    over: 1.0,
                };
                (Start::Running, 15.0, 2.0, Who::CutIn, run)
            }
            Self::Power => {
                let lost = Doing::LosePower { lasting: Some(1.0) };
                (Start::Running, 10.0, 2.0, Who::HeadEnd, lost)
            }
            Self::Stop => {
                let stop = Doing::Stop { over: 2.0 };
                (Start::Running, 12.0, 2.0, Who::All, stop)
            }
        };
        Scene {
            name: self.name().to_owned(),
            head_at,
            start,
            lasts,
            couplers: Couplers::default(),
            changes: vec![Change {
                at,
                who: vec![who],
                doing,
            }],
            note: None,
        }
    }
}
