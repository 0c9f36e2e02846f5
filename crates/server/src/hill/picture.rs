//! The line drawn: plan and profile, the train on both, findings and places marked.
//!
//! Each drawing is made twice, [`WIDE`] for a tablet or a desk and [`SLIM`] for a telephone or half a
//! page; the style sheet shows one of them, at a size at which its words can be read without scrolling.
//! The plan is turned so that it fills its sheet best: which way is north says nothing about a climb.
//! Nothing is said by colour alone.

use gradeworthy_train::line::NamedSpan;
use gradeworthy_train::line::checks::{Finding, Outcome};
use gradeworthy_train::line::drawing::points;
use gradeworthy_train::scene::Coupled;
use gradeworthy_train::track::Alignment;
use maud::{Markup, html};

use super::labels::{Ground, Label, Point, place};

/// Distance between points of the drawn line, m.
const STEP_M: f64 = 0.05;
/// Room above the profile.
const PROFILE_TOP: f64 = 26.0;

/// A sheet of paper, in units of its drawing.
#[derive(Debug)]
pub(crate) struct Format {
    class: &'static str,
    width: f64,
    edge: f64,
    /// How high a plan may be.
    plan_most: f64,
    /// Room for names over it and under it.
    over: f64,
    under: f64,
    profile: f64,
    /// The greatest size at which the style sheet sets its words.
    words: f64,
    /// Half the width of what is drawn along the line.
    clear: f64,
    /// How large the marks of couplings are drawn.
    marks: f64,
    /// How many distances the profile names.
    steps: usize,
    wraps: bool,
}

/// Shown from 50rem on.
pub(crate) const WIDE: Format = Format {
    class: "wide",
    width: 1000.0,
    edge: 34.0,
    plan_most: 460.0,
    over: 34.0,
    under: 0.0,
    profile: 170.0,
    words: 23.0,
    clear: 11.0,
    marks: 1.0,
    steps: 7,
    wraps: false,
};

/// Shown on narrower pages, and beside another.
pub(crate) const SLIM: Format = Format {
    class: "slim",
    width: 360.0,
    edge: 22.0,
    plan_most: 400.0,
    over: 0.0,
    under: 40.0,
    profile: 126.0,
    words: 18.0,
    clear: 7.0,
    marks: 0.6,
    steps: 4,
    wraps: true,
};

/// A line laid out on paper, or a stretch of it.
struct Sheet {
    format: &'static Format,
    /// The stretch that is drawn, m.
    from: f64,
    to: f64,
    /// s, x, y and height, all in m.
    points: Vec<[f64; 4]>,
    /// X = a x + c y + e, Y = b x + d y + f, as a matrix of SVG has them.
    plan: [f64; 6],
    height: f64,
    /// Y = k z + c on the profile.
    profile: [f64; 2],
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

/// What is drawn.
#[derive(Clone, Copy)]
pub(crate) struct View<'a> {
    pub(crate) track: &'a Alignment,
    /// From where to where, m, as large as the page allows; all of the line where nothing is said.
    pub(crate) stretch: Option<(f64, f64)>,
    pub(crate) places: &'a [NamedSpan],
    pub(crate) findings: &'a [Finding],
    pub(crate) train: &'a [Drawn],
    pub(crate) couplings: &'a [Mark],
    pub(crate) said: &'a str,
}

impl<'a> View<'a> {
    /// The line alone.
    pub(crate) const fn of(track: &'a Alignment, places: &'a [NamedSpan], said: &'a str) -> Self {
        Self {
            track,
            stretch: None,
            places,
            findings: &[],
            train: &[],
            couplings: &[],
            said,
        }
    }

    /// Both drawings, of which a page shows the one that fits it.
    pub(crate) fn show(&self) -> Markup {
        html! { (self.on(&WIDE)) (self.on(&SLIM)) }
    }

    /// The slim drawing alone, at any width.
    pub(crate) fn show_slim(&self) -> Markup {
        self.on(&SLIM)
    }

    fn on(&self, format: &'static Format) -> Markup {
        let sheet = Sheet::new(self.track, self.stretch, format);
        html! { div class={ "drawn " (format.class) } { (sheet.plan(self)) (sheet.profile(self)) } }
    }
}

/// The points of the drawn line, or of a stretch of it, for the page's script: s, x, y and height, m.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture is drawn in single precision"
)]
pub(crate) fn film_points(track: &Alignment, stretch: Option<(f64, f64)>) -> Vec<[f32; 4]> {
    let all = metres(track, stretch);
    all.iter().map(|own| own.map(|v| v as f32)).collect()
}

