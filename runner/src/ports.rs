//! Work at the service ports: gauge set, identifier, dye, recovery machine, vacuum gauge.

use sim_core::instruments::{Check, Extreme, Gas, Gauge, Misuse, Named, Spot, searched};
use sim_core::loop_model::layout::Role;
use sim_core::spec::{Leak, LeakPlace};

use crate::action::{Action, GaugeStep, Sample};
use crate::session::{Gauges, Refusal, Session, Truths, Watcher};

/// Time to put the couplings on, s.
const CONNECT_S: f64 = 120.0;
/// Time to open or shut them, s.
const COUPLING_S: f64 = 10.0;
/// Time to take them off, s.
const DISCONNECT_S: f64 = 60.0;
/// Time to zero both gauges, s.
const ZERO_S: f64 = 20.0;
/// Flow area of a coupling pulled off while open, m² (from memory).
const COUPLING_AREA_M2: f64 = 2e-7;
/// Time until a coupling pulled off while open has sealed itself, s (from memory).
const COUPLING_SPILL_S: f64 = 3.0;
/// Time to connect a recovery machine and clear its hoses, s.
const MACHINE_S: f64 = 180.0;
/// Pressure a recovery machine draws down to, Pa absolute (common practice, no source).
const MACHINE_INLET_PA: f64 = 30e3;
/// Time to put dye in at the low-side port, s.
const DYE_S: f64 = 300.0;
/// Time to wipe a spot clean, s.
const WIPE_S: f64 = 60.0;
/// Gauge pressure that ruins a vacuum gauge's sensor, Pa (common practice, no source).
const RUINS_FROM_PA: f64 = 35e3;
/// Vapour by mass above which the liquid line gives an identifier no liquid to choke on.
const DRY_SAMPLE: f64 = 0.5;

/// What watching the gauges for a minute gives.
pub(crate) const GAUGE_EXTREMES: [Check; 4] = [
    Check::GaugeExtreme(Gauge::Low, Extreme::Least),
    Check::GaugeExtreme(Gauge::Low, Extreme::Greatest),
    Check::GaugeExtreme(Gauge::High, Extreme::Least),
    Check::GaugeExtreme(Gauge::High, Extreme::Greatest),
];

impl Session {
    pub(crate) fn handle_gauges(
        &mut self,
        step: GaugeStep,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        if self.setup.road_speed_m_s > 0.0 {
            return Err(Refusal::OnTheRoad);
        }
        if self.car.state().service.pump_on {
            return Err(Refusal::PumpDraws);
        }
        match (step, self.gauges) {
            (GaugeStep::Connect, Gauges::Off) => {
                self.gauges = Gauges::Connected;
                self.car.fill_hoses(false);
                self.pass(CONNECT_S, watcher)
            }
            (GaugeStep::Open, Gauges::Connected) => {
                self.gauges = Gauges::Open;
                self.pass(COUPLING_S, watcher)
            }
            (GaugeStep::Read, Gauges::Open) => {
                self.check(&[Check::LowGauge, Check::HighGauge], watcher)
            }
            (GaugeStep::Read, Gauges::Connected) => {
                let shut = [Gauge::Low, Gauge::High].map(Misuse::ShutGauge);
                self.check(&shut.map(Check::Misused), watcher)
            }
            (GaugeStep::Watch, Gauges::Open) => self.check(&GAUGE_EXTREMES, watcher),
            (GaugeStep::Zero, Gauges::Off) => {
                self.zero_gauges();
                self.pass(ZERO_S, watcher)
            }
            (GaugeStep::Close, Gauges::Open) => {
                self.gauges = Gauges::Connected;
                self.pass(COUPLING_S, watcher)?;
                self.car.fill_hoses(true);
                Ok(Vec::new())
            }
            (GaugeStep::Disconnect, Gauges::Connected) => {
                self.gauges = Gauges::Off;
                self.pass(DISCONNECT_S, watcher)
            }
            (GaugeStep::Disconnect, Gauges::Open) => {
                self.gauges = Gauges::Off;
                self.open_ports(COUPLING_AREA_M2);
                self.pass(COUPLING_SPILL_S, watcher)?;
                self.open_ports(0.0);
                self.pass(DISCONNECT_S - COUPLING_SPILL_S, watcher)
            }
            (_, gauges) => Err(Refusal::GaugesAre(gauges)),
        }
    }

    /// Opens both service ports to the air, or shuts them.
    fn open_ports(&mut self, area_m2: f64) {
        for place in [LeakPlace::LowPort, LeakPlace::HighPort] {
            let role = place.role(self.car.spec());
            self.car.set_opening(Leak {
                role,
                place,
                area_m2,
            });
        }
    }

