//! Corrections that the trade applies to readings before they are judged.