fn metres(track: &Alignment, stretch: Option<(f64, f64)>) -> Vec<[f64; 4]> {
    let (from, to) = stretch.unwrap_or((0.0, track.length()));
    let drawn = points(track, STEP_M);
    drawn
        .iter()
        .filter(|own| (from..=to).contains(&own.s))
        .map(|own| [own.s, own.pose.x, own.pose.y, own.pose.height])
        .collect()
}

/// Least and greatest of a number of the points.
fn span(points: &[[f64; 4]], of: impl Fn(&[f64; 4]) -> f64) -> (f64, f64) {
    let all = points.iter().map(of);
    all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
        (a.min(v), b.max(v))
    })
}

impl Sheet {
    fn new(track: &Alignment, stretch: Option<(f64, f64)>, format: &'static Format) -> Self {
        let points = metres(track, stretch);
        let (from, to) = span(&points, |own| own[0]);
        let (plan, height) = turned(&points, format);
        let (low, high) = span(&points, |own| own[3]);
        let rise = (high - low).max(0.02 * (to - from)).max(1e-3);
        // Below the profile stand the distances.
        let scale = (format.profile - PROFILE_TOP - 1.9 * format.words) / rise;
        Self {
            format,
            from,
            to,
            points,
            plan,
            height,
            profile: [-scale, PROFILE_TOP + scale * high],
        }
    }

    /// The named places on the stretch.
    fn places(&self, view: &View<'_>) -> Vec<NamedSpan> {
        let here = |own: &&NamedSpan| own.to >= self.from && own.from <= self.to;
        let clipped = |own: &NamedSpan| NamedSpan {
            from: own.from.max(self.from),
            to: own.to.min(self.to),
            ..own.clone()
        };
        view.places.iter().filter(here).map(clipped).collect()
    }

    fn plan(&self, view: &View<'_>) -> Markup {
        let beyond = beyond(view.findings);
        let places = self.places(view);
        let names = places
            .iter()
            .map(|own| (own.name.as_str(), self.on_plan(0.5 * (own.from + own.to))));
        let warnings = beyond
            .iter()
            .map(|own| ("⚠", self.on_plan(0.5 * (own.from + own.to))));
        let lines: Vec<Point> = self.points.iter().map(|own| self.plan_of(own)).collect();
        let ground = Ground {
            size: [self.format.width, self.height],
            lines: &lines,
            words: self.format.words,
            clear: self.format.clear,
            wraps: self.format.wraps,
        };
        let marks = beyond.len();
        let labels = place(&ground, warnings.chain(names));
        html! {
            svg.hill.plan viewBox={ "0 0 " (self.format.width) " " (round(self.height)) } role="img"
                aria-label={ "Plan. " (view.said) } data-to=(self.plan.map(|own| format!("{own:.6}")).join(" ")) {
                @for own in &places { polyline.band points=(self.stretch(own.from, own.to)) {} }
                polyline.track points=(self.stretch(self.from, self.to)) {}
                @for own in &beyond { polyline.beyond points=(self.stretch(own.from, own.to)) {} }
                @for own in &labels { @if let Some(ends) = own.leader { (leader(ends)) } }
                (self.cars(view.train, false))
                (self.couplings(view.couplings))
                @for (index, own) in labels.iter().enumerate() {
                    (words(own, if index < marks { "warn" } else { "place" })) }
            }
        }
    }

    fn profile(&self, view: &View<'_>) -> Markup {
        let (width, tall) = (self.format.width, self.format.profile);
        let [scale, start] = self.profile;
        let (along, start_x) = self.along();
        html! {
            svg.hill.profile viewBox={ "0 0 " (width) " " (tall) } role="img" aria-label={ "Profile. " (view.said) }
                data-along={ (format!("{along:.6}")) " " (format!("{start_x:.4}")) }
                data-up={ (format!("{scale:.6}")) " " (format!("{start:.4}")) } {
                @for own in &self.places(view) {
                    rect.band x=(round(self.x(own.from))) y="0" width=(round((self.x(own.to) - self.x(own.from)).max(1.0)))
                        height=(tall - 1.6 * self.format.words) {} }
                polyline.track points=(self.rise()) {}
                @for own in &beyond(view.findings) { @let at = self.on_profile(own.from);
                    text.warn x=(round(at[0])) y=(round(at[1] - self.format.clear - 3.0)) text-anchor="middle" { "⚠" } }
                (self.cars(view.train, true))
                @for step in self.steps() {
                    text.small x=(round(self.x(step))) y=(round(tall - 0.45 * self.format.words)) text-anchor="middle" {
                        (step) " m" }
                }
            }
        }
    }

