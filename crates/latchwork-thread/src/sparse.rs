//! One sparse step: a matrix from its parts, factored, and solved for one right side.

use faer::prelude::Solve;
use faer::sparse::linalg::solvers::{Llt, SymbolicLlt};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Mat, Side};

/// Solves systems of one pattern; the pattern is looked at once.
#[derive(Default)]
pub(crate) struct Solver {
    pattern: Option<SymbolicLlt<usize>>,
}

/// Why there is no step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoStep {
    /// The matrix is none.
    Broken,
    /// It is not round everywhere: more must be added to its middle.
    NotRound,
}

impl Solver {
    /// Solves for a right side; of the matrix the lower half is given, parts at one place are summed.
    pub(crate) fn solve(&mut self, parts: &[Triplet<usize, usize, f64>], right: &[f64]) -> Result<Vec<f64>, NoStep> {
        let n = right.len();
        let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, parts).map_err(|_| NoStep::Broken)?;
        let pattern = match &self.pattern {
            Some(p) => p.clone(),
            None => {
                let p = SymbolicLlt::try_new(matrix.symbolic(), Side::Lower).map_err(|_| NoStep::Broken)?;
                self.pattern.insert(p).clone()
            }
        };
        let factor = Llt::try_new_with_symbolic(pattern, matrix.as_ref(), Side::Lower).map_err(|_| NoStep::NotRound)?;
        let way = factor.solve(&Mat::<f64>::from_fn(n, 1, |i, _| right[i]));
        Ok((0..n).map(|i| way[(i, 0)]).collect())
    }
}
