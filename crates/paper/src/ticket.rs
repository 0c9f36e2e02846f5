//! The frame of a paper that hangs on a car or lies with it: name and code above, a banner that is read
//! at arm's length, sentences, lines to write on.

use crate::code::Code;
use crate::face::{Face, Fonts, MM_PER_PT};
use crate::fit::{self, Sizes};
use crate::item::{BLACK, Block, GREY, Item, Pen, Role, Step, WHITE};
use crate::label::{Address, note_missing};
use crate::label_sheet::{LabelSheet, Measure, SheetError};
use crate::pdf::Note;
use crate::stack::{Para, Stacked, stack};
use crate::{Frame, PaperError};

/// Least paper, mm. ASSUMED: below this the sentences of an ordinary car have no room at 6.5 pt.
const LEAST_MM: (f64, f64) = (70.0, 90.0);
const MARGIN_MM: f64 = 6.0;
const CODE_MM: f64 = 25.0;
const BANNER_MM: f64 = 10.0;
/// From one line to write on to the next. ASSUMED: a pencil's hand.
const FIELD_MM: f64 = 8.5;
/// Sizes of the sentences. ASSUMED: 6.5 pt is the least that is read at a bench.
const BODY: Sizes = Sizes {
    most_pt: 10.0,
    least_pt: 6.5,
};
const SMALL: Sizes = Sizes {
    most_pt: 7.0,
    least_pt: 5.5,
};

/// What stands on it.
pub(crate) struct Ticket<'a> {
    pub(crate) kind: &'static str,
    pub(crate) mark: &'a str,
    pub(crate) what: &'a str,
    pub(crate) owner: Option<&'a str>,
    pub(crate) address: &'a Address,
    /// The banner, and whether it is black.
    pub(crate) banner: (String, bool),
    pub(crate) body: Vec<Para>,
    /// What is to be written by hand.
    pub(crate) fields: &'static [&'static str],
    pub(crate) foot: String,
    pub(crate) hole: bool,
}

/// Whether a sheet's labels are large enough.
pub(crate) fn check(sheet: &LabelSheet) -> Result<(), SheetError> {
    for (measure, found, least) in [
        (Measure::Width, sheet.width, LEAST_MM.0),
        (Measure::Height, sheet.height, LEAST_MM.1),
    ] {
        if found.mm() < least {
            let (found, least) = (found.mm().to_string(), least.to_string());
            return Err(SheetError::TooSmall {
                measure,
                found,
                least,
            });
        }
    }
    Ok(())
}

