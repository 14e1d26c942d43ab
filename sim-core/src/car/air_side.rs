//! The air around the loop: in front of the condenser, through the box behind the dash, in the cabin.

use crate::air;
use crate::car::Car;
use crate::loop_model::layout::{EVAPORATOR_CELLS, EVAPORATOR_SHARES, Role};
use crate::loop_model::volume::Outside;
use crate::parts::cabin::CabinInflow;
use crate::parts::condenser::RATED_FACE_VELOCITY_M_S;
use crate::parts::engine_bay::relax;
use crate::parts::evaporator::{FaceExchange, MoistStream, WetFace, Wetness};
use crate::parts::moisture::Passing;
use crate::parts::outlets::DUCT_SHARES;
use crate::parts::storage::Place;

/// Time in which a vent takes the cabin's temperature with the blower off, s (from memory).
const STILL_VENT_LAG_S: f64 = 60.0;
/// Air that moves through the box by its own weight with the blower off, m³/s (from memory): what
/// warms a cold core after a stop, so that both sides of the loop come together.
const STILL_AIR_M3_S: f64 = 0.004;
/// How far air drawn forward through the radiator comes to the coolant's temperature (from memory).
const RADIATOR_SHARE: f64 = 0.4;
/// Share of the air below which a vent counts as still.
const STILL_VENT_SHARE: f64 = 0.01;

impl Car {
    /// Sets what every wall meets outside for the coming step.
    pub(super) fn set_outside(&mut self, step_s: f64) {
        let face_velocity = self.state.face_velocity_m_s;
        let density = self.outdoors.density_kg_per_m3;
        let front_air_k = self.condenser_air_on_k();
        let condenser = &self.spec.condenser;
        let streams = self.evaporator_streams();
        let opens = self.evaporator_opens();
        for (volume, outside) in self.layout.volumes.iter().zip(&mut self.outside) {
            let bay = |w_per_k: f64| Outside::Dry {
                conductance_w_per_k: w_per_k,
                air_k: self.state.bay.bay_k,
            };
            let front = |share: f64| Outside::Dry {
                conductance_w_per_k: condenser.air_side_w_per_k(share, face_velocity, density),
                air_k: front_air_k,
            };
            *outside = match volume.role {
                Role::CompressorHead => {
                    // Heat made in the body is as good as warmer air around it.
                    let loss_w_per_k = self.spec.compressor.body_loss_w_per_k;
                    let made_w = self.state.rubbing_w + self.state.motor_heat_w;
                    Outside::Dry {
                        conductance_w_per_k: loss_w_per_k,
                        air_k: self.state.bay.bay_k + made_w / loss_w_per_k,
                    }
                }
                Role::DischargeLine => bay(self.spec.discharge_line.outside_w_per_k),
                Role::Condenser(_) | Role::Subcooler => front(volume.core_share),
                Role::Receiver if self.spec.storage.place == Place::InCondenser => Outside::Dry {
                    conductance_w_per_k: self.spec.storage.outside_w_per_k
                        * (face_velocity.abs() / RATED_FACE_VELOCITY_M_S).sqrt(),
                    air_k: front_air_k,
                },
                Role::Receiver | Role::Accumulator => bay(self.spec.storage.outside_w_per_k),
                Role::LiquidLine => bay(self.spec.liquid_line.outside_w_per_k),
                Role::Evaporator(index) => Outside::Wet(self.spec.evaporator.face(
                    streams[index],
                    self.state.wetness[index],
                    EVAPORATOR_SHARES[index],
                    opens[index],
                    step_s,
                )),
                Role::SuctionLine => bay(self.spec.suction_line.outside_w_per_k),
            };
        }
    }

