//! The colours of the style sheet against the grounds they stand on.

use gradeworthy_reports::drawing::STYLE;

/// Relative luminance and contrast of two colours: [WCAG22], definitions of both terms.
fn contrast(a: &str, b: &str) -> f64 {
    let luminance = |colour: &str| {
        let channel = |at: usize| {
            let value = u8::from_str_radix(&colour[at..at + 2], 16).expect("hexadecimal");
            let value = f64::from(value) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn verdict_colours_stand_out_in_light_and_dark() {
    // [WCAG22 §1.4.11]: 3 to 1 for graphics that are needed to understand.
    let (light, dark) = STYLE.split_once("@media").expect("a dark half");
    let colour = |half: &str, name: &str| {
        let at = half.find(&format!("--gw-{name}: ")).expect("the property") + name.len() + 7;
        half[at..at + 7].to_owned()
    };
    for (half, paper) in [(light, "#ffffff"), (dark, "#16181b")] {
        let grounds = ["body", "band", "out"].map(|name| colour(half, name));
        for verdict in ["fit", "watch", "bad", "open"] {
            let own = colour(half, verdict);
            for ground in grounds.iter().map(String::as_str).chain([paper]) {
                let ratio = contrast(&own, ground);
                assert!(ratio >= 3.0, "{verdict} {own} on {ground}: {ratio:.2}");
            }
        }
    }
}
