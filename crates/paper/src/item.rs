//! What stands on a page, before any of it is written: text, strokes, areas and codes with their places,
//! in blocks with a part to play. Everything knows its bounds, so that tests can ask whether anything
//! leaves its label.

use crate::Frame;
use crate::code::Code;
use crate::face::{ASCENT, DESCENT, Line, MM_PER_PT};

/// A shade of grey, 0 black to 255 white. Paper here is black and white: nothing is said by colour.
pub(crate) type Shade = u8;

pub(crate) const BLACK: Shade = 0;
pub(crate) const WHITE: Shade = 255;
/// Rules between rows. ASSUMED: pale enough to recede, dark enough for a worn printer.
pub(crate) const GREY: Shade = 150;

/// One thing on a page; lengths in mm from the page's upper left corner.
#[derive(Clone, Debug)]
pub(crate) enum Item {
    Text {
        x_mm: f64,
        base_mm: f64,
        size_pt: f64,
        shade: Shade,
        line: Line,
    },
    Shape {
        steps: Vec<Step>,
        fill: Option<Shade>,
        even_odd: bool,
        pen: Option<Pen>,
    },
    Code {
        x_mm: f64,
        y_mm: f64,
        side_mm: f64,
        code: Code,
    },
}

/// A step of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Step {
    Move(f64, f64),
    Line(f64, f64),
    Cubic(f64, f64, f64, f64, f64, f64),
    Close,
}

/// How a stroke is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pen {
    pub(crate) shade: Shade,
    pub(crate) width_mm: f64,
    pub(crate) dashes_mm: Vec<f64>,
}

impl Pen {
    pub(crate) fn new(shade: Shade, width_mm: f64) -> Self {
        Self {
            shade,
            width_mm,
            dashes_mm: Vec::new(),
        }
    }
}

impl Item {
    /// Black text whose tallest letters begin at `y_mm`.
    pub(crate) fn text(x_mm: f64, y_mm: f64, size_pt: f64, line: Line) -> Self {
        Self::Text {
            x_mm,
            base_mm: y_mm + ASCENT * size_pt * MM_PER_PT,
            size_pt,
            shade: BLACK,
            line,
        }
    }

    /// A filled rectangle.
    pub(crate) fn area(frame: &Frame, fill: Shade) -> Self {
        Self::Shape {
            steps: outline(frame),
            fill: Some(fill),
            even_odd: false,
            pen: None,
        }
    }

    /// The outline of a rectangle.
    pub(crate) fn frame(frame: &Frame, pen: Pen) -> Self {
        Self::Shape {
            steps: outline(frame),
            fill: None,
            even_odd: false,
            pen: Some(pen),
        }
    }

    /// A straight line.
    pub(crate) fn rule(from: (f64, f64), to: (f64, f64), pen: Pen) -> Self {
        Self::Shape {
            steps: vec![Step::Move(from.0, from.1), Step::Line(to.0, to.1)],
            fill: None,
            even_odd: false,
            pen: Some(pen),
        }
    }

    /// What it covers.
    pub(crate) fn bounds(&self) -> Frame {
        match self {
            Self::Text {
                x_mm,
                base_mm,
                size_pt,
                line,
                ..
            } => {
                let em = size_pt * MM_PER_PT;
                let height = (ASCENT + DESCENT) * em;
                Frame::new(
                    *x_mm,
                    base_mm - ASCENT * em,
                    line.width_mm(*size_pt),
                    height,
                )
            }
            Self::Shape { steps, pen, .. } => {
                let half = pen.as_ref().map_or(0.0, |pen| pen.width_mm / 2.0);
                let points = steps.iter().flat_map(|step| step.points());
                let around = points
                    .map(|(x, y)| Frame::new(x, y, 0.0, 0.0))
                    .reduce(Frame::around);
                let own = around.unwrap_or_default();
                Frame::new(
                    own.x_mm - half,
                    own.y_mm - half,
                    own.width_mm + 2.0 * half,
                    own.height_mm + 2.0 * half,
                )
            }
            Self::Code {
                x_mm,
                y_mm,
                side_mm,
                ..
            } => Frame::new(*x_mm, *y_mm, *side_mm, *side_mm),
        }
    }
}

impl Step {
    /// Its points, those that only draw it near among them: the outline lies between them.
    fn points(self) -> Vec<(f64, f64)> {
        match self {
            Self::Move(x, y) | Self::Line(x, y) => vec![(x, y)],
            Self::Cubic(a, b, c, d, x, y) => vec![(a, b), (c, d), (x, y)],
            Self::Close => Vec::new(),
        }
    }
}

fn outline(frame: &Frame) -> Vec<Step> {
    vec![
        Step::Move(frame.x_mm, frame.y_mm),
        Step::Line(frame.right(), frame.y_mm),
        Step::Line(frame.right(), frame.bottom()),
        Step::Line(frame.x_mm, frame.bottom()),
        Step::Close,
    ]
}

/// What a block is, for people who have the page read to them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    /// A heading of that level, with its words.
    Heading(u16, String),
    Paragraph,
    /// A picture, with what it shows.
    Figure(String),
    /// A cell of a table.
    Cell {
        table: usize,
        row: usize,
        head: bool,
    },
    /// Nothing to be read: rules, cut lines, page numbers.
    Ornament,
}

/// Things that belong together.
#[derive(Clone, Debug)]
pub(crate) struct Block {
    pub(crate) role: Role,
    pub(crate) items: Vec<Item>,
}

impl Block {
    pub(crate) fn new(role: Role, items: Vec<Item>) -> Self {
        Self { role, items }
    }

    pub(crate) fn ornament(item: Item) -> Self {
        Self::new(Role::Ornament, vec![item])
    }
}

/// One page.
#[derive(Clone, Debug, Default)]
pub(crate) struct Page {
    pub(crate) blocks: Vec<Block>,
}

/// Fails where something leaves `frame`, or where text or a code lies over other text or a code.
#[cfg(test)]
pub(crate) fn within_and_apart(
    blocks: &[Block],
    frame: &Frame,
) -> Result<(), proptest::test_runner::TestCaseError> {
    /// mm: less than the width of any pen.
    const SLACK: f64 = 0.02;
    let items: Vec<(&Role, Frame)> = blocks
        .iter()
        .flat_map(|block| block.items.iter().map(|item| (&block.role, item.bounds())))
        .collect();
    for (_, own) in &items {
        proptest::prop_assert!(frame.holds(own, SLACK), "{own:?} leaves {frame:?}");
    }
    let read: Vec<Frame> = items
        .iter()
        .filter(|(role, own)| **role != Role::Ornament && own.width_mm > 0.0)
        .map(|(_, own)| *own)
        .collect();
    for (index, one) in read.iter().enumerate() {
        for other in &read[index + 1..] {
            proptest::prop_assert!(!one.overlaps(other, SLACK), "{one:?} over {other:?}");
        }
    }
    Ok(())
}
