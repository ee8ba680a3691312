//! Numbers, texts, lists and places as bytes. Each text is kept once, places as distances from the
//! place before.

use std::collections::HashMap;
use std::sync::Arc;

use truing_units::{Decimal, MAX_DIGITS, MAX_EXPONENT};

use crate::span::{FileId, Span, Spanned};

/// How deep boxes and lists may be nested.
const DEEPEST: u32 = 100;

/// What can be packed.
pub(crate) trait Packed: Sized {
    /// Writes it.
    fn pack(&self, to: &mut Packer);
    /// Reads it back; nothing where the bytes are not such a thing.
    fn unpack(from: &mut Unpacker<'_>) -> Option<Self>;
}

/// Takes what is packed.
#[derive(Default)]
pub(crate) struct Packer {
    bytes: Vec<u8>,
    texts: Vec<Arc<str>>,
    places: HashMap<Arc<str>, u32>,
    last: u32,
}

impl Packer {
    /// All texts, then what was packed.
    pub(super) fn finish(self) -> Vec<u8> {
        let mut head = Packer::default();
        head.number(self.texts.len() as u128);
        for text in &self.texts {
            head.number(text.len() as u128);
            head.bytes.extend(text.as_bytes());
        }
        head.bytes.extend(self.bytes);
        head.bytes
    }

    pub(crate) fn byte(&mut self, byte: u8) {
        self.bytes.push(byte);
    }

    /// Seven bits to a byte, the lowest first.
    fn number(&mut self, mut number: u128) {
        while number >= 0x80 {
            self.byte(number as u8 | 0x80);
            number >>= 7;
        }
        self.byte(number as u8);
    }

    /// Small numbers of either sign stay small.
    fn signed(&mut self, number: i128) {
        self.number(((number << 1) ^ (number >> 127)) as u128);
    }
}

/// Gives back what was packed.
pub(crate) struct Unpacker<'b> {
    bytes: &'b [u8],
    texts: Vec<Arc<str>>,
    file: FileId,
    last: u32,
    depth: u32,
}

impl<'b> Unpacker<'b> {
    pub(super) fn new(bytes: &'b [u8], file: FileId) -> Option<Self> {
        let mut it = Self { bytes, texts: Vec::new(), file, last: 0, depth: 0 };
        let count = it.count()?;
        it.texts.reserve_exact(count);
        for _ in 0..count {
            let length = it.count()?;
            let (text, rest) = it.bytes.split_at_checked(length)?;
            it.bytes = rest;
            it.texts.push(Arc::from(std::str::from_utf8(text).ok()?));
        }
        Some(it)
    }

    pub(super) fn is_done(&self) -> bool {
        self.bytes.is_empty()
    }

    #[inline]
    pub(crate) fn byte(&mut self) -> Option<u8> {
        let (byte, rest) = self.bytes.split_first()?;
        self.bytes = rest;
        Some(*byte)
    }

    #[inline]
    fn number(&mut self) -> Option<u64> {
        let first = self.byte()?;
        if first < 0x80 {
            return Some(u64::from(first));
        }
        u64::try_from(self.rest_of(first)?).ok()
    }

    fn rest_of(&mut self, first: u8) -> Option<u128> {
        let mut number = u128::from(first & 0x7F);
        for shift in (7..126).step_by(7) {
            let byte = self.byte()?;
            number |= u128::from(byte & 0x7F) << shift;
            if byte < 0x80 {
                return Some(number);
            }
        }
        None
    }

    fn signed(&mut self) -> Option<i128> {
        let first = self.byte()?;
        let number = if first < 0x80 { u128::from(first) } else { self.rest_of(first)? };
        Some((number >> 1) as i128 ^ -((number & 1) as i128))
    }

    /// How many of something follow: each takes a byte at least.
    fn count(&mut self) -> Option<usize> {
        let count = usize::try_from(self.number()?).ok()?;
        (count <= self.bytes.len()).then_some(count)
    }

    fn deeper<T>(&mut self, what: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        if self.depth == DEEPEST {
            return None;
        }
        self.depth += 1;
        let read = what(self);
        self.depth -= 1;
        read
    }
}

impl Packed for bool {
    fn pack(&self, to: &mut Packer) {
        to.byte(u8::from(*self));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        match from.byte()? {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }
    }
}

impl Packed for u16 {
    fn pack(&self, to: &mut Packer) {
        to.number(u128::from(*self));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        from.number()?.try_into().ok()
    }
}

impl Packed for Arc<str> {
    fn pack(&self, to: &mut Packer) {
        let place = match to.places.get(self) {
            Some(place) => *place,
            None => {
                let place = to.texts.len() as u32;
                to.texts.push(Arc::clone(self));
                to.places.insert(Arc::clone(self), place);
                place
            }
        };
        to.number(u128::from(place));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        let place = usize::try_from(from.number()?).ok()?;
        from.texts.get(place).cloned()
    }
}

impl Packed for Span {
    fn pack(&self, to: &mut Packer) {
        to.signed(i128::from(self.start) - i128::from(to.last));
        to.signed(i128::from(self.end) - i128::from(self.start));
        to.last = self.start;
    }

    #[inline]
    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        let start = u32::try_from(i128::from(from.last) + from.signed()?).ok()?;
        let end = u32::try_from(i128::from(start) + from.signed()?).ok()?;
        from.last = start;
        Some(Span::new(from.file, start, end))
    }
}

impl Packed for Decimal {
    fn pack(&self, to: &mut Packer) {
        to.signed(self.coefficient());
        to.signed(i128::from(self.exponent()));
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        let (coefficient, exponent) = (from.signed()?, i32::try_from(from.signed()?).ok()?);
        let most = 10_u128.pow(MAX_DIGITS as u32);
        let sound = coefficient.unsigned_abs() < most && exponent.abs() <= MAX_EXPONENT;
        sound.then(|| Decimal::new(coefficient, exponent))
    }
}

impl<T: Packed> Packed for Spanned<T> {
    fn pack(&self, to: &mut Packer) {
        self.node.pack(to);
        self.span.pack(to);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        Some(Spanned { node: T::unpack(from)?, span: Span::unpack(from)? })
    }
}

impl<T: Packed> Packed for Option<T> {
    fn pack(&self, to: &mut Packer) {
        self.is_some().pack(to);
        if let Some(it) = self {
            it.pack(to);
        }
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        match bool::unpack(from)? {
            true => Some(Some(T::unpack(from)?)),
            false => Some(None),
        }
    }
}

impl<T: Packed> Packed for Box<T> {
    fn pack(&self, to: &mut Packer) {
        (**self).pack(to);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        from.deeper(T::unpack).map(Box::new)
    }
}

impl<T: Packed> Packed for Vec<T> {
    fn pack(&self, to: &mut Packer) {
        to.number(self.len() as u128);
        for it in self {
            it.pack(to);
        }
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        let count = from.count()?;
        from.deeper(|from| {
            let mut all = Vec::with_capacity(count);
            for _ in 0..count {
                all.push(T::unpack(from)?);
            }
            Some(all)
        })
    }
}

impl<A: Packed, B: Packed> Packed for (A, B) {
    fn pack(&self, to: &mut Packer) {
        self.0.pack(to);
        self.1.pack(to);
    }

    fn unpack(from: &mut Unpacker<'_>) -> Option<Self> {
        Some((A::unpack(from)?, B::unpack(from)?))
    }
}
