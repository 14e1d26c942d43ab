//! A state from any two of pressure, temperature, enthalpy, entropy and quality.
//!
//! Everything rests on the density at a pressure and temperature; the other pairs are
//! one-dimensional searches along a line on which the other value is monotone, or is
//! scanned for its first crossing where it is not.

use super::equation::{Equation, Properties};
use super::error::FluidError;
use super::saturation::Saturated;
use super::search::{first_crossing, solve_increasing};
use super::sought::Sought;
use super::state::{Input, Phase, State};

/// Pressures this close (as a ratio) to the saturation line count as on it.
const ON_THE_LINE: f64 = 1e-6;
/// Steps in which a line is scanned for a first crossing.
const SCAN_STEPS: usize = 96;
/// The lowest pressure a search by enthalpy and entropy looks at, Pa.
const LOWEST_SEARCHED_PA: f64 = 1.0;
/// How far outside the range, as ratios of temperatures, such a search may pass.
const BRIDGE_COLD: f64 = 0.98;
const BRIDGE_HOT: f64 = 1.15;

impl Equation {
    /// The state with two values.
    ///
    /// Temperature with enthalpy: a mixture is preferred to compressed liquid of the
    /// same enthalpy, and otherwise the lowest pressure is taken. Enthalpy or entropy
    /// with quality: the coldest of the states is taken where there are several.
    ///
    /// # Errors
    /// Two inputs of the same kind, an input that is not finite, a quality outside 0 to
    /// 1, pressure and temperature on the saturation line, or a state outside the range
    /// of the equation. See [`FluidError`].
    ///
    /// ```
    /// use sim_core::fluid::{Equation, Input, Phase};
    /// let state = Equation::r134a()
    ///     .state(Input::Pressure(800e3), Input::Temperature(323.15))
    ///     .unwrap();
    /// assert_eq!(state.phase, Phase::Vapour);
    /// assert_eq!(state.quality, None);
    /// ```
    pub fn state(&self, a: Input, b: Input) -> Result<State, FluidError> {
        for input in [a, b] {
            self.check(input)?;
        }
        // Either order means the same; the match names each pair once.
        self.ordered(a, b)
            .or_else(|| self.ordered(b, a))
            .unwrap_or(Err(FluidError::SameKind { kind: a.kind() }))
    }

    fn check(&self, input: Input) -> Result<(), FluidError> {
        if !input.value().is_finite() {
            return Err(FluidError::NotFinite { kind: input.kind() });
        }
        let published = &self.published;
        match input {
            Input::Pressure(pressure_pa) => {
                if pressure_pa <= 0.0 || pressure_pa > published.pressure_max_pa {
                    return Err(self.outside(format!("pressure {} kPa", pressure_pa / 1e3)));
                }
            }
            Input::Temperature(temperature_k) => {
                if temperature_k < published.temperature_min_k
                    || temperature_k > published.temperature_max_k
                {
                    return Err(self.outside(format!("temperature {temperature_k} K")));
                }
            }
            Input::Quality(quality) => {
                if !(0.0..=1.0).contains(&quality) {
                    return Err(FluidError::Quality { quality });
                }
            }
            Input::Enthalpy(_) | Input::Entropy(_) => {}
        }
        Ok(())
    }

    fn ordered(&self, a: Input, b: Input) -> Option<Result<State, FluidError>> {
        use Input::{Enthalpy, Entropy, Pressure, Quality, Temperature};
        let range = (
            self.published.temperature_min_k,
            self.published.temperature_max_k,
        );
        let found = match (a, b) {
            (Pressure(p), Temperature(t)) => self.with_pressure_temperature(p, t),
            (Pressure(p), Enthalpy(h)) => self.with_pressure(p, Sought::Enthalpy(h), range),
            (Pressure(p), Entropy(s)) => self.with_pressure(p, Sought::Entropy(s), range),
            (Pressure(p), Quality(x)) => self
                .saturation_at_pressure(p)
                .map(|saturated| mixture(&saturated, x)),
            (Temperature(t), Enthalpy(h)) => self.with_temperature(t, Sought::Enthalpy(h)),
            (Temperature(t), Entropy(s)) => self.with_temperature(t, Sought::Entropy(s)),
            (Temperature(t), Quality(x)) => self
                .saturation_at_temperature(t)
                .map(|saturated| mixture(&saturated, x)),
            (Enthalpy(h), Entropy(s)) => self.with_enthalpy_entropy(h, s),
            (Enthalpy(h), Quality(x)) => self.with_quality(x, Sought::Enthalpy(h)),
            (Entropy(s), Quality(x)) => self.with_quality(x, Sought::Entropy(s)),
            _ => return None,
        };
        Some(found)
    }

