//! What a page relies on, whatever the picture: XML, names, numbers on the sheet, words that fit.

use gradeworthy_reports::drawing::Drawing;
use roxmltree::Document;

use super::number;

/// What a page relies on, whatever the picture.
pub(super) fn sound(drawing: &Drawing) -> Result<(), String> {
    let svg = &drawing.svg;
    let document = Document::parse(svg).map_err(|error| format!("{error}: {svg}"))?;
    let root = document.root_element();
    let children: Vec<_> = root
        .children()
        .map(|node| node.tag_name().name())
        .take(2)
        .collect();
    if root.attribute("role") != Some("img") || children != ["title", "desc"] {
        return Err(format!("no role, title or description: {svg}"));
    }
    for node in document.descendants() {
        let name = node.tag_name().name();
        if matches!(
            name,
            "script" | "style" | "image" | "use" | "foreignObject" | "a"
        ) {
            return Err(format!("a {name} element"));
        }
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value());
            if name.starts_with("on")
                || matches!(name, "id" | "href" | "style")
                || value.contains("url(")
            {
                return Err(format!("{name}={value}"));
            }
            if name == "font-size" && value != "16" {
                return Err(format!("text of {value}"));
            }
            numbers_are_sane(name, value)?;
        }
    }
    Ok(())
}

/// Coordinates are finite and on the sheet, give or take a sheet.
fn numbers_are_sane(name: &str, value: &str) -> Result<(), String> {
    let of_place = matches!(
        name,
        "x" | "y"
            | "x1"
            | "x2"
            | "y1"
            | "y2"
            | "cx"
            | "cy"
            | "r"
            | "width"
            | "height"
            | "d"
            | "viewBox"
    ) || name.starts_with("data-x")
        || name.starts_with("data-y");
    if !of_place {
        return Ok(());
    }
    let words = value.split(|c: char| c.is_whitespace() || "MLHVACZ".contains(c));
    for word in words.filter(|word| !word.is_empty()) {
        match word.parse::<f64>() {
            Ok(number) if number.is_finite() && number.abs() < 2_000.0 => {}
            _ => return Err(format!("{word} in {name}={value}")),
        }
    }
    Ok(())
}

/// No text runs off the sheet, and none into another on its line.
///
/// ASSUMED: a character of a plain sans serif at 16 px is 9.1 px wide on the average and one in bold
/// 10.3; a narrower figure would let words run out of the picture in a wide font.
pub(super) fn words_fit(drawing: &Drawing) -> Result<(), String> {
    let document = Document::parse(&drawing.svg).map_err(|error| error.to_string())?;
    let width = number(document.root_element(), "width");
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    for node in document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
    {
        let text = node.text().unwrap_or_default();
        let each = if node.attribute("font-weight") == Some("bold") {
            10.3
        } else {
            9.1
        };
        let long = text.chars().map(|_| each).sum::<f64>();
        let x = number(node, "x");
        let (left, right) = match node.attribute("text-anchor") {
            Some("middle") => (x - long / 2.0, x + long / 2.0),
            Some("end") => (x - long, x),
            _ => (x, x + long),
        };
        if left < -1.0 || right > width + 1.0 {
            return Err(format!(
                "'{text}' runs from {left:.0} to {right:.0} of {width}"
            ));
        }
        let y = number(node, "y");
        let meets = |other: &&(f64, f64, f64)| {
            (other.0 - y).abs() < 10.0 && left < other.2 && other.1 < right
        };
        if let Some(other) = taken.iter().find(meets) {
            return Err(format!(
                "'{text}' from {left:.0} to {right:.0} meets what ends at {:.0}",
                other.2
            ));
        }
        taken.push((y, left, right));
    }
    Ok(())
}
