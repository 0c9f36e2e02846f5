//! Where words stand on a drawing: beside what they name, off every line, off each other, on the sheet.
//!
//! Each label tries every place of a fine grid over the sheet; the cheapest is taken, and the nearer a
//! place is to what it names, the cheaper it is.
//! A place that lies on a line, on another label or beyond the edge is never taken while there is
//! another; one nearer to what another label names is dearer.
//! A label that stands far off gets a thin line to what it names, and a place whose thin line crosses
//! the track is dearer.
//!
//! ASSUMED: a letter is [`LETTER`] of the size of its words wide. It is wider than the letters of common
//! faces in bold, so that a label is rather kept too far off than too near.

/// Width of a letter over the size of the words.
const LETTER: f64 = 0.62;
/// Height of a row over the size of the words.
const ROW: f64 = 1.15;
/// What a thin line that crosses the track costs, in units of the drawing.
const CROSSING: f64 = 60.0;
/// Step of the grid over the size of the words.
const GRID: f64 = 0.4;

/// A point of a drawing.
pub(crate) type Point = [f64; 2];

/// The sheet, its lines, and how far words keep from them.
pub(crate) struct Ground<'a> {
    pub(crate) size: Point,
    pub(crate) lines: &'a [Point],
    /// Size of the words.
    pub(crate) words: f64,
    /// Half the width of what is drawn along the lines.
    pub(crate) clear: f64,
    /// Whether long names may be set in two rows.
    pub(crate) wraps: bool,
}

/// A label in its place.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Label {
    /// Its rows.
    pub(crate) rows: Vec<String>,
    /// The middle of each row's base line.
    pub(crate) at: Vec<Point>,
    /// Ends of the thin line, where it stands far off.
    pub(crate) leader: Option<[Point; 2]>,
    frame: Frame,
}

/// A rectangle by its middle and half its sides.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Frame {
    middle: Point,
    half: Point,
}

impl Frame {
    const fn grown(self, by: f64) -> Self {
        Self {
            middle: self.middle,
            half: [self.half[0] + by, self.half[1] + by],
        }
    }

    fn meets(self, other: Self) -> bool {
        (0..2).all(|k| (self.middle[k] - other.middle[k]).abs() < self.half[k] + other.half[k])
    }

    /// Whether a straight line enters it, by clipping the line at each side in turn.
    fn is_crossed(self, [a, b]: [Point; 2]) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for k in 0..2 {
            let (start, run) = (a[k] - self.middle[k], b[k] - a[k]);
            if run.abs() < 1e-9 {
                if start.abs() >= self.half[k] {
                    return false;
                }
                continue;
            }
            let ends = [(-self.half[k] - start) / run, (self.half[k] - start) / run];
            from = from.max(ends[0].min(ends[1]));
            to = to.min(ends[0].max(ends[1]));
        }
        from < to
    }

    /// The point of it that is nearest to another.
    fn nearest(self, to: Point) -> Point {
        std::array::from_fn(|k| {
            to[k].clamp(self.middle[k] - self.half[k], self.middle[k] + self.half[k])
        })
    }
}

/// Puts each name near its anchor.
pub(crate) fn place<'a>(
    ground: &Ground<'_>,
    names: impl IntoIterator<Item = (&'a str, Point)>,
) -> Vec<Label> {
    let mut placed: Vec<Label> = Vec::new();
    let lines = ground.thinned();
    let names: Vec<(&str, Point)> = names.into_iter().collect();
    for (index, &(name, anchor)) in names.iter().enumerate() {
        let others = names.iter().enumerate();
        let others = others.filter(|(other, _)| *other != index);
        let others: Vec<Point> = others.map(|(_, own)| own.1).collect();
        let rows = ground.rows(name);
        let half = ground.half(&rows);
        let mut best: Option<(f64, Frame)> = None;
        for frame in ground.grid(half) {
            let away = distance(frame.nearest(anchor), anchor);
            // No place costs less than its distance.
            if best.is_some_and(|(least, _)| least <= away) {
                continue;
            }
            let doubt = ground.doubt((away, frame), &others);
            let cost = doubt + ground.cost((away, frame), anchor, &lines, &placed);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, frame));
            }
        }
        if let Some((_, frame)) = best {
            placed.push(ground.label(rows, frame, anchor));
        }
    }
    placed
}

fn distance(one: Point, other: Point) -> f64 {
    (one[0] - other[0]).hypot(one[1] - other[1])
}

