//! Square matrices of one fixed pattern, and their factors by a plan made once.
//!
//! A circuit's Jacobian keeps its pattern for a whole run, so the order of elimination and
//! every index it touches are worked out when the circuit is built. What is left to do at each
//! step is one pass over flat lists.

use std::sync::Arc;

/// A pivot smaller than this share of the terms it was summed from is noise.
const NOISE_SHARE: f64 = 1e-13;

/// Collects the places a matrix may be non-zero.
#[derive(Clone, Debug)]
pub struct PatternBuilder {
    size: usize,
    places: Vec<(u32, u32)>,
}

impl PatternBuilder {
    /// A pattern of `size` rows and columns with only its diagonal.
    #[must_use]
    pub fn new(size: usize) -> Self {
        assert!(size < u32::MAX as usize, "a matrix of this size has no business here");
        PatternBuilder { size, places: (0..size as u32).map(|i| (i, i)).collect() }
    }

    /// Adds a place; adding one twice is harmless.
    pub fn add(&mut self, row: usize, column: usize) {
        assert!(row < self.size && column < self.size, "a place outside the matrix");
        self.places.push((row as u32, column as u32));
    }

    /// The finished pattern.
    #[must_use]
    pub fn build(mut self) -> Arc<Pattern> {
        self.places.sort_unstable();
        self.places.dedup();
        let mut row_starts = vec![0; self.size + 1];
        for &(row, _) in &self.places {
            row_starts[row as usize + 1] += 1;
        }
        for row in 0..self.size {
            row_starts[row + 1] += row_starts[row];
        }
        let columns = self.places.iter().map(|&(_, column)| column).collect();
        Arc::new(Pattern { row_starts, columns })
    }
}

/// The places a matrix may be non-zero, row by row, columns ascending. A place's number in
/// that order is its slot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    row_starts: Vec<usize>,
    columns: Vec<u32>,
}

impl Pattern {
    /// Number of rows, which is the number of columns.
    #[must_use]
    pub fn size(&self) -> usize {
        self.row_starts.len() - 1
    }

    /// Number of places, the diagonal included.
    #[must_use]
    pub fn slots(&self) -> usize {
        self.columns.len()
    }

    /// The slot of a place, or `None` if the pattern holds a zero there.
    #[must_use]
    pub fn slot(&self, row: usize, column: usize) -> Option<usize> {
        let start = *self.row_starts.get(row)?;
        let end = *self.row_starts.get(row + 1)?;
        let column = u32::try_from(column).ok()?;
        self.columns[start..end].binary_search(&column).ok().map(|place| start + place)
    }

    /// Every place as (row, column), in the order of slots.
    pub fn places(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        (0..self.size()).flat_map(move |row| {
            self.columns[self.row_starts[row]..self.row_starts[row + 1]]
                .iter()
                .map(move |&column| (row, column as usize))
        })
    }
}

/// Values on a pattern, one a slot.
#[derive(Clone, Debug)]
pub struct Matrix {
    pattern: Arc<Pattern>,
    values: Vec<f64>,
}

impl Matrix {
    /// A matrix of zeros.
    #[must_use]
    pub fn new(pattern: Arc<Pattern>) -> Self {
        let values = vec![0.0; pattern.slots()];
        Matrix { pattern, values }
    }

    /// Its pattern.
    #[must_use]
    pub fn pattern(&self) -> &Arc<Pattern> {
        &self.pattern
    }

    /// Sets every value to zero.
    pub fn clear(&mut self) {
        self.values.fill(0.0);
    }

    /// Adds `value` at `slot`.
    #[inline]
    pub fn add(&mut self, slot: usize, value: f64) {
        self.values[slot] += value;
    }

    /// The values, one a slot.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The values, one a slot, to be written in place.
    pub fn values_mut(&mut self) -> &mut [f64] {
        &mut self.values
    }

    /// The value at a place; zero where the pattern has none.
    #[must_use]
    pub fn get(&self, row: usize, column: usize) -> f64 {
        self.pattern.slot(row, column).map_or(0.0, |slot| self.values[slot])
    }
}

