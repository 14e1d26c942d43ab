//! Values, set-ups and times in the words and units of the person reading.

use scenarios::units::{
    UnitSystem, format_air_speed, format_altitude, format_gauge_pressure, format_mass,
    format_speed, format_temperature, format_temperature_difference, format_vacuum,
};
use sim_core::instruments::{Unit, Value};
use sim_core::setup::{Setup, Temperature};

use crate::bay::{Note, Opened};
use crate::evidence::seen::{Seen, Swing};

/// A number of a quantity.
#[must_use]
pub fn number(value: f64, unit: Unit, system: UnitSystem) -> String {
    let si = system == UnitSystem::Si;
    match unit {
        Unit::GaugePressure => format_gauge_pressure(value, system, 0),
        Unit::Temperature => format_temperature(value, system, 1),
        Unit::RelativeHumidity => format!("{:.0} %", value * 100.0),
        Unit::AirSpeed => format_air_speed(value, system, if si { 1 } else { 0 }),
        Unit::Resistance if value > 1e5 => "open circuit".to_owned(),
        Unit::Resistance => format!("{value:.1} Ω"),
        Unit::Voltage => format!("{value:.2} V"),
        Unit::Current => format!("{value:.1} A"),
        Unit::Length if si => format!("{:.2} mm", value * 1e3),
        Unit::Length => format!("{:.3} in", value / 0.0254),
        Unit::Share => format!("{:.1} %", value * 100.0),
        Unit::Turning => format!("{:.0} rpm", value * 60.0),
        Unit::Force if si => format!("{value:.0} N"),
        Unit::Force => format!("{:.0} lbf", value / 4.448_222),
        Unit::Mass => format_mass(value, system, if si { 0 } else { 1 }),
        Unit::AbsolutePressure => format_vacuum(value, system, 0),
    }
}

/// Where the car stands, at the end of a line on the weather: nothing within a few steps of the sea,
/// where no gauge shows the height.
#[must_use]
pub fn height(altitude_m: f64, system: UnitSystem) -> String {
    if altitude_m.abs() < 50.0 {
        String::new()
    } else {
        let height = format_altitude(altitude_m.abs(), system, 0);
        let side = if altitude_m > 0.0 { "above" } else { "below" };
        format!(", {height} {side} the sea")
    }
}

/// How far a number may be off.
#[must_use]
pub fn tolerance(error: f64, unit: Unit, system: UnitSystem) -> String {
    match unit {
        Unit::Temperature => format_temperature_difference(error, system, 1),
        Unit::GaugePressure if system == UnitSystem::Us => format!("{:.1} psi", error / 6894.757),
        Unit::GaugePressure => format!("{:.1} kPa", error / 1e3),
        Unit::RelativeHumidity => format!("{:.1} %", error * 100.0),
        Unit::AirSpeed
        | Unit::Resistance
        | Unit::Voltage
        | Unit::Current
        | Unit::Length
        | Unit::Share
        | Unit::Turning
        | Unit::Force
        | Unit::Mass
        | Unit::AbsolutePressure => number(error, unit, system),
    }
}

/// What an instrument or a sense shows.
#[must_use]
pub fn value(value: &Value, system: UnitSystem) -> String {
    match value {
        Value::Number { shown, unit, .. } => number(*shown, *unit, system),
        Value::OutOfRange(true) => "over range".to_owned(),
        Value::OutOfRange(false) => "below what it can show".to_owned(),
        Value::Finding { words, .. } => (*words).to_owned(),
    }
}

/// An amount of oil.
#[must_use]
pub fn oil(m3: f64, system: UnitSystem) -> String {
    match system {
        UnitSystem::Si => format!("{:.0} cm³", m3 * 1e6),
        UnitSystem::Us => format!("{:.1} fl oz", m3 * 1e6 / 29.573_529_562_5),
    }
}

/// A torque. Whole pounds would be a third off for the smallest joints, and leave them loose.
#[must_use]
pub fn torque(n_m: f64, system: UnitSystem) -> String {
    match system {
        UnitSystem::Si => format!("{n_m:.0} N m"),
        UnitSystem::Us => format!("{:.1} lbf ft", n_m / 1.355_817_948_331_4),
    }
}

/// Escaped refrigerant from which a hiss is heard, kg (from memory).
const HEARD_FROM_KG: f64 = 0.5e-3;
/// Pressure above that of the air from which an opening still hisses, Pa (from memory).
const HISSES_FROM_PA: f64 = 5e3;

/// What is heard where a loop has been opened. Nobody weighs what escapes: it is told to one figure.
#[must_use]
pub fn opened(opened: &Opened, system: UnitSystem) -> String {
    if opened.test_gas {
        return "the gas rushes out with a bang, and oil with it".to_owned();
    }
    if opened.before_pa < -HISSES_FROM_PA {
        return "air is drawn in: it was in a vacuum".to_owned();
    }
    if opened.escaped_kg < HEARD_FROM_KG {
        return "no hiss: there is no pressure behind it".to_owned();
    }
    let unit_kg = match system {
        UnitSystem::Si => 1e-3,
        UnitSystem::Us => 0.453_592_37 / 16.0,
    };
    let mass = format_mass(one_figure(opened.escaped_kg / unit_kg) * unit_kg, system, 0);
    let after = match (opened.stays_open, opened.over_pa > HISSES_FROM_PA) {
        (true, true) => "; it goes on hissing, and more gets out as long as the fitting is loose",
        (true, false) => "; now it is quiet, and what pressure there was is gone",
        (false, _) => "; now the valve has shut itself",
    };
    format!("gas hisses out in a cold mist, about {mass} so far{after}")
}

