//! Changing the text of a rule book without writing it anew: its comments, order and spelling stay.
//!
//! The text is changed and not judged: whether it still reads, and what is wrong with it, is for
//! [`super::RuleBook::read`] to say afterwards.

use jiff::civil::Date;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};

/// Why a text could not be changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AmendError {
    /// It is no TOML, so that nothing can be found in it.
    #[error("the text is no TOML, mend it first: {0}")]
    NotToml(String),
    /// Something that is to be changed is not there.
    #[error("the text has no {0}")]
    Missing(String),
}

/// Where a limit stands: a scale, and a class of car in it or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LimitPlace<'a> {
    /// The scale, as the book writes it.
    pub scale: &'a str,
    /// The class, by its name; the scale's own limits if none.
    pub class: Option<&'a str>,
    /// The limit, by name, or `weight` for the weight rule.
    pub limit: &'a str,
}

/// An exception to be added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewException<'a> {
    /// The tag.
    pub tag: &'a str,
    /// The checks it waives, by name.
    pub waives: &'a [&'a str],
    /// What is asked in return.
    pub note: &'a str,
    /// The last day it holds.
    pub until: Option<Date>,
    /// On whose word, as the book writes it.
    pub standing: &'a str,
    /// The source.
    pub source: &'a str,
}

fn document(text: &str) -> Result<DocumentMut, AmendError> {
    let read = text.parse::<DocumentMut>();
    read.map_err(|error| AmendError::NotToml(error.message().to_owned()))
}

/// Sets keys of one limit, which is made where it is not there; an empty value takes its key away.
///
/// # Errors
/// [`AmendError`] when the text is no TOML or has no such scale or class.
pub fn set_limit(
    text: &str,
    place: LimitPlace<'_>,
    keys: &[(&str, &str)],
) -> Result<String, AmendError> {
    let mut document = document(text)?;
    let missing = |what: String| AmendError::Missing(what);
    let scale = document
        .get_mut("scale")
        .and_then(|scales| scales.get_mut(place.scale))
        .and_then(Item::as_table_mut)
        .ok_or_else(|| missing(format!("table [scale.{}]", place.scale)))?;
    let rules = match place.class {
        None => scale,
        Some(name) => class(scale, name)
            .ok_or_else(|| missing(format!("class '{name}' of scale {}", place.scale)))?,
    };
    let own = if place.limit == "weight" {
        table(rules, "weight")
    } else {
        table(rules, "limit").and_then(|limits| table(limits, place.limit))
    };
    let own = own.ok_or_else(|| missing(format!("table for the limit '{}'", place.limit)))?;
    for (key, text) in keys {
        if text.is_empty() {
            own.remove(key);
        } else {
            own[*key] = value(*text);
        }
    }
    Ok(document.to_string())
}

/// The table of that name in another, made where it is not there.
fn table<'a>(parent: &'a mut Table, name: &str) -> Option<&'a mut Table> {
    let made = || {
        let mut table = Table::new();
        table.set_implicit(name == "limit");
        Item::Table(table)
    };
    parent.entry(name).or_insert_with(made).as_table_mut()
}

fn class<'a>(scale: &'a mut Table, name: &str) -> Option<&'a mut Table> {
    let classes = scale.get_mut("class")?.as_array_of_tables_mut()?;
    let named = |own: &&mut Table| own.get("name").and_then(Item::as_str) == Some(name);
    classes.iter_mut().find(named)
}

/// Adds an exception, or puts it in the place of the one for the same tag.
///
/// # Errors
/// [`AmendError`] when the text is no TOML or its exceptions are no list of tables.
pub fn set_exception(text: &str, new: &NewException<'_>) -> Result<String, AmendError> {
    let mut document = document(text)?;
    let list = document
        .entry("exception")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or_else(|| AmendError::Missing("list of tables [[exception]]".to_owned()))?;
    list.retain(|own| own.get("tag").and_then(Item::as_str) != Some(new.tag));
    let mut table = Table::new();
    table["tag"] = value(new.tag);
    table["waives"] = value(new.waives.iter().copied().collect::<toml_edit::Array>());
    table["note"] = value(new.note);
    if let Some(until) = new.until
        && let Ok(date) = until.to_string().parse::<toml_edit::Datetime>()
    {
        table["until"] = value(date);
    }
    table["standing"] = value(new.standing);
    if !new.source.is_empty() {
        table["source"] = value(new.source);
    }
    list.push(table);
    Ok(document.to_string())
}

/// The text as another edition that holds from another day.
///
/// # Errors
/// [`AmendError`] when the text is no TOML or has no table `[book]`.
pub fn as_edition(text: &str, edition: u32, effective: Date) -> Result<String, AmendError> {
    let mut document = document(text)?;
    let book = document.get_mut("book").and_then(Item::as_table_mut);
    let book = book.ok_or_else(|| AmendError::Missing("table [book]".to_owned()))?;
    book["edition"] = value(i64::from(edition));
    if let Ok(date) = effective.to_string().parse::<toml_edit::Datetime>() {
        book["effective"] = value(date);
    }
    Ok(document.to_string())
}
