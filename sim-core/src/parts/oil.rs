//! Compressor oil: too little wears and heats, too much or the wrong kind coats the exchangers.
//!
//! On the walls of the exchangers it costs boiling and condensing 1 / (1 + 0.3 e) of their conductance,
//! e the oil beyond the label's amount that lies there: a tenth too much 3 %, twice the amount 23 %
//! (that some percent of oil cost some percent of conductance is common practice, no source). Below
//! four fifths of the label's amount in the compressor its friction grows by 1 + 12 s², s what is
//! missing of the four fifths (common practice, no source); the heat of that goes into the
//! compressor's body, see `Compressor::rubbing_n_m`. Oil that does not dissolve in the refrigerant
//! stays in the evaporator. Range: 0.1 to 3 times the label's amount; that too much also takes up room
//! is left out (a tenth of a litre in a loop of two).

/// Oil in the loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oil {
    /// Oil in the loop as a share of what the label asks for.
    pub share: f64,
    /// Share of it that does not dissolve in the refrigerant: the wrong kind.
    pub foreign_share: f64,
}

/// Share of the label's amount that a healthy loop keeps on the walls of its exchangers.
const COATING: f64 = 0.3;

impl Oil {
    /// The amount and kind on the label.
    #[must_use]
    pub fn as_labelled() -> Self {
        Self {
            share: 1.0,
            foreign_share: 0.0,
        }
    }

    /// Oil that stays in the evaporator instead of coming back, as a share of the label's amount.
    #[must_use]
    pub fn stranded(&self) -> f64 {
        self.share * self.foreign_share
    }

    /// What is left of an exchanger's boiling or condensing conductance; 1 as labelled.
    #[must_use]
    pub fn wetting(&self) -> f64 {
        let extra = (self.share - 1.0).max(0.0) + 2.0 * self.stranded();
        1.0 / (1.0 + COATING * extra)
    }

    /// What the compressor has to turn in, as a share of the label's amount.
    #[must_use]
    pub fn in_compressor(&self) -> f64 {
        self.share - 0.8 * self.stranded()
    }

    /// Friction of the compressor against that with its proper oil; 1 from four fifths up.
    #[must_use]
    pub fn friction_factor(&self) -> f64 {
        let short = (0.8 - self.in_compressor()).max(0.0);
        1.0 + 12.0 * short * short
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_labels_oil_changes_nothing() {
        let oil = Oil::as_labelled();
        assert_eq!((oil.wetting(), oil.friction_factor()), (1.0, 1.0));
    }

    #[test]
    fn too_much_coats_and_too_little_rubs() {
        let oil = |share, foreign_share| Oil {
            share,
            foreign_share,
        };
        assert!(oil(2.0, 0.0).wetting() < 0.85);
        assert!(oil(0.3, 0.0).friction_factor() > 2.0);
        let wrong = oil(1.0, 1.0);
        assert!(wrong.wetting() < 0.7 && wrong.friction_factor() > 2.0);
    }
}
