//! The sheet a picture is drawn on: its frame, numbers, lines and text.
//!
//! Pixels are written to a tenth, which hides differences in the last bit between machines.

use maud::{Markup, html};

use super::Drawing;

/// Least size of text in pixels at natural size.
pub(super) const TEXT: u32 = 16;

/// Dashes of what was not measured.
const DASHES: &str = "5 4";

/// A picture being put together.
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) title: String,
    /// Sentences of the description.
    pub(super) said: Vec<String>,
}

impl Sheet {
    /// The finished picture.
    pub(super) fn finish(self, content: &Markup) -> Drawing {
        let title = printable(&self.title);
        let description = printable(&self.said.join(" "));
        let view = format!("0 0 {} {}", px(self.width), px(self.height));
        let svg = html! {
            svg xmlns="http://www.w3.org/2000/svg" class="gw-drawing" role="img"
                width=(px(self.width)) height=(px(self.height)) viewBox=(view)
                fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round"
                font-family="sans-serif" font-size=(TEXT) {
                title { (title) }
                desc { (description) }
                (content)
            }
        };
        Drawing {
            svg: svg.into_string(),
            title,
            description,
        }
    }
}

/// A pixel to a tenth, without a zero at the end and never minus nothing.
pub(super) fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// `text` without the characters that XML cannot hold, each replaced by the replacement character.
///
/// Source: [XML10 §2.2], production Char.
fn printable(text: &str) -> String {
    let kept = |c: char| !c.is_control() || matches!(c, '\t' | '\n' | '\r');
    text.chars()
        .map(|c| match c {
            '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            c if kept(c) => c,
            _ => '\u{fffd}',
        })
        .collect()
}

/// `text` cut to `most` characters, the last of them an ellipsis; the description has it whole.
pub(super) fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{kept}…")
}

/// A sentence with its first letter a capital.
pub(super) fn capitalised(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

/// Where a text hangs on its point.
#[derive(Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Text whose base line is at `y`.
pub(super) fn text(x: f64, y: f64, anchor: Anchor, words: &str) -> Markup {
    styled(x, y, anchor, "normal", words)
}

/// The same in bold.
pub(super) fn bold(x: f64, y: f64, anchor: Anchor, words: &str) -> Markup {
    styled(x, y, anchor, "bold", words)
}

fn styled(x: f64, y: f64, anchor: Anchor, weight: &str, words: &str) -> Markup {
    let anchor = match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    html! {
        text x=(px(x)) y=(px(y)) text-anchor=(anchor) font-weight=(weight)
            fill="currentColor" stroke="none" { (printable(words)) }
    }
}

/// A straight line.
pub(super) fn line(from: (f64, f64), to: (f64, f64), known: bool) -> Markup {
    html! {
        line x1=(px(from.0)) y1=(px(from.1)) x2=(px(to.0)) y2=(px(to.1))
            stroke-dasharray=[dashes(known)] {}
    }
}

/// A thin line that guides the eye and is no part of the car.
pub(super) fn guide(from: (f64, f64), to: (f64, f64)) -> Markup {
    html! {
        line x1=(px(from.0)) y1=(px(from.1)) x2=(px(to.0)) y2=(px(to.1))
            stroke-width="1" stroke-dasharray="2 4" {}
    }
}

/// The attribute that dashes what is not known.
pub(super) fn dashes(known: bool) -> Option<&'static str> {
    (!known).then_some(DASHES)
}

/// A filled area of one of the style sheet's classes, without an outline.
pub(super) fn area(class: &str, x: (f64, f64), y: (f64, f64)) -> Markup {
    let (left, right) = (x.0.min(x.1), x.0.max(x.1));
    let (top, bottom) = (y.0.min(y.1), y.0.max(y.1));
    html! {
        rect class=(class) x=(px(left)) y=(px(top)) width=(px(right - left))
            height=(px(bottom - top)) fill="currentColor" fill-opacity="0.15" stroke="none" {}
    }
}

/// Points as a path: `M x y L x y … Z`.
pub(super) fn outline(points: &[(f64, f64)], closed: bool) -> String {
    let mut path = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { "M" } else { " L" };
        path += &format!("{letter}{} {}", px(*x), px(*y));
    }
    if closed {
        path += " Z";
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pixels_are_short_and_plain() {
        assert_eq!(px(12.0), "12");
        assert_eq!(px(-0.04), "0");
        assert_eq!(px(7.26), "7.3");
    }

    #[test]
    fn what_xml_cannot_hold_is_replaced_and_seen() {
        assert_eq!(printable("a\u{1}b\u{ffff}"), "a\u{fffd}b\u{fffd}");
        assert_eq!(printable("é\tx"), "é\tx");
    }
}
