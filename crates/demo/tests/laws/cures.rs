//! No cure leaves its own check failing.
//!
//! What each cure does to the readings is worked out here from first principles (a wheel that moves
//! out widens the gauge by as much; a body on two bolsters is a lever; moments add), not by calling
//! the code that computed the cure.

use std::sync::LazyLock;

use gradeworthy_units::{Angle, Length, Mass};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Aspect, Inspection};
use gradeworthy_workbench::cures::{Action, Cure, Piece, SeatPlace};
use gradeworthy_workbench::mechanics::seating::Diagonal;
use gradeworthy_workbench::record::{Check, End, Measure, Place, Record, Side};
use gradeworthy_workbench::rules::ScaleRules;

use crate::given::{Club, cars, degrees_exact, read, set};

/// 2,100 cars of seven seeds, half of them made worse, and what the bench prescribes for each.
static CASES: LazyLock<Vec<(Record, Vec<Cure>)>> = LazyLock::new(|| {
    let club = Club::demo();
    let prescribed = cars(1050).map(|record| {
        let cures = club.prescribe(&record, &club.inspect(&record));
        (record, cures)
    });
    prescribed.collect()
});

/// How many cures of each kind a test has applied, so that none passes for want of cases.
#[derive(Debug, Default)]
struct Count {
    applied: usize,
    refused: usize,
}

/// Bad orders of one check, in words.
fn bad(inspection: &Inspection, check: Check) -> Vec<String> {
    let lines = inspection.lines_of(check);
    lines
        .filter(|line| line.verdict == Verdict::BadOrder)
        .map(|line| {
            format!(
                "{} {}: {:?} of {:?}..{:?}",
                line.place, line.aspect, line.reading, line.lower, line.upper
            )
        })
        .collect()
}

fn mm(mm: f64) -> Length {
    Length::from_mm_rounded(mm).expect("a small length")
}

fn sum(pieces: &[Length]) -> Length {
    pieces.iter().copied().sum()
}

fn rules<'a>(club: &'a Club, record: &Record) -> &'a ScaleRules {
    club.book.scale(record.car.scale).expect("an HO car")
}

fn own(cures: &[Cure], check: Check) -> impl Iterator<Item = &Cure> {
    cures.iter().filter(move |cure| cure.check == check)
}

#[test]
fn moved_wheels_meet_every_functional_limit() {
    let club = Club::demo();
    let mut count = Count::default();
    for (record, cures) in &*CASES {
        for cure in cures {
            let (
                Action::MoveWheels {
                    left_outward,
                    right_outward,
                    ..
                },
                Place::Axle(axle),
            ) = (&cure.action, cure.place)
            else {
                count.refused += usize::from(matches!(cure.action, Action::ChangeWheels(_)));
                continue;
            };
            let mut after = record.clone();
            for station in 1..=3 {
                let place = Place::Station(axle, station);
                if let Some(b) = read::<Length>(record, Measure::BackToBack, place) {
                    let b = b + *left_outward + *right_outward;
                    set(&mut after, Measure::BackToBack, place, b.into());
                }
            }
            for line in club.inspect(&after).lines_of(Check::Wheelsets) {
                let here =
                    matches!(line.place, Place::Axle(own) | Place::Wheel(own, _) if own == axle);
                if here && matches!(line.aspect, Aspect::Wheel(_)) {
                    let margin = line.margin.expect("a judged line has a margin");
                    assert!(
                        margin.base() >= 0.0,
                        "{}: {line:?} after {cure:?}",
                        record.car.mark
                    );
                    assert_ne!(line.verdict, Verdict::BadOrder);
                }
            }
            count.applied += 1;
        }
    }
    assert!(count.applied > 1000 && count.refused > 0, "{count:?}");
}

