//! The solution: move the pole until the flanges that push are the flanges that touch.

/// Search for the pole ends when its last step, which is still taken, is below this part of the
/// wheelbase; Halley's method then leaves an error of its cube.
const POLE_TOLERANCE: f64 = 1e-5;

/// Steps of the safeguarded search for the pole.
const POLE_STEPS: usize = 60;

/// A truck on a curve and what its body asks of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Truck {
    /// Q: leading left, leading right, trailing left, trailing right wheel load, N.
    pub wheel_loads: [f64; 4],
    /// μ: friction of tread on rail.
    pub friction: f64,
    /// w: wheelbase, m.
    pub wheelbase: f64,
    /// `g_c`: spacing of the rolling contacts, m.
    pub contact_spacing: f64,
    /// σ: lateral play to either side, m.
    pub lateral_play: f64,
    /// κ: curvature, 1/m, positive left.
    pub curvature: f64,
    /// S: force of the body on the truck, N, left positive.
    pub side_force: f64,
    /// M: moment of the body on the truck, N·m, counter-clockwise positive.
    pub moment: f64,
}

/// What the rails do to the truck.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TruckForces {
    /// Flange force of the rail on the leading axle, N, left positive.
    pub leading: f64,
    /// Flange force of the rail on the trailing axle, N, left positive.
    pub trailing: f64,
    /// `x_p`: pole ahead of the middle of the truck, m; zero on straight track.
    pub pole: f64,
    /// `F_y`: tread friction of the rail on each wheel, N, left positive, ordered as the loads.
    pub tread: [f64; 4],
    /// Drag of the sliding treads along the track, N.
    pub slip_drag: f64,
}

/// Friction of the treads for one place of the pole.
#[derive(Clone, Copy, Debug)]
struct Sliding {
    tread: [f64; 4],
    yaw: f64,
    /// Σ μ Q ρ.
    work: f64,
}

/// A flange force and its derivatives by the place of the pole.
///
/// With k = Σ μ Q y²/ρ³ the derivative is `−k (w/2 ± x_p)/w`, plus leading, minus trailing.
struct Slopes {
    value: f64,
    slope: f64,
    bend: f64,
}

impl Truck {
    /// Solves the truck.
    #[must_use]
    pub fn forces(&self) -> TruckForces {
        if self.curvature == 0.0 {
            return self.on_straight_track();
        }
        if self.curvature < 0.0 {
            return self.mirrored().on_left_curve().mirrored();
        }
        self.on_left_curve()
    }

    /// No steady sliding: the body's force and moment go straight into the flanges.
    fn on_straight_track(&self) -> TruckForces {
        let couple = self.moment / self.wheelbase;
        TruckForces {
            leading: -0.5 * self.side_force - couple,
            trailing: -0.5 * self.side_force + couple,
            ..TruckForces::default()
        }
    }

    /// The contact with both flanges on one rail has its pole in the middle; otherwise the leading
    /// axle lies towards the rail that pushes it and the pole moves that way until a flange is freed
    /// or both are fast.
    ///
    /// As the pole moves by dx, `dY_l` = −k (w/2 + `x_p`) dx/w and `dY_t` = −k (w/2 − `x_p`) dx/w with one
    /// positive k. So on the way back (`x_p` < 0) `Y_t` only rises and `Y_l` rises, then falls; on the way
    /// forward `Y_l` only falls and `Y_t` falls to `x_p` = w/2, then rises. That settles which flange is
    /// freed first without a search along the way.
    fn on_left_curve(&self) -> TruckForces {
        let (leading, trailing) = self.flanges_with_pole_in_middle();
        if leading * trailing >= 0.0 {
            return self.with_pole(0.0, None);
        }
        let fast = 2.0 * self.lateral_play / (self.curvature * self.wheelbase);
        let limit = -leading.signum() * fast;
        let reach = if limit < 0.0 {
            limit
        } else {
            limit.min(0.5 * self.wheelbase)
        };
        let freed = self.pole_where(Axle::Trailing, reach, trailing.signum());
        if let Some(pole) = freed {
            let forces = self.with_pole(pole, Some(Axle::Trailing));
            if forces.leading * leading >= 0.0 {
                return forces;
            }
        }
        match self.pole_where(Axle::Leading, freed.unwrap_or(limit), leading.signum()) {
            Some(pole) => self.with_pole(pole, Some(Axle::Leading)),
            None => self.with_pole(limit, None),
        }
    }

    /// Flange forces with the pole in the middle, where all wheels are equally far from it.
    #[inline]
    fn flanges_with_pole_in_middle(&self) -> (f64, f64) {
        let [a, b, c, d] = self.wheel_loads;
        let half = 0.5 * self.wheelbase;
        let squared = half * half + 0.25 * self.contact_spacing * self.contact_spacing;
        let reach = squared.sqrt();
        let side = -self.friction * half * ((a + b) - (c + d)) / reach;
        let yaw = -self.friction * (a + b + c + d) * reach;
        let sum = -(self.side_force + side);
        let difference = -2.0 * (yaw + self.moment) / self.wheelbase;
        (0.5 * (sum + difference), 0.5 * (sum - difference))
    }

