//! What a search asks, as it stands after the question mark, and as the fleet understands it.

use std::fmt::Write as _;

use gradeworthy_fleet::{Bound, Cursor, Query, Sort, SortKey};
use gradeworthy_standards::Scale;
use gradeworthy_store::Standing;
use gradeworthy_units::{Amount, Reader};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::record::{Check, Kind, Measure, Place};
use gradeworthy_workbench::rules::BareUnits;
use serde::Deserialize;
use utoipa::IntoParams;

use crate::refusal::Refusal;
use crate::request::encoded;
use crate::words::{place_from_key, place_key};

/// What is searched for. Whatever is left out or empty asks nothing.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[serde(default)]
pub(crate) struct Search {
    /// Words that occur somewhere in marks, owner, type, description, tags, state, parts or lots.
    pub(super) q: String,
    /// The scale.
    pub(super) scale: String,
    /// The first letters of the car type.
    pub(super) letters: String,
    /// A tag.
    pub(super) tag: String,
    /// A part of the owner's name.
    pub(super) owner: String,
    /// Where it stands, by name.
    pub(super) state: String,
    /// The verdict on the car under the rule book in force: 'fit', 'watch', 'not checked', 'stale', 'bad order'.
    pub(super) verdict: String,
    /// A check whose verdict is asked for.
    pub(super) check: String,
    /// The verdict of that check; 'bad order' where none is given.
    pub(super) check_verdict: String,
    /// Something that is read, by name.
    pub(super) measure: String,
    /// Where it is read: 'car', 'end-A', 'station-1-2'; anywhere if not given.
    pub(super) place: String,
    /// The reading is at least this; a bare number is in the rule book's unit.
    pub(super) at_least: String,
    /// The reading is at most this.
    pub(super) at_most: String,
    /// A kind of part, or a part of its description.
    pub(super) part: String,
    /// The whole lot of a part.
    pub(super) lot: String,
    /// 'marks', 'owner', 'verdict', 'since' or 'reading'; by marks if not given.
    pub(super) sort: String,
    /// 'yes' for the other way round.
    pub(super) falling: String,
    /// What the last car of the page before was sorted by.
    pub(super) after_key: String,
    /// Marks of the last car of the page before.
    pub(super) after_mark: String,
    /// Identity of the last car of the page before; 0 for the first page.
    pub(super) after_car: i64,
}

/// Names of the ways to sort, with what a page calls them.
pub(super) const SORTS: [(&str, &str); 5] = [
    ("marks", "marks"),
    ("owner", "owner"),
    ("verdict", "verdict, gravest first"),
    ("since", "longest where it stands"),
    ("reading", "the reading asked for"),
];

impl Search {
    /// The search that a text after a question mark stands for, as groups keep it.
    pub(crate) fn from_text(text: &str) -> Result<Self, Refusal> {
        let uri = format!("/?{text}").parse::<axum::http::Uri>();
        let unreadable = |why: String| Refusal::Unreadable { why };
        let uri = uri.map_err(|error| unreadable(error.to_string()))?;
        let found = axum::extract::Query::<Self>::try_from_uri(&uri);
        let found = found.map_err(|error| unreadable(error.body_text()))?;
        Ok(found.0)
    }

