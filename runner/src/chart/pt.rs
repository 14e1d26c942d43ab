//! The pressure-temperature chart: saturation as gauges and thermometers show it, in both units.

use sim_core::air;
use sim_core::fluid::Fluid;

use crate::chart::axis::Axis;
use crate::chart::shown::{CELSIUS, FAHRENHEIT, KPA, PSI, Shown};
use crate::chart::svg::{Anchor, Place, Svg};

/// One half of the chart. Two scales, since a gauge's low side is read ten times finer than its high side.
struct Half {
    id: &'static str,
    head: &'static str,
    left: f64,
    /// °C, from and to.
    celsius: (f64, f64),
    /// kPa gauge, from and to.
    kpa: (f64, f64),
    /// °C between fine lines and between named ones.
    celsius_steps: (f64, f64),
    /// kPa between fine lines and between named ones.
    kpa_steps: (f64, f64),
    /// psi between ticks and between named ones.
    psi_steps: (f64, f64),
}

const HALVES: [Half; 2] = [
    Half {
        id: "low-side",
        head: "Low side: evaporating",
        left: 84.0,
        celsius: (-30.0, 30.0),
        kpa: (-50.0, 700.0),
        celsius_steps: (1.0, 10.0),
        kpa_steps: (10.0, 50.0),
        psi_steps: (1.0, 10.0),
    },
    Half {
        id: "high-side",
        head: "High side: condensing",
        left: 784.0,
        celsius: (20.0, 90.0),
        kpa: (400.0, 3200.0),
        celsius_steps: (1.0, 10.0),
        kpa_steps: (50.0, 200.0),
        psi_steps: (5.0, 50.0),
    },
];

const PAGE: Place = (1420.0, 860.0);
const WIDTH: f64 = 560.0;
const TOP: f64 = 148.0;
const BOTTOM: f64 = 764.0;
/// Between points of the curve, K.
const STEP_K: f64 = 0.5;

/// Draws the chart of a refrigerant for gauges at a height above the sea, m.
///
/// A gauge counts from the air around it, that of the standard atmosphere.
#[must_use]
pub fn draw(fluid: &Fluid, altitude_m: f64) -> String {
    let air_pa = air::atmospheric_pressure_pa(altitude_m);
    let place = if altitude_m == 0.0 {
        "at sea level".to_owned()
    } else {
        let side = if altitude_m > 0.0 { "above" } else { "below" };
        format!("{:.0} m {side} the sea", altitude_m.abs())
    };
    let name = fluid.name();
    let title = format!("{name}: pressure and temperature of saturation");
    let mut page = Svg::new(
        PAGE.0,
        PAGE.1,
        &title,
        &format!(
            "Gauge pressure {place} over the temperature at which the refrigerant boils and \
             condenses, in kPa and psi, °C and °F; one diagram for the low side, one for the high side."
        ),
    );
    page.text("title", (84.0, 34.0), Anchor::Start, &title);
    let words = if altitude_m == 0.0 {
        "Gauge pressure at sea level. 1000 m higher, the same temperature reads about 11.5 kPa (1.7 psi) more."
            .to_owned()
    } else {
        let off = air::STANDARD_ATMOSPHERE_PA - air_pa;
        let how = if off > 0.0 { "less" } else { "more" };
        format!(
            "Gauge pressure {place}, on a set zeroed there. One zeroed at sea level shows {:.1} kPa ({:.1} psi) {how}.",
            KPA.of(off.abs()),
            PSI.of(off.abs())
        )
    };
    page.text("soft", (84.0, 62.0), Anchor::Start, &words);
    for half in &HALVES {
        page.group(half.id, |page| half.draw(page, fluid, air_pa));
    }
    let words = "Only while liquid and vapour are both there: superheated vapour and subcooled liquid lie off the curve.";
    page.text("soft", (84.0, PAGE.1 - 18.0), Anchor::Start, words);
    page.finish()
}

impl Half {
    fn x(&self) -> Axis {
        Axis {
            from: self.celsius.0,
            to: self.celsius.1,
            from_px: self.left,
            to_px: self.left + WIDTH,
            logarithmic: false,
        }
    }

    fn y(&self) -> Axis {
        Axis {
            from: self.kpa.0,
            to: self.kpa.1,
            from_px: BOTTOM,
            to_px: TOP,
            logarithmic: false,
        }
    }

