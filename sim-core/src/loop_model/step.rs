//! The implicit step: conserved mass and energy, unknown pressure and enthalpy.
//!
//! Backward Euler on `dM/dt = Σṁ`, `dU/dt = Σṁh + Q` for each volume, solved
//! by Newton with exact slopes. Mass and energy are then moved by the flows of
//! the last iterate, each flow once out of a volume and once into the next, so
//! that what Newton leaves over never becomes refrigerant lost or found.

use crate::dual::Dual;
use crate::loop_model::gas::Slack;
use crate::loop_model::layout::{Layout, Passage, Role};
use crate::loop_model::pace::{Pace, Sizes};
use crate::loop_model::ring::{Pair, RingSystem};
use crate::loop_model::sensing::Sensing;
use crate::loop_model::state::LoopState;
use crate::loop_model::streams::{Drive, RingStream, leak, no_stream};
use crate::loop_model::volume::{Evaluated, HeldAir, Trial, evaluate};
use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::line::{Flowing, Stream};

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
    system: RingSystem,
    cells: Vec<Evaluated>,
    streams: Vec<RingStream>,
    lift: Dual<2>,
    slack: Slack,
    leaks: Vec<Stream<2>>,
    drawn: Vec<Stream<2>>,
    pressure_pa: Vec<f64>,
    enthalpy: Vec<f64>,
    wall_k: Vec<f64>,
    refrigerant_side: Vec<RegimeConductance>,
    /// Rates of the step before, for the first guess and the error: Pa/s and J/(kg s).
    pressure_rate: Vec<f64>,
    enthalpy_rate: Vec<f64>,
    last_step_s: f64,
    /// What a step may err in each volume: Pa and J/kg.
    allowed: Vec<Pair>,
    /// The correction before, in shares of that.
    last_correction: Vec<Pair>,
    last_damping: f64,
    /// Effort so far: right-hand sides evaluated, steps refused.
    pub evaluations: u64,
    /// Steps tried again shorter.
    pub refused: u64,
}

/// Iterations after which a step is tried again shorter.
const MOST_ITERATIONS: usize = 10;
/// Added to what a correction may be beside the error of a step: near a vacuum a share is nothing, Pa.
const UNHEEDED_PA: f64 = 300.0;
/// Share of its pressure, plus the next constant, by which a light volume's last correction may be off:
/// beyond it the flow through a wide pipe would not match its ends.
const SETTLED_SHARE: f64 = 3e-4;
/// See above, Pa.
const SETTLED_PA: f64 = 10.0;
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
const PRESSURE_TOLERANCE: f64 = 0.03;
/// Quality on the other side of the boiling line that a last correction may lead to: a volume of
/// liquid lets go of some 0.4 % of its mass for it.
const BEYOND_THE_LINE: f64 = 1e-4;
/// What a last correction may leave over in a volume, kg, as far as the square of its move tells.
const LEFT_OVER_KG: f64 = 1e-4;
/// Share of its mass that a volume keeps through the last correction.
const LEAST_LEFT: f64 = 0.1;
/// Volumes holding less than this may err by more: a gram of gas in a hose follows
/// whatever flows through it within a fraction of a second, and what it errs is a small mass, kg.
const LIGHT_KG: f64 = 0.01;
/// Enthalpy that a step's error may reach, J/kg.
const ENTHALPY_TOLERANCE: f64 = 7500.0;

