//! Every stack of pieces that a place can hold.

use gradeworthy_units::Length;

use super::{ShimError, Stacked, Stock};
use crate::mechanics::ends::Ends;
use crate::mechanics::input::positive_mm;

/// Most pieces in one stack.
pub(super) const PIECES_MAX: usize = 8;
/// Most stacks in one place.
const STACKS_MAX: usize = 50_000;

/// The thicknesses of one kind of piece, with what stock and car hold of each together.
#[derive(Debug)]
pub(super) struct Sizes {
    thickness: Vec<Length>,
    held: Vec<u32>,
    /// Of each size, how many lie in the place now.
    fitted: Ends<Vec<u32>>,
}

/// Pieces of one place, as indices into [`Sizes`], and at most one piece of strip besides.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stack {
    pub(super) sum_nm: i64,
    pub(super) strip_nm: i64,
    pieces: [u8; PIECES_MAX],
    count: u8,
    pub(super) handled: u8,
}

/// Strip of any multiple of a step up to a limit.
#[derive(Clone, Copy, Debug)]
pub(super) struct AnyStrip {
    pub(super) step_nm: i64,
    pub(super) steps_max: i64,
}

impl Sizes {
    pub(super) fn new(stock: &[Stock], fitted: Ends<&[Length]>) -> Result<Self, ShimError> {
        let mut sizes = Self {
            thickness: Vec::with_capacity(stock.len()),
            held: Vec::with_capacity(stock.len()),
            fitted: Ends {
                a: Vec::new(),
                b: Vec::new(),
            },
        };
        for item in stock {
            let index = sizes.index_of(item.thickness)?;
            sizes.held[index] = sizes.held[index].saturating_add(item.count);
        }
        for (place, pieces) in [(0, fitted.a), (1, fitted.b)] {
            for thickness in pieces {
                let index = sizes.index_of(*thickness)?;
                sizes.held[index] = sizes.held[index].saturating_add(1);
                let counts = if place == 0 {
                    &mut sizes.fitted.a
                } else {
                    &mut sizes.fitted.b
                };
                counts[index] += 1;
            }
        }
        Ok(sizes)
    }

    fn index_of(&mut self, thickness: Length) -> Result<usize, ShimError> {
        positive_mm("the thickness of a washer or shim", thickness)?;
        if let Some(index) = self.thickness.iter().position(|known| *known == thickness) {
            return Ok(index);
        }
        self.thickness.push(thickness);
        self.held.push(0);
        self.fitted.a.push(0);
        self.fitted.b.push(0);
        Ok(self.thickness.len() - 1)
    }

    /// Every stack for a place: of pieces held, then also with one piece of `strip` on it.
    pub(super) fn stacks(
        &self,
        fitted: &[u32],
        pieces_max: usize,
        strip: Option<AnyStrip>,
    ) -> Result<Vec<Stack>, ShimError> {
        let lying: usize = fitted.iter().map(|count| *count as usize).sum();
        let height = pieces_max.max(lying);
        let too_high = height > PIECES_MAX;
        if too_high {
            return Err(ShimError::StackTooHigh {
                found: height,
                limit: PIECES_MAX,
            });
        }
        let mut stacks = vec![Stack::EMPTY];
        let mut start = 0;
        for _ in 0..height {
            let end = stacks.len();
            for index in start..end {
                self.put_one_on(stacks[index], &mut stacks);
            }
            start = end;
            self.check_count(stacks.len())?;
        }
        if let Some(AnyStrip { step_nm, steps_max }) = strip {
            for index in 0..stacks.len() {
                let below = stacks[index];
                let full = usize::from(below.count) >= height;
                for step in 1..=if full { 0 } else { steps_max } {
                    let strip_nm = step * step_nm;
                    stacks.push(Stack {
                        sum_nm: below.sum_nm + strip_nm,
                        strip_nm,
                        ..below
                    });
                }
                self.check_count(stacks.len())?;
            }
        }
        for stack in &mut stacks {
            stack.handled = self.handled(fitted, stack);
        }
        Ok(stacks)
    }

    fn put_one_on(&self, below: Stack, stacks: &mut Vec<Stack>) {
        let first = below.top().map_or(0, usize::from);
        for (index, thickness) in self.thickness.iter().enumerate().skip(first) {
            let Ok(piece) = u8::try_from(index) else {
                continue;
            };
            if below.of(piece) >= self.held[index] {
                continue;
            }
            let mut stack = below;
            stack.pieces[usize::from(below.count)] = piece;
            stack.count += 1;
            stack.sum_nm += thickness.nanometres();
            stacks.push(stack);
        }
    }

    fn check_count(&self, stacks: usize) -> Result<(), ShimError> {
        let sizes = self.thickness.len();
        if stacks > STACKS_MAX || sizes > usize::from(u8::MAX) {
            return Err(ShimError::TooManyStacks {
                sizes,
                stacks,
                limit: STACKS_MAX,
            });
        }
        Ok(())
    }

    fn handled(&self, fitted: &[u32], stack: &Stack) -> u8 {
        let moved: u32 = (0..=u8::MAX)
            .zip(fitted)
            .map(|(piece, lying)| stack.of(piece).abs_diff(*lying))
            .sum();
        u8::try_from(moved + u32::from(stack.strip_nm > 0)).unwrap_or(u8::MAX)
    }

    /// Whether stock and car together hold enough for both stacks.
    pub(super) fn hold_both(&self, one: &Stack, other: &Stack) -> bool {
        one.pieces()
            .iter()
            .all(|piece| one.of(*piece) + other.of(*piece) <= self.held[usize::from(*piece)])
    }

    pub(super) fn fitted(&self) -> &Ends<Vec<u32>> {
        &self.fitted
    }

    pub(super) fn fitted_nm(&self, fitted: &[u32]) -> i64 {
        self.thickness
            .iter()
            .zip(fitted)
            .map(|(thickness, count)| thickness.nanometres() * i64::from(*count))
            .sum()
    }

    pub(super) fn stacked(&self, fitted: &[u32], stack: &Stack) -> Stacked {
        let mut stacked = Stacked::default();
        for ((piece, thickness), lying) in (0..=u8::MAX).zip(&self.thickness).zip(fitted) {
            let stays = stack.of(piece);
            let times = |count: u32| std::iter::repeat_n(*thickness, count as usize);
            stacked.stack.extend(times(stays));
            stacked.put_in.extend(times(stays.saturating_sub(*lying)));
            stacked.taken_out.extend(times(lying.saturating_sub(stays)));
        }
        if stack.strip_nm > 0 {
            let strip = Length::from_nanometres(stack.strip_nm);
            stacked.stack.push(strip);
            stacked.put_in.push(strip);
        }
        stacked.stack.sort_unstable_by(|a, b| b.cmp(a));
        stacked
    }
}

impl Stack {
    const EMPTY: Self = Self {
        sum_nm: 0,
        strip_nm: 0,
        pieces: [0; PIECES_MAX],
        count: 0,
        handled: 0,
    };

    fn pieces(&self) -> &[u8] {
        &self.pieces[..usize::from(self.count)]
    }

    fn top(&self) -> Option<u8> {
        self.pieces().last().copied()
    }

    fn of(&self, piece: u8) -> u32 {
        self.pieces()
            .iter()
            .map(|other| u32::from(*other == piece))
            .sum()
    }
}
