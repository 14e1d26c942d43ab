//! The instruments of the shop: right use, a wrong use to play, and where their figures come from.

use crate::instruments::tool::Tool;

/// One instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instrument {
    /// Plain name.
    pub name: &'static str,
    /// What it shows as numbers, with accuracy, resolution, lag and time in [`Tool::spec`]; none for
    /// what only tells one thing from another.
    pub tools: &'static [Tool],
    /// Where it stops telling, for what shows no number.
    pub limit: &'static str,
    /// Right use, as typed and why.
    pub rightly: &'static str,
    /// Wrong use, as typed and what it does to the reading.
    pub wrongly: &'static str,
    /// Source of its figures.
    pub source: &'static str,
}

const fn instrument(
    name: &'static str,
    tools: &'static [Tool],
    limit: &'static str,
    rightly: &'static str,
    wrongly: &'static str,
    source: &'static str,
) -> Instrument {
    Instrument {
        name,
        tools,
        limit,
        rightly,
        wrongly,
        source,
    }
}

const COMMON: &str = "common practice, no source";

/// Every instrument of the shop.
pub const KIT: &[Instrument] = &[
    instrument(
        "gauge set",
        &[Tool::LowGauge, Tool::HighGauge],
        "",
        "`gauges zero` in the bay's own air, then connect, open, read; `gauges watch` where a clutch comes and goes; the low side's scale is retarded from 10 bar to 17, in steps of half a bar, enough for a resting loop",
        "`gauges read` with the couplings shut: it shows what the hoses hold; at a height without `gauges zero`: it reads low by what the air lacks of sea level's pressure",
        COMMON,
    ),
    instrument(
        "clamp thermometer",
        &[Tool::ClampThermometer],
        "",
        "`clamp liquid-line`: on clean metal, wrapped, until it has settled",
        "`clamp liquid-line quick`: read before it has settled; `clamp liquid-line bare`: over dirt, unwrapped, a quarter of the way to the air around",
        COMMON,
    ),
    instrument(
        "infrared thermometer",
        &[Tool::InfraredThermometer],
        "",
        "`infrared liquid-line tape`, or `hose` where one lies: dull surfaces, close up; rubber is not as warm outside as what flows in it",
        "`infrared liquid-line bare`: a bright pipe mirrors the bay; `far`: the spot is wider than the pipe",
        "emissivities, accuracy and spot: common practice, no source; radiance: Stefan and Boltzmann",
    ),
    instrument(
        "air thermometer",
        &[Tool::VentThermometer],
        "",
        "`thermometer centre-vent`, `thermometer condenser-behind`: until it has settled",
        "`thermometer centre-vent quick`: read before it has settled; `thermometer condenser-behind on-fins`: the tip feels the hot fins as well as the air",
        COMMON,
    ),
    instrument(
        "hygrometer",
        &[Tool::AirThermometer, Tool::Hygrometer],
        "",
        "`hygrometer cabin`: held until both values stand",
        "`hygrometer cabin quick`: still half filled with the air it was carried through",
        COMMON,
    ),
    instrument(
        "anemometer",
        &[Tool::Anemometer],
        "",
        "`air-speed centre-vent`: square to the stream",
        "`air-speed centre-vent askew`: a vane at 45° feels 0.71 of the speed",
        COMMON,
    ),
    instrument(
        "scan tool",
        &[
            Tool::ScanPressure,
            Tool::ScanEvaporator,
            Tool::ScanAmbient,
            Tool::ScanSpeed,
            Tool::ScanInsulation,
        ],
        "",
        "`scan pressure`: one value on the screen, set against a gauge, since it shows what the sensor says",
        "`scan pressure slow`: every value on the screen, so that each is old when a pressure moves; `scan ambient soaked`: read at once after a hot stop, before air has moved past the sensor",
        COMMON,
    ),
    instrument(
        "multimeter",
        &[Tool::Ohmmeter, Tool::Voltmeter],
        "",
        "`meter coil-volts` with the circuit switched on; `meter coil-ohms` with the engine off and the plug out",
        "`meter coil-volts` with the air conditioning off: nothing is supplied, and the reading tells nothing of the wiring; `meter coil-volts ac-range`: a steady voltage shows as next to none; `meter coil-ohms unzeroed`: the leads' own half ohm is in the reading",
        COMMON,
    ),
    instrument(
        "current clamp",
        &[Tool::CurrentClamp],
        "",
        "`meter coil-amps` with the compressor asked for",
        "`meter coil-amps` while the clutch is out of its own accord: no current proves no fault; `meter coil-amps unzeroed`: what is left in the clamp's iron is in the reading",
        COMMON,
    ),
    instrument(
        "electronic leak detector",
        &[],
        "4, 7 or 14 g a year",
        "`leak-search compressor 4-g`: engine and fans off, below the spot",
        "`leak-search compressor above`, or with a fan on: the heavy gas falls or is blown away; after letting gas out: it sounds everywhere",
        "scales of SAE J2791 (R-134a) and SAE J2913 (R-1234yf, from memory); the rest from memory",
    ),
    instrument(
        "dye and ultraviolet lamp",
        &[],
        "a tenth of a milligram of dyed oil",
        "`dye add`, run the system until some oil has got out, then `lamp compressor`; `wipe` a spot after finding it",
        "`lamp` at once after `dye add`: nothing has got out yet; and a stain that nobody wiped glows where nothing leaks any more",
        "from memory",
    ),
    instrument(
        "soap solution",
        &[],
        "about 100 g a year",
        "`soap liquid-line`: cool metal, still air, pressure in the loop",
        "`soap liquid-line` with a fan running, on hot metal, or on an empty loop: no bubbles whatever leaks",
        COMMON,
    ),
    instrument(
        "refrigerant identifier",
        &[Tool::Identifier],
        "",
        "`identifier vapour`: warmed up, from the low side of a standing car, before anything is recovered; a running compressor gathers air on the high side",
        "`identifier cold`: takes its own weak lamp for air; `identifier liquid`: stops, its filter soaked",
        "SAE J1771 and J2912 (accuracy, from memory)",
    ),
    instrument(
        "recovery machine with scales",
        &[Tool::Scales],
        "",
        "`recover 15 min`, wait, and again until the pressure stays down: the scales then show the whole charge",
        "`recover 2 min`: stopped while liquid still boils in the loop, the scales show too little",
        "SAE J2788 (1 oz on what is recovered); present machines 15 g, common practice, no source",
    ),
    instrument(
        "vacuum gauge",
        &[Tool::VacuumGauge],
        "",
        "`vacuum-gauge read` on an emptied loop, while `evacuate on` draws and some minutes after `evacuate off`",
        "`vacuum-gauge read` on a loop under pressure: over range, and ruined",
        COMMON,
    ),
    instrument(
        "feeler gauge",
        &[Tool::FeelerGauge],
        "",
        "`feeler clutch-gap`: all round, engine off",
        "`feeler clutch-gap one-place`: the plate's run-out is in the reading",
        COMMON,
    ),
    instrument(
        "tachometer",
        &[Tool::Tachometer],
        "",
        "`tachometer hub` and `tachometer pulley`: one mark that shines; where they differ the clutch slips",
        "`tachometer hub unmarked`: counts every bright rivet",
        COMMON,
    ),
    instrument(
        "belt tension gauge",
        &[Tool::BeltTensionGauge],
        "",
        "`belt-tension right-span`: told the length of the span that rings",
        "`belt-tension wrong-span`: tension goes with the square of the length told",
        COMMON,
    ),
    instrument(
        "straight edge",
        &[Tool::StraightEdge],
        "",
        "`pulley-line grooves`: over the outermost grooves of both pulleys, engine off",
        "`pulley-line rims`: the rims are not as thick as each other",
        COMMON,
    ),
    instrument(
        "sight glass",
        &[],
        "half a thousandth of vapour by mass",
        "`look sight-glass` on a car that has one, compressor running for some minutes",
        "`look sight-glass` with the compressor out: bubbles or none tell nothing of the charge",
        COMMON,
    ),
    instrument(
        "eyes",
        &[],
        "what is in sight",
        "`look clutch-hub` with the engine running",
        "`look condenser-fan` with the engine off: it stands still on every car",
        COMMON,
    ),
    instrument(
        "ears",
        &[],
        "below 2500 rpm, workshop fan off",
        "`listen expansion-valve`, or `listen orifice-tube` on a car that has one, at idle",
        "`listen expansion-valve` with the workshop fan on or the engine fast: drowned",
        "from memory",
    ),
    instrument(
        "hands",
        &[],
        "seven classes from ice cold to too hot",
        "`feel suction-hose`, `feel accumulator` against the pipe behind the orifice tube; nothing turning near",
        "`feel discharge-hose` after a hot run burns; `feel belt` with the engine running takes the hand in",
        "ISO 13732-1 for what burns (from memory)",
    ),
    instrument(
        "nose",
        &[],
        "what the air brings",
        "`smell vents` with the blower on",
        "`smell vents` with the blower off: no air comes to tell",
        COMMON,
    ),
];
