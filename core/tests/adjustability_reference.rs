//! The fits against reference libraries: SciPy 1.17.1 (`optimize.minimize` BFGS, then `optimize.root` on
//! the complex-step gradient; covariance from central differences of it) and statsmodels 0.15.0 (GLM
//! Binomial with var_weights, delta method). The lines that made the figures stand with the tests.
#![allow(clippy::unwrap_used, reason = "test code")]
use stridewright_core::adjustability::{Attempt, Fault, Kind, Settings, Verdict, fit, trend};
use stridewright_core::calendar::Day;
use stridewright_core::units::{LogStretch, Metres, Probability};

fn today() -> Day {
    "2026-06-04".parse().unwrap()
}

fn attempt(distance: f64, asked: u8, shown: bool, age: i32) -> Attempt<u8> {
    let m = |value| Metres::new(value).unwrap();
    Attempt {
        day: today().plus(-age),
        rider: None,
        distance: m(distance),
        allowance: m(3.6),
        asked: Some(asked),
        ridden: shown.then_some(asked),
        fault: (!shown).then_some(Fault::Refusal),
        approach: None,
        height: m(0.9),
        kind: Kind::Fence,
        combination: false,
        circle: false,
    }
}

fn assert_close(what: &str, got: &[f64], expected: &[f64]) {
    assert_eq!(got.len(), expected.len());
    for (got, expected) in got.iter().zip(expected) {
        assert!((got - expected).abs() <= 1e-8, "{what}: {got}, expected {expected}");
    }
}

// import numpy as np, scipy.optimize
// D = np.array([21.6, 21.6, 21.6, 18.0, 18.0, 25.2, 21.6, 25.2, 18.0, 21.6])
// n = np.array([5, 6, 7, 5, 4, 5, 4, 7, 6, 6])
// y = np.array([1, 1, 0, 1, 1, 0, 0, 1, 0, 1])
// age = np.array([0, 1, 2, 4, 7, 9, 11, 14, 28, 60])
// x, c = np.log((D - 3.6) / n / 3.6), np.log(0.8 / 0.18)
// mu, sd = np.log([0.25, 0.10, 4.0]), np.array([0.45, 0.45, 0.40])
// def loss(t, w, drift=0.0):
//     end = np.where(x > 0, t[1], t[0]) + drift * -age / 7
//     p = 0.98 / (1 + np.exp(-c - np.exp(t[2]) * (1 - abs(x) * np.exp(-end))))
//     fit = (w * np.log(np.where(y == 1, p, 1 - p))).sum()
//     return -fit + 0.5 * (((t[:3] - mu) / sd) ** 2).sum() + 0.5 * (drift / 0.03) ** 2
// def solve(f, start):
//     slope = lambda t: np.array([f(t + 1e-30j * e).imag for e in np.eye(len(t))]) / 1e-30
//     t = scipy.optimize.minimize(f, start, jac=slope, method="BFGS").x
//     t = scipy.optimize.root(slope, t, tol=1e-13).x
//     h = np.array([(slope(t + 1e-5 * e) - slope(t - 1e-5 * e)) / 2e-5 for e in np.eye(len(t))])
//     return t, np.linalg.inv(h), -f(t)
// print(solve(lambda t: loss(t, 0.5 ** (age / 28)), mu), solve(lambda t: loss(t, 1.0, t[3]), np.append(mu, 0.0)))
fn ten() -> Vec<Attempt<u8>> {
    [
        (21.6, 5, true, 0),
        (21.6, 6, true, 1),
        (21.6, 7, false, 2),
        (18.0, 5, true, 4),
        (18.0, 4, true, 7),
        (25.2, 5, false, 9),
        (21.6, 4, false, 11),
        (25.2, 7, true, 14),
        (18.0, 6, false, 28),
        (21.6, 6, true, 60),
    ]
    .map(|(distance, asked, shown, age)| attempt(distance, asked, shown, age))
    .to_vec()
}

