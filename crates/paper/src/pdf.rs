//! Pages as PDF: embedded subset fonts, title, language, outline and tags for those who have it read.
//!
//! Every document is written under the writer's own check for [ISO-14289-1] (PDF/UA-1): a title, an
//! outline, words for every picture, a part to play for every mark, no character without a meaning. What
//! only a person can judge, such as the order of reading, that check cannot.
//! The same pages give the same bytes: no clock is read and no identity drawn.

use std::num::NonZeroU16;

use krilla::Document;
use krilla::color::luma;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, Node, SpanTag, TableHeaderScope, Tag, TagGroup,
    TagKind, TagTree,
};
use krilla::{SerializeSettings, configure::Configuration};

use crate::code::Code;
use crate::face::{Fonts, Line};
use crate::item::{Block, Item, Page, Pen, Role, Shade, Step};
use crate::{Paper, PaperError};

/// Something to know about a print that came out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Note {
    /// A text that had no room and was cut with an ellipsis, or left out behind one.
    Cut {
        /// On whose paper.
        mark: String,
        /// The whole text.
        text: String,
    },
    /// Characters that the typeface lacks; � stands in their place.
    Missing {
        /// On whose paper.
        mark: String,
        /// Which.
        characters: Vec<char>,
    },
    /// A code too fine for many phones.
    FineCode {
        /// On whose paper.
        mark: String,
        /// Hundredths of a millimetre of one of its dots.
        dot_hundredths_mm: u32,
    },
    /// A label too small for any code.
    NoCode {
        /// On whose paper.
        mark: String,
    },
}

impl std::fmt::Display for Note {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Cut { mark, text } => write!(
                f,
                "{mark}: no room for '{text}' even at the least size; it ends in …"
            ),
            Self::Missing { mark, characters } => {
                write!(f, "{mark}: the typeface has no")?;
                for (index, c) in characters.iter().enumerate() {
                    let between = if index == 0 { "" } else { "," };
                    write!(
                        f,
                        "{between} '{}' (U+{:04X})",
                        c.escape_debug(),
                        u32::from(*c)
                    )?;
                }
                f.write_str("; � is printed instead")
            }
            Self::FineCode {
                mark,
                dot_hundredths_mm,
            } => write!(
                f,
                "{mark}: the dots of its code are {:.2} mm, and many phones want 0.3 mm: try it, or take a \
                 larger label or a shorter address",
                f64::from(*dot_hundredths_mm) / 100.0
            ),
            Self::NoCode { mark } => write!(
                f,
                "{mark}: the label is too small for a code that can be read, and has none"
            ),
        }
    }
}

/// A finished print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Printed {
    /// The PDF file.
    pub pdf: Vec<u8>,
    /// Its pages.
    pub pages: usize,
    /// What did not go as it should.
    pub notes: Vec<Note>,
}

const PT_PER_MM: f64 = 72.0 / 25.4;

/// mm as the writer's points. Its numbers are single: a ten-thousandth of a point at the far edge.
fn pt(mm: f64) -> f32 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a page is less than 1000 pt, of which single precision tells 0.0001"
    )]
    let pt = (mm * PT_PER_MM) as f32;
    pt
}

