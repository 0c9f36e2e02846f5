//! The power file: TOML with a `[[locomotive]]` for each.

use toml_edit::Value;

use super::document::{Reading, Section, parse};
use super::error::{ConsistFileError, ConsistFileErrors};
use super::figure::Figure;
use super::locomotive::Locomotive;
use super::order::tidy_name;

const WORD: &str = "locomotive";

/// Reads the locomotives of a power file.
///
/// # Errors
/// [`ConsistFileErrors`] lists everything that is wrong with line and key, what was found and what
/// was expected.
///
/// # Example
/// ```
/// use gradeworthy_train::consist::read_power;
/// let power = read_power(r#"
///     [[locomotive]]
///     name = "Demo 1"
///     weight = "480 g"
///     slip_pull = "110 gf"
///     timed_over = "2 m"
///     free_time = "10 s"
///     loaded_time = "10.4 s"
///     load = "60 gf"
/// "#)?;
/// let slope = power[0].speed_slope().expect("both timings are there");
/// assert!((slope - 0.5883990 / (0.2 - 2.0 / 10.4)).abs() < 1e-6);
/// # Ok::<(), gradeworthy_train::consist::ConsistFileErrors>(())
/// ```
pub fn read_power(text: &str) -> Result<Vec<Locomotive>, ConsistFileErrors> {
    let (document, mut reading) = parse(text)?;
    let mut power: Vec<(Locomotive, usize)> = Vec::new();
    for (word, item) in document.as_table() {
        if word != WORD {
            let line = reading.lines.of(item).unwrap_or(1);
            let (found, expected) = (word.to_owned(), "[[locomotive]]");
            reading.errors.push(ConsistFileError::UnknownSection {
                line,
                found,
                expected,
            });
            continue;
        }
        for section in reading.tables(WORD, item, "a section [[locomotive]]") {
            if let Some(locomotive) = read_one(&mut reading, &section) {
                let same = power.iter().find(|(own, _)| own.name == locomotive.name);
                if let Some((_, first)) = same {
                    reading.errors.push(ConsistFileError::Twice {
                        line: section.line,
                        name: locomotive.name.clone(),
                        first: *first,
                        cure: "give each locomotive its own name",
                    });
                }
                power.push((locomotive, section.line));
            }
        }
    }
    reading.finish(
        power
            .into_iter()
            .map(|(locomotive, _)| locomotive)
            .collect(),
    )
}

/// Writes a power file that reads back as the same locomotives.
#[must_use]
pub fn write_power(power: &[Locomotive]) -> String {
    let mut text = String::new();
    for (index, locomotive) in power.iter().enumerate() {
        text += if index == 0 {
            "[[locomotive]]\n"
        } else {
            "\n[[locomotive]]\n"
        };
        text += &format!("name = {}\n", Value::from(&locomotive.name));
        if locomotive.traction_tires {
            text += "traction_tires = true\n";
        }
        for (figure, typed) in &locomotive.figures {
            text += &format!("{} = {}\n", figure.key(), Value::from(&*typed.text));
        }
        if let Some(note) = &locomotive.note {
            text += &format!("note = {}\n", Value::from(note));
        }
    }
    text
}

fn read_one(reading: &mut Reading<'_>, section: &Section<'_>) -> Option<Locomotive> {
    let mut known = vec!["name", "traction_tires"];
    known.extend(Figure::ALL.map(Figure::key));
    known.push("note");
    reading.refuse_unknown(section, &known);
    let name = reading.text(section, "name");
    if name.is_none() {
        reading.missing(section, "name", "the name that trains call it by");
    }
    let tires = reading.word(
        section,
        "traction_tires",
        &[("true", true), ("false", false)],
    );
    let mut figures = Vec::new();
    for figure in Figure::ALL {
        let typed = reading.quantity(section, figure.key(), figure.unit(), figure.may_be_zero());
        figures.extend(typed.map(|typed| (figure, typed)));
    }
    let locomotive = Locomotive {
        name: tidy_name(name.as_deref().unwrap_or_default()),
        traction_tires: tires.unwrap_or(false),
        figures,
        note: reading.text(section, "note"),
    };
    check_timings(reading, section, &locomotive);
    check_lengths(reading, section, &locomotive);
    name.is_some().then_some(locomotive)
}

/// A timing says something only with its fellows.
fn check_timings(reading: &mut Reading<'_>, section: &Section<'_>, own: &Locomotive) {
    let has = |figure: Figure| section.table.get(figure.key()).is_some();
    let timed = [Figure::FreeTime, Figure::LoadedTime, Figure::Load]
        .into_iter()
        .any(has);
    if timed && !has(Figure::TimedOver) {
        reading.missing(
            section,
            "timed_over",
            "the distance that was timed, such as 2 m",
        );
    }
    if (timed || has(Figure::TimedOver)) && !has(Figure::FreeTime) {
        reading.missing(
            section,
            "free_time",
            "the time over the distance running free",
        );
    }
    if has(Figure::Load) && !has(Figure::LoadedTime) {
        reading.missing(
            section,
            "loaded_time",
            "the time over the distance pulling the load",
        );
    }
    if has(Figure::LoadedTime) && !has(Figure::Load) {
        reading.missing(
            section,
            "load",
            "the pull of the second timing, such as 60 gf",
        );
    }
    if let (Some(free), Some(loaded)) = (own.base(Figure::FreeTime), own.base(Figure::LoadedTime))
        && loaded <= free
    {
        let key = Figure::LoadedTime.key();
        let found = reading.text(section, key).unwrap_or_default();
        let line = reading.line(section, key);
        let expected = "longer than free_time: time over a longer distance or pull a heavier load";
        reading.out_of_range(line, key, &found, expected);
    }
}

/// Couplers stand beyond the bolsters.
fn check_lengths(reading: &mut Reading<'_>, section: &Section<'_>, own: &Locomotive) {
    let (length, centres) = (
        own.base(Figure::LengthOverCouplers),
        own.base(Figure::TruckCentres),
    );
    if let (Some(length), Some(centres)) = (length, centres)
        && length <= centres
    {
        let key = Figure::LengthOverCouplers.key();
        let found = reading.text(section, key).unwrap_or_default();
        let line = reading.line(section, key);
        reading.out_of_range(line, key, &found, "more than truck_centres");
    }
}
