//! The implicit step: conserved mass and energy, unknown pressure and enthalpy.
//!
//! Backward Euler on `dM/dt = Σṁ`, `dU/dt = Σṁh + Q` for each volume, solved
//! by Newton with exact slopes. Mass and energy are then moved by the flows of
//! the last iterate, each flow once out of a volume and once into the next, so
//! that what Newton leaves over never becomes refrigerant lost or found.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::loop_model::layout::{Layout, Passage, Role};
use crate::loop_model::linear::LinearSystem;
use crate::loop_model::state::LoopState;
use crate::loop_model::volume::{Evaluated, Outside, Trial, evaluate};
use crate::parts::compressor::Compressor;
use crate::parts::expansion_valve::ExpansionValve;
use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::line::{Flowing, Stream, carried, passage};

/// What drives the loop during a step, besides its own state.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    /// Refrigerant.
    pub fluid: &'a Fluid,
    /// The ring.
    pub layout: &'a Layout,
    /// Compressor.
    pub compressor: &'a Compressor,
    /// Expansion valve.
    pub valve: &'a ExpansionValve,
    /// Compressor speed, turns per second.
    pub compressor_rev_s: f64,
    /// What each wall meets outside, in the order of the layout.
    pub outside: &'a [Outside],
    /// Pressure of the air around, Pa.
    pub ambient_pa: f64,
    /// Area of the open relief valve on the compressor head, m²; 0 when shut.
    pub relief_area_m2: f64,
}

/// Newton did not settle at this step length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotConverged;

/// What a step did.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepReport {
    /// Largest error of the step, as a share of what is allowed.
    pub error: f64,
    /// Newton iterations used.
    pub iterations: usize,
}

/// Workspace of the step; made once for a car, nothing is allocated afterwards.
#[derive(Clone, Debug)]
pub struct Solver {
    system: LinearSystem,
    cells: Vec<Evaluated>,
    streams: Vec<RingStream>,
    leaks: Vec<Stream<2>>,
    pressure_pa: Vec<f64>,
    enthalpy: Vec<f64>,
    wall_k: Vec<f64>,
    refrigerant_side: Vec<RegimeConductance>,
    /// Rates of the step before, for the first guess and the error: Pa/s and J/(kg s).
    pressure_rate: Vec<f64>,
    enthalpy_rate: Vec<f64>,
    last_step_s: f64,
    last_damping: f64,
    /// Effort so far: right-hand sides evaluated, steps refused.
    pub evaluations: u64,
    /// Steps tried again shorter.
    pub refused: u64,
}

/// A stream of the ring, with its slopes over the volume before, the volume after and the sensed volume.
#[derive(Clone, Copy, Debug)]
struct RingStream {
    /// What leaves one volume and enters the next.
    flow: Stream<6>,
    /// Work put in on the way, which only the next volume sees, W.
    work_w: Dual<6>,
}

/// Iterations after which a step is tried again shorter.
const MOST_ITERATIONS: usize = 10;
/// A pressure correction below this share of the pressure, plus the next constant, is the last.
const SETTLED_SHARE: f64 = 1e-3;
/// See above, Pa.
const SETTLED_PA: f64 = 30.0;
/// An enthalpy correction below this is the last, J/kg.
const SETTLED_J_PER_KG: f64 = 100.0;
/// Largest enthalpy correction taken at once, J/kg.
const LARGEST_CORRECTION_J_PER_KG: f64 = 6e4;
/// Scale of a pressure unknown, Pa.
const PRESSURE_SCALE: f64 = 1e5;
/// Scale of an enthalpy unknown, J/kg.
const ENTHALPY_SCALE: f64 = 1e4;
/// Scale of a mass balance, kg.
const MASS_SCALE: f64 = 1e-3;
/// Scale of an energy balance, J.
const ENERGY_SCALE: f64 = 300.0;
/// Share of pressure that a step's error may reach.
const PRESSURE_TOLERANCE: f64 = 0.02;
/// Volumes holding less than this may err by more: a gram of gas in a hose follows
/// whatever flows through it within a fraction of a second, kg.
const LIGHT_KG: f64 = 0.01;
/// Enthalpy that a step's error may reach, J/kg.
const ENTHALPY_TOLERANCE: f64 = 5000.0;

