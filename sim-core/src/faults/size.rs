//! Sizes of parts: what a knob has made of a part that another was fitted for, read back off the car.

use crate::faults::Knob;
use crate::parts::expansion::Expansion;
use crate::spec::CarSpec;

impl Knob {
    /// Size of the part on a car against that on a `sound` one, where the knob is one that only another part
    /// turns: no wear makes a condenser or an orifice smaller. Nothing for any other knob, or where a car has
    /// no such part.
    ///
    /// ```
    /// use sim_core::faults::Knob;
    /// use sim_core::spec::CarSpec;
    /// let sound = CarSpec::example();
    /// let mut car = sound.clone();
    /// Knob::CondenserSize.turn(&mut car, 0.78);
    /// let size = Knob::CondenserSize.size_of(&car, &sound);
    /// assert!(size.is_some_and(|size| (size - 0.78).abs() < 1e-12));
    /// assert_eq!(Knob::BeltSlip.size_of(&car, &sound), None);
    /// ```
    #[must_use]
    pub fn size_of(self, car: &CarSpec, sound: &CarSpec) -> Option<f64> {
        let size = |spec: &CarSpec| match self {
            Self::CondenserSize => Some(spec.condenser.volume_m3),
            Self::CompressorSize => Some(spec.compressor.displacement_m3),
            Self::OrificeSize => match &spec.expansion {
                Expansion::Orifice(tube) => Some(tube.area_m2),
                Expansion::Valve(_) => None,
            },
            _ => None,
        };
        Some(size(car)? / size(sound)?)
    }
}
