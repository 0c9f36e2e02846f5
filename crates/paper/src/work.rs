//! What was found and what to do, as the sentences of tags and record sheets.

use gradeworthy_reports::text::alike;
use gradeworthy_reports::words::{self, System};
use gradeworthy_workbench::Verdict;
use gradeworthy_workbench::checks::{Finding, Inspection, Line};
use gradeworthy_workbench::cures::Cure;
use gradeworthy_workbench::record::{Car, Check};

use crate::label::sign;

/// One piece of work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TagWork {
    /// What to do, with its numbers.
    pub what: String,
    /// What follows: rest, and what to look at again.
    pub then: Option<String>,
    /// The customary caution.
    pub caution: Option<String>,
}

/// What a car is: '40-ft box car, HO'.
pub(crate) fn what(car: &Car) -> String {
    let letters = car.car_type.as_ref().map(|own| own.as_str().to_owned());
    match car.description.as_deref().map(str::to_owned).or(letters) {
        Some(what) => format!("{what}, {}", car.scale),
        None => car.scale.to_string(),
    }
}

/// What is not fit, worst first, each with its sign; then what is stale and what was not checked, one
/// line each.
pub(crate) fn found(inspection: &Inspection, system: System) -> Vec<(&'static str, String)> {
    let mut said = Vec::new();
    for verdict in [Verdict::BadOrder, Verdict::Watch] {
        let lines: Vec<&Line> = inspection
            .lines
            .iter()
            .filter(|line| line.verdict == verdict)
            .collect();
        for group in alike(&lines) {
            let places: Vec<_> = group.iter().map(|line| line.place).collect();
            let text = words::line_at(group[0], &words::places(&places), system);
            said.push((sign(verdict), text));
        }
    }
    for finding in &inspection.findings {
        if let Finding::Excused { .. } = finding {
            said.push((sign(Verdict::Watch), finding.to_string()));
        }
    }
    for (verdict, words) in [
        (Verdict::Stale, "read before the last work, read again"),
        (Verdict::NotChecked, "not checked"),
    ] {
        let checks: Vec<_> = Check::ALL
            .into_iter()
            .filter(|check| inspection.of(*check) == verdict)
            .map(Check::name)
            .collect();
        if !checks.is_empty() {
            said.push((sign(verdict), format!("{words}: {}", checks.join(", "))));
        }
    }
    said
}

/// What to do: cures that are the same at several places together; what follows and the caution once
/// for all cures of a kind.
pub(crate) fn work(cures: &[Cure], system: System) -> Vec<TagWork> {
    let mut groups: Vec<Vec<&Cure>> = Vec::new();
    for cure in cures {
        let same = |group: &&mut Vec<&Cure>| group[0].action == cure.action;
        match groups.iter_mut().find(same) {
            Some(group) => group.push(cure),
            None => groups.push(vec![cure]),
        }
    }
    let piece = |(index, group): (usize, &Vec<&Cure>)| {
        let cure = group[0];
        let places: Vec<_> = group.iter().map(|cure| cure.place).collect();
        let later = groups[index + 1..]
            .iter()
            .any(|other| other[0].kind == cure.kind && other[0].check == cure.check);
        TagWork {
            what: words::cure_at(cure, &words::places(&places), system),
            then: if later { None } else { words::then(cure) },
            caution: if later {
                None
            } else {
                cure.caution.as_deref().map(str::to_owned)
            },
        }
    };
    groups.iter().enumerate().map(piece).collect()
}
