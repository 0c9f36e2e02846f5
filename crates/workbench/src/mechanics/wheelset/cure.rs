//! What to do with a wheelset that fails: which wheel to move and how far, or what to replace.

use gradeworthy_units::Length;

use super::{BackToBack, Bound, ConstraintKind, Edge, Judgement, Side};

/// Which wheels can be moved on the axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mobility {
    /// Both.
    Both,
    /// Only this one; the other is fast, moulded on or carries the pinion.
    Only(Side),
    /// Neither: moulded in one piece.
    OnePiece,
}

/// The advice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cure {
    /// Every limit that could be judged holds.
    NoneNeeded,
    /// Move wheels on the axle.
    Move(Move),
    /// A limit on B has no reading yet; a move computed without it would be a guess.
    MeasureFirst(ConstraintKind),
    /// Nothing that can be moved cures it.
    Replace(Fault),
}

/// A move on the axle; outward is positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    /// The mean B to come to.
    pub target: Length,
    /// ΔB: how much the mean B has to grow.
    pub change: Length,
    /// How far the left wheel goes outward.
    pub left_outward: Length,
    /// How far the right wheel goes outward.
    pub right_outward: Length,
    /// How far the pair then sits to the right of the middle of the axle, where that is known.
    pub offset_after: Option<Length>,
}

/// What has to be replaced and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What to replace.
    pub part: Part,
    /// What is wrong with it.
    pub reason: Reason,
    /// How far the limit is missed, or how much too narrow the window is.
    pub by: Length,
    /// The constraints that show it.
    pub evidence: Evidence,
}

/// What to replace.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// One wheel.
    Wheel(Side),
    /// Both wheels.
    BothWheels,
    /// The whole wheelset.
    Wheelset,
}

/// What is wrong with a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// T too great.
    FlangeTooThick,
    /// T too small.
    FlangeTooThin,
    /// The two T differ by more than K min and K max, or tread and check gauge, can both bear.
    FlangesUnequal,
    /// D too great.
    FlangeTooDeep,
    /// D too small.
    FlangeTooShallow,
    /// N, or the tread on it, too small.
    TireTooNarrow,
    /// N too great.
    TireTooWide,
    /// B varies round the axle by more than the window is wide.
    Wobble,
    /// Out of gauge and moulded in one piece.
    OnePiece,
}

/// The constraints that show a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// One limit on the part itself is missed.
    Limit(ConstraintKind),
    /// These two leave no window, or too narrow a one.
    Window {
        /// Holds B from below.
        lower: ConstraintKind,
        /// Holds B from above.
        upper: ConstraintKind,
    },
}

impl Judgement {
    /// What to do, given which wheels can be moved.
    #[must_use]
    pub fn cure(&self, mobility: Mobility) -> Cure {
        if let Some(fault) = self.fault() {
            return Cure::Replace(fault);
        }
        if self.holds() {
            return Cure::NoneNeeded;
        }
        let unread = self
            .not_measured()
            .find(|kind| kind.edge() != Edge::Neither);
        if let Some(kind) = unread {
            return Cure::MeasureFirst(kind);
        }
        match (self.move_to_target(mobility), self.binding()) {
            (Some(movement), _) => Cure::Move(movement),
            (None, Some(binding)) => Cure::Replace(Fault {
                part: Part::Wheelset,
                reason: Reason::OnePiece,
                by: -binding.margin,
                evidence: Evidence::Limit(binding.kind),
            }),
            (None, None) => Cure::NoneNeeded,
        }
    }

    /// Why no B will do for these two wheels, if none does.
    ///
    /// A limit on the part itself comes before a missing window, the worst of them first.
    #[must_use]
    pub fn fault(&self) -> Option<Fault> {
        self.part_fault().or_else(|| self.window_fault())
    }

    /// The move that brings the mean B to the middle of the window.
    ///
    /// Where only one edge is set the target stands inside it by two standard uncertainties of B
    /// (and by half the spread round the axle). ASSUMED: two; the usual coverage factor,
    /// [JCGM-100 §6.3.3].
    /// Half nanometres are dropped toward zero; the window is whole, so the move stays inside it.
    ///
    /// `None` where no B will do, no wheel can be moved, or nothing limits B.
    #[must_use]
    pub fn move_to_target(&self, mobility: Mobility) -> Option<Move> {
        if self.window_fault().is_some() {
            return None;
        }
        let BackToBack { low, high } = self.wheelset.back_to_back;
        let guard = self.uncertainty.back_to_back * 2;
        let change = match (self.window.lower, self.window.upper) {
            (Some(lower), Some(upper)) => (lower.at + upper.at - low - high).half(),
            (Some(lower), None) => lower.at + guard - low,
            (None, Some(upper)) => upper.at - guard - high,
            (None, None) => return None,
        };
        let offset = self.wheelset.offset.unwrap_or(Length::ZERO);
        let (left_outward, right_outward) = match mobility {
            Mobility::Both => {
                let right = change.half() - offset;
                (change - right, right)
            }
            Mobility::Only(Side::Left) => (change, Length::ZERO),
            Mobility::Only(Side::Right) => (Length::ZERO, change),
            Mobility::OnePiece => return None,
        };
        Some(Move {
            target: self.wheelset.back_to_back.mean() + change,
            change,
            left_outward,
            right_outward,
            offset_after: self
                .wheelset
                .offset
                .map(|offset| offset + (right_outward - left_outward).half()),
        })
    }

