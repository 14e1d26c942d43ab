//! The commands of `coldtrail`, one file each.

pub mod fluid;
