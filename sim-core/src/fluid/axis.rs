//! The pressure axis of the fast table: where a pressure lies, and what weighs there.
//!
//! Up to the seam, just below the critical pressure, nodes are equally spaced in
//! √(ln(p_reach/p)) with p_reach just above the critical pressure. Low pressures are then
//! spaced about evenly in their logarithm, and near the critical point, where saturated
//! densities run together as a square root of the distance in pressure, the nodes crowd
//! so that cubics can follow. Above the seam, where nothing tabulated bends like a square
//! root (see [`super::near_critical`]), nodes are equally spaced in ln(p − p_seam + a). They
//! start as far apart as at the seam, so that a slope per node means the same on both sides.
//!
//! Outside the nodes the axis goes on so that every finite pressure has a place:
//!
//! - below the lowest node the place eases into a constant, so that the boiling line
//!   stops a few kelvin colder and vapour is an ideal gas; under [`FLOOR_PA`] the pressure
//!   eases into a constant too, so that density stays positive;
//! - above the highest node everything is linear in p, but eases into a constant within
//!   [`EASE_ABOVE_PA`]. What is left of the pressure is the `excess`, on which the table
//!   lays a plain compressibility.

/// Below this pressure the axis eases into a constant.
const FLOOR_PA: f64 = 0.5;
/// Below the lowest node the place goes on by no more than this in ln p: some five kelvin
/// of boiling temperature, short of the cold end of the liquid.
const EASE_BELOW: f64 = 0.5;
/// The pressure a in the logarithm above the seam: over it the nodes' distance doubles.
const WIDENING_PA: f64 = 8e5;
/// Above the highest node the place goes on by no more than this: so little that volume,
/// straight in one region, and pressure times volume, straight in the next, stay together.
const EASE_ABOVE_PA: f64 = 5e3;

/// Weights of the values and slopes at the two ends of a cell: value at the left,
/// slope at the left, value at the right, slope at the right.
pub(super) type Weights = [f64; 4];

/// Cubic Hermite weights at a place from 0 to 1 in a cell of width one.
pub(super) fn hermite(at: f64) -> Weights {
    let rest = 1.0 - at;
    let (square, rest_square) = (at * at, rest * rest);
    [
        rest_square * (1.0 + 2.0 * at),
        rest_square * at,
        square * (1.0 + 2.0 * rest),
        -square * rest,
    ]
}

/// The derivative of [`hermite`] with respect to the place.
pub(super) fn hermite_slope(at: f64) -> Weights {
    let rest = 1.0 - at;
    let hump = 6.0 * at * rest;
    [
        -hump,
        rest * (1.0 - 3.0 * at),
        hump,
        at * (1.0 - 3.0 * rest),
    ]
}

/// The nodes in pressure.
#[derive(Clone, Copy, Debug)]
pub(super) struct PressureAxis {
    log_reach: f64,
    /// √(ln(p_reach/p)) at the lowest node.
    root_lowest: f64,
    nodes_per_root: f64,
    /// The node at the seam.
    seam: usize,
    nodes: usize,
    lowest_pa: f64,
    log_lowest: f64,
    /// d(place)/d(ln p) at the lowest node.
    lowest_slope: f64,
    seam_pa: f64,
    /// d(place)/dp at the seam.
    seam_slope: f64,
    highest_pa: f64,
    /// d(place)/dp at the highest node.
    highest_slope: f64,
}

/// Where a pressure lies on the axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// The cell, that is its lower node.
    pub cell: usize,
    /// Weights of the cell's ends.
    pub weights: Weights,
    /// Their derivative with respect to pressure.
    pub weights_dp: Weights,
    /// The pressure after easing, always positive.
    pub eased_pa: f64,
    /// Its derivative with respect to pressure.
    pub eased_dp: f64,
    /// The pressure above the eased one, beyond the highest node; else 0.
    pub excess_pa: f64,
    /// Its derivative with respect to pressure.
    pub excess_dp: f64,
}

impl PressureAxis {
    /// An axis with a number of nodes from a lowest pressure to a seam below a critical
    /// one, and as many more as reach a highest pressure.
    pub(super) fn new(
        lowest_pa: f64,
        seam_pa: f64,
        critical_pa: f64,
        nodes_to_seam: usize,
        reach_pa: f64,
    ) -> Self {
        let log_reach = libm::log(critical_pa * 1.002);
        let log_lowest = libm::log(lowest_pa);
        let root_lowest = libm::sqrt(log_reach - log_lowest);
        let root_seam = libm::sqrt(log_reach - libm::log(seam_pa));
        let seam = nodes_to_seam - 1;
        let nodes_per_root = seam as f64 / (root_lowest - root_seam);
        let seam_slope = nodes_per_root / (2.0 * root_seam * seam_pa);
        let above = seam_slope * WIDENING_PA * libm::log(1.0 + (reach_pa - seam_pa) / WIDENING_PA);
        let above = libm::ceil(above).max(1.0);
        let mut axis = Self {
            log_reach,
            root_lowest,
            nodes_per_root,
            seam,
            nodes: nodes_to_seam + above as usize,
            lowest_pa,
            log_lowest,
            lowest_slope: nodes_per_root / (2.0 * root_lowest),
            seam_pa,
            seam_slope,
            highest_pa: 0.0,
            highest_slope: 0.0,
        };
        axis.highest_pa = axis.pressure_above_seam(above);
        axis.highest_slope = axis.slope_above_seam(axis.highest_pa);
        axis
    }

    pub(super) fn nodes(&self) -> usize {
        self.nodes
    }

    /// The node at the seam, which is also the first cell above it.
    #[inline]
    pub(super) fn seam(&self) -> usize {
        self.seam
    }

    pub(super) fn seam_pa(&self) -> f64 {
        self.seam_pa
    }

