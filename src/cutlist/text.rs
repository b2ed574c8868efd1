//! Bytes to text: UTF-8 with and without a mark, UTF-16, Windows-1252.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

/// The text and the name of its encoding; `None` when the bytes are no text.
pub(super) fn decode(bytes: &[u8]) -> Option<(String, &'static str)> {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(bytes.get(mark..).unwrap_or(&[]));
        let name = match encoding.name() {
            "UTF-8" => "UTF-8 with a byte order mark",
            "UTF-16LE" => "UTF-16, little end first",
            _ => "UTF-16, big end first",
        };
        return Some((text.into_owned(), name));
    }
    if let Some(encoding) = unmarked_utf16(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(bytes);
        let name = if encoding == UTF_16LE {
            "UTF-16, little end first, unmarked"
        } else {
            "UTF-16, big end first, unmarked"
        };
        return Some((text.into_owned(), name));
    }
    if bytes.contains(&0) {
        return None;
    }
    match UTF_8.decode_without_bom_handling_and_without_replacement(bytes) {
        Some(text) => Some((text.into_owned(), "UTF-8")),
        None => {
            let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
            Some((text.into_owned(), "Windows-1252"))
        }
    }
}

/// Text in Latin letters has a zero in every second byte when it is UTF-16.
fn unmarked_utf16(bytes: &[u8]) -> Option<&'static Encoding> {
    let sample = bytes.get(..bytes.len().min(4096))?;
    let pairs = sample.len() / 2;
    if pairs < 2 {
        return None;
    }
    let zeros = |from: usize| {
        sample
            .iter()
            .skip(from)
            .step_by(2)
            .filter(|byte| **byte == 0)
            .count()
    };
    let (even, odd) = (zeros(0), zeros(1));
    if odd * 10 >= pairs * 7 && even * 10 < pairs {
        Some(UTF_16LE)
    } else if even * 10 >= pairs * 7 && odd * 10 < pairs {
        Some(UTF_16BE)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utf16(text: &str, big: bool) -> Vec<u8> {
        text.encode_utf16()
            .flat_map(|unit| {
                if big {
                    unit.to_be_bytes()
                } else {
                    unit.to_le_bytes()
                }
            })
            .collect()
    }

    #[test]
    fn every_encoding_gives_the_same_text() {
        let text = "Part,Length\nSeiten ½,36½\nShelf — glaze,34 1⁄2";
        let latin = "Part,Length\nSide,36\u{bd}\nn\u{b0} 3,\u{d8} 35";
        for big in [false, true] {
            let bytes = utf16(text, big);
            assert_eq!(decode(&bytes).unwrap().0, text);
            let mut marked = if big {
                vec![0xFE, 0xFF]
            } else {
                vec![0xFF, 0xFE]
            };
            marked.extend(bytes);
            assert_eq!(decode(&marked).unwrap().0, text);
        }
        assert_eq!(decode(text.as_bytes()).unwrap(), (text.to_owned(), "UTF-8"));
        let marked = [&[0xEF, 0xBB, 0xBF], text.as_bytes()].concat();
        assert_eq!(decode(&marked).unwrap().0, text);
        let (bytes, _, _) = WINDOWS_1252.encode(latin);
        assert_eq!(decode(&bytes).unwrap(), (latin.to_owned(), "Windows-1252"));
    }

    #[test]
    fn bytes_with_stray_zeros_are_no_text() {
        assert_eq!(decode(b"\x7fELF\x02\x01\x01\0\0\0\0abcdefgh"), None);
    }
}
