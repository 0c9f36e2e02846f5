//! How often the stated 95 % interval of a survey holds the truth.

use gradeworthy_train::line::survey::{
    Estimate, GradeReading, HeightReading, PlanFit, ProfileFit, Resolution, SurveyTerms,
    fit_levels, fit_points, fit_versines,
};

use crate::known::{FREE, Noise, club_line, points, pose, stations, sudden_line, versines};

/// Share of the stated 95 % intervals that hold the truth, over 20 surveys, and whether the
/// surveys call themselves sparse.
fn coverage(
    truth: impl Fn(f64) -> f64,
    survey: impl Fn(u64) -> (Vec<Estimate>, Resolution),
) -> (f64, bool) {
    let (mut held, mut stated, mut sparse) = (0.0, 0.0, 0);
    for (estimates, resolution) in (0..20).map(survey) {
        sparse += i32::from(resolution.is_sparse());
        for estimate in estimates {
            let (low, high) = estimate.interval_95();
            held += if (low..=high).contains(&truth(estimate.s)) {
                1.0
            } else {
                0.0
            };
            stated += 1.0;
        }
    }
    (held / stated, sparse > 5)
}

/// Where a survey is not sparse the interval must hold at its rate; where it is, it says so.
fn check_coverage(name: &str, (found, sparse): (f64, bool)) {
    let wanted = if sparse { 0.70..=1.00 } else { 0.90..=0.99 };
    assert!(wanted.contains(&found), "{name}: {found}, sparse: {sparse}");
}

fn of_plan(fit: PlanFit) -> (Vec<Estimate>, Resolution) {
    (fit.curvature, fit.resolution)
}

#[test]
fn the_interval_of_curvature_from_points_holds_at_its_rate() {
    for (name, line) in [("eased", club_line()), ("sudden", sudden_line())] {
        for (spacing, sigma) in [(0.05, 0.0005), (0.1, 0.0005), (0.1, 0.002), (0.2, 0.001)] {
            for reading_uncertainty in [None, Some(sigma)] {
                let terms = SurveyTerms {
                    reading_uncertainty,
                    ..FREE
                };
                let found = coverage(
                    |s| pose(&line, s).curvature,
                    |seed| {
                        let points = points(&line, spacing, &mut Noise::new(seed, sigma));
                        of_plan(fit_points(&points, terms).expect("settles"))
                    },
                );
                check_coverage(
                    &format!("{name} {spacing} {sigma} {reading_uncertainty:?}"),
                    found,
                );
            }
        }
    }
}

#[test]
fn the_interval_of_curvature_from_versines_holds_at_its_rate() {
    for (name, line) in [("eased", club_line()), ("sudden", sudden_line())] {
        for (spacing, chord, sigma) in
            [(0.05, 0.2, 0.0002), (0.1, 0.2, 0.0003), (0.15, 0.3, 0.0005)]
        {
            let found = coverage(
                |s| pose(&line, s).curvature,
                |seed| {
                    let read = versines(&line, spacing, chord, &mut Noise::new(seed, sigma));
                    of_plan(fit_versines(&read, FREE).expect("fits"))
                },
            );
            check_coverage(&format!("{name} {spacing} {chord} {sigma}"), found);
        }
    }
}

#[test]
fn the_interval_of_grade_holds_at_its_rate() {
    let line = club_line();
    let grade = |s: f64| pose(&line, s).grade;
    let of_profile = |fit: ProfileFit| (fit.grade, fit.resolution);
    for (spacing, sigma) in [(0.1, 0.0002), (0.25, 0.0005), (0.25, 0.0001)] {
        let heights = |seed: u64| {
            let mut noise = Noise::new(seed, sigma);
            let read = |s: f64| HeightReading {
                s,
                height: pose(&line, s).height + noise.draw(),
            };
            stations(0.0, 12.0, spacing)
                .into_iter()
                .map(read)
                .collect::<Vec<_>>()
        };
        let fit = |seed| of_profile(fit_levels(&heights(seed), &[], FREE).expect("fits"));
        check_coverage(&format!("heights {spacing} {sigma}"), coverage(grade, fit));
        let grades = |seed: u64| {
            let (mut noise, base) = (Noise::new(seed, sigma), 0.3);
            let rise =
                |s: f64| pose(&line, s + base / 2.0).height - pose(&line, s - base / 2.0).height;
            let read = |s: f64| GradeReading {
                s,
                base,
                grade: (rise(s) + noise.draw()) / base,
            };
            stations(0.15, 11.85, spacing)
                .into_iter()
                .map(read)
                .collect::<Vec<_>>()
        };
        let fit = |seed| of_profile(fit_levels(&[], &grades(seed), FREE).expect("fits"));
        check_coverage(&format!("grades {spacing} {sigma}"), coverage(grade, fit));
    }
}
