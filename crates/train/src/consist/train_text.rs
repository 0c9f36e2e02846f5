//! The train file: TOML with one `[train]`, or the order alone as a table.

use toml_edit::Value;

use super::document::{Reading, Section, parse};
use super::error::{ConsistFileError, ConsistFileErrors};
use super::order::{CONDITIONS, LAWS, Member, SLACKS, TrainOrder, tidy_name};
use crate::line::{LineFileError, table};

const WORD: &str = "train";

const KEYS: [&str; 10] = [
    "name",
    "consist",
    "reversed",
    "blocks",
    "condition",
    "slack",
    "curve_drag",
    "jerk_allowance",
    "least_margin",
    "note",
];

/// Columns of the flat form.
const COLUMNS: [&str; 4] = ["vehicle", "first_end", "block", "note"];

/// Reads a train file.
///
/// # Errors
/// [`ConsistFileErrors`] lists everything that is wrong with line and key.
///
/// # Example
/// ```
/// use gradeworthy_train::consist::read_train;
/// let order = read_train(r#"
///     [train]
///     consist = ["Demo 1", "qvl 1003", "QVL 1010"]
///     reversed = ["QVL 1010"]
///     condition = "running"
/// "#)?;
/// assert_eq!(order.members[1].name, "QVL 1003");
/// assert!(order.members[2].reversed);
/// # Ok::<(), gradeworthy_train::consist::ConsistFileErrors>(())
/// ```
pub fn read_train(text: &str) -> Result<TrainOrder, ConsistFileErrors> {
    let (document, mut reading) = parse(text)?;
    let mut order = None;
    for (word, item) in document.as_table() {
        if word != WORD {
            let line = reading.lines.of(item).unwrap_or(1);
            let (found, expected) = (word.to_owned(), "[train]");
            reading.errors.push(ConsistFileError::UnknownSection {
                line,
                found,
                expected,
            });
            continue;
        }
        for section in reading.tables(WORD, item, "a section [train]") {
            if order.is_none() {
                order = Some(read_one(&mut reading, &section));
            } else {
                let name = "[train]".to_owned();
                let (line, cure) = (section.line, "one file holds one train");
                reading.errors.push(ConsistFileError::Twice {
                    line,
                    name,
                    first: 1,
                    cure,
                });
            }
        }
    }
    if order.is_none() && reading.errors.is_empty() {
        let (line, section, key) = (1, "file", WORD);
        let expected = "a section [train] with the list 'consist'";
        reading.errors.push(ConsistFileError::Missing {
            line,
            section,
            key,
            expected,
        });
    }
    reading.finish(order.unwrap_or_else(|| bare(Vec::new())))
}

/// Reads the order of a train as a table: `vehicle`, `first_end` (A or B), `block`, `note`.
/// Vehicles with the same word under `block` stay together.
///
/// # Errors
/// As [`read_train`]; the key is the column.
pub fn read_train_csv(text: &str) -> Result<TrainOrder, ConsistFileErrors> {
    let (rows, wrong) = table(text);
    let mut errors: Vec<_> = wrong.iter().map(of_table).collect();
    let mut members: Vec<Member> = Vec::new();
    let mut blocks: Vec<(String, Vec<(String, usize)>)> = Vec::new();
    for row in &rows {
        let line = row.line;
        for cell in row
            .cells
            .iter()
            .filter(|cell| !COLUMNS.contains(&cell.key.as_str()))
        {
            errors.push(ConsistFileError::UnknownKey {
                line,
                section: WORD,
                key: cell.key.clone(),
                expected: COLUMNS.join(", "),
            });
        }
        let cell = |key: &str| row.cells.iter().find(|cell| cell.key == key);
        let reversed = match cell("first_end").map(|cell| cell.text.as_str()) {
            None | Some("A" | "a") => false,
            Some("B" | "b") => true,
            Some(other) => {
                errors.push(ConsistFileError::NotAChoice {
                    line,
                    key: "first_end".to_owned(),
                    found: other.to_owned(),
                    expected: "A, B, or nothing for A".to_owned(),
                });
                false
            }
        };
        match cell("vehicle") {
            Some(cell) => {
                let name = tidy_name(&cell.text);
                if let Some(word) = row.cells.iter().find(|cell| cell.key == "block") {
                    let own = (name.clone(), line);
                    match blocks.iter_mut().find(|(other, _)| *other == word.text) {
                        Some((_, block)) => block.push(own),
                        None => blocks.push((word.text.clone(), vec![own])),
                    }
                }
                members.push(Member {
                    name,
                    reversed,
                    line,
                });
            }
            None => errors.push(ConsistFileError::Missing {
                line,
                section: WORD,
                key: "vehicle",
                expected: "a car's mark or a locomotive's name",
            }),
        }
    }
    if members.is_empty() && errors.is_empty() {
        errors.push(NO_VEHICLE);
    }
    errors.extend(twice(&members));
    let listed: Vec<_> = blocks.into_iter().map(|(_, block)| block).collect();
    errors.extend(apart(&members, &listed));
    if errors.is_empty() {
        let blocks = names_of(listed);
        return Ok(TrainOrder {
            blocks,
            ..bare(members)
        });
    }
    errors.sort_by_key(ConsistFileError::line);
    Err(ConsistFileErrors(errors))
}

