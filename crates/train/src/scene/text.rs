//! The scene file: TOML with one `[scene]`, perhaps `[couplers]`, and a `[[change]]` for each.

use gradeworthy_units::Unit;
use toml_edit::Value;

use super::script::{Change, Couplers, Doing, Scene, Start, Who};
use crate::consist::document::{Reading, Section, parse};
use crate::consist::{ConsistFileError, ConsistFileErrors, tidy_name};
use crate::placement::Slack;

const SCENE: [&str; 6] = ["name", "head_at", "start", "slack", "lasts", "note"];
const COUPLERS: [&str; 2] = ["stiffness", "damping_ratio"];
const CHANGE: [&str; 6] = ["at", "who", "do", "speed", "over", "lasting"];

const SLACKS: [(&str, Slack); 3] = [
    ("stretched", Slack::Stretched),
    ("halfway", Slack::Middle),
    ("bunched", Slack::Bunched),
];

#[derive(Clone, Copy)]
enum Word {
    Run,
    Stop,
    LosePower,
    PowerBack,
}

const WORDS: [(&str, Word); 4] = [
    ("run", Word::Run),
    ("stop", Word::Stop),
    ("lose power", Word::LosePower),
    ("get power back", Word::PowerBack),
];

/// Longest scene, s.
const LONGEST: f64 = 3600.0;

/// Reads a scene file.
///
/// # Errors
/// [`ConsistFileErrors`] lists everything that is wrong with line and key, what was found and what
/// was expected.
///
/// # Example
/// ```
/// use gradeworthy_train::scene::{Doing, read_scene};
/// let scene = read_scene(r#"
///     [scene]
///     name = "head end loses power"
///     head_at = "30 m"
///     start = "running"
///     lasts = "8 s"
///
///     [[change]]
///     at = "2 s"
///     who = "head end"
///     do = "lose power"
///     lasting = "1 s"
/// "#)?;
/// assert_eq!(scene.changes[0].doing, Doing::LosePower { lasting: Some(1.0) });
/// # Ok::<(), gradeworthy_train::consist::ConsistFileErrors>(())
/// ```
pub fn read_scene(text: &str) -> Result<Scene, ConsistFileErrors> {
    let (document, mut reading) = parse(text)?;
    let (mut scene, mut couplers, mut changes) = (None, Couplers::default(), Vec::new());
    for (word, item) in document.as_table() {
        let expected = "[scene], [couplers], [[change]]";
        match word {
            "scene" => {
                let sections = reading.tables("scene", item, "a section [scene]");
                let each = sections.iter().map(|own| read_head(&mut reading, own));
                scene = each.last();
            }
            "couplers" => {
                for section in reading.tables("couplers", item, "a section [couplers]") {
                    couplers = read_couplers(&mut reading, &section);
                }
            }
            "change" => {
                for section in reading.tables("change", item, "a section [[change]]") {
                    changes.extend(read_change(&mut reading, &section));
                }
            }
            other => {
                let line = reading.lines.of(item).unwrap_or(1);
                let found = other.to_owned();
                reading.errors.push(ConsistFileError::UnknownSection {
                    line,
                    found,
                    expected,
                });
            }
        }
    }
    if scene.is_none() && reading.errors.is_empty() {
        reading.errors.push(ConsistFileError::Missing {
            line: 1,
            section: "file",
            key: "scene",
            expected: "a section [scene] with 'name', 'head_at', 'start' and 'lasts'",
        });
    }
    changes.sort_by(|a: &Change, b| a.at.total_cmp(&b.at));
    let scene = Scene {
        couplers,
        changes,
        ..scene.unwrap_or_else(empty)
    };
    reading.finish(scene)
}

fn empty() -> Scene {
    Scene {
        name: String::new(),
        head_at: 0.0,
        start: Start::Running,
        lasts: 1.0,
        couplers: Couplers::default(),
        changes: Vec::new(),
        note: None,
    }
}

