//! How long each step of a repair takes on the shop clock (common practice, no source).

use crate::action::Work;

/// Share of a job's time that taking the part off takes; the rest is putting one on.
const REMOVING_SHARE: f64 = 0.5;
/// Time at the counter, s.
const COMPARE_S: f64 = 180.0;
/// Time to read the service page, s.
const READ_S: f64 = 120.0;
/// Time to change seals, caps or what is carried over, s.
const SMALL_S: f64 = 120.0;
/// Time to make a part's joints, s.
const TORQUE_S: f64 = 90.0;
/// Time to flush a part with a machine, s (common practice, no source).
const FLUSH_S: f64 = 900.0;
/// Time to measure oil and pour it, s.
const OIL_S: f64 = 240.0;
/// Time for someone qualified to isolate the high voltage, wait and prove it dead, s (common practice, no source).
const ISOLATE_S: f64 = 1800.0;
/// Time to turn the hub three times, s.
const HUB_S: f64 = 60.0;
/// Time to connect a gas bottle with its regulator and press the loop, s.
const PRESS_S: f64 = 240.0;
/// Time to let the gas out, s.
const LET_OUT_S: f64 = 120.0;
/// Time to write the bill and hand the keys over, s.
const HAND_OVER_S: f64 = 120.0;

impl Work {
    /// Shop time a step takes, s.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        match self {
            Self::ServiceData => READ_S,
            Self::Compare(_) => COMPARE_S,
            Self::Remove(job) => REMOVING_SHARE * job.info().seconds,
            Self::Fit(job, _) => (1.0 - REMOVING_SHARE) * job.info().seconds,
            Self::Mend(job) => job.info().seconds,
            Self::CarryOver(_) | Self::Seal(..) | Self::Caps(_) => SMALL_S,
            Self::Torque(..) => TORQUE_S,
            Self::Flush(_) => FLUSH_S,
            Self::AddOil(..) | Self::DrainOil(_) => OIL_S,
            Self::CallIn => ISOLATE_S,
            Self::TurnHub => HUB_S,
            Self::Press(..) => PRESS_S,
            Self::LetOut => LET_OUT_S,
            Self::HandOver => HAND_OVER_S,
        }
    }
}
