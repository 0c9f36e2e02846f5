//! The outline of a car's body by the first of its type letters, so that it is known at sight.
//!
//! ASSUMED: heights above the rail are ordinary ones in prototype mm, common practice and no source.

use gradeworthy_workbench::record::CarType;
use maud::{Markup, html};

use super::canvas::{dashes, outline, px};

/// The kinds of body that are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Silhouette {
    Box,
    Caboose,
    Flat,
    Gondola,
    Hopper,
    Tank,
}

impl Silhouette {
    /// By the first letter; anything else, and nothing, is a box.
    pub(super) fn of(letters: Option<&CarType>) -> Self {
        match letters.and_then(|letters| letters.as_str().chars().next()) {
            Some('F') => Self::Flat,
            Some('G') => Self::Gondola,
            Some('H') => Self::Hopper,
            Some('N') => Self::Caboose,
            Some('T') => Self::Tank,
            _ => Self::Box,
        }
    }

    /// Top of the body above the rail, prototype mm.
    pub(super) const fn height(self) -> f64 {
        match self {
            Self::Box => 3_900.0,
            Self::Caboose => 3_600.0,
            Self::Flat => 1_350.0,
            Self::Gondola => 2_300.0,
            Self::Hopper => 3_100.0,
            Self::Tank => 3_500.0,
        }
    }

    /// Whether lettering finds room on the body.
    pub(super) const fn is_tall(self) -> bool {
        !matches!(self, Self::Flat)
    }

    /// The body in a box from `left` to `right` and `top` to `floor`; ends and floor solid where
    /// the length is known, the rest dashed.
    pub(super) fn draw(self, x: (f64, f64), y: (f64, f64), length_known: bool) -> Markup {
        let (left, right) = x;
        let (top, floor) = y;
        let (length, height) = (right - left, floor - top);
        let shape = self.shape(left, top, length, height);
        // Ends are real only as far as the body reaches the full length at them.
        let end_top = match self {
            Self::Tank => floor - 0.1 * height,
            Self::Hopper => floor - 0.55 * height,
            Self::Box | Self::Caboose | Self::Flat | Self::Gondola => top + 0.3 * height,
        };
        let end_foot = match self {
            Self::Hopper => top,
            _ => floor,
        };
        html! {
            g data-part="body" {
                path class="gw-body" d=(shape) fill="currentColor" fill-opacity="0.06"
                    stroke-dasharray=[dashes(false)] {}
                @for end in [left, right] {
                    path d=(outline(&[(end, end_top), (end, end_foot)], false))
                        stroke-width="3" stroke-dasharray=[dashes(length_known)] {}
                }
                @if !matches!(self, Self::Hopper) {
                    path d=(outline(&[(left, floor), (right, floor)], false))
                        stroke-width="3" stroke-dasharray=[dashes(length_known)] {}
                }
                @if matches!(self, Self::Hopper | Self::Gondola) {
                    @for rib in 1..8 {
                        @let at = left + length * f64::from(rib) / 8.0;
                        @let foot = if self == Self::Gondola { floor } else { floor - 0.5 * height };
                        path d=(outline(&[(at, top), (at, foot)], false)) stroke-width="1"
                            stroke-opacity="0.5" {}
                    }
                }
            }
        }
    }

    fn shape(self, left: f64, top: f64, length: f64, height: f64) -> String {
        let at = |along: f64, down: f64| (left + along * length, top + down * height);
        match self {
            Self::Box | Self::Flat | Self::Gondola => outline(
                &[at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)],
                true,
            ),
            Self::Caboose => outline(
                &[
                    at(0.0, 0.28),
                    at(0.4, 0.28),
                    at(0.4, 0.0),
                    at(0.62, 0.0),
                    at(0.62, 0.28),
                    at(1.0, 0.28),
                    at(1.0, 1.0),
                    at(0.0, 1.0),
                ],
                true,
            ),
            Self::Hopper => outline(
                &[
                    at(0.0, 0.0),
                    at(1.0, 0.0),
                    at(1.0, 0.45),
                    at(0.76, 1.0),
                    at(0.58, 1.0),
                    at(0.5, 0.8),
                    at(0.42, 1.0),
                    at(0.24, 1.0),
                    at(0.0, 0.45),
                ],
                true,
            ),
            Self::Tank => tank(at, length, height),
        }
    }
}

/// A lying cylinder with a dome, on a frame.
fn tank(at: impl Fn(f64, f64) -> (f64, f64), length: f64, height: f64) -> String {
    let point = |along, down| {
        let (x, y) = at(along, down);
        format!("{} {}", px(x), px(y))
    };
    let radius = 0.12 * height.min(length);
    let round = format!("A{0} {0} 0 0 1", px(radius));
    let inset = radius / length;
    let drop = radius / height;
    let (near, far) = (0.03, 0.97);
    format!(
        "M{} {round} {} L{} L{} L{} L{} L{} {round} {} L{} L{} L{} L{} L{} L{} Z",
        point(near, 0.16 + drop),
        point(near + inset, 0.16),
        point(0.45, 0.16),
        point(0.45, 0.0),
        point(0.55, 0.0),
        point(0.55, 0.16),
        point(far - inset, 0.16),
        point(far, 0.16 + drop),
        point(far, 0.86),
        point(1.0, 0.9),
        point(1.0, 1.0),
        point(0.0, 1.0),
        point(0.0, 0.9),
        point(near, 0.86),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_choose_the_body() {
        let of = |letters: &str| Silhouette::of(Some(&CarType::new(letters)));
        assert_eq!(of("xm"), Silhouette::Box);
        assert_eq!(of("HT"), Silhouette::Hopper);
        assert_eq!(of(""), Silhouette::Box);
        assert_eq!(Silhouette::of(None), Silhouette::Box);
    }
}