/// `h_A' = h_A + t_A(1 + n_A/2a) − t_B·n_A/2a − s_A`: a body on two bolsters is a lever.
#[test]
fn shimmed_couplers_stand_at_their_height() {
    let club = Club::demo();
    let mut count = Count::default();
    for (record, cures) in &*CASES {
        for cure in own(cures, Check::CouplerHeight) {
            let Action::Heights {
                washers,
                taken,
                box_shims,
                expected,
                ride,
            } = &cure.action
            else {
                count.refused += 1;
                continue;
            };
            let figures = &record.car.figures;
            let centres = figures.truck_centres.expect("the demo's cars have it").mm();
            let raised = [0, 1].map(|end| (sum(&washers[end]) - sum(&taken[end])).mm());
            let mut after = record.clone();
            for end in End::BOTH {
                let (own, far) = (end.index(), end.other().index());
                let q = figures.overhang[own].expect("the demo's cars have it").mm() / centres;
                let place = Place::End(end);
                let h: Length = read(record, Measure::CouplerHeight, place).expect("read");
                let height =
                    h.mm() + raised[own] * (1.0 + q) - raised[far] * q - sum(&box_shims[own]).mm();
                assert!(
                    (height - expected[own].mm()).abs() < 2e-6,
                    "{cure:?}: {height} mm"
                );
                assert_eq!(ride[own], mm(raised[own]));
                set(&mut after, Measure::CouplerHeight, place, mm(height).into());
            }
            let left = bad(&club.inspect(&after), Check::CouplerHeight);
            assert!(
                left.is_empty(),
                "{}: {left:?} after {cure:?}",
                record.car.mark
            );
            count.applied += 1;
        }
    }
    assert!(count.applied > 100 && count.refused > 100, "{count:?}");
}

/// A shank of play p in a box that holds b of it, its face m beyond the mouth, droops by
/// p(1/2 + m/b); a strip of t takes t off the play.
#[test]
fn a_strip_carries_the_shank() {
    let club = Club::demo();
    let mut count = Count::default();
    for (record, cures) in &*CASES {
        let parts = rules(&club, record).parts;
        let (held, reach) = (
            parts.shank_held.expect("set"),
            parts.mouth_to_face.expect("set"),
        );
        for cure in own(cures, Check::Droop) {
            let Action::Strip {
                thickness,
                cut,
                expected,
            } = &cure.action
            else {
                count.refused += 1;
                continue;
            };
            assert!(
                club.shop
                    .strips
                    .iter()
                    .any(|strip| strip.thickness == *thickness)
            );
            assert_eq!(*cut, held);
            let droop: Length = read(record, Measure::Droop, cure.place).expect("read");
            let left = droop.mm() - thickness.mm() * (0.5 + reach.mm() / held.mm());
            assert!((left - expected.mm()).abs() < 2e-6, "{cure:?}: {left} mm");
            let mut after = record.clone();
            set(&mut after, Measure::Droop, cure.place, mm(left).into());
            let inspection = club.inspect(&after);
            let line = inspection
                .lines_of(Check::Droop)
                .find(|line| line.place == cure.place)
                .expect("a droop was read");
            assert_ne!(line.verdict, Verdict::BadOrder, "{line:?} after {cure:?}");
            count.applied += 1;
        }
    }
    assert!(count.applied > 1000, "{count:?}");
}

#[test]
fn weights_bring_weight_and_every_balance_inside() {
    let club = Club::demo();
    let mut count = Count::default();
    for (record, cures) in &*CASES {
        for cure in cures {
            let Action::Weights {
                pieces,
                expected,
                centre,
                ..
            } = &cure.action
            else {
                count.refused += usize::from(cure.check == Check::Weight);
                continue;
            };
            let (weight, at) = loaded(&club, record, pieces);
            assert!(
                (weight - expected.grams()).abs() < 1e-6,
                "{cure:?}: {weight} g"
            );
            for (own, told) in at.iter().zip(centre) {
                assert!((own - told.mm()).abs() < 1e-4, "{cure:?}: {at:?} mm");
            }
            let after = reweighed(&club, record, weight, at);
            let inspection = club.inspect(&after);
            for check in [Check::Weight, Check::Balance] {
                let left = bad(&inspection, check);
                assert!(
                    left.is_empty(),
                    "{}: {left:?} after {cure:?}",
                    record.car.mark
                );
            }
            count.applied += 1;
        }
    }
    assert!(count.applied > 200 && count.refused > 50, "{count:?}");
}

