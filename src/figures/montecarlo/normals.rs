//! Random numbers of known distributions, from a seed.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::figures::graph::Shape;

/// Draws from distributions with mean 0 and standard deviation 1.
pub(super) struct Normals {
    generator: ChaCha8Rng,
    spare: Option<f64>,
}

impl Normals {
    pub(super) fn new(seed: u64) -> Self {
        Normals { generator: ChaCha8Rng::seed_from_u64(seed), spare: None }
    }

    pub(super) fn deviate(&mut self, shape: Shape) -> f64 {
        match shape {
            Shape::Normal => self.normal(),
            Shape::Rectangular => shape.reach() * (2.0 * self.uniform() - 1.0),
            Shape::Triangular => shape.reach() * (self.uniform() + self.uniform() - 1.0),
        }
    }

    /// Marsaglia's polar method (G. Marsaglia and T. A. Bray, SIAM Review 6, 1964, 260–264), which needs no sine.
    pub(super) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (x, y) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let square = x * x + y * y;
            if square < 1.0 && square > 0.0 {
                let factor = (-2.0 * square.ln() / square).sqrt();
                self.spare = Some(y * factor);
                return x * factor;
            }
        }
    }

    /// Between 0 and 1, both excluded.
    fn uniform(&mut self) -> f64 {
        ((self.generator.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }
}

/// Cholesky factor of a correlation matrix that may be singular (full correlation): a pivot that rounding leaves at or
/// below zero is zero.
pub(super) fn lower_factor(matrix: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = matrix.len();
    let mut factor = vec![vec![0.0; size]; size];
    for row in 0..size {
        for column in 0..=row {
            let dot: f64 = (0..column).map(|k| factor[row][k] * factor[column][k]).sum();
            let left = matrix[row][column] - dot;
            factor[row][column] = if row == column {
                if left > 1e-12 { left.sqrt() } else { 0.0 }
            } else if factor[column][column] > 0.0 {
                left / factor[column][column]
            } else {
                0.0
            };
        }
    }
    factor
}
