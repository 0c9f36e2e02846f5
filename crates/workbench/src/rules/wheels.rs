//! How the wheels of a scale are judged: one or several standards, a track, and clearances.
//!
//! Where several standards apply, every one must hold, so of each limit the tightest is kept,
//! together with the clause that prints it.

use std::sync::Arc;

use gradeworthy_standards::{
    Clause, Limit, Scale, TrackStandard, WheelStandard, track_limits, wheel_limits,
};
use gradeworthy_units::Length;

use crate::authority::{Authority, Standing};
use crate::mechanics::wheelset::{Clearances, ConstraintKind, FunctionalLimits, Limits};

/// The wheel standards by the names that rule books use.
pub(super) const WHEEL_STANDARDS: [(&str, WheelStandard); 6] = [
    ("NMRA S-4.2 old", WheelStandard::NmraS42Old),
    ("NMRA RP-4", WheelStandard::NmraRp4),
    ("Proto:87", WheelStandard::Proto87),
    ("NEM 310 2009", WheelStandard::Nem310Of2009),
    ("NEM 310 1977", WheelStandard::Nem310Of1977),
    ("NEM 311.1 1996", WheelStandard::Nem3111Of1996),
];

/// The track standards by the names that rule books use.
pub(super) const TRACK_STANDARDS: [(&str, TrackStandard); 6] = [
    ("NMRA S-3.2 old", TrackStandard::NmraS32Old),
    ("NMRA S-3.2 2010", TrackStandard::NmraS32Of2010),
    ("NMRA RP-3", TrackStandard::NmraRp3),
    ("NMRA S-3.1 2004", TrackStandard::NmraS31Of2004),
    ("Proto:87", TrackStandard::Proto87),
    ("NEM 310 1977", TrackStandard::Nem310Of1977),
];

/// How the wheels of a scale are judged.
#[derive(Clone, Debug, PartialEq)]
pub struct WheelRules {
    /// The wheel standards that must all hold.
    pub standards: Vec<WheelStandard>,
    /// The track that the wheels must fit.
    pub track: Option<TrackStandard>,
    /// Every limit, the tightest of the standards, with the clearances.
    pub functional: FunctionalLimits,
    /// Caution band inside every wheel limit.
    pub caution: Length,
    /// Guard band, where the book sets one.
    pub guard: Option<Length>,
    /// Standard uncertainty of a caliper reading here.
    pub uncertainty: Option<Length>,
    /// On whose word the clearances stand; the limits are the standards' own.
    pub authority: Arc<Authority>,
    clauses: Clauses,
    own: Arc<Authority>,
}

/// What a rule book says of wheels, before the standards are looked up.
pub(super) struct WheelSettings {
    pub(super) standards: Vec<WheelStandard>,
    pub(super) track: Option<TrackStandard>,
    pub(super) clearances: Clearances,
    /// A least check gauge of the club's own.
    pub(super) check_gauge_min: Option<Length>,
    /// Whether tire widths are held to what the standards print; a club that runs narrow treads
    /// judges them by the tread left on its own rails instead.
    pub(super) printed_tire_width: bool,
    pub(super) caution: Length,
    pub(super) guard: Option<Length>,
    pub(super) uncertainty: Option<Length>,
    pub(super) authority: Arc<Authority>,
}

impl WheelRules {
    /// Looks up what the standards print for `scale`.
    ///
    /// # Errors
    /// A sentence when a standard has no row for the scale, or when limits and clearances leave
    /// room for no wheelset.
    pub(super) fn new(scale: Scale, settings: WheelSettings) -> Result<Self, String> {
        let mut limits = Limits {
            check_gauge_min: settings.check_gauge_min,
            ..Limits::default()
        };
        let mut clauses = Clauses::default();
        for standard in &settings.standards {
            let Some(row) = wheel_limits(*standard, scale) else {
                return Err(format!("{standard} has no row for {scale}"));
            };
            let (l, c) = (&mut limits, &mut clauses);
            raise(
                &mut l.check_gauge_min,
                &mut c.check_gauge_min,
                row.check_gauge.min,
            );
            reduce(
                &mut l.check_gauge_max,
                &mut c.check_gauge_max,
                row.check_gauge.max,
            );
            raise(
                &mut l.back_to_back_min,
                &mut c.back_to_back_min,
                row.back_to_back.min,
            );
            reduce(
                &mut l.back_to_back_max,
                &mut c.back_to_back_max,
                row.back_to_back.max,
            );
            raise(
                &mut l.flange_thickness_min,
                &mut c.flange_min,
                row.flange_thickness.min,
            );
            reduce(
                &mut l.flange_thickness_max,
                &mut c.flange_max,
                row.flange_thickness.max,
            );
            raise(
                &mut l.flange_depth_min,
                &mut c.depth_min,
                row.flange_depth.min,
            );
            reduce(
                &mut l.flange_depth_max,
                &mut c.depth_max,
                row.flange_depth.max,
            );
            if settings.printed_tire_width {
                raise(&mut l.tire_width_min, &mut c.tire_min, row.tire_width.min);
                reduce(&mut l.tire_width_max, &mut c.tire_max, row.tire_width.max);
            }
        }
        if let Some(standard) = settings.track {
            add_track(standard, scale, &mut limits, &mut clauses)?;
        }
        let functional = FunctionalLimits::new(limits, settings.clearances)
            .map_err(|error| error.to_string())?;
        Ok(Self {
            standards: settings.standards,
            track: settings.track,
            functional,
            caution: settings.caution,
            guard: settings.guard,
            uncertainty: settings.uncertainty,
            authority: settings.authority,
            clauses,
            own: Arc::new(Authority {
                standing: Standing::Club,
                source: "least check gauge of the club's own".into(),
            }),
        })
    }