/// Weight in g and centre of gravity in mm (towards A, to the left, above the rail) with `pieces`
/// in: moments add. Without them: `x = a(W_A − W_B)/W`; `tan θ_L = (β − y)/h`, `tan θ_R = (β + y)/h`.
fn loaded(club: &Club, record: &Record, pieces: &[Piece]) -> (f64, [f64; 3]) {
    let rules = rules(club, record);
    let beta = rules.balance_half_width.expect("set").mm();
    let half = record.car.figures.truck_centres.expect("known").mm() / 2.0;
    let mass = |measure, place| read::<Mass>(record, measure, place).expect("read").grams();
    let tan = |side| {
        let angle: Angle = read(record, Measure::TiltAngle, Place::Side(side)).expect("read");
        angle.radians().tan()
    };
    let mut weight = mass(Measure::Weight, Place::Car);
    let [a, b] = End::BOTH.map(|end| mass(Measure::EndWeight, Place::End(end)));
    let (left, right) = (tan(Side::Left), tan(Side::Right));
    let up = 2.0 * beta / (left + right);
    let before = [half * (a - b) / weight, up * (right - left) / 2.0, up];
    let mut moment = before.map(|arm| arm * weight);
    let class = rules.class_of(&record.car).expect("a class");
    for piece in pieces {
        let own = club
            .shop
            .weights
            .iter()
            .find(|own| own.name == piece.weight);
        let own = own.expect("in stock");
        assert!(piece.count <= own.count, "more than there are: {piece:?}");
        let pocket = class
            .pockets
            .iter()
            .find(|pocket| pocket.name == piece.pocket);
        let pocket = pocket.expect("a pocket of the class");
        let grams = own.mass.grams() * f64::from(piece.count);
        weight += grams;
        for (moment, arm) in moment.iter_mut().zip([pocket.x, pocket.y, pocket.z]) {
            *moment += grams * arm.mm();
        }
    }
    (weight, moment.map(|moment| moment / weight))
}

/// What scale and tilting board show of a car of that weight and centre.
fn reweighed(club: &Club, record: &Record, weight: f64, [x, y, h]: [f64; 3]) -> Record {
    let grams = |grams: f64| Mass::from_grams_rounded(grams).expect("a small mass");
    let beta = rules(club, record).balance_half_width.expect("set").mm();
    let half = record.car.figures.truck_centres.expect("known").mm() / 2.0;
    let mut after = record.clone();
    set(
        &mut after,
        Measure::Weight,
        Place::Car,
        grams(weight).into(),
    );
    for (end, sign) in [(End::A, 1.0), (End::B, -1.0)] {
        let own = weight / 2.0 * (1.0 + sign * x / half);
        set(
            &mut after,
            Measure::EndWeight,
            Place::End(end),
            grams(own).into(),
        );
    }
    for (side, sign) in [(Side::Left, -1.0), (Side::Right, 1.0)] {
        let angle = degrees_exact(((beta + sign * y) / h).atan().to_degrees());
        set(
            &mut after,
            Measure::TiltAngle,
            Place::Side(side),
            angle.into(),
        );
    }
    after
}

