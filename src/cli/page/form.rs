//! What forms send: `a=b&c=d`, and files in parts.

use super::http::Refused;
use std::io::Read;

/// Longest headers of one part.
const LONGEST_PART_HEAD: usize = 4 << 10;
/// Most fields of one form.
const MOST_FIELDS: usize = 20_000;

/// One file, or one field, of a form that carries files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    pub name: String,
    /// As the browser gives it; `None` for a plain field.
    pub file: Option<String>,
    pub bytes: Vec<u8>,
}

/// The boundary of a `multipart/form-data` content type.
///
/// # Errors
/// When it is another content type, or has no usable boundary.
pub fn boundary(content_type: &str) -> Result<String, Refused> {
    let mut pieces = content_type.split(';').map(str::trim);
    let kind = pieces.next().unwrap_or_default();
    if !kind.eq_ignore_ascii_case("multipart/form-data") {
        return Err(Refused::new(415, "files are sent as multipart/form-data"));
    }
    let boundary = pieces
        .find_map(|piece| {
            let (name, value) = piece.split_once('=')?;
            name.trim()
                .eq_ignore_ascii_case("boundary")
                .then_some(value)
        })
        .map(|value| value.trim().trim_matches('"'))
        .unwrap_or_default();
    let sound = (1..=70).contains(&boundary.len())
        && boundary
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || b"'()+_,-./:=?".contains(&byte));
    if sound {
        Ok(boundary.to_owned())
    } else {
        Err(Refused::new(
            400,
            "the form's parts have no usable boundary",
        ))
    }
}

/// Says how many bytes a part of this name and file name may have.
pub type Most<'a> = &'a mut dyn FnMut(&str, Option<&str>) -> Result<usize, Refused>;

/// Reads all parts. `most` says how many bytes a part of this name and file name
/// may have, before any of it is kept.
///
/// # Errors
/// When the parts are not well-formed, or a part is refused or too large.
pub fn parts(
    body: impl Read,
    boundary: &str,
    most_parts: usize,
    most: Most<'_>,
) -> Result<Vec<Part>, Refused> {
    let mut source = Source {
        body,
        ahead: Vec::new(),
        ended: false,
    };
    let first = format!("--{boundary}");
    if source.take(first.len())? != first.as_bytes() {
        return Err(broken("it does not begin with its boundary"));
    }
    let between = format!("\r\n--{boundary}");
    let mut parts = Vec::new();
    loop {
        match source.take(2)?.as_slice() {
            b"\r\n" => {}
            b"--" => return Ok(parts),
            _ => return Err(broken("a boundary is damaged")),
        }
        if parts.len() >= most_parts {
            return Err(Refused::new(
                413,
                format!("more than {most_parts} files at once; send fewer"),
            ));
        }
        let head = source
            .until(b"\r\n\r\n", LONGEST_PART_HEAD)?
            .ok_or_else(|| broken("the headers of a part are too long"))?;
        let (name, file) = part_head(&head)?;
        let limit = most(&name, file.as_deref())?;
        let bytes = source.until(between.as_bytes(), limit)?.ok_or_else(|| {
            let what = file.as_deref().unwrap_or(&name);
            Refused::new(
                413,
                format!("{what} is larger than the {} that are taken", size(limit)),
            )
        })?;
        parts.push(Part { name, file, bytes });
    }
}

/// "64 MB".
pub fn size(bytes: usize) -> String {
    if bytes >= 1 << 20 {
        format!("{} MB", bytes >> 20)
    } else if bytes >= 1 << 10 {
        format!("{} KB", bytes >> 10)
    } else {
        format!("{bytes} bytes")
    }
}

fn broken(why: &str) -> Refused {
    Refused::new(400, format!("the form cannot be read: {why}"))
}

/// Name and file name of a part.
fn part_head(head: &[u8]) -> Result<(String, Option<String>), Refused> {
    let text = std::str::from_utf8(head).map_err(|_| broken("a part's headers are no text"))?;
    let line = text
        .split("\r\n")
        .find_map(|line| {
            let (name, value) = line.split_once(':')?;
            name.eq_ignore_ascii_case("content-disposition")
                .then_some(value.trim())
        })
        .ok_or_else(|| broken("a part does not say what it is"))?;
    let rest = line
        .strip_prefix("form-data")
        .ok_or_else(|| broken("a part is no form data"))?;
    let name = quoted(rest, "name").ok_or_else(|| broken("a part has no name"))?;
    Ok((name, quoted(rest, "filename")))
}

