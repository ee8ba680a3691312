//! What the readings say: a sheet against a spec gives findings with their reasons.
