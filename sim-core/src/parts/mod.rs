//! The parts of a car's air conditioning, one file a part.
//!
//! Each file gives the part's parameters (healthy data and the condition a
//! fault may worsen), what it carries through time, and the function from its
//! neighbours' state to flows and rates. A part sees no instrument and no fault.

pub mod air_box;
pub mod belt_line;
pub mod cabin;
pub mod circuit;
pub mod clutch;
pub mod compressor;
pub mod condenser;
pub mod contents;
pub mod controls;
pub mod debris;
pub mod displacement;
pub mod drain;
pub mod engine_bay;
pub mod evaporator;
pub mod expansion;
pub mod expansion_valve;
pub mod heat_transfer;
pub mod line;
pub mod moisture;
pub mod motor;
pub mod oil;
pub mod orifice_tube;
pub mod outlets;
pub mod receiver;
pub mod relief_valve;
pub mod sensors;
pub mod skin;
pub mod storage;
pub mod vacuum_pump;
pub mod water;
