//! The label on the underside of a car: whose it is, what it is called, and a code that leads a phone to
//! its record.
//!
//! What a label says holds for years, so the verdict on it names its day and edition; the code leads to
//! what is true today. Lines come in the order of worth: a label with no room leaves out the last first
//! and says so.

use gradeworthy_workbench::Verdict;
use jiff::civil::Date;

use crate::code::Code;
use crate::face::{Face, Fonts, LEADING, MM_PER_PT};
use crate::fit::{self, CUT, Sizes};
use crate::item::{Block, GREY, Item, Page, Pen, Role};
use crate::label_sheet::Layout;
use crate::pdf::{self, Note, Printed};
use crate::{Frame, PaperError};

/// Most and least size of a label's lines, points. ASSUMED: 5 pt is the least that a person with
/// glasses reads; the marks are set half as large again.
pub const LABEL_SIZES: (f64, f64) = (10.0, 5.0);

/// Size of the marks as a part of the other lines.
const MARK_SCALE: f64 = 1.6;
/// Dots of a code that phones read with ease, and the least that is printed, mm. ASSUMED: 0.3 mm is
/// between three and four dots of a 300-dpi printer, 0.17 mm two of them.
const DOT_EASY_MM: f64 = 0.3;
const DOT_LEAST_MM: f64 = 0.17;

/// Where a code leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Address {
    /// A page of the club's own server.
    Page(String),
    /// The club has set none: the code holds the car's name and what it is.
    Unknown,
}

impl Address {
    /// What the code holds.
    pub(crate) fn code_text(&self, mark: &str, what: &str) -> String {
        match self {
            Self::Page(address) => address.clone(),
            Self::Unknown => {
                let text = format!("{mark}; {what}");
                let mut end = text.len().min(120);
                while !text.is_char_boundary(end) {
                    end -= 1;
                }
                text[..end].to_owned()
            }
        }
    }

    /// What it shows, for people who have the page read to them.
    pub(crate) fn spoken(&self, text: &str) -> String {
        match self {
            Self::Page(_) => format!("Code that leads to {text}"),
            Self::Unknown => format!("Code that holds '{text}'"),
        }
    }

    /// What is said beside a code that leads nowhere.
    pub(crate) const UNKNOWN: &'static str = "no server address set: the code is the name only";
}

/// A verdict with its day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Judged {
    /// The verdict on the car.
    pub verdict: Verdict,
    /// Edition of the rule book.
    pub edition: u32,
    /// As of when.
    pub on: Date,
}

/// The sign of a verdict, told from the others without colour.
pub(crate) const fn sign(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fit => "✓",
        Verdict::Watch => "△",
        Verdict::NotChecked => "○",
        Verdict::Stale => "↻",
        Verdict::BadOrder => "✕",
    }
}

/// What stands on a label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// Reporting marks and number.
    pub mark: String,
    /// What it is: '40-ft box car, HO'.
    pub what: String,
    /// Whose it is, where known.
    pub owner: Option<String>,
    /// The last verdict, where it is wanted on the label.
    pub judged: Option<Judged>,
    /// Where the code leads.
    pub address: Address,
}

impl Label {
    fn lines(&self) -> Vec<(Face, f64, String)> {
        let mut lines = vec![
            (Face::Bold, MARK_SCALE, self.mark.clone()),
            (Face::Regular, 1.0, self.what.clone()),
        ];
        if let Some(owner) = &self.owner {
            lines.push((Face::Regular, 1.0, format!("Owner: {owner}")));
        }
        if let Some(judged) = &self.judged {
            let Judged {
                verdict,
                edition,
                on,
            } = judged;
            lines.push((Face::Regular, 1.0, format!("{} {verdict}", sign(*verdict))));
            lines.push((Face::Regular, 1.0, format!("{on}, edition {edition}")));
        }
        if self.address == Address::Unknown {
            lines.push((Face::Regular, 1.0, Address::UNKNOWN.to_owned()));
        }
        lines
    }
}

/// Labels on sheets.
///
/// # Errors
/// [`PaperError`] when the sheet cannot be or nothing is to be printed.
pub fn labels(labels: &[Label], layout: &Layout) -> Result<Printed, PaperError> {
    if labels.is_empty() {
        return Err(PaperError::Nothing { what: "car" });
    }
    let fonts = Fonts::load()?;
    let mut notes = Vec::new();
    let title = match labels {
        [only] => format!("Label of {}", only.mark),
        all => format!("Labels of {} cars", all.len()),
    };
    let pages = on_sheets(layout, labels, |label, frame| {
        lay(&fonts, label, frame, &mut notes)
    })?;
    let count = pages.len();
    let pdf = pdf::write(&fonts, &title, layout.sheet.paper, pages)?;
    Ok(Printed {
        pdf,
        pages: count,
        notes,
    })
}