    /// Distances that are named under the profile.
    fn steps(&self) -> Vec<f64> {
        let most = self.format.steps;
        let length = self.to - self.from;
        let each = [
            0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 1000.0,
        ];
        let fits = |step: &f64| step * count_of(most + 1) >= length;
        let step = each.into_iter().find(fits).unwrap_or(length);
        let first = (self.from / step).floor();
        (1..=most)
            .map(|k| step * (first + count_of(k)))
            .take_while(|s| *s < self.to - 0.3 * step)
            .collect()
    }

    /// X = a s + b on the profile.
    fn along(&self) -> (f64, f64) {
        let (width, edge) = (self.format.width, self.format.edge);
        let along = (width - 2.0 * edge) / (self.to - self.from).max(1e-3);
        (along, edge - along * self.from)
    }

    fn x(&self, s: f64) -> f64 {
        let (along, start) = self.along();
        along * s + start
    }

    fn plan_of(&self, own: &[f64; 4]) -> Point {
        let [a, b, c, d, e, f] = self.plan;
        [a * own[1] + c * own[2] + e, b * own[1] + d * own[2] + f]
    }

    fn on_plan(&self, s: f64) -> Point {
        self.plan_of(&self.at(s))
    }

    fn on_profile(&self, s: f64) -> Point {
        [self.x(s), self.profile[0] * self.at(s)[3] + self.profile[1]]
    }

    /// The point at a place, straight between its neighbours.
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

    /// The plan from one place to another.
    fn stretch(&self, from: f64, to: f64) -> String {
        let inside = self
            .points
            .iter()
            .filter(|own| own[0] > from && own[0] < to);
        let ends = [self.at(from), self.at(to)];
        let all = std::iter::once(&ends[0])
            .chain(inside)
            .chain(std::iter::once(&ends[1]));
        written(all.map(|own| self.plan_of(own)))
    }

    /// The profile.
    fn rise(&self) -> String {
        let [scale, start] = self.profile;
        let all = self.points.iter();
        written(all.map(|own| [self.x(own[0]), scale * own[3] + start]))
    }

    fn couplings(&self, couplings: &[Mark]) -> Markup {
        /// Half the length of track over which its direction is taken, m.
        const HALF: f64 = 0.02;
        let size = self.format.marks;
        html! { g.couplings data-size=(size) { @for own in couplings {
            @let (a, b) = (self.on_plan(own.s + HALF), self.on_plan(own.s - HALF));
            @let at = self.on_plan(own.s);
            @let turned = (a[1] - b[1]).atan2(a[0] - b[0]).to_degrees();
            @let (class, shape) = mark(own.coupled);
            path class={ "coupling " (class) } d=(shape)
                transform={ "translate(" (round(at[0])) " " (round(at[1])) ") rotate(" (round(turned)) ") scale(" (size) ")" } {}
        } } }
    }

    fn cars(&self, train: &[Drawn], profile: bool) -> Markup {
        html! { g.train {
            @for own in train {
                // The body reaches past its bolsters by a quarter of their distance.
                @let (front, rear) = (own.bolster_s[0], own.bolster_s[1]);
                @let more = 0.25 * (front - rear);
                @let ends = [front + more, rear - more].map(|s| if profile {
                    let [x, y] = self.on_profile(s); [x, y - 4.0] } else { self.on_plan(s) });
                line class=(own.class) x1=(round(ends[0][0])) y1=(round(ends[0][1])) x2=(round(ends[1][0]))
                    y2=(round(ends[1][1])) {}
            }
        } }
    }
}

/// The plan turned and scaled so that it fills its sheet, and the height of the sheet.
fn turned(points: &[[f64; 4]], format: &Format) -> ([f64; 6], f64) {
    let room = [
        format.width - 2.0 * format.edge,
        format.plan_most - 2.0 * format.edge,
    ];
    let at = |degrees: u8| {
        let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
        // Turned by so much; y goes down a sheet.
        let xs = span(points, |own| cos * own[1] - sin * own[2]);
        let ys = span(points, |own| -sin * own[1] - cos * own[2]);
        let size = [xs.1 - xs.0, ys.1 - ys.0].map(|own| own.max(1e-3));
        let scale = (room[0] / size[0]).min(room[1] / size[1]);
        (scale, (sin, cos), (xs.0, ys.0), size)
    };
    let turns = (0..36_u8).map(|k| at(5 * k));
    let first = at(0);
    let best = turns.fold(first, |best, own| if own.0 > best.0 { own } else { best });
    let (scale, (sin, cos), (left, top), size) = best;
    let height = (scale * size[1] + 2.0 * format.edge).max(4.0 * format.edge);
    let middle = [
        0.5 * (format.width - scale * size[0]),
        0.5 * (height - scale * size[1]),
    ];
    let matrix = [
        scale * cos,
        -scale * sin,
        -scale * sin,
        -scale * cos,
        middle[0] - scale * left,
        format.over + middle[1] - scale * top,
    ];
    (matrix, format.over + height + format.under)
}

