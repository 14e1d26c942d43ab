//! Vehicles: an invented car's air conditioning, part by part, from one TOML file.

mod check;
pub mod parts;

use serde::Deserialize;
use sim_core::spec::CarSpec;
use toml::Spanned;

use crate::checked::{Build, Positive, Version};
use crate::load;
use crate::quantity::{GaugePressure, Mass, Volume};
use crate::{LoadError, Problem};

/// A vehicle, checked and built.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// Its file's name without `.toml`.
    pub id: String,
    /// What its maker calls it.
    pub name: String,
    /// Model year.
    pub year: u32,
    /// A sentence for whoever chooses a vehicle.
    pub description: String,
    /// Which kinds of part its loop is made of.
    pub layout: PartKinds,
    /// What the label under the bonnet says.
    pub label: Label,
    /// Where to find things.
    pub places: Places,
    /// The liquid line has a sight glass.
    pub sight_glass: bool,
    /// Its parts, healthy.
    pub spec: CarSpec,
}

/// Which kinds of part a loop is made of.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct PartKinds {
    /// How the compressor delivers more or less.
    pub compressor: CompressorKind,
    /// What the refrigerant expands through.
    pub expansion: Expansion,
    /// Where spare refrigerant and the drier are.
    pub storage: Storage,
}

/// How a compressor delivers more or less.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum CompressorKind {
    /// The same volume every turn; its clutch switches it on and off.
    FixedDisplacement,
}

/// What the refrigerant expands through.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Expansion {
    /// A valve that senses the evaporator's outlet.
    ThermalValve,
}

/// Where spare refrigerant and the drier are.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Storage {
    /// A receiver-drier on the side of the condenser, before its subcooling pass.
    ReceiverInCondenser,
}

/// A refrigerant that sim-core knows.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
pub enum Refrigerant {
    /// R-134a.
    #[serde(rename = "R-134a")]
    R134a,
}

impl Refrigerant {
    /// Its designation, as `Fluid::by_name` takes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::R134a => "R-134a",
        }
    }
}

/// What the label under the bonnet says.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Refrigerant.
    pub refrigerant: Refrigerant,
    /// Charge, kg.
    pub charge_kg: f64,
    /// Kind of compressor oil.
    pub oil: String,
    /// Oil in the whole loop, m³.
    pub oil_m3: f64,
}

/// Where to find things on the vehicle, in words.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Places {
    /// The label with refrigerant and charge.
    pub label: String,
    /// Service port of the low side.
    pub low_side_port: String,
    /// Service port of the high side.
    pub high_side_port: String,
    /// Compressor with its clutch.
    pub compressor: String,
    /// The clutch coil's connector.
    pub clutch_connector: String,
    /// The clutch's fuse.
    pub clutch_fuse: String,
    /// Pressure transducer.
    pub transducer: String,
    /// Expansion valve.
    pub expansion_valve: String,
    /// Evaporator temperature sensor.
    pub evaporator_sensor: String,
    /// Cabin filter.
    pub cabin_filter: String,
}

/// A vehicle's file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    name: String,
    year: u32,
    description: String,
    sight_glass: bool,
    layout: PartKinds,
    label: WrittenLabel,
    places: Places,
    compressor: parts::Compressor,
    clutch: parts::Clutch,
    clutch_circuit: parts::ClutchCircuit,
    discharge_hose: parts::Hose,
    condenser: parts::Condenser,
    fan: parts::Fan,
    liquid_line: parts::Hose,
    thermal_valve: parts::ThermalValve,
    evaporator: parts::Evaporator,
    suction_hose: parts::Hose,
    air_box: parts::AirBox,
    cabin: parts::Cabin,
    engine: parts::Engine,
    controls: parts::Controls,
    relief_pressure: Spanned<Positive<GaugePressure>>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLabel {
    refrigerant: Refrigerant,
    charge: Spanned<Positive<Mass>>,
    oil: String,
    oil_amount: Positive<Volume>,
}

impl Vehicle {
    /// Reads a vehicle from its file's text; `id` is the file's name without `.toml`.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place.
    pub fn read(file_name: &str, id: &str, text: &str) -> Result<Self, LoadError> {
        let written: Written = load::parse(file_name, text)?;
        let spec = written.spec();
        let problems: Vec<Problem> = check::problems(&written, &spec);
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        let label = Label {
            refrigerant: written.label.refrigerant,
            charge_kg: spec.label_charge_kg,
            oil: written.label.oil,
            oil_m3: written.label.oil_amount.build(),
        };
        Ok(Self {
            id: id.to_owned(),
            name: written.name,
            year: written.year,
            description: written.description,
            layout: written.layout,
            label,
            places: written.places,
            sight_glass: written.sight_glass,
            spec,
        })
    }
}

impl Written {
    fn spec(&self) -> CarSpec {
        CarSpec {
            refrigerant: self.label.refrigerant.name().to_owned(),
            label_charge_kg: self.label.charge.get_ref().build(),
            charge_share: 1.0,
            compressor: self.compressor.build(),
            clutch: self.clutch.build(),
            circuit: self.clutch_circuit.build(),
            discharge_line: self.discharge_hose.build(),
            condenser: self.condenser.build(),
            fan: self.fan.build(),
            liquid_line: self.liquid_line.build(),
            valve: self.thermal_valve.build(),
            evaporator: self.evaporator.build(),
            suction_line: self.suction_hose.build(),
            air_box: self.air_box.build(),
            cabin: self.cabin.build(),
            bay: self.engine.build(),
            controls: self.controls.build(),
            leaks: Vec::new(),
            drier_blockage: 0.0,
            relief_pressure_pa: self.relief_pressure.get_ref().build(),
            sight_glass: self.sight_glass,
        }
    }
}
