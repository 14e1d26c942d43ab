//! Vehicles: an invented car's air conditioning, part by part, from one TOML file.

mod check;
pub mod parts;
mod service;
mod versions;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::circuit::Feeds;
use sim_core::parts::contents::Contents;
use sim_core::parts::debris::Debris;
use sim_core::parts::displacement::Capacity;
use sim_core::parts::expansion::Expansion;
use sim_core::parts::motor::Turned;
use sim_core::parts::oil::Oil;
use sim_core::repair::Job;
use sim_core::spec::{CarSpec, HighPort};

use crate::checked::{Build, Positive, Version};
use crate::counter::Counter;
use crate::load;
use crate::quantity::{GaugePressure, Mass, Volume};
use crate::spanned::Spanned;
use crate::{LoadError, Problem};
pub use service::{LineJoint, ServiceData};
pub use versions::CondenserVersion;
use versions::{USUAL, WrittenCondenser};

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
    /// What the label under the bonnet says.
    pub label: Label,
    /// Where to find things.
    pub places: Places,
    /// The liquid line has a sight glass.
    pub sight_glass: bool,
    /// The condenser that the model has where a case says nothing else.
    pub usual_condenser: CondenserVersion,
    /// Other versions of the condenser.
    pub other_condensers: Vec<CondenserVersion>,
    /// Id of the version that its cars have.
    pub built_with: String,
    /// What the maker's service page says.
    pub service: ServiceData,
    /// Its parts, healthy.
    pub spec: CarSpec,
}

/// A refrigerant that sim-core knows.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
pub enum Refrigerant {
    /// R-134a.
    #[serde(rename = "R-134a")]
    R134a,
    /// R-1234yf.
    #[serde(rename = "R-1234yf")]
    R1234yf,
}

impl Refrigerant {
    /// Its designation, as `Fluid::by_name` takes it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::R134a => "R-134a",
            Self::R1234yf => "R-1234yf",
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
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
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
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Written {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    name: String,
    year: u32,
    description: String,
    sight_glass: bool,
    label: WrittenLabel,
    places: Places,
    compressor: parts::Compressor,
    belt: Option<parts::Belt>,
    motor: Option<parts::Motor>,
    control_valve: Option<parts::ControlValve>,
    clutch: Option<parts::Clutch>,
    clutch_circuit: parts::ClutchCircuit,
    discharge_hose: parts::Hose,
    condenser: parts::Condenser,
    condenser_fitting: String,
    #[serde(default)]
    other_condenser: Vec<WrittenCondenser>,
    fan: parts::Fan,
    bottle: parts::Bottle,
    liquid_line: parts::Hose,
    thermal_valve: Option<parts::ThermalValve>,
    orifice_tube: Option<parts::OrificeTube>,
    evaporator: parts::Evaporator,
    suction_hose: parts::Hose,
    air_box: parts::AirBox,
    cabin: parts::Cabin,
    engine: parts::Engine,
    controls: parts::Controls,
    relief_pressure: Spanned<Positive<GaugePressure>>,
    high_side_tap: PortPlace,
    service: service::WrittenService,
}

/// Where the high side is tapped.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum PortPlace {
    DischargeHose,
    LiquidLine,
}

#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenLabel {
    refrigerant: Refrigerant,
    charge: Spanned<Positive<Mass>>,
    oil: Spanned<String>,
    oil_amount: Positive<Volume>,
}