fn beyond(findings: &[Finding]) -> Vec<&Finding> {
    let beyond = findings.iter();
    beyond
        .filter(|own| own.outcome == Outcome::Beyond)
        .collect()
}

#[expect(clippy::cast_precision_loss, reason = "a count of steps")]
fn count_of(k: usize) -> f64 {
    k as f64
}

fn leader([a, b]: [Point; 2]) -> Markup {
    html! { line.leader x1=(round(a[0])) y1=(round(a[1])) x2=(round(b[0])) y2=(round(b[1])) {} }
}

fn words(label: &Label, class: &str) -> Markup {
    html! { @for (row, at) in label.rows.iter().zip(&label.at) {
        text class=(class) x=(round(at[0])) y=(round(at[1])) text-anchor="middle" { (row) }
    } }
}

fn written(points: impl Iterator<Item = Point>) -> String {
    let say = |[x, y]: Point| format!("{},{}", round(x), round(y));
    points.map(say).collect::<Vec<_>>().join(" ")
}

/// A tenth of a drawing unit is enough.
fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

/// What a coupling's mark is called and how it is drawn, along the train and centred on it: a bar with ends
/// on the one side, a ring between, a block on the other side, a cross. Side and shape tell them apart
/// where colour does not.
const fn mark(coupled: Coupled) -> (&'static str, &'static str) {
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
    let wide = BARS / count_of(is_power.len().max(1));
    let scale = (wide / 12.0).min(1.0);
    let ends = (1_u32..).map(|k| wide * f64::from(k));
    html! {
        figure.bars {
            figcaption { "Slack along the train, head on the left" }
            svg.hill.strip viewBox={ "0 0 " (BARS) " 44" } role="img" aria-label=(said) {
                @for (end, power) in ends.clone().zip(is_power) {
                    rect class=(if *power { "body power" } else { "body" }) x=(round(end - 0.9 * wide)) y="17"
                        width=(round(0.8 * wide)) height="10" {}
                }
                @for (x, own) in ends.zip(coupled) {
                    @let (class, shape) = mark(*own);
                    path class={ "coupling " (class) } d=(shape)
                        transform={ "translate(" (round(x)) " 22) scale(" (round(scale)) ")" } {}
                }
            }
        }
    }
}

/// Width of the bars' drawing, which is stretched to the page's.
const BARS: f64 = 1000.0;

/// Height of the bars' drawing.
const TALL: f64 = 140.0;

/// Bars for the vehicles of a train, the head on the left, up or down from an axis.
pub(crate) struct Bars<'a> {
    pub(crate) name: &'a str,
    pub(crate) class: &'a str,
    pub(crate) values: &'a [f64],
    /// What reaches the top.
    pub(crate) most: f64,
    /// What reaches the bottom, as a part of that.
    pub(crate) below: f64,
    /// Where a dashed line is drawn.
    pub(crate) asked: Option<f64>,
}

impl Bars<'_> {
    pub(crate) fn show(&self) -> Markup {
        let width = BARS / count_of(self.values.len().max(1));
        let half = (TALL - 8.0) / (1.0 + self.below);
        let middle = 4.0 + half;
        let part = |value: f64| (value / self.most).clamp(-self.below, 1.0);
        let mut x = 0.0;
        let mut at = || {
            let own = x;
            x += width;
            own
        };
        html! {
            figure.bars {
                figcaption { (self.name) }
                svg class={ "hill bars " (self.class) } viewBox={ "0 0 " (BARS) " " (TALL) } preserveAspectRatio="none"
                    role="img" aria-label=(self.name) data-most=(self.most) data-middle=(round(middle))
                    data-half=(round(half)) data-below=(self.below) {
                    line.axis x1="0" x2=(BARS) y1=(round(middle)) y2=(round(middle)) {}
                    @if let Some(value) = self.asked {
                        @let y = round(middle - half * part(value));
                        line.asked x1="0" x2=(BARS) y1=(y) y2=(y) {}
                    }
                    @for value in self.values {
                        @let tall = half * part(*value);
                        @let top = if tall > 0.0 { middle - tall } else { middle };
                        rect class=(if *value < 0.0 { "bar under" } else { "bar" }) x=(round(at())) y=(round(top))
                            width=(round((0.85 * width).max(1.0))) height=(round(tall.abs().max(0.5))) {}
                    }
                }
            }
        }
    }
}
