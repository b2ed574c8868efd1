//! The groups of a DXF file with their places in it, so that new ones can be
//! put between them and every old byte stays where it was (DXF Reference, "DXF
//! File Structure" and "Binary DXF Files").

/// How the file is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A line for the code, a line for the value.
    Ascii { line_end: &'static [u8] },
    /// Codes take two bytes from Release 13 on, one before.
    Binary { wide: bool },
}

/// One group and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group<'a> {
    pub code: i32,
    /// Offset of the group's first byte.
    pub start: usize,
    /// Text values without line end or blanks; the raw bytes of binary numbers.
    pub value: &'a [u8],
    /// Offset of the value.
    pub value_at: usize,
}

const SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// Walks through the groups of a file.
#[derive(Clone, Debug)]
pub struct Groups<'a> {
    bytes: &'a [u8],
    at: usize,
    form: Form,
    /// Set when a group could not be read; the walk ends there.
    pub broken_at: Option<usize>,
}

impl<'a> Groups<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        if bytes.starts_with(SENTINEL) {
            let at = SENTINEL.len();
            return Groups {
                bytes,
                at,
                // The file starts with the group 0, SECTION.
                form: Form::Binary {
                    wide: bytes.get(at + 1) == Some(&0),
                },
                broken_at: None,
            };
        }
        let at = if bytes.starts_with(b"\xef\xbb\xbf") {
            3
        } else {
            0
        };
        let first_end = bytes.iter().position(|byte| matches!(byte, b'\r' | b'\n'));
        let line_end: &[u8] = match first_end.and_then(|end| bytes.get(end..)) {
            Some([b'\r', b'\n', ..]) => b"\r\n",
            Some([b'\r', ..]) => b"\r",
            _ => b"\n",
        };
        Groups {
            bytes,
            at,
            form: Form::Ascii { line_end },
            broken_at: None,
        }
    }

    pub fn form(&self) -> Form {
        self.form
    }

    /// The next line, and where it starts.
    fn line(&mut self) -> Option<(usize, &'a [u8])> {
        let Form::Ascii { line_end } = self.form else {
            return None;
        };
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        let start = self.at;
        let last = line_end.last().copied().unwrap_or(b'\n');
        let length = rest.iter().position(|byte| *byte == last);
        let (line, step) = match length {
            Some(length) => (rest.get(..length)?, length + 1),
            None => (rest, rest.len()),
        };
        self.at += step;
        Some((start, line))
    }

    fn ascii(&mut self) -> Option<Group<'a>> {
        let (start, code) = self.line()?;
        let code = std::str::from_utf8(code).ok()?.trim();
        if code.is_empty() && self.at >= self.bytes.len() {
            return None;
        }
        let Ok(code) = code.parse() else {
            self.broken_at = Some(start);
            return None;
        };
        let (line_at, line) = self.line()?;
        let lead = line.len() - line.trim_ascii_start().len();
        Some(Group {
            code,
            start,
            value: line.trim_ascii(),
            value_at: line_at + lead,
        })
    }

    fn binary(&mut self, wide: bool) -> Option<Group<'a>> {
        let start = self.at;
        let byte = |at: usize| self.bytes.get(at).copied();
        let (code, mut at) = if wide {
            let code = i16::from_le_bytes([byte(start)?, byte(start + 1)?]);
            (i32::from(code), start + 2)
        } else {
            match byte(start)? {
                255 => {
                    let code = i16::from_le_bytes([byte(start + 1)?, byte(start + 2)?]);
                    (i32::from(code), start + 3)
                }
                code => (i32::from(code), start + 1),
            }
        };
        let length = match code {
            10..=59 | 110..=149 | 160..=169 | 210..=239 | 460..=469 | 1010..=1059 => 8,
            60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => 2,
            90..=99 | 420..=429 | 440..=459 | 1071 => 4,
            290..=299 => 1,
            310..=319 | 1004 => {
                at += 1;
                usize::from(byte(at - 1)?)
            }
            _ => {
                let length = self.bytes.get(at..)?.iter().position(|byte| *byte == 0)?;
                let value = self.bytes.get(at..at + length)?;
                self.at = at + length + 1;
                return Some(Group {
                    code,
                    start,
                    value,
                    value_at: at,
                });
            }
        };
        let value = self.bytes.get(at..at + length)?;
        self.at = at + length;
        Some(Group {
            code,
            start,
            value,
            value_at: at,
        })
    }
}

impl<'a> Iterator for Groups<'a> {
    type Item = Group<'a>;

    fn next(&mut self) -> Option<Group<'a>> {
        match self.form {
            Form::Ascii { .. } => self.ascii(),
            Form::Binary { wide } => self.binary(wide),
        }
    }
}

