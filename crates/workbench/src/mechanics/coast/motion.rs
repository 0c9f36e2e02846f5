//! Where a coasting car is, how fast, and how both change with the unknowns; eq. (b).

/// A and B of one run.
#[derive(Clone, Copy)]
pub(super) struct Force {
    /// A, m/s².
    pub(super) push_m_s2: f64,
    /// B, 1/s.
    pub(super) drag_per_s: f64,
}

/// Way and speed at one time, with their derivatives by (A, B, v₀, τ).
pub(super) struct State {
    pub(super) way_m: f64,
    pub(super) speed_m_s: f64,
    pub(super) way_by: [f64; 4],
    pub(super) speed_by: [f64; 4],
}

impl State {
    pub(super) fn at(force: Force, start_m_s: f64, tau_s: f64) -> Self {
        let Force {
            push_m_s2: push,
            drag_per_s: drag,
        } = force;
        let z = drag * tau_s;
        let decay = (-z).exp();
        let (phi_1, phi_2) = (phi_1(z), phi_2(z));
        let (phi_1_by, phi_2_by) = (phi_1_by(z), phi_2_by(z));
        let tau2 = tau_s * tau_s;
        let speed_m_s = start_m_s * decay + push * tau_s * phi_1;
        Self {
            way_m: start_m_s * tau_s * phi_1 + push * tau2 * phi_2,
            speed_m_s,
            way_by: [
                tau2 * phi_2,
                start_m_s * tau2 * phi_1_by + push * tau2 * tau_s * phi_2_by,
                tau_s * phi_1,
                speed_m_s,
            ],
            speed_by: [
                tau_s * phi_1,
                -tau_s * start_m_s * decay + push * tau2 * phi_1_by,
                decay,
                push - drag * speed_m_s,
            ],
        }
    }
}

/// Below this |z| the series is used; its first neglected term is under 1e-17 there.
const SERIES_BELOW: f64 = 0.3;
const SERIES_TERMS: u32 = 14;

/// Σ (−z)^k / (k + order)!.
fn series(z: f64, order: u32) -> f64 {
    let mut term = 1.0 / f64::from((1..=order).product::<u32>());
    let mut sum = term;
    for k in 1..SERIES_TERMS {
        term *= -z / f64::from(k + order);
        sum += term;
    }
    sum
}

/// Σ d/dz (−z)^k / (k + order)! = −Σ (k + 1) (−z)^k / (k + 1 + order)!.
fn series_by(z: f64, order: u32) -> f64 {
    let mut term = -1.0 / f64::from((1..=order + 1).product::<u32>());
    let mut sum = term;
    for k in 1..SERIES_TERMS {
        term *= -z / f64::from(k + 1 + order);
        sum += f64::from(k + 1) * term;
    }
    sum
}

fn phi_1(z: f64) -> f64 {
    if z.abs() < SERIES_BELOW {
        series(z, 1)
    } else {
        -(-z).exp_m1() / z
    }
}

fn phi_2(z: f64) -> f64 {
    if z.abs() < SERIES_BELOW {
        series(z, 2)
    } else {
        (1.0 - phi_1(z)) / z
    }
}

fn phi_1_by(z: f64) -> f64 {
    if z.abs() < SERIES_BELOW {
        series_by(z, 1)
    } else {
        ((-z).exp() - phi_1(z)) / z
    }
}

fn phi_2_by(z: f64) -> f64 {
    if z.abs() < SERIES_BELOW {
        series_by(z, 2)
    } else {
        (-phi_1_by(z) - phi_2(z)) / z
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn series_and_closed_forms_meet() {
        for z in [-0.3, -0.299_999_9, 0.299_999_9, 0.3_f64] {
            let phi_1_closed = -(-z).exp_m1() / z;
            let phi_2_closed = (1.0 - phi_1_closed) / z;
            let phi_1_by_closed = ((-z).exp() - phi_1_closed) / z;
            assert!((series(z, 1) - phi_1_closed).abs() < 1e-15);
            assert!((series(z, 2) - phi_2_closed).abs() < 2e-15);
            assert!((series_by(z, 1) - phi_1_by_closed).abs() < 2e-15);
            assert!((series_by(z, 2) - (-phi_1_by_closed - phi_2_closed) / z).abs() < 2e-14);
        }
    }

    #[test]
    fn without_drag_it_is_free_fall_on_a_slope() {
        // Galilei: x = v t + ½ A t².
        let force = Force {
            push_m_s2: 0.2,
            drag_per_s: 0.0,
        };
        let state = State::at(force, 0.5, 3.0);
        assert!((state.way_m - (1.5 + 0.9)).abs() < 1e-15);
        assert!((state.speed_m_s - 1.1).abs() < 1e-15);
    }

    #[test]
    fn derivatives_agree_with_central_differences() {
        let base = [0.12, 0.09, 0.4, 2.5];
        let at = |q: [f64; 4]| {
            let force = Force {
                push_m_s2: q[0],
                drag_per_s: q[1],
            };
            State::at(force, q[2], q[3])
        };
        for base in [base, [-0.08, 1.1, 0.5, 1.5], [0.05, -0.02, 0.3, 2.0]] {
            let state = at(base);
            for index in 0..4 {
                let step = 1e-6;
                let (mut up, mut down) = (base, base);
                up[index] += step;
                down[index] -= step;
                let (up, down) = (at(up), at(down));
                let way_by = (up.way_m - down.way_m) / (2.0 * step);
                let speed_by = (up.speed_m_s - down.speed_m_s) / (2.0 * step);
                assert!((state.way_by[index] - way_by).abs() < 1e-8, "way {index}");
                assert!(
                    (state.speed_by[index] - speed_by).abs() < 1e-8,
                    "speed {index}"
                );
            }
        }
    }
}
