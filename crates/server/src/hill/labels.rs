//! Where words stand on a drawing: beside what they name, off every line, off each other, on the sheet.
//!
//! Each label tries places around its anchor, nearest first, in sixteen directions; the first of the
//! cheapest is taken. A place that lies on a line, on another label or beyond the edge is never taken
//! while there is another. A label that stands far off gets a thin line to what it names, and a place
//! whose thin line crosses the track is dearer.
//!
//! ASSUMED: a letter is [`LETTER`] of the size of its words wide. It is wider than the letters of common
//! faces in bold, so that a label is rather kept too far off than too near.

/// Width of a letter over the size of the words.
const LETTER: f64 = 0.62;
/// Height of a row over the size of the words.
const ROW: f64 = 1.15;
/// What a thin line that crosses the track costs, in units of the drawing.
const CROSSING: f64 = 60.0;
/// Directions that are tried.
const DIRECTIONS: u8 = 16;

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
    for (name, anchor) in names {
        let rows = ground.rows(name);
        let half = ground.half(&rows);
        let frames = ground.around(anchor, half);
        let cost = |own: &(f64, Frame)| ground.cost(*own, anchor, &placed);
        let best = frames
            .iter()
            .map(|own| (cost(own), own.1))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, frame)) = best {
            placed.push(ground.label(rows, frame, anchor));
        }
    }
    placed
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

    /// Frames around an anchor with their distance from it.
    fn around(&self, anchor: Point, half: Point) -> Vec<(f64, Frame)> {
        let mut frames = Vec::new();
        let mut away = self.clear + 2.0;
        while away < 0.6 * self.size[0] {
            for direction in 0..DIRECTIONS {
                let turn = std::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
                let (sin, cos) = turn.sin_cos();
                let middle = [
                    anchor[0] + cos * (away + half[0]),
                    anchor[1] + sin * (away + half[1]),
                ];
                frames.push((away, Frame { middle, half }));
            }
            away *= 1.35;
        }
        frames
    }

    /// What a place costs: its distance, more where its thin line crosses the track, and very much
    /// more where it lies on something.
    fn cost(&self, (away, frame): (f64, Frame), anchor: Point, placed: &[Label]) -> f64 {
        /// Dearer than any distance and any crossing.
        const ON_SOMETHING: f64 = 1e6;
        let beyond = (0..2).any(|k| {
            frame.middle[k] - frame.half[k] < 2.0
                || frame.middle[k] + frame.half[k] > self.size[k] - 2.0
        });
        let kept = frame.grown(self.clear);
        let crossed = self.pairs().filter(|own| kept.is_crossed(*own)).count();
        let onto = placed
            .iter()
            .filter(|own| own.frame.grown(6.0).meets(frame));
        let onto_leaders = placed.iter().filter_map(|own| own.leader);
        let onto_leaders = onto_leaders.filter(|own| frame.grown(3.0).is_crossed(*own));
        let clashes =
            usize::from(beyond) * 100 + crossed + 50 * (onto.count() + onto_leaders.count());
        #[expect(clippy::cast_precision_loss, reason = "a count of lines")]
        let clashes = clashes as f64;
        let mut cost = away + ON_SOMETHING * clashes;
        if let Some(leader) = self.leader(frame, anchor) {
            let across = self.pairs().any(|own| crosses(own, leader));
            let over = placed.iter().any(|own| own.frame.is_crossed(leader));
            cost += CROSSING * (f64::from(u8::from(across)) + 4.0 * f64::from(u8::from(over)));
        }
        cost
    }

    fn pairs(&self) -> impl Iterator<Item = [Point; 2]> {
        self.lines.windows(2).map(|own| [own[0], own[1]])
    }

    /// The thin line from what is named to its name, where the name stands far off.
    fn leader(&self, frame: Frame, anchor: Point) -> Option<[Point; 2]> {
        let end = frame.nearest(anchor);
        let (x, y) = (end[0] - anchor[0], end[1] - anchor[1]);
        let far = x.hypot(y);
        let start = self.clear / far.max(1e-9);
        (far > 2.2 * self.clear + 0.5 * self.words)
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
            for line in ground.pairs() {
                assert!(!own.frame.is_crossed(line), "{:?} on {line:?}", own.rows);
            }
            for other in &labels[..index] {
                assert!(!own.frame.meets(other.frame), "{own:?} on {other:?}");
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