    fn with_pressure_temperature(&self, p: f64, t: f64) -> Result<State, FluidError> {
        if t <= self.saturation_temperature_max_k() {
            let saturated = self.saturated(t);
            if (p / saturated.pressure_pa - 1.0).abs() < ON_THE_LINE {
                return Err(FluidError::OnSaturationLine {
                    fluid: self.published.name,
                    temperature_k: t,
                    pressure_pa: saturated.pressure_pa,
                });
            }
        }
        Ok(self.single(&self.at_pressure_temperature(p, t)))
    }

    /// The stable phase at a pressure and temperature; on the line, the vapour.
    pub(super) fn at_pressure_temperature(&self, p: f64, t: f64) -> Properties {
        let reducing = self.published.reducing_density_kg_per_m3;
        let ideal = p / (self.gas_constant_j_per_kg_k * t);
        if t <= self.saturation_temperature_max_k() {
            let saturated = self.saturated(t);
            if p > saturated.pressure_pa {
                return self.liquid(p, t, saturated.liquid.density_kg_per_m3);
            }
            return self.dense(p, t, 0.0, saturated.vapour.density_kg_per_m3, ideal);
        }
        self.dense(p, t, 0.0, 4.0 * reducing, ideal.min(reducing))
    }

    fn liquid(&self, p: f64, t: f64, from: f64) -> Properties {
        let mut high = from;
        for _ in 0..60 {
            high *= 1.05;
            if self.properties(t, high).pressure_pa > p {
                break;
            }
        }
        // A hair below the saturated density, which carries the rounding of its solution.
        self.dense(p, t, from * (1.0 - 1e-9), high, from)
    }

    /// The density between two densities that gives the pressure.
    fn dense(&self, p: f64, t: f64, low: f64, high: f64, start: f64) -> Properties {
        let density = solve_increasing(low, high, start, |density| {
            let properties = self.properties(t, density);
            (properties.pressure_pa - p, properties.pressure_drho)
        });
        self.properties(t, density)
    }

    fn single(&self, properties: &Properties) -> State {
        let hot = properties.temperature_k >= self.published.critical_temperature_k;
        let pressed = properties.pressure_pa >= self.published.critical_pressure_pa;
        // Just below the critical point, where no line is solved, density decides.
        let dense = properties.density_kg_per_m3 >= self.published.critical_density_kg_per_m3;
        let phase = match (hot, pressed) {
            (true, true) => Phase::Supercritical,
            (true, false) => Phase::Vapour,
            (false, true) => Phase::Liquid,
            (false, false) if dense => Phase::Liquid,
            (false, false) => Phase::Vapour,
        };
        State {
            temperature_k: properties.temperature_k,
            pressure_pa: properties.pressure_pa,
            enthalpy_j_per_kg: properties.enthalpy_j_per_kg,
            entropy_j_per_kg_k: properties.entropy_j_per_kg_k,
            density_kg_per_m3: properties.density_kg_per_m3,
            quality: None,
            phase,
        }
    }

