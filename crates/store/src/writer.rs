//! The one thread that writes.
//!
//! It takes what waits in its queue, carries each command out in a savepoint of one transaction,
//! commits once, and only then answers: nobody is told 'entered' before the disk has it, and many
//! benches share one wait for the disk.
//! A command that fails takes nothing of the others with it.
//! When the file itself fails (full, locked, damaged), the whole transaction is undone and each command
//! is tried alone, so that each gets its own answer.

use std::sync::mpsc::Receiver;

use rusqlite::Connection;

use crate::command::{Answer, Command};
use crate::{Error, apply, club, drafts, hill, import, member, shelf, sql};

/// The most commands in one transaction. ASSUMED: enough for every bench of a club at once; more
/// would let the first one wait longer for its answer.
const TOGETHER_MOST: usize = 64;

/// What is done once the transaction has succeeded.
type Acknowledge = Box<dyn FnOnce()>;

/// Serves commands until nobody can send any more.
pub(crate) fn serve(connection: &Connection, commands: &Receiver<Command>) {
    while let Ok(first) = commands.recv() {
        let mut together = vec![first];
        together.extend(commands.try_iter().take(TOGETHER_MOST - 1));
        carry_out(connection, together);
    }
}

fn carry_out(connection: &Connection, mut together: Vec<Command>) {
    match attempt(connection, &together) {
        Ok(acknowledgements) => acknowledgements
            .into_iter()
            .for_each(|acknowledge| acknowledge()),
        Err(error) if together.len() == 1 => {
            if let Some(command) = together.pop() {
                command.refuse(error);
            }
        }
        Err(_) => together
            .into_iter()
            .for_each(|command| carry_out(connection, vec![command])),
    }
}

fn attempt(connection: &Connection, together: &[Command]) -> Result<Vec<Acknowledge>, Error> {
    connection.execute_batch(sql::BEGIN_IMMEDIATE)?;
    let all = together
        .iter()
        .map(|command| command.carry_out(connection))
        .collect();
    let committed = match all {
        Ok(acknowledgements) => connection
            .execute_batch(sql::COMMIT)
            .map(|()| acknowledgements)
            .map_err(Error::from),
        Err(error) => Err(error),
    };
    if committed.is_err() && !connection.is_autocommit() {
        // The error that led here is the one to be told.
        drop(connection.execute_batch(sql::ROLLBACK));
    }
    committed
}

impl Command {
    fn carry_out(&self, connection: &Connection) -> Result<Acknowledge, Error> {
        match self {
            Self::NewCar(new, answer) => step(connection, answer, |connection| {
                apply::new_car(connection, new)
            }),
            Self::Append(order, photo, answer) => step(connection, answer, |connection| {
                apply::append(connection, order, photo.as_deref())
            }),
            Self::AppendAll(orders, answer) => {
                long_step(answer, || apply::append_all(connection, orders))
            }
            Self::Import(import, watch, answer) => {
                long_step(answer, || import::enter(connection, import, watch.as_ref()))
            }
            Self::Club(command, answer) => step(connection, answer, |connection| {
                club::carry_out(connection, command)
            }),
            Self::Own(command, answer) => step(connection, answer, |connection| {
                member::carry_out(connection, command)
            }),
            Self::Draft(draft, answer) => step(connection, answer, |connection| {
                drafts::put(connection, draft)
            }),
            Self::Hill(new, answer) => step(connection, answer, |connection| {
                hill::enter(connection, new)
            }),
            Self::Shelf(command, answer) => step(connection, answer, |connection| {
                shelf::carry_out(connection, command)
            }),
        }
    }

    /// A sender who has gone away misses his answer and nothing else.
    fn refuse(self, error: Error) {
        match self {
            Self::NewCar(_, answer) | Self::Append(_, _, answer) => drop(answer.send(Err(error))),
            Self::AppendAll(_, answer) => drop(answer.send(Err(error))),
            Self::Import(_, _, answer) => drop(answer.send(Err(error))),
            Self::Club(_, answer) => drop(answer.send(Err(error))),
            Self::Own(_, answer) => drop(answer.send(Err(error))),
            Self::Shelf(_, answer) => drop(answer.send(Err(error))),
            Self::Draft(_, answer) => drop(answer.send(Err(error))),
            Self::Hill(_, answer) => drop(answer.send(Err(error))),
        }
    }
}

/// One command in its savepoint. Its own failure is part of its answer; the file's is an error.
fn step<T: 'static>(
    connection: &Connection,
    answer: &Answer<T>,
    command: impl FnOnce(&Connection) -> Result<T, Error>,
) -> Result<Acknowledge, Error> {
    connection.execute_batch(sql::SAVEPOINT)?;
    let result = match command(connection) {
        Err(error) if error.is_of_the_file() => return Err(error),
        result => result,
    };
    if result.is_err() {
        connection.execute_batch(sql::ROLLBACK_TO_SAVEPOINT)?;
    }
    connection.execute_batch(sql::RELEASE_SAVEPOINT)?;
    let answer = answer.clone();
    Ok(Box::new(move || drop(answer.send(result))))
}

/// A command of many entries, without a savepoint: its own failure undoes the whole transaction, and those
/// that shared it are tried again alone.
///
/// Inside a savepoint the pages it changed are kept in memory until it ends, and `SQLite` walks through all
/// of them after every statement: half a million readings then take the square of their time.
fn long_step<T: 'static>(
    answer: &Answer<T>,
    command: impl FnOnce() -> Result<T, Error>,
) -> Result<Acknowledge, Error> {
    let done = command()?;
    let answer = answer.clone();
    Ok(Box::new(move || drop(answer.send(Ok(done)))))
}
