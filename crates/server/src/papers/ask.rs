//! What is asked of a print: paper, sheet of labels, where to begin.

use gradeworthy_paper::{First, LabelSheet, Layout, Paper, PaperError, Typing};
use gradeworthy_store::{KeptLabelSheet, Snapshot};
use serde::Deserialize;
use utoipa::IntoParams;

use crate::refusal::Refusal;

/// What is asked of a print. Everything may be left out.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
pub(crate) struct Ask {
    /// 'A4' or 'Letter', where the sheet does not say.
    pub(crate) paper: Option<String>,
    /// A sheet of labels by its name.
    pub(crate) sheet: Option<String>,
    /// Row of the first label, from 1.
    pub(crate) row: Option<String>,
    /// Column of the first label, from 1.
    pub(crate) column: Option<String>,
    /// 'yes' to outline every label.
    pub(crate) outlines: Option<String>,
    /// 'yes' to leave the verdict off labels.
    pub(crate) no_verdict: Option<String>,
    /// A part of the marks of the cars that are wanted.
    pub(crate) mark: Option<String>,
    /// The owner whose cars are wanted.
    pub(crate) owner: Option<String>,
    /// Where the cars that are wanted stand.
    pub(crate) state: Option<String>,
    /// The month of a report: '2026-11'.
    pub(crate) month: Option<String>,
    /// 'yes' to print whatever there is to say about it.
    pub(crate) anyway: Option<String>,
}

pub(crate) fn filled(text: Option<&String>) -> Option<&str> {
    text.map(|text| text.trim()).filter(|text| !text.is_empty())
}

impl Ask {
    /// The paper that was named, or A4.
    pub(crate) fn paper(&self) -> Result<Paper, Refusal> {
        match filled(self.paper.as_ref()) {
            None => Ok(Paper::A4),
            Some(text) => Paper::from_name(text).ok_or_else(|| Refusal::NotAChoice {
                found: text.to_owned(),
                expected: "paper: write A4 or Letter",
            }),
        }
    }

    /// The sheet of labels, or plain paper; and where to begin on it.
    pub(crate) fn layout(
        &self,
        snapshot: &Snapshot<'_>,
        plain: fn(Paper) -> LabelSheet,
    ) -> Result<Layout, Refusal> {
        let own = match filled(self.sheet.as_ref()) {
            None => None,
            Some(name) => Some(kept(snapshot, name)?),
        };
        let first = First {
            row: number(self.row.as_ref(), "row of a label")?,
            column: number(self.column.as_ref(), "column of a label")?,
        };
        Ok(Layout {
            sheet: match own {
                Some(sheet) => sheet,
                None => plain(self.paper()?),
            },
            first,
            outlines: own.is_none() || filled(self.outlines.as_ref()).is_some(),
        })
    }
}

fn kept(snapshot: &Snapshot<'_>, name: &str) -> Result<LabelSheet, Refusal> {
    let sheets = snapshot.label_sheets()?;
    let own = sheets
        .iter()
        .find(|sheet| sheet.name.eq_ignore_ascii_case(name));
    let own = own.ok_or_else(|| Refusal::NotAChoice {
        found: name.to_owned(),
        expected: "sheet of labels that the club has named",
    })?;
    Ok(typing(own).sheet().map_err(PaperError::from)?)
}

fn number(text: Option<&String>, expected: &'static str) -> Result<u16, Refusal> {
    match filled(text) {
        None => Ok(1),
        Some(text) => text.parse().map_err(|_| Refusal::NotAChoice {
            found: text.to_owned(),
            expected,
        }),
    }
}

/// A kept sheet as it was typed.
pub(crate) fn typing(kept: &KeptLabelSheet) -> Typing {
    Typing {
        paper: kept.paper.to_string(),
        columns: kept.columns.to_string(),
        rows: kept.rows.to_string(),
        width: kept.width.to_string(),
        height: kept.height.to_string(),
        left: kept.left.to_string(),
        top: kept.top.to_string(),
        pitch_across: kept.pitch_across.to_string(),
        pitch_down: kept.pitch_down.to_string(),
    }
}
