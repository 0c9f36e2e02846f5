//! What the shop has in its drawers and has learned: stock, bends, spin pairs, the test track.
//!
//! Cures draw on the stock; how plastic springs back and what a spin stands for are learned from the
//! shop's own results. Like the rule book it is a TOML file of our own design.

use std::fmt;

use gradeworthy_units::{Amount, Dimension, Grade, Length, Mass, Time};

use crate::section::{Problem, Problems, Section};

/// A size in stock, and how many there are.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Thickness.
    pub thickness: Length,
    /// How many; strip is cut from sheet and needs no count.
    pub count: Option<u32>,
}

/// A kind of weight in stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Weight {
    /// What the shop calls it.
    pub name: Box<str>,
    /// Its mass.
    pub mass: Mass,
    /// How many there are.
    pub count: u32,
}

/// A bend that was looked at again.
#[derive(Clone, Debug, PartialEq)]
pub struct PastBend {
    /// Material, as the shop names it.
    pub material: Box<str>,
    /// The set right after release.
    pub set: Length,
    /// What was left at the second look.
    pub next_day: Length,
}

/// One car or truck of which both the spin time and the rolling grade are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpinPair {
    /// Time of spin.
    pub time: Time,
    /// Grade at which it kept rolling.
    pub grade: Grade,
}

/// Stock and history of one shop.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shop {
    /// Washers for bolsters.
    pub washers: Vec<Sheet>,
    /// Shims for between draft-gear box and floor.
    pub box_shims: Vec<Sheet>,
    /// Strip for inside a draft-gear box.
    pub strips: Vec<Sheet>,
    /// Pads for seating a truck.
    pub pads: Vec<Sheet>,
    /// Weights.
    pub weights: Vec<Weight>,
    /// Bends that were looked at again.
    pub bends: Vec<PastBend>,
    /// Pairs of spin time and grade.
    pub spin_pairs: Vec<SpinPair>,
    /// Places of the timing gates along the test track, from the first.
    pub gates: Vec<Length>,
}

/// Everything wrong with a shop file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopError {
    /// The problems, in the order of the file; never empty.
    pub problems: Vec<Problem>,
}

impl fmt::Display for ShopError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the shop file has {} problem(s)", self.problems.len())?;
        self.problems
            .iter()
            .try_for_each(|problem| write!(f, "\n  {problem}"))
    }
}

impl std::error::Error for ShopError {}

impl Shop {
    /// Reads a shop file from its TOML text.
    ///
    /// # Errors
    /// [`ShopError`] lists every problem with its line, its key, what was found and what was
    /// expected.
    ///
    /// # Example
    /// ```
    /// use gradeworthy_workbench::shop::Shop;
    /// let shop = Shop::read("[[washer]]\nthickness = \"0.010 in\"\ncount = 12\n")?;
    /// assert_eq!(shop.washers.len(), 1);
    /// # Ok::<(), gradeworthy_workbench::shop::ShopError>(())
    /// ```
    pub fn read(text: &str) -> Result<Self, ShopError> {
        let problems = Problems::of(text);
        let shop = problems.parse().map(|document| {
            let root = Section::root(&document, &problems);
            let shop = read_shop(&root);
            root.finish();
            shop
        });
        let problems = problems.into_list();
        match shop {
            Some(shop) if problems.is_empty() => Ok(shop),
            _ => Err(ShopError { problems }),
        }
    }

    /// The shop's bends of `material`, as pairs of set and what was left.
    pub fn bends_of<'a>(&'a self, material: &'a str) -> impl Iterator<Item = &'a PastBend> {
        self.bends
            .iter()
            .filter(move |bend| bend.material.eq_ignore_ascii_case(material))
    }
}

fn read_shop(root: &Section<'_>) -> Shop {
    let sheets = |key| root.sections(key).iter().filter_map(read_sheet).collect();
    Shop {
        washers: sheets("washer"),
        box_shims: sheets("box_shim"),
        strips: sheets("strip"),
        pads: sheets("pad"),
        weights: root
            .sections("weight")
            .iter()
            .filter_map(read_weight)
            .collect(),
        bends: root.sections("bend").iter().filter_map(read_bend).collect(),
        spin_pairs: root
            .sections("spin_pair")
            .iter()
            .filter_map(read_spin_pair)
            .collect(),
        gates: root
            .section("test_track")
            .map(|track| read_gates(&track))
            .unwrap_or_default(),
    }
}

