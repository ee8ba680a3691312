//! Following a written procedure: where a job stands in its order, what comes next, and what the
//! order is worth by the model of the spec's faults.
//!
//! Read in this order: [`walked`] (what a walk comes to), `rounds` (what the rounds of a job say of a
//! condition), `needs` (what a step takes), `effort` (what stands open, minutes), `follow` (the walk).
//! Then, without a job: `cases` and `same` (what may be read, and how probable it is), `paths` (every way
//! through a procedure), [`order_study`](mod@order_study) (what it is expected to take, and what it
//! names without ground), `idle` (what in it can change nothing).
//!
//! # How a walk goes
//!
//! Steps are gone through in their order.
//!
//! - `take`: what is not there yet is left open, and the walk goes on: readings that were taken out
//!   of order count. What was set down as not taken is not asked for again; nor is a check whose
//!   `when` is known not to hold, nor a reading that could be taken only while the machine stood as
//!   it came in.
//! - `if`: by Kleene's logic over what the rounds say. True or false, that way is taken; unknown, the
//!   walk ends here and names what would settle it.
//! - `advise`, `suspect` and `stop` wait: where a `take` before them in their own block is open, the
//!   walk ends before them. (A branch that was taken out of order does not wait for what was to be
//!   taken before it: what decided it is known.)
//!
//! What comes next is the first step on the way that is open.
//!
//! # What rounds say together
//!
//! Of each check the last round counts in which it was judged or undecided; else the last in which
//! it was blocked. The parts of a condition that are no outcomes of checks (`running > 13 V`,
//! `connector is clean`) are judged as checks with that rule, and count alike.

mod cases;
mod effort;
mod follow;
mod idle;
mod needs;
pub mod order_study;
mod paths;
mod rounds;
mod same;
pub mod walked;

pub use follow::walk;
pub use idle::idle;
pub use order_study::{
    Against, EngineOrder, Idle, OrderStudy, Settled, Unsupported, WrittenOrder, engine_order,
    order_study,
};
pub use paths::MOST_PATHS;
pub use walked::{
    Asked, AskedOf, End, Now, Passed, StageWalk, Stand, ToRead, Took, Walk, WalkStep, What,
};