const NO_VEHICLE: ConsistFileError = ConsistFileError::Missing {
    line: 1,
    section: WORD,
    key: "vehicle",
    expected: "a heading row with 'vehicle' and a row for each, head first",
};

/// Writes a train file that reads back as the same train, lines left out.
#[must_use]
pub fn write_train(order: &TrainOrder) -> String {
    let mut text = "[train]\n".to_owned();
    let mut say = |key: &str, value: Option<String>| {
        if let Some(value) = value {
            text += &format!("{key} = {value}\n");
        }
    };
    let quoted = |name: &Option<String>| name.as_ref().map(|name| Value::from(name).to_string());
    say("name", quoted(&order.name));
    say(
        "condition",
        order.condition.map(|own| quoted_word(&CONDITIONS, own)),
    );
    say("slack", order.slack.map(|own| quoted_word(&SLACKS, own)));
    say(
        "curve_drag",
        order.curve_drag.map(|own| quoted_word(&LAWS, own)),
    );
    say(
        "jerk_allowance",
        order.jerk_allowance.map(|own| format!("{own:?}")),
    );
    say(
        "least_margin",
        order.least_margin.map(|own| format!("{own:?}")),
    );
    say("note", quoted(&order.note));
    let list = |reversed_only: bool| {
        let names = order
            .members
            .iter()
            .filter(|own| own.reversed || !reversed_only);
        let lines: Vec<_> = names
            .map(|own| format!("    {},\n", Value::from(&own.name)))
            .collect();
        (!lines.is_empty()).then(|| format!("[\n{}]", lines.concat()))
    };
    say("consist", list(false));
    say("reversed", list(true));
    let block = |names: &Vec<String>| {
        let names: Vec<_> = names
            .iter()
            .map(|name| Value::from(name).to_string())
            .collect();
        format!("    [{}],\n", names.join(", "))
    };
    let blocks: String = order.blocks.iter().map(block).collect();
    say(
        "blocks",
        (!blocks.is_empty()).then(|| format!("[\n{blocks}]")),
    );
    text
}

/// Writes the order of a train as a table.
#[must_use]
pub fn write_train_csv(order: &TrainOrder) -> String {
    let mut text = "vehicle,first_end,block\n".to_owned();
    for member in &order.members {
        let end = if member.reversed { "B" } else { "A" };
        let mut blocks = (1_usize..).zip(&order.blocks);
        let block = blocks.find(|(_, names)| names.contains(&member.name));
        let block = block.map_or_else(String::new, |(number, _)| number.to_string());
        text += &format!("{},{end},{block}\n", crate::line::quoted(&member.name));
    }
    text
}

