//! A network of resistors between a source and its return, solved so that Kirchhoff's
//! current law holds at every node.
//!
//! Nodes are taken out one by one, each star of resistors replaced by the mesh that does the
//! same between its neighbours, g_ij = g_i g_j / Σ g in S (Rosen's theorem, A. Rosen, J. IEE 62, 1924).
//! Nothing is ever subtracted, so that a milliohm beside a megohm costs no digits. Range: tested from 1 mΩ
//! to 10 MΩ at 14.1 V; infinity is an open link, 0 Ω is not allowed. Direct current only: no inductance.

/// The node at zero volts.
pub const RETURN: usize = 0;
/// The node held at the source's voltage.
pub const SOURCE: usize = 1;

/// Resistors between `N` nodes; nodes 0 and 1 are held, the others float.
#[derive(Clone, Debug, PartialEq)]
pub struct Network<const N: usize> {
    /// Conductance between a node and each one before it, S.
    siemens: [[f64; N]; N],
}

impl<const N: usize> Default for Network<N> {
    fn default() -> Self {
        Self {
            siemens: [[0.0; N]; N],
        }
    }
}

impl<const N: usize> Network<N> {
    /// Puts a resistance, Ω, between two nodes, beside what is there; infinity puts nothing.
    pub fn join(&mut self, one: usize, other: usize, ohm: f64) {
        self.siemens[one.max(other)][one.min(other)] += 1.0 / ohm;
    }

    /// Voltage of every node, V, with the source at a voltage. A node that nothing reaches is at 0.
    #[must_use]
    pub fn solve(mut self, source_v: f64) -> [f64; N] {
        let mut sums = [0.0; N];
        for node in (SOURCE + 1..N).rev() {
            let star = self.siemens[node];
            let sum: f64 = star[..node].iter().sum();
            sums[node] = sum;
            if sum <= 0.0 {
                continue;
            }
            for one in (0..node).filter(|one| star[*one] > 0.0) {
                for other in 0..one {
                    self.siemens[one][other] += star[one] * star[other] / sum;
                }
            }
        }
        let mut volts = [0.0; N];
        volts[SOURCE] = source_v;
        for node in SOURCE + 1..N {
            if sums[node] > 0.0 {
                let star = &self.siemens[node][..node];
                let pulled: f64 = star.iter().zip(&volts).map(|(g, v)| g * v).sum();
                volts[node] = pulled / sums[node];
            }
        }
        volts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Draws;

    const NODES: usize = 9;

    /// Ohm's and Kirchhoff's laws (1827, 1845) on random networks of 1 mΩ to 10 MΩ: what flows
    /// into a node flows out of it, but for the last digits of the largest current there.
    #[test]
    fn currents_sum_to_zero_at_every_node() {
        for seed in 0..200 {
            let mut draws = Draws::new(seed, 0);
            let mut network = Network::<NODES>::default();
            let mut resistors = Vec::new();
            for node in 1..NODES {
                for other in 0..node {
                    if other + 1 == node || draws.uniform() < 0.4 {
                        let ohm = libm::exp(libm::log(1e-3) + draws.uniform() * libm::log(1e10));
                        network.join(node, other, ohm);
                        resistors.push((node, other, ohm));
                    }
                }
            }
            let volts = network.solve(14.1);
            for (node, node_v) in volts.iter().enumerate().skip(SOURCE + 1) {
                let (mut sum, mut scale) = (0.0, 0.0_f64);
                for (a, b, ohm) in &resistors {
                    let other = match node {
                        _ if node == *a => *b,
                        _ if node == *b => *a,
                        _ => continue,
                    };
                    sum += (volts[other] - node_v) / ohm;
                    // A difference of two voltages cannot be known to better than their last digit.
                    scale = scale.max(14.1 / ohm);
                }
                assert!(sum.abs() <= 1e-14 * scale, "{seed}, node {node}: {sum} A");
                assert!(
                    (0.0..=14.1 * (1.0 + 1e-14)).contains(node_v),
                    "{seed}: {node_v} V"
                );
            }
        }
    }

    /// Two resistors in a row share a voltage as their resistances (voltage divider).
    #[test]
    fn a_divider_divides() {
        let mut network = Network::<3>::default();
        network.join(SOURCE, 2, 3.0);
        network.join(2, RETURN, 1.0);
        assert!((network.solve(12.0)[2] - 3.0).abs() < 1e-15);
    }

    #[test]
    fn what_nothing_reaches_is_at_zero() {
        let mut network = Network::<4>::default();
        network.join(2, 3, 1.0);
        network.join(SOURCE, 2, f64::INFINITY);
        assert_eq!(network.solve(12.0), [0.0, 12.0, 0.0, 0.0]);
    }
}
