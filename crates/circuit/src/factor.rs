//! Sparse factors whose order is found once and then replayed.
//!
//! Pure numbers, no units. The pattern of a circuit's matrix is symmetric and
//! never changes, so the elimination order (minimum degree) and the place of
//! every multiply-add are found once; factoring replays that list.
//! Pivots stay on the diagonal: the matrices of resistive networks are
//! symmetric positive definite, where this is stable (Golub and Van Loan,
//! "Matrix Computations", chapter on positive definite systems; from memory).
//! Tube matrices are not symmetric in their values; there the caller watches what is left
//! over and falls back to row exchange. Fails with the row whose pivot is too small against
//! its own diagonal.
//!
//! The `_side_by_side` functions replay the list for several matrices of the same pattern
//! at once, one value of each in an array: plain loops that the compiler makes vector code.

/// The elimination order and the list of multiply-adds for one pattern.
#[derive(Debug, Clone, Default)]
pub struct Pattern {
    size: usize,
    /// Row eliminated at each turn.
    order: Vec<usize>,
    /// For each turn: index of the pivot in the value array.
    pivots: Vec<usize>,
    /// For each turn: range in `neighbours`.
    starts: Vec<usize>,
    /// Rows still to be eliminated that touch the pivot row, with the indices of
    /// their entries below (row, pivot) and right of the pivot (pivot, row).
    neighbours: Vec<Neighbour>,
    /// For each turn: start in `updates` of its block of targets.
    update_starts: Vec<usize>,
    /// Targets of the outer product of each turn, row by row.
    updates: Vec<usize>,
    /// Value index of every entry that can be stamped, by row and column.
    position: Vec<u32>,
    values: usize,
}

#[derive(Debug, Clone, Copy)]
struct Neighbour {
    row: usize,
    below: usize,
    right: usize,
}

const NOWHERE: u32 = u32::MAX;

/// A pivot that vanished.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VanishedPivot {
    /// Its row.
    pub row: usize,
    /// What was left of it.
    pub pivot: f64,
}

impl Pattern {
    /// Finds order and multiply-adds for a matrix of `size` rows whose entries
    /// off the diagonal are at `entries` (either triangle, doubles allowed).
    pub fn new(size: usize, entries: &[(usize, usize)]) -> Pattern {
        let mut linked = vec![false; size * size];
        // Rows that each row is linked with; those eliminated stay in the list and are passed over.
        let mut with: Vec<Vec<usize>> = vec![Vec::new(); size];
        for &(row, column) in entries {
            if row != column && !linked[row * size + column] {
                linked[row * size + column] = true;
                linked[column * size + row] = true;
                with[row].push(column);
                with[column].push(row);
            }
        }
        let mut position = vec![NOWHERE; size * size];
        let mut values = 0usize;
        let mut place = |position: &mut Vec<u32>, row: usize, column: usize| {
            let slot = &mut position[row * size + column];
            if *slot == NOWHERE {
                *slot = values as u32;
                values += 1;
            }
            *slot as usize
        };
        let mut left: Vec<usize> = (0..size).collect();
        let mut degree: Vec<usize> = with.iter().map(Vec::len).collect();
        // Where each row stands among those left; none once it is eliminated.
        let mut stands: Vec<Option<usize>> = (0..size).map(Some).collect();
        let mut order = Vec::with_capacity(size);
        let mut pivots = Vec::with_capacity(size);
        let mut starts = vec![0];
        let mut neighbours = Vec::new();
        let mut update_starts = vec![0];
        let mut updates = Vec::new();
        while !left.is_empty() {
            let mut best = 0;
            for (index, &row) in left.iter().enumerate() {
                if degree[row] < degree[left[best]] {
                    best = index;
                }
            }
            let pivot = left.swap_remove(best);
            stands[pivot] = None;
            if let Some(&moved) = left.get(best) {
                stands[moved] = Some(best);
            }
            let mut touching = std::mem::take(&mut with[pivot]);
            touching.retain(|&row| stands[row].is_some());
            touching.sort_unstable_by_key(|&row| stands[row]);
            for (index, &one) in touching.iter().enumerate() {
                degree[one] -= 1;
                for &other in &touching[index + 1..] {
                    if !linked[one * size + other] {
                        linked[one * size + other] = true;
                        linked[other * size + one] = true;
                        with[one].push(other);
                        with[other].push(one);
                        degree[one] += 1;
                        degree[other] += 1;
                    }
                }
            }
            order.push(pivot);
            pivots.push(place(&mut position, pivot, pivot));
            for &row in &touching {
                neighbours.push(Neighbour {
                    row,
                    below: place(&mut position, row, pivot),
                    right: place(&mut position, pivot, row),
                });
            }
            for &row in &touching {
                for &column in &touching {
                    updates.push(place(&mut position, row, column));
                }
            }
            starts.push(neighbours.len());
            update_starts.push(updates.len());
        }
        Pattern {
            size,
            order,
            pivots,
            starts,
            neighbours,
            update_starts,
            updates,
            position,
            values,
        }
    }