impl Solver {
    /// A workspace for a ring.
    #[must_use]
    pub fn new(layout: &Layout) -> Self {
        let count = layout.volumes.len();
        let zero = Dual::constant(0.0);
        let zero6 = Dual::constant(0.0);
        let port = Flowing {
            pressure_pa: zero,
            enthalpy_j_per_kg: zero,
            density_kg_per_m3: zero,
        };
        let cell = Evaluated {
            mass_kg: zero,
            energy_j: zero,
            temperature_k: zero,
            at_inlet: port,
            at_outlet: port,
            heat_w: zero,
            wall_k: zero,
        };
        Self {
            system: LinearSystem::new(2 * count),
            cells: vec![cell; count],
            streams: vec![
                RingStream {
                    flow: no_stream(),
                    work_w: zero6
                };
                count
            ],
            leaks: vec![no_stream(); count],
            pressure_pa: vec![0.0; count],
            enthalpy: vec![0.0; count],
            wall_k: vec![0.0; count],
            refrigerant_side: layout.volumes.iter().map(|v| v.refrigerant_side).collect(),
            pressure_rate: vec![0.0; count],
            enthalpy_rate: vec![0.0; count],
            last_step_s: 0.0,
            last_damping: 1.0,
            evaluations: 0,
            refused: 0,
        }
    }

    /// Forgets the rates of the step before: something switched.
    pub fn forget(&mut self) {
        self.last_step_s = 0.0;
    }

    /// Rate of a volume's pressure in the step before, Pa/s; 0 when something has just switched.
    #[must_use]
    pub fn pressure_rate(&self, index: usize) -> f64 {
        if self.last_step_s > 0.0 {
            self.pressure_rate.get(index).copied().unwrap_or(0.0)
        } else {
            0.0
        }
    }

    /// Moves the loop on by one step.
    ///
    /// # Errors
    /// [`NotConverged`] when Newton does not settle; the state is left as it was.
    pub fn step(
        &mut self,
        drive: &Drive<'_>,
        state: &mut LoopState,
        step_s: f64,
    ) -> Result<StepReport, NotConverged> {
        let has_history = self.last_step_s > 0.0;
        let count = self.pressure_pa.len();
        for i in 0..count {
            let (p, h) = (state.pressure_pa[i], state.enthalpy_j_per_kg[i]);
            self.pressure_pa[i] = p;
            self.enthalpy[i] = h;
            if has_history {
                let foreseen = p + self.pressure_rate[i] * step_s;
                self.pressure_pa[i] = foreseen.clamp(0.7 * p, 1.4 * p);
                self.enthalpy[i] = h + (self.enthalpy_rate[i] * step_s).clamp(-2e4, 2e4);
            }
            self.wall_k[i] = state.wall_k[i];
            let through = 0.5 * (state.flow_kg_s[(i + count - 1) % count] + state.flow_kg_s[i]);
            self.refrigerant_side[i] = drive.layout.volumes[i].refrigerant_side.at_flow(through);
        }
        let sensing = Sensing::of(drive, state, step_s);
        let mut pace = Pace {
            factor: 1.0,
            last_size: f64::INFINITY,
        };
        for iteration in 1..=MOST_ITERATIONS {
            self.evaluate_all(drive, state, &sensing, step_s);
            self.assemble(state, step_s, &sensing);
            let settled = self.correct(&mut pace)?;
            if settled {
                let error = if has_history {
                    self.error(state, step_s)
                } else {
                    0.0
                };
                self.accept(drive, state, &sensing, step_s);
                return Ok(StepReport {
                    error,
                    iterations: iteration,
                });
            }
        }
        Err(NotConverged)
    }

    fn evaluate_all(
        &mut self,
        drive: &Drive<'_>,
        state: &LoopState,
        sensing: &Sensing,
        step_s: f64,
    ) {
        self.evaluations += 1;
        let count = self.cells.len();
        for (i, volume) in drive.layout.volumes.iter().enumerate() {
            let trial = Trial {
                pressure_pa: self.pressure_pa[i],
                enthalpy_j_per_kg: self.enthalpy[i],
                wall_before_k: state.wall_k[i],
                wall_guess_k: self.wall_k[i],
                refrigerant_side: self.refrigerant_side[i],
            };
            let cell = evaluate(drive.fluid, volume, &drive.outside[i], trial, step_s);
            self.wall_k[i] = cell.wall_k.value;
            let relief = if volume.role == Role::CompressorHead {
                drive.relief_area_m2
            } else {
                0.0
            };
            self.leaks[i] = leak(
                volume.leak_area_m2 + relief,
                &cell.at_inlet,
                drive.ambient_pa,
            );
            self.cells[i] = cell;
        }
        for (i, kind) in drive.layout.passages.iter().enumerate() {
            let next = (i + 1) % count;
            let (from, to) = (&self.cells[i].at_outlet, &self.cells[next].at_inlet);
            self.streams[i] = match kind {
                Passage::Pipe(area_m2) => {
                    let flow = passage(Dual::constant(*area_m2), &wide(from, 0), &wide(to, 2));
                    passive(widen(flow))
                }
                Passage::Compressor => compressor_stream(drive, from, to),
                Passage::ExpansionValve => {
                    let sensed = &self.cells[sensing.volume];
                    let lift = sensing.lift(drive, sensed);
                    passive(drive.valve.flow(lift, &wide(from, 0), &wide(to, 2)))
                }
            };
        }
    }

