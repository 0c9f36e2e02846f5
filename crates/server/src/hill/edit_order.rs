//! Changing the order of a train: typed positions, vehicles added and taken out, blocks kept together.

use gradeworthy_train::consist::{Member, TrainOrder, read_train, read_train_csv, tidy_name};

/// A vehicle in a form, with what was typed beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) name: String,
    pub(crate) reversed: bool,
    /// The word of its block; empty where it stands alone.
    pub(crate) block: String,
    /// The position typed, from 1; its own where nothing was typed.
    pub(crate) position: usize,
}

/// The rows of an order.
pub(crate) fn rows(order: &TrainOrder) -> Vec<Row> {
    let block = |name: &str| {
        let mut blocks = (1_usize..).zip(&order.blocks);
        let found = blocks.find(|(_, names)| names.iter().any(|own| own == name));
        found.map_or_else(String::new, |(number, _)| number.to_string())
    };
    (1..)
        .zip(&order.members)
        .map(|(position, own)| Row {
            name: own.name.clone(),
            reversed: own.reversed,
            block: block(&own.name),
            position,
        })
        .collect()
}

/// The rows in the order of their positions: what was moved stands at the position typed for it, what
/// was not moved keeps its order around it; a block stands where its first vehicle does.
pub(crate) fn ordered(rows: &[Row]) -> Vec<Row> {
    let mut stay: Vec<Row> = Vec::new();
    let mut moved: Vec<Row> = Vec::new();
    for (place, row) in (1..).zip(rows) {
        if row.position == place {
            stay.push(row.clone())
        } else {
            moved.push(row.clone())
        }
    }
    moved.sort_by_key(|row| row.position);
    for row in moved {
        let at = row.position.saturating_sub(1).min(stay.len());
        stay.insert(at, row);
    }
    together(stay)
}

/// Every block gathered at the place of its first vehicle, where it is not together already. When
/// one vehicle of a block was moved, the block goes with it.
fn together(rows: Vec<Row>) -> Vec<Row> {
    let mut done: Vec<Row> = Vec::with_capacity(rows.len());
    for row in &rows {
        if done.iter().any(|own| own.name == row.name) {
            continue;
        }
        done.push(row.clone());
        if !row.block.is_empty() {
            let rest = rows
                .iter()
                .filter(|own| own.block == row.block && own.name != row.name);
            done.extend(rest.cloned());
        }
    }
    for (position, row) in (1..).zip(&mut done) {
        row.position = position;
    }
    done
}

/// The order that rows describe; the rest of it from `like`.
pub(crate) fn order(rows: &[Row], like: TrainOrder) -> TrainOrder {
    let mut blocks: Vec<(String, Vec<String>)> = Vec::new();
    for row in rows.iter().filter(|row| !row.block.is_empty()) {
        match blocks.iter_mut().find(|(word, _)| *word == row.block) {
            Some((_, names)) => names.push(row.name.clone()),
            None => blocks.push((row.block.clone(), vec![row.name.clone()])),
        }
    }
    let member = |row: &Row| Member {
        name: row.name.clone(),
        reversed: row.reversed,
        line: 0,
    };
    TrainOrder {
        members: rows.iter().map(member).collect(),
        blocks: blocks.into_iter().map(|(_, names)| names).collect(),
        ..like
    }
}

/// A consist list as it was pasted: a train file, a table with a heading row, or a name a line.
///
/// # Errors
/// Everything wrong with it, each with its line as pasted.
pub(crate) fn import(text: &str) -> Result<TrainOrder, Vec<String>> {
    let first = text
        .lines()
        .map(str::trim)
        .find(|line| !line.is_empty() && !line.starts_with('#'));
    let first = first.unwrap_or_default();
    let has_heading = first
        .split([',', ';', '\t'])
        .any(|own| own.trim().trim_matches('"').eq_ignore_ascii_case("vehicle"));
    if first.starts_with('[') {
        return read_train(text)
            .map_err(|errors| errors.0.iter().map(ToString::to_string).collect());
    }
    if has_heading {
        return read_train_csv(text)
            .map_err(|errors| errors.0.iter().map(ToString::to_string).collect());
    }
    plain(text)
}