impl Ticket<'_> {
    pub(crate) fn lay(
        &self,
        fonts: &Fonts,
        frame: &Frame,
        notes: &mut Vec<Note>,
    ) -> Result<Vec<Block>, PaperError> {
        let mut inner = frame.inset(MARGIN_MM);
        let mut blocks = Vec::new();
        if self.hole {
            blocks.push(hole(frame.x_mm + frame.width_mm / 2.0, inner.y_mm));
            inner = below(&inner, inner.y_mm + 4.0);
        }
        let code = self.code(&inner)?;
        let left = Frame::new(
            inner.x_mm,
            inner.y_mm,
            inner.width_mm - CODE_MM - 2.0,
            CODE_MM,
        );
        let mut head = self.head(fonts, &left, notes);
        blocks.append(&mut head);
        let banner = Frame::new(
            inner.x_mm,
            inner.y_mm + CODE_MM + 1.5,
            inner.width_mm,
            BANNER_MM,
        );
        blocks.extend(self.banner(fonts, &banner));
        let foot = self.foot(fonts, &inner, notes);
        let fields_top = foot.1 - FIELD_MM * count(self.fields.len());
        let body = Frame::new(
            inner.x_mm,
            banner.bottom() + 2.0,
            inner.width_mm,
            (fields_top - 1.0 - banner.bottom() - 2.0).max(0.0),
        );
        let stacked = stack(fonts, &self.body, &body, BODY);
        self.note(notes, stacked.cut.clone(), stacked.missing.clone());
        blocks.extend(stacked.blocks);
        for (index, field) in self.fields.iter().enumerate() {
            let y = fields_top + FIELD_MM * count(index);
            blocks.extend(write_on(fonts, field, &inner, y));
        }
        blocks.extend(foot.0);
        blocks.push(code);
        Ok(blocks)
    }

    fn code(&self, inner: &Frame) -> Result<Block, PaperError> {
        let held = self.address.code_text(self.mark, self.what);
        let item = Item::Code {
            x_mm: inner.right() - CODE_MM,
            y_mm: inner.y_mm,
            side_mm: CODE_MM,
            code: Code::of(&held)?,
        };
        let role = Role::Figure(self.address.spoken(&held));
        Ok(Block::new(role, vec![item]))
    }

    /// Kind, marks, what it is and whose, left of the code.
    fn head(&self, fonts: &Fonts, left: &Frame, notes: &mut Vec<Note>) -> Vec<Block> {
        let sizes = Sizes {
            most_pt: 26.0,
            least_pt: 11.0,
        };
        let kind = fonts.shape(Face::Regular, self.kind);
        let kind = Block::new(
            Role::Paragraph,
            vec![Item::text(left.x_mm, left.y_mm, 8.0, kind)],
        );
        let mark = fit::line(fonts, Face::Bold, self.mark, sizes, left.width_mm);
        let mut cut = Vec::new();
        if mark.cut {
            cut.push(self.mark.to_owned());
        }
        let missing = mark.line.missing.clone();
        self.note(notes, cut, missing);
        let y = left.y_mm + 3.4;
        let tall = 1.17 * mark.size_pt * MM_PER_PT;
        let item = Item::text(left.x_mm, y, mark.size_pt, mark.line);
        let heading = Block::new(Role::Heading(1, self.mark.to_owned()), vec![item]);
        let mut paras = vec![Para::new(self.what)];
        if let Some(owner) = self.owner {
            paras.push(Para::new(format!("Owner: {owner}")));
        }
        if *self.address == Address::Unknown {
            paras.push(Para {
                scale: 0.8,
                ..Para::new(Address::UNKNOWN)
            });
        }
        let rest = below(left, y + tall + 0.3);
        let sizes = Sizes {
            most_pt: 9.5,
            least_pt: 6.5,
        };
        let stacked = stack(fonts, &paras, &rest, sizes);
        self.note(notes, stacked.cut.clone(), stacked.missing.clone());
        let mut blocks = vec![kind, heading];
        blocks.extend(stacked.blocks);
        blocks
    }

    fn banner(&self, fonts: &Fonts, frame: &Frame) -> Vec<Block> {
        let (words, dark) = &self.banner;
        let sizes = Sizes {
            most_pt: 18.0,
            least_pt: 9.0,
        };
        let fitted = fit::line(fonts, Face::Bold, words, sizes, frame.width_mm - 6.0);
        let tall = 1.164 * fitted.size_pt * MM_PER_PT;
        let wide = fitted.line.width_mm(fitted.size_pt);
        let x = frame.x_mm + (frame.width_mm - wide) / 2.0;
        let y = frame.y_mm + (frame.height_mm - tall) / 2.0;
        let mut text = Item::text(x, y, fitted.size_pt, fitted.line);
        if let (Item::Text { shade, .. }, true) = (&mut text, dark) {
            *shade = WHITE;
        }
        let ground = if *dark {
            Item::area(frame, BLACK)
        } else {
            Item::frame(&frame.inset(0.3), Pen::new(BLACK, 0.6))
        };
        vec![
            Block::ornament(ground),
            Block::new(Role::Paragraph, vec![text]),
        ]
    }

    /// The small print, at the very bottom, and where it begins.
    fn foot(&self, fonts: &Fonts, inner: &Frame, notes: &mut Vec<Note>) -> (Vec<Block>, f64) {
        let lines = fit::wrap(
            fonts,
            Face::Regular,
            &self.foot,
            SMALL.most_pt,
            inner.width_mm,
        );
        let tall = count(lines.len()) * 1.2 * SMALL.most_pt * MM_PER_PT;
        let tall = tall.min(0.2 * inner.height_mm);
        let top = inner.bottom() - tall;
        let place = Frame::new(inner.x_mm, top, inner.width_mm, tall + 0.01);
        let Stacked {
            blocks,
            cut,
            missing,
        } = stack(fonts, &[Para::new(self.foot.as_str())], &place, SMALL);
        self.note(notes, cut, missing);
        (blocks, top - 1.0)
    }

    fn note(&self, notes: &mut Vec<Note>, cut: Vec<String>, missing: Vec<char>) {
        for text in cut {
            notes.push(Note::Cut {
                mark: self.mark.to_owned(),
                text,
            });
        }
        note_missing(notes, self.mark, missing);
    }
}