    /// Temperature rises with enthalpy and with entropy at constant pressure.
    fn with_pressure(
        &self,
        p: f64,
        sought: Sought,
        range: (f64, f64),
    ) -> Result<State, FluidError> {
        let published = &self.published;
        let (mut low, mut high) = range;
        let mut start = published.critical_temperature_k;
        let triple = self.saturated(low);
        let hottest = self.saturated(self.saturation_temperature_max_k());
        // The phase on either side of the line, which `at_pressure_temperature` would
        // have to find again at each temperature.
        let mut known = None;
        if p < triple.pressure_pa {
            known = Some(Phase::Vapour);
            start = low;
        } else if p <= hottest.pressure_pa {
            let saturated = self.saturated_at_pressure(p, self.guess_temperature_k(p));
            let quality = sought.quality(&saturated);
            if (0.0..=1.0).contains(&quality) {
                return Ok(State {
                    pressure_pa: p,
                    ..mixture(&saturated, quality)
                });
            }
            start = saturated.temperature_k;
            if quality < 0.0 {
                high = saturated.temperature_k;
                known = Some(Phase::Liquid);
            } else {
                low = saturated.temperature_k;
                known = Some(Phase::Vapour);
            }
        }
        let at = |t: f64| match known {
            Some(Phase::Liquid) => self.liquid(p, t, self.saturated(t).liquid.density_kg_per_m3),
            _ => self.at_pressure_temperature(p, t),
        };
        // On the saturated side the value is within by the test of quality above.
        let open_below = known != Some(Phase::Vapour) || p < triple.pressure_pa;
        // A state of the very end of the range carries the rounding of its caller.
        let rounding = |end: &Properties| match sought {
            Sought::Enthalpy(_) => 1e-9 * end.cp_j_per_kg_k() * end.temperature_k,
            Sought::Entropy(_) => 1e-9 * end.cp_j_per_kg_k(),
        };
        if open_below {
            let end = at(low);
            if sought.value() < sought.of(&end) - rounding(&end) {
                return Err(self.sought_outside(sought, p, "below that of the lowest"));
            }
        }
        if known != Some(Phase::Liquid) {
            let end = at(high);
            if sought.value() > sought.of(&end) + rounding(&end) {
                return Err(self.sought_outside(sought, p, "above that of the highest"));
            }
        }
        let temperature = solve_increasing(low, high, start, |t| {
            let properties = at(t);
            let cp = properties.cp_j_per_kg_k();
            let slope = match sought {
                Sought::Enthalpy(_) => cp,
                Sought::Entropy(_) => cp / t,
            };
            (sought.of(&properties) - sought.value(), slope)
        });
        let found = at(temperature);
        // Just below the critical point, where no saturation line is solved, the densities
        // of an isobar can jump over the value.
        let scale = match sought {
            Sought::Enthalpy(_) => self.gas_constant_j_per_kg_k * temperature,
            Sought::Entropy(_) => self.gas_constant_j_per_kg_k,
        };
        if (sought.of(&found) - sought.value()).abs() > 1e-6 * scale {
            return Err(FluidError::NearCritical {
                fluid: published.name,
                temperature_k: published.critical_temperature_k,
                pressure_pa: published.critical_pressure_pa,
            });
        }
        Ok(self.single(&found))
    }

    fn sought_outside(&self, sought: Sought, p: f64, side: &str) -> FluidError {
        self.outside(format!(
            "{} {:.4} {} at {:.3} kPa ({side} temperature)",
            sought.kind(),
            sought.value() / 1e3,
            match sought {
                Sought::Enthalpy(_) => "kJ/kg",
                Sought::Entropy(_) => "kJ/(kg K)",
            },
            p / 1e3
        ))
    }

    /// Along an isotherm entropy falls with density but enthalpy does not, so the line
    /// is scanned from low to high pressure.
    fn with_temperature(&self, t: f64, sought: Sought) -> Result<State, FluidError> {
        let none = || self.no_such_state("temperature", sought.kind());
        let last = self
            .at_pressure_temperature(self.published.pressure_max_pa, t)
            .density_kg_per_m3;
        let along = |low: f64, high: f64| {
            first_crossing(low, high, SCAN_STEPS, |density| {
                sought.of(&self.properties(t, density)) - sought.value()
            })
            .map(|density| self.single(&self.properties(t, density)))
        };
        let thinnest = LOWEST_SEARCHED_PA / (self.gas_constant_j_per_kg_k * t);
        if t > self.saturation_temperature_max_k() {
            return along(thinnest, last).ok_or_else(none);
        }
        let saturated = self.saturated(t);
        let quality = sought.quality(&saturated);
        if (0.0..=1.0).contains(&quality) {
            return Ok(mixture(&saturated, quality));
        }
        // A state on the line can come out a rounding error outside it.
        if (-1e-9..=1.0 + 1e-9).contains(&quality) {
            return Ok(mixture(&saturated, quality.clamp(0.0, 1.0)));
        }
        along(thinnest, saturated.vapour.density_kg_per_m3)
            .or_else(|| along(saturated.liquid.density_kg_per_m3, last))
            .ok_or_else(none)
    }

