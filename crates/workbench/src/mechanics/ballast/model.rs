//! The ballast problem in whole numbers: femtograms, nanometres and their products.
//!
//! Prices are in units of 10⁻¹² fg, so that millionths per millimetre of moments in fg·nm are
//! whole: 1 fg·nm at one millionth per mm is 10⁻¹² fg.

use gradeworthy_units::{Length, Mass};

use super::{
    BallastError, BallastPlan, BallastTask, Change, FittedWeights, Limits, Pocket, Point, Weights,
};

const PRICE_PER_FG: i128 = 1_000_000_000_000;
/// 100 kg: keeps prices below 10³² and moments below 10²⁹.
const HEAVIEST: Mass = Mass::from_milligrams(100_000_000);
/// 1 km.
const FARTHEST: Length = Length::from_nanometres(1_000_000_000_000);
/// Kinds, and pockets.
const LIST_MAX: usize = 64;
/// Weights of one kind.
const COUNT_MAX: u32 = 10_000;

/// Moments along, across and up, fg·nm.
pub(super) type Moments = [i128; 3];

#[derive(Debug)]
pub(super) struct Kind {
    pub(super) mass: i128,
    /// In the stores and movable in the car.
    pub(super) held: u32,
    /// Movable in the car, by pocket.
    pub(super) fitted: Vec<u32>,
}

impl Kind {
    pub(super) fn fitted_count(&self) -> u32 {
        self.fitted.iter().sum()
    }
}

#[derive(Debug)]
pub(super) struct OpenPocket {
    pub(super) at: Moments,
    pub(super) capacity: i128,
    /// Index in the caller's list.
    index: usize,
}

/// Everything the search needs.
#[derive(Debug)]
pub(super) struct Model {
    /// Heaviest first.
    pub(super) kinds: Vec<Kind>,
    /// Lowest first, blocked ones left out.
    pub(super) pockets: Vec<OpenPocket>,
    /// The car without movable ballast.
    pub(super) base_mass: i128,
    pub(super) base: Moments,
    pub(super) target: i128,
    pub(super) tolerance: i128,
    /// `ε_x`, `ε_y` and `z_max`.
    pub(super) limit_nm: [i128; 3],
    pub(super) price_per_piece: i128,
    pub(super) price_per_moment: i128,
}

/// A choice: how many of each kind in each pocket, kind by kind.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) counts: Vec<u32>,
    pub(super) violation: i128,
    pub(super) cost: i128,
}

impl Model {
    pub(super) fn new(task: &BallastTask<'_>) -> Result<Self, BallastError> {
        check(task)?;
        let mut pockets: Vec<_> = task
            .pockets
            .iter()
            .enumerate()
            .filter(|(_, pocket)| !pocket.is_blocked)
            .map(|(index, pocket)| OpenPocket {
                at: coordinates(pocket.at),
                capacity: pocket.capacity.femtograms(),
                index,
            })
            .collect();
        pockets.sort_by_key(|pocket| pocket.at[2]);
        let movable: Vec<_> = task
            .fitted
            .iter()
            .filter(|fitted| !task.pockets[fitted.pocket].is_blocked)
            .copied()
            .collect();
        let kinds = kinds(task.stock, &movable, &pockets)?;

        let weight = task.weight.femtograms();
        let mut base_mass = weight;
        let mut base = coordinates(task.centre).map(|nm| nm * weight);
        for kind in &kinds {
            for (count, pocket) in kind.fitted.iter().zip(&pockets) {
                let mass = kind.mass * i128::from(*count);
                base_mass -= mass;
                for (moment, nm) in base.iter_mut().zip(pocket.at) {
                    *moment -= mass * nm;
                }
            }
        }
        if base_mass <= 0 {
            return Err(BallastError::FittedOutweighCar {
                found: Mass::from_femtograms(weight - base_mass),
                limit: task.weight,
            });
        }
        let Limits {
            target,
            tolerance,
            along_max,
            across_max,
            height_max,
        } = task.limits;
        Ok(Self {
            kinds,
            pockets,
            base_mass,
            base,
            target: target.femtograms(),
            tolerance: tolerance.femtograms(),
            limit_nm: [along_max, across_max, height_max]
                .map(|length| i128::from(length.nanometres())),
            price_per_piece: task.prices.piece.femtograms() * PRICE_PER_FG,
            price_per_moment: i128::from(task.prices.height_millionths_per_mm),
        })
    }

