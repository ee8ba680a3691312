//! How an entry stands in the file: one line of JSON with a checksum over all that it says.

use std::borrow::Cow;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::event::{Event, Logged};

/// The form of the lines. A line of a newer form is refused, not guessed at.
const FORM: u32 = 1;

#[derive(Serialize, Deserialize)]
struct Line<'a> {
    form: u32,
    sequence: u64,
    time: Cow<'a, str>,
    /// CRC-32 (IEEE 802.3) over form, number, time and entry, in hexadecimal.
    sum: String,
    #[serde(borrow)]
    entry: &'a RawValue,
}

/// Why a line is no entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unread {
    /// It is not whole, or was changed.
    Broken(String),
    /// It was written by a newer program.
    Newer(u32),
}

/// The line of an entry, with its end.
pub(super) fn write(entry: &Logged) -> Result<String, String> {
    let told = |error: serde_json::Error| error.to_string();
    let event = serde_json::value::to_raw_value(&entry.event).map_err(told)?;
    let (sequence, time) = (entry.sequence, entry.time.to_string());
    let sum = sum(FORM, sequence, &time, event.get());
    let time = Cow::Owned(time);
    let line = Line { form: FORM, sequence, time, sum, entry: &event };
    let mut text = serde_json::to_string(&line).map_err(told)?;
    text.push('\n');
    Ok(text)
}

/// The entry of a line, without its end.
pub(super) fn read(bytes: &[u8]) -> Result<Logged, Unread> {
    let broken = |why: &dyn std::fmt::Display| Unread::Broken(why.to_string());
    let text = std::str::from_utf8(bytes).map_err(|_| broken(&"it is not text"))?;
    let line: Line<'_> = match serde_json::from_str(text) {
        Ok(line) => line,
        Err(error) => {
            return Err(match form_of(text) {
                Some(form) if form > FORM => Unread::Newer(form),
                _ => broken(&error),
            });
        }
    };
    if line.form > FORM {
        return Err(Unread::Newer(line.form));
    }
    if line.sum != sum(line.form, line.sequence, &line.time, line.entry.get()) {
        return Err(broken(&"its checksum is another one"));
    }
    let time: Timestamp = line.time.parse().map_err(|error: jiff::Error| broken(&error))?;
    let event: Event = serde_json::from_str(line.entry.get()).map_err(|error| broken(&error))?;
    Ok(Logged { sequence: line.sequence, time, event })
}

/// Whether a whole entry stands before something else: then the end of a line was damaged, since no
/// crash writes more than one entry.
pub(super) fn begins_with_entry(bytes: &[u8]) -> bool {
    let mut values = serde_json::Deserializer::from_slice(bytes).into_iter::<&RawValue>();
    let whole = values.next().is_some_and(|value| value.is_ok());
    let first = bytes.get(..values.byte_offset()).unwrap_or_default();
    whole && first.len() < bytes.len() && read(first).is_ok()
}

/// The form of a line that is whole but otherwise not understood.
fn form_of(text: &str) -> Option<u32> {
    #[derive(Deserialize)]
    struct Form {
        form: u32,
    }
    serde_json::from_str::<Form>(text).ok().map(|line| line.form)
}

fn sum(form: u32, sequence: u64, time: &str, entry: &str) -> String {
    let text = format!("{form} {sequence} {time} {entry}");
    format!("{:08x}", crc32fast::hash(text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> Logged {
        let event = Event::NextRound { name: "as found".to_owned(), time: None };
        Logged { sequence: 2, time: Timestamp::UNIX_EPOCH, event }
    }

    #[test]
    fn a_line_reads_back_and_any_changed_sign_shows() {
        let line = write(&entry()).unwrap();
        let body = line.strip_suffix('\n').unwrap();
        assert_eq!(read(body.as_bytes()), Ok(entry()));
        for place in 0..body.len() {
            for bit in 0..8 {
                let mut changed = body.as_bytes().to_vec();
                changed[place] ^= 1 << bit;
                assert!(read(&changed).is_err(), "{}", String::from_utf8_lossy(&changed));
            }
        }
    }

    #[test]
    fn the_checksum_is_the_published_one() {
        // The check value of CRC-32/ISO-HDLC in the catalogue of parametrised CRC algorithms, from
        // memory: 0xcbf43926 over "123456789".
        assert_eq!(crc32fast::hash(b"123456789"), 0xcbf4_3926);
    }

    #[test]
    fn a_line_of_a_newer_form_is_no_broken_one() {
        let newer = "{\"form\":2,\"sequence\":2,\"what\":\"unknown\"}";
        assert_eq!(read(newer.as_bytes()), Err(Unread::Newer(2)));
        assert!(matches!(read(b"{\"form\":2,\"sequence\":2,\"wh"), Err(Unread::Broken(_))));
    }
}
