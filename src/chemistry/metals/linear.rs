//! A few equations at once.

/// Solves linear equations, given row after row, of which every pivot is above nought as it comes: what is on the right
/// becomes the unknowns.
pub fn solve(rows: &mut [f64], right: &mut [f64]) {
    let unknowns = right.len();
    for at in 0..unknowns {
        let (above, below) = rows.split_at_mut(unknowns * (at + 1));
        let (known, others) = right.split_at_mut(at + 1);
        let row = above.get(unknowns * at + at..).unwrap_or_default();
        let (Some(pivot), Some(value)) = (row.first(), known.last()) else { return };
        for (other, right) in below.chunks_exact_mut(unknowns).zip(others) {
            let other = other.get_mut(at..).unwrap_or_default();
            let factor = other.first().map_or(0.0, |first| first / pivot);
            other.iter_mut().zip(row).for_each(|(of, by)| *of -= factor * by);
            *right -= factor * value;
        }
    }
    for at in (0..unknowns).rev() {
        let (unknown, found) = right.split_at_mut(at + 1);
        let row = rows.get(unknowns * at + at..unknowns * (at + 1)).unwrap_or_default();
        if let (Some(value), Some((pivot, row))) = (unknown.last_mut(), row.split_first()) {
            let sum: f64 = row.iter().zip(found).map(|(factor, found)| *factor * *found).sum();
            *value = (*value - sum) / pivot;
        }
    }
}

#[cfg(test)]
mod tests {
    /// By hand: 4x + y = 6 and x + 3y = 7 for x = 1, y = 2; a third alone.
    #[test]
    fn three_unknowns() {
        let mut right = [6.0, 7.0, 9.0];
        super::solve(&mut [4.0, 1.0, 0.0, 1.0, 3.0, 0.0, 0.0, 0.0, 3.0], &mut right);
        assert!(right.iter().zip([1.0, 2.0, 3.0]).all(|(found, known)| (found - known).abs() < 1e-14), "{right:?}");
    }
}