fn read_head(reading: &mut Reading<'_>, section: &Section<'_>) -> Scene {
    reading.refuse_unknown(section, &SCENE);
    let name = reading.text(section, "name");
    if name.is_none() {
        reading.missing(section, "name", "what the scene is called");
    }
    let head = reading.quantity(section, "head_at", Unit::Metre, true);
    if section.table.get("head_at").is_none() {
        let expected = "where the head's front bolster is at the start, such as 30 m";
        reading.missing(section, "head_at", expected);
    }
    let starts = [("standing", true), ("running", false)];
    let standing = reading.word(section, "start", &starts);
    if section.table.get("start").is_none() {
        reading.missing(section, "start", "'standing' or 'running'");
    }
    let slack = reading.word(section, "slack", &SLACKS);
    if slack.is_some() && standing == Some(false) {
        let line = reading.line(section, "slack");
        let expected = "nothing: a running train's slack follows from its forces".to_owned();
        reading.not_a_choice(line, "slack", "a word", expected);
    }
    let lasts = seconds(reading, section, "lasts", false);
    if section.table.get("lasts").is_none() {
        reading.missing(section, "lasts", "how long to look on, such as 20 s");
    }
    if lasts.is_some_and(|own| own > LONGEST) {
        let line = reading.line(section, "lasts");
        let found = reading.text(section, "lasts").unwrap_or_default();
        reading.out_of_range(line, "lasts", &found, "at most an hour");
    }
    Scene {
        name: name.unwrap_or_default(),
        head_at: head.map_or(0.0, |own| own.amount.base() / 1e3),
        start: match standing {
            Some(true) => Start::Standing(slack.unwrap_or(Slack::Stretched)),
            _ => Start::Running,
        },
        lasts: lasts.unwrap_or(1.0),
        note: reading.text(section, "note"),
        ..empty()
    }
}

fn seconds(
    reading: &mut Reading<'_>,
    section: &Section<'_>,
    key: &str,
    may_be_zero: bool,
) -> Option<f64> {
    let typed = reading.quantity(section, key, Unit::Second, may_be_zero)?;
    Some(typed.amount.base())
}

fn read_couplers(reading: &mut Reading<'_>, section: &Section<'_>) -> Couplers {
    reading.refuse_unknown(section, &COUPLERS);
    let usual = Couplers::default();
    let stiffness = reading.number(
        section,
        "stiffness",
        (0.01, 1000.0),
        "newtons per millimetre, from 0.01 to 1000",
    );
    let ratio = reading.number(section, "damping_ratio", (0.0, 1.0), "from 0 to 1");
    Couplers {
        stiffness: stiffness.map_or(usual.stiffness, |own| own * 1e3),
        damping_ratio: ratio.unwrap_or(usual.damping_ratio),
    }
}

fn read_change(reading: &mut Reading<'_>, section: &Section<'_>) -> Option<Change> {
    reading.refuse_unknown(section, &CHANGE);
    let at = seconds(reading, section, "at", true);
    if section.table.get("at").is_none() {
        reading.missing(section, "at", "when it happens, such as 2 s");
    }
    let who = read_who(reading, section);
    if section.table.get("who").is_none() {
        let expected = "'all', 'head end', 'cut in', 'rear end', or names of locomotives";
        reading.missing(section, "who", expected);
    }
    let word = reading.word(section, "do", &WORDS);
    if section.table.get("do").is_none() {
        let all: Vec<_> = WORDS.iter().map(|(word, _)| *word).collect();
        let line = section.line;
        reading.not_a_choice(line, "do", "nothing", all.join(", "));
    }
    let word = word?;
    let speed = reading.quantity(section, "speed", Unit::Percent, true);
    let over = seconds(reading, section, "over", true);
    let lasting = seconds(reading, section, "lasting", false);
    let takes: &[&str] = match word {
        Word::Run => &["speed", "over"],
        Word::Stop => &["over"],
        Word::LosePower => &["lasting"],
        Word::PowerBack => &[],
    };
    for key in ["speed", "over", "lasting"] {
        if section.table.get(key).is_some() && !takes.contains(&key) {
            let line = reading.line(section, key);
            reading.errors.push(ConsistFileError::UnknownKey {
                line,
                section: "change",
                key: key.to_owned(),
                expected: if takes.is_empty() {
                    "none beside 'at', 'who' and 'do'".to_owned()
                } else {
                    takes.join(", ")
                },
            });
        }
    }
    if matches!(word, Word::Run) && section.table.get("speed").is_none() {
        let expected = "the part of each locomotive's own setting, such as 100 %";
        reading.missing(section, "speed", expected);
    }
    let over = over.unwrap_or(0.0);
    let doing = match word {
        Word::Run => Doing::Run {
            speed: speed?.amount.base(),
            over,
        },
        Word::Stop => Doing::Stop { over },
        Word::LosePower => Doing::LosePower { lasting },
        Word::PowerBack => Doing::PowerBack,
    };
    Some(Change {
        at: at?,
        who,
        doing,
    })
}

