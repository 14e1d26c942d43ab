//! What the tests and benches share. The checks themselves are the files beside this folder.

pub mod stand;
pub mod view;
