//! The line drawn: plan and profile, the train on both, findings and places marked.
//!
//! The drawing has its own units: 1000 wide, so that words of 17 are read at any width from 960
//! pixels on; narrower pages scroll it. Nothing is said by colour alone.

use gradeworthy_train::line::NamedSpan;
use gradeworthy_train::line::checks::{Finding, Outcome};
use gradeworthy_train::line::drawing::points;
use gradeworthy_train::scene::Coupled;
use gradeworthy_train::track::Alignment;
use maud::{Markup, html};

/// Width of every drawing.
const WIDTH: f64 = 1000.0;
/// Room at every edge.
const EDGE: f64 = 30.0;
/// Height of a profile.
const PROFILE: f64 = 190.0;
/// Distance between points of the drawn line, m.
const STEP_M: f64 = 0.05;

/// A line laid out on paper, or a stretch of it.
pub(crate) struct Sheet {
    /// The stretch that is drawn, m.
    from: f64,
    to: f64,
    /// s in m, x and y of the plan, y of the profile, in drawing units.
    points: Vec<[f64; 4]>,
    height: f64,
}

/// A vehicle on the drawing: places of its bolsters, m, and how it is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drawn {
    pub(crate) bolster_s: [f64; 2],
    pub(crate) class: &'static str,
}

/// A coupling on the drawing: its place, m, and how it stands.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mark {
    pub(crate) s: f64,
    pub(crate) coupled: Coupled,
}

/// What stands on the line besides its places.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct OnIt<'a> {
    pub(crate) findings: &'a [Finding],
    pub(crate) train: &'a [Drawn],
    pub(crate) couplings: &'a [Mark],
}

impl Sheet {
    pub(crate) fn new(track: &Alignment) -> Self {
        Self::of_stretch(track, (0.0, track.length()))
    }

