//! From text to a case: vehicles, faults and cases in TOML, checked and built into cars.