    fn assemble(&mut self, state: &LoopState, step_s: f64, sensing: &Sensing) {
        let count = self.cells.len();
        self.system.clear();
        for i in 0..count {
            let cell = &self.cells[i];
            let leak = &self.leaks[i];
            let mass = cell.mass_kg - state.mass_kg[i] + leak.mass_flow_kg_s * step_s;
            let energy =
                cell.energy_j - state.energy_j[i] + (leak.enthalpy_flow_w - cell.heat_w) * step_s;
            put(&mut self.system, 2 * i, MASS_SCALE, i, mass);
            put(&mut self.system, 2 * i + 1, ENERGY_SCALE, i, energy);
        }
        for i in 0..count {
            let next = (i + 1) % count;
            let stream = &self.streams[i];
            let places = [i, next, sensing.volume];
            let mass = stream.flow.mass_flow_kg_s * step_s;
            let out = stream.flow.enthalpy_flow_w * step_s;
            let arriving = out + stream.work_w * step_s;
            for (sign, row, energy) in [(1.0, i, out), (-1.0, next, arriving)] {
                put_ring(&mut self.system, 2 * row, sign / MASS_SCALE, places, mass);
                put_ring(
                    &mut self.system,
                    2 * row + 1,
                    sign / ENERGY_SCALE,
                    places,
                    energy,
                );
            }
        }
    }

    /// One Newton correction, shortened where the last ones did not shrink.
    ///
    /// At the boiling line a volume's compressibility jumps by a thousand times,
    /// and full corrections can step to and fro across it for ever.
    fn correct(&mut self, pace: &mut Pace) -> Result<bool, NotConverged> {
        let correction = self.system.solve().map_err(|_| NotConverged)?;
        let mut size: f64 = 0.0;
        let mut most: f64 = 1.0;
        for (pair, pressure_pa) in correction.chunks_exact(2).zip(&self.pressure_pa) {
            let pressure = (pair[0] * PRESSURE_SCALE).abs();
            let enthalpy = (pair[1] * ENTHALPY_SCALE).abs();
            if !(pressure.is_finite() && enthalpy.is_finite()) {
                return Err(NotConverged);
            }
            size = size
                .max(pressure / (SETTLED_SHARE * pressure_pa + SETTLED_PA))
                .max(enthalpy / SETTLED_J_PER_KG);
            most = most.min(0.5 * pressure_pa / pressure.max(0.5 * pressure_pa));
            most =
                most.min(LARGEST_CORRECTION_J_PER_KG / enthalpy.max(LARGEST_CORRECTION_J_PER_KG));
        }
        let damping = pace.next(size).min(most);
        for (i, pair) in correction.chunks_exact(2).enumerate() {
            self.pressure_pa[i] -= damping * pair[0] * PRESSURE_SCALE;
            self.enthalpy[i] -= damping * pair[1] * ENTHALPY_SCALE;
        }
        self.last_damping = damping;
        Ok(size < 1.0)
    }

    /// Difference from a straight continuation of the step before, as a share of what is allowed.
    fn error(&self, state: &LoopState, step_s: f64) -> f64 {
        let share = step_s / (step_s + self.last_step_s);
        let mut worst: f64 = 0.0;
        for i in 0..self.pressure_pa.len() {
            let p = state.pressure_pa[i];
            let bend_p = self.pressure_pa[i] - p - self.pressure_rate[i] * step_s;
            let bend_h =
                self.enthalpy[i] - state.enthalpy_j_per_kg[i] - self.enthalpy_rate[i] * step_s;
            let allowed_h = ENTHALPY_TOLERANCE * (1.0 + LIGHT_KG / state.mass_kg[i].max(1e-6));
            worst = worst
                .max(bend_p.abs() * share / (PRESSURE_TOLERANCE * p))
                .max(bend_h.abs() * share / allowed_h);
        }
        worst
    }

