//! Refrigerants: equation of state, saturation and the fast table the loop uses.