    /// The pressure of a node.
    pub(super) fn pressure_pa(&self, node: usize) -> f64 {
        if node == 0 {
            return self.lowest_pa;
        }
        if node >= self.seam {
            return self.pressure_above_seam((node - self.seam) as f64);
        }
        let root = self.root_lowest - node as f64 / self.nodes_per_root;
        libm::exp(self.log_reach - root * root)
    }

    /// d(place)/dp at a node.
    pub(super) fn slope_per_pa(&self, node: usize) -> f64 {
        if node > self.seam {
            return self.slope_above_seam(self.pressure_pa(node));
        }
        let root = self.root_lowest - node as f64 / self.nodes_per_root;
        self.nodes_per_root / (2.0 * root * self.pressure_pa(node))
    }

    /// The place of any finite pressure.
    #[inline(always)]
    pub(super) fn place(&self, pressure_pa: f64) -> Place {
        if pressure_pa < self.lowest_pa {
            return self.place_below(pressure_pa);
        }
        if pressure_pa > self.seam_pa {
            return self.place_above_seam(pressure_pa);
        }
        let root = (self.log_reach - libm::log(pressure_pa)).sqrt();
        let along = ((self.root_lowest - root) * self.nodes_per_root).max(0.0);
        // A NaN lands in the first cell and stays one.
        let cell = (along as usize).min(self.seam - 1);
        let at = along - cell as f64;
        let slope = self.nodes_per_root / (2.0 * root * pressure_pa);
        Place {
            cell,
            weights: hermite(at),
            weights_dp: hermite_slope(at).map(|weight| weight * slope),
            eased_pa: pressure_pa,
            eased_dp: 1.0,
            excess_pa: 0.0,
            excess_dp: 0.0,
        }
    }

    #[cold]
    fn place_below(&self, pressure_pa: f64) -> Place {
        let (eased_pa, eased_dp) = if pressure_pa < FLOOR_PA {
            // From the floor down to half of it, with slope one at the floor.
            let depth = 1.0 - pressure_pa / FLOOR_PA;
            let slope = 1.0 / (1.0 + 2.0 * depth);
            (FLOOR_PA * (0.5 + 0.5 * slope), slope * slope)
        } else {
            (pressure_pa, 1.0)
        };
        let depth = self.log_lowest - libm::log(eased_pa);
        let ease = 1.0 / (1.0 + depth / EASE_BELOW);
        let along = -depth * ease * self.lowest_slope;
        let slope = ease * ease * self.lowest_slope / eased_pa * eased_dp;
        Place {
            cell: 0,
            weights: [1.0, along, 0.0, 0.0],
            weights_dp: [0.0, slope, 0.0, 0.0],
            eased_pa,
            eased_dp,
            excess_pa: 0.0,
            excess_dp: 0.0,
        }
    }

    fn place_above_seam(&self, pressure_pa: f64) -> Place {
        if pressure_pa > self.highest_pa {
            return self.place_above(pressure_pa);
        }
        let widened = 1.0 + (pressure_pa - self.seam_pa) / WIDENING_PA;
        let along = self.seam_slope * WIDENING_PA * libm::log(widened);
        let slope = self.seam_slope / widened;
        let cell = (along as usize).min(self.nodes - self.seam - 2);
        let at = along - cell as f64;
        Place {
            cell: self.seam + cell,
            weights: hermite(at),
            weights_dp: hermite_slope(at).map(|weight| weight * slope),
            eased_pa: pressure_pa,
            eased_dp: 1.0,
            excess_pa: 0.0,
            excess_dp: 0.0,
        }
    }

    #[cold]
    fn place_above(&self, pressure_pa: f64) -> Place {
        let beyond_pa = pressure_pa - self.highest_pa;
        let slope = 1.0 / (1.0 + beyond_pa / EASE_ABOVE_PA);
        let gained_pa = beyond_pa * slope;
        let eased_dp = slope * slope;
        Place {
            cell: self.nodes - 2,
            weights: [0.0, 0.0, 1.0, self.highest_slope * gained_pa],
            weights_dp: [0.0, 0.0, 0.0, self.highest_slope * eased_dp],
            eased_pa: self.highest_pa + gained_pa,
            eased_dp,
            excess_pa: beyond_pa - gained_pa,
            excess_dp: 1.0 - eased_dp,
        }
    }

    /// The highest node's pressure.
    pub(super) fn highest_pa(&self) -> f64 {
        self.highest_pa
    }

    /// The pressure at a place in a cell; the inverse of [`Self::place`] between nodes.
    pub(super) fn pressure_in(&self, cell: usize, at: f64) -> f64 {
        if cell >= self.seam {
            return self.pressure_above_seam((cell - self.seam) as f64 + at);
        }
        let root = self.root_lowest - (cell as f64 + at) / self.nodes_per_root;
        libm::exp(self.log_reach - root * root)
    }

    fn pressure_above_seam(&self, along: f64) -> f64 {
        let widened = libm::exp(along / (self.seam_slope * WIDENING_PA));
        self.seam_pa + WIDENING_PA * (widened - 1.0)
    }

    fn slope_above_seam(&self, pressure_pa: f64) -> f64 {
        self.seam_slope / (1.0 + (pressure_pa - self.seam_pa) / WIDENING_PA)
    }

    /// The pressure below the lowest node at a place; at places that none has, the lowest
    /// pressure that means anything.
    pub(super) fn pressure_below(&self, along: f64) -> f64 {
        let eased = -along / self.lowest_slope;
        let left = 1.0 - eased / EASE_BELOW;
        if left <= 0.0 {
            return FLOOR_PA;
        }
        libm::exp(self.log_lowest - eased / left).max(FLOOR_PA)
    }
}
