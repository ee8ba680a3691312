//! What a job's record says besides its readings: times, parts, cautions, what was skipped and why,
//! remarks, photos, bypasses, the limits that it was judged by, and how it was closed.

use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};
use truing_units::Decimal;

use crate::error::{SheetError, quoted};
use crate::sheet::Place;
use crate::slugs;

/// A part that was fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Part {
    /// What it is: `regulator-rectifier`.
    pub name: String,
    /// The number that it is ordered by.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// How many; one or more.
    pub quantity: u32,
    /// The price of one, a decimal as written, in the workshop's money.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

impl Default for Part {
    fn default() -> Self {
        let (name, place) = (String::new(), Place::default());
        Self { name, number: None, quantity: 1, price: None, place }
    }
}

/// What was left out, and why.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Skipped {
    /// A check of the spec, or a reading: `winding_level[U-V]`. A family without a member is all of it.
    pub check: String,
    /// The reason.
    pub why: String,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// A remark of the technician.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Remark {
    /// What was noted.
    pub text: String,
    /// When, local date and time as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time: Option<String>,
    /// The check or reading that it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// A photo in the job's folder.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Photo {
    /// Where the file is, from the job's folder, with `/`; see [`check_photo_path`].
    pub path: String,
    /// The check or reading that it shows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// What is to be seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// Something bridged, clamped off or plugged in for a test, which must come off again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Bypass {
    /// `seat switch bridged`
    pub what: String,
    /// It is off again.
    pub removed: bool,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// A limit as it was when the job was judged, so that a later edition can be held against it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Judged {
    /// The check, `insulated[V]`.
    pub check: String,
    /// Its limit as printed.
    pub limit: String,
    /// Where that was printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// How a job was closed.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Closed {
    /// The day, as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Why it was closed with something in the way. The repair is then not proven.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// Reads a day as a sheet writes it: `2026-11-03`.
///
/// # Errors
/// Where it is none.
pub fn parse_day(text: &str) -> Result<Date, SheetError> {
    text.trim().parse().map_err(|_| {
        let message = format!("{} is no date", quoted(text));
        SheetError::new(slugs::SHEET_TIME, message).mend("write year, month and day: 2026-11-03")
    })
}

/// Reads a local date and time as a sheet writes it: `2026-11-03T09:10:00`.
///
/// # Errors
/// Where it is none; a day alone is none.
pub fn parse_time(text: &str) -> Result<DateTime, SheetError> {
    let text = text.trim();
    let parsed = text.parse().ok().filter(|_| text.contains(':'));
    parsed.ok_or_else(|| {
        let message = format!("{} is no date and time", quoted(text));
        SheetError::new(slugs::SHEET_TIME, message)
            .mend("write day and time of the workshop's clock: 2026-11-03T09:10:00")
    })
}

/// Whether an amount of money can stand in a sheet: a decimal of nought or more, without a currency
/// and without a power of ten.
///
/// # Errors
/// What is wrong with it.
pub fn check_price(text: &str) -> Result<(), SheetError> {
    let text = text.trim();
    let plain = |c: char| c.is_ascii_digit() || c == '.';
    let why = match Decimal::parse(text) {
        Ok(_) if text.chars().all(plain) => return Ok(()),
        Ok(_) => "it is nought or more, in digits".to_owned(),
        Err(error) => error.to_string(),
    };
    let message = format!("{} is no price: {why}", quoted(text));
    Err(SheetError::new(slugs::PART_AMOUNT, message)
        .mend("write the price of one without its currency: 165 or 165.50"))
}

/// Whether a path can be that of a job's photo: from the job's folder downwards, with `/`. So a
/// record can't make a reader's program open what lies elsewhere.
///
/// # Errors
/// What is wrong with it.
pub fn check_photo_path(path: &str) -> Result<(), SheetError> {
    let why = if path.trim().is_empty() {
        "there is no path"
    } else if path.chars().any(char::is_control) {
        "it has a control character in it"
    } else if path.contains('\\') {
        "folders are parted by `/`"
    } else if path.starts_with('/') {
        "it does not begin in the job's folder"
    } else if path.contains(':') {
        "a drive or an address is none in the job's folder"
    } else if has_escape(path) {
        "`%` with two digits after it is read as another character in some places"
    } else {
        match path.split('/').find(|step| matches!(step.trim(), "" | "." | "..")) {
            None => return Ok(()),
            Some("..") => "`..` leads out of the job's folder",
            Some(_) => "a step of it is none",
        }
    };
    let message = format!("{} is no path of a photo: {why}", quoted(path));
    Err(SheetError::new(slugs::PHOTO_PATH, message)
        .mend("put the photo into the job's folder and write: photos/connector.jpg"))
}

/// `%2e`: what reads the path as an address would make another character of it.
fn has_escape(path: &str) -> bool {
    let escape = |three: &[u8]| matches!(three, [b'%', a, b] if a.is_ascii_hexdigit() && b.is_ascii_hexdigit());
    path.as_bytes().windows(3).any(escape)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_photo_lies_in_the_job_s_folder_or_is_refused() {
        for path in ["a.jpg", "photos/connector 1.jpg", "photos/صورة.jpg", "a..b/50%.png"] {
            assert_eq!(check_photo_path(path), Ok(()), "{path}");
        }
        for path in [
            "",
            " ",
            "/etc/passwd",
            "../a.jpg",
            "photos/../../a.jpg",
            "photos/..",
            "./a.jpg",
            "a//b",
            "photos/ .. /a.jpg",
            "C:\\a.jpg",
            "C:/a.jpg",
            "\\\\host\\a.jpg",
            "photos\\a.jpg",
            "http://host/a.jpg",
            "//host/a.jpg",
            "data:image/png;base64,AA",
            "javascript:alert(1)",
            "file:a.jpg",
            "%2e%2e/a.jpg",
            "photos/%2E%2e%2fa.jpg",
            "a\u{1b}[2J.jpg",
            "a\nb.jpg",
            "a/",
        ] {
            assert_eq!(check_photo_path(path).unwrap_err().slug, slugs::PHOTO_PATH, "{path}");
        }
    }

    #[test]
    fn a_price_is_a_decimal_of_nought_or_more() {
        for price in ["165", "165.50", "0", "0.05"] {
            assert_eq!(check_price(price), Ok(()), "{price}");
        }
        for price in ["", "-1", "+1", "165,50", "1e3", "165 EUR", ".5", "nan", "inf", "1.2.3"] {
            assert_eq!(check_price(price).unwrap_err().slug, slugs::PART_AMOUNT, "{price}");
        }
    }

    #[test]
    fn a_time_has_a_day_and_a_clock() {
        assert!(parse_time("2026-11-03T09:10:00").is_ok());
        assert!(parse_time("2026-11-03 09:10").is_ok());
        for time in ["2026-11-03", "09:10", "3 Nov 2026 9:10", "2026-02-30T09:10:00", ""] {
            assert_eq!(parse_time(time).unwrap_err().slug, slugs::SHEET_TIME, "{time}");
        }
        assert!(parse_day("2026-11-03").is_ok());
        assert_eq!(parse_day("2026-11-31").unwrap_err().slug, slugs::SHEET_TIME);
    }
}
