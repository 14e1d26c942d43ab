//! The clutch coil's circuit: battery, fuse, relay, harness, plug, coil and ground in a row, and
//! beside it the relay's own coil, which the control draws to ground.
//!
//! Every link is a resistance, and the voltage of every point comes from Kirchhoff's current law
//! (see [`network`]). Ranges: 0 to 16 V, resistances from 0.1 mΩ up; a gap of air is infinite.

pub mod network;
pub mod points;
mod relay;

pub use points::{Link, Point};

use network::{Network, RETURN, SOURCE};
use points::{NODES, SOURCE_SHARE};

/// What the circuit feeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feeds {
    /// A winding: the clutch's, or without a clutch the control valve's.
    Winding,
    /// The electronics of a motor's inverter, which draw as a resistance does.
    Electronics,
}

/// Parameters of the circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct ClutchCircuit {
    /// What it feeds; the fields call it the coil.
    pub feeds: Feeds,
    /// Resistance of the coil at 20 °C, Ω.
    pub coil_ohm: f64,
    /// Resistance of a sound car's battery, wires, fuse, relay contacts and ground together, Ω.
    pub wiring_ohm: f64,
    /// Current that blows the fuse, A.
    pub fuse_a: f64,
    /// Resistance of the plug's feed pin, Ω.
    pub connector_ohm: f64,
    /// Resistance of the relay's own coil, Ω.
    pub relay_coil_ohm: f64,
    /// Share of the clutch coil's turns shorted.
    pub shorted_share: f64,
    /// Resistance added by a broken winding of the clutch coil, Ω.
    pub open_ohm: f64,
    /// What faults have done to the rest.
    pub condition: Condition,
}

/// What faults do to the circuit; all zero on a sound car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Resistance of a break in the fuse's element, Ω.
    pub fuse_element_ohm: f64,
    /// Resistance added in the fuse's holder, Ω.
    pub fuse_holder_ohm: f64,
    /// Resistance added at the relay's contacts, Ω.
    pub relay_contact_ohm: f64,
    /// Volts the relay's coil needs beyond the usual to pull in, V.
    pub relay_pull_in_v: f64,
    /// Force of a weld between the relay's contacts, as a share of the spring that opens them.
    pub relay_weld: f64,
    /// Resistance added in the relay's own coil, Ω.
    pub relay_coil_open_ohm: f64,
    /// Resistance added in the wire from relay to plug, Ω.
    pub harness_ohm: f64,
    /// Resistance added at the coil's ground, Ω.
    pub ground_ohm: f64,
    /// Share of the spring's grip that the plug's feed pin has lost.
    pub grip_lost: f64,
    /// How far below [`WINDING_LIMIT_K`] a cracked winding parts, K; 0 for a sound one.
    pub parts_below_limit_k: f64,
}

/// Battery with the engine off, V (common practice, no source).
pub const RESTING_VOLTAGE_V: f64 = 12.6;
/// Battery with the alternator charging, V (common practice, no source).
pub const CHARGING_VOLTAGE_V: f64 = 14.1;
/// Resistance of a multimeter on volts, Ω (common practice, no source).
pub const METER_OHM: f64 = 10e6;
/// Resistance of a part that is open, as an ohmmeter's over-range tells it, Ω.
pub const OPEN_OHM: f64 = 1e9;
/// Temperature from which a cracked winding's parting is counted down, K: 200 °C, beyond the
/// 180 °C of insulation class H (IEC 60085; from memory).
pub const WINDING_LIMIT_K: f64 = 473.15;
/// Cooling after which a parted winding touches again, K (from memory).
const TOUCHES_AGAIN_K: f64 = 6.0;
/// Rise of copper's resistance for each kelvin above 20 °C (IEC 60228 annex, 0.00393).
const COPPER_PER_K: f64 = 0.003_93;
/// Engine speed whose shaking would part a sound pin, turns per second: well beyond any engine
/// (9000 rpm; from memory).
const SHAKES_OPEN_REV_S: f64 = 150.0;
/// Ignition switch and its wire to the relay's coil, Ω (from memory).
const IGNITION_OHM: f64 = 0.3;
/// The control's transistor, switched on, Ω (from memory).
const DRIVER_OHM: f64 = 0.6;

/// What the circuit meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// Battery's voltage without load, V.
    pub source_v: f64,
    /// Ignition on.
    pub ignition: bool,
    /// The control draws the relay's coil to ground.
    pub driven: bool,
    /// Fuse whole.
    pub fuse_whole: bool,
    /// Temperature of the clutch coil, K.
    pub coil_k: f64,
    /// Engine speed, turns per second: what shakes the plug.
    pub engine_rev_s: f64,
}

/// The circuit solved.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CircuitState {
    /// Current through the coil, A.
    pub current_a: f64,
    /// Voltage across the plug, feed pin of the harness against ground pin, V.
    pub connector_v: f64,
    /// Resistance between the unplugged coil's pins, Ω.
    pub coil_ohm: f64,
    /// The relay's contacts touch.
    pub contacts_closed: bool,
    /// A cracked winding has parted with heat.
    pub parted: bool,
}

impl ClutchCircuit {
    /// Resistance of the coil at a temperature, its winding not parted, Ω:
    /// R = R₂₀ (1 + α (T − 20 °C)), less the turns shorted, and a break in series.
    #[must_use]
    pub fn coil_resistance_ohm(&self, coil_k: f64) -> f64 {
        let copper = match self.feeds {
            Feeds::Winding => 1.0 + COPPER_PER_K * (coil_k - 293.15),
            Feeds::Electronics => 1.0,
        };
        self.coil_ohm * copper * (1.0 - self.shorted_share).max(0.01) + self.open_ohm
    }