/// A number rounded to its first figure, and to whole ones below ten.
fn one_figure(number: f64) -> f64 {
    let mut step = 1.0;
    while number >= 10.0 * step {
        step *= 10.0;
    }
    (libm::round(number / step) * step).max(1.0)
}

/// A value as it swung.
#[must_use]
pub fn seen(seen: &Seen, unit: Option<Unit>, system: UnitSystem) -> String {
    match (seen, unit) {
        (Seen::Range(low, high) | Seen::Swing(Swing([low, .., high])), Some(unit)) => {
            let (low, high) = (number(*low, unit, system), number(*high, unit, system));
            between(&low, &high)
        }
        (Seen::Range(low, high) | Seen::Swing(Swing([low, .., high])), None) => {
            format!("{low} to {high}")
        }
        (Seen::Findings(findings), _) => {
            let words: Vec<&str> = findings.iter().map(|finding| finding.words).collect();
            words.join("; or ")
        }
    }
}

/// From one number to another, the unit said once.
pub(crate) fn between(low: &str, high: &str) -> String {
    if low == high {
        return low.to_owned();
    }
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, other))) if unit == other => format!("{number} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// Shop clock as minutes and seconds.
#[must_use]
pub fn clock(seconds: f64) -> String {
    let whole = libm::round(seconds).max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// How the car is set up, in a line.
#[must_use]
pub fn setup(setup: &Setup, system: UnitSystem) -> String {
    if setup.engine_rev_s <= 0.0 {
        return format!(
            "engine off, {}",
            if setup.doors_open {
                "doors open"
            } else {
                "doors closed"
            }
        );
    }
    let mut words = vec![format!("{:.0} rpm", setup.engine_rev_s * 60.0)];
    words.push(match (setup.ac_on, setup.blower_step) {
        (true, 0) => "A/C on, waiting for the blower".to_owned(),
        (true, _) => "A/C on".to_owned(),
        (false, _) => "A/C off".to_owned(),
    });
    words.push(format!("blower {}", setup.blower_step));
    words.push(
        if setup.recirculate {
            "recirculated air"
        } else {
            "fresh air"
        }
        .to_owned(),
    );
    words.push(match setup.temperature {
        Temperature::Cold => "full cold".to_owned(),
        Temperature::Hot => "full hot".to_owned(),
        Temperature::Cabin(k) => format!("set to {}", format_temperature(k, system, 0)),
    });
    if setup.road_speed_m_s > 0.0 {
        words.push(format!(
            "driving at {}",
            format_speed(setup.road_speed_m_s, system, 0)
        ));
    } else {
        words.push(
            if setup.doors_open {
                "doors open"
            } else {
                "doors closed"
            }
            .to_owned(),
        );
    }
    if setup.shop_fan {
        words.push("workshop fan on".to_owned());
    }
    words.join(", ")
}

/// A note as a line of the notebook.
#[must_use]
pub fn note(note: &Note, system: UnitSystem) -> String {
    format!(
        "{:>3}  {:>6}  {}: {}",
        note.number,
        clock(note.at_s),
        note.words,
        value(&note.reading.value, system)
    )
}

/// Paragraphs broken at a width, with the end of the last line.
#[must_use]
pub fn filled(text: &str, width: usize) -> String {
    let options = textwrap::Options::new(width)
        .break_words(false)
        .word_splitter(textwrap::WordSplitter::NoHyphenation);
    textwrap::fill(text.trim_end(), options) + "\n"
}

/// Breaks long lines between words, keeping each line's own indent.
#[must_use]
pub fn wrapped(text: &str, width: usize) -> String {
    let mut page = String::new();
    for line in text.split_inclusive('\n') {
        let words = line.trim_end_matches('\n');
        let indent = words.len() - words.trim_start().len();
        let deeper = " ".repeat(indent + 2);
        let options = textwrap::Options::new(width)
            .subsequent_indent(&deeper)
            .break_words(false)
            .word_splitter(textwrap::WordSplitter::NoHyphenation);
        page.push_str(&textwrap::fill(words, options));
        if line.ends_with('\n') {
            page.push('\n');
        }
    }
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_says_its_unit_once() {
        let kelvins = Seen::Range(280.15, 285.15);
        let shown = seen(&kelvins, Some(Unit::Temperature), UnitSystem::Si);
        assert_eq!(shown, "7.0 to 12.0 °C");
        let ohms = Seen::Range(3.0, 1e6);
        let shown = seen(&ohms, Some(Unit::Resistance), UnitSystem::Si);
        assert_eq!(shown, "3.0 Ω to open circuit");
    }

    #[test]
    fn what_escapes_is_told_to_one_figure() {
        for (number, told) in [(0.6, 1.0), (4.4, 4.0), (96.0, 100.0), (347.0, 300.0)] {
            assert_eq!(one_figure(number), told);
        }
        let mut one = Opened {
            escaped_kg: 0.347,
            over_pa: 200e3,
            stays_open: true,
            before_pa: 300e3,
            test_gas: false,
        };
        assert!(opened(&one, UnitSystem::Si).contains("about 300 g so far; it goes on"));
        one.over_pa = 0.0;
        assert!(opened(&one, UnitSystem::Us).contains("about 10 oz so far; now it is quiet"));
        one.escaped_kg = 0.0;
        assert!(opened(&one, UnitSystem::Si).starts_with("no hiss"));
    }

    #[test]
    fn long_lines_break_between_words_and_keep_their_indent() {
        let text = "  one two three four\nshort\n\n";
        assert_eq!(
            wrapped(text, 12),
            "  one two\n    three\n    four\nshort\n\n"
        );
    }
}
