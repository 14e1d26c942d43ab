//! The name someone probably meant.

/// The candidate most like `name`, or `None` where nothing is close enough to offer.
///
/// Case does not count, two swapped letters count as one slip, and at most one slip in
/// three letters is forgiven. Of equally near candidates the first is returned.
///
/// ```
/// use scenarios::nearest;
/// let faults = ["low-charge", "overcharge", "condenser-blocked"];
/// assert_eq!(nearest("low-chrage", faults), Some("low-charge"));
/// assert_eq!(nearest("gearbox", faults), None);
/// ```
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A name this long was not mistyped, and the comparison is quadratic in its length.
    const LONGEST: usize = 80;
    if name.len() > LONGEST {
        return None;
    }
    let folded = name.to_lowercase();
    let allowed = (folded.chars().count() / 3).max(1);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let distance = strsim::osa_distance(&folded, &candidate.to_lowercase());
        // One letter may not turn into a wholly different one-letter name.
        let all_changed = distance >= folded.chars().count();
        if distance <= allowed && !all_changed && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_is_forgiven_and_a_different_word_is_not() {
        // (written, candidates, offered); judged by hand.
        let table: &[(&str, &[&str], Option<&str>)] = &[
            ("psigg", &["psig", "psia"], Some("psig")),
            ("KPA", &["kPa", "MPa"], Some("kPa")),
            ("x", &["K", "V"], None),
            ("", &["K"], None),
            ("mesure", &["measure", "inspect"], Some("measure")),
            ("gauge", &["inspect"], None),
        ];
        for (written, candidates, offered) in table {
            assert_eq!(
                nearest(written, candidates.iter().copied()),
                *offered,
                "{written}"
            );
        }
    }

    #[test]
    fn a_very_long_name_is_not_compared() {
        let long = "a".repeat(81);
        assert_eq!(nearest(&long, [long.as_str()]), None);
    }
}
