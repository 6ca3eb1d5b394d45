//! The right spelling nearest to a wrong one.
//!
//! Distance: one for each letter missing, added, changed, or swapped with its neighbour, upper and lower case alike
//! (optimal string alignment). A word is near when it is one step away, two from six letters on; words of fewer than three
//! letters are near to nothing, because everything is near to them. Works on texts of up to 40 characters.

/// The candidate nearest to `word`, if one is near enough; among equals a plural for a
/// plural, then the first one listed.
pub fn nearest_spelling<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<&'c str> {
    let letters = lower(word);
    if letters.len() < 3 || letters.len() > 40 {
        return None;
    }
    let allowed = if letters.len() < 6 { 1 } else { 2 };
    candidates
        .into_iter()
        .map(|candidate| (steps_apart(&letters, &lower(candidate)), candidate))
        .filter(|(steps, _)| *steps <= allowed)
        .min_by_key(|(steps, candidate)| {
            (
                *steps,
                letters.ends_with(&['s']) && !candidate.ends_with('s'),
            )
        })
        .map(|(_, candidate)| candidate)
}

fn lower(word: &str) -> Vec<char> {
    word.chars().flat_map(char::to_lowercase).collect()
}

/// Optimal string alignment distance.
fn steps_apart(one: &[char], other: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=other.len()).collect();
    for (row, letter) in one.iter().enumerate() {
        let mut current = vec![row + 1];
        for (column, other_letter) in other.iter().enumerate() {
            let changed = usize::from(letter != other_letter);
            let mut steps = (last[column] + changed)
                .min(last[column + 1] + 1)
                .min(current[column] + 1);
            let swapped = row > 0
                && column > 0
                && one[row - 1] == *other_letter
                && *letter == other[column - 1];
            if swapped {
                steps = steps.min(before[column - 1] + 1);
            }
            current.push(steps);
        }
        before = std::mem::replace(&mut last, current);
    }
    last[other.len()]
}
