//! Tells cargo to look for new data files: the compiler only knows of those it has seen.

fn main() {
    for folder in ["vehicles", "faults", "bank", "components.toml"] {
        println!("cargo:rerun-if-changed={folder}");
    }
}
