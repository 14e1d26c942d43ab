//! What lies beside the counter's parts: the service page, and the part that came off the car.

use sim_core::repair::Job;
use sim_core::spec::CarSpec;

use super::{Counter, CounterPart, Feature, Other, OtherOutcome, Own};
use crate::Vehicle;

/// What an old part shows of a feature that only a part fresh from its box has.
const USED: &str = "as it came off the car";

/// How near a size has to be to count as that size: no two sizes of a part are so near each other.
const SIZES_DIFFER_BY: f64 = 0.02;

impl Counter {
    /// What the service page asks for of a part, feature by feature: once for every version that the model is
    /// made with, since the page is the model's and not one car's.
    #[must_use]
    pub fn page(&self, vehicle: &Vehicle, job: Job) -> Vec<Vec<(String, String)>> {
        let asked = |version: &Vehicle| {
            self.told(version, job, |feature| match feature.own {
                Own::Measured(measure) => measure.of(&version.spec),
                Own::Vehicle | Own::Words(_) => {
                    version.feature(job, &feature.name).map(str::to_owned)
                }
            })
        };
        let mut pages: Vec<Vec<(String, String)>> = Vec::new();
        for version in vehicle.condensers() {
            let page = vehicle.built_with(&version.id).as_ref().map(asked);
            // Only a condenser has versions: of any other part they all say the same.
            pages.extend(page.filter(|page| !pages.contains(page)));
        }
        pages
    }

    /// What the part of a car shows, feature by feature: what is measured is measured on it, and where it is
    /// of another size than the `sound` car's, it shows what the nearest look-alike shows.
    ///
    /// ```
    /// use sim_core::faults::Knob;
    /// use sim_core::repair::Job;
    /// let bank = scenarios::Bank::builtin()?;
    /// let saloon = bank.vehicle("saloon").unwrap();
    /// let mut car = saloon.spec.clone();
    /// Knob::CondenserSize.turn(&mut car, 0.75);
    /// let old = bank.counter().on_car(saloon, Job::Condenser, &car, &saloon.spec);
    /// assert!(old.contains(&("tubes".to_owned(), "28 tubes".to_owned())));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn on_car(
        &self,
        vehicle: &Vehicle,
        job: Job,
        car: &CarSpec,
        sound: &CarSpec,
    ) -> Vec<(String, String)> {
        let Some(part) = self.part(job) else {
            return Vec::new();
        };
        let look_alike = part.of_the_size_of(car, sound);
        self.told(vehicle, job, |feature| {
            if let Own::Measured(measure) = feature.own {
                return measure.of(car);
            }
            let own = vehicle.feature(job, &feature.name)?;
            let other = look_alike.filter(|other| other.feature == feature.name);
            let shown = other.and_then(|other| other.shows_beside(own));
            Some(shown.unwrap_or(own).to_owned())
        })
    }

    /// What a part shows once it has been on a car: nothing any more of how it was delivered.
    #[must_use]
    pub fn used(&self, job: Job, mut features: Vec<(String, String)>) -> Vec<(String, String)> {
        let known = self.part(job).into_iter().flat_map(|part| &part.features);
        for new_only in known.filter(|feature| feature.delivered) {
            for (_, shown) in features
                .iter_mut()
                .filter(|(name, _)| *name == new_only.name)
            {
                USED.clone_into(shown);
            }
        }
        features
    }

    /// What somebody says of each feature that is compared on a vehicle.
    fn told(
        &self,
        vehicle: &Vehicle,
        job: Job,
        says: impl Fn(&Feature) -> Option<String>,
    ) -> Vec<(String, String)> {
        let part = self.part(job).into_iter();
        let features = part.flat_map(|part| part.features_on(&vehicle.spec));
        features
            .filter_map(|feature| Some((feature.name.clone(), says(feature)?)))
            .collect()
    }
}

impl CounterPart {
    /// The look-alike whose size a car's part comes nearest to, where it has not the sound car's.
    fn of_the_size_of(&self, car: &CarSpec, sound: &CarSpec) -> Option<&Other> {
        let mut nearest: Option<(f64, &Other)> = None;
        for other in &self.others {
            let OtherOutcome::Fits(knobs) = &other.outcome else {
                continue;
            };
            for (knob, value) in knobs {
                let Some(size) = knob.size_of(car, sound) else {
                    continue;
                };
                let same_side = (size > 1.0) == (*value > 1.0);
                let off = (size / value).max(value / size);
                if (size - 1.0).abs() > SIZES_DIFFER_BY
                    && same_side
                    && nearest.is_none_or(|(least, _)| off < least)
                {
                    nearest = Some((off, other));
                }
            }
        }
        nearest.map(|(_, other)| other)
    }
}
