//! The threshold curve with a lapse, its log posterior, and the maximum of that by damped Newton steps.
//!
//! theta = (ln short end, ln long end, ln steepness) and, with four entries, the drift a week of both ends.
use super::linear::{Cholesky, Matrix, Vector, diagonal, diagonal_of, plus, product, quadratic};

const TARGET: f64 = 0.8;
const GRADIENT_END: f64 = 1e-10;
const MOST_STEPS: usize = 200;
const MOST_HALVINGS: usize = 30;

/// One attempt as the likelihood sees it.
pub(super) struct Observation {
    /// ln(stride / normal stride) asked for.
    pub x: f64,
    /// Whether the horse showed it.
    pub shown: bool,
    pub weight: f64,
    /// Weeks after the day of the question; 0 or negative.
    pub weeks: f64,
}

/// A normal distribution by mean and precision.
pub(super) struct Prior<const N: usize> {
    pub mean: Vector<N>,
    pub precision: Matrix<N>,
}

impl<const N: usize> Prior<N> {
    pub fn independent(mean: Vector<N>, sd: Vector<N>) -> Self {
        Self { mean, precision: diagonal(&sd.map(|sd| 1.0 / (sd * sd))) }
    }
}

/// The normal approximation at the maximum (Laplace, observed information).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Posterior<const N: usize> {
    pub theta: Vector<N>,
    pub covariance: Matrix<N>,
    /// At the maximum, without constants.
    pub log_density: f64,
}

impl<const N: usize> Posterior<N> {
    pub fn sd(&self) -> Vector<N> {
        diagonal_of(&self.covariance).map(f64::sqrt)
    }
}

pub(super) fn sigmoid(eta: f64) -> f64 {
    if eta >= 0.0 {
        1.0 / (1.0 + (-eta).exp())
    } else {
        let e = eta.exp();
        e / (1.0 + e)
    }
}

fn softplus(z: f64) -> f64 {
    z.max(0.0) + (-z.abs()).exp().ln_1p()
}

/// The linear predictor at one stretch, with its derivatives in theta.
pub(super) struct Predictor<const N: usize> {
    pub eta: f64,
    pub gradient: Vector<N>,
    hessian: Matrix<N>,
}

/// The curve p(x) = (1 - lapse) sigmoid(eta), which is 0.8 exactly at the two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    pub lapse: f64,
}

impl Curve {
    pub fn predictor<const N: usize>(self, theta: &Vector<N>, x: f64, weeks: f64) -> Predictor<N> {
        let at = |i: usize| theta.get(i).copied().unwrap_or(0.0);
        let (u_short, u_long, k, drift) = (at(0), at(1), at(2), at(3));
        let steepness = k.exp();
        let long = x > 0.0;
        let r = x.abs() * (-(if long { u_long } else { u_short }) - drift * weeks).exp();
        let top = TARGET / (1.0 - self.lapse);
        let room = steepness * (1.0 - r);
        let b = steepness * r;
        let (s, l) = if long { (0.0, b) } else { (b, 0.0) };
        let d = b * weeks;
        let gradient = [s, l, room, d];
        let hessian = [
            [-s, 0.0, s, -s * weeks],
            [0.0, -l, l, -l * weeks],
            [s, l, room, d],
            [-s * weeks, -l * weeks, d, -d * weeks],
        ];
        Predictor {
            eta: (top / (1.0 - top)).ln() + room,
            gradient: cut(&gradient),
            hessian: std::array::from_fn(|i| hessian.get(i).map_or([0.0; N], cut)),
        }
    }

    pub fn chance(self, eta: f64) -> f64 {
        (1.0 - self.lapse) * sigmoid(eta)
    }

    /// The log likelihood of one attempt, and its first and second derivative in eta.
    fn log_likelihood(self, eta: f64, shown: bool) -> (f64, f64, f64) {
        let s = sigmoid(eta);
        let slope = s * sigmoid(-eta);
        if shown {
            return ((-self.lapse).ln_1p() - softplus(-eta), sigmoid(-eta), -slope);
        }
        let q = self.lapse + (1.0 - self.lapse) * sigmoid(-eta);
        let a = (1.0 - self.lapse) * slope / q;
        (q.ln(), -a, -(a * (1.0 - 2.0 * s) + a * a))
    }

