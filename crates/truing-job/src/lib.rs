//! The job sheet: readings from TOML, JSON, CSV or the command line.