    /// Every field with its name, in the order of the form.
    fn fields(&self) -> [(&'static str, &str); 17] {
        [
            ("q", &self.q),
            ("scale", &self.scale),
            ("letters", &self.letters),
            ("tag", &self.tag),
            ("owner", &self.owner),
            ("state", &self.state),
            ("verdict", &self.verdict),
            ("check", &self.check),
            ("check_verdict", &self.check_verdict),
            ("measure", &self.measure),
            ("place", &self.place),
            ("at_least", &self.at_least),
            ("at_most", &self.at_most),
            ("part", &self.part),
            ("lot", &self.lot),
            ("sort", &self.sort),
            ("falling", &self.falling),
        ]
    }

    /// Its fields that ask something, for hidden fields of other forms.
    pub(super) fn filled(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let filled = |(_, value): &(&str, &str)| !value.trim().is_empty();
        self.fields().into_iter().filter(filled)
    }

    /// What stands after the question mark, without the page.
    pub(crate) fn text(&self) -> String {
        let pairs = self.filled();
        let written = pairs.map(|(name, value)| format!("{name}={}", encoded(value.trim())));
        written.collect::<Vec<_>>().join("&")
    }

    /// The same with the place where the next page begins.
    pub(super) fn onward(&self, next: &Cursor) -> String {
        let key = match &next.key {
            SortKey::Number(number) => format!("n{number}"),
            SortKey::Text(text) => format!("t{text}"),
            SortKey::Nothing => String::new(),
        };
        let (key, mark) = (encoded(&key), encoded(&next.mark));
        let own = self.text();
        format!(
            "{own}&after_key={key}&after_mark={mark}&after_car={}",
            next.car
        )
    }

    /// Where the page begins.
    pub(super) fn after(&self) -> Result<Option<Cursor>, Refusal> {
        if self.after_car == 0 {
            return Ok(None);
        }
        let key = match self.after_key.split_at_checked(1) {
            None => SortKey::Nothing,
            Some(("t", text)) => SortKey::Text(text.into()),
            Some(("n", number)) => match number.parse() {
                Ok(number) => SortKey::Number(number),
                Err(_) => return Err(no_choice(&self.after_key, "place in a list")),
            },
            Some(_) => return Err(no_choice(&self.after_key, "place in a list")),
        };
        Ok(Some(Cursor {
            key,
            mark: self.after_mark.as_str().into(),
            car: self.after_car,
        }))
    }

    /// What is asked, as the fleet understands it.
    pub(crate) fn query(&self, bare: &BareUnits) -> Result<Query, Refusal> {
        let filled = |text: &str| (!text.trim().is_empty()).then(|| text.trim().into());
        let check = one_of(&self.check, "check", Check::from_name)?;
        let of_check = one_of(&self.check_verdict, "verdict", verdict)?;
        let scale = |text: &str| Scale::all().find(|scale| scale.name() == text);
        let state = |text: &str| Standing::NAMES.into_iter().find(|name| *name == text);
        Ok(Query {
            words: Query::words_of(&self.q),
            scale: one_of(&self.scale, "scale", scale)?,
            letters: filled(&self.letters),
            tag: filled(&self.tag),
            owner_member: None,
            owner: filled(&self.owner),
            state: one_of(&self.state, "state of a car", state)?.map(Into::into),
            verdict: one_of(&self.verdict, "verdict", verdict)?,
            checks: check
                .map(|check| (check, of_check.unwrap_or(Verdict::BadOrder)))
                .into_iter()
                .collect(),
            bounds: self.bound(bare)?.into_iter().collect(),
            part: filled(&self.part),
            lot: filled(&self.lot),
        })
    }

    /// The reading that is asked for, and where.
    pub(super) fn reading(&self) -> Result<Option<(Measure, Option<Place>)>, Refusal> {
        let measure = one_of(&self.measure, "thing that is read", Measure::from_name)?;
        let place = one_of(&self.place, "place on a car", place_from_key)?;
        Ok(measure.map(|measure| (measure, place)))
    }

    fn bound(&self, bare: &BareUnits) -> Result<Option<Bound>, Refusal> {
        let asked = !(self.at_least.trim().is_empty() && self.at_most.trim().is_empty());
        let Some((measure, place)) = self.reading()? else {
            return if asked {
                Err(Refusal::Unfilled {
                    what: "the reading that is to be at least or at most so much",
                })
            } else {
                Ok(None)
            };
        };
        if !asked {
            return Ok(None);
        }
        Ok(Some(Bound {
            measure,
            place,
            lower: amount(&self.at_least, measure, bare)?,
            upper: amount(&self.at_most, measure, bare)?,
        }))
    }

    pub(super) fn sorted(&self) -> Result<(Sort, bool), Refusal> {
        let sort = match self.sort.as_str() {
            "" | "marks" => Sort::Mark,
            "owner" => Sort::Owner,
            "verdict" => Sort::Verdict,
            "since" => Sort::Since,
            "reading" => match self.reading()? {
                Some((measure, place)) => Sort::Reading { measure, place },
                None => {
                    return Err(Refusal::Unfilled {
                        what: "the reading to sort by",
                    });
                }
            },
            other => return Err(no_choice(other, "way to sort")),
        };
        Ok((sort, !self.falling.is_empty()))
    }

    /// What is asked, in words: `state admitted, coupler height at A end at most .388 in`.
    pub(crate) fn words(&self) -> String {
        let mut words = Vec::new();
        let say = |name: &str, value: &str| {
            let value = value.trim();
            (!value.is_empty()).then(|| format!("{name} '{value}'"))
        };
        words.extend(say("with", &self.q));
        words.extend(say("scale", &self.scale));
        words.extend(say("type", &self.letters));
        words.extend(say("tag", &self.tag));
        words.extend(say("owner", &self.owner));
        words.extend(say("standing", &self.state));
        words.extend(say("verdict", &self.verdict));
        if !self.check.is_empty() {
            let verdict = if self.check_verdict.is_empty() {
                "bad order"
            } else {
                &self.check_verdict
            };
            words.push(format!("{} {verdict}", self.check));
        }
        if !(self.at_least.is_empty() && self.at_most.is_empty()) {
            let mut bound = self.measure.clone();
            if let Some(place) = place_from_key(&self.place) {
                // A String takes everything.
                let _ = write!(bound, " at {place}");
            }
            for (word, limit) in [("at least", &self.at_least), ("at most", &self.at_most)] {
                if !limit.is_empty() {
                    let _ = write!(bound, " {word} {limit}");
                }
            }
            words.push(bound);
        }
        words.extend(say("part", &self.part));
        words.extend(say("lot", &self.lot));
        if words.is_empty() {
            "every car".to_owned()
        } else {
            words.join(", ")
        }
    }
}

/// A typed limit of a reading; nothing where nothing was typed.
fn amount(text: &str, measure: Measure, bare: &BareUnits) -> Result<Option<Amount>, Refusal> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let Kind::Quantity(dimension) = measure.kind() else {
        return Err(Refusal::Reading {
            faults: vec![format!(
                "{measure} is answered and not measured: ask by its check"
            )],
        });
    };
    let read = Reader::new(bare.of(dimension)).read(text);
    let typed = read.map_err(|error| Refusal::Reading {
        faults: vec![format!("{measure}: {error}")],
    })?;
    Ok(Some(typed.amount))
}

