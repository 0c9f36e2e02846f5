//! A row of groups over a row of parts.
//!
//! In a workbook the groups are merged cells and that settles it.
//! In a text file a group stands over its first part and blanks follow; because a plain heading row
//! with a gap looks alike, the row below must then be all texts, have parts under those blanks, and
//! either leave other columns blank or repeat a part.

use super::look::RowLook;
use super::{Heading, Reason, numbers_below, spaced};
use crate::Grid;

/// Two heading rows, by index; `parts` is the one below `groups`.
pub(super) struct Group {
    pub(super) groups: usize,
    pub(super) parts: usize,
    merged: bool,
}

/// The pair of rows that the heading row `found` belongs to, as the upper or the lower one.
pub(super) fn find(grid: &Grid, looks: &[RowLook], found: usize) -> Option<Group> {
    let above = found.checked_sub(1);
    let pairs = [Some(found), above].into_iter().flatten();
    pairs.into_iter().find_map(|groups| {
        let merged = is_merged_over(grid, looks, groups);
        (merged || is_spread_over(grid, looks, groups)).then_some(Group {
            groups,
            parts: groups + 1,
            merged,
        })
    })
}

impl Group {
    /// The headings of the two rows, joined column by column.
    pub(super) fn join(&self, grid: &Grid) -> Vec<Heading> {
        let text = |row: usize, column| grid.row(row).map_or("", |row| row.text(column).trim());
        let len = |row: usize| grid.row(row).map_or(0, |row| row.len());
        let columns = len(self.groups).max(len(self.parts));
        let mut spread = "";
        let mut headings = Vec::with_capacity(columns);
        for column in 0..columns {
            let (own, part) = (text(self.groups, column), text(self.parts, column));
            let group = if self.merged {
                merge_start(grid, self.groups, column).map_or(own, |start| text(self.groups, start))
            } else {
                // A group reaches over the parts after it, up to the next text or the first gap.
                spread = match (own, part) {
                    ("", "") => "",
                    ("", _) => spread,
                    (own, _) => own,
                };
                spread
            };
            headings.push(Heading {
                column,
                text: spaced(&[group, part]),
            });
        }
        headings
    }

    pub(super) fn reason(&self, grid: &Grid) -> Reason {
        Reason::GroupsJoined {
            groups: grid.place(self.groups, 0).row,
            parts: grid.place(self.parts, 0).row,
            merged: self.merged,
        }
    }
}

/// The first column of the merged cell over this one, where it spans columns.
fn merge_start(grid: &Grid, row: usize, column: usize) -> Option<usize> {
    let merge = grid.merges().iter().find(|merge| {
        merge.rows.contains(&row)
            && merge.columns.contains(&column)
            && merge.columns.start() < merge.columns.end()
    })?;
    Some(*merge.columns.start())
}

/// A merged cell of one row over at least two texts of the row below, which has no numbers.
fn is_merged_over(grid: &Grid, looks: &[RowLook], groups: usize) -> bool {
    let Some(below) = looks.get(groups + 1) else {
        return false;
    };
    let has_parts = grid.merges().iter().any(|merge| {
        let is_of_one_row = merge.rows == (groups..=groups);
        let parts = merge
            .columns
            .clone()
            .filter(|&column| below.is_text(column));
        is_of_one_row && parts.count() > 1
    });
    // A lone merged cell from the first column is a title: no group stands over the car's column.
    let is_title = looks[groups].filled() == 1 && looks[groups].is_text(0);
    has_parts && !is_title && below.texts() == below.filled()
}

/// Texts with blanks after them, and parts under those blanks.
fn is_spread_over(grid: &Grid, looks: &[RowLook], groups: usize) -> bool {
    let Some(below) = looks.get(groups + 1) else {
        return false;
    };
    let above = &looks[groups];
    let all_texts = above.texts() == above.filled() && below.texts() == below.filled();
    let has_group = (1..below.len()).any(|column| {
        above.is_blank(column)
            && below.is_text(column)
            && above.is_text(column - 1)
            && below.is_text(column - 1)
    });
    let leaves_blank =
        (0..above.len()).any(|column| above.is_text(column) && below.is_blank(column));
    // A lone text over the first column is a title.
    let is_title = above.filled() == 1 && above.is_text(0) && below.is_text(0);
    all_texts
        && has_group
        && !is_title
        && (leaves_blank || repeats_a_text(grid, groups + 1))
        && numbers_below(looks, groups + 1) > 0
}

fn repeats_a_text(grid: &Grid, row: usize) -> bool {
    let cells = grid.row(row).map(|row| row.cells()).into_iter().flatten();
    let mut texts: Vec<&str> = cells
        .map(|cell| cell.text.trim())
        .filter(|text| !text.is_empty())
        .collect();
    texts.sort_unstable();
    texts.windows(2).any(|pair| pair[0] == pair[1])
}
