//! The solution: move the pole until the flanges that push are the flanges that touch.

/// Search for the pole ends when its last step is below this part of the wheelbase.
const POLE_TOLERANCE: f64 = 1e-14;

/// Steps of the safeguarded Newton search for the pole.
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
    /// g_c: spacing of the rolling contacts, m.
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
    /// x_p: pole ahead of the middle of the truck, m; zero on straight track.
    pub pole: f64,
    /// F_y: tread friction of the rail on each wheel, N, left positive, ordered as the loads.
    pub tread: [f64; 4],
    /// Drag of the sliding treads along the track, N.
    pub slip_drag: f64,
}

/// Friction of the treads for one place of the pole.
#[derive(Clone, Copy, Debug)]
struct Sliding {
    tread: [f64; 4],
    yaw: f64,
    /// Σ μ Q y²/ρ³: what both balances change by as the pole moves.
    stiffness: f64,
    /// Σ μ Q ρ.
    work: f64,
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

    fn on_left_curve(&self) -> TruckForces {
        let (leading, trailing, sliding) = self.flanges(0.0);
        if leading * trailing >= 0.0 {
            return self.report(0.0, leading, trailing, &sliding);
        }
        // The leading axle lies towards the rail that pushes it, the trailing one towards the other.
        let limit = -leading.signum() * 2.0 * self.lateral_play / (self.curvature * self.wheelbase);
        let end = self.flanges(limit);
        let trailing_frees = end.1 * trailing <= 0.0;
        let leading_frees = end.0 * leading <= 0.0;
        let of_trailing = trailing_frees.then(|| self.pole_where(Axle::Trailing, limit));
        let of_leading = leading_frees.then(|| self.pole_where(Axle::Leading, limit));
        let (pole, freed) = match (of_leading, of_trailing) {
            (None, None) => return self.report(limit, end.0, end.1, &end.2),
            (Some(pole), None) => (pole, Axle::Leading),
            (None, Some(pole)) => (pole, Axle::Trailing),
            (Some(a), Some(b)) if a.abs() < b.abs() => (a, Axle::Leading),
            (Some(_), Some(b)) => (b, Axle::Trailing),
        };
        let (leading, trailing, sliding) = self.flanges(pole);
        match freed {
            Axle::Leading => self.report(pole, 0.0, trailing, &sliding),
            Axle::Trailing => self.report(pole, leading, 0.0, &sliding),
        }
    }

    /// The pole between 0 and `limit` at which the flange force of one axle vanishes; Newton kept
    /// inside the shrinking bracket, halving it when a step would leave.
    fn pole_where(&self, axle: Axle, limit: f64) -> f64 {
        let force = |pole: f64| {
            let (leading, trailing, sliding) = self.flanges(pole);
            let per_pole = sliding.stiffness / self.wheelbase;
            match axle {
                Axle::Leading => (leading, -per_pole * (0.5 * self.wheelbase + pole)),
                Axle::Trailing => (trailing, -per_pole * (0.5 * self.wheelbase - pole)),
            }
        };
        let (mut near, mut far) = (0.0, limit);
        let sign_near = force(near).0.signum();
        let mut pole = limit.signum() * limit.abs().min(self.wheelbase);
        for _ in 0..POLE_STEPS {
            let (value, slope) = force(pole);
            if value * sign_near > 0.0 {
                near = pole
            } else {
                far = pole
            }
            let step = pole - value / slope;
            let inside = (step - near) * (step - far) < 0.0;
            let next = if inside { step } else { 0.5 * (near + far) };
            if (next - pole).abs() <= POLE_TOLERANCE * self.wheelbase {
                return next;
            }
            pole = next;
        }
        pole
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
            let reach = (ahead * ahead + y_squared).sqrt();
            let unit = self.friction / reach;
            let load = left + right;
            let tread = [-unit * left * ahead, -unit * right * ahead];
            let yaw = -unit * load * (x * ahead + y_squared);
            (
                tread,
                yaw,
                unit * load * y_squared / (reach * reach),
                self.friction * load * reach,
            )
        };
        let (lead, lead_yaw, lead_stiffness, lead_work) = axle(half, q[0], q[1]);
        let (trail, trail_yaw, trail_stiffness, trail_work) = axle(-half, q[2], q[3]);
        Sliding {
            tread: [lead[0], lead[1], trail[0], trail[1]],
            yaw: lead_yaw + trail_yaw,
            stiffness: lead_stiffness + trail_stiffness,
            work: lead_work + trail_work,
        }
    }

    fn report(&self, pole: f64, leading: f64, trailing: f64, sliding: &Sliding) -> TruckForces {
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
