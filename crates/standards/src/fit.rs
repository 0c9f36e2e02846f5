//! Whether wheels at their limits pass track at its limits, within one edition.
//!
//! Decides nothing across editions: wheels of one sheet are judged only against the track sheet
//! they were written with, and anything else is refused.
//!
//! (1) check-gauge margin = C min − K max: a wheel must not reach the frog point.
//! (2) span margin = B min − S max: a wheelset must not jam between guard and frog.
//! (3) depth margin = H min − D max: a flange must not ride on the floor of the flangeway.

use gradeworthy_units::Length;

use crate::limit::Limit;
use crate::{StandardsError, TrackLimits, WheelLimits};

/// What is left between wheels and track when both stand at their limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WheelOnTrack {
    /// C min − K max.
    pub check_gauge_margin: Option<Length>,
    /// B min − S max.
    pub span_margin: Option<Length>,
    /// H min − D max.
    pub depth_margin: Option<Length>,
}

impl WheelOnTrack {
    /// The margins of one row of wheels on the same row of its own track.
    ///
    /// # Errors
    /// [`StandardsError::EditionsDoNotMix`] when the track is not of the wheels' own edition;
    /// [`StandardsError::ScalesDoNotMix`] when the rows differ.
    pub fn new(wheels: &WheelLimits, track: &TrackLimits) -> Result<Self, StandardsError> {
        if wheels.standard.track() != Some(track.standard) {
            return Err(StandardsError::EditionsDoNotMix {
                wheels: wheels.standard,
                track: track.standard,
                partner: match wheels.standard.track() {
                    Some(partner) => format!("it belongs with {partner}"),
                    None => "no track sheet of its edition is held".to_owned(),
                },
            });
        }
        if wheels.row != track.row {
            return Err(StandardsError::ScalesDoNotMix {
                wheels: wheels.row,
                track: track.row,
            });
        }
        let less = |more: Option<Limit>, less: Option<Limit>| Some(more?.value - less?.value);
        Ok(Self {
            check_gauge_margin: less(track.check_gauge.min, wheels.check_gauge.max),
            span_margin: less(wheels.back_to_back.min, track.span.max),
            depth_margin: less(track.flange_clearance_min(), wheels.flange_depth.max),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Scale, TrackStandard, WheelStandard, track_limits, wheel_limits};

    // Source: [NMRA-S-4.2] B min .566 in, [NMRA-S-3.2] old, S max .564 in.
    #[test]
    fn old_ho_wheels_have_two_thousandths_over_the_span() {
        let wheels = wheel_limits(WheelStandard::NmraS42Old, Scale::HO).expect("HO");
        let track = track_limits(TrackStandard::NmraS32Old, Scale::HO).expect("HO");
        let fit = WheelOnTrack::new(wheels, track).expect("one edition");
        assert_eq!(fit.span_margin, Some(Length::from_thousandths(2)));
        assert_eq!(fit.check_gauge_margin, Some(Length::ZERO));
        assert_eq!(fit.depth_margin, Some(Length::ZERO));
    }

    #[test]
    fn an_old_wheel_is_not_judged_against_the_track_of_2010() {
        let wheels = wheel_limits(WheelStandard::NmraS42Old, Scale::HO).expect("HO");
        let track = track_limits(TrackStandard::NmraS32Of2010, Scale::HO).expect("HO");
        let refusal = WheelOnTrack::new(wheels, track).expect_err("two editions");
        assert_eq!(
            refusal.to_string(),
            "NMRA S-4.2 (old minimum/maximum edition) does not belong with \
             NMRA S-3.2 (February 2010); \
             it belongs with NMRA S-3.2 (old minimum/maximum edition)"
        );
    }
}
