//! What an infrared thermometer shows of a surface: radiance, weighted by emissivity.
//!
//! Band-total radiation by Stefan and Boltzmann, which goes with T⁴; a real thermometer sees 8 to
//! 14 µm only, which changes the weights a little and no sign.

/// Emissivity the instrument is set to: fixed on plain ones (common practice, no source).
const SET_EMISSIVITY: f64 = 0.95;
/// Emissivity of a dull black surface: tape, rubber, paint (common practice, no source).
pub(super) const DULL: f64 = 0.95;
/// Emissivity of a bright aluminium pipe (common practice, no source: 0.05 to 0.2).
pub(super) const BRIGHT: f64 = 0.1;
/// Distance from which the spot is measured with care, m.
pub(super) const NEAR_M: f64 = 0.08;
/// Distance of somebody who does not bend down, m.
pub(super) const FAR_M: f64 = 0.6;
/// Distance to spot: a spot of 1 at a distance of 12 (common practice, no source).
const DISTANCE_TO_SPOT: f64 = 12.0;
/// Width of a pipe of the loop, m (common practice, no source).
const PIPE_M: f64 = 0.012;

/// Where an infrared thermometer is pointed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scene {
    /// Temperature of the surface meant, K.
    pub surface_k: f64,
    /// Its emissivity.
    pub emissivity: f64,
    /// Share of the spot it fills; the rest is the dull background.
    pub share: f64,
    /// Temperature of what is around: background, and mirrored in the surface, K.
    pub around_k: f64,
    /// Temperature of the instrument, which it takes for that of what is mirrored, K.
    pub instrument_k: f64,
}

/// Temperature shown, K: ε_set T⁴ = F (ε T_surface⁴ + (1 − ε) T_around⁴) + (1 − F) T_around⁴ − (1 − ε_set) T_instrument⁴.
#[must_use]
pub fn shown_k(scene: &Scene) -> f64 {
    let fourth = |k: f64| k * k * k * k;
    let surface = scene.emissivity * fourth(scene.surface_k)
        + (1.0 - scene.emissivity) * fourth(scene.around_k);
    let seen = scene.share * surface + (1.0 - scene.share) * fourth(scene.around_k);
    let own = (1.0 - SET_EMISSIVITY) * fourth(scene.instrument_k);
    ((seen - own).max(0.0) / SET_EMISSIVITY).sqrt().sqrt()
}

/// Share of a round spot that a pipe through its middle fills, from a distance.
///
/// A strip of width w in a circle of diameter d: (2/π) (asin x + x √(1 − x²)), x = w/d.
#[must_use]
pub fn pipe_share(distance_m: f64) -> f64 {
    let x = (PIPE_M * DISTANCE_TO_SPOT / distance_m).min(1.0);
    2.0 / std::f64::consts::PI * (libm::asin(x) + x * (1.0 - x * x).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A strip as wide as the circle fills it; a thin one fills 4 w / (π d) of it.
    #[test]
    fn the_share_of_the_spot_is_a_strip_in_a_circle() {
        assert!((pipe_share(NEAR_M) - 1.0).abs() < 1e-12);
        let far_m = 14.4;
        assert!((pipe_share(far_m) / (0.04 / std::f64::consts::PI) - 1.0).abs() < 1e-3);
    }

    /// With the emissivity it is set to, and everything around as warm as itself, it shows the truth.
    #[test]
    fn a_dull_surface_shows_its_temperature() {
        let scene = Scene {
            surface_k: 350.0,
            emissivity: DULL,
            share: 1.0,
            around_k: 300.0,
            instrument_k: 300.0,
        };
        assert!((shown_k(&scene) - 350.0).abs() < 1e-9);
    }
}
