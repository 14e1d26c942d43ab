//! A car's air conditioning as physics: balances on a real equation of state.
//!
//! This crate reads no clock, no file and no environment, starts no thread and
//! holds no global state. The same calls give the same bytes on every machine.
//!
//! Build a car, break it, run it, and read two gauges:
//!
//! ```
//! use sim_core::car::Car;
//! use sim_core::faults::{Fault, Knob};
//! use sim_core::instruments::{Check, Truth, Watch, truth};
//! use sim_core::setup::{Setup, Weather};
//! use sim_core::spec::CarSpec;
//!
//! let mut spec = CarSpec::example();
//! Fault::one(Knob::ChargeShare, 0.3).apply(&mut spec, 1.0);
//! let mut car = Car::soaked(spec, Weather::shade(303.15, 0.5))?;
//! let idle = car.spec().bay.idle_rev_s;
//! let setup = Setup { engine_rev_s: idle, ac_on: true, blower_step: 4, ..Setup::parked() };
//! car.advance(&setup, 300.0)?;
//! for gauge in [Check::LowGauge, Check::HighGauge] {
//!     let Truth::Number(pressure_pa) = truth(&car, gauge, Watch::default())? else { continue };
//!     println!("{}: {:.0} kPa gauge", gauge.words(), pressure_pa / 1e3);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod air;
pub mod dual;
pub mod fluid;

pub mod parts;

pub mod loop_model;

pub mod spec;

pub mod setup;

pub mod faults;
pub mod repair;

pub mod random;

pub mod instruments;

pub mod spread;

pub mod car;
