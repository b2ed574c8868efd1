//! Bytes of a DXF file to text: code pages, UTF-8, and the escapes
//! `\U+XXXX` and `\M+nXXXX`.

use std::borrow::Cow;

use encoding_rs::Encoding;

/// How the strings of one file are stored.
#[derive(Clone, Copy, Debug)]
pub struct CodePage {
    page: Page,
    /// From 2007 on (`AC1021`) strings are UTF-8, whatever `$DWGCODEPAGE` says.
    utf8: bool,
}

#[derive(Clone, Copy, Debug)]
enum Page {
    Known(&'static Encoding),
    /// The upper half of a one-byte page of DOS.
    Table(&'static str),
}

impl Default for CodePage {
    fn default() -> Self {
        Self {
            page: Page::Known(encoding_rs::WINDOWS_1252),
            utf8: false,
        }
    }
}

impl CodePage {
    /// From `$DWGCODEPAGE` and `$ACADVER`; unknown pages count as Windows-1252.
    pub fn new(name: &str, version: &str) -> Self {
        Self {
            page: page(name).unwrap_or(Page::Known(encoding_rs::WINDOWS_1252)),
            utf8: version.len() == 6 && version >= "AC1021" && version.starts_with("AC"),
        }
    }

    /// True when the page is one this reader knows.
    pub fn knows(name: &str) -> bool {
        page(name).is_some()
    }

    pub fn decode<'a>(&self, bytes: &'a [u8]) -> Cow<'a, str> {
        if bytes.is_ascii() {
            // ASCII is valid UTF-8.
            let text = String::from_utf8_lossy(bytes);
            return escapes(text);
        }
        // Many programs write UTF-8 into older versions too. Text of a
        // one-byte page is hardly ever valid UTF-8; of a two-byte page it may be.
        if (self.utf8 || !self.two_bytes())
            && let Ok(text) = std::str::from_utf8(bytes)
        {
            return escapes(Cow::Borrowed(text));
        }
        let text = match self.page {
            Page::Known(encoding) => encoding.decode_without_bom_handling(bytes).0,
            Page::Table(upper) => Cow::Owned(
                bytes
                    .iter()
                    .map(|&b| {
                        b.checked_sub(128).map_or(char::from(b), |i| {
                            upper.chars().nth(usize::from(i)).unwrap_or('\u{fffd}')
                        })
                    })
                    .collect(),
            ),
        };
        escapes(text)
    }

    fn two_bytes(&self) -> bool {
        matches!(self.page, Page::Known(e) if !e.is_single_byte())
    }
}

fn page(name: &str) -> Option<Page> {
    let lower = name.trim().to_ascii_lowercase();
    let number = lower
        .trim_start_matches(|c: char| !c.is_ascii_digit())
        .trim_end();
    Some(match number {
        "437" => Page::Table(CP437),
        "850" => Page::Table(CP850),
        "852" => Page::Table(CP852),
        "866" => Page::Known(encoding_rs::IBM866),
        "874" => Page::Known(encoding_rs::WINDOWS_874),
        "932" => Page::Known(encoding_rs::SHIFT_JIS),
        "936" => Page::Known(encoding_rs::GBK),
        "949" | "1361" => Page::Known(encoding_rs::EUC_KR),
        "950" => Page::Known(encoding_rs::BIG5),
        "1250" => Page::Known(encoding_rs::WINDOWS_1250),
        "1251" => Page::Known(encoding_rs::WINDOWS_1251),
        "1252" => Page::Known(encoding_rs::WINDOWS_1252),
        "1253" => Page::Known(encoding_rs::WINDOWS_1253),
        "1254" => Page::Known(encoding_rs::WINDOWS_1254),
        "1255" => Page::Known(encoding_rs::WINDOWS_1255),
        "1256" => Page::Known(encoding_rs::WINDOWS_1256),
        "1257" => Page::Known(encoding_rs::WINDOWS_1257),
        "1258" => Page::Known(encoding_rs::WINDOWS_1258),
        "8859-1" | "88591" => Page::Known(encoding_rs::WINDOWS_1252),
        "8859-2" | "88592" => Page::Known(encoding_rs::ISO_8859_2),
        _ => match lower.as_str() {
            "utf-8" | "utf8" => Page::Known(encoding_rs::UTF_8),
            "mac-roman" | "macintosh" => Page::Known(encoding_rs::MACINTOSH),
            _ => return None,
        },
    })
}