/// The value of `; key="value"`. Browsers write a quote inside as `%22`, and line
/// ends as `%0D` and `%0A` (WHATWG HTML, multipart/form-data).
fn quoted(text: &str, key: &str) -> Option<String> {
    let mut rest = text;
    loop {
        rest = rest.trim_start().strip_prefix(';')?.trim_start();
        let (name, after) = rest.split_once("=\"")?;
        let (value, after) = after.split_once('"')?;
        if name.eq_ignore_ascii_case(key) {
            let value = value
                .replace("%22", "\"")
                .replace("%0D", "\r")
                .replace("%0A", "\n");
            return Some(value);
        }
        rest = after;
    }
}

/// A body read in chunks, with a look ahead.
struct Source<R> {
    body: R,
    ahead: Vec<u8>,
    ended: bool,
}

impl<R: Read> Source<R> {
    fn more(&mut self) -> Result<(), Refused> {
        let mut chunk = vec![0_u8; 64 << 10];
        let count = self
            .body
            .read(&mut chunk)
            .map_err(|_| Refused::new(408, "the request broke off or took too long"))?;
        if count == 0 {
            self.ended = true;
        }
        self.ahead.extend(chunk.iter().take(count));
        Ok(())
    }

    /// The next bytes; fewer at the end.
    fn take(&mut self, count: usize) -> Result<Vec<u8>, Refused> {
        while self.ahead.len() < count && !self.ended {
            self.more()?;
        }
        let rest = self.ahead.split_off(count.min(self.ahead.len()));
        Ok(std::mem::replace(&mut self.ahead, rest))
    }

    /// Everything before `end`, which is passed over; `None` when it is longer
    /// than `most`.
    fn until(&mut self, end: &[u8], most: usize) -> Result<Option<Vec<u8>>, Refused> {
        let finder = memchr::memmem::Finder::new(end);
        let mut searched: usize = 0;
        loop {
            let from = searched.saturating_sub(end.len());
            let hit = self.ahead.get(from..).and_then(|tail| finder.find(tail));
            if let Some(at) = hit {
                let at = from + at;
                if at > most {
                    return Ok(None);
                }
                let mut found = self.take(at + end.len())?;
                found.truncate(at);
                return Ok(Some(found));
            }
            searched = self.ahead.len();
            if searched > most.saturating_add(end.len()) {
                return Ok(None);
            }
            if self.ended {
                return Err(broken("it ends in the middle of a part"));
            }
            self.more()?;
        }
    }
}

/// Fields of a plain form, in their order.
///
/// # Errors
/// When it is no such form.
pub fn fields(content_type: &str, body: &[u8]) -> Result<Vec<(String, String)>, Refused> {
    let kind = content_type.split(';').next().unwrap_or_default().trim();
    if !kind.eq_ignore_ascii_case("application/x-www-form-urlencoded") {
        return Err(Refused::new(
            415,
            "a form of another kind than this page sends",
        ));
    }
    let mut fields = Vec::new();
    for pair in body
        .split(|byte| *byte == b'&')
        .filter(|pair| !pair.is_empty())
    {
        if fields.len() >= MOST_FIELDS {
            return Err(Refused::new(413, "a form with too many fields"));
        }
        let mut sides = pair.splitn(2, |byte| *byte == b'=');
        let name = decoded(sides.next().unwrap_or_default())?;
        let value = decoded(sides.next().unwrap_or_default())?;
        // Forms send line ends as CR LF, whatever the system.
        fields.push((name, value.replace("\r\n", "\n")));
    }
    Ok(fields)
}

