//! Sentences about a scene, each built here once.

use gradeworthy_train::dynamics::StopReason;
use gradeworthy_train::scene::{Change, Doing, Jolt, MotionMargin, Start, Who};

use super::answer::{Answer, Part};
use crate::climb::words::{number, spot, who};
use crate::climb::{Consist, Line, Spot, place_at};

/// The first line: the margin and what limits it.
#[must_use]
pub fn headline(answer: &Answer, consist: &Consist) -> String {
    match answer.spots.first() {
        Some((own, margin)) => {
            let said = moment(own, margin, consist);
            let mut before = answer.scene.changes.iter();
            let before = before.rfind(|own| own.at <= margin.time);
            let after = before.map_or_else(String::new, |own| format!(", after {}", done(own)));
            format!("Margin {}: {said}{after}", number(own.margin()))
        }
        None => "Margin 1.00: nothing bears on this train".to_owned(),
    }
}

/// All of it in one sentence: the margin and what limits it, what comes apart, where every part ends.
#[must_use]
pub fn verdict(answer: &Answer, consist: &Consist, line: &Line) -> String {
    let mut said = vec![headline(answer, consist)];
    let partings = partings(answer, consist);
    if partings.is_empty() {
        said.push(holds(answer.margin()).to_owned());
    }
    said.extend(partings.into_iter().map(|own| format!("it {own}")));
    let parts = answer.parts.iter();
    said.extend(parts.map(|own| ends(own, answer, consist, line)));
    said.join("; ")
}

/// Who, in which way, where, when, and by what kind of force.
#[must_use]
pub fn moment(own: &Spot, margin: &MotionMargin, consist: &Consist) -> String {
    let kind = match margin.jolt {
        Jolt::RunIn => "as slack runs in",
        Jolt::RunOut => "as slack runs out",
        Jolt::Steady => "under a force that lasts",
    };
    format!(
        "{}; {:.2} s into the scene, {kind}",
        spot(own, consist),
        margin.time
    )
}

/// `MP 601 and MP 602`, `the head end`.
fn whose(change: &Change) -> String {
    let each = change.who.iter().map(|own| match own {
        Who::All => "all locomotives".to_owned(),
        Who::HeadEnd => "the head end".to_owned(),
        Who::CutIn => "those cut in".to_owned(),
        Who::RearEnd => "the rear end".to_owned(),
        Who::Named(name, _) => name.clone(),
    });
    each.collect::<Vec<_>>().join(" and ")
}

/// `the head end lost power for 1 s`.
#[must_use]
pub fn done(change: &Change) -> String {
    let whose = whose(change);
    let over = |over: f64| {
        if over > 0.0 {
            format!(" over {over:.1} s")
        } else {
            " at once".to_owned()
        }
    };
    let when = format!("(at {:.1} s)", change.at);
    match change.doing {
        Doing::Run { speed, over: time } => {
            format!(
                "{whose} set to {:.0} % of own speed{} {when}",
                speed * 100.0,
                over(time)
            )
        }
        Doing::Stop { over: time } => format!("{whose} stopped{} {when}", over(time)),
        Doing::LosePower { lasting: None } => format!("{whose} lost power {when}"),
        Doing::LosePower {
            lasting: Some(lasting),
        } => format!("{whose} lost power for {lasting:.1} s {when}"),
        Doing::PowerBack => format!("{whose} got power back {when}"),
    }
}

/// `how it began`.
#[must_use]
pub fn began(start: Start, head_at: f64) -> String {
    match start {
        Start::Running => format!("running, its head at {head_at:.1} m"),
        Start::Standing(_) => format!("standing, its head at {head_at:.1} m"),
    }
}

fn between(k: usize, consist: &Consist) -> String {
    let name = |index: usize| &consist.members[index].name;
    format!("between {} and {}", name(k), name(k + 1))
}

/// The hardest pull and the hardest push.
#[must_use]
pub fn hardest(answer: &Answer, consist: &Consist) -> Vec<String> {
    let solution = &answer.played.solution;
    let mut said = Vec::new();
    if let Some((k, peak)) = solution.hardest_draft()
        && peak.draft > 0.0
    {
        let where_at = between(k, consist);
        said.push(format!(
            "hardest pull: {:.2} N {where_at}, {:.2} s in",
            peak.draft, peak.draft_time
        ));
    }
    if let Some((k, peak)) = solution.hardest_buff()
        && peak.buff < 0.0
    {
        let where_at = between(k, consist);
        said.push(format!(
            "hardest push: {:.2} N {where_at}, {:.2} s in",
            -peak.buff, peak.buff_time
        ));
    }
    said
}

/// What came apart, when.
#[must_use]
pub fn partings(answer: &Answer, consist: &Consist) -> Vec<String> {
    let all = answer.played.solution.partings.iter();
    all.map(|own| {
        let ahead = who(&consist.members[own.behind]);
        let behind = &consist.members[own.behind + 1].name;
        let ahead = ahead.trim_end_matches(',');
        format!(
            "comes apart behind {ahead}, ahead of {behind}, {:.2} s in, at {:.2} N",
            own.time, own.force
        )
    })
    .collect()
}

/// That nothing came apart, as far as that goes.
#[must_use]
pub const fn holds(margin: f64) -> &'static str {
    if margin < 0.0 {
        "its couplings hold; what a car does beyond its limit is not followed"
    } else {
        "its couplings hold"
    }
}

/// Where one part ends.
#[must_use]
pub fn ends(part: &Part, answer: &Answer, consist: &Consist, line: &Line) -> String {
    let whole = answer.parts.len() == 1;
    let name = |index: usize| &consist.members[index].name;
    let what = if whole {
        "the train".to_owned()
    } else if part.first == part.last {
        name(part.first).clone()
    } else {
        format!("{} to {}", name(part.first), name(part.last))
    };
    let place = place_at(&line.places, part.first_at);
    let place = place.map_or_else(String::new, |name| format!(" ({name})"));
    let at = format!("its front at {:.1} m{place}", part.first_at);
    let does = if part.stands() {
        format!("stands, {at}")
    } else if part.speed > 0.0 {
        format!("goes on at {:.3} m/s, {at}", part.speed)
    } else {
        format!("is rolling back at {:.3} m/s, {at}", -part.speed)
    };
    format!("{what} {does}")
}

/// Why it was not followed any longer.
#[must_use]
pub fn stop(answer: &Answer, consist: &Consist) -> String {
    let time = answer.played.solution.end.time;
    match answer.played.solution.stop {
        StopReason::TimeOver => format!("looked on for {time:.1} s"),
        StopReason::AtRest => format!("everything stands after {time:.1} s"),
        StopReason::BrokenOff => format!("broken off after {time:.1} s"),
        StopReason::OffTheLine { vehicle } => {
            let name = &consist.members[vehicle].name;
            format!(
                "{name} comes to the end of the line after {time:.1} s: the rest was not looked at"
            )
        }
    }
}

/// What the forces lean on that nobody measured.
#[must_use]
pub fn assumed(answer: &Answer) -> String {
    let own = answer.scene.couplers;
    format!(
        "couplings as stiff as {:.1} N/mm with a damping ratio of {:.2} (assumed where the scene does \
         not say): a blow grows with the root of the stiffness, so it is good to about a third",
        own.stiffness / 1e3,
        own.damping_ratio
    )
}
