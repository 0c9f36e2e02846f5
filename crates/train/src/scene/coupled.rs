//! How a coupling stands at a moment of a scene: pulled out, run in, within its slack, or apart.
//!
//! With e the stretch of the coupling beyond its middle, s its free slack and d the rounding of its
//! stops (19), a stop begins to bear at |e| = s/2 − d; between the two stops nothing bears.

use super::play::Played;

/// How a coupling stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Coupled {
    /// Slack is run in: the cars push.
    RunIn,
    /// Within its slack: nothing pulls or pushes.
    Loose,
    /// Slack is run out: the cars pull.
    Stretched,
    /// It has come apart.
    Apart,
}

impl Coupled {
    /// Every way, as it is numbered.
    pub const ALL: [Self; 4] = [Self::RunIn, Self::Loose, Self::Stretched, Self::Apart];
}

impl Played {
    /// How each coupling stands at one sample, head first.
    #[must_use]
    pub fn coupled(&self, sample: usize) -> Vec<Coupled> {
        let samples = &self.solution.samples;
        let (time, places) = (samples.time[sample], samples.places(sample));
        let links = self.problem.links.iter().zip(places.windows(2)).enumerate();
        links
            .map(|(k, (link, pair))| {
                let partings = &self.solution.partings;
                if partings
                    .iter()
                    .any(|own| own.behind == k && own.time <= time)
                {
                    return Coupled::Apart;
                }
                let stretch = pair[0] - pair[1] - link.spacing;
                let bears = 0.5 * link.slack - self.problem.laws.rounding;
                if stretch > bears {
                    Coupled::Stretched
                } else if stretch < -bears {
                    Coupled::RunIn
                } else {
                    Coupled::Loose
                }
            })
            .collect()
    }

    /// The sample nearest to a moment, s.
    #[must_use]
    pub fn sample_near(&self, time: f64) -> usize {
        let times = &self.solution.samples.time;
        let after = times.partition_point(|own| *own < time);
        let before = after.saturating_sub(1);
        let far = |index: usize| {
            times
                .get(index)
                .map_or(f64::INFINITY, |own| (own - time).abs())
        };
        if far(before) <= far(after) {
            before
        } else {
            after
        }
    }
}