    /// Share of each part of the evaporator's face that lets air through.
    fn evaporator_opens(&self) -> [f64; EVAPORATOR_CELLS] {
        let evaporator = &self.spec.evaporator;
        let drowned = evaporator.drowned_share(&self.state.sump);
        let mut opens = EVAPORATOR_SHARES;
        for (open, wet) in opens.iter_mut().zip(self.state.wetness) {
            *open = evaporator.open_share(wet, *open, drowned);
        }
        opens
    }

    /// Air reaching each part of the evaporator: open parts take more of it.
    #[must_use]
    pub fn evaporator_streams(&self) -> [MoistStream; EVAPORATOR_CELLS] {
        let mut opens = self.evaporator_opens();
        for (open, share) in opens.iter_mut().zip(EVAPORATOR_SHARES) {
            *open *= share;
        }
        let open_share: f64 = opens.iter().sum();
        let volume_flow = self
            .spec
            .air_box
            .flow_m3_s(self.setup.blower_step, open_share)
            .max(STILL_AIR_M3_S);
        let cabin_share = self.spec.air_box.cabin_share(self.setup.recirculate);
        let cabin = self.state.cabin;
        let pressure_pa = self.outdoors.pressure_pa;
        let temperature_k = cabin_share * cabin.air_k + (1.0 - cabin_share) * self.intake_air_k();
        let humidity_ratio =
            cabin_share * cabin.humidity_ratio + (1.0 - cabin_share) * self.outdoors.humidity_ratio;
        let flow = volume_flow
            / air::specific_volume_m3_per_kg_da(temperature_k, humidity_ratio, pressure_pa);
        opens.map(|open| MoistStream {
            flow_kg_s: flow * open / open_share.max(1e-6),
            temperature_k,
            humidity_ratio,
            pressure_pa,
        })
    }

    /// Air entering the condenser, K: outside air and some of what has been through it. A fan that
    /// turns backwards draws the bay's air through the radiator first.
    #[must_use]
    pub fn condenser_air_on_k(&self) -> f64 {
        if self.state.face_velocity_m_s < 0.0 {
            let bay = &self.state.bay;
            return bay.bay_k + RADIATOR_SHARE * (bay.coolant_k - bay.bay_k);
        }
        let again = self
            .spec
            .fan
            .recirculation(self.setup.road_speed_m_s, self.setup.shop_fan);
        self.weather.temperature_k
            + again * (self.state.condenser_air_off_k - self.weather.temperature_k)
    }

    /// Outside air at the intake below the windscreen, K: warmed a little by the bay of a standing car.
    pub(super) fn intake_air_k(&self) -> f64 {
        let outside = self.weather.temperature_k;
        let from_bay = 0.05 / (1.0 + self.setup.road_speed_m_s / 3.0);
        outside + from_bay * (self.state.bay.bay_k - outside)
    }

    /// Everything outside the refrigerant, moved on after an accepted step.
    pub(super) fn after(&mut self, step_s: f64) {
        let front_k = self.condenser_air_on_k();
        self.after_evaporator(step_s);
        self.after_vents_and_cabin(step_s);
        self.drive_compressor(step_s);
        let sensor_goal_k = self.evaporator_sensor_goal_k();
        let state = &mut self.state;
        let face = state.face_velocity_m_s;
        let density = self.outdoors.density_kg_per_m3;
        let flow = self.spec.condenser.air_flow_kg_s(face, density);
        let heat: f64 = self
            .layout
            .volumes
            .iter()
            .zip(&self.outside)
            .zip(&state.refrigerant.wall_k)
            .filter(|((volume, _), _)| match volume.role {
                Role::Condenser(_) | Role::Subcooler => true,
                Role::Receiver => self.spec.storage.place == Place::InCondenser,
                _ => false,
            })
            .map(|((_, outside), wall_k)| match outside {
                Outside::Dry {
                    conductance_w_per_k,
                    air_k,
                } => conductance_w_per_k * (wall_k - air_k),
                Outside::Wet(_) => 0.0,
            })
            .sum();
        let rise = heat / (flow * 1006.0).max(1.0);
        state.condenser_air_off_k = relax(
            state.condenser_air_off_k,
            front_k + rise.clamp(-20.0, 60.0),
            step_s / 4.0,
        );
        state.bay = self.spec.bay.advance(
            state.bay,
            self.setup.engine_rev_s > 0.0,
            self.setup.road_speed_m_s,
            self.weather.temperature_k,
            step_s,
        );
        let lag = self.spec.controls.evaporator_sensor_lag_s;
        state.controls.evaporator_sensor_k = relax(
            state.controls.evaporator_sensor_k,
            sensor_goal_k,
            step_s / lag,
        );
        if !state.controls.relay_closed {
            state.controls.off_for_s += step_s;
        }
        self.after_loop(step_s);
        let state = &mut self.state;
        state.time_s += step_s;
    }

