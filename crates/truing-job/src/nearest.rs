//! The name that was probably meant.

/// Longer texts are no misspelt names, and comparing them costs their square.
const LONGEST: usize = 64;

/// The candidate that `name` is most probably a slip of, if one is near enough: a third of its
/// letters may differ. Of two equally near the first stands.
#[must_use]
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if name.is_empty() || name.len() > LONGEST {
        return None;
    }
    let wanted = name.to_lowercase();
    let allowed = wanted.chars().count().div_ceil(3);
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        if candidate.len() > LONGEST {
            continue;
        }
        let distance = strsim::damerau_levenshtein(&wanted, &candidate.to_lowercase());
        if distance <= allowed && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_name_and_a_stranger_finds_none() {
        let names = ["battery_rest", "to_ground", "connector"];
        assert_eq!(nearest("batery_rest", names), Some("battery_rest"));
        assert_eq!(nearest("To_Ground", names), Some("to_ground"));
        assert_eq!(nearest("oil_pressure", names), None);
        assert_eq!(nearest("", names), None);
        assert_eq!(nearest(&"x".repeat(1000), names), None);
    }
}