/// The plan of an elimination with pivots on the diagonal, made once for a pattern.
///
/// Rows and columns are taken in the order of least remaining degree on the symmetrised
/// pattern, the lowest number first among equals. The matrix becomes L D U with ones on the
/// diagonals of L and U, because then both triangles are solved by one flat list of the same
/// small move. The factors lie in one row: the pivots by stage; L by columns, first stage first;
/// U by columns, last stage first, so that neighbouring moves write to different places.
#[derive(Debug)]
pub struct Elimination {
    pattern: Arc<Pattern>,
    stages: Vec<Stage>,
    /// Where each slot of the pattern lies among the factors.
    homes: Vec<u32>,
    /// Where the upper row of each stage lies among the factors.
    upper_homes: Vec<u32>,
    /// For each stage, for each lower entry, for each upper entry: the factor to subtract
    /// their product from.
    targets: Vec<u32>,
    /// Pairs of a lower and an upper entry whose product was subtracted from a pivot.
    couples: Vec<Couple>,
    /// The moves of a solution with L, then those with U.
    moves: Vec<Move>,
    /// How many of the moves are with L.
    lower_count: usize,
}

#[derive(Clone, Copy, Debug)]
struct Stage {
    /// The row and column eliminated here.
    state: u32,
    /// Its lower column, among the factors.
    lower_start: u32,
    lower_end: u32,
    /// Its upper row, among `upper_homes`.
    upper_start: u32,
    upper_end: u32,
    /// Its first target.
    target: u32,
}

#[derive(Clone, Copy, Debug)]
struct Couple {
    /// The stage of that pivot.
    stage: u32,
    /// The stage that both belong to.
    source: u32,
    lower: u32,
    upper: u32,
}

/// Subtract a factor times the unknown `from` from the unknown `to`.
#[derive(Clone, Copy, Debug)]
struct Move {
    from: u32,
    to: u32,
}

impl Elimination {
    /// Plans the elimination of matrices on `pattern`.
    #[must_use]
    pub fn new(pattern: Arc<Pattern>) -> Arc<Self> {
        let size = pattern.size();
        let order = least_degree_order(&pattern);
        let mut rank = vec![0; size];
        for (stage, &state) in order.iter().enumerate() {
            rank[state] = stage;
        }
        // In elimination order. Circuits are small, so a square of flags will do.
        let mut filled = vec![false; size * size];
        for (row, column) in pattern.places() {
            filled[rank[row] * size + rank[column]] = true;
        }
        for stage in 0..size {
            for row in stage + 1..size {
                if filled[row * size + stage] {
                    for column in stage + 1..size {
                        if filled[stage * size + column] {
                            filled[row * size + column] = true;
                        }
                    }
                }
            }
        }

        let mut home = vec![u32::MAX; size * size];
        for stage in 0..size {
            home[stage * size + stage] = stage as u32;
        }
        let mut moves = Vec::new();
        let mut stages = Vec::with_capacity(size);
        for stage in 0..size {
            let lower_start = (size + moves.len()) as u32;
            for row in (stage + 1..size).filter(|row| filled[row * size + stage]) {
                home[row * size + stage] = (size + moves.len()) as u32;
                moves.push(Move { from: order[stage] as u32, to: order[row] as u32 });
            }
            stages.push(Stage {
                state: order[stage] as u32,
                lower_start,
                lower_end: (size + moves.len()) as u32,
                upper_start: 0,
                upper_end: 0,
                target: 0,
            });
        }
        let lower_count = moves.len();
        for column in (0..size).rev() {
            for row in (0..column).rev().filter(|row| filled[row * size + column]) {
                home[row * size + column] = (size + moves.len()) as u32;
                moves.push(Move { from: order[column] as u32, to: order[row] as u32 });
            }
        }

        let mut upper_homes = Vec::new();
        let mut targets = Vec::new();
        let mut couples = Vec::new();
        for (number, stage) in stages.iter_mut().enumerate() {
            let after = number + 1..size;
            let columns: Vec<_> =
                after.clone().filter(|column| filled[number * size + column]).collect();
            stage.upper_start = upper_homes.len() as u32;
            upper_homes.extend(columns.iter().map(|column| home[number * size + column]));
            stage.upper_end = upper_homes.len() as u32;
            stage.target = targets.len() as u32;
            for row in after.filter(|row| filled[row * size + number]) {
                targets.extend(columns.iter().map(|column| home[row * size + column]));
                if columns.contains(&row) {
                    couples.push(Couple {
                        stage: row as u32,
                        source: number as u32,
                        lower: home[row * size + number],
                        upper: home[number * size + row],
                    });
                }
            }
        }
        let homes =
            pattern.places().map(|(row, column)| home[rank[row] * size + rank[column]]).collect();
        Arc::new(Elimination {
            pattern,
            stages,
            homes,
            upper_homes,
            targets,
            couples,
            moves,
            lower_count,
        })
    }

