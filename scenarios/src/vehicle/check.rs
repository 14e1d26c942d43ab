//! What one field of a vehicle asks of another.

use sim_core::loop_model::layout::Layout;
use sim_core::spec::CarSpec;

use super::Written;
use super::parts::Switch;
use crate::Problem;
use crate::checked::Build;
use crate::quantity::GaugePressure;
use crate::spanned::Spanned;

/// Density of liquid refrigerant at workshop temperatures, kg/m³, rounded (from memory).
const LIQUID_KG_PER_M3: f64 = 1200.0;
/// Share of the loop that liquid may fill: above it the loop bursts when it warms up (common
/// practice, no source).
const FULLEST_SHARE: f64 = 0.8;

pub(super) fn problems(written: &Written, spec: &CarSpec) -> Vec<Problem> {
    let mut problems = Vec::new();
    charge(written, spec, &mut problems);
    blower(written, &mut problems);
    air_box(written, spec, &mut problems);
    switches(written, &mut problems);
    if spec.fan.high_velocity_m_s < spec.fan.low_velocity_m_s {
        problems.push(Problem::new(
            "the fan's `high_speed` is less than its `low_speed`",
        ));
    }
    problems
}

fn charge(written: &Written, spec: &CarSpec, problems: &mut Vec<Problem>) {
    let holds_kg = Layout::of(spec).total_volume_m3() * LIQUID_KG_PER_M3;
    if spec.label_charge_kg > FULLEST_SHARE * holds_kg {
        let most_g = (FULLEST_SHARE * holds_kg * 1000.0).floor();
        problems.push(
            Problem::new("the loop is too small for this charge")
                .at(written.label.charge.span())
                .label(format!("its volumes together allow {most_g} g")),
        );
    }
}

fn blower(written: &Written, problems: &mut Vec<Problem>) {
    let steps = &written.air_box.blower_steps.0;
    let flows: Vec<f64> = steps.get_ref().iter().map(Build::build).collect();
    if flows.is_empty() {
        problems.push(Problem::new("a blower needs at least one step").at(steps.span()));
    }
    if flows.windows(2).any(|pair| pair[0] >= pair[1]) {
        problems.push(
            Problem::new("each blower step must give more air than the one before")
                .at(steps.span()),
        );
    }
}

/// The blower must have pressure to spare for the clean box, and only a heater valve makes up for a
/// blend door that leaves a gap.
fn air_box(written: &Written, spec: &CarSpec, problems: &mut Vec<Problem>) {
    let air_box = &spec.air_box;
    if air_box.clean_drop_pa >= air_box.blower_shut_off_pa {
        problems.push(
            Problem::new("the blower cannot push this much air through the box")
                .at(written.air_box.clean_drop.span())
                .label("must be less than `blower_shut_off`"),
        );
    }
    if air_box.blend_door_gap > 0.0 && !air_box.heater_valve {
        problems.push(
            Problem::new("with no heater valve this gap would warm the air at full cold")
                .at(written.air_box.blend_door_gap.span())
                .label("needs `heater_valve = true`"),
        );
    }
}

fn switches(written: &Written, problems: &mut Vec<Problem>) {
    let controls = &written.controls;
    for switch in controls.low_cut_out.iter().chain(&controls.cycling_switch) {
        falling(switch, problems);
    }
    if let Some(switch) = &controls.frost_cut_out {
        falling(switch, problems);
    }
    falling(&controls.ambient_cut_out, problems);
    rising(&controls.high_cut_out, problems);
    rising(&controls.fan_high, problems);
    rising(&controls.fan_coolant, problems);
    let optional = [&controls.low_cut_out, &controls.cycling_switch];
    let pressures = optional.into_iter().flatten();
    for switch in pressures.chain([&controls.high_cut_out, &controls.fan_high]) {
        within_sight(&switch.trip, problems);
        within_sight(&switch.reset, problems);
    }
    let (fan, high) = (&controls.fan_high, &controls.high_cut_out);
    if let Some(low) = &controls.low_cut_out {
        below(
            &low.reset,
            &fan.reset,
            "the low cut-out's reset",
            "the fan's",
            problems,
        );
    }
    below(
        &fan.trip,
        &high.trip,
        "the fan's trip",
        "the high cut-out's",
        problems,
    );
    let relief_pa = written.relief_pressure.get_ref().build();
    if high.trip_si() >= relief_pa {
        problems.push(
            Problem::new("the relief valve opens before the high-pressure cut-out acts")
                .at(written.relief_pressure.span())
                .label("must be more than the cut-out's `trip`"),
        );
    }
}

/// A switch set below vacuum would never see the pressure it waits for.
fn within_sight(set: &Spanned<GaugePressure>, problems: &mut Vec<Problem>) {
    /// Standard atmosphere, Pa (by definition).
    const ATMOSPHERE_PA: f64 = 101_325.0;
    if set.get_ref().0 <= -ATMOSPHERE_PA {
        let problem = Problem::new("no switch can see a pressure below vacuum").at(set.span());
        problems.push(problem.label("must be more than -101.3 kPag"));
    }
}

/// A switch that acts when its quantity falls.
fn falling<Q: Copy + Into<f64>>(switch: &Switch<Q>, problems: &mut Vec<Problem>) {
    if switch.trip_si() >= switch.reset_si() {
        problems.push(
            Problem::new("this switch acts on a falling value: it must reset above its trip")
                .at(switch.reset.span())
                .label("must be more than `trip`"),
        );
    }
}

/// A switch that acts when its quantity rises.
fn rising<Q: Copy + Into<f64>>(switch: &Switch<Q>, problems: &mut Vec<Problem>) {
    if switch.trip_si() <= switch.reset_si() {
        problems.push(
            Problem::new("this switch acts on a rising value: it must reset below its trip")
                .at(switch.reset.span())
                .label("must be less than `trip`"),
        );
    }
}

fn below<Q: Copy + Into<f64>>(
    lower: &Spanned<Q>,
    upper: &Spanned<Q>,
    lower_name: &str,
    upper_name: &str,
    problems: &mut Vec<Problem>,
) {
    let (low, high): (f64, f64) = ((*lower.get_ref()).into(), (*upper.get_ref()).into());
    if low >= high {
        problems.push(
            Problem::new(format!("{lower_name} must lie below {upper_name}")).at(lower.span()),
        );
    }
}
