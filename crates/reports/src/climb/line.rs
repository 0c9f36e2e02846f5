//! A club's line, however it became known: designed piece by piece, or surveyed.
//!
//! A surveyed line needs a head (name, gauge, units, places) beside its readings: a design without
//! plan and profile. Its places count from the first reading.

use gradeworthy_train::line::checks::{CarKind, CurveRule, Finding, Limits, Outcome, check_line};
use gradeworthy_train::line::survey::{
    Misfit, PlanFit, ProfileFit, Standing, SurveyError, SurveyTerms, fit_levels, fit_survey,
    fit_versines, lay_fit,
};
use gradeworthy_train::line::{
    Closing, LayError, LineDesign, LineFileErrors, NamedSpan, SurveyReadings, Whereabouts, lay,
    read_survey,
};
use gradeworthy_train::track::{Alignment, AlignmentError};
use gradeworthy_train::vehicle::{Quantity, Vehicle};
use gradeworthy_units::{Length, Typed};

use super::answer::Line;
use super::join::Consist;

/// A line that trains can run on.
#[derive(Clone, Debug)]
pub struct ClubLine {
    /// What was typed; without plan and profile where the line was surveyed.
    pub design: LineDesign,
    /// The line.
    pub alignment: Alignment,
    /// Named places.
    pub places: Vec<NamedSpan>,
    /// What the survey says of itself; for a surveyed line.
    pub survey: Option<Survey>,
}

/// A fitted survey.
#[derive(Clone, Debug)]
pub struct Survey {
    /// Plan.
    pub plan: PlanFit,
    /// Profile, where heights or grades were read.
    pub profile: Option<ProfileFit>,
}

/// Why there is no line.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LineError {
    /// The text cannot be read.
    #[error(transparent)]
    File(#[from] LineFileErrors),
    /// The pieces cannot be laid.
    #[error(transparent)]
    Lay(#[from] LayError),
    /// The readings cannot be fitted.
    #[error(transparent)]
    Survey(#[from] SurveyError),
    /// The fit is no line.
    #[error(transparent)]
    Track(#[from] AlignmentError),
    /// Readings of two kinds of plan.
    #[error(
        "the survey has {points} points and {versines} chords: plan comes from one of the two; \
         give each survey of its own"
    )]
    TwoPlans {
        /// Rows with x and y.
        points: usize,
        /// Rows with a chord.
        versines: usize,
    },
    /// A loop that does not close.
    #[error(
        "{name} does not close: its end misses its start by {:.0} mm in plan, {:.1}° in direction \
         and {:.0} mm in height; correct a length or an angle, or strike 'closed'",
        .closing.gap * 1e3, .closing.heading_error.to_degrees(), .closing.height_gap * 1e3
    )]
    Open {
        /// The line.
        name: String,
        /// By how much.
        closing: Closing,
    },
    /// Pieces where there are readings.
    #[error("'{name}' has {count} pieces beside its survey: a line is designed or surveyed")]
    Both {
        /// The line.
        name: String,
        /// Pieces of plan and profile.
        count: usize,
    },
}

impl ClubLine {
    /// A designed line.
    ///
    /// # Errors
    /// [`LineError`] names the piece, or says by how much a loop misses its start.
    pub fn designed(design: LineDesign) -> Result<Self, LineError> {
        let laid = lay(&design)?;
        check_closing(&design.name, laid.closing)?;
        Ok(Self {
            design,
            alignment: laid.alignment,
            places: laid.places,
            survey: None,
        })
    }

    /// A surveyed line: readings as a table, and what is known beside them.
    ///
    /// # Errors
    /// [`LineError`] names the row, or says what the readings lack.
    pub fn surveyed(head: LineDesign, readings: &str) -> Result<Self, LineError> {
        let count = head.plan.len() + head.profile.len();
        if count > 0 {
            let name = head.name;
            return Err(LineError::Both { name, count });
        }
        let survey = fit(&read_survey(readings, head.unit)?)?;
        let alignment = lay_fit(&survey.plan, survey.profile.as_ref())?;
        let places = head.places.iter().filter_map(|place| {
            let metres = |typed: &Typed| Length::try_from(typed.amount).ok().map(Length::metres);
            let (from, to) = match &place.where_it_is {
                Whereabouts::At(at) => (metres(at)?, metres(at)?),
                Whereabouts::Range(from, to) => (metres(from)?, metres(to)?),
            };
            let name = place.name.clone();
            Some(NamedSpan { name, from, to })
        });
        Ok(Self {
            places: places.collect(),
            design: head,
            alignment,
            survey: Some(survey),
        })
    }

