//! The `coldtrail` command.

fn main() {}