fn quoted_word<T: PartialEq>(words: &[(&'static str, T)], own: T) -> String {
    let found = words.iter().find(|(_, value)| *value == own);
    Value::from(found.map_or("", |(word, _)| word)).to_string()
}

fn bare(members: Vec<Member>) -> TrainOrder {
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

fn read_one(reading: &mut Reading<'_>, section: &Section<'_>) -> TrainOrder {
    reading.refuse_unknown(section, &KEYS);
    let listed = reading.list(section, "consist");
    if listed.is_empty() {
        reading.missing(section, "consist", "the names of its vehicles, head first");
    }
    let member = |(name, line): (String, usize)| Member {
        name: tidy_name(&name),
        reversed: false,
        line,
    };
    let mut members: Vec<_> = listed.into_iter().map(member).collect();
    reading.errors.extend(twice(&members));
    for (name, line) in reading.list(section, "reversed") {
        let name = tidy_name(&name);
        match members.iter_mut().find(|own| own.name == name) {
            Some(own) => own.reversed = true,
            None => reading.not_a_choice(
                line,
                "reversed",
                &name,
                "a name that stands in 'consist'".to_owned(),
            ),
        }
    }
    let blocks = reading.lists(section, "blocks");
    reading.errors.extend(apart(&members, &blocks));
    TrainOrder {
        name: reading.text(section, "name"),
        members,
        blocks: names_of(blocks),
        condition: reading.word(section, "condition", &CONDITIONS),
        slack: reading.word(section, "slack", &SLACKS),
        curve_drag: reading.word(section, "curve_drag", &LAWS),
        jerk_allowance: reading.number(
            section,
            "jerk_allowance",
            (1.0, 10.0),
            "from 1 (no jerk) to 10",
        ),
        least_margin: reading.number(section, "least_margin", (0.0, 0.99), "from 0 to 0.99"),
        note: reading.text(section, "note"),
    }
}

/// A car is in one place of a train.
fn twice(members: &[Member]) -> Vec<ConsistFileError> {
    let mut seen = std::collections::BTreeMap::new();
    let mut errors = Vec::new();
    for member in members {
        if let Some(first) = seen.insert(&member.name, member.line) {
            errors.push(ConsistFileError::Twice {
                line: member.line,
                name: member.name.clone(),
                first,
                cure: "a vehicle is in one place of a train; strike one",
            });
        }
    }
    errors
}

fn names_of(blocks: Vec<Vec<(String, usize)>>) -> Vec<Vec<String>> {
    let names = |block: Vec<(String, usize)>| {
        let each = block.into_iter().map(|(name, _)| tidy_name(&name));
        each.collect::<Vec<_>>()
    };
    blocks.into_iter().map(names).collect()
}

/// A block stands together, its vehicles in its order, and each of them in no other block.
fn apart(members: &[Member], blocks: &[Vec<(String, usize)>]) -> Vec<ConsistFileError> {
    let mut errors = Vec::new();
    let mut seen = std::collections::BTreeMap::new();
    for block in blocks {
        let mut last = None;
        for (name, line) in block {
            let (line, name) = (*line, tidy_name(name));
            let at = members.iter().position(|own| own.name == name);
            let wrong = |expected: &str| ConsistFileError::NotAChoice {
                line,
                key: "block".to_owned(),
                found: name.clone(),
                expected: expected.to_owned(),
            };
            match (at, last) {
                (None, _) => errors.push(wrong("a name that stands in the train")),
                (Some(at), Some(before)) if at != before + 1 => {
                    errors.push(wrong("a name right behind the one before it in its block"));
                }
                (Some(_), _) => {}
            }
            if let Some(first) = seen.insert(name.clone(), line) {
                let cure = "a vehicle is in one block; strike one";
                errors.push(ConsistFileError::Twice {
                    line,
                    name,
                    first,
                    cure,
                });
            }
            last = at;
        }
    }
    errors
}

/// What the reader of tables found wrong, in the words of this file.
fn of_table(error: &LineFileError) -> ConsistFileError {
    match error {
        LineFileError::NotAChoice {
            line,
            key,
            found,
            expected,
        } => ConsistFileError::NotAChoice {
            line: *line,
            key: key.clone(),
            found: found.clone(),
            expected: expected.clone(),
        },
        other => ConsistFileError::Syntax {
            line: other.line(),
            found: other.to_string(),
        },
    }
}