    /// Gives the identifier a sample.
    pub(crate) fn identify(
        &mut self,
        sample: Sample,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.standing()?;
        let wet = self
            .car
            .quality(Role::LiquidLine)
            .is_some_and(|quality| quality < DRY_SAMPLE);
        let checks: Vec<Check> = match sample {
            Sample::Liquid if wet => vec![Check::Misused(Misuse::GasFromLiquid)],
            Sample::Vapour | Sample::Liquid => {
                Gas::ALL.iter().copied().map(Check::GasShare).collect()
            }
            Sample::Cold => Gas::ALL
                .iter()
                .map(|gas| Check::Misused(Misuse::GasShareCold(*gas)))
                .collect(),
        };
        self.check(&checks, watcher)
    }

    /// Lets the recovery machine draw for so long, then reads its scales and its low-side gauge.
    pub(crate) fn recover(
        &mut self,
        seconds: f64,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.standing()?;
        self.ports_free()?;
        if self.setup.engine_rev_s > 0.0 {
            return Err(Refusal::EngineOn);
        }
        self.pass(MACHINE_S, watcher)?;
        self.car.start_recovery(MACHINE_INLET_PA);
        self.pass(seconds, watcher)?;
        self.car.stop_recovery();
        self.check(&[Check::RecoveredMass, Check::MachinePressure], watcher)
    }

    /// Puts dye in at the low-side port.
    pub(crate) fn add_dye(&mut self, watcher: &mut dyn Watcher) -> Result<Truths, Refusal> {
        self.standing()?;
        self.pass(DYE_S, watcher)?;
        self.car.add_dye();
        Ok(Vec::new())
    }

    /// Wipes the dye off a spot.
    pub(crate) fn wipe(
        &mut self,
        spot: Spot,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.standing()?;
        let place = searched(self.car.spec(), spot).map_err(Refusal::Impossible)?;
        self.pass(WIPE_S, watcher)?;
        self.car.wipe(place);
        Ok(Vec::new())
    }

    /// Reads the vacuum gauge; a loop under pressure ruins it.
    pub(crate) fn read_vacuum(&mut self, watcher: &mut dyn Watcher) -> Result<Truths, Refusal> {
        self.standing()?;
        if self.vacuum_gauge_ruined {
            return Err(Refusal::VacuumGaugeRuined);
        }
        self.vacuum_gauge_ruined = self.ruins_vacuum_gauge();
        self.check(&[Check::Vacuum], watcher)
    }

    /// Whether the loop holds more pressure than a vacuum gauge outlives.
    pub(crate) fn ruins_vacuum_gauge(&self) -> bool {
        let over = self.car.pressure_pa(Role::SuctionLine) - self.car.weather().pressure_pa();
        over > RUINS_FROM_PA
    }

    /// Nothing else is on the service ports.
    pub(crate) fn ports_free(&self) -> Result<(), Refusal> {
        if self.gauges != Gauges::Off {
            return Err(Refusal::PortsTaken);
        }
        if self.car.state().service.pump_on {
            return Err(Refusal::PumpDraws);
        }
        Ok(())
    }

    pub(crate) fn standing(&self) -> Result<(), Refusal> {
        if self.setup.road_speed_m_s > 0.0 {
            return Err(Refusal::OnTheRoad);
        }
        Ok(())
    }
}

impl Action {
    /// Shop time of work at the service ports, s; 0 for other work.
    pub(crate) fn seconds_at_ports(&self) -> f64 {
        match self {
            Self::Gauges(step) => match step {
                GaugeStep::Connect => CONNECT_S,
                GaugeStep::Open | GaugeStep::Close => COUPLING_S,
                GaugeStep::Read => Check::HighGauge.time_s(),
                GaugeStep::Watch => GAUGE_EXTREMES[0].time_s(),
                GaugeStep::Disconnect => DISCONNECT_S,
                GaugeStep::Zero => ZERO_S,
            },
            Self::Identify(Sample::Cold) => Check::Misused(Misuse::GasShareCold(Gas::Air)).time_s(),
            Self::Identify(_) => Check::GasShare(Gas::Air).time_s(),
            Self::Recover(seconds) => MACHINE_S + seconds + Check::RecoveredMass.time_s(),
            Self::AddDye => DYE_S,
            Self::Wipe(_) => WIPE_S,
            filling => filling.seconds_of_filling(),
        }
    }
}