    fn log_posterior<const N: usize>(self, data: &[Observation], prior: &Prior<N>, theta: &Vector<N>) -> f64 {
        let mut sum = 0.0;
        for o in data {
            sum += o.weight * self.log_likelihood(self.predictor(theta, o.x, o.weeks).eta, o.shown).0;
        }
        sum - 0.5 * quadratic(&prior.precision, &minus(theta, &prior.mean))
    }

    /// Gradient and negative Hessian of the log posterior.
    fn derivatives<const N: usize>(
        self,
        data: &[Observation],
        prior: &Prior<N>,
        theta: &Vector<N>,
    ) -> (Vector<N>, Matrix<N>) {
        let mut gradient = product(&prior.precision, &minus(theta, &prior.mean)).map(|g| -g);
        let mut information = prior.precision;
        for o in data {
            let at = self.predictor(theta, o.x, o.weeks);
            let (_, first, second) = self.log_likelihood(at.eta, o.shown);
            let rows = gradient.iter_mut().zip(information.iter_mut()).zip(at.gradient.iter().zip(&at.hessian));
            for ((g, row), (j, k_row)) in rows {
                *g += o.weight * first * j;
                for (cell, (other, k)) in row.iter_mut().zip(at.gradient.iter().zip(k_row)) {
                    *cell -= o.weight * (second * j * other + first * k);
                }
            }
        }
        (gradient, information)
    }

    /// The maximum, from the prior's mean. The work is bounded whatever the data.
    pub fn maximum<const N: usize>(self, data: &[Observation], prior: &Prior<N>) -> Posterior<N> {
        let mut theta = prior.mean;
        let mut value = self.log_posterior(data, prior, &theta);
        for _ in 0..MOST_STEPS {
            let (gradient, information) = self.derivatives(data, prior, &theta);
            let steepest = largest(&gradient);
            if steepest <= GRADIENT_END || !steepest.is_finite() {
                break;
            }
            let step = damped(&information, &prior.precision).solve(&gradient);
            let mut scale = 1.0 / largest(&step).max(1.0);
            let mut halvings = 0;
            loop {
                let mut next = theta;
                next.iter_mut().zip(&step).for_each(|(t, s)| *t += scale * s);
                let reached = self.log_posterior(data, prior, &next);
                if reached >= value - 1e-12 * value.abs().max(1.0) || halvings == MOST_HALVINGS {
                    (theta, value) = (next, reached);
                    break;
                }
                scale *= 0.5;
                halvings += 1;
            }
        }
        let (_, information) = self.derivatives(data, prior, &theta);
        Posterior { theta, covariance: damped(&information, &prior.precision).inverse(), log_density: value }
    }
}

/// Factors the information, made positive definite by as little of the prior's precision as it takes.
fn damped<const N: usize>(information: &Matrix<N>, precision: &Matrix<N>) -> Cholesky<N> {
    let mut m = 0.0;
    for _ in 0..200 {
        if let Some(factor) = Cholesky::of(&plus(information, m, precision)) {
            return factor;
        }
        m = if m > 0.0 { 2.0 * m } else { 1e-3 };
    }
    // only where the numbers are beyond arithmetic: a step along the gradient
    Cholesky::unit()
}

fn minus<const N: usize>(a: &Vector<N>, b: &Vector<N>) -> Vector<N> {
    let mut difference = *a;
    difference.iter_mut().zip(b).for_each(|(a, b)| *a -= b);
    difference
}

fn largest<const N: usize>(v: &Vector<N>) -> f64 {
    // a NaN among them must not vanish, as it would by f64::max
    v.iter().fold(0.0, |most, value| if value.abs() <= most { most } else { value.abs() })
}

/// The first `N` of four.
fn cut<const N: usize>(four: &[f64; 4]) -> Vector<N> {
    std::array::from_fn(|i| four.get(i).copied().unwrap_or(0.0))
}