    /// What a car of this weight costs, before pieces and heights.
    pub(super) fn weight_cost(&self, mass: i128) -> i128 {
        (mass - self.target).abs() * PRICE_PER_FG
    }

    /// A price as a mass, rounded down.
    pub(super) fn price(&self, cost: i128) -> Mass {
        Mass::from_femtograms(cost.div_euclid(PRICE_PER_FG))
    }

    /// The range that each moment of a car of `mass` may have.
    pub(super) fn allowed(&self, mass: i128) -> [[i128; 2]; 3] {
        let [x, y, z] = self.limit_nm.map(|nm| nm * mass);
        [[-x, x], [-y, y], [i128::MIN / 4, z]]
    }

    pub(super) fn plan(&self, found: &Found) -> BallastPlan {
        let mut mass = self.base_mass;
        let mut moments = self.base;
        let mut changes = Vec::new();
        for (kind, counts) in self.kinds.iter().zip(self.rows(found)) {
            for ((count, fitted), pocket) in counts.iter().zip(&kind.fitted).zip(&self.pockets) {
                let there = kind.mass * i128::from(*count);
                mass += there;
                for (moment, nm) in moments.iter_mut().zip(pocket.at) {
                    *moment += there * nm;
                }
                if count != fitted {
                    changes.push(Change {
                        pocket: pocket.index,
                        each: Mass::from_femtograms(kind.mass),
                        put_in: count.saturating_sub(*fitted),
                        taken_out: fitted.saturating_sub(*count),
                    });
                }
            }
        }
        changes.sort_by_key(|change| change.pocket);
        let [along, across, up] = moments.map(|moment| rounded(moment, mass));
        BallastPlan {
            pieces_handled: changes.iter().map(|c| c.put_in + c.taken_out).sum(),
            changes,
            weight: Mass::from_femtograms(mass),
            centre: Point { along, across, up },
            cost: self.price(found.cost),
        }
    }

    /// Kind by kind, the counts of a choice.
    fn rows<'a>(&self, found: &'a Found) -> impl Iterator<Item = &'a [u32]> {
        found.counts.chunks_exact(self.pockets.len().max(1))
    }

    /// Pockets of a choice that hold more than they can, by the caller's index.
    pub(super) fn overfull(&self, found: &Found) -> Vec<(usize, Mass)> {
        let over = |(slot, pocket): (usize, &OpenPocket)| {
            let held: i128 = self
                .kinds
                .iter()
                .zip(self.rows(found))
                .map(|(kind, counts)| kind.mass * i128::from(counts[slot]))
                .sum();
            let over = held - pocket.capacity;
            (over > 0).then(|| (pocket.index, Mass::from_femtograms(over)))
        };
        let mut all: Vec<_> = self.pockets.iter().enumerate().filter_map(over).collect();
        all.sort_unstable_by_key(|(index, _)| *index);
        all
    }

    /// Weights that a choice uses beyond what is held.
    pub(super) fn wanting(&self, found: &Found) -> Vec<Weights> {
        self.kinds
            .iter()
            .zip(self.rows(found))
            .filter_map(|(kind, counts)| {
                let wanting = counts.iter().sum::<u32>().saturating_sub(kind.held);
                (wanting > 0).then(|| Weights {
                    each: Mass::from_femtograms(kind.mass),
                    count: wanting,
                })
            })
            .collect()
    }
}