/// Replaces `\U+XXXX` (a UTF-16 unit) and `\M+nXXXX` (a two-byte character of
/// page n: 1 = 932, 2 = 950, 3 = 949, 4 = 1361, 5 = 936). Malformed ones stay.
fn escapes(text: Cow<'_, str>) -> Cow<'_, str> {
    if !text.contains("\\U+") && !text.contains("\\M+") && !text.contains("\\u+") {
        return text;
    }
    let mut out = String::with_capacity(text.len());
    let mut units: Vec<u16> = Vec::new();
    let mut rest: &str = &text;
    while !rest.is_empty() {
        if let Some((unit, after)) = unicode_escape(rest) {
            units.push(unit);
            rest = after;
            continue;
        }
        flush(&mut units, &mut out);
        if let Some((decoded, after)) = multibyte_escape(rest) {
            out.push_str(&decoded);
            rest = after;
            continue;
        }
        let mut chars = rest.chars();
        out.extend(chars.next());
        rest = chars.as_str();
    }
    flush(&mut units, &mut out);
    Cow::Owned(out)
}

fn flush(units: &mut Vec<u16>, out: &mut String) {
    out.extend(char::decode_utf16(units.drain(..)).map(|c| c.unwrap_or('\u{fffd}')));
}

fn unicode_escape(text: &str) -> Option<(u16, &str)> {
    let rest = text
        .strip_prefix("\\U+")
        .or_else(|| text.strip_prefix("\\u+"))?;
    let (digits, after) = rest.split_at_checked(4)?;
    if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    Some((u16::from_str_radix(digits, 16).ok()?, after))
}

fn multibyte_escape(text: &str) -> Option<(Cow<'static, str>, &str)> {
    let rest = text.strip_prefix("\\M+")?;
    let (page, rest) = rest.split_at_checked(1)?;
    let (digits, after) = rest.split_at_checked(4)?;
    let encoding = match page {
        "1" => encoding_rs::SHIFT_JIS,
        "2" => encoding_rs::BIG5,
        "3" | "4" => encoding_rs::EUC_KR,
        "5" => encoding_rs::GBK,
        _ => return None,
    };
    if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let bytes = u16::from_str_radix(digits, 16).ok()?.to_be_bytes();
    let text = encoding.decode_without_bom_handling(&bytes).0.into_owned();
    Some((Cow::Owned(text), after))
}

const CP437: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐\
    └┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}";

const CP850: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐\
    └┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u{ad}±‗¾¶§÷¸°¨·¹³²■\u{a0}";

const CP852: &str = "ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐\
    └┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u{ad}˝˛ˇ˘§÷¸°¨˙űŘř■\u{a0}";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_and_versions() {
        let old = CodePage::new("ANSI_1252", "AC1015");
        assert_eq!(old.decode(b"T\xfcr"), "Tür");
        // UTF-8 in a version that should not have it.
        assert_eq!(old.decode("Tür".as_bytes()), "Tür");
        let new = CodePage::new("ANSI_1252", "AC1021");
        assert_eq!(new.decode("Tür 门".as_bytes()), "Tür 门");
        // A 2007 file that is not UTF-8 after all.
        assert_eq!(new.decode(b"T\xfcr"), "Tür");
        assert_eq!(CodePage::new("dos850", "AC1009").decode(b"T\x81r"), "Tür");
        assert_eq!(CodePage::new("DOS437", "AC1009").decode(b"\xab"), "½");
        assert_eq!(CodePage::new("DOS852", "AC1009").decode(b"\xa6"), "Ž");
        assert_eq!(CodePage::new("ANSI_1251", "AC1015").decode(b"\xcf"), "П");
        assert_eq!(
            CodePage::new("ANSI_932", "AC1015").decode(b"\x94\xe0"),
            "扉"
        );
        assert_eq!(CodePage::new("gb2312?", "AC1015").decode(b"\xfc"), "ü");
        assert!(!CodePage::knows("gb2312?") && CodePage::knows("ansi_936"));
    }

    #[test]
    fn escapes_are_resolved_and_malformed_ones_kept() {
        let page = CodePage::default();
        assert_eq!(page.decode(b"36\\U+00BD"), "36½");
        assert_eq!(page.decode(b"\\U+D83D\\U+DE00!"), "\u{1f600}!");
        assert_eq!(page.decode(b"\\M+194E0"), "扉");
        assert_eq!(page.decode(b"\\U+12"), "\\U+12");
        assert_eq!(page.decode(b"\\U+12G4 \\M+9AAAA"), "\\U+12G4 \\M+9AAAA");
        assert_eq!(page.decode(b"\\U+D83D."), "\u{fffd}.");
    }
}
