//! Label sheets remembered by the names that the club gives them, as a text file.
//!
//! ```toml
//! ["small ones in the drawer"]
//! paper = "A4"
//! columns = 5
//! rows = 13
//! width = "38.1 mm"
//! height = "21.2 mm"
//! left = "4.7 mm"
//! top = "10.7 mm"
//! pitch_across = "40.6 mm"
//! ```

use toml::{Table, Value};

use crate::{SheetError, Typing};

/// Why a file of label sheets cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum PresetError {
    /// Not TOML.
    #[error("the file of label sheets is not TOML: {0}")]
    NotToml(#[from] toml::de::Error),
    /// A sheet without what a sheet needs.
    #[error("label sheet '{name}': {why}")]
    Field {
        /// Which sheet.
        name: String,
        /// What is wrong.
        why: String,
    },
    /// A sheet that cannot be.
    #[error("label sheet '{name}': {why}")]
    Sheet {
        /// Which sheet.
        name: String,
        /// Why.
        why: SheetError,
    },
}

type Get = fn(&mut Typing) -> &mut String;

const FIELDS: &[(&str, bool, Get)] = &[
    ("paper", true, |t| &mut t.paper),
    ("columns", true, |t| &mut t.columns),
    ("rows", true, |t| &mut t.rows),
    ("width", true, |t| &mut t.width),
    ("height", true, |t| &mut t.height),
    ("left", true, |t| &mut t.left),
    ("top", true, |t| &mut t.top),
    ("pitch_across", false, |t| &mut t.pitch_across),
    ("pitch_down", false, |t| &mut t.pitch_down),
];

/// Every sheet of a file, by name, as it was typed. Each is checked.
///
/// # Errors
/// [`PresetError`] with the name of the sheet and what is wrong with it.
pub fn read_presets(text: &str) -> Result<Vec<(String, Typing)>, PresetError> {
    let table: Table = toml::from_str(text)?;
    table
        .into_iter()
        .map(|(name, value)| {
            let Value::Table(fields) = value else {
                let why = format!("write it as a table, [\"{name}\"]");
                return Err(PresetError::Field { name, why });
            };
            let typing = typing(&name, &fields)?;
            match typing.sheet() {
                Ok(_) => Ok((name, typing)),
                Err(why) => Err(PresetError::Sheet { name, why }),
            }
        })
        .collect()
}

fn typing(name: &str, fields: &Table) -> Result<Typing, PresetError> {
    let fault = |why: String| PresetError::Field {
        name: name.to_owned(),
        why,
    };
    for key in fields.keys() {
        if !FIELDS.iter().any(|(own, ..)| own == key) {
            let known: Vec<_> = FIELDS.iter().map(|(own, ..)| *own).collect();
            return Err(fault(format!(
                "'{key}' is not known; {} are",
                known.join(", ")
            )));
        }
    }
    let mut typing = Typing::default();
    for (key, needed, field) in FIELDS {
        *field(&mut typing) = match fields.get(*key) {
            Some(Value::String(text)) => text.clone(),
            Some(Value::Integer(number)) => number.to_string(),
            Some(Value::Float(number)) => number.to_string(),
            Some(other) => {
                return Err(fault(format!(
                    "{key}: {other} is neither a number nor a text"
                )));
            }
            None if *needed => return Err(fault(format!("{key} is missing"))),
            None => String::new(),
        };
    }
    Ok(typing)
}

/// One sheet as text to be added to a file.
#[must_use]
pub fn write_preset(name: &str, typing: &Typing) -> String {
    let mut typing = typing.clone();
    let mut fields = Table::new();
    for (key, _, field) in FIELDS {
        let text = std::mem::take(field(&mut typing));
        if !text.is_empty() {
            fields.insert((*key).to_owned(), Value::String(text));
        }
    }
    let mut table = Table::new();
    table.insert(name.to_owned(), Value::Table(fields));
    table.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[\"small ones\"]\npaper = \"A4\"\ncolumns = 5\nrows = 13\nwidth = \"38.1 mm\"\n\
                        height = 21.2\nleft = \"4.7 mm\"\ntop = \"10.7 mm\"\npitch_across = \"40.6 mm\"\n";

    #[test]
    fn a_sheet_reads_back_as_it_was_written() {
        let read = read_presets(TEXT).expect("sheets");
        let again = write_preset(&read[0].0, &read[0].1);
        assert_eq!(read_presets(&again).expect("the same"), read);
    }

    #[test]
    fn a_fault_is_named_with_its_sheet() {
        let wrong = |from: &str, to: &str| {
            let text = TEXT.replace(from, to);
            read_presets(&text).expect_err("refused").to_string()
        };
        assert!(wrong("rows = 13\n", "").contains("'small ones': rows is missing"));
        assert!(wrong("rows", "raws").contains("'raws' is not known"));
        assert!(wrong("rows = 13", "rows = 14").contains("beyond the lower edge of A4"));
    }
}
