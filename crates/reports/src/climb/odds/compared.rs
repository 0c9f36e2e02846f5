//! Two make-ups that met the same chance, said side by side.

use gradeworthy_train::odds::{Paired, paired};

use super::{CONFIDENCE, OddsAnswer};

/// A second make-up beside the first.
#[derive(Clone, Copy, Debug)]
pub struct Compared<'a> {
    /// What the first is called.
    pub first_name: &'a str,
    /// What the second is called.
    pub second_name: &'a str,
    /// The second's own odds.
    pub second: &'a OddsAnswer,
    /// Trip by trip.
    pub paired: Paired,
}

/// Puts a second make-up beside the first; nothing where either was ended early, or they did not meet the
/// same chance.
#[must_use]
pub fn beside<'a>(
    (first_name, first): (&'a str, &OddsAnswer),
    (second_name, second): (&'a str, &'a OddsAnswer),
) -> Option<Compared<'a>> {
    if first.asked.seed != second.asked.seed {
        return None;
    }
    let paired = paired(&first.odds, &second.odds, CONFIDENCE)?;
    Some(Compared {
        first_name,
        second_name,
        second,
        paired,
    })
}

impl Compared<'_> {
    /// What the comparison says, most important first.
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let own = &self.paired;
        let percent = |part: f64| format!("{:.1}", 100.0 * part);
        let side = |part: f64| if part < 0.0 { "rarer" } else { "likelier" };
        let end = |part: f64| format!("{} {}", percent(part.abs()), side(part));
        let found = if own.first_only == own.second_only {
            "as likely as".to_owned()
        } else {
            let by = percent(own.difference.abs());
            format!("{by} percentage points {} than", side(own.difference))
        };
        let verdict = if own.high < 0.0 {
            format!("{} is the better one", self.second_name)
        } else if own.low > 0.0 {
            format!("{} is the better one", self.first_name)
        } else {
            "which is better cannot be told from these trips: ask for more".to_owned()
        };
        let second = self.second.odds.probability(CONFIDENCE);
        vec![
            format!(
                "with {} trouble is {found} with {}, between {} and {} with {:.0} % confidence: {verdict}",
                self.second_name,
                self.first_name,
                end(own.low),
                end(own.high),
                100.0 * own.confidence
            ),
            format!(
                "{}: trouble in {} of {} trips, {} %, between {} and {} %",
                self.second_name,
                self.second.odds.troubled(),
                own.trips,
                percent(second.estimate),
                percent(second.low),
                percent(second.high)
            ),
            format!(
                "the same {} evenings for both: {} in trouble with both, {} with {} only, {} with {} only",
                own.trips,
                own.both,
                own.first_only,
                self.first_name,
                own.second_only,
                self.second_name
            ),
        ]
    }
}

#[cfg(test)]
mod tests {
    use gradeworthy_train::odds::Odds;
    use gradeworthy_train::statics::Condition;
    use gradeworthy_train::sweep::Check;

    use super::*;
    use crate::climb::OddsAsked;

    fn told(first_only: usize, second_only: usize) -> Vec<String> {
        let second = OddsAnswer {
            asked: OddsAsked {
                check: Check::new(Condition::Running, 0.25),
                trips: 0,
                seed: 1,
                narrow: false,
            },
            odds: Odds {
                trips: Vec::new(),
                asked: 0,
            },
            narrowing: Vec::new(),
        };
        let compared = Compared {
            first_name: "A",
            second_name: "B",
            second: &second,
            paired: Paired::of_counts(100, 3, (first_only, second_only), 0.95),
        };
        compared.sentences()
    }

    #[test]
    fn rarer_and_likelier_are_said_and_what_cannot_be_told_is_said_too() {
        assert!(
            told(40, 2)[0]
                .starts_with("with B trouble is 38.0 percentage points rarer than with A")
        );
        assert!(told(40, 2)[0].ends_with("B is the better one"));
        assert!(told(2, 40)[0].contains("38.0 percentage points likelier than with A"));
        assert!(told(2, 40)[0].ends_with("A is the better one"));
        let even = &told(4, 4)[0];
        assert!(even.contains("as likely as with A"), "{even}");
        assert!(even.contains("cannot be told"), "{even}");
        assert!(
            even.contains("rarer and") && even.contains("likelier with"),
            "{even}"
        );
        assert!(told(40, 2)[2].contains("3 in trouble with both, 40 with A only, 2 with B only"));
    }
}
