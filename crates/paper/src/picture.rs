//! Our own drawings on paper: the SVG that [`gradeworthy_reports::drawing`] writes, read back as shapes
//! and text.
//!
//! What those drawings use is understood (groups, lines, rectangles, circles, paths, text; fill, stroke,
//! width, dashes; turned groups) and nothing else: an element or a value that is not known is an error
//! and never left out. A general SVG reader would bring a rasteriser and a font database with it.
//! Colours come from a page's style sheet and have no meaning here: `currentColor` is black, and an
//! area filled with a part of it is that much grey.

use gradeworthy_reports::drawing::Drawing;
use roxmltree::{Document, Node};
use svgtypes::{
    SimplePathSegment, SimplifyingPathParser, Transform, TransformListParser, TransformListToken,
};

use crate::PaperError;
use crate::face::{Face, Fonts, MM_PER_PT};
use crate::item::{BLACK, Item, Pen, Shade, Step};

/// A drawing as things on paper, its upper left corner at the origin.
pub(crate) struct Picture {
    pub(crate) width_mm: f64,
    pub(crate) height_mm: f64,
    items: Vec<Item>,
}

impl Picture {
    /// Reads a drawing at `mm_per_px`.
    pub(crate) fn read(
        fonts: &Fonts,
        drawing: &Drawing,
        mm_per_px: f64,
    ) -> Result<Self, PaperError> {
        let fault = |why: String| PaperError::Picture {
            title: drawing.title.clone(),
            why,
        };
        let document = Document::parse(&drawing.svg).map_err(|error| fault(error.to_string()))?;
        let root = document.root_element();
        let mut reader = Reader {
            fonts,
            mm_per_px,
            items: Vec::new(),
        };
        let side = |name| number(root, name).and_then(|px| px.ok_or_else(|| format!("no {name}")));
        let (width, height) = (
            side("width").map_err(fault)?,
            side("height").map_err(fault)?,
        );
        reader.inside(root, &State::default()).map_err(fault)?;
        Ok(Self {
            width_mm: width * mm_per_px,
            height_mm: height * mm_per_px,
            items: reader.items,
        })
    }

    /// Its things with its upper left corner at a point.
    pub(crate) fn at(self, x_mm: f64, y_mm: f64) -> Vec<Item> {
        self.items
            .into_iter()
            .map(|item| moved(item, x_mm, y_mm))
            .collect()
    }
}

fn moved(item: Item, dx: f64, dy: f64) -> Item {
    match item {
        Item::Text {
            x_mm,
            base_mm,
            size_pt,
            shade,
            line,
        } => Item::Text {
            x_mm: x_mm + dx,
            base_mm: base_mm + dy,
            size_pt,
            shade,
            line,
        },
        Item::Shape {
            steps,
            fill,
            even_odd,
            pen,
        } => Item::Shape {
            steps: steps
                .into_iter()
                .map(|step| step.mapped(|x, y| (x + dx, y + dy)))
                .collect(),
            fill,
            even_odd,
            pen,
        },
        Item::Code {
            x_mm,
            y_mm,
            side_mm,
            code,
        } => Item::Code {
            x_mm: x_mm + dx,
            y_mm: y_mm + dy,
            side_mm,
            code,
        },
    }
}

impl Step {
    fn mapped(self, to: impl Fn(f64, f64) -> (f64, f64)) -> Self {
        match self {
            Self::Move(x, y) => {
                let (x, y) = to(x, y);
                Self::Move(x, y)
            }
            Self::Line(x, y) => {
                let (x, y) = to(x, y);
                Self::Line(x, y)
            }
            Self::Cubic(a, b, c, d, x, y) => {
                let ((a, b), (c, d), (x, y)) = (to(a, b), to(c, d), to(x, y));
                Self::Cubic(a, b, c, d, x, y)
            }
            Self::Close => Self::Close,
        }
    }
}

/// What an element inherits.
#[derive(Clone, Debug)]
struct State {
    filled: bool,
    fill_part: f64,
    stroked: bool,
    stroke_px: f64,
    dashes_px: Vec<f64>,
    even_odd: bool,
    size_px: f64,
    bold: bool,
    turn: Transform,
}