    /// Command, ice, debris and air drawn in after a step.
    fn after_loop(&mut self, step_s: f64) {
        if let Some(target) = &self.spec.controls.command {
            let controls = &self.state.controls;
            let commanded = if controls.relay_closed {
                target.command(controls.gathered, self.observed().evaporator_k, step_s)
            } else {
                (0.0, 0.0)
            };
            let controls = &mut self.state.controls;
            (controls.command, controls.gathered) = commanded;
        }
        let water_kg = self.state.refrigerant.water.free_kg;
        if water_kg > 0.0 {
            let behind_k = self.refrigerant_temperature_k(Role::Evaporator(0));
            let passing = Passing {
                water_share: water_kg / self.state.refrigerant.total_mass_kg().max(1e-3),
                flow_kg_s: self.valve_flow_kg_s(),
                behind_k: behind_k.unwrap_or(self.weather.temperature_k),
                bay_k: self.state.bay.bay_k,
            };
            self.state.ice = self.state.ice.advance(&passing, step_s);
        }
        let state = &mut self.state;
        let turns = state.compressor_rev_s * step_s;
        let before = state.debris;
        let filtered = self.spec.filters_liquid();
        state.debris = self.spec.debris.advance(before, turns, filtered);
        let (tubes, filter) = (
            state.debris.condenser_open() / before.condenser_open(),
            state.debris.filter_open() / before.filter_open(),
        );
        if tubes < 1.0 || filter < 1.0 {
            self.narrow(tubes, filter);
        }
        self.after_turning(turns);
    }

    fn after_evaporator(&mut self, step_s: f64) {
        let held = self.spec.evaporator.water_held_kg;
        let mut fallen = 0.0;
        self.leave_evaporator(|wetness, share, face, exchange| {
            let (wet, dripped) = face.after(exchange, held * share);
            *wetness = wet;
            fallen += dripped;
        });
        let state = &mut self.state;
        state.condensate_kg += fallen;
        state.sump = self
            .spec
            .evaporator
            .drain(state.sump, fallen, state.air_flow_kg_s, step_s);
    }

    /// Lets the air leave the evaporator as its walls are now; what that does to the water on each
    /// part, a share of the core, is left to `wet`.
    pub(super) fn leave_evaporator(
        &mut self,
        mut wet: impl FnMut(&mut Wetness, f64, &WetFace, &FaceExchange),
    ) {
        let state = &mut self.state;
        let (mut flow, mut duty) = (0.0, 0.0);
        for (volume, (outside, wall_k)) in self
            .layout
            .volumes
            .iter()
            .zip(self.outside.iter().zip(&state.refrigerant.wall_k))
        {
            if let (Role::Evaporator(index), Outside::Wet(face)) = (volume.role, outside) {
                let exchange = face.exchange(*wall_k);
                wet(
                    &mut state.wetness[index],
                    EVAPORATOR_SHARES[index],
                    face,
                    &exchange,
                );
                state.air_off_k[index] = exchange.outlet_temperature_k;
                state.air_off_humidity[index] = exchange.outlet_humidity_ratio;
                flow += face.flow_kg_s();
                duty += exchange.heat_w - exchange.freezing_kg_s * air::HEAT_OF_FUSION_J_PER_KG;
            }
        }
        state.air_flow_kg_s = flow;
        state.air_duty_w = duty;
    }