    /// Takes the step: moves mass and energy by the flows at the corrected point.
    fn accept(&mut self, drive: &Drive<'_>, state: &mut LoopState, sensing: &Sensing, step_s: f64) {
        let count = self.cells.len();
        let last = self.system.solution();
        // The flows were evaluated before the last correction; carry them along their slopes.
        let damping = self.last_damping;
        let moved = |i: usize| {
            [
                -damping * last[2 * i] * PRESSURE_SCALE,
                -damping * last[2 * i + 1] * ENTHALPY_SCALE,
            ]
        };
        for i in 0..count {
            let cell = &self.cells[i];
            let leak = &self.leaks[i];
            let by = moved(i);
            let lost = step_s * along(&leak.mass_flow_kg_s, &by);
            state.mass_kg[i] -= lost;
            state.lost_kg += lost;
            state.energy_j[i] +=
                step_s * (along(&cell.heat_w, &by) - along(&leak.enthalpy_flow_w, &by));
            state.wall_k[i] = along(&cell.wall_k, &by);
            let rate = 1.0 / step_s;
            self.pressure_rate[i] = (self.pressure_pa[i] - state.pressure_pa[i]) * rate;
            self.enthalpy_rate[i] = (self.enthalpy[i] - state.enthalpy_j_per_kg[i]) * rate;
            state.pressure_pa[i] = self.pressure_pa[i];
            state.enthalpy_j_per_kg[i] = self.enthalpy[i];
        }
        for i in 0..count {
            let next = (i + 1) % count;
            let stream = &self.streams[i];
            let (a, b, c) = (moved(i), moved(next), moved(sensing.volume));
            let by = [a[0], a[1], b[0], b[1], c[0], c[1]];
            let mass_flow = along(&stream.flow.mass_flow_kg_s, &by);
            let enthalpy_flow_w = along(&stream.flow.enthalpy_flow_w, &by);
            let energy = step_s * enthalpy_flow_w;
            let work_w = along(&stream.work_w, &by);
            state.mass_kg[i] -= step_s * mass_flow;
            state.mass_kg[next] += step_s * mass_flow;
            state.energy_j[i] -= energy;
            state.energy_j[next] += energy + step_s * work_w;
            state.flow_kg_s[i] = mass_flow;
            state.enthalpy_flow_w[i] = enthalpy_flow_w;
            if drive.layout.passages[i] == Passage::Compressor {
                state.compressor_power_w = work_w;
            }
        }
        let sensed = &self.cells[sensing.volume];
        state.sensing_k = sensing.temperature(sensed).value;
        state.lift = sensing.lift(drive, sensed).value;
        self.last_step_s = step_s;
    }
}

/// How much of each correction to take.
struct Pace {
    factor: f64,
    last_size: f64,
}

impl Pace {
    /// Share of a correction of this size to take: less when it did not shrink, more again when it did.
    fn next(&mut self, size: f64) -> f64 {
        if size > 0.6 * self.last_size {
            self.factor = (self.factor * 0.5).max(0.1);
        } else if size < 0.3 * self.last_size {
            self.factor = (self.factor * 1.5).min(1.0);
        }
        self.last_size = size;
        self.factor
    }
}

/// The valve's sensing element during a step: its temperature moves with the outlet it touches.
struct Sensing {
    volume: usize,
    before_k: f64,
    step_over_lag: f64,
    pressure_pa: f64,
    pressure_slope: f64,
}

impl Sensing {
    fn of(drive: &Drive<'_>, state: &LoopState, step_s: f64) -> Self {
        let count = drive.layout.volumes.len();
        let volume = drive
            .layout
            .volumes
            .iter()
            .rposition(|v| matches!(v.role, Role::Evaporator(_)))
            .unwrap_or(count - 1);
        let (pressure_pa, pressure_slope) = drive
            .valve
            .sensing_pressure_pa(drive.fluid, state.sensing_k);
        Self {
            volume,
            before_k: state.sensing_k,
            step_over_lag: step_s / drive.valve.sensing_lag_s,
            pressure_pa,
            pressure_slope,
        }
    }

    /// Temperature of the element at the end of the step.
    fn temperature(&self, sensed: &Evaluated) -> Dual<2> {
        let share = self.step_over_lag / (1.0 + self.step_over_lag);
        Dual::constant(self.before_k).mix(sensed.temperature_k, Dual::constant(share))
    }

    fn lift(&self, drive: &Drive<'_>, sensed: &Evaluated) -> Dual<6> {
        let temperature = self.temperature(sensed);
        let (value, slope) = if (temperature.value - self.before_k).abs() < 1e-9 {
            (self.pressure_pa, self.pressure_slope)
        } else {
            drive
                .valve
                .sensing_pressure_pa(drive.fluid, temperature.value)
        };
        let pressure: Dual<6> = temperature.chain(value, slope).embed(4);
        drive
            .valve
            .lift(pressure, sensed.at_outlet.pressure_pa.embed(4))
    }
}

