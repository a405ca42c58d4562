//! Symmetric positive definite matrices of a fixed, small size.

pub(super) type Vector<const N: usize> = [f64; N];
pub(super) type Matrix<const N: usize> = [[f64; N]; N];

pub(super) fn dot<const N: usize>(a: &Vector<N>, b: &Vector<N>) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

pub(super) fn product<const N: usize>(a: &Matrix<N>, b: &Vector<N>) -> Vector<N> {
    a.map(|row| dot(&row, b))
}

/// v' A v.
pub(super) fn quadratic<const N: usize>(a: &Matrix<N>, v: &Vector<N>) -> f64 {
    dot(v, &product(a, v))
}

/// a + factor b.
pub(super) fn plus<const N: usize>(a: &Matrix<N>, factor: f64, b: &Matrix<N>) -> Matrix<N> {
    let mut sum = *a;
    for (row, other) in sum.iter_mut().zip(b) {
        for (cell, other) in row.iter_mut().zip(other) {
            *cell += factor * other;
        }
    }
    sum
}

pub(super) fn diagonal<const N: usize>(values: &Vector<N>) -> Matrix<N> {
    let mut matrix = [[0.0; N]; N];
    for (i, (row, value)) in matrix.iter_mut().zip(values).enumerate() {
        if let Some(cell) = row.get_mut(i) {
            *cell = *value;
        }
    }
    matrix
}

/// The diagonal of a matrix.
pub(super) fn diagonal_of<const N: usize>(a: &Matrix<N>) -> Vector<N> {
    let mut values = [0.0; N];
    for (i, (value, row)) in values.iter_mut().zip(a).enumerate() {
        *value = row.get(i).copied().unwrap_or(f64::NAN);
    }
    values
}

/// A = L L', L lower triangular.
pub(super) struct Cholesky<const N: usize>(Matrix<N>);

impl<const N: usize> Cholesky<N> {
    /// `None` where the matrix is not positive definite.
    pub fn of(a: &Matrix<N>) -> Option<Self> {
        let mut lower = [[0.0; N]; N];
        for (i, source) in a.iter().enumerate() {
            let (done, rest) = lower.split_at_mut(i);
            let row = rest.first_mut()?;
            // what is not yet filled is 0, so whole rows may be multiplied
            for (j, (value, earlier)) in source.iter().zip(done.iter()).enumerate() {
                let cell = (value - dot(row, earlier)) / earlier.get(j)?;
                *row.get_mut(j)? = cell;
            }
            let pivot = source.get(i)? - dot(row, row);
            if !(pivot > 0.0 && pivot.is_finite()) {
                return None;
            }
            *row.get_mut(i)? = pivot.sqrt();
        }
        Some(Self(lower))
    }

    /// The factor of the unit matrix.
    pub fn unit() -> Self {
        Self(diagonal(&[1.0; N]))
    }

    /// The x of A x = b.
    pub fn solve(&self, b: &Vector<N>) -> Vector<N> {
        let pivots = diagonal_of(&self.0);
        let mut forward = [0.0; N];
        for (i, ((row, b), pivot)) in self.0.iter().zip(b).zip(pivots).enumerate() {
            let value = (b - dot(row, &forward)) / pivot;
            if let Some(cell) = forward.get_mut(i) {
                *cell = value;
            }
        }
        let mut rest = forward;
        let mut x = [0.0; N];
        for (i, (row, pivot)) in self.0.iter().zip(pivots).enumerate().rev() {
            let value = rest.get(i).copied().unwrap_or(f64::NAN) / pivot;
            if let Some(cell) = x.get_mut(i) {
                *cell = value;
            }
            for (rest, lower) in rest.iter_mut().zip(row) {
                *rest -= lower * value;
            }
        }
        x
    }

    /// The inverse of A.
    pub fn inverse(&self) -> Matrix<N> {
        Self::unit().0.map(|unit| self.solve(&unit))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "test code")]
    use super::*;

    #[test]
    fn the_inverse_of_a_known_matrix() {
        // L = [[2,0,0],[1,3,0],[-1,2,1]], by hand A = L L'
        let a = [[4.0, 2.0, -2.0], [2.0, 10.0, 5.0], [-2.0, 5.0, 6.0]];
        let factor = Cholesky::of(&a).unwrap();
        assert_eq!(factor.0, [[2.0, 0.0, 0.0], [1.0, 3.0, 0.0], [-1.0, 2.0, 1.0]]);
        let inverse = factor.inverse();
        for (i, row) in a.iter().enumerate() {
            // the inverse is symmetric, so its rows are its columns
            for (j, column) in inverse.iter().enumerate() {
                let cell = dot(row, column);
                assert!((cell - f64::from(u8::from(i == j))).abs() < 1e-14, "{i} {j}: {cell}");
            }
        }
    }

    #[test]
    fn an_indefinite_matrix_has_none() {
        assert!(Cholesky::of(&[[1.0, 2.0], [2.0, 1.0]]).is_none());
        assert!(Cholesky::of(&[[f64::NAN]]).is_none());
    }
}
