//! A session at the machine: one job from the complaint to the proof, line by line. A terminal, a pipe
//! and a script of answers drive the same session.
//!
//! Read in this order: [`said`] (what comes out), `tokens`, [`scale`] and [`typed`](mod@typed) (what a
//! reading is typed as).

pub mod said;
pub mod scale;
pub mod tokens;
pub mod typed;

pub use said::{Said, Sort};
