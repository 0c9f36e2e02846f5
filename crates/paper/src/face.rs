//! The typeface, and text shaped in it.
//!
//! The condensed sans of the crate `dejavu`: narrow, large in its small letters, with Latin, Greek,
//! Cyrillic, Armenian, Georgian, Hebrew and Arabic and the signs of the verdicts. A character it lacks
//! is drawn as the replacement character and named in a [`crate::Note`]; none is left out.
//! Right-to-left text runs as it should; a line is one line, whatever breaks were typed in it.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use rustybuzz::{Direction, UnicodeBuffer};
use unicode_bidi::BidiInfo;

use crate::PaperError;

/// Stands for what cannot be drawn.
const REPLACEMENT: char = '\u{fffd}';
/// From the base line up and down to where the tallest letters of the typeface reach, in ems: the
/// figures of its `hhea` table.
pub(crate) const ASCENT: f64 = 0.928;
pub(crate) const DESCENT: f64 = 0.236;
/// From line to line, in ems.
pub(crate) const LEADING: f64 = 1.2;
/// Millimetres of a point, 1/72 in.
pub(crate) const MM_PER_PT: f64 = 25.4 / 72.0;

/// A face of the typeface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Face {
    Regular,
    Bold,
}

/// Both faces, ready to shape and to be written.
pub(crate) struct Fonts {
    regular: Loaded,
    bold: Loaded,
}

struct Loaded {
    shaper: rustybuzz::Face<'static>,
    font: Font,
}

/// One line of text, shaped.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) face: Face,
    pub(crate) text: String,
    pub(crate) glyphs: Vec<KrillaGlyph>,
    pub(crate) width_em: f64,
    /// Characters that the typeface lacks.
    pub(crate) missing: Vec<char>,
}

impl Line {
    /// Its width at a size, mm.
    pub(crate) fn width_mm(&self, size_pt: f64) -> f64 {
        self.width_em * size_pt * MM_PER_PT
    }
}

impl Fonts {
    pub(crate) fn load() -> Result<Self, PaperError> {
        let load = |name, bytes: &'static [u8]| {
            let shaper = rustybuzz::Face::from_slice(bytes, 0);
            let font = Font::new(bytes.into(), 0);
            match (shaper, font) {
                (Some(shaper), Some(font)) => Ok(Loaded { shaper, font }),
                _ => Err(PaperError::Typeface { name }),
            }
        };
        Ok(Self {
            regular: load("DejaVu Sans Condensed", dejavu::sans_condensed::regular())?,
            bold: load("DejaVu Sans Condensed Bold", dejavu::sans_condensed::bold())?,
        })
    }

    fn of(&self, face: Face) -> &Loaded {
        match face {
            Face::Regular => &self.regular,
            Face::Bold => &self.bold,
        }
    }

    /// The font that a line is written in.
    pub(crate) fn font(&self, face: Face) -> Font {
        self.of(face).font.clone()
    }

    /// A text as one line.
    pub(crate) fn shape(&self, face: Face, text: &str) -> Line {
        let own = self.of(face);
        let (text, missing) = drawable(&own.shaper, text);
        let mut line = Line {
            face,
            text: String::new(),
            glyphs: Vec::new(),
            width_em: 0.0,
            missing,
        };
        for (start, run, direction) in runs(&text) {
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(run);
            buffer.set_direction(direction);
            buffer.guess_segment_properties();
            append(&mut line, &own.shaper, buffer, start..start + run.len());
        }
        line.text = text;
        line
    }
}

/// The text with every character that the face lacks replaced, and those characters.
fn drawable(face: &rustybuzz::Face<'_>, text: &str) -> (String, Vec<char>) {
    let mut missing = Vec::new();
    let drawn = text.chars().filter(|c| !is_invisible(*c)).map(|c| {
        if c.is_whitespace() {
            return ' ';
        }
        if !c.is_control() && face.glyph_index(c).is_some_and(|glyph| glyph.0 != 0) {
            return c;
        }
        if !missing.contains(&c) {
            missing.push(c);
        }
        REPLACEMENT
    });
    (drawn.collect(), missing)
}