/// Bends that come out as foretold and pads as laid bring every wheel down.
#[test]
fn bends_and_pads_bring_every_wheel_down() {
    let club = Club::demo();
    let (mut bends, mut pads, mut whole) = (0, 0, 0);
    for (record, cures) in &*CASES {
        let mut gaps = Gaps::of(record);
        let mut all = true;
        for cure in own(cures, Check::Seating) {
            match &cure.action {
                Action::Overbend {
                    tomorrow, lower, ..
                } => {
                    gaps.racked(cure.place, *lower, tomorrow[1].mm());
                    bends += 1;
                }
                Action::Pad {
                    pads: pieces, at, ..
                } => {
                    let parts = rules(&club, record).parts;
                    let half_length = parts.pad_half_length.expect("set").mm();
                    let half_width = parts.pad_half_width.expect("set").mm();
                    let spacing = rules(&club, record).rail_contact_spacing.expect("set").mm();
                    let pad = Pad {
                        half_length,
                        half_width,
                        half_spacing: spacing / 2.0,
                        thickness: sum(pieces).mm(),
                    };
                    gaps.padded(&pad, *at);
                    pads += 1;
                }
                _ => all = false,
            }
        }
        if !all {
            continue;
        }
        let after = club.inspect(&gaps.put_into(record));
        let left = bad(&after, Check::Seating);
        assert!(
            left.is_empty(),
            "{}: {left:?} after {cures:#?}",
            record.car.mark
        );
        whole += 1;
    }
    assert!(
        bends > 500 && pads > 300 && whole > 1000,
        "{bends} {pads} {whole}"
    );
}

struct Pad {
    half_length: f64,
    half_width: f64,
    half_spacing: f64,
    thickness: f64,
}

/// Heights of the eight wheels over the plate in mm, left before right, from the A end.
struct Gaps {
    mm: [[f64; 2]; 4],
    half_wheelbase: f64,
}

impl Gaps {
    fn of(record: &Record) -> Self {
        let gap = |axle, side| {
            read::<Length>(record, Measure::Gap, Place::Wheel(axle, side))
                .expect("read")
                .mm()
        };
        Self {
            mm: [1, 2, 3, 4].map(|axle| Side::BOTH.map(|side| gap(axle, side))),
            half_wheelbase: record.car.figures.truck_wheelbase.expect("known").mm() / 2.0,
        }
    }

    /// Racking a frame by r changes the left-right difference of each of its axles by r, one down
    /// and the other up by half of it.
    fn racked(&mut self, place: Place, lower: Diagonal, by: f64) {
        let Place::End(end) = place else {
            panic!("{place}: a truck has an end")
        };
        let ahead_left = if lower == Diagonal::LeftAheadRightBehind {
            -by / 2.0
        } else {
            by / 2.0
        };
        let first = 2 * end.index();
        for (axle, left) in [(first, ahead_left), (first + 1, -ahead_left)] {
            self.mm[axle][0] += left;
            self.mm[axle][1] -= left;
        }
    }

    /// A pad at one edge is a wedge under the bolster: at distance d beyond the far edge, of a pad
    /// 2w long, the truck goes down against the body by t·d/2w.
    fn padded(&mut self, pad: &Pad, at: SeatPlace) {
        let (truck, half, edge) = match at {
            SeatPlace::SideOf(end, side) => (end, pad.half_width, Edge::Side(side)),
            SeatPlace::EdgeOf(end, towards) => (end, pad.half_length, Edge::Towards(towards)),
        };
        for place in 0..2 {
            for side in Side::BOTH {
                let along = if place == 0 {
                    self.half_wheelbase
                } else {
                    -self.half_wheelbase
                };
                let across = if side == Side::Left {
                    pad.half_spacing
                } else {
                    -pad.half_spacing
                };
                let towards_pad = match edge {
                    Edge::Side(Side::Left) => across,
                    Edge::Side(Side::Right) => -across,
                    Edge::Towards(End::A) => along,
                    Edge::Towards(End::B) => -along,
                };
                let down = pad.thickness * (half + towards_pad) / (2.0 * half);
                self.mm[2 * truck.index() + place][side.index()] -= down;
            }
        }
    }

    /// The readings of a car lifted until no wheel is below the plate: a rigid motion, which the
    /// plate cannot tell.
    fn put_into(&self, record: &Record) -> Record {
        let least = self.mm.iter().flatten().copied().fold(0.0, f64::min);
        let mut after = record.clone();
        for (axle, gaps) in (1..).zip(&self.mm) {
            for side in Side::BOTH {
                let place = Place::Wheel(axle, side);
                set(
                    &mut after,
                    Measure::Gap,
                    place,
                    mm(gaps[side.index()] - least).into(),
                );
            }
        }
        after
    }
}

enum Edge {
    Side(Side),
    Towards(End),
}