    /// A stretch alone, as large as the page allows.
    pub(crate) fn of_stretch(track: &Alignment, (from, to): (f64, f64)) -> Self {
        let (from, to) = (from.max(0.0), to.min(track.length()));
        let mut drawn = points(track, STEP_M);
        drawn.retain(|own| (from..=to).contains(&own.s));
        // The longer side of the plan lies along the page.
        let span = |of: &dyn Fn(&gradeworthy_train::track::Pose) -> f64| {
            let all = drawn.iter().map(|own| of(&own.pose));
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                (a.min(v), b.max(v))
            })
        };
        let (xs, ys, zs) = (span(&|p| p.x), span(&|p| p.y), span(&|p| p.height));
        let upright = ys.1 - ys.0 > xs.1 - xs.0;
        let (along, across) = if upright { (ys, xs) } else { (xs, ys) };
        let scale = (WIDTH - 2.0 * EDGE) / (along.1 - along.0).max(1e-3);
        let scale = scale.min((520.0 - 2.0 * EDGE) / (across.1 - across.0).max(1e-3));
        let height = scale * (across.1 - across.0) + 2.0 * EDGE;
        let length = (to - from).max(1e-3);
        let rise = (zs.1 - zs.0).max(0.02 * length);
        let place = |own: &gradeworthy_train::line::drawing::DrawnPoint| {
            let (p, s) = (own.pose, own.s);
            let (x, y) = if upright {
                (p.y - ys.0, p.x - xs.0)
            } else {
                (p.x - xs.0, ys.1 - p.y)
            };
            let z = (PROFILE - 60.0) * (zs.1 - p.height) / rise + 20.0;
            [s, EDGE + scale * x, EDGE + scale * y, z]
        };
        Self {
            from,
            to,
            points: drawn.iter().map(place).collect(),
            height: height.max(90.0),
        }
    }

    /// The points for the page's script.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a picture is drawn in single precision"
    )]
    pub(crate) fn film(&self) -> Vec<[f32; 4]> {
        self.points
            .iter()
            .map(|own| own.map(|value| value as f32))
            .collect()
    }

    /// Plan and profile under it.
    pub(crate) fn show(&self, places: &[NamedSpan], on_it: OnIt<'_>, said: &str) -> Markup {
        let beyond: Vec<_> = on_it
            .findings
            .iter()
            .filter(|own| own.outcome == Outcome::Beyond)
            .collect();
        let shown = |own: &&NamedSpan| own.to >= self.from && own.from <= self.to;
        let places: Vec<NamedSpan> = places
            .iter()
            .filter(shown)
            .map(|own| NamedSpan {
                from: own.from.max(self.from),
                to: own.to.min(self.to),
                ..own.clone()
            })
            .collect();
        html! {
            div.scroll.drawn role="region" aria-label="Plan and profile" tabindex="0" {
                svg.hill.plan viewBox={ "0 0 " (WIDTH) " " (round(self.height)) } role="img" aria-label={ "Plan. " (said) } {
                    @for place in &places { polyline.band points=(self.stretch(place.from, place.to, 1)) {} }
                    polyline.track points=(self.stretch(self.from, self.to, 1)) {}
                    @for own in &beyond { (self.warning(own)) }
                    (self.cars(on_it.train, false))
                    (self.couplings(on_it.couplings))
                    @for place in &places { (self.name(place)) }
                }
                svg.hill.profile viewBox={ "0 0 " (WIDTH) " " (PROFILE) } role="img" aria-label={ "Profile. " (said) } {
                    polyline.track points=(self.stretch(self.from, self.to, 3)) {}
                    @for own in &beyond { @let x = self.x(own.from);
                        text.warn x=(round(x)) y=(round(self.at(own.from)[3] - 8.0)) text-anchor="middle" { "⚠" } }
                    (self.cars(on_it.train, true))
                    @for step in self.metres() {
                        text.small x=(round(self.x(step))) y=(PROFILE - 8.0) text-anchor="middle" { (step) " m" }
                    }
                }
            }
        }
    }

    fn metres(&self) -> Vec<f64> {
        let long = self.to - self.from;
        let step = if long > 40.0 {
            10.0
        } else if long > 8.0 {
            2.0
        } else {
            1.0
        };
        let mut all = Vec::new();
        let mut s = (self.from / step).floor() * step + step;
        while s < self.to && all.len() < 12 {
            all.push(s);
            s += step;
        }
        all
    }

    fn x(&self, s: f64) -> f64 {
        EDGE + (WIDTH - 2.0 * EDGE) * (s - self.from) / (self.to - self.from).max(1e-3)
    }

    /// The drawn point at a place, straight between its neighbours.
    fn at(&self, s: f64) -> [f64; 4] {
        let after = self
            .points
            .partition_point(|own| own[0] < s)
            .min(self.points.len().saturating_sub(1));
        let Some((a, b)) = self
            .points
            .get(after.saturating_sub(1))
            .zip(self.points.get(after))
        else {
            return [0.0; 4];
        };
        let part = if b[0] > a[0] {
            ((s - a[0]) / (b[0] - a[0])).clamp(0.0, 1.0)
        } else {
            0.0
        };
        std::array::from_fn(|k| a[k] + part * (b[k] - a[k]))
    }

    /// Points of the plan (`of` = 1) or the profile (`of` = 3) from one place to another.
    fn stretch(&self, from: f64, to: f64, of: usize) -> String {
        let inside = self
            .points
            .iter()
            .filter(|own| own[0] > from && own[0] < to);
        let ends = [self.at(from), self.at(to)];
        let all = std::iter::once(&ends[0])
            .chain(inside)
            .chain(std::iter::once(&ends[1]));
        let say = |own: &[f64; 4]| {
            let (x, y) = if of == 1 {
                (own[1], own[2])
            } else {
                (self.x(own[0]), own[3])
            };
            format!("{},{}", round(x), round(y))
        };
        all.map(say).collect::<Vec<_>>().join(" ")
    }

    fn warning(&self, own: &Finding) -> Markup {
        let at = self.at(0.5 * (own.from + own.to));
        html! {
            polyline.beyond points=(self.stretch(own.from, own.to, 1)) {}
            text.warn x=(round(at[1])) y=(round(at[2] - 8.0)) text-anchor="middle" { "⚠" }
        }
    }

    fn name(&self, place: &NamedSpan) -> Markup {
        let at = self.at(0.5 * (place.from + place.to));
        let (x, anchor) = if at[1] > 0.8 * WIDTH {
            (at[1] - 6.0, "end")
        } else {
            (at[1] + 6.0, "start")
        };
        html! { text.place x=(round(x)) y=(round((at[2] + 22.0).min(self.height - 6.0))) text-anchor=(anchor) { (place.name) } }
    }

    fn couplings(&self, couplings: &[Mark]) -> Markup {
        /// Half the length of track over which its direction is taken, m.
        const HALF: f64 = 0.02;
        html! { g.couplings {
            @for own in couplings {
                @let (a, b) = (self.at(own.s + HALF), self.at(own.s - HALF));
                @let at = self.at(own.s);
                @let turned = (a[2] - b[2]).atan2(a[1] - b[1]).to_degrees();
                @let (class, shape) = mark(own.coupled);
                path class={ "coupling " (class) } d=(shape)
                    transform={ "translate(" (round(at[1])) " " (round(at[2])) ") rotate(" (round(turned)) ")" } {}
            }
        } }
    }

    fn cars(&self, train: &[Drawn], profile: bool) -> Markup {
        html! { g.train {
            @for own in train {
                // The body reaches past its bolsters by a quarter of their distance.
                @let (front, rear) = (own.bolster_s[0], own.bolster_s[1]);
                @let more = 0.25 * (front - rear);
                @let (a, b) = (self.at(front + more), self.at(rear - more));
                @let ends = if profile { [self.x(a[0]), a[3] - 4.0, self.x(b[0]), b[3] - 4.0] } else { [a[1], a[2], b[1], b[2]] };
                line class=(own.class) x1=(round(ends[0])) y1=(round(ends[1])) x2=(round(ends[2])) y2=(round(ends[3])) {}
            }
        } }
    }
}