/// Writes pages.
pub(crate) fn write(
    fonts: &Fonts,
    title: &str,
    paper: Paper,
    pages: Vec<Page>,
) -> Result<Vec<u8>, PaperError> {
    let mut document = Document::new_with(settings()?);
    let mut tags = Tags::default();
    let mut outline = Outline::new();
    for (index, page) in pages.into_iter().enumerate() {
        let (width, height) = (pt(paper.width().mm()), pt(paper.height().mm()));
        let size = PageSettings::from_wh(width, height).ok_or_else(|| no_pdf("page size"))?;
        let mut sheet = document.start_page_with(size);
        let mut surface = sheet.surface();
        let mut listed = false;
        for block in page.blocks {
            if let Some((words, y)) = entry(&block) {
                let at = XyzDestination::new(index, Point::from_xy(0.0, pt(y)));
                outline.push_child(OutlineNode::new(words, at));
                listed = true;
            }
            draw_block(fonts, &mut surface, &mut tags, block);
        }
        if !listed {
            let at = XyzDestination::new(index, Point::from_xy(0.0, 0.0));
            outline.push_child(OutlineNode::new(format!("Page {}", index + 1), at));
        }
        surface.finish();
        sheet.finish();
    }
    document.set_outline(outline);
    document.set_tag_tree(tags.tree());
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .language("en".to_owned())
            .creator("Gradeworthy".to_owned()),
    );
    document
        .finish()
        .map_err(|error| no_pdf(&format!("{error:?}")))
}

fn no_pdf(why: &str) -> PaperError {
    PaperError::Pdf {
        why: why.to_owned(),
    }
}

fn settings() -> Result<SerializeSettings, PaperError> {
    let configuration: Configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| no_pdf(&format!("{error:?}")))?;
    Ok(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    })
}

/// A heading for the outline, and where it is.
fn entry(block: &Block) -> Option<(String, f64)> {
    let Role::Heading(1, words) = &block.role else {
        return None;
    };
    let top = block.items.iter().map(|item| item.bounds().y_mm);
    Some((words.clone(), top.fold(f64::INFINITY, f64::min).max(0.0)))
}

fn draw_block(fonts: &Fonts, surface: &mut Surface<'_>, tags: &mut Tags, block: Block) {
    if block.items.is_empty() {
        return;
    }
    let tag = match &block.role {
        Role::Ornament => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        Role::Figure(_) => ContentTag::Other,
        Role::Heading(..) | Role::Paragraph | Role::Cell { .. } => {
            ContentTag::Span(SpanTag::empty())
        }
    };
    let id = surface.start_tagged(tag);
    for item in block.items {
        draw(fonts, surface, item);
    }
    surface.end_tagged();
    tags.add(block.role, id);
}

fn draw(fonts: &Fonts, surface: &mut Surface<'_>, item: Item) {
    match item {
        Item::Text {
            x_mm,
            base_mm,
            size_pt,
            shade,
            line,
        } => draw_text(fonts, surface, (x_mm, base_mm), size_pt, shade, &line),
        Item::Shape {
            steps,
            fill,
            even_odd,
            pen,
        } => draw_shape(surface, &steps, fill, even_odd, pen.as_ref()),
        Item::Code {
            x_mm,
            y_mm,
            side_mm,
            code,
        } => draw_code(surface, (x_mm, y_mm), side_mm, &code),
    }
}

fn fill_of(shade: Shade, rule: FillRule) -> Fill {
    Fill {
        paint: luma::Color::new(shade).into(),
        opacity: NormalizedF32::ONE,
        rule,
    }
}

fn draw_text(
    fonts: &Fonts,
    surface: &mut Surface<'_>,
    at: (f64, f64),
    size_pt: f64,
    shade: Shade,
    line: &Line,
) {
    if line.glyphs.is_empty() {
        return;
    }
    surface.set_fill(Some(fill_of(shade, FillRule::NonZero)));
    surface.set_stroke(None);
    let start = Point::from_xy(pt(at.0), pt(at.1));
    #[expect(clippy::cast_possible_truncation, reason = "a size of type")]
    let size = size_pt as f32;
    surface.draw_glyphs(
        start,
        &line.glyphs,
        fonts.font(line.face),
        &line.text,
        size,
        false,
    );
}

