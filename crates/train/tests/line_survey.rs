//! Surveys of lines whose truth is known: how near the fit comes, and how often its stated
//! interval holds the truth.
//!
//! The truth is laid by `track::Alignment`, whose clothoids are tested against the Fresnel series
//! elsewhere; the readings get seeded normal noise.

use gradeworthy_train::line::survey::{
    Estimate, GradeReading, HeightReading, PlanFit, Standing, SurveyPoint, SurveyTerms, Versine,
    estimate_at, fit_levels, fit_points, fit_versines,
};
use gradeworthy_train::track::{Alignment, GradeSegment, Origin, PlanSegment};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Normal};

/// Tangent, easement, 0.9 m curve to the left, easement, tangent, then 1.2 m to the right; the
/// profile goes from level through a vertical curve to 2 % and back to 0.5 %.
fn club_line() -> Alignment {
    let (left, right) = (1.0 / 0.9, -1.0 / 1.2);
    Alignment::new(
        Origin { x: 0.3, y: -0.2, heading: 0.4, height: 1.0 },
        vec![
            PlanSegment::straight(2.0),
            PlanSegment::easement(0.5, 0.0, left),
            PlanSegment::arc(2.5, left),
            PlanSegment::easement(0.5, left, 0.0),
            PlanSegment::straight(1.5),
            PlanSegment::easement(0.4, 0.0, right),
            PlanSegment::arc(2.2, right),
            PlanSegment::easement(0.4, right, 0.0),
            PlanSegment::straight(2.0),
        ],
        vec![
            GradeSegment::steady(3.0, 0.0),
            GradeSegment::vertical_curve(1.0, 0.0, 0.02),
            GradeSegment::steady(4.0, 0.02),
            GradeSegment::vertical_curve(1.0, 0.02, 0.005),
            GradeSegment::steady(3.0, 0.005),
        ],
        vec![],
    )
    .expect("the lists agree")
}

struct Noise(ChaCha8Rng, Normal<f64>);

impl Noise {
    fn new(seed: u64, sigma: f64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed), Normal::new(0.0, sigma).expect("positive"))
    }
    fn draw(&mut self) -> f64 {
        self.1.sample(&mut self.0)
    }
}

fn places(length: f64, spacing: f64) -> Vec<f64> {
    let count = (length / spacing).floor() as u32;
    (0..=count).map(|k| f64::from(k) * length / f64::from(count)).collect()
}

fn points(line: &Alignment, spacing: f64, noise: &mut Noise) -> Vec<SurveyPoint> {
    let at = |s: &f64| line.pose(s.min(line.length())).expect("on the line");
    let stations = places(line.length(), spacing);
    stations.iter().map(at).map(|p| SurveyPoint { x: p.x + noise.draw(), y: p.y + noise.draw() }).collect()
}

fn covered(estimates: &[Estimate], truth: impl Fn(f64) -> f64) -> (u32, u32) {
    let inside = |e: &&Estimate| {
        let (low, high) = e.interval_95();
        (low..=high).contains(&truth(e.s))
    };
    let hits = estimates.iter().filter(inside).count() as u32;
    (hits, estimates.len() as u32)
}

#[test]
fn coverage_of_the_curvature_from_points() {
    let line = club_line();
    let truth = |s: f64| line.pose(s.clamp(0.0, line.length())).expect("on the line").curvature;
    for (spacing, sigma) in [(0.05, 0.0005), (0.1, 0.0005), (0.1, 0.002), (0.2, 0.001)] {
        for stated in [None, Some(sigma)] {
            let (mut hits, mut total, mut rms, mut sig) = (0, 0, 0.0, 0.0);
            let mut res = 0.0;
            for seed in 0..20 {
                let points = points(&line, spacing, &mut Noise::new(seed, sigma));
                let terms = SurveyTerms { reading_uncertainty: stated, ..SurveyTerms::default() };
                let fit = fit_points(&points, terms).expect("fits");
                let (h, n) = covered(&fit.curvature, truth);
                hits += h;
                total += n;
                rms += fit.curvature.iter().map(|e| (e.value - truth(e.s)).powi(2)).sum::<f64>();
                sig += fit.reading_uncertainty / 20.0;
                res += fit.resolution.shortest_transition / 20.0;
                let aside = fit.misfits.iter().filter(|m| m.standing != Standing::Used).count();
                if aside > 0 { println!("  seed {seed}: {aside} stand out"); }
            }
            let fit = fit_points(&points(&line, spacing, &mut Noise::new(3, sigma)), SurveyTerms::default()).expect("fits");
            if stated.is_none() && spacing > 0.09 { for e in fit.curvature.iter().step_by(4) { println!("   {:.2} true {:+.3} found {:+.3} u {:.4}", e.s, truth(e.s), e.value, e.standard_uncertainty); } }
            println!("{spacing} {sigma} {stated:?}: {:.3} rms {:.4} sigma {:.6} res {:.3}", f64::from(hits) / f64::from(total), (rms / f64::from(total)).sqrt(), sig, res);
        }
    }
}
