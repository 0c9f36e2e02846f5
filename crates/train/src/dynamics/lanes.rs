//! Many copies of one train with other numbers: four side by side in SIMD lanes, and on all cores.
//!
//! Copies have the same vehicles, couplings and moments of setting; everything else may differ.
//! Four share their steps, which the most demanding of them decides. A coupling does not come apart
//! here: what counts is by how much its strength is passed ([`Extremes::draft`]).

use rayon::prelude::{
    IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator, ParallelSlice,
};
use wide::f64x4;

use super::config::Config;
use super::number::Number;
use super::pace::{Pace, Took, Tried};
use super::problem::{Problem, count};
use super::solution::Effort;
use super::state::State;
use super::stepper::Stepper;
use super::stop_reason::MotionError;
use crate::sweep::Cores;

/// The hardest pull and push at each coupling of one copy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Extremes {
    /// Greatest draft, N.
    pub draft: Vec<f64>,
    /// Greatest buff, N, negative.
    pub buff: Vec<f64>,
    /// State at the end.
    pub end: State,
    /// What the four of which it was one have cost together.
    pub effort: Effort,
}

/// Moves every copy from its own start until `end` seconds; answers in the order of the copies.
///
/// # Errors
/// The first [`MotionError`] of any of them, by order.
pub fn solve_many(
    copies: &[(Problem, State)],
    end: f64,
    config: &Config,
    cores: Cores,
) -> Result<Vec<Extremes>, MotionError> {
    let lanes = <f64x4 as Number>::LANES;
    let four = |group: &[(Problem, State)]| side_by_side(group, end, config);
    let parts: Vec<Result<Vec<Extremes>, MotionError>> = match cores {
        Cores::One => copies.chunks(lanes).map(four).collect(),
        Cores::All => {
            let groups: Vec<_> = copies.par_chunks(lanes).collect();
            groups
                .par_iter()
                .with_max_len(1)
                .map(|group| four(group))
                .collect()
        }
    };
    let mut all = Vec::with_capacity(copies.len());
    for part in parts {
        all.append(&mut part?);
    }
    Ok(all)
}

/// Up to four of them; lanes that are left over repeat the last.
fn side_by_side(
    group: &[(Problem, State)],
    end: f64,
    config: &Config,
) -> Result<Vec<Extremes>, MotionError> {
    let Some(((first, start), _)) = group.split_first() else {
        return Ok(Vec::new());
    };
    for (problem, state) in group {
        problem.check()?;
        super::run::check(problem, state, end, config)?;
        same_build(first, problem)?;
    }
    let lane = |index: usize| &group[index.min(group.len() - 1)];
    let lanes = <f64x4 as Number>::LANES;
    let problems: Vec<&Problem> = (0..lanes).map(|index| &lane(index).0).collect();
    let states: Vec<&State> = (0..lanes).map(|index| &lane(index).1).collect();
    let mut stepper: Stepper<'_, f64x4> = Stepper::new(problems, &states);
    let mut pace = Pace::new(config, &first.drives, start.time, end);
    let none = vec![f64x4::ZERO; first.links.len()];
    let (mut draft, mut buff) = (none.clone(), none);
    loop {
        let Tried::Good(h) = pace.attempt(&mut stepper)? else {
            continue;
        };
        let took = pace.take(&mut stepper, h);
        let each = draft.iter_mut().zip(&mut buff).zip(&stepper.force[1..]);
        for ((draft, buff), force) in each {
            *draft = draft.greater(*force);
            *buff = buff.lesser(*force);
        }
        match took {
            Took::ToTheEnd => break,
            Took::ToMoment => {
                stepper.set(stepper.time);
                pace.begin_again();
            }
            Took::Step => {}
        }
    }
    let read = |row: &[f64x4], lane: usize| row.iter().map(|own| own.lane(lane)).collect();
    let each = (0..group.len()).map(|lane| Extremes {
        draft: read(&draft, lane),
        buff: read(&buff, lane),
        end: stepper.state(lane),
        effort: pace.effort,
    });
    Ok(each.collect())
}

/// Copies differ in numbers only.
fn same_build(first: &Problem, other: &Problem) -> Result<(), MotionError> {
    count("vehicles of a copy", other.bodies.len(), first.bodies.len())?;
    count(
        "locomotives of a copy",
        other.drives.len(),
        first.drives.len(),
    )?;
    for (own, other) in first.drives.iter().zip(&other.drives) {
        count("place of a copy's locomotive", other.vehicle, own.vehicle)?;
        let moments = |drive: &super::schedule::Drive| {
            drive.settings.iter().map(|own| own.at).collect::<Vec<_>>()
        };
        count(
            "settings of a copy's locomotive",
            other.settings.len(),
            own.settings.len(),
        )?;
        if moments(own) != moments(other) {
            return Err(MotionError::Config {
                what: "a moment of setting of a copy",
                found: other.settings.first().map_or(f64::NAN, |own| own.at),
                expected: "the same as in the first copy",
            });
        }
    }
    Ok(())
}