impl Ground<'_> {
    fn rows(&self, name: &str) -> Vec<String> {
        let middle = name.len() / 2;
        let breaks = name.match_indices(' ').map(|(at, _)| at);
        match breaks.min_by_key(|at| at.abs_diff(middle)) {
            Some(at) if self.wraps => vec![name[..at].to_owned(), name[at + 1..].to_owned()],
            _ => vec![name.to_owned()],
        }
    }

    fn half(&self, rows: &[String]) -> Point {
        let letters = rows.iter().map(|own| own.chars().count()).max();
        #[expect(clippy::cast_precision_loss, reason = "a count of letters")]
        let (letters, rows) = (letters.unwrap_or(0) as f64, rows.len() as f64);
        [
            0.5 * LETTER * self.words * letters,
            0.5 * ROW * self.words * rows,
        ]
    }

    /// The lines with fewer points; what lies between them is less than the clearance.
    fn thinned(&self) -> Vec<Point> {
        let mut kept: Vec<Point> = Vec::new();
        for (index, own) in self.lines.iter().enumerate() {
            let far = kept
                .last()
                .is_none_or(|last| distance(*last, *own) > 0.3 * self.words);
            if far || index + 1 == self.lines.len() {
                kept.push(*own);
            }
        }
        kept
    }

    /// Frames all over the sheet.
    fn grid(&self, half: Point) -> impl Iterator<Item = Frame> {
        let along = |k: usize| {
            let (mut at, end) = (half[k] + 2.0, self.size[k] - half[k] - 2.0);
            let step = GRID * self.words;
            std::iter::from_fn(move || {
                let own = at;
                at += step;
                (own <= end).then_some(own)
            })
            .collect::<Vec<f64>>()
        };
        let (xs, ys) = (along(0), along(1));
        ys.into_iter().flat_map(move |y| {
            let frame = move |x| Frame {
                middle: [x, y],
                half,
            };
            xs.clone().into_iter().map(frame)
        })
    }

    /// What it costs that a reader may take the name for that of something else.
    fn doubt(&self, (away, frame): (f64, Frame), others: &[Point]) -> f64 {
        /// So many times farther off should everything else be.
        const CLEARLY: f64 = 1.6;
        /// Dearer than going around to another side.
        const DEARER: f64 = 3.0;
        let nearest = others.iter().map(|own| distance(frame.nearest(*own), *own));
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        DEARER * (CLEARLY * away + self.words - nearest).max(0.0)
    }

    /// What a place costs: its distance, more where its thin line crosses the track, and very much
    /// more where it lies on something.
    fn cost(
        &self,
        (away, frame): (f64, Frame),
        anchor: Point,
        lines: &[Point],
        placed: &[Label],
    ) -> f64 {
        /// Dearer than any distance and any crossing.
        const ON_SOMETHING: f64 = 1e6;
        let kept = frame.grown(self.clear);
        let crossed = pairs(lines).filter(|own| kept.is_crossed(*own)).count();
        let onto = placed
            .iter()
            .filter(|own| own.frame.grown(6.0).meets(frame));
        let onto_leaders = placed.iter().filter_map(|own| own.leader);
        let onto_leaders = onto_leaders.filter(|own| frame.grown(3.0).is_crossed(*own));
        let leader = self.leader(frame, anchor);
        let over = placed.iter().filter(|own| {
            let kept = own.frame.grown(3.0);
            leader.is_some_and(|own| kept.is_crossed(own))
        });
        let clashes = crossed + 50 * (onto.count() + onto_leaders.count() + over.count());
        #[expect(clippy::cast_precision_loss, reason = "a count of lines")]
        let clashes = clashes as f64;
        let across = leader.is_some_and(|leader| pairs(lines).any(|own| crosses(own, leader)));
        away + ON_SOMETHING * clashes + if across { CROSSING } else { 0.0 }
    }

    /// The thin line from what is named to its name, where the name stands far off.
    fn leader(&self, frame: Frame, anchor: Point) -> Option<[Point; 2]> {
        let end = frame.nearest(anchor);
        let (x, y) = (end[0] - anchor[0], end[1] - anchor[1]);
        let far = x.hypot(y);
        let start = self.clear / far.max(1e-9);
        (far > 1.6 * self.clear + 0.4 * self.words)
            .then(|| [[anchor[0] + start * x, anchor[1] + start * y], end])
    }

    fn label(&self, rows: Vec<String>, frame: Frame, anchor: Point) -> Label {
        let row = ROW * self.words;
        let top = frame.middle[1] - frame.half[1];
        #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
        let at = (0..rows.len())
            .map(|index| {
                [
                    frame.middle[0],
                    top + row * index as f64 + 0.82 * self.words,
                ]
            })
            .collect();
        Label {
            rows,
            at,
            leader: self.leader(frame, anchor),
            frame,
        }
    }
}