/// A name a line; numbers with a full stop before them are the places of a printed list.
fn plain(text: &str) -> Result<TrainOrder, Vec<String>> {
    let mut members: Vec<Member> = Vec::new();
    let mut faults = Vec::new();
    for (line, own) in (1..).zip(text.lines()) {
        let own = own.trim();
        let own = match own.split_once(". ") {
            Some((number, rest))
                if !number.is_empty() && number.bytes().all(|own| own.is_ascii_digit()) =>
            {
                rest
            }
            _ => own,
        };
        let name = tidy_name(own);
        if name.is_empty() {
            continue;
        }
        match members.iter().find(|own| own.name == name) {
            Some(first) => faults.push(format!(
                "line {line}: '{name}' stands on line {} already; a vehicle is in one place of a train",
                first.line
            )),
            None => members.push(Member { name, reversed: false, line }),
        }
    }
    if members.is_empty() && faults.is_empty() {
        faults.push("nothing was pasted; give a name a line, head first".to_owned());
    }
    if faults.is_empty() {
        Ok(empty(members))
    } else {
        Err(faults)
    }
}

/// An order of which nothing else is said.
pub(crate) fn empty(members: Vec<Member>) -> TrainOrder {
    TrainOrder {
        name: None,
        members,
        blocks: Vec::new(),
        condition: None,
        slack: None,
        curve_drag: None,
        jerk_allowance: None,
        least_margin: None,
        note: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn five() -> Vec<Row> {
        let row = |(name, position): (&str, usize)| Row {
            name: name.to_owned(),
            reversed: false,
            block: String::new(),
            position,
        };
        ["A", "B", "C", "D", "E"]
            .into_iter()
            .zip(1..)
            .map(row)
            .collect()
    }

    fn names(rows: &[Row]) -> String {
        rows.iter().map(|own| own.name.as_str()).collect()
    }

    #[test]
    fn a_typed_position_puts_a_car_there_and_the_others_make_room() {
        let check = |changes: &[(usize, usize)], expected: &str| {
            let mut rows = five();
            for (at, position) in changes {
                rows[*at].position = *position;
            }
            assert_eq!(names(&ordered(&rows)), expected, "{changes:?}");
        };
        check(&[], "ABCDE");
        check(&[(4, 1)], "EABCD");
        check(&[(0, 5)], "BCDEA");
        check(&[(1, 4)], "ACDBE");
        check(&[(0, 99)], "BCDEA");
        check(&[(0, 2), (1, 1)], "BACDE");
        check(&[(4, 0)], "EABCD");
    }

    #[test]
    fn a_block_stays_together_whichever_of_its_cars_is_moved_first() {
        let mut rows = five();
        rows[1].block = "x".to_owned();
        rows[2].block = "x".to_owned();
        rows[1].position = 5;
        assert_eq!(names(&ordered(&rows)), "ACBDE");
        rows[1].position = 2;
        rows[2].position = 1;
        assert_eq!(names(&ordered(&rows)), "CBADE");
        let order = order(&ordered(&rows), empty(Vec::new()));
        assert_eq!(order.blocks, [["C", "B"]]);
        assert_eq!(super::rows(&order)[1].block, "1");
    }

    #[test]
    fn a_list_is_read_however_it_is_pasted_and_every_problem_is_told() {
        for text in [
            "qvl 1\n\n MP  601 \n",
            "1. QVL 1\n2. MP 601\n",
            "vehicle\nqvl 1\nmp 601\n",
            "[train]\nconsist = ['QVL 1', 'MP 601']",
        ] {
            let order = import(text).expect(text);
            let names: Vec<_> = order.members.iter().map(|own| own.name.as_str()).collect();
            assert_eq!(names, ["QVL 1", "MP 601"], "{text}");
        }
        let faults = import("A 1\nB 1\na 1\nb 1\n").expect_err("twice");
        assert_eq!(faults.len(), 2, "{faults:?}");
        assert!(
            faults[1].starts_with("line 4: 'B 1' stands on line 2"),
            "{faults:?}"
        );
        assert!(import(" \n").is_err());
    }
}