#[test]
fn the_fit_of_ten_attempts_is_that_of_scipy() {
    let range = fit(&ten(), today(), Metres::new(3.6).unwrap(), &Settings::default());
    assert_close("theta", &range.theta(), &[-1.5172904918523, -2.3767255276911, 1.5591988033252]);
    assert_close(
        "covariance",
        range.covariance().as_flattened(),
        &[
            0.0498747753795,
            0.0036839981068,
            0.0217987863916,
            0.0036839981081,
            0.1296875225175,
            0.023555853802,
            0.0217987863953,
            0.0235558537977,
            0.1393836289615,
        ],
    );
    assert_close("log posterior", &[range.log_posterior()], &[-0.953679107953482]);
}

#[test]
fn the_drift_of_ten_attempts_is_that_of_scipy() {
    let drift = trend(&ten(), today(), Metres::new(3.6).unwrap(), &Settings::default());
    let theta = [-1.5102732832669, -2.3806871235229, 1.5983235782639, -4.3301178882767e-04];
    assert_close("theta", &drift.theta, &theta);
    assert_close("variance of the drift", &[drift.sd * drift.sd], &[0.0007972864091]);
    assert_eq!(drift.verdict, Verdict::RangeUntested);
}

/// Without a lapse and with a flat prior the curve is a logistic regression on the two sides of x.
// import statsmodels.api as sm
// n, yes, no = np.array([4, 5, 6, 7, 8]), np.array([3, 9, 8, 5, 2]), np.array([4, 1, 2, 4, 6])
// x, w = np.log(18.0 / n / 3.6), 0.5 ** (np.arange(5) / 4)
// X = sm.add_constant(np.column_stack([np.maximum(-x, 0), np.maximum(x, 0)]))
// X, Y, W = np.repeat(X, 2, axis=0), np.tile([1, 0], 5), np.column_stack([w * yes, w * no]).ravel()
// m = sm.GLM(Y, X, sm.families.Binomial(), var_weights=W).fit(tol=1e-14)
// k = m.params[0] - np.log(4)
// J = np.array([[1 / k, -1 / m.params[1], 0], [1 / k, 0, -1 / m.params[2]], [1 / k, 0, 0]])
// print(np.log([-k / m.params[1], -k / m.params[2], k]), J @ m.cov_params() @ J.T, m.llf)
// print(m.predict([[1, 0.1, 0], [1, 0, 0.1]]))
#[test]
fn without_lapse_and_prior_the_fit_is_the_logistic_regression_of_statsmodels() {
    let settings = Settings { lapse: Probability::MIN, prior_sd: [1e6; 3], rho: 0.0, ..Settings::default() };
    let mut attempts = Vec::new();
    for (week, (asked, yes, no)) in (0..).zip([(4, 3, 4), (5, 9, 1), (6, 8, 2), (7, 5, 4), (8, 2, 6)]) {
        attempts.extend((0..yes).map(|_| attempt(21.6, asked, true, 7 * week)));
        attempts.extend((0..no).map(|_| attempt(21.6, asked, false, 7 * week)));
    }
    let range = fit(&attempts, today(), Metres::new(3.6).unwrap(), &settings);
    assert_close("theta", &range.theta(), &[-1.8672539694025, -2.4300086548499, 0.0868779033681]);
    assert_close(
        "covariance",
        range.covariance().as_flattened(),
        &[
            0.3202053134417,
            0.2881025246202,
            0.4758302069254,
            0.2881025246202,
            0.3868820476389,
            0.5129331077094,
            0.4758302069254,
            0.5129331077094,
            0.8471604582502,
        ],
    );
    assert_close("log likelihood", &[range.log_posterior()], &[-17.0638122726753]);
    let chances = [-0.1, 0.1].map(|x| range.chance(LogStretch::new(x).unwrap()).get());
    assert_close("chances", &chances, &[0.8546166456213, 0.7752264521177]);
}