fn decoded(text: &[u8]) -> Result<String, Refused> {
    let digit = |byte: Option<&u8>| byte.and_then(|byte| char::from(*byte).to_digit(16));
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.iter();
    while let Some(byte) = rest.next() {
        match byte {
            b'+' => bytes.push(b' '),
            b'%' => match (digit(rest.next()), digit(rest.next())) {
                (Some(high), Some(low)) => bytes.push((high * 16 + low) as u8),
                _ => return Err(broken("a `%` without two digits")),
            },
            other => bytes.push(*other),
        }
    }
    String::from_utf8(bytes).map_err(|_| broken("a field is not text"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(body: &[u8], most: usize) -> Result<Vec<Part>, Refused> {
        parts(body, "xyz", 3, &mut |_, _| Ok(most))
    }

    fn form(parts: &[(&str, &str)]) -> Vec<u8> {
        let mut body = String::new();
        for (disposition, content) in parts {
            body.push_str(&format!(
                "--xyz\r\nContent-Disposition: form-data; {disposition}\r\nContent-Type: a/b\r\n\r\n{content}\r\n"
            ));
        }
        body.push_str("--xyz--\r\n");
        body.into_bytes()
    }

    /// Gives one byte at a time: every boundary falls between two reads.
    struct Drops<'a>(&'a [u8]);

    impl Read for Drops<'_> {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let (Some(slot), Some((byte, rest))) = (into.first_mut(), self.0.split_first()) else {
                return Ok(0);
            };
            *slot = *byte;
            self.0 = rest;
            Ok(1)
        }
    }

    #[test]
    fn parts_with_anything_in_them() {
        let content = "a\r\n--xy\r\n\r\n-- xyz\r\n";
        let body = form(&[
            ("name=\"files\"; filename=\"B2 %22left%22.dxf\"", content),
            ("name=\"note\"", ""),
        ]);
        let wanted = vec![
            Part {
                name: "files".to_owned(),
                file: Some("B2 \"left\".dxf".to_owned()),
                bytes: content.into(),
            },
            Part {
                name: "note".to_owned(),
                file: None,
                bytes: Vec::new(),
            },
        ];
        assert_eq!(read(&body, 100), Ok(wanted.clone()));
        assert_eq!(
            parts(Drops(&body), "xyz", 3, &mut |_, _| Ok(100)),
            Ok(wanted)
        );
    }

    #[test]
    fn damaged_parts_are_refused() {
        let whole = form(&[("name=\"files\"; filename=\"a.csv\"", "rows")]);
        for end in 0..whole.len() - 4 {
            let refused = read(&whole[..end], 100).expect_err("broken off");
            assert_eq!(refused.status, 400, "{end}");
        }
        for body in [
            &b"preamble\r\n--xyz--"[..],
            b"--xyz\r\n\r\nno headers\r\n--xyz--",
            b"--xyz\r\nContent-Disposition: attachment; name=\"a\"\r\n\r\n\r\n--xyz--",
            b"--xyz\r\nContent-Disposition: form-data; filename=\"a\"\r\n\r\n\r\n--xyz--",
            b"--xyz\r\nContent-Disposition: form-data; name=a\r\n\r\n\r\n--xyz--",
            b"--xyz\r\nContent-Disposition: form-data; name=\"\xff\"\r\n\r\n\r\n--xyz--",
            b"--xyzz\r\n",
        ] {
            assert_eq!(read(body, 100).expect_err("refused").status, 400);
        }
        let long = format!("name=\"{}\"", "a".repeat(5000));
        assert_eq!(
            read(&form(&[(&long, "")]), 100).expect_err("long").status,
            400
        );
    }

    #[test]
    fn sizes_and_counts_are_limited() {
        let body = form(&[("name=\"f\"; filename=\"a.csv\"", &"x".repeat(11))]);
        assert!(read(&body, 11).is_ok());
        let refused = read(&body, 10).expect_err("too large");
        assert_eq!(refused.status, 413);
        assert_eq!(
            refused.message,
            "a.csv is larger than the 10 bytes that are taken"
        );
        let many = form(&[("name=\"f\"", ""); 4]);
        assert_eq!(read(&many, 10).expect_err("too many").status, 413);
    }

    #[test]
    fn boundaries() {
        assert_eq!(
            boundary("multipart/form-data; boundary=----Form1").as_deref(),
            Ok("----Form1")
        );
        assert_eq!(
            boundary("Multipart/Form-Data; Boundary=\"a b\"").map_err(|r| r.status),
            Err(400)
        );
        assert_eq!(boundary("text/plain").map_err(|r| r.status), Err(415));
        for bad in ["", "boundary=", "boundary=\r\n"] {
            let kind = format!("multipart/form-data; {bad}");
            assert_eq!(boundary(&kind).map_err(|r| r.status), Err(400));
        }
        let long = format!("multipart/form-data; boundary={}", "a".repeat(71));
        assert_eq!(boundary(&long).map_err(|r| r.status), Err(400));
    }

    #[test]
    fn plain_fields() {
        let kind = "application/x-www-form-urlencoded; charset=utf-8";
        assert_eq!(
            fields(kind, b"a=1%2f32+in&b=%C3%A4&c&d=x%0D%0Ay"),
            Ok([("a", "1/32 in"), ("b", "ä"), ("c", ""), ("d", "x\ny")]
                .map(|(name, value)| (name.to_owned(), value.to_owned()))
                .to_vec())
        );
        for bad in [&b"a=%"[..], b"a=%4", b"a=%zz", b"a=%ff"] {
            assert_eq!(fields(kind, bad).expect_err("bad").status, 400);
        }
        assert_eq!(fields("text/plain", b"a=b").expect_err("kind").status, 415);
        let many = "a&".repeat(MOST_FIELDS + 1);
        assert_eq!(fields(kind, many.as_bytes()).expect_err("many").status, 413);
    }
}
