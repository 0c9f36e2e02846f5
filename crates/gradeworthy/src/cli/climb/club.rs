//! A line, power, a make-up and its cars out of a club's record, by name; read and never written.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use gradeworthy_reports::climb::ClubLine;
use gradeworthy_store::{HillEdition, HillKind, Options, Snapshot, Standing, Store};
use gradeworthy_train::consist::{Locomotive, TrainOrder, read_power, read_train};
use gradeworthy_train::line::read_toml;
use gradeworthy_workbench::record::Record;
use gradeworthy_workbench::rules::RuleBook;

use super::super::files;

/// An opened record.
pub(super) struct Club {
    path: PathBuf,
    store: Store,
}

impl Club {
    /// The record in a folder.
    pub(super) fn open(folder: &Path) -> anyhow::Result<Self> {
        let path = files::record(folder)?;
        let store = Store::open_read_only(&path, &Options::default())?;
        Ok(Self { path, store })
    }

    /// Whether it is the invented club's.
    pub(super) fn is_sample(&self) -> bool {
        files::is_sample(&self.path)
    }

    fn snapshot(&self) -> anyhow::Result<Snapshot<'_>> {
        let snapshot = self.store.snapshot();
        snapshot.with_context(|| self.path.display().to_string())
    }

    /// The line of that name; the only one where none is named.
    pub(super) fn line(&self, name: Option<&str>) -> anyhow::Result<ClubLine> {
        let edition = self.named(HillKind::Line, "line", name)?;
        let place = || format!("the line '{}'", edition.name);
        let design = read_toml(&edition.text).with_context(place)?;
        let line = match edition.readings.as_deref() {
            Some(readings) => ClubLine::surveyed(design, readings),
            None => ClubLine::designed(design),
        };
        line.with_context(place)
    }

    /// The make-up of that name; the only one where none is named.
    pub(super) fn order(&self, name: Option<&str>) -> anyhow::Result<TrainOrder> {
        let edition = self.named(HillKind::MakeUp, "make-up", name)?;
        read_train(&edition.text).with_context(|| format!("the make-up '{}'", edition.name))
    }

    /// Every locomotive.
    pub(super) fn power(&self) -> anyhow::Result<Vec<Locomotive>> {
        let mut power = Vec::new();
        for edition in self.snapshot()?.hill(HillKind::Locomotive)? {
            let own = read_power(&edition.text);
            power.extend(own.with_context(|| format!("the locomotive '{}'", edition.name))?);
        }
        Ok(power)
    }

    /// The rule book in force.
    pub(super) fn book(&self) -> anyhow::Result<RuleBook> {
        let snapshot = self.snapshot()?;
        let Some(latest) = snapshot.rule_books()?.pop() else {
            bail!("{} has no rule book", self.path.display());
        };
        Ok(snapshot.rule_book(latest.edition)?.rules()?)
    }

    /// The cars of these orders, each once, and what is to be known of those that may not run.
    pub(super) fn cars(
        &self,
        orders: &[&TrainOrder],
        power: &[Locomotive],
    ) -> anyhow::Result<(Vec<Record>, Vec<String>)> {
        let snapshot = self.snapshot()?;
        let (mut records, mut notices, mut faults) = (Vec::new(), Vec::new(), Vec::new());
        let mut seen = BTreeSet::new();
        for own in orders.iter().flat_map(|own| &own.members) {
            let (line, name) = (own.line, &own.name);
            if !seen.insert(name) {
                continue;
            }
            let rows = snapshot.rows_marked(name)?;
            match rows.as_slice() {
                [] if power.iter().any(|engine| engine.name == *name) => {}
                [] => faults.push(format!(
                    "line {line} of the train: '{name}' is neither a car nor a locomotive of the record; \
                     correct the name, or enter it"
                )),
                [row] => {
                    if !matches!(row.standing, Standing::Admitted | Standing::Limited { .. }) {
                        notices.push(format!("{name} may not run: it is {}", row.standing.name()));
                    }
                    records.push(snapshot.record(row.car)?.record);
                }
                several => faults.push(format!(
                    "line {line} of the train: {} cars are lettered {name}; give one of them its own number",
                    several.len()
                )),
            }
        }
        if !faults.is_empty() {
            bail!("{}", faults.join("\n"));
        }
        Ok((records, notices))
    }

    fn named(&self, kind: HillKind, what: &str, name: Option<&str>) -> anyhow::Result<HillEdition> {
        let mut all = self.snapshot()?.hill(kind)?;
        let there: Vec<String> = all.iter().map(|own| format!("'{}'", own.name)).collect();
        let there = there.join(", ");
        let place = self.path.display();
        let Some(name) = name else {
            return match all.len() {
                0 => bail!("{place} has no {what}; enter one on the Hill page, or name a file"),
                1 => Ok(all.swap_remove(0)),
                _ => bail!("which {what}? {place} has {there}; name one"),
            };
        };
        match all
            .iter()
            .position(|own| own.name.eq_ignore_ascii_case(name))
        {
            Some(index) => Ok(all.swap_remove(index)),
            None if all.is_empty() => bail!("{place} has no {what} yet, so none named '{name}'"),
            None => bail!("{place} has no {what} named '{name}'; it has {there}"),
        }
    }
}