/// Things of any kind on the labels of as many sheets as they need.
pub(crate) fn on_sheets<T>(
    layout: &Layout,
    things: &[T],
    mut lay: impl FnMut(&T, &Frame) -> Result<Vec<Block>, PaperError>,
) -> Result<Vec<Page>, PaperError> {
    let sheet = &layout.sheet;
    sheet.check()?;
    let skipped = layout.first.skipped(sheet)?;
    let mut pages: Vec<Page> = Vec::new();
    for (index, thing) in things.iter().enumerate() {
        let place = (index + skipped) % sheet.count();
        if place == 0 || pages.is_empty() {
            pages.push(Page::default());
        }
        let frame = sheet.frame(place);
        let blocks = lay(thing, &frame)?;
        let Some(page) = pages.last_mut() else {
            continue;
        };
        if layout.outlines {
            let pen = Pen::new(GREY, 0.15);
            page.blocks.push(Block::ornament(Item::frame(&frame, pen)));
        }
        page.blocks.extend(blocks);
    }
    Ok(pages)
}

/// One label in its frame.
fn lay(
    fonts: &Fonts,
    label: &Label,
    frame: &Frame,
    notes: &mut Vec<Note>,
) -> Result<Vec<Block>, PaperError> {
    let pad = (0.06 * frame.width_mm.min(frame.height_mm)).clamp(0.8, 3.0);
    let inner = frame.inset(pad);
    let held = label.address.code_text(&label.mark, &label.what);
    let code = Code::of(&held)?;
    let (place, room) = halves(&inner);
    let mut blocks = text(fonts, label, &room, notes);
    let dots = f64::from(u32::try_from(code.side_with_quiet()).unwrap_or(u32::MAX));
    let dot = place.width_mm / dots;
    let mark = label.mark.clone();
    if dot < DOT_LEAST_MM {
        notes.push(Note::NoCode { mark });
        return Ok(blocks);
    }
    if dot < DOT_EASY_MM {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a dot of less than a millimetre"
        )]
        let dot_hundredths_mm = (dot * 100.0).floor() as u32;
        notes.push(Note::FineCode {
            mark,
            dot_hundredths_mm,
        });
    }
    let item = Item::Code {
        x_mm: place.x_mm,
        y_mm: place.y_mm,
        side_mm: place.width_mm,
        code,
    };
    let role = Role::Figure(label.address.spoken(&held));
    blocks.push(Block::new(role, vec![item]));
    Ok(blocks)
}

/// Most of a label's side that its code takes, mm. ASSUMED: a larger one is read no better.
const CODE_MOST_MM: f64 = 26.0;

/// The place of the code, a square, and the room for text: beside it on a wide label, under it else.
fn halves(inner: &Frame) -> (Frame, Frame) {
    let wide = inner.width_mm >= 1.25 * inner.height_mm;
    let gap = 0.5;
    if wide {
        let side = inner.height_mm.min(0.42 * inner.width_mm).min(CODE_MOST_MM);
        let x = inner.right() - side;
        let y = inner.y_mm + (inner.height_mm - side) / 2.0;
        let room = Frame::new(
            inner.x_mm,
            inner.y_mm,
            x - gap - inner.x_mm,
            inner.height_mm,
        );
        (Frame::new(x, y, side, side), room)
    } else {
        let side = inner.width_mm.min(0.5 * inner.height_mm).min(CODE_MOST_MM);
        let y = inner.bottom() - side;
        let x = inner.x_mm + (inner.width_mm - side) / 2.0;
        let room = Frame::new(inner.x_mm, inner.y_mm, inner.width_mm, y - gap - inner.y_mm);
        (Frame::new(x, y, side, side), room)
    }
}