    /// The pattern the plan is for.
    #[must_use]
    pub fn pattern(&self) -> &Arc<Pattern> {
        &self.pattern
    }

    /// Number of factors, fill included.
    #[must_use]
    pub fn factor_count(&self) -> usize {
        self.stages.len() + self.moves.len()
    }
}

/// Eliminates, again and again, the state with fewest neighbours left, and joins those.
fn least_degree_order(pattern: &Pattern) -> Vec<usize> {
    let size = pattern.size();
    let mut joined = vec![false; size * size];
    for (row, column) in pattern.places() {
        joined[row * size + column] = true;
        joined[column * size + row] = true;
    }
    let mut left: Vec<usize> = (0..size).collect();
    let mut order = Vec::with_capacity(size);
    while !left.is_empty() {
        let mut best = (usize::MAX, 0);
        for (place, &state) in left.iter().enumerate() {
            let degree = left.iter().filter(|&&other| joined[state * size + other]).count();
            if degree < best.0 {
                best = (degree, place);
            }
        }
        let state = left.remove(best.1);
        for &a in &left {
            if joined[a * size + state] {
                for &b in &left {
                    if joined[state * size + b] {
                        joined[a * size + b] = true;
                    }
                }
            }
        }
        order.push(state);
    }
    order
}

/// A matrix that has no factors: some pivot is zero, or some value is not a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the matrix is singular")]
pub struct Singular;

/// The factors of one matrix, ready to solve with; scratch that is kept from step to step.
///
/// ```
/// use spoolbench::kernel::{Elimination, Factors, Matrix, PatternBuilder};
/// let mut places = PatternBuilder::new(2);
/// places.add(0, 1);
/// let pattern = places.build();
/// let mut matrix = Matrix::new(pattern.clone());
/// for (row, column, value) in [(0, 0, 2.0), (0, 1, 1.0), (1, 1, 4.0)] {
///     matrix.add(pattern.slot(row, column).unwrap(), value);
/// }
/// let mut factors = Factors::new(Elimination::new(pattern));
/// factors.factor(&matrix)?;
/// let mut unknowns = [4.0, 8.0];
/// factors.solve(&mut unknowns);
/// assert_eq!(unknowns, [1.0, 2.0]);
/// # Ok::<(), spoolbench::kernel::Singular>(())
/// ```
#[derive(Clone, Debug)]
pub struct Factors {
    plan: Arc<Elimination>,
    /// Laid out by the plan.
    values: Vec<f64>,
    /// Inverse pivots, by stage.
    inverses: Vec<f64>,
    /// What each pivot was summed from, in absolute value, by stage.
    pivot_terms: Vec<f64>,
    /// The upper row of a stage while it is at work.
    upper: Vec<f64>,
    dense: Dense,
    uses_dense: bool,
    dense_fallbacks: u64,
}

impl Factors {
    /// Room for the factors of matrices on the plan's pattern.
    #[must_use]
    pub fn new(plan: Arc<Elimination>) -> Self {
        let size = plan.pattern.size();
        Factors {
            values: vec![0.0; plan.factor_count()],
            inverses: vec![0.0; size],
            pivot_terms: vec![0.0; size],
            upper: vec![0.0; size],
            plan,
            dense: Dense::default(),
            uses_dense: false,
            dense_fallbacks: 0,
        }
    }

    /// How often a diagonal pivot would not do and the whole matrix was factored densely.
    #[must_use]
    pub fn dense_fallbacks(&self) -> u64 {
        self.dense_fallbacks
    }

    /// Factors `matrix`.
    ///
    /// # Errors
    /// [`Singular`] if even partial pivoting finds no pivot; the factors must not be used then.
    pub fn factor(&mut self, matrix: &Matrix) -> Result<(), Singular> {
        self.factor_scaled(1.0, 0.0, matrix)
    }

    /// Factors `shift` times the identity, less `matrix`: the matrix of an implicit step.
    ///
    /// # Errors
    /// [`Singular`] if even partial pivoting finds no pivot; the factors must not be used then.
    pub fn factor_shifted(&mut self, shift: f64, matrix: &Matrix) -> Result<(), Singular> {
        self.factor_scaled(-1.0, shift, matrix)
    }

