//! Small dense systems and products, as many as a time step needs.
//!
//! Pure numbers, no units. Elimination with row exchange; fails with the pivot
//! that vanished.

/// Sum of products.
#[inline]
pub(crate) fn dot(row: &[f64], column: &[f64]) -> f64 {
    row.iter().zip(column).map(|(a, b)| a * b).sum()
}

/// Adds a multiple of one row to another.
#[inline]
pub(crate) fn add_scaled(target: &mut [f64], factor: f64, from: &[f64]) {
    for (target, value) in target.iter_mut().zip(from) {
        *target += factor * value;
    }
}

/// Two different rows of a matrix, the first to read and the second to change.
#[inline]
fn two_rows(values: &mut [f64], width: usize, read: usize, write: usize) -> (&[f64], &mut [f64]) {
    if read < write {
        let (head, tail) = values.split_at_mut(write * width);
        (&head[read * width..(read + 1) * width], &mut tail[..width])
    } else {
        let (head, tail) = values.split_at_mut(read * width);
        (
            &tail[..width],
            &mut head[write * width..(write + 1) * width],
        )
    }
}

/// Solves a small dense system with row exchange; both arguments are overwritten
/// and `right` (n rows of `width`) becomes the solution. The failing pivot is returned.
pub(crate) fn dense_solve(
    square: &mut [f64],
    right: &mut [f64],
    n: usize,
    width: usize,
) -> Result<(), f64> {
    for turn in 0..n {
        let mut best = turn;
        for row in turn + 1..n {
            if square[row * n + turn].abs() > square[best * n + turn].abs() {
                best = row;
            }
        }
        let pivot = square[best * n + turn];
        if pivot == 0.0 || !pivot.is_finite() {
            return Err(pivot);
        }
        if best != turn {
            for column in turn..n {
                square.swap(best * n + column, turn * n + column);
            }
            for column in 0..width {
                right.swap(best * width + column, turn * width + column);
            }
        }
        let inverse = 1.0 / pivot;
        for row in turn + 1..n {
            let factor = square[row * n + turn] * inverse;
            if factor == 0.0 {
                continue;
            }
            let (from, target) = two_rows(square, n, turn, row);
            add_scaled(&mut target[turn + 1..], -factor, &from[turn + 1..]);
            let (from, target) = two_rows(right, width, turn, row);
            add_scaled(target, -factor, from);
        }
    }
    for turn in (0..n).rev() {
        for later in turn + 1..n {
            let factor = square[turn * n + later];
            if factor != 0.0 {
                let (from, target) = two_rows(right, width, later, turn);
                add_scaled(target, -factor, from);
            }
        }
        let inverse = 1.0 / square[turn * n + turn];
        for value in &mut right[turn * width..(turn + 1) * width] {
            *value *= inverse;
        }
    }
    Ok(())
}

/// Width to which rows of [`product`] are padded.
pub(crate) const BLOCK: usize = 4;

/// `out = factors * rows`: `factors` holds one row of `inner` numbers for each row of
/// `out`, each at the head of `stride` numbers; `rows` and `out` have `wide` columns,
/// a multiple of [`BLOCK`].
#[inline]
pub(crate) fn product(
    factors: &[f64],
    stride: usize,
    inner: usize,
    rows: &[f64],
    wide: usize,
    out: &mut [f64],
) {
    if wide == 0 {
        return;
    }
    let mut pairs = out.chunks_exact_mut(2 * wide);
    let mut row = 0;
    for pair in &mut pairs {
        let one = &factors[row * stride..row * stride + inner];
        let two = &factors[(row + 1) * stride..(row + 1) * stride + inner];
        let (upper, lower) = pair.split_at_mut(wide);
        for block in 0..wide / BLOCK {
            let at = block * BLOCK;
            let mut sums = [[0.0; BLOCK]; 2];
            for ((one, two), from) in one.iter().zip(two).zip(rows.chunks_exact(wide)) {
                let Some(from) = from[at..].first_chunk::<BLOCK>() else {
                    continue;
                };
                for lane in 0..BLOCK {
                    sums[0][lane] += one * from[lane];
                    sums[1][lane] += two * from[lane];
                }
            }
            upper[at..at + BLOCK].copy_from_slice(&sums[0]);
            lower[at..at + BLOCK].copy_from_slice(&sums[1]);
        }
        row += 2;
    }
    let last = pairs.into_remainder();
    if !last.is_empty() {
        last.fill(0.0);
        let one = &factors[row * stride..row * stride + inner];
        for (factor, from) in one.iter().zip(rows.chunks_exact(wide)) {
            add_scaled(last, *factor, from);
        }
    }
}
