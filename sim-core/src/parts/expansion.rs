//! What the refrigerant expands through: a thermal valve or an orifice tube.
//!
//! No equation of its own: [`ExpansionValve`] and [`OrificeTube`] give theirs, with source and range. Both
//! are given pressures in Pa, enthalpies in J/kg and densities in kg/m³, and give kg/s and W, with slopes.
//! [`Open`] is what ice ([`super::moisture`]) and debris ([`super::debris`]) leave, shares of 0 to 1.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::parts::expansion_valve::ExpansionValve;
use crate::parts::line::{Flowing, Stream};
use crate::parts::orifice_tube::OrificeTube;

/// What ice and debris leave open of an expansion device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Open {
    /// Share of the narrow passage's area that ice leaves.
    pub passage: f64,
    /// Share of the inlet screen's area that debris leaves.
    pub screen: f64,
}

/// The device between liquid line and evaporator.
#[derive(Clone, Debug, PartialEq)]
pub enum Expansion {
    /// A valve that senses the evaporator's outlet.
    Valve(ExpansionValve),
    /// A fixed short tube.
    Orifice(OrificeTube),
}

impl Expansion {
    /// The valve, where it is one.
    #[must_use]
    pub fn valve(&self) -> Option<&ExpansionValve> {
        match self {
            Self::Valve(valve) => Some(valve),
            Self::Orifice(_) => None,
        }
    }

    /// The valve to change, where it is one.
    pub fn valve_mut(&mut self) -> Option<&mut ExpansionValve> {
        match self {
            Self::Valve(valve) => Some(valve),
            Self::Orifice(_) => None,
        }
    }

    /// The tube to change, where it is one.
    pub fn orifice_mut(&mut self) -> Option<&mut OrificeTube> {
        match self {
            Self::Orifice(tube) => Some(tube),
            Self::Valve(_) => None,
        }
    }

    /// Area open to thin gas, m²: in a vacuum the sensing charge lifts a valve's needle all it can.
    #[must_use]
    pub fn thin_area_m2(&self, open: Open) -> f64 {
        match self {
            Self::Valve(valve) => {
                valve
                    .area_m2(Dual::<1>::constant(valve.greatest_lift), open)
                    .value
            }
            Self::Orifice(tube) => tube.open_area_m2(open),
        }
    }

    /// Flow through the device.
    #[must_use]
    pub fn flow(
        &self,
        fluid: &Fluid,
        lift: Dual<5>,
        open: Open,
        inlet: &Flowing<5>,
        outlet: &Flowing<5>,
    ) -> Stream<5> {
        match self {
            Self::Valve(valve) => valve.flow(lift, open, inlet, outlet),
            Self::Orifice(tube) => tube.flow(fluid, open, inlet, outlet),
        }
    }
}
