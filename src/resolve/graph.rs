//! The order in which things that rest on one another are worked out, and the rings among them.

use rustc_hash::FxHashMap;
use std::hash::Hash;

/// The outcome of [`order`].
#[derive(Debug)]
pub struct Order<K> {
    /// Everything reached, each after all it rests on (but for what is in a ring).
    pub sorted: Vec<K>,
    /// Each ring, in the order in which one rests on the next; the last rests on the first.
    pub rings: Vec<Vec<K>>,
}

/// Walks from `roots` along `rests_on` without recursion, so that no chain is too long for the stack.
pub fn order<K: Copy + Eq + Hash>(
    roots: impl IntoIterator<Item = K>,
    mut rests_on: impl FnMut(K) -> Vec<K>,
) -> Order<K> {
    enum VisitState {
        Open,
        Done,
    }
    let mut marks: FxHashMap<K, VisitState> = FxHashMap::default();
    let mut result = Order { sorted: Vec::new(), rings: Vec::new() };
    for root in roots {
        if marks.contains_key(&root) {
            continue;
        }
        let mut path: Vec<(K, std::vec::IntoIter<K>)> = vec![(root, rests_on(root).into_iter())];
        marks.insert(root, VisitState::Open);
        while let Some((node, below)) = path.last_mut() {
            let node = *node;
            match below.next() {
                None => {
                    marks.insert(node, VisitState::Done);
                    result.sorted.push(node);
                    path.pop();
                }
                Some(next) => match marks.get(&next) {
                    None => {
                        marks.insert(next, VisitState::Open);
                        path.push((next, rests_on(next).into_iter()));
                    }
                    Some(VisitState::Open) => {
                        let from = path.iter().position(|(on_path, _)| *on_path == next).unwrap_or(0);
                        result.rings.push(path.iter().skip(from).map(|(on_path, _)| *on_path).collect());
                    }
                    Some(VisitState::Done) => {}
                },
            }
        }
    }
    result
}

#[cfg(test)]
mod tests {
    use super::order;

    #[test]
    fn what_is_rested_on_comes_first_and_rings_are_whole() {
        let found = order([0u32], |n| match n {
            0 => vec![1, 2],
            1 => vec![2],
            2 => vec![3],
            3 => vec![1],
            _ => vec![],
        });
        assert_eq!(found.sorted, [3, 2, 1, 0]);
        assert_eq!(found.rings, [vec![1, 2, 3]]);
        let long = order([0u32], |n| if n < 200_000 { vec![n + 1] } else { vec![] });
        assert_eq!(long.sorted.len(), 200_001);
    }
}