/// What a coupling's mark is called and how it is drawn, along the train and centred on it: a bar with ends
/// on the one side, a ring between, a block on the other side, a cross. Side and shape tell them apart
/// where colour does not.
pub(crate) const fn mark(coupled: Coupled) -> (&'static str, &'static str) {
    match coupled {
        Coupled::Stretched => ("stretched", "M-5-11H5M-5-15V-7M5-15V-7"),
        Coupled::Loose => ("loose", "M-4 0A4 4 0 1 1 4 0A4 4 0 1 1-4 0Z"),
        Coupled::RunIn => ("run-in", "M-4 7H4V16H-4Z"),
        Coupled::Apart => ("apart", "M-8-10L8 10M-8 10L8-10"),
    }
}

/// One mark by itself in the middle, for a key.
pub(crate) fn key(coupled: Coupled) -> Markup {
    let (class, shape) = mark(coupled);
    let down = match coupled {
        Coupled::Stretched => 11,
        Coupled::RunIn => -12,
        Coupled::Loose | Coupled::Apart => 0,
    };
    html! { svg.hill.key viewBox="-12 -20 24 40" aria-hidden="true" {
        path class={ "coupling " (class) } d=(shape) transform={ "translate(0 " (down) ")" } {}
    } }
}

/// The train pulled straight, head on the left: vehicles, and between them how each coupling stands.
pub(crate) fn strip(is_power: &[bool], coupled: &[Coupled], said: &str) -> Markup {
    #[expect(clippy::cast_precision_loss, reason = "a count of vehicles")]
    let wide = (WIDTH - 2.0 * EDGE) / is_power.len().max(1) as f64;
    let scale = (wide / 12.0).min(1.0);
    let ends = (1_u32..).map(|k| EDGE + wide * f64::from(k));
    html! {
        svg.hill.strip viewBox={ "0 0 " (WIDTH) " 76" } role="img" aria-label=(said) {
            text.small x=(EDGE) y="17" { "Slack along the train, head on the left" }
            @for (end, power) in ends.clone().zip(is_power) {
                rect class=(if *power { "body power" } else { "body" }) x=(round(end - 0.9 * wide)) y="46"
                    width=(round(0.8 * wide)) height="10" {}
            }
            @for (x, own) in ends.zip(coupled) {
                @let (class, shape) = mark(*own);
                path class={ "coupling " (class) } d=(shape)
                    transform={ "translate(" (round(x)) " 51) scale(" (round(scale)) ")" } {}
            }
        }
    }
}

/// A tenth of a drawing unit is enough.
fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// Bars for the vehicles of a train, the head on the left: forces up for draft, down for buff.
pub(crate) fn bars(
    values: &[f64],
    most: f64,
    name: &str,
    line_at: Option<f64>,
    class: &str,
) -> Markup {
    #[expect(clippy::cast_precision_loss, reason = "a count of vehicles")]
    let width = (WIDTH - 2.0 * EDGE) / values.len().max(1) as f64;
    let (middle, half) = (90.0, 66.0);
    let mut x = EDGE;
    let mut at = || {
        let own = x;
        x += width;
        own
    };
    html! {
        svg class={ "hill bars " (class) } viewBox={ "0 0 " (WIDTH) " 180" } role="img" aria-label=(name)
            data-most=(most) {
            line.axis x1=(EDGE) x2=(WIDTH - EDGE) y1=(middle) y2=(middle) {}
            @if let Some(value) = line_at {
                @let y = middle - half * (value / most).clamp(-1.0, 1.0);
                line.asked x1=(EDGE) x2=(WIDTH - EDGE) y1=(round(y)) y2=(round(y)) {}
            }
            @for value in values {
                @let tall = half * (value / most).clamp(-1.0, 1.0);
                @let top = if tall > 0.0 { middle - tall } else { middle };
                rect class=(if *value < 0.0 { "bar under" } else { "bar" }) x=(round(at())) y=(round(top))
                    width=(round((width - 1.0).max(1.0))) height=(round(tall.abs().max(0.5))) {}
            }
            text.small x=(EDGE) y="17" { (name) }
        }
    }
}
