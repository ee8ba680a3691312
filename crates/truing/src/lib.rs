//! The front door for programs that embed Truing.
