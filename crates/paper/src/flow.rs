//! Pages that fill from top to bottom: headings, paragraphs, tables that go on over pages with their
//! heads, pictures, a foot on every page.

use gradeworthy_reports::drawing::Drawing;

use crate::code::Code;
use crate::face::{Face, Fonts, LEADING, Line, MM_PER_PT};
use crate::fit;
use crate::item::{BLACK, Block, GREY, Item, Page, Pen, Role};
use crate::label::{Address, note_missing};
use crate::pdf::{self, Note, Printed};
use crate::picture::Picture;
use crate::table::{Cell, Column, Table};
use crate::{Paper, PaperError};

const MARGIN_MM: f64 = 16.0;
const FOOT_MM: f64 = 12.0;
const CODE_MM: f64 = 26.0;
const BODY_PT: f64 = 9.0;
/// Between cells.
const GUTTER_MM: f64 = 3.0;
/// Lines of a row that stay on one page; a longer row may go on over the next.
const TOGETHER: usize = 8;
/// Least room under a heading, so that none stands alone at a page's foot.
const KEEP_MM: f64 = 18.0;

/// A document being filled.
pub(crate) struct Flow<'a> {
    fonts: &'a Fonts,
    paper: Paper,
    title: String,
    pages: Vec<Page>,
    y_mm: f64,
    tables: usize,
    notes: Vec<Note>,
    missing: Vec<char>,
    /// Page on which each part begins, with its name for the foot.
    parts: Vec<(usize, String)>,
}

impl<'a> Flow<'a> {
    pub(crate) fn new(fonts: &'a Fonts, paper: Paper, title: String) -> Self {
        Self {
            fonts,
            paper,
            title,
            pages: Vec::new(),
            y_mm: 0.0,
            tables: 0,
            notes: Vec::new(),
            missing: Vec::new(),
            parts: Vec::new(),
        }
    }

    pub(crate) fn width_mm(&self) -> f64 {
        self.paper.width().mm() - 2.0 * MARGIN_MM
    }

    fn end_mm(&self) -> f64 {
        self.paper.height().mm() - MARGIN_MM - FOOT_MM + 4.0
    }

    /// Begins a part of the document on a page of its own.
    pub(crate) fn part(&mut self, name: &str) {
        self.note_missing();
        self.pages.push(Page::default());
        self.y_mm = MARGIN_MM;
        self.parts.push((self.pages.len() - 1, name.to_owned()));
    }

    fn note_missing(&mut self) {
        let name = self.parts.last().map_or("", |(_, name)| name);
        let missing = std::mem::take(&mut self.missing);
        note_missing(&mut self.notes, name, missing);
    }

    /// Goes to a new page where less than `mm` are left.
    fn need(&mut self, mm: f64) {
        if self.y_mm + mm > self.end_mm() {
            self.pages.push(Page::default());
            self.y_mm = MARGIN_MM;
        }
    }

    fn push(&mut self, block: Block) {
        if let Some(page) = self.pages.last_mut() {
            page.blocks.push(block);
        }
    }

    pub(crate) fn gap(&mut self, mm: f64) {
        self.y_mm += mm;
    }

    /// A heading with its paragraphs beside it on the left, and a code on the right.
    pub(crate) fn head(
        &mut self,
        words: &str,
        paras: &[String],
        code: Option<(&Address, &str, &str)>,
    ) -> Result<(), PaperError> {
        let top = self.y_mm;
        let mut room = self.width_mm();
        if let Some((address, mark, what)) = code {
            let held = address.code_text(mark, what);
            room -= CODE_MM + 4.0;
            let item = Item::Code {
                x_mm: MARGIN_MM + self.width_mm() - CODE_MM,
                y_mm: top,
                side_mm: CODE_MM,
                code: Code::of(&held)?,
            };
            self.push(Block::new(Role::Figure(address.spoken(&held)), vec![item]));
        }
        self.sized(
            words,
            Face::Bold,
            22.0,
            room,
            &Role::Heading(1, words.to_owned()),
        );
        for para in paras {
            self.sized(para, Face::Regular, 10.0, room, &Role::Paragraph);
        }
        if code.is_some() {
            self.y_mm = self.y_mm.max(top + CODE_MM);
        }
        self.gap(2.0);
        Ok(())
    }

    pub(crate) fn heading(&mut self, words: &str) {
        self.gap(3.0);
        self.need(KEEP_MM);
        let role = Role::Heading(2, words.to_owned());
        self.sized(words, Face::Bold, 12.0, self.width_mm(), &role);
        self.gap(0.8);
    }

    pub(crate) fn para(&mut self, text: &str) {
        self.sized(
            text,
            Face::Regular,
            BODY_PT,
            self.width_mm(),
            &Role::Paragraph,
        );
        self.gap(0.7);
    }

