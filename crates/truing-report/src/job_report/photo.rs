//! Pictures that are taken into a report: known by what they are, not by their names.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// A larger picture is left out: a report goes by mail.
pub const MOST_BYTES_OF_A_PHOTO: usize = 4 << 20;

/// So many bytes of pictures are taken into one report.
pub const MOST_BYTES_OF_ALL_PHOTOS: usize = 16 << 20;

/// A picture in one of the forms that every browser draws and that cannot hold a script. (SVG can.)
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    media: &'static str,
    bytes: Vec<u8>,
}

impl Picture {
    /// A picture, by its first bytes; nothing where they are not those of a JPEG, PNG, GIF or WebP.
    #[must_use]
    pub fn new(bytes: Vec<u8>) -> Option<Self> {
        // RFC 2083, 3.1 for PNG; ISO/IEC 10918-1, B.1.1.3 for JPEG; RFC 9649 for WebP.
        let media = match bytes.as_slice() {
            [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
            [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => "image/png",
            [b'G', b'I', b'F', b'8', b'7' | b'9', b'a', ..] => "image/gif",
            [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => "image/webp",
            _ => return None,
        };
        Some(Self { media, bytes })
    }

    /// `image/jpeg`
    #[must_use]
    pub const fn media(&self) -> &'static str {
        self.media
    }

    /// How many bytes it has.
    #[must_use]
    pub fn len(&self) -> usize {
        self.bytes.len()
    }

    /// Whether it has none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.bytes.is_empty()
    }

    /// The picture as an address that holds it (RFC 2397).
    pub(crate) fn address(&self) -> String {
        format!("data:{};base64,{}", self.media, STANDARD.encode(&self.bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::Picture;

    #[test]
    fn a_picture_is_known_by_its_bytes() {
        let known: [(&[u8], &str); 4] = [
            (b"\xFF\xD8\xFF\xE0", "image/jpeg"),
            (b"\x89PNG\r\n\x1A\n", "image/png"),
            (b"GIF89a", "image/gif"),
            (b"RIFF\x01\x02\x03\x04WEBP", "image/webp"),
        ];
        for (bytes, media) in known {
            assert_eq!(Picture::new(bytes.to_vec()).map(|p| p.media()), Some(media));
        }
        let strange: [&[u8]; 5] =
            [b"", b"<svg onload=alert(1)>", b"<!doctype html>", b"RIFF1234AVI ", b"PNG"];
        for bytes in strange {
            assert_eq!(Picture::new(bytes.to_vec()), None, "{bytes:?}");
        }
    }
}
