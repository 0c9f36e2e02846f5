//! Paragraphs under each other in a frame: smaller down to a stated least size, then cut, and said.

use crate::Frame;
use crate::face::{ASCENT, DESCENT, Face, Fonts, LEADING, Line, MM_PER_PT};
use crate::fit::{self, Sizes};
use crate::item::{Block, Item, Role};

/// One paragraph.
#[derive(Clone, Debug)]
pub(crate) struct Para {
    pub(crate) text: String,
    pub(crate) face: Face,
    /// Its size as a part of the size of the stack.
    pub(crate) scale: f64,
    /// A sign that the paragraph hangs on.
    pub(crate) lead: &'static str,
    /// Room above it, in ems of the stack.
    pub(crate) above: f64,
    /// Whether it is a heading to those that read by headings.
    pub(crate) heading: bool,
}

impl Para {
    pub(crate) fn new(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            face: Face::Regular,
            scale: 1.0,
            lead: "",
            above: 0.0,
            heading: false,
        }
    }

    pub(crate) fn heading(text: impl Into<String>) -> Self {
        Self {
            face: Face::Bold,
            above: 0.5,
            heading: true,
            ..Self::new(text)
        }
    }

    pub(crate) fn hung(lead: &'static str, text: impl Into<String>) -> Self {
        Self {
            lead,
            above: 0.12,
            ..Self::new(text)
        }
    }

    pub(crate) fn bold(self) -> Self {
        Self {
            face: Face::Bold,
            ..self
        }
    }
}

/// What became of a stack.
pub(crate) struct Stacked {
    pub(crate) blocks: Vec<Block>,
    /// Texts that were cut or left out.
    pub(crate) cut: Vec<String>,
    pub(crate) missing: Vec<char>,
}

/// A paragraph in lines at one size.
struct Set<'a> {
    para: &'a Para,
    lead: Option<Line>,
    indent_mm: f64,
    size_pt: f64,
    lines: Vec<Line>,
}

impl Set<'_> {
    fn line_mm(&self) -> f64 {
        LEADING * self.size_pt * MM_PER_PT
    }
}

/// Steps of size between the most and the least.
const STEPS: u32 = 8;

/// Lays paragraphs in `frame`, at the largest size at which all have room.
pub(crate) fn stack(fonts: &Fonts, paras: &[Para], frame: &Frame, sizes: Sizes) -> Stacked {
    let mut last = Vec::new();
    for step in 0..=STEPS {
        let part = f64::from(step) / f64::from(STEPS);
        let size = sizes.most_pt + part * (sizes.least_pt - sizes.most_pt);
        let set: Vec<_> = paras
            .iter()
            .map(|para| set_at(fonts, para, size, frame.width_mm))
            .collect();
        if height(&set, size) <= frame.height_mm {
            return place(fonts, set, frame, size);
        }
        last = set;
    }
    place(fonts, last, frame, sizes.least_pt)
}

fn set_at<'a>(fonts: &Fonts, para: &'a Para, size: f64, width_mm: f64) -> Set<'a> {
    let size_pt = size * para.scale;
    let lead = (!para.lead.is_empty()).then(|| fonts.shape(para.face, para.lead));
    let indent_mm = lead.as_ref().map_or(0.0, |lead| {
        lead.width_mm(size_pt) + 0.4 * size_pt * MM_PER_PT
    });
    let room = (width_mm - indent_mm).max(0.0);
    Set {
        para,
        lead,
        indent_mm,
        size_pt,
        lines: fit::wrap(fonts, para.face, &para.text, size_pt, room),
    }
}

fn above(set: &Set<'_>, index: usize, size: f64) -> f64 {
    if index == 0 {
        0.0
    } else {
        set.para.above * size * MM_PER_PT
    }
}

