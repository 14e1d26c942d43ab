//! `coldtrail fluid`: a refrigerant's state from any two of its properties.

use clap::{Args, ValueEnum};
use scenarios::quantity::{Dimension, parse_as};
use serde::Serialize;
use sim_core::fluid::{Fluid, Input, State};

/// What `coldtrail fluid` is asked.
///
/// ```
/// use runner::cli::fluid::{FluidArgs, Format, run};
/// let text = run(&FluidArgs {
///     fluid: "R-134a".into(),
///     pressure: Some("300 kPa".into()),
///     temperature: None,
///     enthalpy: Some("420 kJ/kg".into()),
///     entropy: None,
///     quality: None,
///     format: Format::Text,
/// })
/// .unwrap();
/// assert!(text.contains("24.22 °C"));
/// ```
#[derive(Args, Clone, Debug)]
pub struct FluidArgs {
    /// The refrigerant: R-134a or R-1234yf
    pub fluid: String,
    /// Absolute pressure, such as 300kPa, 3bar or 43.5psia
    #[arg(long, allow_hyphen_values = true)]
    pub pressure: Option<String>,
    /// Temperature, such as -10°C, 50F or 300K
    #[arg(long, allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Specific enthalpy, such as 420kJ/kg; 200 kJ/kg for saturated liquid at 0 °C
    #[arg(long, allow_hyphen_values = true)]
    pub enthalpy: Option<String>,
    /// Specific entropy, such as "1.7kJ/(kg K)"; 1 for saturated liquid at 0 °C
    #[arg(long, allow_hyphen_values = true)]
    pub entropy: Option<String>,
    /// Mass fraction of vapour, such as 0.3 or 30%
    #[arg(long, allow_hyphen_values = true)]
    pub quality: Option<String>,
    /// A table to read, or JSON in SI units
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
}

/// How the answer is written.
#[derive(ValueEnum, Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// An aligned table in engineering units.
    Text,
    /// One JSON object in SI units.
    Json,
}

/// The state in SI units, as JSON has it.
#[derive(Serialize)]
struct Answer {
    temperature_k: f64,
    pressure_pa: f64,
    enthalpy_j_per_kg: f64,
    entropy_j_per_kg_k: f64,
    density_kg_per_m3: f64,
    quality: Option<f64>,
    phase: String,
}

/// Answers with the text to print.
///
/// # Errors
/// A sentence that says what to change: an unknown refrigerant, not exactly two
/// properties, a quantity that cannot be read, or a state outside the equation's range.
pub fn run(args: &FluidArgs) -> Result<String, String> {
    let fluid = Fluid::by_name(&args.fluid).map_err(|error| error.to_string())?;
    let inputs = inputs(args)?;
    let [first, second] = inputs[..] else {
        return Err(format!(
            "{} of the properties are given; give exactly two of --pressure, --temperature, \
             --enthalpy, --entropy and --quality",
            inputs.len()
        ));
    };
    let state = fluid
        .equation()
        .state(first, second)
        .map_err(|error| error.to_string())?;
    match args.format {
        Format::Text => Ok(table(fluid.name(), &state)),
        Format::Json => json(&state),
    }
}

fn inputs(args: &FluidArgs) -> Result<Vec<Input>, String> {
    let mut inputs = Vec::new();
    let mut read = |text: &Option<String>, option: &str, dimension, make: fn(f64) -> Input| {
        if let Some(text) = text {
            let value = quantity(text, dimension).map_err(|error| format!("{option}: {error}"))?;
            inputs.push(make(value));
        }
        Ok::<(), String>(())
    };
    read(
        &args.pressure,
        "--pressure",
        Dimension::AbsolutePressure,
        Input::Pressure,
    )?;
    read(
        &args.temperature,
        "--temperature",
        Dimension::Temperature,
        Input::Temperature,
    )?;
    read(
        &args.enthalpy,
        "--enthalpy",
        Dimension::SpecificEnergy,
        Input::Enthalpy,
    )?;
    read(
        &args.entropy,
        "--entropy",
        Dimension::SpecificHeat,
        Input::Entropy,
    )?;
    read(&args.quality, "--quality", Dimension::Ratio, Input::Quality)?;
    Ok(inputs)
}

/// A quantity in SI. A ratio may also be a bare number, which needs no unit.
fn quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    if dimension == Dimension::Ratio
        && let Ok(number) = text.trim().parse()
    {
        return Ok(number);
    }
    parse_as(text, dimension).map_err(|error| error.to_string())
}

