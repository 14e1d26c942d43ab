//! How much each part of the mark counts.

/// Weights of the parts; they add up to 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weights {
    /// For the diagnosis.
    pub diagnosis: f64,
    /// For the evidence.
    pub evidence: f64,
    /// For safety.
    pub safety: f64,
    /// Part of the diagnosis that the right component earns.
    pub component: f64,
    /// Part of it that the right failure mode earns.
    pub mode: f64,
    /// Part of it that the right root cause earns, where the case has one.
    pub cause: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self {
            diagnosis: 50.0,
            evidence: 35.0,
            safety: 15.0,
            component: 0.4,
            mode: 0.4,
            cause: 0.2,
        }
    }
}