    pub(crate) fn strong(&mut self, text: &str, size_pt: f64) {
        self.sized(text, Face::Bold, size_pt, self.width_mm(), &Role::Paragraph);
        self.gap(0.7);
    }

    /// A paragraph that hangs on a sign.
    pub(crate) fn hung(&mut self, lead: &str, text: &str, face: Face) {
        let lead = self.fonts.shape(face, lead);
        let indent = 5.0;
        let lines = fit::wrap(self.fonts, face, text, BODY_PT, self.width_mm() - indent);
        self.need(LEADING * BODY_PT * MM_PER_PT);
        let sign = Item::text(MARGIN_MM, self.y_mm, BODY_PT, lead);
        self.lines(lines, BODY_PT, indent, &Role::Paragraph, Some(sign));
        self.gap(0.7);
    }

    fn sized(&mut self, text: &str, face: Face, size_pt: f64, width_mm: f64, role: &Role) {
        let lines = fit::wrap(self.fonts, face, text, size_pt, width_mm);
        self.lines(lines, size_pt, 0.0, role, None);
    }

    /// Lines of one paragraph, in as many pieces as it meets pages.
    fn lines(
        &mut self,
        lines: Vec<Line>,
        size_pt: f64,
        indent_mm: f64,
        role: &Role,
        sign: Option<Item>,
    ) {
        let step = LEADING * size_pt * MM_PER_PT;
        let mut items: Vec<Item> = sign.into_iter().collect();
        for line in lines {
            self.missing.extend(&line.missing);
            if self.y_mm + step > self.end_mm() {
                self.push(Block::new(role.clone(), std::mem::take(&mut items)));
                self.need(step);
            }
            items.push(Item::text(MARGIN_MM + indent_mm, self.y_mm, size_pt, line));
            self.y_mm += step;
        }
        self.push(Block::new(role.clone(), items));
    }

    /// Pictures beside each other as long as they have room, each at `mm_per_px` or smaller.
    pub(crate) fn pictures(
        &mut self,
        drawings: &[Drawing],
        mm_per_px: f64,
    ) -> Result<(), PaperError> {
        let mut x = MARGIN_MM;
        let mut tall = 0.0_f64;
        for drawing in drawings {
            let natural = Picture::read(self.fonts, drawing, mm_per_px)?;
            let part = (self.width_mm() / natural.width_mm).min(1.0);
            let picture = if part < 1.0 {
                Picture::read(self.fonts, drawing, mm_per_px * part)?
            } else {
                natural
            };
            if x > MARGIN_MM && x + picture.width_mm > MARGIN_MM + self.width_mm() + 0.01 {
                self.y_mm += tall + 3.0;
                (x, tall) = (MARGIN_MM, 0.0);
            }
            if x <= MARGIN_MM {
                self.need(picture.height_mm);
            }
            tall = tall.max(picture.height_mm);
            let (at, width) = ((x, self.y_mm), picture.width_mm);
            let spoken = format!("{}. {}", drawing.title, drawing.description);
            self.push(Block::new(Role::Figure(spoken), picture.at(at.0, at.1)));
            x += width + 6.0;
        }
        self.y_mm += tall + 3.0;
        Ok(())
    }

    /// A table; its head stands again on every page.
    pub(crate) fn table(&mut self, table: &Table) {
        self.tables += 1;
        let widths = widths(&table.columns, self.width_mm());
        self.table_head(table, &widths, false);
        for (index, row) in table.rows.iter().enumerate() {
            let cells: Vec<Vec<Line>> = row
                .iter()
                .zip(&widths)
                .map(|(cell, width)| self.wrapped(cell, table.size_pt, *width))
                .collect();
            self.row(table, &widths, cells, index + 1);
        }
        self.gap(2.0);
    }

    fn wrapped(&mut self, cell: &Cell, size_pt: f64, width_mm: f64) -> Vec<Line> {
        let paras = cell.text.split('\n');
        let lines: Vec<Line> = paras
            .flat_map(|para| fit::wrap(self.fonts, cell.face, para, size_pt, width_mm))
            .collect();
        for line in &lines {
            self.missing.extend(&line.missing);
        }
        lines
    }

    fn table_head(&mut self, table: &Table, widths: &[f64], again: bool) {
        let step = LEADING * table.size_pt * MM_PER_PT;
        let mut x = MARGIN_MM;
        for (column, width) in table.columns.iter().zip(widths) {
            let line = self.fonts.shape(Face::Bold, column.title);
            let at = if column.right {
                x + width - line.width_mm(table.size_pt)
            } else {
                x
            };
            let role = if again {
                Role::Ornament
            } else {
                Role::Cell {
                    table: self.tables,
                    row: 0,
                    head: true,
                }
            };
            let item = Item::text(at, self.y_mm, table.size_pt, line);
            self.push(Block::new(role, vec![item]));
            x += width + GUTTER_MM;
        }
        self.y_mm += step + 0.6;
        self.across(BLACK, 0.3);
        self.gap(0.8);
    }