    /// Rows of the matrix.
    pub fn size(&self) -> usize {
        self.size
    }

    /// Multiply-adds of one factorisation.
    pub fn multiply_adds(&self) -> usize {
        self.updates.len()
    }

    /// An empty matrix of this pattern.
    pub fn matrix(&self) -> Matrix {
        Matrix {
            values: vec![0.0; self.values],
        }
    }

    /// Adds `value` at (`row`, `column`). Entries outside the pattern are a fault
    /// of the caller and are refused with `false`.
    pub fn add(&self, matrix: &mut Matrix, row: usize, column: usize, value: f64) -> bool {
        let place = self.position[row * self.size + column];
        if place == NOWHERE {
            return false;
        }
        matrix.values[place as usize] += value;
        true
    }

    /// Values of a matrix of this pattern, fill included.
    pub fn places(&self) -> usize {
        self.values
    }

    /// Where the value of (`row`, `column`) stands among the values, if it can be stamped.
    pub fn place(&self, row: usize, column: usize) -> Option<usize> {
        let place = *self.position.get(row * self.size + column)?;
        (place != NOWHERE && column < self.size).then_some(place as usize)
    }

    /// Factors `LANES` matrices side by side in their own storage, the inverse of each pivot
    /// in its place. `diagonal` is room for one value a row. Tells which lanes kept all
    /// their pivots; the others hold nothing of use.
    pub fn factor_side_by_side<const LANES: usize>(
        &self,
        values: &mut [[f64; LANES]],
        diagonal: &mut Vec<[f64; LANES]>,
    ) -> [bool; LANES] {
        diagonal.clear();
        diagonal.extend(self.pivots.iter().map(|&place| values[place]));
        let mut kept = [true; LANES];
        for (turn, own) in diagonal.iter().enumerate() {
            let pivot = values[self.pivots[turn]];
            let mut inverse = [0.0; LANES];
            for lane in 0..LANES {
                // What is left of a pivot must stand out from the rounding of its diagonal.
                // Written so that a pivot that is no number fails as well.
                kept[lane] &= pivot[lane].abs() > 1e-15 * own[lane].abs();
                inverse[lane] = 1.0 / pivot[lane];
            }
            values[self.pivots[turn]] = inverse;
            let around = &self.neighbours[self.starts[turn]..self.starts[turn + 1]];
            let mut targets = self.updates[self.update_starts[turn]..].iter();
            for one in around {
                let mut factor = values[one.below];
                for lane in 0..LANES {
                    factor[lane] *= inverse[lane];
                }
                values[one.below] = factor;
                for (other, &target) in around.iter().zip(&mut targets) {
                    let right = values[other.right];
                    let target = &mut values[target];
                    for lane in 0..LANES {
                        target[lane] -= factor[lane] * right[lane];
                    }
                }
            }
        }
        kept
    }

    /// Whether the determinant of one factored matrix is above 0: the product of its pivots.
    pub fn is_positive(&self, values: &[[f64; 1]]) -> bool {
        let below = self.pivots.iter().filter(|&&place| values[place][0] < 0.0);
        below.count() % 2 == 0
    }

