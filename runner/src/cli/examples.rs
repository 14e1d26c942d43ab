//! Quantities in hints, limits and choices, in the units of the person reading. They are written in SI;
//! a row here says what somebody with the other units would type or be allowed.

use scenarios::units::UnitSystem;

/// What a hint says in SI, and in US units; round figures, limits on the safe side.
const EXAMPLES: &[(&str, &str)] = &[
    ("0 to 130 km/h", "0 to 80 mph"),
    ("0 km/h", "0 mph"),
    ("30 km/h", "20 mph"),
    ("50 km/h", "30 mph"),
    ("60 km/h", "40 mph"),
    ("90 km/h", "55 mph"),
    ("16 to 32 °C", "61 to 89 °F"),
    ("22 °C", "72 °F"),
    ("10 g to 3 kg", "0.4 oz to 6.6 lb"),
    ("50 g", "2 oz"),
    ("100 g", "4 oz"),
    ("300 g", "10 oz"),
    ("450 g", "16 oz"),
    ("500 g", "18 oz"),
    ("650 g", "23 oz"),
    ("0.5 to 20 bar", "8 to 290 psi"),
    ("8 bar", "120 psi"),
    ("10 bar", "150 psi"),
    ("1 to 500 cm3", "0.04 to 16.9 fl oz"),
    ("30 cm3", "1 fl oz"),
    ("40 cm3", "1.4 fl oz"),
    ("up to 200 N m", "up to 147 lbf ft"),
    ("12 N m", "9 lbf ft"),
];

/// A hint in the units of the person reading.
pub(crate) fn in_units(text: &str, system: UnitSystem) -> String {
    if system == UnitSystem::Si {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(next) = rest.chars().next() {
        // `0 km/h` is not the end of `200 km/h`.
        let starts_number = !out.ends_with(|c: char| c.is_ascii_digit() || c == '.');
        let known = EXAMPLES
            .iter()
            .find(|(si, _)| starts_number && rest.starts_with(si));
        match known {
            Some((si, us)) => {
                out.push_str(us);
                rest = rest.get(si.len()..).unwrap_or_default();
            }
            None => {
                out.push(next);
                rest = rest.get(next.len_utf8()..).unwrap_or_default();
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::action::Action;
    use scenarios::quantity::parse;

    #[test]
    fn what_was_typed_is_left_alone() {
        let text = "`200 km/h` is beyond what can be asked for: 0 to 130 km/h.";
        assert_eq!(in_units(text, UnitSystem::Si), text);
        assert_eq!(
            in_units(text, UnitSystem::Us),
            "`200 km/h` is beyond what can be asked for: 0 to 80 mph."
        );
    }

    #[test]
    fn every_example_is_about_the_same_in_both_units() {
        for (si, us) in EXAMPLES.iter().filter(|(si, _)| !si.contains(" to ")) {
            let (si, us) = (parse(si).expect(si), parse(us).expect(us));
            assert_eq!(si.dimension, us.dimension);
            assert!((us.si - si.si).abs() <= 0.15 * si.si, "{si:?} {us:?}");
        }
        for limit in [
            "road 80 mph",
            "temperature 61 °F",
            "temperature 89 °F",
            "charge vapour 0.4 oz",
            "charge vapour 6.6 lb",
            "press air 8 psi",
            "press air 290 psi",
            "oil drain 0.04 fl oz",
            "oil drain 16.9 fl oz",
            "torque condenser 147 lbf ft",
        ] {
            assert!(Action::parse(limit).is_ok(), "{limit}");
        }
    }
}