    /// Current of a sound coil at 20 °C, nothing amiss in its circuit and the engine running, A.
    #[must_use]
    pub fn cold_coil_a(&self) -> f64 {
        CHARGING_VOLTAGE_V / (self.coil_ohm + self.wiring_ohm)
    }

    /// Resistance of a link, Ω; infinite where it is open.
    #[must_use]
    pub fn link_ohm(&self, link: Link, feed: &Feed, contacts_closed: bool) -> f64 {
        let condition = &self.condition;
        let sound = self.wiring_ohm * link.wiring_share();
        match link {
            Link::Fuse if !feed.fuse_whole => f64::INFINITY,
            Link::Fuse => sound + condition.fuse_element_ohm + condition.fuse_holder_ohm,
            Link::Relay if !contacts_closed => f64::INFINITY,
            Link::Relay => sound + condition.relay_contact_ohm,
            Link::Harness => sound + condition.harness_ohm,
            Link::Plug => self.plug_ohm(feed.engine_rev_s),
            Link::Ground => sound + condition.ground_ohm,
            Link::Feed | Link::FuseToRelay | Link::Strap => sound,
        }
    }

    /// Resistance of the plug's feed pin, Ω.
    ///
    /// A contact's resistance goes as the inverse root of its force (Holm, Electric Contacts,
    /// 4th ed.); shaking goes as the square of engine speed, and parts the pin where it
    /// outdoes the force left.
    fn plug_ohm(&self, engine_rev_s: f64) -> f64 {
        let grip = (1.0 - self.condition.grip_lost).max(1e-6);
        let speed = engine_rev_s / SHAKES_OPEN_REV_S;
        if self.condition.grip_lost > 0.0 && speed * speed > grip {
            f64::INFINITY
        } else {
            self.connector_ohm / grip.sqrt()
        }
    }

    /// Whether the fuse's element lets current through.
    #[must_use]
    pub fn fuse_conducts(&self, fuse_whole: bool) -> bool {
        fuse_whole && self.condition.fuse_element_ohm < 1.0
    }

    /// Whether a cracked winding is parted, from what it was and the coil's temperature.
    fn parted(&self, was: bool, coil_k: f64) -> bool {
        let below = self.condition.parts_below_limit_k;
        let parts_at_k = WINDING_LIMIT_K - below;
        let again_k = if was { TOUCHES_AGAIN_K } else { 0.0 };
        below > 0.0 && coil_k > parts_at_k - again_k
    }

    /// Voltage of every point, V, with a meter between two of them or none.
    ///
    /// `state` says how relay contacts and winding stand.
    #[must_use]
    pub fn volts(
        &self,
        feed: &Feed,
        state: &CircuitState,
        meter: Option<(Point, Point)>,
    ) -> [f64; NODES] {
        let mut network = Network::<NODES>::default();
        let mut join = |one: Point, other: Point, ohm: f64| {
            network.join(one as usize, other as usize, ohm);
        };
        for link in Link::ALL {
            let (one, other) = link.ends();
            join(one, other, self.link_ohm(link, feed, state.contacts_closed));
        }
        let open = |closed: bool, ohm: f64| if closed { ohm } else { f64::INFINITY };
        join(
            Point::PlugCoil,
            Point::CoilGround,
            open(!state.parted, self.coil_resistance_ohm(feed.coil_k)),
        );
        join(
            Point::BatteryPost,
            Point::RelayCoilFeed,
            open(feed.ignition, IGNITION_OHM),
        );
        join(
            Point::RelayCoilFeed,
            Point::RelayControl,
            self.relay_coil_resistance_ohm(),
        );
        join(
            Point::RelayControl,
            Point::BatteryNegative,
            open(feed.ignition && feed.driven, DRIVER_OHM),
        );
        if let Some((red, black)) = meter {
            join(red, black, METER_OHM);
        }
        network.join(
            SOURCE,
            Point::BatteryPost as usize,
            self.wiring_ohm * SOURCE_SHARE,
        );
        debug_assert_eq!(Point::BatteryNegative as usize, RETURN);
        network.solve(feed.source_v)
    }

    /// Lets winding and relay take their position and solves the circuit, from how it was.
    #[must_use]
    pub fn solve(&self, was: &CircuitState, feed: &Feed) -> CircuitState {
        let mut state = CircuitState {
            parted: self.parted(was.parted, feed.coil_k),
            ..*was
        };
        let mut volts = self.volts(feed, &state, None);
        let at = |volts: &[f64; NODES], point: Point| volts[point as usize];
        let relay_v = at(&volts, Point::RelayCoilFeed) - at(&volts, Point::RelayControl);
        // What a break takes of the voltage magnetises nothing.
        let turns_v = relay_v * self.relay_coil_ohm / self.relay_coil_resistance_ohm();
        state.contacts_closed = self.relay_closes(was.contacts_closed, turns_v);
        if state.contacts_closed != was.contacts_closed {
            volts = self.volts(feed, &state, None);
        }
        let coil_ohm = self.coil_resistance_ohm(feed.coil_k);
        let coil_v = at(&volts, Point::PlugCoil) - at(&volts, Point::CoilGround);
        state.current_a = if state.parted { 0.0 } else { coil_v / coil_ohm };
        state.coil_ohm = if state.parted { OPEN_OHM } else { coil_ohm };
        state.connector_v = at(&volts, Point::PlugHarness) - at(&volts, Point::CoilGround);
        state
    }
}

#[cfg(test)]
mod tests;