/// Gas through the compressor, less what blows back past its discharge valves.
///
/// What blows back enters the cylinder, not the suction pipe: it costs flow, and
/// its compression is paid for again, which is what makes a worn set run hot.
fn compressor_stream(drive: &Drive<'_>, from: &Flowing<2>, to: &Flowing<2>) -> RingStream {
    let suction: Flowing<4> = wide(from, 0);
    let discharge: Flowing<4> = wide(to, 2);
    let leak_area = Dual::constant(drive.compressor.valve_leak_area_m2);
    let back = passage(leak_area, &discharge, &suction).mass_flow_kg_s;
    if drive.compressor_rev_s <= 0.0 {
        return RingStream {
            flow: widen(carried(-back, &suction, &discharge)),
            work_w: Dual::constant(0.0),
        };
    }
    let delivery = drive.compressor.delivery(
        drive.fluid,
        drive.compressor_rev_s,
        &suction,
        discharge.pressure_pa,
    );
    let net = delivery.mass_flow_kg_s - back;
    let work_w: Dual<4> = delivery.mass_flow_kg_s * delivery.enthalpy_rise_j_per_kg;
    RingStream {
        flow: widen(carried(net, &suction, &discharge)),
        work_w: work_w.embed(0),
    }
}

/// Refrigerant leaving for the air. Air does not come in: a loop in vacuum is taken as tight.
fn leak(area_m2: f64, inside: &Flowing<2>, ambient_pa: f64) -> Stream<2> {
    if area_m2 <= 0.0 || inside.pressure_pa.value <= ambient_pa {
        return no_stream();
    }
    let outside = Flowing {
        pressure_pa: Dual::constant(ambient_pa),
        ..*inside
    };
    let mass_flow_kg_s = passage(Dual::constant(area_m2), inside, &outside).mass_flow_kg_s;
    Stream {
        mass_flow_kg_s,
        enthalpy_flow_w: mass_flow_kg_s * inside.enthalpy_j_per_kg,
    }
}

fn no_stream<const N: usize>() -> Stream<N> {
    Stream {
        mass_flow_kg_s: Dual::constant(0.0),
        enthalpy_flow_w: Dual::constant(0.0),
    }
}

fn wide<const N: usize>(port: &Flowing<2>, offset: usize) -> Flowing<N> {
    Flowing {
        pressure_pa: port.pressure_pa.embed(offset),
        enthalpy_j_per_kg: port.enthalpy_j_per_kg.embed(offset),
        density_kg_per_m3: port.density_kg_per_m3.embed(offset),
    }
}

fn passive(flow: Stream<6>) -> RingStream {
    RingStream {
        flow,
        work_w: Dual::constant(0.0),
    }
}

fn widen(stream: Stream<4>) -> Stream<6> {
    Stream {
        mass_flow_kg_s: stream.mass_flow_kg_s.embed(0),
        enthalpy_flow_w: stream.enthalpy_flow_w.embed(0),
    }
}

/// Value of a quantity after its variables moved.
fn along<const N: usize>(quantity: &Dual<N>, by: &[f64; N]) -> f64 {
    quantity
        .slope
        .iter()
        .zip(by)
        .fold(quantity.value, |sum, (slope, by)| sum + slope * by)
}

/// Puts a balance that depends on one volume into its row.
fn put(system: &mut LinearSystem, row: usize, scale: f64, place: usize, balance: Dual<2>) {
    system.add_right(row, balance.value / scale);
    system.add(row, 2 * place, balance.slope[0] * PRESSURE_SCALE / scale);
    system.add(
        row,
        2 * place + 1,
        balance.slope[1] * ENTHALPY_SCALE / scale,
    );
}

/// Puts a stream into a row, over the three volumes it depends on.
fn put_ring(
    system: &mut LinearSystem,
    row: usize,
    factor: f64,
    places: [usize; 3],
    stream: Dual<6>,
) {
    system.add_right(row, stream.value * factor);
    for (place, slopes) in places.iter().zip(stream.slope.chunks_exact(2)) {
        if slopes[0] != 0.0 {
            system.add(row, 2 * place, slopes[0] * PRESSURE_SCALE * factor);
        }
        if slopes[1] != 0.0 {
            system.add(row, 2 * place + 1, slopes[1] * ENTHALPY_SCALE * factor);
        }
    }
}
