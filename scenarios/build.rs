//! Tells cargo to look for new data files: the compiler only knows of those it has seen.

fn main() {
    let files = [
        "components.toml",
        "competencies.toml",
        "together.toml",
        "marks.toml",
        "counter.toml",
        "syllabus.toml",
    ];
    for path in ["vehicles", "faults", "bank", "questions", "forms"]
        .into_iter()
        .chain(files)
    {
        println!("cargo:rerun-if-changed={path}");
    }
}
