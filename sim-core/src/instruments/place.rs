//! Places on a car where something can be measured, looked at or touched.

use crate::loop_model::layout::{EVAPORATOR_CELLS, Layout, Role};
use crate::parts::storage::Place;
use crate::spec::{CarSpec, LeakPlace};

/// Something with a name a learner types.
pub trait Named: Sized + Copy + 'static {
    /// All of them.
    const ALL: &'static [Self];

    /// The name, in lower case with hyphens.
    fn name(self) -> &'static str;

    /// The one of a name.
    fn by_name(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|one| one.name() == name)
    }
}

macro_rules! named {
    ($(#[doc = $doc:literal])+ $kind:ident { $($(#[doc = $one_doc:literal])+ $one:ident = $name:literal,)+ }) => {
        $(#[doc = $doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $kind {
            $($(#[doc = $one_doc])+ $one,)+
        }

        impl Named for $kind {
            const ALL: &'static [Self] = &[$(Self::$one),+];

            fn name(self) -> &'static str {
                match self {
                    $(Self::$one => $name,)+
                }
            }
        }
    };
}

named! {
    /// A place on a refrigerant line where a thermometer can be clamped.
    Line {
        /// Suction port of the compressor.
        CompressorSuction = "compressor-suction",
        /// Discharge port of the compressor.
        CompressorDischarge = "compressor-discharge",
        /// Inlet of the condenser.
        CondenserInlet = "condenser-inlet",
        /// Outlet of the condenser.
        CondenserOutlet = "condenser-outlet",
        /// Liquid line, halfway to the bulkhead.
        LiquidLine = "liquid-line",
        /// Pipe behind the expansion device.
        EvaporatorInlet = "evaporator-inlet",
        /// Pipe leaving the evaporator.
        EvaporatorOutlet = "evaporator-outlet",
        /// Inlet of a receiver-drier that stands on its own.
        DrierInlet = "drier-inlet",
        /// Outlet of a receiver-drier that stands on its own.
        DrierOutlet = "drier-outlet",
        /// Outlet of an accumulator.
        AccumulatorOutlet = "accumulator-outlet",
    }
}

impl Line {
    /// The volume whose refrigerant is behind the pipe at this place, where the car has it.
    #[must_use]
    pub fn role(self, layout: &Layout) -> Option<Role> {
        // A receiver of its own has pipes to clamp on; one in the condenser has none.
        let bottle =
            layout.index_of(Role::Receiver).is_some() && layout.index_of(Role::Subcooler).is_none();
        match self {
            Self::CompressorSuction => Some(Role::SuctionLine),
            Self::CompressorDischarge => Some(Role::CompressorHead),
            Self::CondenserInlet => Some(Role::DischargeLine),
            Self::CondenserOutlet => Some(layout.condenser_outlet()),
            Self::LiquidLine => Some(Role::LiquidLine),
            Self::EvaporatorInlet => Some(Role::Evaporator(0)),
            Self::EvaporatorOutlet => Some(Role::Evaporator(EVAPORATOR_CELLS - 1)),
            Self::DrierInlet => bottle.then(|| layout.condenser_outlet()),
            Self::DrierOutlet => bottle.then_some(Role::Receiver),
            Self::AccumulatorOutlet => layout
                .index_of(Role::Accumulator)
                .map(|_| Role::Accumulator),
        }
    }
}

named! {
    /// A vent in the dash.
    Vent {
        /// Driver's side.
        Left = "left-vent",
        /// Middle of the dash.
        Centre = "centre-vent",
        /// Passenger's side.
        Right = "right-vent",
    }
}

named! {
    /// Air that a hygrometer can be held in.
    Room {
        /// Outside, in the shade of the bay.
        Outside = "outside",
        /// Cabin at head height.
        Cabin = "cabin",
    }
}

named! {
    /// A thing that can be looked at, listened to, felt, smelt or searched for a leak.
    Spot {
        /// Hub and plate of the compressor clutch.
        ClutchHub = "clutch-hub",
        /// Compressor body.
        Compressor = "compressor",
        /// Drive belt.
        Belt = "belt",
        /// Plug of the clutch coil.
        ClutchPlug = "clutch-plug",
        /// Fuse of the clutch circuit.
        Fuse = "fuse",
        /// Front face of the condenser.
        CondenserFace = "condenser-face",
        /// Condenser fan.
        CondenserFan = "condenser-fan",
        /// Hose from compressor to condenser.
        DischargeHose = "discharge-hose",
        /// Line from condenser to expansion device.
        LiquidLine = "liquid-line",
        /// Glass in the liquid line, where the car has one.
        SightGlass = "sight-glass",
        /// Expansion valve and the pipe behind it.
        ExpansionValve = "expansion-valve",
        /// Evaporator case.
        Evaporator = "evaporator",
        /// Water drain of the evaporator case.
        Drain = "drain",
        /// Hose from evaporator to compressor.
        SuctionHose = "suction-hose",
        /// Vents in the dash.
        Vents = "vents",
        /// Blower.
        Blower = "blower",
        /// Cabin filter.
        CabinFilter = "cabin-filter",
        /// The two hoses of the heater core, at the bulkhead.
        HeaterHoses = "heater-hoses",
        /// Receiver-drier, in the liquid line or beside the condenser.
        Receiver = "receiver",
        /// Accumulator-drier.
        Accumulator = "accumulator",
        /// Low-side service port.
        LowPort = "low-port",
        /// High-side service port.
        HighPort = "high-port",
        /// Pressure transducer.
        Transducer = "transducer",
        /// Where the orifice tube sits, and the pipe behind it.
        OrificeTube = "orifice-tube",
    }
}

impl Spot {
    /// Whether a car has it.
    #[must_use]
    pub fn is_on(self, spec: &CarSpec) -> bool {
        let accumulator = spec.storage.place == Place::Suction;
        match self {
            Self::SightGlass => spec.sight_glass,
            Self::ClutchHub | Self::Belt => spec.compressor.turned.pulley_ratio().is_some(),
            Self::Receiver => !accumulator,
            Self::Accumulator => accumulator,
            Self::ExpansionValve => spec.expansion.valve().is_some(),
            Self::OrificeTube => spec.expansion.valve().is_none(),
            _ => true,
        }
    }

    /// Where on the car a leak that is found here gets out; `None` where nothing can.
    #[must_use]
    pub fn leak_place(self) -> Option<LeakPlace> {
        match self {
            Self::Compressor => Some(LeakPlace::Compressor),
            Self::CondenserFace => Some(LeakPlace::Condenser),
            Self::DischargeHose => Some(LeakPlace::DischargeHose),
            Self::LiquidLine => Some(LeakPlace::LiquidLine),
            Self::SuctionHose => Some(LeakPlace::SuctionHose),
            Self::Evaporator => Some(LeakPlace::Evaporator),
            Self::Receiver => Some(LeakPlace::Receiver),
            Self::Accumulator => Some(LeakPlace::Accumulator),
            Self::LowPort => Some(LeakPlace::LowPort),
            Self::HighPort => Some(LeakPlace::HighPort),
            Self::Transducer => Some(LeakPlace::Transducer),
            Self::ExpansionValve | Self::OrificeTube => Some(LeakPlace::ExpansionDevice),
            Self::ClutchHub
            | Self::Belt
            | Self::ClutchPlug
            | Self::Fuse
            | Self::CondenserFan
            | Self::SightGlass
            | Self::Drain
            | Self::Vents
            | Self::Blower
            | Self::CabinFilter
            | Self::HeaterHoses => None,
        }
    }
}

named! {
    /// Air before and behind the condenser.
    CondenserSide {
        /// In front of it.
        Front = "condenser-front",
        /// Behind it.
        Behind = "condenser-behind",
    }
}

named! {
    /// What turns at the compressor.
    Wheel {
        /// Pulley, driven by the belt.
        Pulley = "pulley",
        /// Hub, driven by the clutch.
        Hub = "hub",
    }
}

named! {
    /// A dull surface for an infrared thermometer.
    Dull {
        /// Black tape stuck on the pipe.
        Tape = "tape",
        /// Rubber of a hose beside the place.
        Hose = "hose",
    }
}

named! {
    /// Scale of an electronic leak detector: the leak it has to find.
    LeakScale {
        /// 4 g a year.
        Fine = "4-g",
        /// 7 g a year.
        Usual = "7-g",
        /// 14 g a year.
        Coarse = "14-g",
    }
}

impl LeakScale {
    /// Leak at which the detector sounds, kg/s (scales of SAE J2791 for R-134a; SAE J2913 for
    /// R-1234yf has the same, from memory).
    #[must_use]
    pub fn kg_s(self) -> f64 {
        let grams_per_year = match self {
            Self::Fine => 4.0,
            Self::Usual => 7.0,
            Self::Coarse => 14.0,
        };
        grams_per_year * 1e-3 / (365.25 * 86_400.0)
    }
}

named! {
    /// What a refrigerant identifier tells apart.
    Gas {
        /// R-134a.
        R134a = "r134a",
        /// R-1234yf.
        R1234yf = "r1234yf",
        /// Hydrocarbons.
        Hydrocarbon = "hydrocarbon",
        /// Air.
        Air = "air",
    }
}

named! {
    /// A gauge of the gauge set.
    Gauge {
        /// Low side.
        Low = "low-side",
        /// High side.
        High = "high-side",
    }
}

named! {
    /// An end of what a gauge swings between.
    Extreme {
        /// Least.
        Least = "least",
        /// Greatest.
        Greatest = "greatest",
    }
}
