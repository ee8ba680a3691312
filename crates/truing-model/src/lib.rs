//! The checked spec as plain data: flat, indexed, serialisable. No text is parsed here and no
//! parser is needed to use it.
//!
//! Read in this order: [`outcome`] (what can come of a check), [`reading`] (what an instrument
//! showed), [`limit`] (what is permitted), [`expression`] (how quantities are worked out),
//! [`measurement`] (readings, checks), [`instrument`] (what they are read with), [`fault`] (what can be
//! wrong), [`procedure`] (in which order things are done), [`spec`] (all of it), `soundness` (what makes it sound),
//! `lookup` (finding things by name), [`node`] (what is made of what).

pub mod case;
pub mod expression;
pub mod fault;
mod id;
pub mod instrument;
pub mod learned;
pub mod limit;
mod lookup;
pub mod measurement;
pub mod node;
pub mod outcome;
pub mod own;
pub mod procedure;
pub mod reading;
mod soundness;
pub mod spec;

pub use case::{Case, Expectation};
pub use expression::{Fold, Function, Law, LogicId, LogicNode, NumberId, NumberNode, Relation};
pub use fault::{Bands, CheckBand, Effect, Fault, FaultId, Fix, FixId, Part, PartId, Waiver};
pub use instrument::{
    CommonParts, ErrorTerms, Instrument, InstrumentId, Leads, LimitOfError, MeterFunction,
    MeterRange, Technique, Validity,
};
pub use learned::{Cause, Learned, Shown};
pub use limit::{
    Band, Cite, Condition, Curve, CurvePoint, DecideRule, Edge, Interpolation, Interval, Limit,
    LimitId, LimitRule, Variant,
};
pub use measurement::{
    Caution, CautionId, Check, CheckId, CheckRule, Circuit, Derived, DerivedId, Domain, Extreme,
    Property, PropertyId, Reduction, Slot, SlotId, SlotKind, State, StateId,
};
pub use outcome::{Outcome, OutcomePattern, Side};
pub use own::{OwnKind, OwnUnit};
pub use procedure::{Procedure, Step, StepId, Taken};
pub use reading::{Indication, PropertyValue, Reading};
pub use spec::{Beside, BrokenSpec, Machine, Source, SourceId, Spec, SpecParts};