fn table(name: &str, state: &State) -> String {
    let mut text = format!("{name}, {}\n", state.phase);
    let mut row = |label: &str, number: String, unit: &str| {
        let line = format!("  {label:<12}{number:>12} {unit}");
        text.push_str(line.trim_end());
        text.push('\n');
    };
    row(
        "Temperature",
        format!("{:.2}", state.temperature_k - 273.15),
        "°C",
    );
    row("Pressure", format!("{:.3}", state.pressure_pa / 1e3), "kPa");
    row(
        "Enthalpy",
        format!("{:.3}", state.enthalpy_j_per_kg / 1e3),
        "kJ/kg",
    );
    row(
        "Entropy",
        format!("{:.5}", state.entropy_j_per_kg_k / 1e3),
        "kJ/(kg K)",
    );
    row("Density", significant(state.density_kg_per_m3), "kg/m³");
    match state.quality {
        Some(quality) => row("Quality", format!("{quality:.4}"), ""),
        None => row("Quality", "–".to_string(), "one phase"),
    }
    text
}

/// Six figures, so that thin vapour keeps its digits and liquid gets no false ones.
fn significant(value: f64) -> String {
    let digits = if value >= 100.0 {
        3
    } else if value >= 1.0 {
        5
    } else {
        8
    };
    format!("{value:.digits$}")
}

fn json(state: &State) -> Result<String, String> {
    let answer = Answer {
        temperature_k: state.temperature_k,
        pressure_pa: state.pressure_pa,
        enthalpy_j_per_kg: state.enthalpy_j_per_kg,
        entropy_j_per_kg_k: state.entropy_j_per_kg_k,
        density_kg_per_m3: state.density_kg_per_m3,
        quality: state.quality,
        phase: state.phase.to_string(),
    };
    serde_json::to_string_pretty(&answer)
        .map(|text| text + "\n")
        .map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    struct Command {
        #[command(flatten)]
        fluid: FluidArgs,
    }

    fn answer(words: &[&str]) -> Result<String, String> {
        let line = ["coldtrail"].into_iter().chain(words.iter().copied());
        run(&Command::try_parse_from(line).unwrap().fluid)
    }

    /// CoolProp 8.0.0: R134a at 300 kPa and 420 kJ/kg is vapour at 24.2188 °C.
    #[test]
    fn a_state_as_text() {
        let text = answer(&["r134a", "--pressure", "300kPa", "--enthalpy=420kJ/kg"]).unwrap();
        assert!(text.starts_with("R-134a, vapour\n"), "{text}");
        assert!(text.contains("Temperature        24.22 °C"), "{text}");
    }

    /// CoolProp 8.0.0: R134a at −10 °C boils at 200.603 kPa.
    #[test]
    fn a_mixture_as_json() {
        let words = [
            "R-134a",
            "--temperature",
            "-10°C",
            "--quality",
            "30%",
            "--format",
            "json",
        ];
        let value: serde_json::Value = serde_json::from_str(&answer(&words).unwrap()).unwrap();
        assert!((value["pressure_pa"].as_f64().unwrap() - 200_603.307).abs() < 0.1);
        assert!((value["quality"].as_f64().unwrap() - 0.3).abs() < 1e-12);
        assert_eq!(value["phase"], "two-phase");
    }

    #[test]
    fn one_phase_has_no_quality() {
        let words = [
            "R-134a",
            "--temperature",
            "25C",
            "--pressure",
            "1MPa",
            "--format",
            "json",
        ];
        let value: serde_json::Value = serde_json::from_str(&answer(&words).unwrap()).unwrap();
        assert!(value["quality"].is_null());
        assert_eq!(value["phase"], "liquid");
    }

    #[test]
    fn errors_say_what_to_change() {
        let message = |words: &[&str]| answer(words).unwrap_err();
        let unknown = message(&["R-12", "--pressure", "1bar", "--quality", "1"]);
        assert!(unknown.contains("R-134a, R-1234yf"), "{unknown}");
        let one = message(&["R-134a", "--pressure", "1bar"]);
        assert!(one.contains("exactly two"), "{one}");
        let outside = message(&["R-134a", "--pressure", "1bar", "--temperature", "300°C"]);
        assert!(outside.contains("169.85 K to 455 K"), "{outside}");
        let wrong = message(&["R-134a", "--pressure", "3kg", "--quality", "1"]);
        assert!(wrong.starts_with("--pressure: expected"), "{wrong}");
    }
}
