//! The nearest name to a misspelt one.

/// The candidate with the fewest changed letters, if that is at most a third of the name (and at least one letter stays).
/// The first of several equal ones.
pub fn nearest<'a>(name: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let length = name.chars().count();
    let limit = length.div_ceil(3).min(length.saturating_sub(1));
    let distances = candidates.map(|candidate| (strsim::osa_distance(name, candidate), candidate));
    distances.filter(|(distance, _)| *distance <= limit).min_by_key(|(distance, _)| *distance).map(|(_, name)| name)
}
