//! One coupler: its box on the body, its head where it was read, its tolerance, its droop.

use gradeworthy_units::Amount;
use gradeworthy_workbench::record::{End, Measure, Place};
use gradeworthy_workbench::rules::Limited;
use maud::{Markup, html};

use super::super::canvas::{Anchor, area, bold, dashes, guide, outline, px};
use super::super::exaggeration::Shift;
use super::super::verdict::{class, shape};
use super::{TOLERANCE_PX, View};

/// Half the height and the length of a head, px.
const HEAD: (f64, f64) = (9.0, 16.0);

impl View<'_> {
    /// How far a head stands above the middle of its limits, as drawn.
    pub(super) fn head_shift(&self, end: End) -> Option<Shift> {
        let read = self.seen.number(Measure::CouplerHeight, Place::End(end))?;
        Some(self.exaggeration.of(read - self.heights.nominal))
    }

    pub(super) fn coupler(&self, end: End) -> Markup {
        let place = Place::End(end);
        let outward = Self::outward(end);
        let face = super::WIDTH / 2.0 + outward * self.car.reach(end) * self.scale;
        let body = super::WIDTH / 2.0 + outward * self.car.body.mm / 2.0 * self.scale;
        let nominal = self.y(self.heights.nominal);
        let shift = self.head_shift(end);
        let head = nominal - shift.map_or(0.0, |shift| shift.px);
        let verdict = self.seen.verdict(Limited::CouplerHeight, place);
        let known = self.car.overhang[end.index()].known && shift.is_some();
        let part = format!("coupler-{}", end.to_string().to_lowercase());
        let mouth = body - outward * 6.0;
        let beyond = face + outward * 26.0;
        html! {
            g data-part=(part) {
                @if self.heights.tolerance.is_some() {
                    (area("gw-band", (face - outward * 26.0, beyond),
                        (nominal - TOLERANCE_PX, nominal + TOLERANCE_PX)))
                }
                (guide((body, nominal), (beyond, nominal)))
                path d=(outline(&[(mouth, head), (face - outward * HEAD.1, head)], false))
                    stroke-width="5" stroke-dasharray=[dashes(known)] {}
                (draft_gear_box(mouth, head, outward))
                (self.droop(end, face, (mouth, head)))
                g class=(class(verdict)) data-part="head" data-y=(px(head)) {
                    path d=(knuckle(face, head, outward)) stroke-dasharray=[dashes(known)]
                        fill="currentColor" fill-opacity="0.25" {}
                }
                @if let Some(beyond_end) = shift.filter(|shift| shift.cut) {
                    (cut_short(face + outward * 10.0, head, beyond_end.px))
                }
                (shape(verdict, face + outward * 42.0, nominal))
                (bold(face + outward * 42.0, nominal - 24.0, Anchor::Middle, &format!("{end} end")))
            }
        }
    }

    /// Where the head hangs under a light pull, as a ghost below it.
    fn droop(&self, end: End, face: f64, mouth: (f64, f64)) -> Markup {
        let head = mouth.1;
        let place = Place::End(end);
        let Some(read) = self.seen.number(Measure::Droop, place) else {
            return html! {};
        };
        let drop = self.exaggeration.of(read).px;
        let outward = Self::outward(end);
        let line = self.seen.line(Limited::Droop, place);
        let most = line.and_then(|line| line.upper).map(Amount::base);
        html! {
            @if drop.abs() > 0.5 {
                g class=(class(self.seen.verdict(Limited::Droop, place))) data-part="droop"
                    data-y=(px(head + drop)) {
                    path d=(outline(&[mouth, (face - outward * HEAD.1, head + drop)], false))
                        stroke-width="1" stroke-dasharray="2 2" {}
                    path d=(knuckle(face, head + drop, outward)) stroke-width="1"
                        stroke-dasharray="2 2" {}
                    @if most.is_some_and(|most| read > most) {
                        path d=(arrow_down(face - outward * 8.0, head, head + drop)) stroke-width="3" {}
                    }
                }
            }
        }
    }
}

/// A head seen from the side, its face at `face`.
fn knuckle(face: f64, y: f64, outward: f64) -> String {
    let (half, long) = HEAD;
    let back = face - outward * long;
    let lip = face - outward * 6.0;
    outline(
        &[
            (back, y - half * 0.55),
            (lip, y - half),
            (face, y - half),
            (face, y + half),
            (lip, y + half),
            (back, y + half * 0.55),
        ],
        true,
    )
}

/// The box on the body that the shank comes out of, open at its mouth.
fn draft_gear_box(mouth: f64, y: f64, outward: f64) -> Markup {
    let back = mouth - outward * 30.0;
    html! {
        path class="gw-body" fill="currentColor" fill-opacity="0.06" d=(outline(&[
            (mouth, y - 7.0), (back, y - 7.0), (back, y + 7.0), (mouth, y + 7.0)], false)) {}
    }
}

fn arrow_down(x: f64, from: f64, to: f64) -> String {
    format!(
        "M{0} {1} V{2} M{3} {4} L{0} {2} L{5} {4}",
        px(x),
        px(from),
        px(to),
        px(x - 5.0),
        px(to - 6.0),
        px(x + 5.0)
    )
}

/// Two strokes that say: further than drawn.
fn cut_short(x: f64, y: f64, shift_px: f64) -> Markup {
    let way = if shift_px > 0.0 { -1.0 } else { 1.0 };
    html! {
        g data-part="cut-short" {
            @for at in [14.0, 19.0] {
                path d=(outline(&[(x - 5.0, y + way * at), (x, y + way * (at + 4.0)),
                    (x + 5.0, y + way * at)], false)) {}
            }
        }
    }
}