pub(super) fn verdict(word: &str) -> Option<Verdict> {
    Verdict::ALL.into_iter().find(|own| own.word() == word)
}

pub(super) fn no_choice(found: &str, expected: &'static str) -> Refusal {
    let found = found.to_owned();
    Refusal::NotAChoice { found, expected }
}

/// A field that names one of a list, or is empty.
pub(super) fn one_of<T>(
    text: &str,
    expected: &'static str,
    find: impl FnOnce(&str) -> Option<T>,
) -> Result<Option<T>, Refusal> {
    match text.trim() {
        "" => Ok(None),
        text => find(text)
            .map(Some)
            .ok_or_else(|| no_choice(text, expected)),
    }
}

/// Every quantity that is read, for a choice.
pub(super) fn measures() -> impl Iterator<Item = (&'static str, &'static str)> {
    let quantity = |own: &Measure| matches!(own.kind(), Kind::Quantity(_));
    let named = Measure::all()
        .filter(quantity)
        .map(|own| (own.name(), own.name()));
    std::iter::once(("", "none")).chain(named)
}

/// Every place at which something is read on an ordinary car, for a choice.
pub(super) fn places(read: impl Iterator<Item = (Measure, Place)>) -> Vec<(String, String)> {
    let mut places: Vec<Place> = read.map(|(_, place)| place).collect();
    places.sort_unstable();
    places.dedup();
    let named = places.into_iter();
    named
        .map(|place| (place_key(place), place.to_string()))
        .collect()
}