fn draw_shape(
    surface: &mut Surface<'_>,
    steps: &[Step],
    fill: Option<Shade>,
    even_odd: bool,
    pen: Option<&Pen>,
) {
    let mut path = PathBuilder::new();
    for step in steps {
        match *step {
            Step::Move(x, y) => path.move_to(pt(x), pt(y)),
            Step::Line(x, y) => path.line_to(pt(x), pt(y)),
            Step::Cubic(a, b, c, d, x, y) => {
                path.cubic_to(pt(a), pt(b), pt(c), pt(d), pt(x), pt(y));
            }
            Step::Close => path.close(),
        }
    }
    let Some(path) = path.finish() else { return };
    let rule = if even_odd {
        FillRule::EvenOdd
    } else {
        FillRule::NonZero
    };
    surface.set_fill(fill.map(|shade| fill_of(shade, rule)));
    surface.set_stroke(pen.map(|pen| Stroke {
        paint: luma::Color::new(pen.shade).into(),
        width: pt(pen.width_mm),
        dash: (!pen.dashes_mm.is_empty()).then(|| StrokeDash {
            array: pen.dashes_mm.iter().map(|dash| pt(*dash)).collect(),
            offset: 0.0,
        }),
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

/// The code as one outline, so that no seam shows between its dots.
fn draw_code(surface: &mut Surface<'_>, at: (f64, f64), side_mm: f64, code: &Code) {
    let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    let dot = side_mm / count(code.side_with_quiet());
    let mut path = PathBuilder::new();
    for (column, row, length) in code.runs() {
        let (x, y) = (at.0 + count(column) * dot, at.1 + count(row) * dot);
        let (width, height) = (pt(count(length) * dot), pt(dot));
        if let Some(run) = Rect::from_xywh(pt(x), pt(y), width, height) {
            path.push_rect(run);
        }
    }
    if let Some(path) = path.finish() {
        surface.set_fill(Some(fill_of(0, FillRule::NonZero)));
        surface.set_stroke(None);
        surface.draw_path(&path);
    }
}

/// The tree of parts, as blocks come in the order of reading.
#[derive(Default)]
struct Tags {
    nodes: Vec<Node>,
    /// The table being built: its number, and its rows with their numbers.
    table: Option<(usize, Vec<(usize, TagGroup)>)>,
}

impl Tags {
    fn add(&mut self, role: Role, id: Identifier) {
        if let Role::Cell { table, row, head } = role {
            self.cell(table, row, head, id);
            return;
        }
        let kind: TagKind = match role {
            // What is no part of the reading interrupts no table either: a rule, a page's foot.
            Role::Ornament => return,
            Role::Heading(level, words) => {
                let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
                Tag::Hn(level, Some(words)).into()
            }
            Role::Paragraph => Tag::P.into(),
            Role::Figure(alt) => Tag::Figure(Some(alt)).into(),
            Role::Cell { .. } => return,
        };
        self.close_table();
        self.nodes
            .push(TagGroup::with_children(kind, vec![id.into()]).into());
    }

    fn cell(&mut self, table: usize, row: usize, head: bool, id: Identifier) {
        if self.table.as_ref().is_some_and(|(own, _)| *own != table) {
            self.close_table();
        }
        let (_, rows) = self.table.get_or_insert_with(|| (table, Vec::new()));
        if rows.last().is_none_or(|(last, _)| *last != row) {
            rows.push((row, TagGroup::new(Tag::TR)));
        }
        let kind: TagKind = if head {
            Tag::TH(TableHeaderScope::Column).into()
        } else {
            Tag::TD.into()
        };
        if let Some((_, group)) = rows.last_mut() {
            group.push(TagGroup::with_children(kind, vec![id.into()]));
        }
    }

    fn close_table(&mut self) {
        if let Some((_, rows)) = self.table.take() {
            let rows = rows.into_iter().map(|(_, row)| row.into()).collect();
            self.nodes
                .push(TagGroup::with_children(Tag::Table, rows).into());
        }
    }

    fn tree(mut self) -> TagTree {
        self.close_table();
        let mut tree = TagTree::new();
        for node in self.nodes {
            tree.push(node);
        }
        tree.with_lang(Some("en".to_owned()))
    }
}