    fn factor_scaled(&mut self, scale: f64, shift: f64, matrix: &Matrix) -> Result<(), Singular> {
        assert!(
            matrix.values.len() == self.plan.homes.len(),
            "the matrix is not on the pattern of this plan"
        );
        self.uses_dense = false;
        if self.eliminate(scale, shift, matrix) {
            return Ok(());
        }
        self.dense_fallbacks += 1;
        self.uses_dense = true;
        self.dense.factor(scale, shift, matrix)
    }

    /// The planned elimination; false if a pivot is lost in noise.
    fn eliminate(&mut self, scale: f64, shift: f64, matrix: &Matrix) -> bool {
        let plan = &*self.plan;
        let size = plan.stages.len();
        let values = self.values.as_mut_slice();
        values.fill(0.0);
        for (&home, &value) in plan.homes.iter().zip(&matrix.values) {
            values[home as usize] = scale * value;
        }
        for (pivot, terms) in values[..size].iter_mut().zip(&mut self.pivot_terms) {
            *pivot += shift;
            *terms = pivot.abs();
        }
        // A bad pivot spoils the rest but is still seen below, so nothing here need branch.
        for (number, stage) in plan.stages.iter().enumerate() {
            let inverse = 1.0 / values[number];
            self.inverses[number] = inverse;
            let lower = stage.lower_start as usize..stage.lower_end as usize;
            let upper_homes =
                &plan.upper_homes[stage.upper_start as usize..stage.upper_end as usize];
            if upper_homes.is_empty() {
                for entry in &mut values[lower] {
                    *entry *= inverse;
                }
                continue;
            }
            let upper = &mut self.upper[..upper_homes.len()];
            for (entry, &home) in upper.iter_mut().zip(upper_homes) {
                *entry = values[home as usize];
                values[home as usize] = *entry * inverse;
            }
            // Split by hand: to cut it in chunks of a length not known beforehand takes a division.
            let mut targets = &plan.targets[stage.target as usize..];
            for entry in lower {
                let share = values[entry] * inverse;
                values[entry] = share;
                let (here, rest) = targets.split_at(upper.len());
                for (&value, &target) in upper.iter().zip(here) {
                    values[target as usize] -= share * value;
                }
                targets = rest;
            }
        }
        // U is scaled by now, so its share of a pivot is weighed by the pivot it was divided by.
        for couple in &plan.couples {
            let product = values[couple.lower as usize] * values[couple.upper as usize];
            self.pivot_terms[couple.stage as usize] +=
                (product * values[couple.source as usize]).abs();
        }
        // Compared this way round, NaN and infinity fail too.
        let sound = |(pivot, terms): (&f64, &f64)| pivot.abs() > NOISE_SHARE * terms;
        values[..size].iter().zip(&self.pivot_terms).all(sound)
            && values[..size].iter().all(|pivot| pivot.is_finite())
    }

    /// Replaces the right-hand side by the solution.
    pub fn solve(&self, unknowns: &mut [f64]) {
        assert!(unknowns.len() == self.inverses.len(), "a right-hand side of another size");
        if self.uses_dense {
            self.dense.solve(unknowns);
            return;
        }
        let factors = &self.values[self.inverses.len()..];
        let (lower, upper) = factors.split_at(self.plan.lower_count);
        let (lower_moves, upper_moves) = self.plan.moves.split_at(self.plan.lower_count);
        for (&factor, step) in lower.iter().zip(lower_moves) {
            unknowns[step.to as usize] -= factor * unknowns[step.from as usize];
        }
        // By stage, so that each is read as it was just written, one at a time: a wide read of
        // several narrow writes would stall the processor.
        for (stage, &inverse) in self.plan.stages.iter().zip(&self.inverses) {
            unknowns[stage.state as usize] *= inverse;
        }
        for (&factor, step) in upper.iter().zip(upper_moves) {
            unknowns[step.to as usize] -= factor * unknowns[step.from as usize];
        }
    }
}

/// Dense factors with row-scaled partial pivoting, for the rare matrix whose diagonal fails.
#[derive(Clone, Debug, Default)]
struct Dense {
    values: Vec<f64>,
    /// The row swapped into each place.
    swaps: Vec<usize>,
    row_scales: Vec<f64>,
}