fn count(number: usize) -> f64 {
    f64::from(u32::try_from(number).unwrap_or(u32::MAX))
}

fn below(frame: &Frame, y_mm: f64) -> Frame {
    Frame {
        y_mm,
        height_mm: (frame.bottom() - y_mm).max(0.0),
        ..*frame
    }
}

/// Where to punch: a dashed ring of 5 mm.
fn hole(x: f64, y: f64) -> Block {
    let (r, k) = (2.5, 2.5 * 0.5523);
    let steps = vec![
        Step::Move(x + r, y),
        Step::Cubic(x + r, y + k, x + k, y + r, x, y + r),
        Step::Cubic(x - k, y + r, x - r, y + k, x - r, y),
        Step::Cubic(x - r, y - k, x - k, y - r, x, y - r),
        Step::Cubic(x + k, y - r, x + r, y - k, x + r, y),
        Step::Close,
    ];
    let pen = Pen {
        dashes_mm: vec![0.8, 0.6],
        ..Pen::new(GREY, 0.25)
    };
    Block::ornament(Item::Shape {
        steps,
        fill: None,
        even_odd: false,
        pen: Some(pen),
    })
}

/// A line to write on, with what belongs there.
fn write_on(fonts: &Fonts, words: &str, inner: &Frame, top: f64) -> Vec<Block> {
    let size = 8.0;
    let line = fonts.shape(Face::Regular, words);
    let x = inner.x_mm + line.width_mm(size) + 1.5;
    let y = top + FIELD_MM - 1.5;
    let text = Item::text(inner.x_mm, y - 1.0 * size * MM_PER_PT, size, line);
    let pen = Pen::new(BLACK, 0.2);
    vec![
        Block::new(Role::Paragraph, vec![text]),
        Block::ornament(Item::rule((x, y), (inner.right(), y), pen)),
    ]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::item::within_and_apart;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        #[test]
        fn nothing_leaves_its_paper_or_lies_over_anything(
            mark in "[A-Z]{2,4} [0-9]{1,34}",
            what in "\\PC{0,80}",
            body in proptest::collection::vec("\\PC{0,200}", 0..12),
            width in 70.0..150.0,
            height in 90.0..210.0,
        ) {
            let fonts = Fonts::load().expect("the typeface");
            let frame = Frame::new(20.0, 30.0, width, height);
            let address = Address::Unknown;
            let ticket = Ticket {
                kind: "Shop tag",
                mark: &mark,
                what: &what,
                owner: Some(&what),
                address: &address,
                banner: ("✕ BAD ORDER".to_owned(), true),
                body: body.iter().map(|text| Para::hung("→", text.as_str())).collect(),
                fields: &["Found", "Done", "Released by, on"],
                foot: what.repeat(3),
                hole: true,
            };
            let mut notes = Vec::new();
            let blocks = ticket.lay(&fonts, &frame, &mut notes).expect("a ticket");
            within_and_apart(&blocks, &frame)?;
        }
    }
}
