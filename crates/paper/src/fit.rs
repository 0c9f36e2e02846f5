//! Making text fit: smaller down to a stated least size, then cut with an ellipsis, and said.

use std::collections::VecDeque;

use gradeworthy_reports::text::unbroken;

use crate::face::{Face, Fonts, Line};

/// What a cut text ends in.
pub(crate) const CUT: char = '…';

/// Sizes a text may have, points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sizes {
    pub(crate) most_pt: f64,
    pub(crate) least_pt: f64,
}

/// A line that fits.
pub(crate) struct Fitted {
    pub(crate) line: Line,
    pub(crate) size_pt: f64,
    pub(crate) cut: bool,
}

/// One line in `width_mm`: as large as may be, else smaller, else cut.
pub(crate) fn line(fonts: &Fonts, face: Face, text: &str, sizes: Sizes, width_mm: f64) -> Fitted {
    let whole = fonts.shape(face, text);
    let natural = whole.width_mm(1.0);
    let size_pt = if natural > 0.0 {
        sizes.most_pt.min(width_mm / natural)
    } else {
        sizes.most_pt
    };
    if size_pt >= sizes.least_pt {
        return Fitted {
            line: whole,
            size_pt,
            cut: false,
        };
    }
    let size_pt = sizes.least_pt;
    let missing = whole.missing;
    let mut line = cut(fonts, face, text, size_pt, width_mm);
    line.missing = missing;
    Fitted {
        line,
        size_pt,
        cut: true,
    }
}

/// The longest beginning of `text` that fits with its ellipsis; the ellipsis alone where none does, and
/// nothing where not even that has room.
pub(crate) fn cut(fonts: &Fonts, face: Face, text: &str, size_pt: f64, width_mm: f64) -> Line {
    let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    let shaped = |count: usize| {
        let end = ends.get(count).copied().unwrap_or(text.len());
        fonts.shape(face, &format!("{}{CUT}", text[..end].trim_end()))
    };
    let fits = |line: &Line| line.width_mm(size_pt) <= width_mm;
    let (mut low, mut high) = (0, ends.len());
    while low < high {
        let middle = (low + high).div_ceil(2);
        if fits(&shaped(middle)) {
            low = middle;
        } else {
            high = middle - 1;
        }
    }
    let line = shaped(low);
    if fits(&line) {
        line
    } else {
        fonts.shape(face, "")
    }
}

/// A paragraph as lines no wider than `width_mm`. A number is never parted from its unit; a word wider
/// than a line is broken where it must be.
///
/// Words are measured one by one and their widths added up, which is quick; a line that comes out wider
/// than its words together, by kerning over a space, gives its last word to the next.
pub(crate) fn wrap(
    fonts: &Fonts,
    face: Face,
    text: &str,
    size_pt: f64,
    width_mm: f64,
) -> Vec<Line> {
    let wide = |text: &str| fonts.shape(face, text).width_mm(size_pt);
    let space = wide(" ");
    let mut left: VecDeque<String> = unbroken(text).into();
    let mut lines = Vec::new();
    while let Some(first) = left.pop_front() {
        let mut words = vec![first];
        let mut sum = wide(&words[0]);
        if sum > width_mm {
            let rest = split(&mut words[0], |text| wide(text) > width_mm);
            if !rest.is_empty() {
                left.push_front(rest);
            }
            lines.push(fonts.shape(face, &words[0]));
            continue;
        }
        while let Some(next) = left.pop_front() {
            sum += space + wide(&next);
            if sum > width_mm {
                left.push_front(next);
                break;
            }
            words.push(next);
        }
        let mut line = fonts.shape(face, &words.join(" "));
        while words.len() > 1 && line.width_mm(size_pt) > width_mm {
            if let Some(last) = words.pop() {
                left.push_front(last);
            }
            line = fonts.shape(face, &words.join(" "));
        }
        lines.push(line);
    }
    if lines.is_empty() {
        lines.push(fonts.shape(face, ""));
    }
    lines
}

/// Leaves in `word` what fits, at least one letter, and gives the rest.
fn split(word: &mut String, too_wide: impl Fn(&str) -> bool) -> String {
    let ends: Vec<usize> = word.char_indices().map(|(at, _)| at).skip(1).collect();
    let fitting = ends.partition_point(|end| !too_wide(&word[..*end]));
    let end = fitting
        .checked_sub(1)
        .or(Some(0))
        .and_then(|at| ends.get(at));
    let end = end.copied().unwrap_or(word.len());
    word.split_off(end)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZES: Sizes = Sizes {
        most_pt: 12.0,
        least_pt: 6.0,
    };

    #[test]
    fn a_line_shrinks_before_it_is_cut_and_shows_that_it_was() {
        let fonts = Fonts::load().expect("the typeface");
        let fit = |text: &str| line(&fonts, Face::Bold, text, SIZES, 30.0);
        let short = fit("ZBR 107");
        assert!((short.size_pt - 12.0).abs() < 1e-9 && !short.cut);
        let long = fit("ZBR 107, 40-ft box car");
        assert!(long.size_pt < 12.0 && !long.cut);
        assert!((long.line.width_mm(long.size_pt) - 30.0).abs() < 1e-6);
        let longest = fit("ZBR 107, 40-ft box car with a roof walk and a very long story");
        assert!(longest.cut && longest.line.text.ends_with(CUT));
        assert!((longest.size_pt - 6.0).abs() < 1e-9 && longest.line.width_mm(6.0) <= 30.0);
    }

    #[test]
    fn no_line_of_a_paragraph_is_too_wide_and_no_word_is_lost() {
        let fonts = Fonts::load().expect("the typeface");
        let text = "out by 0.219 mm (.0086 in) at Ffestiniogwestiniogwestiniogwestiniog, say";
        for width in [8.0, 20.0, 60.0] {
            let lines = wrap(&fonts, Face::Regular, text, 9.0, width);
            assert!(lines.iter().all(|line| line.width_mm(9.0) <= width));
            let joined: String = lines.iter().map(|line| line.text.as_str()).collect();
            assert_eq!(joined.replace(' ', ""), text.replace(' ', ""));
        }
    }
}