impl Dense {
    fn factor(&mut self, scale: f64, shift: f64, matrix: &Matrix) -> Result<(), Singular> {
        let size = matrix.pattern.size();
        self.values.clear();
        self.values.resize(size * size, 0.0);
        self.swaps.clear();
        for ((row, column), &value) in matrix.pattern.places().zip(&matrix.values) {
            self.values[row * size + column] = scale * value;
        }
        for row in 0..size {
            self.values[row * size + row] += shift;
        }
        // States carry different units, so rows are weighed before they are compared.
        self.row_scales.clear();
        for row in self.values.chunks_exact(size.max(1)) {
            let largest = row.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
            self.row_scales.push(if largest > 0.0 { 1.0 / largest } else { 0.0 });
        }
        for stage in 0..size {
            let mut best = (0.0, stage);
            for row in stage..size {
                let weight = self.values[row * size + stage].abs() * self.row_scales[row];
                if weight > best.0 {
                    best = (weight, row);
                }
            }
            if !(best.0 > 0.0 && best.0.is_finite()) {
                return Err(Singular);
            }
            self.swaps.push(best.1);
            if best.1 != stage {
                self.row_scales.swap(best.1, stage);
                for column in 0..size {
                    self.values.swap(best.1 * size + column, stage * size + column);
                }
            }
            let inverse = 1.0 / self.values[stage * size + stage];
            if !inverse.is_finite() {
                return Err(Singular);
            }
            let (top, rest) = self.values.split_at_mut((stage + 1) * size);
            let pivot_row = &top[stage * size..];
            for row in rest.chunks_exact_mut(size) {
                let share = row[stage] * inverse;
                row[stage] = share;
                if share != 0.0 {
                    for (value, &above) in row[stage + 1..].iter_mut().zip(&pivot_row[stage + 1..])
                    {
                        *value -= share * above;
                    }
                }
            }
        }
        if self.values.iter().all(|value| value.is_finite()) { Ok(()) } else { Err(Singular) }
    }