    /// On whose word the limit behind a constraint stands.
    #[must_use]
    pub fn authority(&self, kind: ConstraintKind) -> &Arc<Authority> {
        let own = matches!(kind, ConstraintKind::CheckGaugeMin(_)) && self.clause(kind).is_none();
        if own { &self.own } else { &self.authority }
    }

    /// The clause that prints the limit behind a constraint; `None` for a limit of the club's own.
    #[must_use]
    pub fn clause(&self, kind: ConstraintKind) -> Option<&Arc<Clause>> {
        use ConstraintKind as C;
        let clauses = &self.clauses;
        let clause = match kind {
            C::Span => &clauses.span,
            C::BackToBackMin => &clauses.back_to_back_min,
            C::BackToBackMax => &clauses.back_to_back_max,
            C::Gauge => &clauses.gauge_min,
            C::TreadSupport(_) => &clauses.gauge_max,
            C::CheckGaugeMin(_) => &clauses.check_gauge_min,
            C::CheckGaugeMax(_) => &clauses.check_gauge_max,
            C::Flangeway(_) => &clauses.flangeway,
            C::FlangeThicknessMin(_) => &clauses.flange_min,
            C::FlangeThicknessMax(_) => &clauses.flange_max,
            C::FlangeDepthMin(_) => &clauses.depth_min,
            C::FlangeDepthMax(_) => &clauses.depth_max,
            C::TireWidthMin(_) => &clauses.tire_min,
            C::TireWidthMax(_) => &clauses.tire_max,
        };
        clause.as_ref()
    }
}

/// Where each limit is printed.
#[derive(Clone, Debug, Default, PartialEq)]
struct Clauses {
    span: Option<Arc<Clause>>,
    gauge_min: Option<Arc<Clause>>,
    gauge_max: Option<Arc<Clause>>,
    check_gauge_min: Option<Arc<Clause>>,
    check_gauge_max: Option<Arc<Clause>>,
    back_to_back_min: Option<Arc<Clause>>,
    back_to_back_max: Option<Arc<Clause>>,
    flangeway: Option<Arc<Clause>>,
    flange_min: Option<Arc<Clause>>,
    flange_max: Option<Arc<Clause>>,
    depth_min: Option<Arc<Clause>>,
    depth_max: Option<Arc<Clause>>,
    tire_min: Option<Arc<Clause>>,
    tire_max: Option<Arc<Clause>>,
}

/// Adds what a track standard prints for `scale`.
fn add_track(
    standard: TrackStandard,
    scale: Scale,
    l: &mut Limits,
    c: &mut Clauses,
) -> Result<(), String> {
    let Some(row) = track_limits(standard, scale) else {
        return Err(format!("{standard} has no row for {scale}"));
    };
    raise(&mut l.gauge_min, &mut c.gauge_min, row.gauge.min);
    reduce(&mut l.gauge_max, &mut c.gauge_max, row.gauge.max);
    raise(&mut l.span_max, &mut c.span, row.span.max);
    // The narrowest flangeway decides; where only the greatest is printed, a flange that
    // does not pass that one passes none.
    reduce(
        &mut l.flangeway,
        &mut c.flangeway,
        row.flangeway.min.or(row.flangeway.max),
    );
    Ok(())
}

/// Keeps the greater of two lower limits.
fn raise(kept: &mut Option<Length>, clause: &mut Option<Arc<Clause>>, limit: Option<Limit>) {
    if let Some(limit) = limit
        && kept.is_none_or(|own| limit.value > own)
    {
        (*kept, *clause) = (Some(limit.value), Some(Arc::new(limit.clause)));
    }
}

/// Keeps the smaller of two upper limits.
fn reduce(kept: &mut Option<Length>, clause: &mut Option<Arc<Clause>>, limit: Option<Limit>) {
    if let Some(limit) = limit
        && kept.is_none_or(|own| limit.value < own)
    {
        (*kept, *clause) = (Some(limit.value), Some(Arc::new(limit.clause)));
    }
}