fn kinds(
    stock: &[Weights],
    movable: &[FittedWeights],
    pockets: &[OpenPocket],
) -> Result<Vec<Kind>, BallastError> {
    let mut kinds: Vec<Kind> = Vec::with_capacity(stock.len());
    let fitted = movable
        .iter()
        .map(|fitted| (fitted.weights, Some(fitted.pocket)));
    for (weights, place) in stock.iter().map(|weights| (*weights, None)).chain(fitted) {
        let mass = weights.each.femtograms();
        let index = match kinds.iter().position(|kind| kind.mass == mass) {
            Some(index) => index,
            None => {
                kinds.push(Kind {
                    mass,
                    held: 0,
                    fitted: vec![0; pockets.len()],
                });
                kinds.len() - 1
            }
        };
        kinds[index].held += weights.count;
        let slot = place.and_then(|place| pockets.iter().position(|p| p.index == place));
        if let Some(slot) = slot {
            kinds[index].fitted[slot] += weights.count;
        }
    }
    for kind in &kinds {
        within("the number of weights of one kind", kind.held, COUNT_MAX)?;
    }
    kinds.sort_by_key(|kind| std::cmp::Reverse(kind.mass));
    Ok(kinds)
}

fn coordinates(point: Point) -> Moments {
    [point.along, point.across, point.up].map(|length| i128::from(length.nanometres()))
}

/// The nearest whole nanometre.
fn rounded(moment: i128, mass: i128) -> Length {
    let nm = (2 * moment + mass).div_euclid(2 * mass);
    Length::from_nanometres(i64::try_from(nm).unwrap_or(i64::MAX))
}

fn check(task: &BallastTask<'_>) -> Result<(), BallastError> {
    let Limits {
        target,
        tolerance,
        along_max,
        across_max,
        height_max,
    } = task.limits;
    for (what, found) in [("the car's weight", task.weight), ("the target", target)] {
        above_zero(what, found)?;
    }
    let each = |weights: &Weights| above_zero("the mass of a weight", weights.each);
    task.stock.iter().try_for_each(each)?;
    task.fitted
        .iter()
        .map(|fitted| &fitted.weights)
        .try_for_each(each)?;
    let capacity = |pocket: &Pocket| ("the capacity of a pocket", pocket.capacity);
    let masses = [
        ("the tolerance", tolerance),
        ("the price of a piece", task.prices.piece),
    ];
    for (what, found) in masses.into_iter().chain(task.pockets.iter().map(capacity)) {
        if found < Mass::ZERO {
            return Err(BallastError::NegativeMass { what, found });
        }
        within(what, found.grams(), HEAVIEST.grams())?;
    }
    let height = |pocket: &Pocket| ("the height of a pocket", pocket.at.up);
    let lengths = [
        ("the limit along", along_max),
        ("the limit across", across_max),
        ("the limit on height", height_max),
    ];
    for (what, found) in lengths.into_iter().chain(task.pockets.iter().map(height)) {
        if found < Length::ZERO {
            return Err(BallastError::NegativeLength { what, found });
        }
        within(what, found.mm(), FARTHEST.mm())?;
    }
    let points = task.pockets.iter().map(|pocket| pocket.at);
    for point in points.chain([task.centre]) {
        for length in [point.along, point.across, point.up] {
            within("a distance in mm", length.abs().mm(), FARTHEST.mm())?;
        }
    }
    for fitted in task.fitted {
        if fitted.pocket >= task.pockets.len() {
            return Err(BallastError::NoSuchPocket {
                found: fitted.pocket,
                limit: task.pockets.len().saturating_sub(1),
            });
        }
    }
    for (what, list) in [
        (
            "the number of kinds of weight",
            task.stock.len() + task.fitted.len(),
        ),
        ("the number of pockets", task.pockets.len()),
    ] {
        if list > LIST_MAX {
            return Err(too_large(what, list, LIST_MAX));
        }
    }
    Ok(())
}

#[expect(clippy::cast_precision_loss, reason = "lengths of lists")]
fn too_large(what: &'static str, found: usize, limit: usize) -> BallastError {
    BallastError::TooLarge {
        what,
        found: found as f64,
        limit: limit as f64,
    }
}

fn within(
    what: &'static str,
    found: impl Into<f64>,
    limit: impl Into<f64>,
) -> Result<(), BallastError> {
    let (found, limit) = (found.into(), limit.into());
    if found <= limit {
        Ok(())
    } else {
        Err(BallastError::TooLarge { what, found, limit })
    }
}

fn above_zero(what: &'static str, found: Mass) -> Result<(), BallastError> {
    if found <= Mass::ZERO {
        return Err(BallastError::MassNotPositive { what, found });
    }
    within(what, found.grams(), HEAVIEST.grams())
}