fn positive<T: PartialOrd + Copy>(
    section: &Section<'_>,
    key: &str,
    value: Option<T>,
    zero: T,
) -> Option<T> {
    if !section.has(key) {
        section.missing(key, "a value with its unit");
    }
    if value.is_some_and(|value| value <= zero) {
        section.wrong(key, "zero or less", "more than nothing");
        return None;
    }
    value
}

fn read_sheet(section: &Section<'_>) -> Option<Sheet> {
    let thickness = positive(
        section,
        "thickness",
        section.length("thickness"),
        Length::ZERO,
    );
    let count = section.count("count");
    section.finish();
    Some(Sheet {
        thickness: thickness?,
        count,
    })
}

fn read_weight(section: &Section<'_>) -> Option<Weight> {
    let name = section.required_text("name");
    let mass = positive(section, "mass", section.mass("mass"), Mass::ZERO);
    let count = section.count("count");
    if !section.has("count") {
        section.missing("count", "how many there are");
    }
    section.finish();
    Some(Weight {
        name: name?.into(),
        mass: mass?,
        count: count?,
    })
}

fn read_bend(section: &Section<'_>) -> Option<PastBend> {
    let material = section.required_text("material");
    let set = positive(section, "set", section.length("set"), Length::ZERO);
    let next_day = section.length("next_day");
    if !section.has("next_day") {
        section.missing("next_day", "the set that was left at the second look");
    }
    section.finish();
    Some(PastBend {
        material: material?.into(),
        set: set?,
        next_day: next_day?,
    })
}

fn read_spin_pair(section: &Section<'_>) -> Option<SpinPair> {
    let time = section.amount("time", Dimension::Time);
    let grade = section.amount("grade", Dimension::Grade);
    for key in ["time", "grade"] {
        if !section.has(key) {
            section.missing(
                key,
                "a spin time and the grade at which the same car kept rolling",
            );
        }
    }
    section.finish();
    match (time?, grade?) {
        (Amount::Time(time), Amount::Grade(grade)) => Some(SpinPair { time, grade }),
        _ => None,
    }
}

fn read_gates(section: &Section<'_>) -> Vec<Length> {
    let mut gates = Vec::new();
    let reader = gradeworthy_units::Reader::new(gradeworthy_units::Unit::Millimetre);
    for text in section.texts("gates") {
        match reader
            .read(text)
            .map(|typed| (typed.unit_was_typed, typed.amount))
        {
            Ok((true, Amount::Length(gate))) if gates.last().is_none_or(|last| gate > *last) => {
                gates.push(gate);
            }
            Ok(_) => section.wrong(
                "gates",
                format!("'{text}'"),
                "lengths with their unit, each farther along than the one before",
            ),
            Err(error) => section.wrong("gates", error.to_string(), "a length with its unit"),
        }
    }
    section.finish();
    gates
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shop_file_is_read_whole() {
        let text = "\
[[washer]]\nthickness = \"0.010 in\"\ncount = 12\n\
[[strip]]\nthickness = \"0.005 in\"\n\
[[weight]]\nname = \"quarter ounce\"\nmass = \"1/4 oz\"\ncount = 40\n\
[[bend]]\nmaterial = \"styrene\"\nset = \"0.50 mm\"\nnext_day = \"0.28 mm\"\n\
[[spin_pair]]\ntime = \"20 s\"\ngrade = \"1.8 %\"\n\
[test_track]\ngates = [\"0 mm\", \"250 mm\", \"500 mm\"]\n";
        let shop = Shop::read(text).expect("a good file");
        assert_eq!(shop.washers[0].thickness, Length::from_thousandths(10));
        assert_eq!(shop.strips[0].count, None);
        assert_eq!(shop.weights[0].mass, Mass::from_milliounces(250));
        assert_eq!(shop.bends_of("STYRENE").count(), 1);
        assert_eq!(shop.gates.len(), 3);
    }

    #[test]
    fn every_problem_names_its_line_and_key() {
        let text = "[[washer]]\nthickness = \"0.010\"\ncount = -1\n[[weight]]\nmas = \"1 oz\"\n";
        let error = Shop::read(text).expect_err("four things are wrong");
        let said = error.to_string();
        for part in [
            "line 2, washer[1].thickness: found '0.010' without a unit",
            "line 3, washer[1].count: found integer -1; expected a whole number",
            "weight[1].mass: found nothing",
            "line 5, weight[1].mas: found a key that means nothing here",
        ] {
            assert!(said.contains(part), "{part}\n{said}");
        }
    }
}
