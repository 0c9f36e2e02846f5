//! Reading a PDF back with other people's programs.

use std::collections::BTreeMap;

use gradeworthy_paper::Frame;
use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object};

const MM_PER_PT: f64 = 25.4 / 72.0;

/// What was found on a page.
pub(crate) struct PageRead {
    pub(crate) width_mm: f64,
    pub(crate) height_mm: f64,
    /// Closed rectangles that are stroked.
    pub(crate) outlines: Vec<Frame>,
}

type Matrix = [f64; 6];

fn number(object: &Object) -> f64 {
    f64::from(object.as_float().expect("a number"))
}

/// `inner` first. Source: ISO 32000-1 §8.3.4, coordinates as rows.
fn joined(inner: Matrix, outer: Matrix) -> Matrix {
    let [a, b, c, d, e, f] = inner;
    let [p, q, r, s, t, u] = outer;
    [
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    ]
}

/// Every page: its size and its outlined rectangles, by the operators of ISO 32000-1 §8.
pub(crate) fn pages(pdf: &[u8]) -> Vec<PageRead> {
    let document = Document::load_mem(pdf).expect("a PDF");
    let pages = document.get_pages().into_values();
    pages
        .map(|page| {
            let own = document.get_dictionary(page).expect("a page");
            let media = own
                .get(b"MediaBox")
                .and_then(Object::as_array)
                .expect("a size");
            let size: Vec<f64> = media.iter().map(number).collect();
            let (width, height) = (size[2] - size[0], size[3] - size[1]);
            let bytes = document.get_page_content(page);
            PageRead {
                width_mm: width * MM_PER_PT,
                height_mm: height * MM_PER_PT,
                outlines: outlines(&bytes, height),
            }
        })
        .collect()
}

fn outlines(bytes: &[u8], height: f64) -> Vec<Frame> {
    let content = Content::decode(bytes).expect("content");
    let mut matrix: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let mut kept = Vec::new();
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut closed = false;
    let mut found = Vec::new();
    for operation in content.operations {
        let at = |index: usize| number(&operation.operands[index]);
        let mut point = |x: f64, y: f64| {
            let [a, b, c, d, e, f] = matrix;
            points.push((a * x + c * y + e, b * x + d * y + f));
        };
        match operation.operator.as_str() {
            "q" => kept.push(matrix),
            "Q" => matrix = kept.pop().expect("a state"),
            "cm" => matrix = joined([at(0), at(1), at(2), at(3), at(4), at(5)], matrix),
            "m" | "l" => point(at(0), at(1)),
            "re" => {
                point(at(0), at(1));
                point(at(0) + at(2), at(1) + at(3));
                closed = true;
            }
            "h" => closed = true,
            "S" | "s" => {
                if closed {
                    found.extend(frame(&points, height));
                }
                (points, closed) = (Vec::new(), false);
            }
            "f" | "f*" | "B" | "n" => (points, closed) = (Vec::new(), false),
            _ => {}
        }
    }
    found
}

fn frame(points: &[(f64, f64)], height: f64) -> Option<Frame> {
    let xs = points.iter().map(|point| point.0);
    let ys = points.iter().map(|point| height - point.1);
    let (left, right) = (xs.clone().reduce(f64::min)?, xs.reduce(f64::max)?);
    let (top, bottom) = (ys.clone().reduce(f64::min)?, ys.reduce(f64::max)?);
    Some(Frame {
        x_mm: left * MM_PER_PT,
        y_mm: top * MM_PER_PT,
        width_mm: (right - left) * MM_PER_PT,
        height_mm: (bottom - top) * MM_PER_PT,
    })
}

/// All text of a document, its lines put together.
pub(crate) fn text(pdf: &[u8]) -> String {
    let document = Document::load_mem(pdf).expect("a PDF");
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    let text = document.extract_text(&pages).expect("text");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a document says of itself.
pub(crate) struct About {
    pub(crate) title: String,
    pub(crate) language: String,
    pub(crate) tagged: bool,
    pub(crate) structured: bool,
    pub(crate) outlined: bool,
    /// Typefaces by name, and whether each is embedded.
    pub(crate) fonts: BTreeMap<String, bool>,
}

pub(crate) fn about(pdf: &[u8]) -> About {
    let document = Document::load_mem(pdf).expect("a PDF");
    let catalogue = document.catalog().expect("a catalogue");
    let info = document
        .trailer
        .get(b"Info")
        .and_then(Object::as_reference)
        .expect("information");
    let info = document.get_dictionary(info).expect("information");
    let words = |own: &Dictionary, key: &[u8]| {
        let bytes = own.get(key).and_then(Object::as_str).expect("text");
        String::from_utf8_lossy(bytes).into_owned()
    };
    let marked = catalogue
        .get(b"MarkInfo")
        .and_then(Object::as_dict)
        .expect("marks");
    let fonts = document.objects.values().filter_map(|object| {
        let own = object.as_dict().ok()?;
        let name = own.get(b"FontName").and_then(Object::as_name).ok()?;
        let embedded = own.has(b"FontFile2") || own.has(b"FontFile3");
        Some((String::from_utf8_lossy(name).into_owned(), embedded))
    });
    About {
        title: words(info, b"Title"),
        language: words(catalogue, b"Lang"),
        tagged: matches!(marked.get(b"Marked"), Ok(Object::Boolean(true))),
        structured: catalogue.has(b"StructTreeRoot"),
        outlined: catalogue.has(b"Outlines"),
        fonts: fonts.collect(),
    }
}

/// A page as grey dots.
pub(crate) struct Picture {
    width: usize,
    height: usize,
    dots_per_mm: f64,
    grey: Vec<u8>,
}

/// A page as a printer of that fineness would see it.
pub(crate) fn picture(pdf: &[u8], page: usize, dots_per_inch: f32) -> Picture {
    let pdf = Pdf::new(pdf.to_vec()).expect("a PDF");
    let scale = dots_per_inch / 72.0;
    let settings = RenderSettings::default();
    let pixels = PixmapSettings {
        x_scale: scale,
        y_scale: scale,
        bg_color: WHITE,
    };
    let own = &pdf.pages()[page];
    let cache = RenderCache::new();
    let pixmap = render(
        own,
        &cache,
        &InterpreterSettings::default(),
        &settings,
        &pixels,
    );
    let grey = pixmap.data().iter().map(|dot| dot.g);
    Picture {
        width: usize::from(pixmap.width()),
        height: usize::from(pixmap.height()),
        dots_per_mm: f64::from(dots_per_inch) / 25.4,
        grey: grey.collect(),
    }
}

impl Picture {
    /// The text of the code within a frame.
    pub(crate) fn code_in(&self, frame: &Frame) -> Option<String> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "dots on a page"
        )]
        let dots = |mm: f64| (mm * self.dots_per_mm).round() as usize;
        let columns = dots(frame.x_mm)..dots(frame.right()).min(self.width);
        let rows = dots(frame.y_mm)..dots(frame.bottom()).min(self.height);
        let side = |range: &std::ops::Range<usize>| u32::try_from(range.len()).expect("a page");
        let (width, height) = (side(&columns), side(&rows));
        let lines = rows.map(|y| &self.grey[y * self.width..(y + 1) * self.width]);
        let grey = lines
            .flat_map(|line| line[columns.clone()].to_vec())
            .collect();
        let code = Some(rxing::BarcodeFormat::QR_CODE);
        let found = rxing::helpers::detect_in_luma(grey, width, height, code).ok()?;
        Some(found.getText().to_owned())
    }
}
