//! The sheet of labels: described on the command line, remembered in a file under the club's own name,
//! or plain paper.

use std::path::PathBuf;

use anyhow::{Context, bail};
use clap::Args;
use gradeworthy_paper::{First, LabelSheet, Layout, Paper, Typing, read_presets, write_preset};

use super::super::files;

// A sheet of labels. No doc comment: it would stand as the command's description.
#[derive(Debug, Args)]
pub(super) struct Described {
    /// A sheet by the name it was kept under
    #[arg(long, value_name = "NAME", conflicts_with_all = ["columns", "keep"])]
    sheet_named: Option<String>,
    /// The file that sheets are kept in
    #[arg(long, value_name = "FILE", default_value = "label-sheets.toml")]
    sheets: PathBuf,
    /// Keep the sheet that is described here under this name
    #[arg(long, value_name = "NAME", requires = "columns")]
    keep: Option<String>,
    /// Labels beside each other
    #[arg(long, requires_all = ["rows", "width", "height", "left", "top"])]
    columns: Option<String>,
    /// Labels under each other
    #[arg(long, requires = "columns")]
    rows: Option<String>,
    /// Width of a label, with its unit: '63.5 mm' or '2 5/8 in'
    #[arg(long, requires = "columns")]
    width: Option<String>,
    /// Height of a label
    #[arg(long, requires = "columns")]
    height: Option<String>,
    /// From the paper's left edge to the first label
    #[arg(long, requires = "columns")]
    left: Option<String>,
    /// From the paper's upper edge to the first label
    #[arg(long, requires = "columns")]
    top: Option<String>,
    /// From label to label across; where they touch, leave it out
    #[arg(long, requires = "columns")]
    pitch_across: Option<String>,
    /// From label to label down; where they touch, leave it out
    #[arg(long, requires = "columns")]
    pitch_down: Option<String>,
    /// The first label to print on, for a sheet of which some are gone: row,column
    #[arg(long, value_parser = first, default_value = "1,1")]
    first: First,
    /// Outline every label, to hold a trial on plain paper against the sheet
    #[arg(long)]
    outlines: bool,
}

/// 'row,column', counted from 1.
pub(super) fn first(text: &str) -> Result<First, String> {
    let parts = text.split_once(',');
    let numbers = parts
        .and_then(|(row, column)| Some((row.trim().parse().ok()?, column.trim().parse().ok()?)));
    match numbers {
        Some((row, column)) if row > 0 && column > 0 => Ok(First { row, column }),
        _ => Err("write row and column from 1, such as 4,2".to_owned()),
    }
}

impl Described {
    pub(super) fn layout(&self, paper: Paper) -> anyhow::Result<Layout> {
        let sheet = match (&self.sheet_named, &self.columns) {
            (Some(name), _) => Some(self.kept(name)?),
            (None, Some(columns)) => Some(self.typed(columns, paper)?),
            (None, None) => None,
        };
        Ok(Layout {
            sheet: sheet.unwrap_or(LabelSheet::plain(paper)),
            first: self.first,
            outlines: self.outlines || sheet.is_none(),
        })
    }

    fn kept(&self, name: &str) -> anyhow::Result<LabelSheet> {
        let text = files::text(&self.sheets)?;
        let all = read_presets(&text).with_context(|| format!("{}", self.sheets.display()))?;
        let own = all.iter().find(|(own, _)| own.eq_ignore_ascii_case(name));
        match own {
            Some((_, typing)) => Ok(typing.sheet()?),
            None => {
                let names: Vec<_> = all.iter().map(|(own, _)| format!("'{own}'")).collect();
                bail!(
                    "{} keeps no sheet named '{name}'; it keeps {}",
                    self.sheets.display(),
                    names.join(", ")
                )
            }
        }
    }

    fn typed(&self, columns: &str, paper: Paper) -> anyhow::Result<LabelSheet> {
        let text = |own: &Option<String>| own.clone().unwrap_or_default();
        let typing = Typing {
            paper: paper.name().to_owned(),
            columns: columns.to_owned(),
            rows: text(&self.rows),
            width: text(&self.width),
            height: text(&self.height),
            left: text(&self.left),
            top: text(&self.top),
            pitch_across: text(&self.pitch_across),
            pitch_down: text(&self.pitch_down),
        };
        let sheet = typing.sheet()?;
        if let Some(name) = &self.keep {
            self.keep_as(name, &typing)?;
        }
        Ok(sheet)
    }

    /// Adds the sheet to the file; a name that is there already is not overwritten.
    fn keep_as(&self, name: &str, typing: &Typing) -> anyhow::Result<()> {
        let shown = self.sheets.display();
        let mut text = String::new();
        if self.sheets.exists() {
            text = files::text(&self.sheets)?;
            let all = read_presets(&text).with_context(|| format!("{shown}"))?;
            if all.iter().any(|(own, _)| own.eq_ignore_ascii_case(name)) {
                bail!(
                    "{shown} keeps a sheet named '{name}' already; choose another name, or change it there"
                );
            }
            text = format!("{}\n\n", text.trim_end());
        }
        text += &write_preset(name, typing);
        std::fs::write(&self.sheets, text).with_context(|| format!("cannot write {shown}"))
    }
}
