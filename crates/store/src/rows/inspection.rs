//! Inspections: the verdict, its checks, its lines and its findings, each in a table.

use gradeworthy_units::Amount;
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::Check;
use rusqlite::types::Value as Cell;
use rusqlite::{Connection, Row, params};

use super::{known, one};
use crate::{Error, RecordedInspection, RecordedLine, Seq, spelling, sql};

pub(super) fn insert(
    connection: &Connection,
    seq: Seq,
    inspection: &RecordedInspection,
) -> Result<(), Error> {
    let RecordedInspection {
        edition,
        read_to,
        verdict,
        checks,
        lines,
        findings,
    } = inspection;
    let head = params![seq, edition, read_to, verdict.word()];
    connection
        .prepare_cached(sql::INSERT_INSPECTION)?
        .execute(head)?;
    for check in Check::ALL {
        let row = params![seq, check.name(), checks[check as usize].word()];
        connection
            .prepare_cached(sql::INSERT_INSPECTION_CHECK)?
            .execute(row)?;
    }
    for (ordinal, line) in (0_i64..).zip(lines) {
        insert_line(connection, seq, ordinal, line)?;
    }
    for (ordinal, finding) in (0_i64..).zip(findings) {
        connection
            .prepare_cached(sql::INSERT_FINDING)?
            .execute(params![seq, ordinal, finding])?;
    }
    Ok(())
}

fn insert_line(
    connection: &Connection,
    seq: Seq,
    ordinal: i64,
    line: &RecordedLine,
) -> Result<(), Error> {
    let cell = |amount: Option<Amount>| amount.map_or(Cell::Null, spelling::amount);
    let amounts = [line.reading, line.lower, line.upper, line.margin];
    let dimension = amounts
        .iter()
        .flatten()
        .next()
        .map(|amount| amount.dimension().to_string());
    let [reading, lower, upper, margin] = amounts.map(cell);
    connection
        .prepare_cached(sql::INSERT_INSPECTION_LINE)?
        .execute(params![
            seq,
            ordinal,
            line.check.name(),
            line.aspect,
            spelling::place(line.place),
            dimension,
            reading,
            lower,
            upper,
            margin,
            line.conformity,
            line.verdict.word(),
            line.grounds,
        ])?;
    Ok(())
}

struct LineRow {
    check_name: String,
    aspect: Box<str>,
    place: String,
    dimension: Option<String>,
    amounts: [Cell; 4],
    conformity: Option<f64>,
    verdict: String,
    grounds: Box<str>,
}

impl LineRow {
    fn read(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            check_name: row.get(0)?,
            aspect: row.get(1)?,
            place: row.get(2)?,
            dimension: row.get(3)?,
            amounts: [row.get(4)?, row.get(5)?, row.get(6)?, row.get(7)?],
            conformity: row.get(8)?,
            verdict: row.get(9)?,
            grounds: row.get(10)?,
        })
    }

    fn into_line(self, seq: Seq) -> Result<RecordedLine, Error> {
        const TABLE: &str = "inspection_line";
        let amount = |cell: &Cell| -> Result<Option<Amount>, Error> {
            if *cell == Cell::Null {
                return Ok(None);
            }
            let dimension = self.dimension.as_deref().and_then(spelling::read_dimension);
            let own = dimension.and_then(|dimension| spelling::read_amount(dimension, cell));
            known(
                own,
                TABLE,
                seq,
                format!("{cell:?}"),
                "amount of its dimension",
            )
            .map(Some)
        };
        let [reading, lower, upper, margin] = &self.amounts;
        Ok(RecordedLine {
            check: check(TABLE, seq, &self.check_name)?,
            aspect: self.aspect,
            place: known(
                spelling::read_place(&self.place),
                TABLE,
                seq,
                &self.place,
                "place",
            )?,
            reading: amount(reading)?,
            lower: amount(lower)?,
            upper: amount(upper)?,
            margin: amount(margin)?,
            conformity: self.conformity,
            verdict: verdict(TABLE, seq, &self.verdict)?,
            grounds: self.grounds,
        })
    }
}

pub(super) fn load(connection: &Connection, seq: Seq) -> Result<RecordedInspection, Error> {
    let (edition, read_to, word) = one(connection, sql::INSPECTION, seq, |row| {
        Ok((row.get(0)?, row.get(1)?, row.get::<_, String>(2)?))
    })?;
    let mut statement = connection.prepare_cached(sql::INSPECTION_LINES)?;
    let lines = statement.query_map([seq], LineRow::read)?;
    let lines = lines
        .map(|row| row?.into_line(seq))
        .collect::<Result<_, _>>()?;
    let mut statement = connection.prepare_cached(sql::FINDINGS)?;
    let findings = statement
        .query_map([seq], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let verdict = verdict("inspection", seq, &word)?;
    let checks = checks(connection, seq)?;
    Ok(RecordedInspection {
        edition,
        read_to,
        verdict,
        checks,
        lines,
        findings,
    })
}

fn checks(connection: &Connection, seq: Seq) -> Result<[Verdict; Check::ALL.len()], Error> {
    let mut checks = [Verdict::NotChecked; Check::ALL.len()];
    let mut statement = connection.prepare_cached(sql::INSPECTION_CHECKS)?;
    let rows = statement.query_map([seq], |row| Ok((row.get(0)?, row.get(1)?)))?;
    for row in rows {
        let (name, word): (String, String) = row?;
        let check = check("inspection_check", seq, &name)?;
        checks[check as usize] = verdict("inspection_check", seq, &word)?;
    }
    Ok(checks)
}

fn check(table: &'static str, seq: Seq, name: &str) -> Result<Check, Error> {
    known(Check::from_name(name), table, seq, name, "check")
}

fn verdict(table: &'static str, seq: Seq, word: &str) -> Result<Verdict, Error> {
    let own = Verdict::ALL.into_iter().find(|own| own.word() == word);
    known(own, table, seq, word, "verdict")
}