impl Solver {
    /// A workspace for a ring.
    #[must_use]
    pub fn new(layout: &Layout) -> Self {
        let count = layout.volumes.len();
        let zero = Dual::constant(0.0);
        let port = Flowing {
            pressure_pa: zero,
            enthalpy_j_per_kg: zero,
            density_kg_per_m3: zero,
        };
        let cell = Evaluated {
            mass_kg: zero,
            energy_j: zero,
            temperature_k: zero,
            quality: zero,
            at_inlet: port,
            at_outlet: port,
            heat_w: zero,
            wall_k: zero,
        };
        Self {
            system: RingSystem::new(count),
            cells: vec![cell; count],
            streams: vec![RingStream::none(); count],
            lift: zero,
            slack: Slack::default(),
            leaks: vec![no_stream(); count],
            drawn: vec![no_stream(); count],
            pressure_pa: vec![0.0; count],
            enthalpy: vec![0.0; count],
            wall_k: vec![0.0; count],
            refrigerant_side: layout.volumes.iter().map(|v| v.refrigerant_side).collect(),
            pressure_rate: vec![0.0; count],
            enthalpy_rate: vec![0.0; count],
            last_step_s: 0.0,
            allowed: vec![[1.0; 2]; count],
            last_correction: vec![[0.0; 2]; count],
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
            let light = 1.0 + LIGHT_KG / (state.mass_kg[i] + 0.25 * LIGHT_KG);
            self.allowed[i] = [PRESSURE_TOLERANCE * p * light, ENTHALPY_TOLERANCE * light];
            self.wall_k[i] = state.wall_k[i];
            let through = 0.5 * (state.flow_kg_s[(i + count - 1) % count] + state.flow_kg_s[i]);
            // The head's metal meets all the gas that is pumped, and what blows back a second time.
            let through = match drive.layout.volumes[i].role {
                Role::CompressorHead => {
                    let back = (state.pumped_kg_s - state.flow_kg_s[count - 1]).max(0.0);
                    through.max(state.pumped_kg_s + back)
                }
                _ => through,
            };
            self.refrigerant_side[i] = drive.layout.volumes[i].refrigerant_side.at_flow(through);
            if let Role::Condenser(_) = drive.layout.volumes[i].role {
                self.refrigerant_side[i].two_phase_w_per_k *= state.unblanketed_share(i);
            }
        }
        let sensing = Sensing::of(drive, state, step_s);
        self.slack = state.slack(drive.fluid, drive.layout, step_s);
        self.last_correction.fill([0.0; 2]);
        let mut pace = Pace::new();
        for iteration in 1..=MOST_ITERATIONS {
            self.evaluate_all(drive, state, &sensing, step_s);
            self.assemble(state, step_s, &sensing);
            let settled = self.correct(&mut pace)?;
            if settled && self.leaves_something(state, step_s) {
                let error = if has_history {
                    self.error(state, step_s)
                } else {
                    0.0
                };
                self.accept(drive, state, &sensing, step_s);
                let air_moved = state.move_air(drive.fluid, drive.layout, step_s);
                state.leak_air(drive, step_s);
                return Ok(StepReport {
                    error: error.max(air_moved / PRESSURE_TOLERANCE),
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
                air: HeldAir::beside(state.air_pressure_pa[i], state.pressure_pa[i]),
                wall_before_k: state.wall_k[i],
                wall_guess_k: self.wall_k[i],
                refrigerant_side: self.refrigerant_side[i],
            };
            self.cells[i] = evaluate(drive.fluid, volume, &drive.outside[i], trial, step_s);
            let cell = &self.cells[i];
            self.wall_k[i] = cell.wall_k.value;
            let mut open_m2 = Dual::constant(volume.leak_area_m2);
            if let (Role::CompressorHead, Some(relief)) = (volume.role, drive.relief) {
                open_m2 = open_m2 + relief.area_m2(cell.at_inlet.pressure_pa - drive.ambient_pa);
            }
            self.leaks[i] = leak(open_m2, &cell.at_inlet, drive.ambient_pa);
            self.drawn[i] = match &drive.inflow {
                Some(inflow) if inflow.index == i => inflow.into(&cell.at_inlet).reversed(),
                _ => leak(
                    Dual::constant(volume.machine_area_m2),
                    &cell.at_inlet,
                    drive.machine_pa,
                ),
            };
        }
        self.lift = sensing.lift(drive, &self.cells[sensing.volume]);
        for (i, kind) in drive.layout.passages.iter().enumerate() {
            let next = (i + 1) % count;
            let (from, to) = (&self.cells[i].at_outlet, &self.cells[next].at_inlet);
            self.streams[i] =
                RingStream::through(*kind, drive, from, to, self.lift.value, self.slack);
        }
    }

    fn assemble(&mut self, state: &LoopState, step_s: f64, sensing: &Sensing) {
        let count = self.cells.len();
        let system = &mut self.system;
        system.clear();
        system.set_feel(sensing.volume, scaled(&self.lift.slope, 1.0));
        for i in 0..count {
            let cell = &self.cells[i];
            let (leak, drawn) = (&self.leaks[i], &self.drawn[i]);
            let out_kg_s = leak.mass_flow_kg_s + drawn.mass_flow_kg_s;
            let out_w = leak.enthalpy_flow_w + drawn.enthalpy_flow_w;
            let mass = cell.mass_kg - state.mass_kg[i] + out_kg_s * step_s;
            let energy = cell.energy_j - state.energy_j[i] + (out_w - cell.heat_w) * step_s;
            for (equation, balance, scale) in [(0, mass, MASS_SCALE), (1, energy, ENERGY_SCALE)] {
                let factor = 1.0 / scale;
                system.add_own(
                    i,
                    equation,
                    balance.value * factor,
                    scaled(&balance.slope, factor),
                );
            }
        }
        for (i, stream) in self.streams.iter().enumerate() {
            let next = (i + 1) % count;
            let mass = stream.flow.mass_flow_kg_s * (step_s / MASS_SCALE);
            let out = stream.flow.enthalpy_flow_w * (step_s / ENERGY_SCALE);
            let arriving = out + stream.work_w * (step_s / ENERGY_SCALE);
            for (equation, leaving, entering) in [(0, mass, mass), (1, out, arriving)] {
                let (own, after) = leaving.slope.split_at(2);
                system.add_own(i, equation, leaving.value, scaled(own, 1.0));
                system.add_after(i, equation, scaled(after, 1.0));
                system.add_push(i, equation, leaving.slope[4]);
                let (before, own) = entering.slope.split_at(2);
                system.add_own(next, equation, -entering.value, scaled(own, -1.0));
                system.add_before(next, equation, scaled(before, -1.0));
                system.add_push(next, equation, -entering.slope[4]);
            }
        }
    }

    /// One Newton correction, shortened where it points back against the one before.
    fn correct(&mut self, pace: &mut Pace) -> Result<bool, NotConverged> {
        let correction = self.system.solve().map_err(|_| NotConverged)?;
        let mut sizes = Sizes::default();
        let mut most: f64 = 1.0;
        for (i, pair) in correction.iter().enumerate() {
            let by = [pair[0] * PRESSURE_SCALE, pair[1] * ENTHALPY_SCALE];
            let allowed = self.allowed[i];
            // Beside much air a little refrigerant stands for a lot of pressure.
            let whole = self.cells[i].at_outlet.pressure_pa.slope[0];
            let now = [
                by[0] / (allowed[0] + UNHEEDED_PA / whole),
                by[1] / allowed[1],
            ];
            let bearable_pa = SETTLED_SHARE * self.pressure_pa[i] + SETTLED_PA;
            sizes.unsettled_flow |= by[0].abs() > bearable_pa;
            sizes.add(now, self.last_correction[i]);
            self.last_correction[i] = now;
            let half_pa = 0.5 * self.pressure_pa[i];
            most = most
                .min(half_pa / by[0].abs().max(half_pa))
                .min(LARGEST_CORRECTION_J_PER_KG / by[1].abs().max(LARGEST_CORRECTION_J_PER_KG));
        }
        let damping = pace.next(&sizes).min(most);
        pace.taken = damping;
        for (i, pair) in correction.iter().enumerate() {
            self.pressure_pa[i] -= damping * pair[0] * PRESSURE_SCALE;
            self.enthalpy[i] -= damping * pair[1] * ENTHALPY_SCALE;
        }
        self.last_damping = damping;
        Ok(pace.settled && !self.bends_away())
    }

    /// Whether the last correction leads where its slopes do not say what a volume holds.
    ///
    /// Across the boiling line, where compressibility jumps, and in a volume nearly full of liquid,
    /// whose mass bends so that what is left over goes with the square of what the correction moved.
    fn bends_away(&self) -> bool {
        self.cells.iter().enumerate().any(|(i, cell)| {
            let by = self.moved(i);
            let (before, after) = (cell.quality.value, along(&cell.quality, &by));
            let moved_kg = along(&cell.mass_kg, &by) - cell.mass_kg.value;
            (before < 0.0) != (after < 0.0) && after.abs() > BEYOND_THE_LINE
                || moved_kg * moved_kg > LEFT_OVER_KG * cell.mass_kg.value
        })
    }

    /// Whether the flows along the last correction leave every volume something to hold.
    ///
    /// Where a receiver runs dry its slopes change faster than its pressure tells.
    fn leaves_something(&self, state: &LoopState, step_s: f64) -> bool {
        let count = self.cells.len();
        let flow = |i: usize| {
            let (a, b) = (self.moved(i), self.moved((i + 1) % count));
            // The lift's part is left out: it is small beside what is allowed here.
            let by = [a[0], a[1], b[0], b[1], 0.0];
            along(&self.streams[i].flow.mass_flow_kg_s, &by)
        };
        (0..count).all(|i| {
            let gained = flow((i + count - 1) % count) - flow(i);
            state.mass_kg[i] + step_s * gained > LEAST_LEFT * self.cells[i].mass_kg.value
        })
    }

    /// What the last correction moved a volume's pressure and enthalpy by.
    fn moved(&self, index: usize) -> [f64; 2] {
        let pair = self.system.solution()[index];
        [
            -self.last_damping * pair[0] * PRESSURE_SCALE,
            -self.last_damping * pair[1] * ENTHALPY_SCALE,
        ]
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
            let allowed = self.allowed[i];
            worst = worst
                .max(bend_p.abs() * share / allowed[0])
                .max(bend_h.abs() * share / allowed[1]);
        }
        worst
    }

    /// Takes the step: moves mass and energy by the flows at the corrected point.
    fn accept(&mut self, drive: &Drive<'_>, state: &mut LoopState, sensing: &Sensing, step_s: f64) {
        let count = self.cells.len();
        // The flows were evaluated before the last correction; carry them along their slopes.
        let lift_moved = along(&self.lift, &self.moved(sensing.volume)) - self.lift.value;
        for i in 0..count {
            let cell = &self.cells[i];
            let (leak, drawn) = (&self.leaks[i], &self.drawn[i]);
            let by = self.moved(i);
            // A last correction past the pressure outside would bring refrigerant in from nowhere.
            let lost = step_s * along(&leak.mass_flow_kg_s, &by).max(0.0);
            let drawn_kg = step_s * along(&drawn.mass_flow_kg_s, &by);
            let recovered = drawn_kg.max(0.0);
            state.lost_kg += lost;
            state.escaping_kg_s[i] = lost / step_s;
            if drive.inflow.is_some_and(|inflow| inflow.index == i) {
                let charged = (-drawn_kg).max(0.0);
                state.mass_kg[i] += charged - lost;
                state.charged_kg += charged;
            } else {
                state.mass_kg[i] -= lost + recovered;
                if drive.machine_vents {
                    state.lost_kg += recovered;
                } else {
                    state.recovered_kg += recovered;
                }
            }
            let out_w = along(&leak.enthalpy_flow_w, &by) + along(&drawn.enthalpy_flow_w, &by);
            state.energy_j[i] += step_s * (along(&cell.heat_w, &by) - out_w);
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
            let (a, b) = (self.moved(i), self.moved(next));
            let by = [a[0], a[1], b[0], b[1], lift_moved];
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
                state.pumped_kg_s = stream.pumped_kg_s;
                let suction_pa = along(&self.cells[i].at_outlet.pressure_pa, &a);
                state.stroke = drive.stroke.at(Dual::<1>::constant(suction_pa)).value;
            }
        }
        let sensed = &self.cells[sensing.volume];
        state.sensing_k = along(&sensing.temperature_k(sensed), &self.moved(sensing.volume));
        state.lift = self.lift.value + lift_moved;
        self.last_step_s = step_s;
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

/// Slopes over a volume's pressure and enthalpy, in the scales of the unknowns.
fn scaled(slopes: &[f64], factor: f64) -> Pair {
    match slopes {
        [pressure, enthalpy, ..] => [
            pressure * PRESSURE_SCALE * factor,
            enthalpy * ENTHALPY_SCALE * factor,
        ],
        _ => [0.0; 2],
    }
}
