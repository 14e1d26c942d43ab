//! The control's sensors as circuits: thermistors on a pull-up, a pressure transducer with its wire.
//!
//! The control sees a resistance or a voltage and takes it for a temperature or a pressure, so that
//! a bad wire is a wrong value before it is no value. Thermistor: R = R₂₅ exp(B (1/T − 1/T₂₅)), Ω and K
//! (IEC 60539-1), with a resistance in its wire and a leak across both. Transducer: V = (0.5 V + 4 V p /
//! 3.5 MPa) R_down / (R_down + R_wire), p in Pa gauge. Levels are common practice, no source. Range: −40 to
//! 150 °C, and clamped there; beyond −38 to 120 °C, or outside 0.25 to 4.75 V, the control believes
//! neither.

/// What faults do to the sensors; all zero on a sound car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sensors {
    /// Resistance added in the evaporator sensor's wire, Ω.
    pub evaporator_wire_ohm: f64,
    /// Conductance of a leak across the evaporator sensor, S.
    pub evaporator_leak_s: f64,
    /// Error of the ambient sensor, K.
    pub ambient_bias_k: f64,
    /// Resistance added in the ambient sensor's wire, Ω.
    pub ambient_wire_ohm: f64,
    /// Resistance added in the transducer's signal wire, Ω.
    pub transducer_wire_ohm: f64,
}

/// Resistance of a thermistor at 25 °C, Ω (common practice, no source).
const THERMISTOR_OHM: f64 = 5000.0;
/// Its B constant, K (common practice, no source: 3400 to 4000).
const THERMISTOR_B_K: f64 = 3950.0;
/// 25 °C, K.
const THERMISTOR_AT_K: f64 = 298.15;
/// What the control's converter can tell of a thermistor, K: −40 to 150 °C (common practice, no source).
const CONVERTER_K: (f64, f64) = (233.15, 423.15);
/// Temperatures the control believes, K: within these; what lies beyond is a broken wire or a short.
const BELIEVED_K: (f64, f64) = (235.15, 393.15);
/// Transducer's volts at zero gauge pressure, and the volts it adds up to its full scale.
const TRANSDUCER_V: (f64, f64) = (0.5, 4.0);
/// Its full scale, Pa gauge (common practice, no source).
const TRANSDUCER_FULL_PA: f64 = 3.5e6;
/// The control's resistor that draws an open signal wire to 0 V, Ω (common practice, no source).
const PULL_DOWN_OHM: f64 = 100e3;
/// Volts the control believes (common practice, no source).
const BELIEVED_V: (f64, f64) = (0.25, 4.75);

/// Temperature the control takes a thermistor for, K.
///
/// R = R₂₅ exp(B (1/T − 1/T₂₅)) (the B equation; IEC 60539-1), with a resistance in its wire and a
/// leak across both, turned back by the same equation within the converter's range.
#[must_use]
pub fn thermistor_reads_k(true_k: f64, wire_ohm: f64, leak_s: f64) -> f64 {
    let read_k = if wire_ohm > 0.0 || leak_s > 0.0 {
        let own_ohm =
            THERMISTOR_OHM * libm::exp(THERMISTOR_B_K * (1.0 / true_k - 1.0 / THERMISTOR_AT_K));
        let seen_ohm = 1.0 / (1.0 / (own_ohm + wire_ohm) + leak_s);
        let inverse = 1.0 / THERMISTOR_AT_K + libm::log(seen_ohm / THERMISTOR_OHM) / THERMISTOR_B_K;
        // A short reads hotter than any temperature.
        if inverse > 1.0 / CONVERTER_K.1 {
            1.0 / inverse
        } else {
            CONVERTER_K.1
        }
    } else {
        // Nothing in the way: the equation and its inverse cancel.
        true_k
    };
    read_k.clamp(CONVERTER_K.0, CONVERTER_K.1)
}

/// Pressure the control takes the transducer's voltage for, Pa gauge.
///
/// V = (0.5 V + 4 V p / 3.5 MPa) R_down / (R_down + R_wire): a ratiometric transducer on an input
/// with a pull-down.
#[must_use]
pub fn transducer_reads_pa(true_pa: f64, wire_ohm: f64) -> f64 {
    if wire_ohm <= 0.0 {
        return true_pa;
    }
    let arrives = PULL_DOWN_OHM / (PULL_DOWN_OHM + wire_ohm);
    pressure_pa(volts(true_pa) * arrives)
}

fn volts(pa: f64) -> f64 {
    TRANSDUCER_V.0 + TRANSDUCER_V.1 * pa / TRANSDUCER_FULL_PA
}

fn pressure_pa(volts: f64) -> f64 {
    (volts - TRANSDUCER_V.0) * TRANSDUCER_FULL_PA / TRANSDUCER_V.1
}

/// Whether the control believes a thermistor's temperature.
#[must_use]
pub fn believes_k(read_k: f64) -> bool {
    (BELIEVED_K.0..=BELIEVED_K.1).contains(&read_k)
}

/// Whether the control believes the transducer.
#[must_use]
pub fn believes_pa(read_pa: f64) -> bool {
    (BELIEVED_V.0..=BELIEVED_V.1).contains(&volts(read_pa))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bad_wire_reads_cold_and_a_leak_warm() {
        for celsius in [0.0, 4.0, 25.0, 45.0] {
            let k = 273.15 + celsius;
            assert_eq!(thermistor_reads_k(k, 0.0, 0.0), k);
            // What is next to nothing changes next to nothing: the two branches meet.
            assert!((thermistor_reads_k(k, 1e-9, 1e-12) - k).abs() < 1e-6);
            let mut before_k = k;
            for wire_ohm in [100.0, 1e3, 1e4, 1e6] {
                let read_k = thermistor_reads_k(k, wire_ohm, 0.0);
                assert!(read_k < before_k, "{celsius} °C, {wire_ohm} Ω: {read_k} K");
                before_k = read_k;
            }
            assert!(!believes_k(before_k), "an open wire is not believed");
            assert!(thermistor_reads_k(k, 0.0, 1e-5) > k);
            assert!(!believes_k(thermistor_reads_k(k, 0.0, 0.02)));
        }
    }

    /// The B equation by hand: 5 kΩ at 25 °C and B 3950 K make 16.81 kΩ of 0 °C; with 5.4 kΩ more,
    /// 22.21 kΩ stand for −5.16 °C.
    #[test]
    fn a_thermistor_follows_its_equation() {
        let extra = thermistor_reads_k(273.15, 5400.0, 0.0) - 273.15;
        assert!((extra + 5.16).abs() < 0.02, "{extra}");
    }

    #[test]
    fn a_transducer_reads_low_through_a_bad_wire_and_is_not_believed_through_none() {
        for pa in [0.0, 0.56e6, 1.5e6, 3.0e6] {
            assert_eq!(transducer_reads_pa(pa, 0.0), pa);
            assert!((transducer_reads_pa(pa, 1e-6) - pa).abs() < 1.0);
            assert!(believes_pa(pa));
            assert!(transducer_reads_pa(pa, 5e3) < pa);
            assert!(!believes_pa(transducer_reads_pa(pa, 1e7)));
        }
        assert!(!believes_pa(4.0e6));
    }
}
