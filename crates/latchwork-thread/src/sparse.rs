//! One sparse step: a matrix from its parts, factored, and solved for one right-hand side.

use faer::prelude::Solve;
use faer::sparse::linalg::solvers::{Llt, SymbolicLlt};
use faer::sparse::{Argsort, Pair, SparseColMat, SymbolicSparseColMat, Triplet};
use faer::{Mat, Side};

/// Solves systems; where the parts of the next one lie at the same places as before, only their values are read.
#[derive(Default)]
pub(crate) struct Solver {
    pattern: Option<Pattern>,
}

/// Where the parts of a matrix lie, how they are summed, and how it is factored.
struct Pattern {
    places: Vec<Pair<usize, usize>>,
    shape: SymbolicSparseColMat<usize>,
    order: Argsort<usize>,
    factors: SymbolicLlt<usize>,
}

impl Pattern {
    fn new(n: usize, places: Vec<Pair<usize, usize>>) -> Option<Pattern> {
        let (shape, order) = SymbolicSparseColMat::try_new_from_indices(n, n, &places).ok()?;
        let factors = SymbolicLlt::try_new(shape.as_ref(), Side::Lower).ok()?;
        Some(Pattern { places, shape, order, factors })
    }

    fn is_of(&self, parts: &[Part]) -> bool {
        self.places.len() == parts.len() && self.places.iter().zip(parts).all(|(a, b)| (a.row, a.col) == (b.row, b.col))
    }
}

/// A number of a matrix: row, column, value.
pub(crate) type Part = Triplet<usize, usize, f64>;

/// Why there is no step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NoStep {
    /// The parts make no matrix.
    Broken,
    /// It is not positive definite: more must be added to its diagonal.
    NotRound,
}

impl Solver {
    /// Solves for a right-hand side; only the lower half of the matrix is given, and parts at one place are summed.
    pub(crate) fn solve(&mut self, parts: &[Part], right: &[f64]) -> Result<Vec<f64>, NoStep> {
        let n = right.len();
        if !self.pattern.as_ref().is_some_and(|p| p.is_of(parts)) {
            self.pattern = Pattern::new(n, parts.iter().map(|p| Pair::new(p.row, p.col)).collect());
        }
        let pattern = self.pattern.as_ref().ok_or(NoStep::Broken)?;
        let values: Vec<f64> = parts.iter().map(|p| p.val).collect();
        let matrix = SparseColMat::new_from_argsort(pattern.shape.clone(), &pattern.order, &values);
        let matrix = matrix.map_err(|_| NoStep::Broken)?;
        let factors = pattern.factors.clone();
        let factor = Llt::try_new_with_symbolic(factors, matrix.as_ref(), Side::Lower).map_err(|_| NoStep::NotRound)?;
        let way = factor.solve(&Mat::<f64>::from_fn(n, 1, |i, _| right[i]));
        Ok((0..n).map(|i| way[(i, 0)]).collect())
    }
}
