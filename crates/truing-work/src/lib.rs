//! A session at the machine: one job from the complaint to the proof, line by line. A terminal, a pipe
//! and a script of answers drive the same session; it needs the crate `truing` and nothing below it.
//!
//! Read in this order: [`said`] (what comes out), [`command`] (what a line asks for), [`tokens`],
//! [`scale`] and [`typed`](mod@typed) (what a reading is typed as), [`slip`] (what may have gone wrong
//! with it), [`ledger`] (what is kept), [`bench`](mod@bench) (what it comes to), [`meters`], [`way`], [`task`] and
//! [`guide`] (what is done next), `tell` (the sentences), and [`session`], which brings them together.

pub mod bench;
pub mod command;
pub mod guide;
pub mod ledger;
pub mod meters;
pub mod said;
pub mod scale;
pub mod session;
pub mod slip;
pub mod task;
mod tell;
pub mod tokens;
pub mod typed;
pub mod way;

pub use ledger::{InMemory, NotKept, Record};
pub use said::{Said, Sort};
pub use session::{Clock, NotOpened, Session};
