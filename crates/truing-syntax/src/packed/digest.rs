//! A quick digest. It tells a stale or broken cache from a sound one; it is no proof against malice,
//! and needs to be none: the bytes are compiled in.

const SEED: u64 = 0x9E37_79B9_7F4A_7C15;

const fn mixed(digest: u64, word: u64) -> u64 {
    (digest ^ word).wrapping_mul(SEED).rotate_left(29)
}

/// The digest of some bytes, eight at a time.
pub(super) fn of_bytes(bytes: &[u8]) -> u64 {
    let (words, rest) = bytes.as_chunks::<8>();
    let digest = words.iter().fold(SEED, |it, word| mixed(it, u64::from_le_bytes(*word)));
    let digest = rest.iter().fold(digest, |it, byte| mixed(it, u64::from(*byte)));
    mixed(digest, bytes.len() as u64)
}

/// The digest of how the tree is packed. Blanks do not count: compilers print tokens with more or
/// fewer of them.
pub(super) const fn of_shape(parts: &[&str]) -> u64 {
    let mut digest = SEED;
    let mut parts = parts;
    while let [part, rest @ ..] = parts {
        let mut bytes = part.as_bytes();
        while let [byte, rest @ ..] = bytes {
            if !byte.is_ascii_whitespace() {
                digest = mixed(digest, *byte as u64);
            }
            bytes = rest;
        }
        parts = rest;
    }
    digest
}