    fn solve(&self, unknowns: &mut [f64]) {
        let size = unknowns.len();
        for (stage, &other) in self.swaps.iter().enumerate() {
            unknowns.swap(stage, other);
        }
        for row in 0..size {
            let lower = &self.values[row * size..row * size + row];
            let mut sum = unknowns[row];
            for (share, known) in lower.iter().zip(unknowns.iter()) {
                sum -= share * known;
            }
            unknowns[row] = sum;
        }
        for row in (0..size).rev() {
            let upper = &self.values[row * size + row..(row + 1) * size];
            let mut sum = unknowns[row];
            for (value, known) in upper.iter().zip(&unknowns[row..]).skip(1) {
                sum -= value * known;
            }
            unknowns[row] = sum / upper[0];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Stream;

    fn random_matrix(random: &mut Stream, size: usize, diagonal: f64) -> Matrix {
        let mut places = PatternBuilder::new(size);
        for _ in 0..size * 2 {
            let row = random.below(size as u64) as usize;
            let column = random.below(size as u64) as usize;
            places.add(row, column);
        }
        let pattern = places.build();
        let mut matrix = Matrix::new(pattern.clone());
        for (slot, (row, column)) in pattern.places().enumerate() {
            let value = random.between(-1.0, 1.0);
            matrix.add(slot, if row == column { diagonal + value } else { value });
        }
        matrix
    }

    fn residual(matrix: &Matrix, unknowns: &[f64], right: &[f64]) -> f64 {
        let mut left = vec![0.0; right.len()];
        for ((row, column), &value) in matrix.pattern().places().zip(matrix.values()) {
            left[row] += value * unknowns[column];
        }
        left.iter().zip(right).fold(0.0, |most: f64, (l, r)| most.max((l - r).abs()))
    }

    #[test]
    fn the_pattern_always_holds_its_diagonal() {
        let mut places = PatternBuilder::new(3);
        places.add(2, 0);
        places.add(2, 0);
        let pattern = places.build();
        assert_eq!(pattern.slots(), 4);
        assert_eq!(pattern.places().collect::<Vec<_>>(), [(0, 0), (1, 1), (2, 0), (2, 2)]);
        assert_eq!(pattern.slot(2, 0), Some(2));
        assert_eq!(pattern.slot(0, 2), None);
        assert_eq!(pattern.slot(3, 0), None);
        assert_eq!(pattern.slot(0, 3), None);
    }

    #[test]
    fn planned_factors_agree_with_dense_ones() {
        let mut random = Stream::new(11, "kernel", "sparse");
        for size in 1..=60 {
            let matrix = random_matrix(&mut random, size, 4.0);
            let right: Vec<f64> = (0..size).map(|_| random.between(-1.0, 1.0)).collect();
            let mut factors = Factors::new(Elimination::new(matrix.pattern().clone()));
            factors.factor(&matrix).unwrap();
            let mut sparse = right.clone();
            factors.solve(&mut sparse);
            let mut dense = Dense::default();
            dense.factor(1.0, 0.0, &matrix).unwrap();
            let mut reference = right.clone();
            dense.solve(&mut reference);
            assert_eq!(factors.dense_fallbacks(), 0);
            assert!(residual(&matrix, &sparse, &right) < 1e-11, "size {size}");
            for (a, b) in sparse.iter().zip(&reference) {
                assert!((a - b).abs() < 1e-9, "size {size}: {a} {b}");
            }
        }
    }

    #[test]
    fn a_shifted_matrix_is_the_shift_less_the_matrix() {
        let mut random = Stream::new(12, "kernel", "sparse");
        let matrix = random_matrix(&mut random, 12, 0.0);
        let mut shifted = matrix.clone();
        for value in shifted.values_mut() {
            *value = -*value;
        }
        for state in 0..12 {
            let slot = shifted.pattern().slot(state, state).unwrap();
            shifted.add(slot, 9.0);
        }
        let right = vec![1.0; 12];
        let mut factors = Factors::new(Elimination::new(matrix.pattern().clone()));
        factors.factor_shifted(9.0, &matrix).unwrap();
        let mut unknowns = right.clone();
        factors.solve(&mut unknowns);
        assert!(residual(&shifted, &unknowns, &right) < 1e-13);
    }

    #[test]
    fn a_lost_pivot_falls_back_to_dense_factors() {
        let mut places = PatternBuilder::new(3);
        for (row, column) in [(0, 1), (1, 0), (1, 2), (2, 1)] {
            places.add(row, column);
        }
        let pattern = places.build();
        let mut matrix = Matrix::new(pattern.clone());
        for (row, column, value) in
            [(0, 1, 2.0), (1, 0, 3.0), (1, 2, 1.0), (2, 1, 1.0), (2, 2, 5.0)]
        {
            matrix.add(pattern.slot(row, column).unwrap(), value);
        }
        let mut factors = Factors::new(Elimination::new(pattern));
        factors.factor(&matrix).unwrap();
        assert_eq!(factors.dense_fallbacks(), 1);
        let right = [2.0, 3.0, 6.0];
        let mut unknowns = right;
        factors.solve(&mut unknowns);
        assert!(residual(&matrix, &unknowns, &right) < 1e-14);
    }

    #[test]
    fn mixed_units_are_no_reason_to_fall_back() {
        // A mass on a column of oil: metres per second against pascals, 1e11 apart.
        let mut places = PatternBuilder::new(2);
        places.add(0, 1);
        places.add(1, 0);
        let pattern = places.build();
        let mut matrix = Matrix::new(pattern.clone());
        matrix.add(pattern.slot(0, 1).unwrap(), 1e-5);
        matrix.add(pattern.slot(1, 0).unwrap(), -1e12);
        let mut factors = Factors::new(Elimination::new(pattern));
        factors.factor_shifted(1e-3, &matrix).unwrap();
        assert_eq!(factors.dense_fallbacks(), 0);
    }

    #[test]
    fn singular_and_unreal_matrices_are_refused() {
        let pattern = PatternBuilder::new(2).build();
        let mut matrix = Matrix::new(pattern.clone());
        let mut factors = Factors::new(Elimination::new(pattern));
        matrix.add(0, 1.0);
        assert_eq!(factors.factor(&matrix), Err(Singular));
        matrix.add(1, f64::NAN);
        assert_eq!(factors.factor(&matrix), Err(Singular));
        matrix.clear();
        matrix.add(0, f64::INFINITY);
        matrix.add(1, 1.0);
        assert_eq!(factors.factor(&matrix), Err(Singular));
    }

    #[test]
    fn a_star_circuit_fills_nothing() {
        // The hub first would fill the whole square.
        let mut places = PatternBuilder::new(9);
        for spoke in 1..9 {
            places.add(0, spoke);
            places.add(spoke, 0);
        }
        let pattern = places.build();
        assert_eq!(Elimination::new(pattern.clone()).factor_count(), pattern.slots());
    }
}
