//! Findings and diagnostics for people and programs: terminal text and JSON.