impl Default for State {
    fn default() -> Self {
        Self {
            filled: true,
            fill_part: 1.0,
            stroked: false,
            stroke_px: 1.0,
            dashes_px: Vec::new(),
            even_odd: false,
            size_px: 16.0,
            bold: false,
            turn: Transform::default(),
        }
    }
}

impl State {
    fn inside(&self, node: Node<'_, '_>) -> Result<Self, String> {
        let mut own = self.clone();
        if let Some(fill) = node.attribute("fill") {
            own.filled = painted(fill)?;
        }
        if let Some(stroke) = node.attribute("stroke") {
            own.stroked = painted(stroke)?;
        }
        if let Some(part) = number(node, "fill-opacity")? {
            own.fill_part = part;
        }
        if let Some(width) = number(node, "stroke-width")? {
            own.stroke_px = width;
        }
        if let Some(size) = number(node, "font-size")? {
            own.size_px = size;
        }
        if let Some(weight) = node.attribute("font-weight") {
            own.bold = weight == "bold";
        }
        if let Some(rule) = node.attribute("fill-rule") {
            own.even_odd = rule == "evenodd";
        }
        match node.attribute("stroke-dasharray") {
            Some("none") => own.dashes_px = Vec::new(),
            Some(list) => own.dashes_px = numbers(list)?,
            None => {}
        }
        if let Some(text) = node.attribute("transform") {
            own.turn = joined(own.turn, transform(text)?);
        }
        Ok(own)
    }
}

fn painted(value: &str) -> Result<bool, String> {
    match value {
        "none" => Ok(false),
        "currentColor" => Ok(true),
        other => Err(format!("'{other}' is no paint known here")),
    }
}

fn number(node: Node<'_, '_>, name: &str) -> Result<Option<f64>, String> {
    let Some(text) = node.attribute(name) else {
        return Ok(None);
    };
    let number = text
        .trim()
        .parse()
        .map_err(|_| format!("{name}: '{text}' is no number"))?;
    Ok(Some(number))
}

fn needed(node: Node<'_, '_>, name: &str) -> Result<f64, String> {
    let element = node.tag_name().name();
    number(node, name)?.ok_or_else(|| format!("{element} without {name}"))
}

fn numbers(list: &str) -> Result<Vec<f64>, String> {
    let parts = list.split([' ', ',']).filter(|part| !part.is_empty());
    let parse = |part: &str| part.parse().map_err(|_| format!("'{part}' is no number"));
    parts.map(parse).collect()
}

/// Turnings about a point and shifts; the drawings use no others.
fn transform(text: &str) -> Result<Transform, String> {
    let mut all = Transform::default();
    for token in TransformListParser::from(text) {
        let own = match token.map_err(|error| error.to_string())? {
            TransformListToken::Rotate { angle } => {
                let (sin, cos) = angle.to_radians().sin_cos();
                Transform::new(cos, sin, -sin, cos, 0.0, 0.0)
            }
            TransformListToken::Translate { tx, ty } => Transform::new(1.0, 0.0, 0.0, 1.0, tx, ty),
            _ => return Err(format!("'{text}' is neither a turning nor a shift")),
        };
        all = joined(all, own);
    }
    Ok(all)
}

/// `inner` first, then `outer`.
fn joined(outer: Transform, inner: Transform) -> Transform {
    let (a, b) = (outer, inner);
    Transform::new(
        a.a * b.a + a.c * b.b,
        a.b * b.a + a.d * b.b,
        a.a * b.c + a.c * b.d,
        a.b * b.c + a.d * b.d,
        a.a * b.e + a.c * b.f + a.e,
        a.b * b.e + a.d * b.f + a.f,
    )
}

struct Reader<'a> {
    fonts: &'a Fonts,
    mm_per_px: f64,
    items: Vec<Item>,
}

