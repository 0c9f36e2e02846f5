//! Writes the six papers of the invented club into a folder: `cargo run --example all_six -- <folder>`.

use std::path::Path;

use gradeworthy_paper::{
    First, LabelSheet, Layout, Paper, Printed, labels, monthly, record_sheets, slips, statement,
    tags,
};
use gradeworthy_reports::words::System;

#[path = "../tests/printed/content.rs"]
mod content;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder")?;
    let cars = content::cars(80);
    let own: Vec<_> = cars
        .iter()
        .enumerate()
        .map(|(n, car)| content::label(n, car))
        .collect();
    let hung: Vec<_> = cars
        .iter()
        .enumerate()
        .map(|(n, car)| content::tag(n, car))
        .collect();
    let layout = |sheet| Layout {
        sheet,
        first: First::default(),
        outlines: true,
    };
    let quarters = layout(LabelSheet::quarters(Paper::A4));
    let plain = layout(LabelSheet::plain(Paper::A4));
    let papers: [(&str, Printed); 6] = [
        ("label", labels(&own, &plain)?),
        ("tag", tags(&hung[..8], &quarters)?),
        ("slip", slips(&[content::slip()], &quarters)?),
        (
            "record",
            record_sheets(&[content::sheet(&cars[0])], Paper::A4, System::Both)?,
        ),
        (
            "statement",
            statement(&content::statement(&cars[..14]), Paper::Letter)?,
        ),
        (
            "monthly",
            monthly(&content::month(&cars), Paper::A4, System::Both)?,
        ),
    ];
    for (name, printed) in papers {
        std::fs::write(Path::new(&folder).join(format!("{name}.pdf")), &printed.pdf)?;
    }
    Ok(())
}
