//! Where the air leaves the box: vents in the dash, and the ways that a fault opens instead.
//!
//! Ways side by side under one pressure: V_i = k_i √Δp, so that conductances k add and way i takes
//! k_i / Σ k of the air. k is in parts of what a sound box with the doors set to the dash has, a share
//! without a unit. Source: parallel turbulent resistances, textbook; the k of open ends, floor and screen are
//! common practice, no source. Range: shares of 0 to 1 for every fault; a mode door turned right away
//! leaves 0.04 to the dash, so that Σ k is never 0 and no division fails.

/// Faults of ducts and of the mode door; a sound box set to the dash is all zeros.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outlets {
    /// Share of the left vent's passage that is shut: vent closed, duct squashed.
    pub left_shut: f64,
    /// Share of the right duct's joint that has come apart.
    pub right_loose: f64,
    /// Share of the mode door's way from the dash to the floor.
    pub to_floor: f64,
    /// Share of the mode door's way from the dash to the windscreen.
    pub to_screen: f64,
}

/// Share of the box's air that leaves at each place; together 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutletShares {
    /// Left vent.
    pub left: f64,
    /// The two vents in the middle of the dash together.
    pub centre: f64,
    /// Right vent.
    pub right: f64,
    /// Behind the dash, out of a loose joint.
    pub behind: f64,
    /// Floor.
    pub floor: f64,
    /// Windscreen.
    pub screen: f64,
}

impl OutletShares {
    /// Share that comes out of the dash.
    #[must_use]
    pub fn dash(&self) -> f64 {
        self.left + self.centre + self.right
    }
}

/// Conductance of the left, centre and right ducts of a sound box, as shares of all three: four
/// vents alike, two of them in the middle.
pub const DUCT_SHARES: [f64; 3] = [0.25, 0.5, 0.25];
/// Conductance of a duct's open end against the duct with its vent (common practice, no source).
const OPEN_END: f64 = 1.6;
/// Conductance of the floor outlets against all the dash's (common practice, no source).
const FLOOR: f64 = 0.9;
/// Conductance of the windscreen outlets against all the dash's (common practice, no source).
const SCREEN: f64 = 0.7;
/// Conductance that a mode door turned right away leaves to the dash (common practice, no source).
const DOOR_SEAL: f64 = 0.04;

impl Outlets {
    /// Conductances of the six ways out. Between the case and the cabin they lie side by side, so
    /// that flows under one pressure add: flow is conductance times the root of the pressure.
    fn conductances(&self) -> OutletShares {
        let dash = ((1.0 - self.to_floor) * (1.0 - self.to_screen)).max(DOOR_SEAL);
        let [left, centre, right] = DUCT_SHARES;
        OutletShares {
            left: left * (1.0 - self.left_shut) * dash,
            centre: centre * dash,
            right: right * (1.0 - self.right_loose) * dash,
            behind: right * OPEN_END * self.right_loose * dash,
            floor: FLOOR * self.to_floor,
            screen: SCREEN * self.to_screen,
        }
    }

    /// Conductance of all the ways out together; 1 for a sound box.
    #[must_use]
    pub fn conductance(&self) -> f64 {
        let ways = self.conductances();
        ways.dash() + ways.behind + ways.floor + ways.screen
    }

    /// How the air is shared.
    #[must_use]
    pub fn shares(&self) -> OutletShares {
        let ways = self.conductances();
        let all = self.conductance();
        OutletShares {
            left: ways.left / all,
            centre: ways.centre / all,
            right: ways.right / all,
            behind: ways.behind / all,
            floor: ways.floor / all,
            screen: ways.screen / all,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_box_blows_alike_from_four_vents() {
        let sound = Outlets::default();
        assert_eq!(sound.conductance(), 1.0);
        let shares = sound.shares();
        assert_eq!(shares.dash(), 1.0);
        assert_eq!([shares.left, shares.centre, shares.right], DUCT_SHARES);
    }

    #[test]
    fn air_goes_where_it_can() {
        let shut = Outlets {
            left_shut: 1.0,
            ..Outlets::default()
        };
        assert!(shut.conductance() < 1.0 && shut.shares().left == 0.0);
        assert!(shut.shares().right > 0.25);
        let loose = Outlets {
            right_loose: 1.0,
            ..Outlets::default()
        };
        assert!(loose.shares().right == 0.0 && loose.shares().behind > 0.25);
        assert!(loose.shares().left < 0.25);
        let turned = Outlets {
            to_floor: 1.0,
            ..Outlets::default()
        };
        assert!(turned.shares().dash() < 0.1 && turned.shares().floor > 0.9);
    }

    #[test]
    fn no_air_is_lost() {
        for (left, right, floor, screen) in [
            (0.3, 0.0, 0.2, 0.0),
            (1.0, 1.0, 1.0, 1.0),
            (0.0, 0.6, 0.0, 0.9),
        ] {
            let shares = Outlets {
                left_shut: left,
                right_loose: right,
                to_floor: floor,
                to_screen: screen,
            }
            .shares();
            let all = shares.dash() + shares.behind + shares.floor + shares.screen;
            assert!((all - 1.0).abs() < 1e-12, "{shares:?}");
        }
    }
}