    fn part_fault(&self) -> Option<Fault> {
        let worst = self
            .constraints()
            .filter(|constraint| constraint.margin < Length::ZERO)
            .filter_map(|constraint| Some((part_at_fault(constraint.kind)?, constraint)))
            .min_by_key(|(_, constraint)| constraint.margin)?;
        let ((side, reason), constraint) = worst;
        let same_on_other = self
            .constraints()
            .any(|other| other.kind == constraint.kind.mirrored() && other.margin < Length::ZERO);
        Some(Fault {
            part: one_or_both(side, same_on_other),
            reason,
            by: -constraint.margin,
            evidence: Evidence::Limit(constraint.kind),
        })
    }

    fn window_fault(&self) -> Option<Fault> {
        let (lower, upper) = (self.window.lower?, self.window.upper?);
        let width = upper.at - lower.at;
        let spread = self.wheelset.back_to_back.spread();
        if width >= spread {
            return None;
        }
        let (part, reason, by) = if width < Length::ZERO {
            let (part, reason) = self.conflict(lower.set_by, upper.set_by);
            let part = match part {
                Part::Wheel(side) => one_or_both(side, self.mirrored_conflict(lower, upper)),
                Part::BothWheels | Part::Wheelset => part,
            };
            (part, reason, -width)
        } else {
            (Part::Wheelset, Reason::Wobble, spread - width)
        };
        Some(Fault {
            part,
            reason,
            by,
            evidence: Evidence::Window {
                lower: lower.set_by,
                upper: upper.set_by,
            },
        })
    }

    /// Whose fault it is that these two exclude each other: subtract the two lines of the module's
    /// table, and what is left is a condition on one part.
    fn conflict(&self, lower: ConstraintKind, upper: ConstraintKind) -> (Part, Reason) {
        use ConstraintKind as C;
        match (lower, upper) {
            // (d) − (a): T_i ≤ K_max − S_max − c_s.
            (C::Span | C::BackToBackMin, C::CheckGaugeMax(side)) => {
                (Part::Wheel(side), Reason::FlangeTooThick)
            }
            // (e) − (a): T_1 + T_2 ≤ G_min − c_g − S_max − c_s.
            (C::Span | C::BackToBackMin, C::Gauge) => (self.thicker(), Reason::FlangeTooThick),
            // (e) − (c): T_j ≤ G_min − c_g − K_min.
            (C::CheckGaugeMin(side), C::Gauge) => {
                (Part::Wheel(side.other()), Reason::FlangeTooThick)
            }
            // (f) − (c): T_i ≥ K_min − B_max.
            (C::CheckGaugeMin(side), C::BackToBackMax) => {
                (Part::Wheel(side), Reason::FlangeTooThin)
            }
            // (e) − (b): N_j − T_j ≥ G_max + s_min − G_min + c_g.
            (C::TreadSupport(side), C::Gauge) => (Part::Wheel(side), Reason::TireTooNarrow),
            // (d) − (b): N_j + T_i − T_k ≥ G_max + s_min − K_max, k the wheel of (d).
            (C::TreadSupport(side), C::CheckGaugeMax(_)) => {
                if self.wheelset.wheel(side).tire_width < self.tread_need {
                    (Part::Wheel(side), Reason::TireTooNarrow)
                } else {
                    (Part::BothWheels, Reason::FlangesUnequal)
                }
            }
            // (f) − (b): N_j + T_i ≥ G_max + s_min − B_max; either could be at fault.
            (C::TreadSupport(_), C::BackToBackMax) => (Part::BothWheels, Reason::TireTooNarrow),
            // (d) − (c): T_j − T_i ≤ K_max − K_min. The pairs that need no wheel at all to
            // contradict each other were refused with the limits.
            _ => (Part::BothWheels, Reason::FlangesUnequal),
        }
    }

    /// Whether the same two constraints, seen from the other wheel, exclude each other as well.
    fn mirrored_conflict(&self, lower: Bound, upper: Bound) -> bool {
        let margin = |kind: ConstraintKind| {
            let found = self
                .constraints()
                .find(|constraint| constraint.kind == kind);
            found.map(|constraint| constraint.margin)
        };
        let back_to_back = self.wheelset.back_to_back;
        match (
            margin(lower.set_by.mirrored()),
            margin(upper.set_by.mirrored()),
        ) {
            (Some(below), Some(above)) => back_to_back.high + above < back_to_back.low - below,
            _ => false,
        }
    }

    fn thicker(&self) -> Part {
        let (left, right) = (
            self.wheelset.left.flange_thickness,
            self.wheelset.right.flange_thickness,
        );
        match left.cmp(&right) {
            std::cmp::Ordering::Greater => Part::Wheel(Side::Left),
            std::cmp::Ordering::Less => Part::Wheel(Side::Right),
            std::cmp::Ordering::Equal => Part::BothWheels,
        }
    }
}

const fn one_or_both(side: Side, both: bool) -> Part {
    if both {
        Part::BothWheels
    } else {
        Part::Wheel(side)
    }
}

fn part_at_fault(kind: ConstraintKind) -> Option<(Side, Reason)> {
    use ConstraintKind as C;
    match kind {
        C::Flangeway(side) | C::FlangeThicknessMax(side) => Some((side, Reason::FlangeTooThick)),
        C::FlangeThicknessMin(side) => Some((side, Reason::FlangeTooThin)),
        C::FlangeDepthMax(side) => Some((side, Reason::FlangeTooDeep)),
        C::FlangeDepthMin(side) => Some((side, Reason::FlangeTooShallow)),
        C::TireWidthMin(side) => Some((side, Reason::TireTooNarrow)),
        C::TireWidthMax(side) => Some((side, Reason::TireTooWide)),
        C::Span
        | C::BackToBackMin
        | C::BackToBackMax
        | C::Gauge
        | C::TreadSupport(_)
        | C::CheckGaugeMin(_)
        | C::CheckGaugeMax(_) => None,
    }
}