/// Marks that steer text and are never seen. Source: [UAX-44], `Default_Ignorable_Code_Point`, the part
/// of it that names hold.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}'
        | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
        | '\u{e0000}'..='\u{e0fff}')
}

/// Runs of one direction in the order in which they stand: start, text, direction.
fn runs(text: &str) -> Vec<(usize, &str, Direction)> {
    if text.is_ascii() {
        return vec![(0, text, Direction::LeftToRight)];
    }
    let bidi = BidiInfo::new(text, None);
    let mut all = Vec::new();
    for paragraph in &bidi.paragraphs {
        let (levels, visual) = bidi.visual_runs(paragraph, paragraph.range.clone());
        for run in visual {
            let direction = if levels[run.start].is_rtl() {
                Direction::RightToLeft
            } else {
                Direction::LeftToRight
            };
            all.push((run.start, &text[run], direction));
        }
    }
    all
}

fn append(
    line: &mut Line,
    face: &rustybuzz::Face<'_>,
    buffer: UnicodeBuffer,
    run: std::ops::Range<usize>,
) {
    let rtl = buffer.direction() == Direction::RightToLeft;
    let shaped = rustybuzz::shape(face, &[], buffer);
    #[expect(clippy::cast_precision_loss, reason = "font units are 16 bits wide")]
    let em = |units: i32| units as f32 / face.units_per_em() as f32;
    let clusters: Vec<usize> = shaped
        .glyph_infos()
        .iter()
        .map(|info| info.cluster as usize)
        .collect();
    for (index, (info, position)) in shaped
        .glyph_infos()
        .iter()
        .zip(shaped.glyph_positions())
        .enumerate()
    {
        let from = clusters[index];
        let mut others = clusters.iter().copied().filter(|other| *other > from);
        // Clusters rise with the text in one direction and fall in the other: the next one up ends it.
        let to = if rtl { others.min() } else { others.next() };
        let to = to.unwrap_or(run.len());
        let advance = em(position.x_advance);
        line.glyphs.push(KrillaGlyph::new(
            GlyphId::new(info.glyph_id),
            advance,
            em(position.x_offset),
            em(position.y_offset),
            0.0,
            run.start + from..run.start + to,
            None,
        ));
        line.width_em += f64::from(advance);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fonts() -> Fonts {
        Fonts::load().expect("the typeface")
    }

    #[test]
    fn what_the_typeface_lacks_is_replaced_and_named() {
        let line = fonts().shape(Face::Regular, "Łódź 漢字\nЯ");
        assert_eq!(line.text, "Łódź \u{fffd}\u{fffd} Я");
        assert_eq!(line.missing, ['漢', '字']);
    }

    #[test]
    fn every_sign_that_we_print_is_there_in_both_faces() {
        let signs = "✓△○↻✕→−±…·×°½é␣\u{fffd}";
        for face in [Face::Regular, Face::Bold] {
            let line = fonts().shape(face, &signs.replace('␣', ""));
            assert_eq!(line.missing, [], "{face:?}");
        }
    }

    /// Source: [UAX-9]: letters of a right-to-left word stand from right to left, the number beside it
    /// from left to right.
    #[test]
    fn right_to_left_words_run_so() {
        let text = "\u{5d0}\u{5d1} 12";
        let line = fonts().shape(Face::Regular, text);
        let starts: Vec<_> = line.glyphs.iter().map(|g| g.text_range.start).collect();
        assert_eq!(starts, [5, 6, 4, 2, 0]);
    }

    #[test]
    fn width_grows_with_the_size_and_bold_is_wider() {
        let fonts = fonts();
        let (thin, bold) = (
            fonts.shape(Face::Regular, "ZBR 107"),
            fonts.shape(Face::Bold, "ZBR 107"),
        );
        assert!(bold.width_em > thin.width_em);
        assert!((thin.width_mm(20.0) - 2.0 * thin.width_mm(10.0)).abs() < 1e-9);
    }
}
