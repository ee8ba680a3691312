//! What the command's exit status says.

use std::process::ExitCode;

/// What the command's exit status says; of several the gravest is returned.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Everything passes.
    Pass,
    /// Nothing is outside, but something is undecided, blocked or not taken.
    Open,
    /// Something is outside, a case failed, or a file is not in its formatted form.
    Outside,
    /// The spec, the sheet or the call is in error.
    Error,
}

impl Status {
    /// The number that a shell sees.
    pub const fn number(self) -> u8 {
        match self {
            Self::Pass => 0,
            Self::Outside => 1,
            Self::Error => 2,
            Self::Open => 3,
        }
    }
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        status.number().into()
    }
}

#[cfg(test)]
mod tests {
    use super::Status;

    #[test]
    fn the_gravest_of_several_is_the_greatest() {
        let all = [Status::Open, Status::Error, Status::Pass, Status::Outside];
        assert_eq!(all.into_iter().max(), Some(Status::Error));
        assert_eq!([Status::Open, Status::Outside].into_iter().max(), Some(Status::Outside));
        assert_eq!([Status::Open, Status::Pass].into_iter().max(), Some(Status::Open));
    }
}