/// One word, or a list of names.
fn read_who(reading: &mut Reading<'_>, section: &Section<'_>) -> Vec<Who> {
    let Some(item) = section.table.get("who") else {
        return Vec::new();
    };
    let names = if item.is_array() {
        reading.list(section, "who")
    } else {
        let line = reading.line(section, "who");
        let one = reading.text(section, "who");
        one.map(|text| (text, line)).into_iter().collect()
    };
    let who = |(text, line): (String, usize)| match text.trim().to_lowercase().as_str() {
        "all" => Who::All,
        "head end" => Who::HeadEnd,
        "cut in" => Who::CutIn,
        "rear end" => Who::RearEnd,
        _ => Who::Named(tidy_name(&text), line),
    };
    names.into_iter().map(who).collect()
}

/// Writes a scene file that reads back as the same scene, lines left out.
#[must_use]
pub fn write_scene(scene: &Scene) -> String {
    let mut text = format!("[scene]\nname = {}\n", Value::from(&scene.name));
    text += &format!("head_at = \"{} m\"\n", scene.head_at);
    match scene.start {
        Start::Running => text += "start = \"running\"\n",
        Start::Standing(slack) => {
            let word = SLACKS.iter().find(|(_, own)| *own == slack);
            let word = word.map_or("stretched", |(word, _)| word);
            text += &format!("start = \"standing\"\nslack = \"{word}\"\n");
        }
    }
    text += &format!("lasts = \"{} s\"\n", scene.lasts);
    if let Some(note) = &scene.note {
        text += &format!("note = {}\n", Value::from(note));
    }
    let Couplers {
        stiffness,
        damping_ratio,
    } = scene.couplers;
    text += &format!(
        "\n[couplers]\nstiffness = {}\ndamping_ratio = {damping_ratio}\n",
        stiffness / 1e3
    );
    for change in &scene.changes {
        text += &write_change(change);
    }
    text
}

fn write_change(change: &Change) -> String {
    let who = |own: &Who| match own {
        Who::All => Value::from("all"),
        Who::HeadEnd => Value::from("head end"),
        Who::CutIn => Value::from("cut in"),
        Who::RearEnd => Value::from("rear end"),
        Who::Named(name, _) => Value::from(name),
    };
    let names: Vec<_> = change.who.iter().map(|own| who(own).to_string()).collect();
    let mut text = format!(
        "\n[[change]]\nat = \"{} s\"\nwho = [{}]\n",
        change.at,
        names.join(", ")
    );
    text += &match change.doing {
        Doing::Run { speed, over } => {
            format!(
                "do = \"run\"\nspeed = \"{} %\"\nover = \"{over} s\"\n",
                speed * 100.0
            )
        }
        Doing::Stop { over } => format!("do = \"stop\"\nover = \"{over} s\"\n"),
        Doing::LosePower { lasting: None } => "do = \"lose power\"\n".to_owned(),
        Doing::LosePower {
            lasting: Some(lasting),
        } => format!("do = \"lose power\"\nlasting = \"{lasting} s\"\n"),
        Doing::PowerBack => "do = \"get power back\"\n".to_owned(),
    };
    text
}
