//! Interpolation in tables.
