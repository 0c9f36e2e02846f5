//! What each piece of the line sees pass: the hardest pull and push, and the greatest use.
//!
//! A peak says where one vehicle fares worst; the trace says where the line is worst, whatever
//! passes there. A vehicle is where the middle between its bolsters is, a coupling where the front
//! bolster of the vehicle behind it is; both within a car's length, which is the sharpness of it.

use crate::margins::{Mode, Use};
use crate::placement::Stance;
use crate::track::Alignment;

/// One piece of line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traced {
    /// Greatest draft of any coupling that passed, N.
    pub draft: f64,
    /// Greatest buff of any coupling that passed, N, as a positive number.
    pub buff: f64,
    /// Greatest use of anything that ends the climb by any vehicle that passed.
    pub used: Use,
    /// Its mode.
    pub mode: Mode,
    /// Its vehicle, from 0.
    pub vehicle: usize,
    /// Place of the head's front bolster then, m.
    pub head_s: f64,
    /// Whether any vehicle passed while the whole train was on the line.
    pub passed: bool,
}

impl Traced {
    const NOTHING: Self = Self {
        draft: 0.0,
        buff: 0.0,
        used: Use::NONE,
        mode: Mode::Stall,
        vehicle: 0,
        head_s: 0.0,
        passed: false,
    };
}

/// The line in equal pieces, the first at its start.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    piece_m: f64,
    rows: Vec<Traced>,
}

/// No more pieces than this, however short they are asked to be: finer than any drawing.
const MOST: f64 = 100_000.0;

impl Trace {
    /// Nothing yet. Pieces are not longer than asked, except that there are at most [`MOST`].
    pub(super) fn of(line: &Alignment, piece_m: f64) -> Self {
        let asked = (line.length() / piece_m).ceil();
        let count = if asked >= 1.0 { asked.min(MOST) } else { 1.0 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 1 and 100 000"
        )]
        let rows = vec![Traced::NOTHING; count as usize];
        Self {
            piece_m: line.length() / count,
            rows,
        }
    }

    /// Length of one piece, m.
    #[must_use]
    pub fn piece_m(&self) -> f64 {
        self.piece_m
    }

    /// The pieces from the start of the line.
    #[must_use]
    pub fn rows(&self) -> &[Traced] {
        &self.rows
    }

    /// The middle of one piece, m along the line.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "at most 100 000 pieces")]
    pub fn middle(&self, index: usize) -> f64 {
        (index as f64 + 0.5) * self.piece_m
    }

    #[inline]
    fn at(&mut self, s: f64) -> Option<&mut Traced> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place on the line over the length of a piece; out of range finds nothing"
        )]
        let index = (s / self.piece_m) as usize;
        self.rows.get_mut(index)
    }

    /// Takes in one vehicle at one place with the force at its front coupler.
    #[inline]
    pub(super) fn take(
        &mut self,
        vehicle: usize,
        head_s: f64,
        stance: &Stance,
        force: f64,
        uses: &[Use; Mode::ALL.len()],
    ) {
        let [front, rear] = stance.bolster_s;
        if vehicle > 0
            && let Some(row) = self.at(front)
        {
            row.draft = row.draft.max(force);
            row.buff = row.buff.max(-force);
        }
        if let Some(row) = self.at(0.5 * (front + rear)) {
            row.passed = true;
            for (used, mode) in uses.iter().zip(Mode::ALL) {
                if mode.ends_the_climb()
                    && used.demand * row.used.capacity > row.used.demand * used.capacity
                {
                    (row.used, row.mode) = (*used, mode);
                    (row.vehicle, row.head_s) = (vehicle, head_s);
                }
            }
        }
    }

    pub(super) fn merge(&mut self, other: &Self) {
        for (row, next) in self.rows.iter_mut().zip(&other.rows) {
            let (draft, buff) = (row.draft.max(next.draft), row.buff.max(next.buff));
            let passed = row.passed || next.passed;
            if next.used.ratio() > row.used.ratio() {
                *row = *next;
            }
            (row.draft, row.buff, row.passed) = (draft, buff, passed);
        }
    }
}