    /// At constant enthalpy entropy falls with pressure, by v/T, through every phase.
    fn with_enthalpy_entropy(&self, h: f64, s: f64) -> Result<State, FluidError> {
        let none = || self.no_such_state("enthalpy", "entropy");
        let published = &self.published;
        let triple = self.saturated(published.temperature_min_k);
        // Colder than saturated vapour at the triple point there is no thin vapour.
        let lowest = if h > triple.vapour.enthalpy_j_per_kg {
            LOWEST_SEARCHED_PA
        } else {
            triple.pressure_pa
        };
        // On the way to a state within the range the line can pass above the highest
        // temperature or, in thin vapour, just below the lowest one. The equation still
        // serves as a bridge there.
        let range = (published.temperature_min_k, published.temperature_max_k);
        let bridge = (BRIDGE_COLD * range.0, BRIDGE_HOT * range.1);
        let at = |log_pressure: f64| {
            self.with_pressure(libm::exp(log_pressure), Sought::Enthalpy(h), bridge)
        };
        // A pressure at which the enthalpy lies outside even so is too high a one:
        // enthalpy at either end of the range leaves it upward in pressure.
        let excess = |log_pressure: f64| match at(log_pressure) {
            Ok(state) => {
                let volume = 1.0 / state.density_kg_per_m3;
                let slope = state.pressure_pa * volume / state.temperature_k;
                (s - state.entropy_j_per_kg_k, slope)
            }
            Err(_) => (f64::MAX, 1.0),
        };
        let low = libm::log(lowest * (1.0 + 1e-12));
        let high = libm::log(published.pressure_max_pa * (1.0 + 1e-9));
        if excess(low).0 > 0.0 || excess(high).0 < 0.0 {
            return Err(none());
        }
        let middle = libm::log(libm::sqrt(lowest.max(1e3) * published.critical_pressure_pa));
        let log_pressure = solve_increasing(low, high, middle, excess);
        let state = at(log_pressure).map_err(|_| none())?;
        let outside = state.temperature_k > range.1 * (1.0 + 1e-9)
            || state.temperature_k < range.0 * (1.0 - 1e-9);
        let missed = (state.entropy_j_per_kg_k - s).abs() > 1e-6 * self.gas_constant_j_per_kg_k;
        if outside || missed {
            return Err(none());
        }
        Ok(state)
    }

    fn with_quality(&self, quality: f64, sought: Sought) -> Result<State, FluidError> {
        let low = self.published.temperature_min_k;
        let high = self.saturation_temperature_max_k();
        first_crossing(low, high, SCAN_STEPS, |t| {
            let saturated = self.saturated(t);
            let liquid = sought.of(&saturated.liquid);
            liquid + quality * (sought.of(&saturated.vapour) - liquid) - sought.value()
        })
        .map(|t| mixture(&self.saturated(t), quality))
        .ok_or_else(|| self.no_such_state(sought.kind(), "quality"))
    }

    fn no_such_state(&self, first: &'static str, second: &'static str) -> FluidError {
        FluidError::NoSuchState {
            fluid: self.published.name,
            first,
            second,
            temperature_min_k: self.published.temperature_min_k,
            temperature_max_k: self.published.temperature_max_k,
            pressure_max_pa: self.published.pressure_max_pa,
        }
    }
}

fn mixture(saturated: &Saturated, quality: f64) -> State {
    let (liquid, vapour) = (&saturated.liquid, &saturated.vapour);
    let mix = |wet: f64, dry: f64| wet + quality * (dry - wet);
    let volume = mix(
        1.0 / liquid.density_kg_per_m3,
        1.0 / vapour.density_kg_per_m3,
    );
    State {
        temperature_k: saturated.temperature_k,
        pressure_pa: saturated.pressure_pa,
        enthalpy_j_per_kg: mix(liquid.enthalpy_j_per_kg, vapour.enthalpy_j_per_kg),
        entropy_j_per_kg_k: mix(liquid.entropy_j_per_kg_k, vapour.entropy_j_per_kg_k),
        density_kg_per_m3: 1.0 / volume,
        quality: Some(quality),
        phase: Phase::TwoPhase,
    }
}