    /// Solves side by side, in place, with what [`Pattern::factor_side_by_side`] left.
    pub fn solve_side_by_side<const LANES: usize>(
        &self,
        values: &[[f64; LANES]],
        side: &mut [[f64; LANES]],
    ) {
        for turn in 0..self.size {
            let known = side[self.order[turn]];
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let factor = values[one.below];
                let target = &mut side[one.row];
                for lane in 0..LANES {
                    target[lane] -= factor[lane] * known[lane];
                }
            }
        }
        for turn in (0..self.size).rev() {
            let mut value = side[self.order[turn]];
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let factor = values[one.right];
                let known = side[one.row];
                for lane in 0..LANES {
                    value[lane] -= factor[lane] * known[lane];
                }
            }
            let inverse = values[self.pivots[turn]];
            for lane in 0..LANES {
                value[lane] *= inverse[lane];
            }
            side[self.order[turn]] = value;
        }
    }

    /// Solves for `WIDE` right sides of one matrix, in place, with what
    /// [`Pattern::factor_side_by_side`] left.
    pub fn solve_wide<const WIDE: usize>(&self, values: &[[f64; 1]], side: &mut [[f64; WIDE]]) {
        for turn in 0..self.size {
            let known = side[self.order[turn]];
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let [factor] = values[one.below];
                let target = &mut side[one.row];
                for lane in 0..WIDE {
                    target[lane] -= factor * known[lane];
                }
            }
        }
        for turn in (0..self.size).rev() {
            let mut value = side[self.order[turn]];
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let [factor] = values[one.right];
                let known = side[one.row];
                for lane in 0..WIDE {
                    value[lane] -= factor * known[lane];
                }
            }
            let [inverse] = values[self.pivots[turn]];
            for lane in &mut value {
                *lane *= inverse;
            }
            side[self.order[turn]] = value;
        }
    }

    /// Solves with the matrices transposed, side by side, in place.
    pub fn solve_transposed_side_by_side<const LANES: usize>(
        &self,
        values: &[[f64; LANES]],
        side: &mut [[f64; LANES]],
    ) {
        for turn in 0..self.size {
            let inverse = values[self.pivots[turn]];
            let mut known = side[self.order[turn]];
            for lane in 0..LANES {
                known[lane] *= inverse[lane];
            }
            side[self.order[turn]] = known;
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let factor = values[one.right];
                let target = &mut side[one.row];
                for lane in 0..LANES {
                    target[lane] -= factor[lane] * known[lane];
                }
            }
        }
        for turn in (0..self.size).rev() {
            let mut value = side[self.order[turn]];
            for one in &self.neighbours[self.starts[turn]..self.starts[turn + 1]] {
                let factor = values[one.below];
                let known = side[one.row];
                for lane in 0..LANES {
                    value[lane] -= factor[lane] * known[lane];
                }
            }
            side[self.order[turn]] = value;
        }
    }

    /// Factors the matrix in its own storage.
    pub fn factor(&self, mut matrix: Matrix) -> Result<Factors<'_>, VanishedPivot> {
        let values = &mut matrix.values;
        let diagonal: Vec<f64> = self.pivots.iter().map(|&p| values[p].abs()).collect();
        for turn in 0..self.size {
            let pivot = values[self.pivots[turn]];
            // What is left of a pivot must stand out from the rounding of its own diagonal.
            if !pivot.is_finite() || pivot.abs() <= 1e-16 * diagonal[turn] || pivot == 0.0 {
                return Err(VanishedPivot {
                    row: self.order[turn],
                    pivot,
                });
            }
            let inverse = 1.0 / pivot;
            let around = &self.neighbours[self.starts[turn]..self.starts[turn + 1]];
            let mut target = self.update_starts[turn];
            for one in around {
                let factor = values[one.below] * inverse;
                values[one.below] = factor;
                for other in around {
                    values[self.updates[target]] -= factor * values[other.right];
                    target += 1;
                }
            }
        }
        Ok(Factors {
            pattern: self,
            values: matrix.values,
        })
    }
}

/// The values of one matrix, before factoring.
#[derive(Debug, Clone)]
pub struct Matrix {
    values: Vec<f64>,
}

/// A factored matrix, ready to solve.
#[derive(Debug, Clone)]
pub struct Factors<'a> {
    pattern: &'a Pattern,
    values: Vec<f64>,
}

impl Factors<'_> {
    /// Solves for one right side, in place.
    pub fn solve(&self, side: &mut [f64]) {
        let mut lanes: Vec<[f64; 1]> = side.iter().map(|&value| [value]).collect();
        self.solve_lanes(&mut lanes);
        for (value, lane) in side.iter_mut().zip(&lanes) {
            *value = lane[0];
        }
    }

    /// Solves for `LANES` right sides at once, in place.
    pub fn solve_lanes<const LANES: usize>(&self, side: &mut [[f64; LANES]]) {
        let pattern = self.pattern;
        for turn in 0..pattern.size {
            let known = side[pattern.order[turn]];
            for one in &pattern.neighbours[pattern.starts[turn]..pattern.starts[turn + 1]] {
                let factor = self.values[one.below];
                for (target, value) in side[one.row].iter_mut().zip(known) {
                    *target -= factor * value;
                }
            }
        }
        for turn in (0..pattern.size).rev() {
            let row = pattern.order[turn];
            let mut value = side[row];
            for one in &pattern.neighbours[pattern.starts[turn]..pattern.starts[turn + 1]] {
                let factor = self.values[one.right];
                for (target, known) in value.iter_mut().zip(side[one.row]) {
                    *target -= factor * known;
                }
            }
            let inverse = 1.0 / self.values[pattern.pivots[turn]];
            for lane in &mut value {
                *lane *= inverse;
            }
            side[row] = value;
        }
    }
}