impl Vehicle {
    /// Reads a vehicle from its file's text; `id` is the file's name without `.toml`, and `counter` has
    /// its oil, its seals and what looks like its parts.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place.
    pub fn read(
        file_name: &str,
        id: &str,
        text: &str,
        counter: &Counter,
    ) -> Result<Self, LoadError> {
        let written: Written = load::parse(file_name, text)?;
        let refuse = |problems| Err(LoadError::new(file_name, text, problems));
        let spec = match written.spec() {
            Ok(spec) => spec,
            Err(problem) => return refuse(vec![problem]),
        };
        let mut problems: Vec<Problem> = check::problems(&written, &spec);
        let beside = service::Beside {
            counter,
            label: &written.label,
            spec: &spec,
        };
        let service = written.service.check(&beside, &mut problems);
        let features = versions::usual_features(counter, |name| {
            service.feature(Job::Condenser, name).map(str::to_owned)
        });
        let others = &written.other_condenser;
        for (index, version) in others.iter().enumerate() {
            version.check_id(others.get(..index).unwrap_or_default(), &mut problems);
        }
        let other = |version: &WrittenCondenser| version.check(&features, counter, &mut problems);
        let other_condensers = others.iter().map(other).collect();
        if !problems.is_empty() {
            return refuse(problems);
        }
        let label = Label {
            refrigerant: written.label.refrigerant,
            charge_kg: spec.label_charge_kg,
            oil: written.label.oil.into_inner(),
            oil_m3: written.label.oil_amount.build(),
        };
        Ok(Self {
            id: id.to_owned(),
            name: written.name,
            year: written.year,
            description: written.description,
            label,
            places: written.places,
            sight_glass: written.sight_glass,
            usual_condenser: CondenserVersion {
                id: USUAL.to_owned(),
                fitting: written.condenser_fitting,
                charge_kg: spec.label_charge_kg,
                condenser: spec.condenser.clone(),
                features,
            },
            other_condensers,
            built_with: USUAL.to_owned(),
            service,
            spec,
        })
    }
}

impl Written {
    /// The parts, where the file has exactly one expansion device and one drive.
    fn spec(&self) -> Result<CarSpec, Problem> {
        let expansion = match (&self.thermal_valve, &self.orifice_tube) {
            (Some(valve), None) => Expansion::Valve(valve.build()),
            (None, Some(tube)) => Expansion::Orifice(tube.build()),
            _ => {
                return Err(Problem::new(
                    "a vehicle has either a `[thermal_valve]` or an `[orifice_tube]`",
                ));
            }
        };
        let mut compressor = self.compressor.build();
        compressor.turned = match (&self.belt, &self.motor) {
            (Some(belt), None) => belt.build(),
            (None, Some(motor)) => Turned::Motor(motor.build()),
            _ => {
                return Err(Problem::new(
                    "a compressor has either a `[belt]` or a `[motor]`",
                ));
            }
        };
        let mut circuit = self.clutch_circuit.build();
        if self.motor.is_some() {
            if self.clutch.is_some() || self.control_valve.is_some() {
                return Err(Problem::new(
                    "a compressor with a `[motor]` has no `[clutch]` and no `[control_valve]`",
                ));
            }
            circuit.feeds = Feeds::Electronics;
        }
        if let Some(valve) = &self.control_valve {
            compressor.capacity = Capacity::Variable(valve.build());
        }
        Ok(CarSpec {
            refrigerant: self.label.refrigerant.name().to_owned(),
            label_charge_kg: self.label.charge.get_ref().build(),
            charge_share: 1.0,
            contents: Contents::default(),
            oil: Oil::as_labelled(),
            compressor,
            debris: Debris::default(),
            clutch: self.clutch.build(),
            circuit,
            discharge_line: self.discharge_hose.build(),
            condenser: self.condenser.build(),
            fan: self.fan.build(),
            storage: self.bottle.build(),
            liquid_line: self.liquid_line.build(),
            expansion,
            evaporator: self.evaporator.build(),
            suction_line: self.suction_hose.build(),
            air_box: self.air_box.build(),
            cabin: self.cabin.build(),
            bay: self.engine.build(),
            controls: self.controls.build(),
            leaks: Vec::new(),
            relief_pressure_pa: self.relief_pressure.get_ref().build(),
            high_port: match self.high_side_tap {
                PortPlace::DischargeHose => HighPort::DischargeHose,
                PortPlace::LiquidLine => HighPort::LiquidLine,
            },
            sight_glass: self.sight_glass,
        })
    }
}
