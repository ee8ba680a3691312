//! Places in the lists of a spec, each of a type of its own.

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident)+) => { $(
        $(#[$doc])*
        #[derive(
            Copy, Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord,
            serde::Serialize, serde::Deserialize,
        )]
        pub struct $name(pub u32);
    )+ };
}

pub(crate) use id;
