//! What time it is where the command runs.

use jiff::ZonedDateTime;

/// The local time to the second, as a sheet writes it.
pub fn now() -> Option<String> {
    let now = ZonedDateTime::now().datetime();
    Some(now.strftime("%Y-%m-%dT%H:%M:%S").to_string())
}
