//! `gradeworthy rules`: show, check, explain and compare rule books.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::bail;
use clap::{Args, Subcommand};
use gradeworthy_reports::text::wrapped;
use gradeworthy_workbench::rules::{BookLine, Change, RuleBook, STARTER, compare};

use super::{files, terminal};

/// Show, check, explain and compare rule books
#[derive(Debug, Args)]
pub(crate) struct Rules {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Show every setting with its source
    Show {
        /// The rule book; the starter where none is named
        book: Option<PathBuf>,
        /// Only settings whose path begins so, such as 'HO' or 'HO / flat cars'
        #[arg(long)]
        under: Option<String>,
    },
    /// Read a rule book and list everything wrong with it
    Check {
        /// The rule book
        book: PathBuf,
    },
    /// Explain one limit: what it is, on whose word, and for which cars
    Explain {
        /// Words of the limit, such as 'HO coupler height'
        #[arg(required = true)]
        words: Vec<String>,
        /// The rule book; the starter where none is named
        #[arg(long)]
        book: Option<PathBuf>,
    },
    /// List what differs between two editions
    Compare {
        /// The older edition
        older: PathBuf,
        /// The newer edition
        newer: PathBuf,
    },
    /// Print the starter rule book, to begin your own with
    Starter,
}

impl Rules {
    pub(crate) fn run(&self) -> anyhow::Result<ExitCode> {
        match &self.action {
            Action::Show { book, under } => {
                let book = files::rule_book(book.as_deref())?;
                let lines = book.lines();
                let lines: Vec<_> = lines.iter().filter(|line| is_under(line, under)).collect();
                if lines.is_empty() {
                    bail!(
                        "no setting of this book has a path that begins with '{}'",
                        under.as_deref().unwrap_or_default()
                    );
                }
                let text: String = lines.into_iter().map(shown).collect();
                terminal::print(&(heading(&book) + &text))?;
            }
            Action::Check { book } => {
                let book = files::rule_book(Some(book))?;
                let settings = book.lines().len();
                let text = format!("{}nothing is wrong; {settings} settings\n", heading(&book));
                terminal::print(&text)?;
            }
            Action::Explain { words, book } => explain(words, &files::rule_book(book.as_deref())?)?,
            Action::Compare { older, newer } => {
                let (older, newer) = (
                    files::rule_book(Some(older))?,
                    files::rule_book(Some(newer))?,
                );
                terminal::print(&differences(&older, &newer))?;
            }
            Action::Starter => terminal::print(STARTER)?,
        }
        Ok(ExitCode::SUCCESS)
    }
}

fn heading(book: &RuleBook) -> String {
    format!(
        "{}, edition {}, in force from {}\n",
        book.title, book.edition, book.effective
    )
}

fn is_under(line: &BookLine, under: &Option<String>) -> bool {
    under
        .as_ref()
        .is_none_or(|under| line.path.to_lowercase().starts_with(&under.to_lowercase()))
}

/// A setting over as many lines as it needs, hanging under its path.
fn shown(line: &BookLine) -> String {
    let room = terminal::width().saturating_sub(4);
    let mut text = format!("{}\n", line.path);
    let sentences = std::iter::once(&line.text).chain(&line.authority);
    for row in sentences.flat_map(|sentence| wrapped(sentence, room)) {
        text += &format!("    {row}\n");
    }
    text
}

fn explain(words: &[String], book: &RuleBook) -> anyhow::Result<()> {
    let wanted: Vec<String> = words
        .iter()
        .flat_map(|word| word.split_whitespace())
        .map(str::to_lowercase)
        .collect();
    let lines = book.lines();
    let matching: Vec<_> = lines
        .iter()
        .filter(|line| {
            let path = line.path.to_lowercase();
            wanted.iter().all(|word| path.contains(word.as_str()))
        })
        .collect();
    if matching.is_empty() {
        bail!(
            "nothing in this book is called '{}'; `gradeworthy rules show` lists every path",
            wanted.join(" ")
        );
    }
    let text: String = matching.into_iter().map(shown).collect();
    terminal::print(&(heading(book) + &text))
}

fn differences(older: &RuleBook, newer: &RuleBook) -> String {
    let changes = compare(older, newer);
    let mut text = format!("older: {}newer: {}", heading(older), heading(newer));
    if changes.is_empty() {
        return text + "no setting differs\n";
    }
    text += &format!("{} setting(s) differ\n", changes.len());
    for Change {
        path,
        before,
        after,
    } in &changes
    {
        text += &format!("{path}\n");
        let room = terminal::width().saturating_sub(6);
        for (mark, side) in [("−", before), ("+", after)] {
            for (index, row) in side.iter().flat_map(|side| wrapped(side, room)).enumerate() {
                let mark = if index == 0 { mark } else { " " };
                text += &format!("    {mark} {row}\n");
            }
        }
    }
    text
}