    fn across(&mut self, shade: u8, width_mm: f64) {
        let (from, to) = (MARGIN_MM, MARGIN_MM + self.width_mm());
        let y = self.y_mm;
        let rule = Item::rule((from, y), (to, y), Pen::new(shade, width_mm));
        self.push(Block::ornament(rule));
    }

    fn row(&mut self, table: &Table, widths: &[f64], mut cells: Vec<Vec<Line>>, number: usize) {
        let step = LEADING * table.size_pt * MM_PER_PT;
        loop {
            let longest = cells.iter().map(Vec::len).max().unwrap_or(0);
            let tall = count(longest.min(TOGETHER)) * step;
            if self.y_mm + tall > self.end_mm() {
                self.need(self.end_mm());
                self.table_head(table, widths, true);
            }
            let most = fitting(self.end_mm() - self.y_mm, step).max(1);
            let rest: Vec<Vec<Line>> = cells
                .iter_mut()
                .map(|lines| lines.split_off(lines.len().min(most)))
                .collect();
            self.cells(table, widths, cells, number);
            if rest.iter().all(Vec::is_empty) {
                break;
            }
            cells = rest;
        }
        self.gap(0.7);
        self.across(GREY, 0.1);
        self.gap(0.8);
    }

    fn cells(&mut self, table: &Table, widths: &[f64], cells: Vec<Vec<Line>>, number: usize) {
        let step = LEADING * table.size_pt * MM_PER_PT;
        let mut x = MARGIN_MM;
        let mut longest = 0;
        let top = self.y_mm;
        for ((lines, width), column) in cells.into_iter().zip(widths).zip(&table.columns) {
            longest = longest.max(lines.len());
            let items = lines.into_iter().enumerate().map(|(index, line)| {
                let at = if column.right {
                    x + width - line.width_mm(table.size_pt)
                } else {
                    x
                };
                Item::text(at, top + count(index) * step, table.size_pt, line)
            });
            let role = Role::Cell {
                table: self.tables,
                row: number,
                head: false,
            };
            let block = Block::new(role, items.collect());
            self.push(block);
            x += width + GUTTER_MM;
        }
        self.y_mm = top + count(longest) * step;
    }

    /// The finished document; `foot` stands on every page.
    pub(crate) fn finish(mut self, foot: &str) -> Result<Printed, PaperError> {
        self.note_missing();
        let ends: Vec<usize> = (1..self.parts.len())
            .map(|next| self.parts[next].0)
            .chain([self.pages.len()])
            .collect();
        let parts = std::mem::take(&mut self.parts);
        for ((start, name), end) in parts.into_iter().zip(ends) {
            for page in start..end {
                let number = format!("{name}, page {} of {}", page - start + 1, end - start);
                self.foot(page, foot, &number);
            }
        }
        let pages = self.pages.len();
        let pdf = pdf::write(self.fonts, &self.title, self.paper, self.pages)?;
        Ok(Printed {
            pdf,
            pages,
            notes: self.notes,
        })
    }

    fn foot(&mut self, page: usize, foot: &str, number: &str) {
        let size = 7.5;
        let y = self.paper.height().mm() - MARGIN_MM - 3.0;
        let number = self.fonts.shape(Face::Regular, number);
        let right = MARGIN_MM + self.width_mm() - number.width_mm(size);
        let room = right - MARGIN_MM - 4.0;
        let sizes = fit::Sizes {
            most_pt: size,
            least_pt: 5.5,
        };
        let left = fit::line(self.fonts, Face::Regular, foot, sizes, room);
        let items = vec![
            Item::text(MARGIN_MM, y, left.size_pt, left.line),
            Item::text(right, y, size, number),
        ];
        if let Some(page) = self.pages.get_mut(page) {
            page.blocks.push(Block::new(Role::Ornament, items));
        }
    }
}

fn count(number: usize) -> f64 {
    f64::from(u32::try_from(number).unwrap_or(u32::MAX))
}

/// How many lines have room.
fn fitting(room_mm: f64, step_mm: f64) -> usize {
    (1..=400)
        .take_while(|n| count(*n) * step_mm <= room_mm + 1e-9)
        .count()
}

fn widths(columns: &[Column], width_mm: f64) -> Vec<f64> {
    let all: f64 = columns.iter().map(|column| column.share).sum();
    let room = width_mm - GUTTER_MM * count(columns.len().saturating_sub(1));
    columns
        .iter()
        .map(|column| room * column.share / all)
        .collect()
}