/// New groups in the form of the file.
#[derive(Clone, Debug)]
pub struct Writer {
    form: Form,
    pub bytes: Vec<u8>,
}

impl Writer {
    pub fn new(form: Form) -> Self {
        Writer {
            form,
            bytes: Vec::new(),
        }
    }

    /// A group whose value is text in the file's own encoding.
    pub fn text(&mut self, code: i32, value: &[u8]) {
        self.code(code);
        self.bytes.extend_from_slice(value);
        self.end(true);
    }

    /// A group whose value is a real number.
    pub fn real(&mut self, code: i32, value: f64) {
        self.code(code);
        match self.form {
            Form::Ascii { .. } => {
                let mut text = value.to_string();
                if !text.contains('.') {
                    text.push_str(".0");
                }
                self.bytes.extend_from_slice(text.as_bytes());
            }
            Form::Binary { .. } => self.bytes.extend_from_slice(&value.to_le_bytes()),
        }
        self.end(false);
    }

    /// A group whose value is a 16-bit number.
    pub fn short(&mut self, code: i32, value: i16) {
        self.code(code);
        match self.form {
            Form::Ascii { .. } => self
                .bytes
                .extend_from_slice(format!("{value:>6}").as_bytes()),
            Form::Binary { .. } => self.bytes.extend_from_slice(&value.to_le_bytes()),
        }
        self.end(false);
    }

    /// A group copied from the same file.
    pub fn copy(&mut self, group: &Group<'_>) {
        self.code(group.code);
        self.bytes.extend_from_slice(group.value);
        self.end(matches!(group.code, 0..=9 | 100..=105 | 300..=309 | 320..=369 | 390..=399 | 410..=419 | 430..=439));
    }

    fn code(&mut self, code: i32) {
        match self.form {
            Form::Ascii { line_end } => {
                self.bytes
                    .extend_from_slice(format!("{code:>3}").as_bytes());
                self.bytes.extend_from_slice(line_end);
            }
            Form::Binary { wide: true } => {
                let code = i16::try_from(code).unwrap_or_default();
                self.bytes.extend_from_slice(&code.to_le_bytes());
            }
            Form::Binary { wide: false } => match u8::try_from(code) {
                Ok(code) if code < 255 => self.bytes.push(code),
                _ => {
                    self.bytes.push(255);
                    let code = i16::try_from(code).unwrap_or_default();
                    self.bytes.extend_from_slice(&code.to_le_bytes());
                }
            },
        }
    }

    fn end(&mut self, is_text: bool) {
        match self.form {
            Form::Ascii { line_end } => self.bytes.extend_from_slice(line_end),
            Form::Binary { .. } if is_text => self.bytes.push(0),
            Form::Binary { .. } => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_know_their_places() {
        let bytes = b"  0\r\nSECTION\r\n  2\r\n HEADER \r\n  9\r\n$ACADVER";
        let groups: Vec<_> = Groups::new(bytes).collect();
        assert_eq!(groups.len(), 3);
        assert_eq!((groups[1].code, groups[1].value), (2, &b"HEADER"[..]));
        assert_eq!(&bytes[groups[1].value_at..][..6], b"HEADER");
        assert_eq!(&bytes[groups[2].start..][..3], b"  9");
    }

    #[test]
    fn what_is_written_reads_back_in_every_form() {
        for form in [
            Form::Ascii { line_end: b"\n" },
            Form::Ascii { line_end: b"\r\n" },
            Form::Ascii { line_end: b"\r" },
            Form::Binary { wide: true },
            Form::Binary { wide: false },
        ] {
            let mut writer = Writer::new(form);
            if matches!(form, Form::Binary { .. }) {
                writer.bytes.extend_from_slice(SENTINEL);
            }
            writer.text(0, b"SECTION");
            writer.real(10, 5.0);
            writer.short(62, 1);
            writer.text(330, b"1F");
            let groups: Vec<_> = Groups::new(&writer.bytes).collect();
            assert_eq!(Groups::new(&writer.bytes).form(), form);
            let codes: Vec<_> = groups.iter().map(|group| group.code).collect();
            assert_eq!(codes, [0, 10, 62, 330], "{form:?}");
            assert_eq!(groups[3].value, b"1F");
            if matches!(form, Form::Ascii { .. }) {
                assert_eq!(groups[1].value, b"5.0");
            }
        }
    }

    #[test]
    fn a_broken_file_ends_the_walk() {
        let mut groups = Groups::new(b"  0\nSECTION\nx\ny\n");
        assert_eq!(groups.by_ref().count(), 1);
        assert_eq!(groups.broken_at, Some(12));
    }
}
