//! Draws the story cars of the invented demo club, and margins and a spread of its fleet, as SVG
//! files with the style sheet beside them: `cargo run --example draw_stories -- FOLDER`.

use std::error::Error;
use std::path::Path;

use gradeworthy_demo::{SEED, SHOP, STORIES};
use gradeworthy_reports::drawing::{self, STYLE, Spread};
use gradeworthy_reports::words::System;
use gradeworthy_workbench::checks::{Aspect, inspect};
use gradeworthy_workbench::record::{End, Place};
use gradeworthy_workbench::rules::{Limited, RuleBook};
use gradeworthy_workbench::shop::Shop;
use jiff::civil::date;

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("say where: draw_stories FOLDER")?;
    let folder = Path::new(&folder);
    let book = RuleBook::read(&gradeworthy_demo::rule_book())?;
    let shop = Shop::read(SHOP)?;
    let today = date(2026, 11, 25);
    std::fs::write(folder.join("style.css"), STYLE)?;
    for story in STORIES {
        let record = story.record(SEED);
        let inspection = inspect(&record, &book, &shop, today);
        let name = story.mark.to_lowercase().replace(' ', "-");
        for (view, drawing) in [
            ("side", drawing::side(&record, &inspection, System::Both)),
            ("end", drawing::end(&record, &inspection, System::Both)),
            ("plan", drawing::plan(&record, &inspection, System::Both)),
        ] {
            std::fs::write(folder.join(format!("{name}-{view}.svg")), drawing.svg)?;
        }
        for line in &inspection.lines {
            let what = format!("{} {}", line.aspect, line.place).replace([' ', ','], "-");
            let file = format!("{name}-margin-{what}.svg")
                .replace("--", "-")
                .to_lowercase();
            let drawing = drawing::margin(line, System::Both);
            std::fs::write(folder.join(file), drawing.svg)?;
        }
    }
    let heights: Vec<_> = gradeworthy_demo::fleet(SEED, 400)
        .iter()
        .map(|record| inspect(record, &book, &shop, today))
        .filter_map(|found| {
            let aspect = Aspect::Limited(Limited::CouplerHeight);
            found.line(aspect, Place::End(End::A)).cloned()
        })
        .collect();
    let values: Vec<_> = heights.iter().filter_map(|line| line.reading).collect();
    let first = heights.first().ok_or("the demo has couplers")?;
    let spread = Spread {
        what: "coupler height",
        values: &values,
        own: values.get(6).copied(),
        lower: first.lower,
        upper: first.upper,
    };
    std::fs::write(
        folder.join("spread.svg"),
        drawing::spread(&spread, System::Both).svg,
    )?;
    Ok(())
}
