//! A few equations at once.

/// Reduces linear equations, given row after row, of which every pivot is above nought as it comes: each row keeps what was
/// taken of those above it.
pub fn reduce(rows: &mut [f64], unknowns: usize) {
    for at in 0..unknowns.saturating_sub(1) {
        let Some((above, below)) = rows.split_at_mut_checked(unknowns * (at + 1)) else { return };
        let row = above.get(unknowns * at + at..).unwrap_or_default();
        for other in below.chunks_exact_mut(unknowns) {
            if let (Some((first, other)), Some((pivot, row))) =
                (other.get_mut(at..).and_then(|other| other.split_first_mut()), row.split_first())
            {
                *first /= pivot;
                other.iter_mut().zip(row).for_each(|(of, by)| *of -= *first * by);
            }
        }
    }
}

/// Makes the unknowns of what is on the right of reduced equations.
pub fn solve(rows: &[f64], right: &mut [f64]) {
    let unknowns = right.len().max(1);
    for (at, row) in rows.chunks_exact(unknowns).enumerate().skip(1) {
        let (known, others) = right.split_at_mut(at);
        let taken: f64 = row.iter().zip(known).map(|(factor, known)| *factor * *known).sum();
        others.iter_mut().take(1).for_each(|value| *value -= taken);
    }
    for (at, row) in rows.chunks_exact(unknowns).enumerate().rev() {
        let (unknown, found) = right.split_at_mut(at + 1);
        if let (Some(value), Some((pivot, row))) = (unknown.last_mut(), row.get(at..).and_then(<[f64]>::split_first)) {
            let sum: f64 = row.iter().zip(found).map(|(factor, found)| *factor * *found).sum();
            *value = (*value - sum) / pivot;
        }
    }
}

#[cfg(test)]
mod tests {
    /// By hand: 4x + y = 6 and x + 3y = 7 for x = 1, y = 2; a third alone; and 7, 5 and 3 on the right for 16/11, 13/11 and 1.
    #[test]
    fn three_unknowns() {
        let mut right = [6.0, 7.0, 9.0];
        let mut rows = [4.0, 1.0, 0.0, 1.0, 3.0, 0.0, 0.0, 0.0, 3.0];
        super::reduce(&mut rows, 3);
        super::solve(&rows, &mut right);
        assert!(right.iter().zip([1.0, 2.0, 3.0]).all(|(found, known)| (found - known).abs() < 1e-14), "{right:?}");
        let mut right = [7.0, 5.0, 3.0];
        super::solve(&rows, &mut right);
        let known = [16.0 / 11.0, 13.0 / 11.0, 1.0];
        assert!(right.iter().zip(known).all(|(found, known)| (found - known).abs() < 1e-14), "{right:?}");
    }
}