fn height(all: &[Set<'_>], size: f64) -> f64 {
    let one = |(index, set): (usize, &Set<'_>)| {
        let lines = u32::try_from(set.lines.len()).unwrap_or(u32::MAX);
        above(set, index, size) + f64::from(lines) * set.line_mm()
    };
    all.iter().enumerate().map(one).sum()
}

fn place(fonts: &Fonts, all: Vec<Set<'_>>, frame: &Frame, size: f64) -> Stacked {
    let mut done = Stacked {
        blocks: Vec::new(),
        cut: Vec::new(),
        missing: Vec::new(),
    };
    let mut y = frame.y_mm;
    let mut full = false;
    for (index, set) in all.into_iter().enumerate() {
        for line in &set.lines {
            done.missing.extend(&line.missing);
        }
        if full {
            done.cut.push(set.para.text.clone());
            continue;
        }
        let top = y + above(&set, index, size);
        let room = frame.bottom() - top;
        let lines = fitting(room, &set);
        full = lines < set.lines.len();
        if full {
            done.cut.push(set.para.text.clone());
        }
        if lines == 0 {
            mark_cut(fonts, &mut done, frame);
            continue;
        }
        y = top + count(lines) * set.line_mm();
        done.blocks.push(block(fonts, set, lines, (frame, top)));
    }
    done
}

fn count(lines: usize) -> f64 {
    f64::from(u32::try_from(lines).unwrap_or(u32::MAX))
}

/// How many lines of a paragraph have room; the last one needs no leading under it.
fn fitting(room_mm: f64, set: &Set<'_>) -> usize {
    let tall = (ASCENT + DESCENT) * set.size_pt * MM_PER_PT;
    let fits = |lines: usize| count(lines - 1) * set.line_mm() + tall <= room_mm + 1e-9;
    (1..=set.lines.len()).take_while(|n| fits(*n)).count()
}

fn block(fonts: &Fonts, set: Set<'_>, lines: usize, at: (&Frame, f64)) -> Block {
    let (frame, top) = at;
    let (line_mm, size, whole) = (set.line_mm(), set.size_pt, set.lines.len());
    let room = frame.width_mm - set.indent_mm;
    let mut items = Vec::new();
    if let Some(lead) = set.lead {
        items.push(Item::text(frame.x_mm, top, size, lead));
    }
    for (index, line) in set.lines.into_iter().take(lines).enumerate() {
        let last = index + 1 == lines && lines < whole;
        let line = if last {
            fit::cut(fonts, line.face, &line.text, size, room)
        } else {
            line
        };
        let y = top + count(index) * line_mm;
        items.push(Item::text(frame.x_mm + set.indent_mm, y, size, line));
    }
    let role = if set.para.heading {
        Role::Heading(2, set.para.text.clone())
    } else {
        Role::Paragraph
    };
    Block::new(role, items)
}

/// Puts an ellipsis at the end of the last line there is, since what follows had no room.
fn mark_cut(fonts: &Fonts, done: &mut Stacked, frame: &Frame) {
    let items = done.blocks.iter_mut().flat_map(|block| &mut block.items);
    let Some(Item::Text {
        x_mm,
        size_pt,
        line,
        ..
    }) = items.last()
    else {
        return;
    };
    let room = frame.right() - *x_mm;
    if !line.text.ends_with(fit::CUT) {
        *line = fit::cut(fonts, line.face, &line.text, *size_pt, room);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZES: Sizes = Sizes {
        most_pt: 10.0,
        least_pt: 7.0,
    };

    fn texts(done: &Stacked) -> Vec<String> {
        let items = done.blocks.iter().flat_map(|block| &block.items);
        let text = |item: &Item| match item {
            Item::Text { line, .. } => Some(line.text.clone()),
            Item::Shape { .. } | Item::Code { .. } => None,
        };
        items.filter_map(text).collect()
    }

    #[test]
    fn what_has_no_room_is_cut_with_a_sign_and_named() {
        let fonts = Fonts::load().expect("the typeface");
        let paras = [
            Para::new("the first of them"),
            Para::new("the second of them"),
        ];
        let roomy = Frame::new(5.0, 5.0, 60.0, 20.0);
        let all = stack(&fonts, &paras, &roomy, SIZES);
        assert_eq!(all.cut, [""; 0]);
        assert_eq!(texts(&all), ["the first of them", "the second of them"]);

        let low = Frame::new(5.0, 5.0, 60.0, 4.0);
        let some = stack(&fonts, &paras, &low, SIZES);
        assert_eq!(some.cut, ["the second of them"]);
        assert_eq!(texts(&some), ["the first of them…"]);
    }
}