    /// Gauge, m, where stated.
    #[must_use]
    pub fn gauge_m(&self) -> Option<f64> {
        let typed = self.design.gauge.as_ref()?;
        Length::try_from(typed.amount).ok().map(Length::metres)
    }

    /// Everything the line's own check says, for these cars.
    #[must_use]
    pub fn findings(&self, cars: Vec<CarKind>) -> Vec<Finding> {
        let limits = Limits {
            cars,
            curve_rule: Some(CurveRule::THIRTY_TWO),
            ..Limits::for_design(&self.design)
        };
        let limits = match &self.survey {
            Some(survey) => limits.for_survey(&survey.plan, survey.profile.as_ref()),
            None => limits,
        };
        check_line(&self.alignment, &self.places, &limits)
    }

    /// The line for a climb, with what is beyond a limit for the longest vehicle of the train.
    #[must_use]
    pub fn for_train(&self, consist: &Consist) -> Line {
        let each = consist.train.vehicles().iter();
        let longest = each.max_by(|a, b| length(a).total_cmp(&length(b)));
        let kind = |vehicle: &Vehicle| CarKind {
            name: vehicle.label().to_owned(),
            length: length(vehicle),
            rigid_wheelbase: None,
            radius_min: None,
        };
        let mut findings = self.findings(longest.map(kind).into_iter().collect());
        findings.retain(|own| own.outcome == Outcome::Beyond);
        Line {
            name: self.design.name.clone(),
            alignment: self.alignment.clone(),
            places: self.places.clone(),
            findings,
        }
    }
}

impl Survey {
    /// What the survey can and cannot show, and which readings it left out.
    #[must_use]
    pub fn notes(&self) -> Vec<String> {
        let mut notes = vec![self.plan.resolution.of_plan_in_words()];
        notes.extend(odd("plan", &self.plan.misfits));
        match &self.profile {
            None => {
                notes.push(
                    "No heights and no grades were read: the line is taken for level.".into(),
                );
            }
            Some(profile) => {
                notes.push(profile.resolution.of_profile_in_words());
                notes.extend(odd("profile", &profile.misfits));
            }
        }
        notes
    }
}

fn odd<'a>(what: &'static str, misfits: &'a [Misfit]) -> impl Iterator<Item = String> + use<'a> {
    misfits.iter().filter_map(move |own| {
        let off = format!(
            "Reading {} of the {what}, at {:.2} m, is off by {:.1} mm",
            own.number,
            own.s,
            1e3 * own.off_by
        );
        match own.standing {
            Standing::Used => None,
            Standing::SetAside => Some(format!(
                "{off} from what its neighbours say and was left out: read it again."
            )),
            Standing::TooSudden => Some(format!(
                "{off}, as are its neighbours: a bend too sudden for this spacing; read closer."
            )),
        }
    })
}

fn fit(readings: &SurveyReadings) -> Result<Survey, LineError> {
    let (points, versines) = (readings.points.len(), readings.versines.len());
    if points > 0 && versines > 0 {
        return Err(LineError::TwoPlans { points, versines });
    }
    let terms = SurveyTerms::default();
    let levels = |()| fit_levels(&readings.heights, &readings.grades, terms);
    let has_levels = !(readings.heights.is_empty() && readings.grades.is_empty());
    let (plan, of_points) = if points > 0 {
        // Some points with a height and fewer than a profile needs say nothing of it.
        fit_survey(&readings.points, terms, terms)?
    } else {
        (fit_versines(&readings.versines, terms)?, None)
    };
    let profile = if has_levels {
        Some(levels(())?)
    } else {
        of_points
    };
    Ok(Survey { plan, profile })
}

/// Length over couplers, m.
fn length(vehicle: &Vehicle) -> f64 {
    let all = [
        Quantity::PivotFront,
        Quantity::ShankFront,
        Quantity::PivotRear,
        Quantity::ShankRear,
    ];
    all.into_iter().map(|own| vehicle.value(own)).sum()
}

/// A closed line whose end misses its start is not the line that was meant.
fn check_closing(name: &str, closing: Option<Closing>) -> Result<(), LineError> {
    /// m. ASSUMED: what track can be nudged by; a wider gap is a wrong piece, not a rounding.
    const GAP: f64 = 0.005;
    /// rad, about half a degree. ASSUMED likewise.
    const TURN: f64 = 0.01;
    match closing {
        Some(closing)
            if closing.gap > GAP
                || closing.heading_error.abs() > TURN
                || closing.height_gap.abs() > GAP =>
        {
            let name = name.to_owned();
            Err(LineError::Open { name, closing })
        }
        Some(_) | None => Ok(()),
    }
}
