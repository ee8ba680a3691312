//! What `explain` says of each mistake of a sheet. A test reads every example.

use truing_syntax::{Severity, Slug, SlugDoc};

use crate::slugs as name;

/// What there is to say of every mistake of this crate, in the order in which a sheet meets them.
///
/// The examples are sheets in TOML; where a mistake is none of the text's, they are empty.
#[must_use]
pub fn slugs() -> &'static [SlugDoc] {
    DOCS
}

const fn doc(
    slug: Slug,
    title: &'static str,
    explain: &'static str,
    [wrong, right]: [&'static str; 2],
) -> SlugDoc {
    SlugDoc { slug, severity: Severity::Error, title, explain, wrong, right }
}

const NO_EXAMPLE: [&str; 2] = ["", ""];

static DOCS: &[SlugDoc] = &[
    doc(
        name::SHEET_UNREADABLE,
        "A sheet that cannot be read",
        "The file is not there, is a directory, or may not be read by this user.",
        NO_EXAMPLE,
    ),
    doc(
        name::SHEET_TOO_LARGE,
        "A sheet that is too large",
        "No job has so many readings: sheets are read up to 16 MB. Is it the right file?",
        NO_EXAMPLE,
    ),
    doc(
        name::SHEET_ENCODING,
        "A sheet that is not UTF-8",
        "The text is in another encoding, so that `µ` and `Ω` would be misread. Spreadsheets offer \
         UTF-8 when a file is saved as CSV.",
        NO_EXAMPLE,
    ),
    doc(
        name::EMPTY_SHEET,
        "A sheet without readings",
        "A sheet has `[readings]`, or a `[[round]]` for each time through the machine. A round may be \
         empty; then nothing was taken in it.",
        ["job = \"1\"\n", "job = \"1\"\n[readings]\n"],
    ),
    doc(
        name::SHEET_SYNTAX,
        "A text that is not TOML, JSON or CSV",
        "The format goes by the end of the file's name. In TOML a reading stands in quotes, since it \
         has a unit.",
        ["[readings]\nbattery_rest = 12.71 V\n", "[readings]\nbattery_rest = \"12.71 V\"\n"],
    ),
    doc(
        name::SHEET_SHAPE,
        "A value of the wrong form",
        "Each key of a sheet takes a text, a table or a list of tables. A reading is a text, a list of \
         texts (repeats), or a table with its `value`.",
        [
            "[readings]\nbattery_rest = true\n",
            "[readings]\nbattery_rest = { value = \"12.71 V\" }\n",
        ],
    ),
    doc(
        name::UNKNOWN_KEY,
        "A key that no sheet has",
        "A misspelt key would be passed over in silence, so it is refused.",
        ["tecnician = \"T1\"\n[readings]\n", "technician = \"T1\"\n[readings]\n"],
    ),
    doc(
        name::KEY_TWICE,
        "A key that is given twice",
        "In JSON and CSV the second would replace the first without a word.",
        NO_EXAMPLE,
    ),
    doc(
        name::SHEET_VERSION,
        "A sheet of a version that is not known",
        "A sheet says with which version of the format it was written; one that says none is of the \
         first. Older versions are brought up to today's as they are read. What a newer one means \
         cannot be guessed: a newer Truing reads it.",
        ["version = 3\n[readings]\n", "version = 2\n[readings]\n"],
    ),
    doc(
        name::SHEET_TIME,
        "A date or a time that is none",
        "A day is written `2026-11-03`, a time with its day, by the workshop's clock: \
         `2026-11-03T09:10:00`.",
        [
            "[[round]]\ntime = \"ten past nine\"\n[round.readings]\n",
            "[[round]]\ntime = 2026-11-03T09:10:00\n[round.readings]\n",
        ],
    ),
    doc(
        name::SPEC_HASH,
        "A hash of a spec that is none",
        "`spec_hash` is the SHA-256 of the spec's text and of the libraries that it uses, as Truing \
         writes it. It tells whether the limits are still those that the job was judged by.",
        ["spec_hash = \"md5:00\"\n[readings]\n", "[readings]\n"],
    ),
    doc(
        name::PART_AMOUNT,
        "A quantity or a price that cannot be",
        "A part has a whole number of pieces, 1 where none is said, and the price of one as a \
         decimal without its currency.",
        [
            "[[round]]\nparts = [{ name = \"battery\", price = \"89,00\" }]\n",
            "[[round]]\nparts = [{ name = \"battery\", price = 89.00 }]\n",
        ],
    ),
    doc(
        name::PHOTO_PATH,
        "A photo outside of the job's folder",
        "Photos go with the job: their paths lead from its folder downwards, parted by `/`. A path \
         that leads elsewhere could show what is none of the job's, or what is not there tomorrow.",
        [
            "[[round]]\nphotos = [{ path = \"../connector.jpg\" }]\n",
            "[[round]]\nphotos = [{ path = \"photos/connector.jpg\" }]\n",
        ],
    ),
    doc(
        name::DECIDE_TEXT,
        "A decision rule that is none",
        "`simple` judges the reading alone, `at 95 %` asks for that probability of conformity on both \
         sides, `guarded 2` keeps so many standard uncertainties off the limit (JCGM 106:2012).",
        ["decide = \"95 %\"\n[readings]\n", "decide = \"at 95 %\"\n[readings]\n"],
    ),
    doc(
        name::SPEC_MISMATCH,
        "A sheet for another spec",
        "The sheet names the spec that it was written for, and this is another. Readings judged by \
         another machine's limits say nothing.",
        ["spec = \"another\"\n[readings]\n", "spec = \"bench\"\n[readings]\n"],
    ),
    doc(
        name::NO_SUCH_ROUND,
        "A round that the sheet does not have",
        "Rounds go by their name or their number, from 1.",
        NO_EXAMPLE,
    ),
    doc(
        name::UNKNOWN_READING,
        "A reading that the spec does not have",
        "The name is none of the spec's readings, observations or properties. The nearest one is \
         shown where one is near.",
        ["[readings]\nbatery_rest = \"12.71 V\"\n", "[readings]\nbattery_rest = \"12.71 V\"\n"],
    ),
    doc(
        name::UNKNOWN_PROPERTY,
        "A property that the spec does not have",
        "Under `[machine]` stands what the machine is: the spec's properties. What was read stands in \
         a round.",
        ["[machine]\nmarkt = \"eu\"\n[readings]\n", "[machine]\nmarket = \"eu\"\n[readings]\n"],
    ),
    doc(
        name::UNKNOWN_MEMBER,
        "A member that the reading does not have",
        "A reading of a family has one value for each member. A pair goes one way only, since turning \
         the leads turns the sign.",
        [
            "[readings]\nto_ground = { X = \"2 Mohm\" }\n",
            "[readings]\nto_ground = { U = \"2 Mohm\" }\n",
        ],
    ),
    doc(
        name::MEMBER_MISSING,
        "A reading of a family without its member",
        "Which member was read is not said. Only `not taken` may be said of a whole family.",
        ["[readings]\nto_ground = \"2 Mohm\"\n", "[readings]\n\"to_ground[U]\" = \"2 Mohm\"\n"],
    ),
    doc(
        name::READING_TWICE,
        "A reading that is given twice",
        "Which of the two counts cannot be known. Several readings of the same thing are repeats, \
         written as one.",
        [
            "[readings]\nto_ground = { U = \"2 Mohm\" }\n\"to_ground[U]\" = \"3 Mohm\"\n",
            "[readings]\nto_ground = { U = \"2 Mohm, 3 Mohm\" }\n",
        ],
    ),
    doc(
        name::READING_SYNTAX,
        "A text that is no reading",
        "A reading is a number with its unit, `OL`, a bound (`> 20 Mohm`), an interval \
         (`0.13 .. 0.15 mm`), an unsteady reading (`1 .. 2 V unsteady`), repeats, a sweep, an \
         observation's word, or `not taken \"why\"`.",
        NO_EXAMPLE,
    ),
    doc(
        name::READING_UNIT,
        "A number without its unit",
        "`12.5` may be volts or millivolts. The unit stands behind the number as the display showed it.",
        ["[readings]\nbattery_rest = 12.5\n", "[readings]\nbattery_rest = \"12.5 V\"\n"],
    ),
    doc(
        name::READING_KIND,
        "A reading of another kind",
        "The unit does not measure what is read here: a current for a voltage, a word for a number. \
         Perhaps it stands under the wrong name.",
        ["[readings]\nbattery_rest = \"12.5 A\"\n", "[readings]\nbattery_rest = \"12.5 V\"\n"],
    ),
    doc(
        name::ONE_OR_OVERLOAD,
        "A lone 1",
        "Some meters show an over-range as a single 1 at the left of the display. Whether that was it, \
         or the number one, only the hand that wrote it knows.",
        ["[readings]\nto_ground = { U = \"1 .\" }\n", "[readings]\nto_ground = { U = \"OL\" }\n"],
    ),
    doc(
        name::OVERLOAD_UNIT,
        "OL with a unit",
        "`OL` is above the top of the range in use. A unit alone says not which range that was: a \
         display may show `OL MΩ` on a range of 6 or of 60 Mohm.",
        [
            "[readings]\nto_ground = { U = \"OL Mohm\" }\n",
            "[readings]\nto_ground = { U = \"OL on 60 Mohm\" }\n",
        ],
    ),
    doc(
        name::NOT_A_NUMBER,
        "NaN or infinity",
        "No display shows it: it comes from a program that had no reading. What was not read is \
         `not taken`, what was beyond the range is `OL`.",
        [
            "[readings]\nbattery_rest = nan\n",
            "[readings]\nbattery_rest = 'not taken \"no data\"'\n",
        ],
    ),
    doc(
        name::UNKNOWN_WORD,
        "A word that cannot be seen there",
        "An observation has one of the words that the spec lists for it, and so has a property.",
        ["[readings]\nconnector = \"fine\"\n", "[readings]\nconnector = \"clean\"\n"],
    ),
    doc(
        name::UNKNOWN_STATE,
        "A state that the spec does not have",
        "The state of a reading is one of the spec's states, where the reading was taken in another \
         than its own.",
        [
            "[readings]\nbattery_rest = { value = \"13.1 V\", state = \"ideling\" }\n",
            "[readings]\nbattery_rest = { value = \"13.1 V\", state = \"idling\" }\n",
        ],
    ),
    doc(
        name::UNKNOWN_CAUTION,
        "A caution that the spec does not have",
        "`cautions` names the spec's cautions that were read and acknowledged before the readings of \
         a round were taken.",
        ["[[round]]\ncautions = [\"exhast\"]\n", "[[round]]\ncautions = [\"exhaust\"]\n"],
    ),
    doc(
        name::UNKNOWN_CHECK,
        "A check that the spec does not have",
        "What was skipped, and what a remark or a photo is of, is a check of the spec or a reading, \
         with its member where it has one.",
        [
            "[[round]]\nskipped = [{ check = \"insulatd[U]\", why = \"no time\" }]\n",
            "[[round]]\nskipped = [{ check = \"insulated[U]\", why = \"no time\" }]\n",
        ],
    ),
    doc(
        name::UNKNOWN_FIX,
        "A repair that is none of the spec's fixes",
        "`fitted` names the fixes of the spec that were done before a round. What is no fix of the \
         spec belongs in a note.",
        [
            "[[round]]\nfitted = [\"renew_batery\"]\n[round.readings]\nbattery_rest = \"12.71 V\"\n",
            "[[round]]\nfitted = [\"renew_battery\"]\n[round.readings]\nbattery_rest = \"12.71 V\"\n",
        ],
    ),
    doc(
        name::UNKNOWN_INSTRUMENT,
        "An instrument that is not there",
        "A reading, a round or the sheet names a `meter`, or an `[[instrument]]` names a `profile`, \
         that neither the sheet nor the spec nor the library that is built in has.",
        [
            "meter = \"M-B\"\n[readings]\nbattery_rest = \"12.71 V\"\n",
            "meter = \"M-B\"\n[[instrument]]\nname = \"M-B\"\nprofile = \"bench_meter\"\n[readings]\nbattery_rest = \"12.71 V\"\n",
        ],
    ),
    doc(
        name::METER_USE,
        "How a reading was taken makes no sense",
        "A range that is no figure, an uncertainty below nought, a date that is none, or a \
         calibration after the job.",
        [
            "date = 2026-11-02\n[[instrument]]\nprofile = \"bench_meter\"\ncalibrated = 2027-01-15\n[readings]\nbattery_rest = \"12.71 V\"\n",
            "date = 2026-11-02\n[[instrument]]\nprofile = \"bench_meter\"\ncalibrated = 2026-01-15\n[readings]\nbattery_rest = \"12.71 V\"\n",
        ],
    ),
    doc(
        name::CORRELATION,
        "Correlation coefficients that no readings can have",
        "A coefficient lies from -1 to 1, and all of them together must be those of readings that \
         can exist (a positive semidefinite matrix): two readings that both move with a third one \
         move with each other.",
        [
            "[[round]]\n[[round.correlation]]\nreadings = [\"battery_rest\", \"to_ground[U]\"]\ncoefficient = 1.5\n[round.readings]\nbattery_rest = \"12.71 V\"\n",
            "[[round]]\n[[round.correlation]]\nreadings = [\"to_ground[U]\", \"to_ground[V]\"]\ncoefficient = 0.5\n[round.readings]\nbattery_rest = \"12.71 V\"\n",
        ],
    ),
    doc(
        name::PROPERTY_VALUE,
        "A property that is no number",
        "The spec takes this property as a number, and compares it with others: a serial number \
         without its letters.",
        ["[machine]\nserial = \"A-3402\"\n[readings]\n", "[machine]\nserial = 3402\n[readings]\n"],
    ),
    doc(
        name::ASSIGNMENT,
        "An assignment without its value",
        "On the command line a reading is set as `battery_rest=12.71 V`, in quotes for the shell.",
        NO_EXAMPLE,
    ),
];