/// The lines of a label in their room, middled up and down.
fn text(fonts: &Fonts, label: &Label, room: &Frame, notes: &mut Vec<Note>) -> Vec<Block> {
    let (most_pt, least_pt) = LABEL_SIZES;
    let mut lines = label.lines();
    let tall = |lines: &[(Face, f64, String)]| -> f64 {
        let ems: f64 = lines.iter().map(|(_, scale, _)| scale).sum();
        ems * LEADING * MM_PER_PT
    };
    let mut left_out = Vec::new();
    while lines.len() > 1 && tall(&lines) * least_pt > room.height_mm {
        left_out.extend(lines.pop());
    }
    if let (Some((_, _, last)), false) = (lines.last_mut(), left_out.is_empty()) {
        *last += &format!(" {CUT}");
    }
    let size = (room.height_mm / tall(&lines)).min(most_pt);
    let least_pt = least_pt.min(size);
    let common = common_size(fonts, &lines, room.width_mm, (size, least_pt));
    let mut y = room.y_mm + (room.height_mm - tall(&lines) * size) / 2.0;
    let mut blocks = Vec::new();
    let mut missing = Vec::new();
    for (face, scale, text) in lines {
        let most_pt = if face == Face::Bold {
            size * scale
        } else {
            common
        };
        let fitted = fit::line(
            fonts,
            face,
            &text,
            Sizes { most_pt, least_pt },
            room.width_mm,
        );
        missing.extend(&fitted.line.missing);
        if fitted.cut {
            let mark = label.mark.clone();
            notes.push(Note::Cut { mark, text });
        }
        let item = Item::text(room.x_mm, y, fitted.size_pt, fitted.line);
        blocks.push(Block::new(Role::Paragraph, vec![item]));
        y += LEADING * size * scale * MM_PER_PT;
    }
    for (_, _, text) in left_out.into_iter().rev() {
        let mark = label.mark.clone();
        notes.push(Note::Cut { mark, text });
    }
    note_missing(notes, &label.mark, missing);
    blocks
}

/// The size at which the widest of the plain lines fits: they look best when they are alike.
fn common_size(
    fonts: &Fonts,
    lines: &[(Face, f64, String)],
    width_mm: f64,
    (most_pt, least_pt): (f64, f64),
) -> f64 {
    let plain = lines.iter().filter(|(face, ..)| *face == Face::Regular);
    let fits = plain.map(|(face, _, text)| width_mm / fonts.shape(*face, text).width_mm(1.0));
    fits.fold(most_pt, f64::min).max(least_pt)
}

/// Says once which characters are missing.
pub(crate) fn note_missing(notes: &mut Vec<Note>, mark: &str, mut characters: Vec<char>) {
    characters.sort_unstable();
    characters.dedup();
    if !characters.is_empty() {
        notes.push(Note::Missing {
            mark: mark.to_owned(),
            characters,
        });
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;
    use crate::item::within_and_apart;
    use crate::label_sheet::First;
    use crate::{LabelSheet, Paper};

    fn any_label() -> impl Strategy<Value = Label> {
        let text = prop_oneof!["[A-Z]{2,4} [0-9]{1,6}", "\\PC{0,60}", ".{0,60}"];
        let owner = proptest::option::of("\\PC{0,40}");
        let address = proptest::option::of("http://[a-z0-9.:]{1,60}/cars/[0-9]{1,9}");
        (text, "\\PC{0,60}", owner, any::<bool>(), address).prop_map(
            |(mark, what, owner, judged, address)| Label {
                mark,
                what,
                owner,
                judged: judged.then_some(Judged {
                    verdict: Verdict::BadOrder,
                    edition: 12,
                    on: date(2026, 11, 25),
                }),
                address: address.map_or(Address::Unknown, Address::Page),
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn nothing_leaves_its_label_or_lies_over_anything(
            label in any_label(), width in 12.0..120.0, height in 6.0..100.0,
        ) {
            let frame = Frame::new(31.0, 47.0, width, height);
            let fonts = Fonts::load().expect("the typeface");
            let mut notes = Vec::new();
            let blocks = lay(&fonts, &label, &frame, &mut notes).expect("a label");
            within_and_apart(&blocks, &frame)?;
        }

        /// Whatever is typed, the writer's own check of the PDF passes, and all that did not go as it
        /// should is said.
        #[test]
        fn any_text_is_printed_and_what_is_lost_is_said(label in any_label()) {
            let layout = Layout {
                sheet: LabelSheet::plain(Paper::A4),
                first: First::default(),
                outlines: false,
            };
            let text = label.mark.clone();
            let printed = labels(&[label], &layout).expect("a print");
            let foreign = text.chars().any(|c| ('\u{4e00}'..='\u{9fff}').contains(&c));
            let said = printed.notes.iter().any(|note| matches!(note, Note::Missing { .. }));
            prop_assert!(said || !foreign);
        }
    }

    #[test]
    fn a_label_too_small_for_its_code_has_none_and_says_so() {
        let label = Label {
            mark: "ZBR 107".to_owned(),
            what: "40-ft box car, HO".to_owned(),
            owner: None,
            judged: None,
            address: Address::Page(format!("http://192.0.2.7/{}", "x".repeat(120))),
        };
        let fonts = Fonts::load().expect("the typeface");
        let mut notes = Vec::new();
        let frame = Frame::new(0.0, 0.0, 25.0, 8.0);
        lay(&fonts, &label, &frame, &mut notes).expect("a label");
        let mark = "ZBR 107".to_owned();
        assert!(notes.contains(&Note::NoCode { mark }), "{notes:?}");
    }
}