    fn draw(&self, page: &mut Svg, fluid: &Fluid, air_pa: f64) {
        let (x, y) = (self.x(), self.y());
        let right = self.left + WIDTH;
        for (class, across, up) in [
            ("fine", self.celsius_steps.0, self.kpa_steps.0),
            ("grid", 0.5 * self.celsius_steps.1, self.kpa_steps.1),
            ("rule", self.celsius_steps.1, 2.0 * self.kpa_steps.1),
        ] {
            for value in x.multiples(across) {
                page.line(class, (x.px(value), TOP), (x.px(value), BOTTOM));
            }
            for value in y.multiples(up) {
                page.line(class, (self.left, y.px(value)), (right, y.px(value)));
            }
        }
        self.names(page, &x, &y);
        self.other_units(page, &x, &y);
        let curve = self.curve(fluid, air_pa);
        page.clipped(
            &format!("{}-curve", self.id),
            (self.left, TOP),
            (WIDTH, BOTTOM - TOP),
            |page| page.path("dome", &curve, false),
        );
        page.rect("frame", (self.left, TOP), (WIDTH, BOTTOM - TOP));
        page.text("head", (self.left, TOP - 50.0), Anchor::Start, self.head);
    }

    fn curve(&self, fluid: &Fluid, air_pa: f64) -> Vec<Place> {
        let (x, y) = (self.x(), self.y());
        let count = libm::ceil((self.celsius.1 - self.celsius.0) / STEP_K) as usize;
        (0..=count)
            .filter_map(|index| {
                let celsius = self.celsius.0 + index as f64 * STEP_K;
                let kelvin = CELSIUS.si(celsius);
                let at = fluid.equation().saturation_at_temperature(kelvin).ok()?;
                let gauge = KPA.of(at.pressure_pa - air_pa);
                Some((x.px(celsius), y.px(gauge)))
            })
            .collect()
    }

    fn names(&self, page: &mut Svg, x: &Axis, y: &Axis) {
        page.group(&format!("{}-celsius", self.id), |page| {
            for value in x.multiples(self.celsius_steps.1) {
                let at = (x.px(value), BOTTOM + 16.0);
                page.text("", at, Anchor::Middle, &format!("{value:.0}"));
            }
        });
        page.group(&format!("{}-kpa", self.id), |page| {
            for value in y.multiples(self.kpa_steps.1) {
                let at = (self.left - 8.0, y.px(value));
                page.text("", at, Anchor::End, &format!("{value:.0}"));
            }
        });
        let below = (self.left + 0.5 * WIDTH, BOTTOM + 40.0);
        page.text("head", below, Anchor::Middle, "°C");
        page.text("head", (self.left - 8.0, TOP - 20.0), Anchor::End, "kPa");
    }

    /// °F above and psi on the right, as ticks: a second grid would only confuse the first.
    fn other_units(&self, page: &mut Svg, x: &Axis, y: &Axis) {
        let right = self.left + WIDTH;
        for value in converted(x, CELSIUS, FAHRENHEIT).multiples(2.0) {
            let at = x.px(CELSIUS.of(FAHRENHEIT.si(value)));
            let named = is_multiple(value, 20.0);
            let length = if named {
                8.0
            } else if is_multiple(value, 10.0) {
                6.0
            } else {
                3.0
            };
            page.line("tick", (at, TOP), (at, TOP - length));
            if named {
                page.text("", (at, TOP - 17.0), Anchor::Middle, &format!("{value:.0}"));
            }
        }
        let (fine, labelled) = self.psi_steps;
        for value in converted(y, KPA, PSI).multiples(fine) {
            let at = y.px(KPA.of(PSI.si(value)));
            let named = is_multiple(value, labelled);
            let length = if named {
                8.0
            } else if is_multiple(value, 5.0 * fine) {
                6.0
            } else {
                3.0
            };
            page.line("tick", (right, at), (right + length, at));
            if named {
                page.text(
                    "",
                    (right + 12.0, at),
                    Anchor::Start,
                    &format!("{value:.0}"),
                );
            }
        }
        let above = (self.left + 0.5 * WIDTH, TOP - 38.0);
        page.text("head", above, Anchor::Middle, "°F");
        page.text("head", (right + 12.0, TOP - 20.0), Anchor::Start, "psig");
    }
}

/// An axis in another unit.
fn converted(axis: &Axis, from: Shown, to: Shown) -> Axis {
    let turn = |value: f64| to.of(from.si(value));
    Axis {
        from: turn(axis.from),
        to: turn(axis.to),
        ..*axis
    }
}

fn is_multiple(value: f64, step: f64) -> bool {
    let count = value / step;
    (count - libm::round(count)).abs() < 1e-6
}
