//! A tree kept as bytes, for texts that are read over and over: reading it back takes a twentieth of
//! the time that the parser takes.
//!
//! The bytes are a cache and nothing more. They carry a digest of the text, of the shape of the
//! tree's types and of themselves; where one of the three is another than expected, [`unpack`] gives
//! nothing and the text is parsed.

mod bytes;
mod digest;

use crate::parse::parse;
use crate::span::FileId;
use crate::tree::{self, File};

pub(crate) use bytes::{Packed, Packer, Unpacker};

/// The bytes of the three digests.
const HEAD: usize = 24;

/// The tree of a text as bytes; none where something was found in the text, or where its tree is
/// deeper than it is worth to keep.
#[must_use]
pub fn pack(text: &str) -> Option<Vec<u8>> {
    let parsed = parse(FileId(0), text);
    if !parsed.findings.is_empty() || !parsed.unread.is_empty() {
        return None;
    }
    let mut packer = Packer::default();
    parsed.tree.pack(&mut packer);
    let body = packer.finish();
    let mut all = head(text, &body).concat();
    all.extend(body);
    // What cannot be read back is not worth to be kept.
    unpack(&all, FileId(0), text).map(|_| all)
}

/// The tree that [`pack`] made of this very text, with its places in `file`; none where the bytes are
/// broken, were made from another text or by another version of the tree.
#[must_use]
pub fn unpack(bytes: &[u8], file: FileId, text: &str) -> Option<File> {
    let (found, body) = bytes.split_at_checked(HEAD)?;
    if found != head(text, body).as_flattened() {
        return None;
    }
    let mut unpacker = Unpacker::new(body, file)?;
    let tree = File::unpack(&mut unpacker)?;
    unpacker.is_done().then_some(tree)
}

fn head(text: &str, body: &[u8]) -> [[u8; 8]; 3] {
    const SHAPE: u64 = digest::of_shape(&[
        tree::SHAPE,
        tree::quantity::SHAPE,
        tree::expression::SHAPE,
        tree::measurement::SHAPE,
        tree::diagnosis::SHAPE,
        tree::instrument::SHAPE,
    ]);
    [SHAPE, digest::of_bytes(text.as_bytes()), digest::of_bytes(body)].map(u64::to_le_bytes)
}

/// How the types of the tree are packed: their fields in order, and their variants by place. A field
/// or a variant that is missing here does not compile.
macro_rules! packed {
    ($($all:tt)*) => {
        /// What stands below, for a digest.
        pub(crate) const SHAPE: &str = stringify!($($all)*);
        $crate::packed::each! { $($all)* }
    };
}

macro_rules! each {
    () => {};
    (struct $name:ident { $($field:ident),* } $($rest:tt)*) => {
        impl $crate::packed::Packed for $name {
            fn pack(&self, to: &mut $crate::packed::Packer) {
                let Self { $($field),* } = self;
                $($field.pack(to);)*
            }

            fn unpack(from: &mut $crate::packed::Unpacker<'_>) -> Option<Self> {
                Some(Self { $($field: $crate::packed::Packed::unpack(from)?),* })
            }
        }
        $crate::packed::each! { $($rest)* }
    };
    (enum $name:ident {
        $($variant:ident $(($($part:ident),*))? $({ $($field:ident),* })?),*
    } $($rest:tt)*) => {
        const _: () = {
            enum Tag { $($variant),* }

            impl $crate::packed::Packed for $name {
                fn pack(&self, to: &mut $crate::packed::Packer) {
                    match self {
                        $(Self::$variant $(($($part),*))? $({ $($field),* })? => {
                            to.byte(Tag::$variant as u8);
                            $($($part.pack(to);)*)?
                            $($($field.pack(to);)*)?
                        })*
                    }
                }

                fn unpack(from: &mut $crate::packed::Unpacker<'_>) -> Option<Self> {
                    match from.byte()? {
                        $(tag if tag == Tag::$variant as u8 => Some(Self::$variant
                            $(($({
                                let $part = $crate::packed::Packed::unpack(from)?;
                                $part
                            }),*))?
                            $({ $($field: $crate::packed::Packed::unpack(from)?),* })?
                        ),)*
                        _ => None,
                    }
                }
            }
        };
        $crate::packed::each! { $($rest)* }
    };
}

pub(crate) use {each, packed};

#[cfg(test)]
mod tests {
    use super::*;

    const TEXTS: [&str; 3] = [
        include_str!("../../tests/fixtures/spec.truing"),
        include_str!("../../tests/fixtures/library.truing"),
        include_str!("../../tests/fixtures/instrument.truing"),
    ];

    #[test]
    fn what_comes_back_is_what_the_parser_gives() {
        for text in TEXTS {
            let file = FileId(7);
            let back = unpack(&pack(text).unwrap(), file, text).unwrap();
            // Equality passes over places; what is printed for debugging has them.
            assert_eq!(format!("{back:?}"), format!("{:?}", parse(file, text).tree));
        }
    }

    #[test]
    fn another_text_or_broken_bytes_give_nothing() {
        let text = TEXTS[1];
        let bytes = pack(text).unwrap();
        assert!(unpack(&bytes, FileId(0), &text.replacen('1', "2", 1)).is_none());
        for place in 0..bytes.len() {
            let mut broken = bytes.clone();
            broken[place] ^= 1;
            assert!(unpack(&broken, FileId(0), text).is_none(), "{place}");
            assert!(unpack(&bytes[..place], FileId(0), text).is_none(), "{place}");
        }
    }

    #[test]
    fn bytes_that_pass_for_whole_do_no_harm() {
        // The digest is made anew, so that the reader itself meets what is broken.
        let text = TEXTS[0];
        let bytes = pack(text).unwrap();
        for place in HEAD..bytes.len() {
            for change in [1, 0x80, 0xFF] {
                let mut body = bytes[HEAD..].to_vec();
                body[place - HEAD] ^= change;
                let mut all = head(text, &body).concat();
                all.extend(body);
                let _any = unpack(&all, FileId(0), text);
            }
        }
    }

    #[test]
    fn a_text_in_which_something_was_found_is_not_kept() {
        assert!(pack("limit a = 5 V\n").is_none());
        assert!(pack("").is_some());
    }
}