    /// The pole between 0 and `limit` at which the flange force of one axle vanishes, if it does;
    /// at 0 it has the sign `sign`. Halley's method
    /// (cubic) kept inside the shrinking bracket.
    fn pole_where(&self, axle: Axle, limit: f64, sign: f64) -> Option<f64> {
        let (mut near, mut far) = (0.0, limit);
        // A free truck of square loads has its pole near 0.87 w behind its middle.
        let mut pole = limit.signum() * limit.abs().min(0.87 * self.wheelbase);
        let mut far_is_known = false;
        for _ in 0..POLE_STEPS {
            let Slopes { value, slope, bend } = self.slopes(axle, pole);
            if value * sign > 0.0 {
                if (pole - limit).abs() <= f64::EPSILON * limit.abs() {
                    return None;
                }
                near = pole;
            } else {
                far = pole;
                far_is_known = true;
            }
            let newton = value / slope;
            let step = pole - newton / (1.0 - 0.5 * newton * bend / slope);
            let inside = (step - near) * (step - far) < 0.0;
            let next = match (inside, far_is_known) {
                (true, _) => step,
                (false, true) => 0.5 * (near + far),
                (false, false) => limit,
            };
            let tolerance = if inside { POLE_TOLERANCE } else { f64::EPSILON };
            if (next - pole).abs() <= tolerance * self.wheelbase {
                return Some(next);
            }
            pole = next;
        }
        Some(pole)
    }

    /// The flange force of one axle and its first two derivatives by the place of the pole.
    #[inline]
    fn slopes(&self, axle: Axle, pole: f64) -> Slopes {
        let y_squared = 0.25 * self.contact_spacing * self.contact_spacing;
        let half = 0.5 * self.wheelbase;
        let q = &self.wheel_loads;
        let one = |x: f64, load: f64| {
            let ahead = x - pole;
            let inverse_squared = 1.0 / (ahead * ahead + y_squared);
            let unit = self.friction * load * inverse_squared.sqrt();
            let stiffness = unit * y_squared * inverse_squared;
            let yaw = -unit * (x * ahead + y_squared);
            [
                -unit * ahead,
                yaw,
                stiffness,
                3.0 * stiffness * ahead * inverse_squared,
            ]
        };
        let (lead, trail) = (one(half, q[0] + q[1]), one(-half, q[2] + q[3]));
        let [lateral, yaw, stiffness, growth] = [0, 1, 2, 3].map(|k| lead[k] + trail[k]);
        let sign = match axle {
            Axle::Leading => 1.0,
            Axle::Trailing => -1.0,
        };
        let per_wheelbase = 1.0 / self.wheelbase;
        let arm = half + sign * pole;
        Slopes {
            value: -0.5 * (self.side_force + lateral) - sign * (yaw + self.moment) * per_wheelbase,
            slope: -stiffness * arm * per_wheelbase,
            bend: -(growth * arm + sign * stiffness) * per_wheelbase,
        }
    }

    /// Flange forces (5), (6) and the sliding for one place of the pole.
    #[inline]
    fn flanges(&self, pole: f64) -> (f64, f64, Sliding) {
        let sliding = self.sliding(pole);
        let sum = -(self.side_force + sliding.tread.iter().sum::<f64>());
        let difference = -2.0 * (sliding.yaw + self.moment) / self.wheelbase;
        (0.5 * (sum + difference), 0.5 * (sum - difference), sliding)
    }

    /// Equations (3) and (4); both wheels of an axle are equally far from the pole.
    #[inline]
    fn sliding(&self, pole: f64) -> Sliding {
        let y_squared = 0.25 * self.contact_spacing * self.contact_spacing;
        let half = 0.5 * self.wheelbase;
        let q = &self.wheel_loads;
        let axle = |x: f64, left: f64, right: f64| {
            let ahead = x - pole;
            let squared = ahead * ahead + y_squared;
            let inverse = 1.0 / squared.sqrt();
            let unit = self.friction * inverse;
            let load = left + right;
            let tread = [-unit * left * ahead, -unit * right * ahead];
            let yaw = -unit * load * (x * ahead + y_squared);
            (tread, yaw, unit * load * squared)
        };
        let (lead, lead_yaw, lead_work) = axle(half, q[0], q[1]);
        let (trail, trail_yaw, trail_work) = axle(-half, q[2], q[3]);
        Sliding {
            tread: [lead[0], lead[1], trail[0], trail[1]],
            yaw: lead_yaw + trail_yaw,
            work: lead_work + trail_work,
        }
    }

    /// All forces for a known place of the pole; the flange of a freed axle pushes nothing.
    fn with_pole(&self, pole: f64, freed: Option<Axle>) -> TruckForces {
        let (leading, trailing, sliding) = self.flanges(pole);
        let (leading, trailing) = match freed {
            None => (leading, trailing),
            Some(Axle::Leading) => (0.0, trailing),
            Some(Axle::Trailing) => (leading, 0.0),
        };
        TruckForces {
            leading,
            trailing,
            pole,
            tread: sliding.tread,
            slip_drag: sliding.work * self.curvature,
        }
    }

    /// The same truck seen in a mirror along the track.
    fn mirrored(&self) -> Self {
        let [a, b, c, d] = self.wheel_loads;
        Self {
            wheel_loads: [b, a, d, c],
            curvature: -self.curvature,
            side_force: -self.side_force,
            moment: -self.moment,
            ..*self
        }
    }
}

impl TruckForces {
    fn mirrored(self) -> Self {
        let [a, b, c, d] = self.tread;
        Self {
            leading: -self.leading,
            trailing: -self.trailing,
            tread: [-b, -a, -d, -c],
            ..self
        }
    }
}

#[derive(Clone, Copy, Debug)]
enum Axle {
    Leading,
    Trailing,
}