impl Reader<'_> {
    fn inside(&mut self, node: Node<'_, '_>, state: &State) -> Result<(), String> {
        let state = state.inside(node)?;
        for child in node.children().filter(Node::is_element) {
            self.element(child, &state)?;
        }
        Ok(())
    }

    fn element(&mut self, node: Node<'_, '_>, state: &State) -> Result<(), String> {
        let own = state.inside(node)?;
        match node.tag_name().name() {
            "title" | "desc" => {}
            "g" => self.inside(node, state)?,
            "line" => {
                let at = |name| number(node, name).map(Option::unwrap_or_default);
                let steps = vec![
                    Step::Move(at("x1")?, at("y1")?),
                    Step::Line(at("x2")?, at("y2")?),
                ];
                self.shape(
                    steps,
                    &State {
                        filled: false,
                        ..own
                    },
                );
            }
            "rect" => self.shape(rectangle(node)?, &own),
            "circle" => self.shape(circle(node)?, &own),
            "path" => {
                let outline = node.attribute("d").ok_or("path without d")?;
                self.shape(path(outline)?, &own);
            }
            "text" => self.text(node, &own)?,
            other => return Err(format!("'{other}' is no element known here")),
        }
        Ok(())
    }

    fn shape(&mut self, steps: Vec<Step>, own: &State) {
        let scale = self.mm_per_px;
        let to = |x, y| {
            let (x, y) = turned(&own.turn, x, y);
            (x * scale, y * scale)
        };
        let fill = own.filled.then(|| grey(own.fill_part));
        let pen = own.stroked.then(|| Pen {
            shade: BLACK,
            width_mm: own.stroke_px * scale,
            dashes_mm: own.dashes_px.iter().map(|dash| dash * scale).collect(),
        });
        if fill.is_some() || pen.is_some() {
            self.items.push(Item::Shape {
                steps: steps.into_iter().map(|step| step.mapped(to)).collect(),
                fill,
                even_odd: own.even_odd,
                pen,
            });
        }
    }

    fn text(&mut self, node: Node<'_, '_>, own: &State) -> Result<(), String> {
        let upright = own.turn.b.abs() < 1e-12 && own.turn.c.abs() < 1e-12;
        if !upright {
            return Err("turned text".to_owned());
        }
        let words = node.text().unwrap_or_default();
        let face = if own.bold { Face::Bold } else { Face::Regular };
        let line = self.fonts.shape(face, words);
        let size_pt = own.size_px * self.mm_per_px / MM_PER_PT;
        let width = line.width_mm(size_pt);
        let back = match node.attribute("text-anchor") {
            Some("middle") => width / 2.0,
            Some("end") => width,
            _ => 0.0,
        };
        let (x, y) = turned(&own.turn, needed(node, "x")?, needed(node, "y")?);
        self.items.push(Item::Text {
            x_mm: x * self.mm_per_px - back,
            base_mm: y * self.mm_per_px,
            size_pt,
            shade: BLACK,
            line,
        });
        Ok(())
    }
}

fn turned(turn: &Transform, x: f64, y: f64) -> (f64, f64) {
    (
        turn.a * x + turn.c * y + turn.e,
        turn.b * x + turn.d * y + turn.f,
    )
}

/// So much black as a shade of grey.
fn grey(part: f64) -> Shade {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and 255"
    )]
    let shade = (255.0 * (1.0 - part.clamp(0.0, 1.0))).round() as Shade;
    shade
}

fn rectangle(node: Node<'_, '_>) -> Result<Vec<Step>, String> {
    let at = |name| number(node, name).map(Option::unwrap_or_default);
    let (x, y) = (at("x")?, at("y")?);
    let (right, bottom) = (x + needed(node, "width")?, y + needed(node, "height")?);
    Ok(vec![
        Step::Move(x, y),
        Step::Line(right, y),
        Step::Line(right, bottom),
        Step::Line(x, bottom),
        Step::Close,
    ])
}

