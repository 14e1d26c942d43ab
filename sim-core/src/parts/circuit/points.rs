//! Where a meter's leads reach the clutch circuit, and what lies between.
//!
//! Names and shares only: a link has its share of the car's wiring resistance, Ω (common practice, no
//! source), the shares making 1 with the battery's own. The voltages come from [`super::network`].

/// A place a lead can be put on; its number is the node of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// The battery's negative post.
    BatteryNegative = 0,
    // 1 is the battery's inside, out of any lead's reach.
    /// The battery's positive post.
    BatteryPost = 2,
    /// The fuse's feed side.
    FuseIn,
    /// The fuse's other side.
    FuseOut,
    /// The relay's contact that is fed.
    RelayFeed,
    /// The relay's contact that feeds the clutch.
    RelayOutput,
    /// The clutch plug's feed pin, harness side.
    PlugHarness,
    /// The clutch plug's feed pin, coil side.
    PlugCoil,
    /// The coil's ground side.
    CoilGround,
    /// Engine and body, where the ground strap starts.
    EngineGround,
    /// The feed of the relay's own coil.
    RelayCoilFeed,
    /// The wire by which the control draws the relay's coil to ground.
    RelayControl,
}

/// Nodes of the network: the points, and the source behind the battery's resistance.
pub const NODES: usize = Point::RelayControl as usize + 1;

/// A stretch of the clutch's supply and ground, between two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Link {
    /// Cable from the battery to the fuse box.
    Feed,
    /// The fuse with its holder.
    Fuse,
    /// From the fuse to the relay's socket.
    FuseToRelay,
    /// The relay's contacts.
    Relay,
    /// Wire from the relay to the clutch's plug.
    Harness,
    /// The plug's feed pin.
    Plug,
    /// The coil's ground: wire and eyelet.
    Ground,
    /// Strap from the engine to the battery.
    Strap,
}

impl Link {
    /// Every link, from the battery round to it again.
    pub const ALL: [Self; 8] = [
        Self::Feed,
        Self::Fuse,
        Self::FuseToRelay,
        Self::Relay,
        Self::Harness,
        Self::Plug,
        Self::Ground,
        Self::Strap,
    ];

    /// Its ends, the one nearer to the positive post first.
    #[must_use]
    pub fn ends(self) -> (Point, Point) {
        match self {
            Self::Feed => (Point::BatteryPost, Point::FuseIn),
            Self::Fuse => (Point::FuseIn, Point::FuseOut),
            Self::FuseToRelay => (Point::FuseOut, Point::RelayFeed),
            Self::Relay => (Point::RelayFeed, Point::RelayOutput),
            Self::Harness => (Point::RelayOutput, Point::PlugHarness),
            Self::Plug => (Point::PlugHarness, Point::PlugCoil),
            Self::Ground => (Point::CoilGround, Point::EngineGround),
            Self::Strap => (Point::EngineGround, Point::BatteryNegative),
        }
    }

    /// Share of a sound car's wiring resistance, the battery's own included, that lies here
    /// (common practice, no source: long thin wires have most, a 10 A fuse about 8 mΩ).
    #[must_use]
    pub fn wiring_share(self) -> f64 {
        match self {
            Self::Feed => 0.10,
            Self::Fuse => 0.10,
            Self::FuseToRelay => 0.05,
            Self::Relay => 0.10,
            Self::Harness => 0.30,
            // The plug's own resistance stands in a vehicle's file.
            Self::Plug => 0.0,
            Self::Ground => 0.20,
            Self::Strap => 0.10,
        }
    }
}

/// The share left for the battery's inside.
pub const SOURCE_SHARE: f64 = 0.05;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shares_are_a_whole() {
        let links: f64 = Link::ALL.iter().map(|link| link.wiring_share()).sum();
        assert!((links + SOURCE_SHARE - 1.0).abs() < 1e-12);
    }
}