fn pairs(lines: &[Point]) -> impl Iterator<Item = [Point; 2]> {
    lines.windows(2).map(|own| [own[0], own[1]])
}

/// Whether two straight lines cross.
fn crosses([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground(lines: &[Point]) -> Ground<'_> {
        Ground {
            size: [400.0, 300.0],
            lines,
            words: 16.0,
            clear: 8.0,
            wraps: false,
        }
    }

    /// Off the lines, off each other and on the sheet.
    #[track_caller]
    fn assert_clear(ground: &Ground<'_>, labels: &[Label]) {
        for (index, own) in labels.iter().enumerate() {
            for line in pairs(ground.lines) {
                assert!(!own.frame.is_crossed(line), "{:?} on {line:?}", own.rows);
            }
            for (_, other) in labels.iter().enumerate().filter(|own| own.0 != index) {
                assert!(!own.frame.meets(other.frame), "{own:?} on {other:?}");
                let leader = other.leader;
                assert!(
                    leader.is_none_or(|leader| !own.frame.is_crossed(leader)),
                    "{own:?}"
                );
            }
            for k in 0..2 {
                assert!(own.frame.middle[k] - own.frame.half[k] >= 0.0, "{own:?}");
                assert!(own.frame.middle[k] + own.frame.half[k] <= ground.size[k]);
            }
        }
    }

    #[test]
    fn names_stand_off_the_line_off_each_other_and_on_the_sheet() {
        // There and back again, close together, with names where the two runs are nearest.
        let lines = [[20.0, 140.0], [380.0, 150.0], [380.0, 170.0], [20.0, 165.0]];
        let ground = ground(&lines);
        let names = ["Cinder Flat", "The Loop", "Upper Flat", "Far End"];
        let anchors = [[60.0, 141.0], [380.0, 160.0], [70.0, 166.0], [200.0, 145.0]];
        let labels = place(&ground, names.into_iter().zip(anchors));
        assert_eq!(labels.len(), 4);
        assert_clear(&ground, &labels);
    }

    #[test]
    fn a_name_that_stands_far_off_has_a_thin_line_to_what_it_names() {
        // A comb of lines with no room between them.
        let lines: Vec<Point> = (0..30)
            .flat_map(|k| {
                let x = 100.0 + 6.0 * f64::from(k);
                let ends = [[x, 100.0], [x, 200.0]];
                if k % 2 == 0 { ends } else { [ends[1], ends[0]] }
            })
            .collect();
        let ground = ground(&lines);
        let labels = place(&ground, [("Comb", [190.0, 150.0])]);
        assert_clear(&ground, &labels);
        assert!(labels[0].leader.is_some(), "{labels:?}");
    }

    #[test]
    fn a_name_stands_nearer_to_its_own_place_than_to_another() {
        // Two bends close together; the nearest free place of the first is beside the second.
        let lines = [
            [100.0, 250.0],
            [150.0, 150.0],
            [190.0, 250.0],
            [230.0, 150.0],
            [300.0, 250.0],
        ];
        let ground = ground(&lines);
        let anchors = [[150.0, 150.0], [230.0, 150.0]];
        let labels = place(
            &ground,
            ["First Bend", "Other Bend"].into_iter().zip(anchors),
        );
        assert_clear(&ground, &labels);
        for (index, own) in labels.iter().enumerate() {
            let far = |to: Point| distance(own.frame.nearest(to), to);
            assert!(far(anchors[index]) < far(anchors[1 - index]), "{own:?}");
        }
    }

    #[test]
    fn a_long_name_is_set_in_two_rows_where_the_sheet_is_narrow() {
        let ground = Ground {
            wraps: true,
            ..ground(&[])
        };
        let labels = place(
            &ground,
            [("Middle Horseshoe", [200.0, 150.0]), ("Gap", [20.0, 20.0])],
        );
        assert_eq!(labels[0].rows, ["Middle", "Horseshoe"]);
        assert_eq!(labels[1].rows, ["Gap"]);
        assert!(labels[0].at[0][1] < labels[0].at[1][1]);
    }
}