/// Four curves; κ = 4(√2 − 1)/3 keeps each within 0.03 % of the circle.
fn circle(node: Node<'_, '_>) -> Result<Vec<Step>, String> {
    let (x, y, r) = (needed(node, "cx")?, needed(node, "cy")?, needed(node, "r")?);
    let k = r * 4.0 * (std::f64::consts::SQRT_2 - 1.0) / 3.0;
    Ok(vec![
        Step::Move(x + r, y),
        Step::Cubic(x + r, y + k, x + k, y + r, x, y + r),
        Step::Cubic(x - k, y + r, x - r, y + k, x - r, y),
        Step::Cubic(x - r, y - k, x - k, y - r, x, y - r),
        Step::Cubic(x + k, y - r, x + r, y - k, x + r, y),
        Step::Close,
    ])
}

fn path(outline: &str) -> Result<Vec<Step>, String> {
    let mut steps = Vec::new();
    let mut at = (0.0, 0.0);
    for segment in SimplifyingPathParser::from(outline) {
        let segment = segment.map_err(|error| error.to_string())?;
        match segment {
            SimplePathSegment::MoveTo { x, y } => {
                at = (x, y);
                steps.push(Step::Move(x, y));
            }
            SimplePathSegment::LineTo { x, y } => {
                at = (x, y);
                steps.push(Step::Line(x, y));
            }
            SimplePathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                at = (x, y);
                steps.push(Step::Cubic(x1, y1, x2, y2, x, y));
            }
            SimplePathSegment::Quadratic { x1, y1, x, y } => {
                // A quadratic curve as the cubic it equals.
                let third = |from: f64, to: f64| from + (to - from) * 2.0 / 3.0;
                steps.push(Step::Cubic(
                    third(at.0, x1),
                    third(at.1, y1),
                    third(x, x1),
                    third(y, y1),
                    x,
                    y,
                ));
                at = (x, y);
            }
            SimplePathSegment::ClosePath => steps.push(Step::Close),
        }
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawing(content: &str) -> Drawing {
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100\" height=\"50\" fill=\"none\" \
             stroke=\"currentColor\" stroke-width=\"2\">{content}</svg>"
        );
        Drawing {
            svg,
            title: "a trial".to_owned(),
            description: String::new(),
        }
    }

    fn read(content: &str) -> Result<Picture, PaperError> {
        Picture::read(&Fonts::load()?, &drawing(content), 0.25)
    }

    #[test]
    fn shapes_come_out_at_their_size_and_place() {
        let picture = read("<rect x=\"10\" y=\"20\" width=\"40\" height=\"8\"/>").expect("read");
        assert!((picture.width_mm - 25.0).abs() < 1e-9);
        let items = picture.at(100.0, 200.0);
        let bounds = items[0].bounds();
        // 10 px at 0.25 mm from the corner, less half a stroke of 2 px.
        assert!((bounds.x_mm - (100.0 + 2.5 - 0.25)).abs() < 1e-9);
        assert!((bounds.height_mm - (2.0 + 0.5)).abs() < 1e-9);
    }

    #[test]
    fn a_turned_group_turns_what_is_in_it() {
        let picture = read(
            "<g transform=\"rotate(90 10 10)\"><line x1=\"10\" y1=\"10\" x2=\"30\" y2=\"10\"/></g>",
        );
        let items = picture.expect("read").at(0.0, 0.0);
        let Item::Shape { steps, .. } = &items[0] else {
            panic!("a shape")
        };
        let Step::Line(x, y) = steps[1] else {
            panic!("a line")
        };
        assert!((x - 2.5).abs() < 1e-9 && (y - 7.5).abs() < 1e-9, "{x} {y}");
    }

    #[test]
    fn what_is_not_understood_is_said_and_not_left_out() {
        for (content, said) in [
            ("<ellipse/>", "'ellipse' is no element"),
            ("<path d=\"M0 0 L1 1\" fill=\"red\"/>", "'red' is no paint"),
            (
                "<g transform=\"scale(2)\"/>",
                "neither a turning nor a shift",
            ),
        ] {
            let error = read(content).err().expect("refused");
            assert!(error.to_string().contains(said), "{error}");
        }
    }
}
