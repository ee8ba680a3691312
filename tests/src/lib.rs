//! What the cross-crate tests share.
//!
//! Read in this order: [`cart`] (a spec and a job with one of everything), [`attacks`] (texts that try to be more), [`place`] (where the project's files are), [`markdown`] (the fenced blocks
//! of its pages), [`shelf`] (libraries from folders), [`corpus`] (the files that must fail),
//! [`token`], [`mutation`] and [`injection`] (mistakes put into good specs).

pub mod attacks;
pub mod cart;
pub mod corpus;
pub mod injection;
pub mod markdown;
pub mod mutation;
pub mod place;
pub mod shelf;
pub mod token;