    fn after_vents_and_cabin(&mut self, step_s: f64) {
        let streams = self.evaporator_streams();
        let state = &mut self.state;
        let half = EVAPORATOR_CELLS / 2;
        let blown = |parts: std::ops::Range<usize>, of: &[f64; EVAPORATOR_CELLS]| {
            let flow: f64 = streams[parts.clone()].iter().map(|s| s.flow_kg_s).sum();
            let sum: f64 = streams[parts.clone()]
                .iter()
                .zip(&of[parts])
                .map(|(s, of)| s.flow_kg_s * of)
                .sum();
            (flow > 1e-6).then(|| sum / flow)
        };
        let core_k = blown(0..EVAPORATOR_CELLS, &state.air_off_k);
        let humidity = blown(0..EVAPORATOR_CELLS, &state.air_off_humidity);
        let mut inflow = CabinInflow {
            supply_kg_s: 0.0,
            supply_k: state.cabin.air_k,
            supply_humidity_ratio: humidity.unwrap_or(state.cabin.humidity_ratio),
            outside_k: self.weather.temperature_k,
            outside_humidity_ratio: self.outdoors.humidity_ratio,
            sun_w_per_m2: self.weather.sun_w_per_m2,
            open: self.setup.doors_open,
        };
        if let Some(core_k) = core_k {
            let air_box = &self.spec.air_box;
            let coolant = state.bay.coolant_k;
            let asked = self
                .setup
                .temperature
                .heater_share(core_k, coolant, state.cabin.air_k);
            let capacity = state.air_flow_kg_s * 1010.0;
            let heater = air_box.heated_share(asked, capacity);
            let left = blown(0..half, &state.air_off_k).unwrap_or(core_k);
            let right = blown(half..EVAPORATOR_CELLS, &state.air_off_k).unwrap_or(core_k);
            let cabin_k = state.cabin.air_k;
            // A duct of a share of the whole ducting, with a share of the air.
            let through_duct = |was_k: f64, core: f64, duct: f64, air: f64| {
                let (capacity, gain) = (air * capacity, duct * air_box.duct_gain_w_per_k);
                let heated = core + heater * (coolant - core);
                let warmed = heated + gain / (capacity + gain) * (cabin_k - heated);
                let lag = duct * air_box.duct_heat_capacity_j_per_k / capacity;
                relax(was_k, warmed, step_s / lag)
            };
            let air = air_box.outlets.shares();
            let air = [air.left, air.centre, air.right];
            for (index, core) in [left, core_k, right].into_iter().enumerate() {
                let vent = &mut state.vents_k[index];
                *vent = if air[index] > STILL_VENT_SHARE {
                    through_duct(*vent, core, DUCT_SHARES[index], air[index])
                } else {
                    relax(*vent, cabin_k, step_s / STILL_VENT_LAG_S)
                };
            }
            state.supply_k = through_duct(state.supply_k, core_k, 1.0, 1.0);
            inflow.supply_kg_s = state.air_flow_kg_s;
            // Drops in the air boil off in the cabin, with the air's own heat.
            let mist = state.sump.mist_kg_s / state.air_flow_kg_s;
            inflow.supply_humidity_ratio += mist;
            inflow.supply_k = state.supply_k
                - mist * air::VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG
                    / air::moist_heat_capacity_j_per_kg_k(inflow.supply_humidity_ratio);
        } else {
            for k in state.vents_k.iter_mut().chain([&mut state.supply_k]) {
                *k = relax(*k, state.cabin.air_k, step_s / STILL_VENT_LAG_S);
            }
        }
        state.cabin = self.spec.cabin.advance(state.cabin, &inflow, step_s);
    }
}
