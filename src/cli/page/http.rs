//! HTTP/1.1 as far as a page on this machine needs it: one request a
//! connection, every length known before it is read, and a time limit on
//! everything.

use std::collections::BTreeMap;
use std::io::{self, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Longest request line and headers together.
const LONGEST_HEAD: usize = 16 << 10;
const MOST_HEADERS: usize = 64;

/// How long each step of a request may take.
#[derive(Clone, Copy, Debug)]
pub struct Times {
    /// Until the headers are there.
    pub head: Duration,
    /// Until the whole body is there.
    pub body: Duration,
    /// For the answer to be taken.
    pub answer: Duration,
}

impl Default for Times {
    fn default() -> Self {
        Times {
            head: Duration::from_secs(10),
            body: Duration::from_secs(120),
            answer: Duration::from_secs(30),
        }
    }
}

/// A request that is not answered with what it asks for.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Refused {
    pub status: u16,
    pub message: String,
}

impl Refused {
    pub fn new(status: u16, message: impl Into<String>) -> Self {
        Refused {
            status,
            message: message.into(),
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    Get,
    Head,
    Post,
}

/// Request line and headers.
#[derive(Clone, Debug)]
pub struct Head {
    pub method: Method,
    /// Path without query, as sent.
    pub path: String,
    /// By lower-case name.
    headers: BTreeMap<String, String>,
    /// Bytes of the body; 0 when there is none.
    pub length: u64,
}

impl Head {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).map(String::as_str)
    }

    /// Reads the text of request line and headers, without the empty line's end.
    ///
    /// # Errors
    /// When it is not a request this page answers.
    pub fn parse(bytes: &[u8]) -> Result<Head, Refused> {
        let mut slots = [httparse::EMPTY_HEADER; MOST_HEADERS];
        let mut request = httparse::Request::new(&mut slots);
        match request.parse(bytes) {
            Ok(httparse::Status::Complete(_)) => {}
            Ok(httparse::Status::Partial) => return Err(Refused::new(400, "half a request")),
            Err(httparse::Error::TooManyHeaders) => {
                return Err(Refused::new(431, "too many headers"));
            }
            Err(error) => return Err(Refused::new(400, format!("not a request: {error}"))),
        }
        let method = match request.method {
            Some("GET") => Method::Get,
            Some("HEAD") => Method::Head,
            Some("POST") => Method::Post,
            _ => return Err(Refused::new(405, "only GET, HEAD and POST are answered")),
        };
        // Another form than `/path` would name a host of its own.
        let target = request.path.filter(|path| path.starts_with('/'));
        let target = target.ok_or_else(|| Refused::new(400, "not a path of this page"))?;
        let path = target.split(['?', '#']).next().unwrap_or_default();
        let mut headers = BTreeMap::new();
        for header in request.headers.iter() {
            let name = header.name.to_ascii_lowercase();
            let value = std::str::from_utf8(header.value)
                .map_err(|_| Refused::new(400, "a header is not text"))?;
            let twice = headers.insert(name.clone(), value.trim().to_owned());
            let single = [
                "host",
                "origin",
                "content-length",
                "content-type",
                "sec-fetch-site",
            ];
            if twice.is_some() && single.contains(&name.as_str()) {
                return Err(Refused::new(400, format!("two headers `{name}`")));
            }
        }
        if headers.contains_key("transfer-encoding") {
            return Err(Refused::new(411, "the length has to be said beforehand"));
        }
        let length = match headers.get("content-length") {
            None if method == Method::Post => {
                return Err(Refused::new(411, "the length has to be said beforehand"));
            }
            None => 0,
            Some(text) if !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()) => {
                text.parse()
                    .map_err(|_| Refused::new(413, "larger than anything this page takes"))?
            }
            Some(_) => return Err(Refused::new(400, "a length that is no number")),
        };
        Ok(Head {
            method,
            path: path.to_owned(),
            headers,
            length,
        })
    }
}

/// A connection with the bytes read of it and not yet used.
pub struct Wire<'s> {
    stream: &'s TcpStream,
    ahead: Vec<u8>,
}

impl<'s> Wire<'s> {
    pub fn new(stream: &'s TcpStream) -> Self {
        Wire {
            stream,
            ahead: Vec::new(),
        }
    }

    /// Reads request line and headers; `None` when the other side says nothing.
    ///
    /// # Errors
    /// When it is no request, too long, or too slow.
    pub fn head(&mut self, time: Duration) -> Result<Option<Head>, Refused> {
        let deadline = Instant::now() + time;
        let mut chunk = [0_u8; 4096];
        loop {
            let end = memchr::memmem::find(&self.ahead, b"\r\n\r\n");
            if let Some(end) = end.filter(|end| *end <= LONGEST_HEAD) {
                let rest = self.ahead.split_off(end + 4);
                let head = std::mem::replace(&mut self.ahead, rest);
                return Head::parse(&head).map(Some);
            }
            if self.ahead.len() > LONGEST_HEAD {
                return Err(Refused::new(431, "the headers are too long"));
            }
            match receive(self.stream, &mut chunk, deadline) {
                Ok(0) if self.ahead.is_empty() => return Ok(None),
                Ok(0) => return Err(Refused::new(400, "half a request")),
                Ok(count) => self.ahead.extend(chunk.iter().take(count)),
                Err(_) if self.ahead.is_empty() => return Ok(None),
                Err(_) => return Err(Refused::new(408, "the request took too long")),
            }
        }
    }

    /// The body of a request, of the length its head states.
    pub fn body(self, length: u64, time: Duration) -> Body<'s> {
        Body {
            stream: self.stream,
            ahead: io::Cursor::new(self.ahead),
            left: length,
            deadline: Instant::now() + time,
        }
    }
}

/// A body that ends after the stated length, or in an error when time is up.
pub struct Body<'s> {
    stream: &'s TcpStream,
    ahead: io::Cursor<Vec<u8>>,
    left: u64,
    deadline: Instant,
}

impl Body<'_> {
    /// All of it.
    ///
    /// # Errors
    /// When it breaks off or takes too long.
    pub fn all(mut self) -> Result<Vec<u8>, Refused> {
        let mut bytes = Vec::new();
        self.read_to_end(&mut bytes)
            .map_err(|_| Refused::new(408, "the request broke off or took too long"))?;
        Ok(bytes)
    }
}

impl Read for Body<'_> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let most = usize::try_from(self.left).unwrap_or(usize::MAX);
        let most = most.min(into.len());
        if most == 0 {
            return Ok(0);
        }
        let into = into.get_mut(..most).unwrap_or_default();
        let mut count = self.ahead.read(into)?;
        if count == 0 {
            count = receive(self.stream, into, self.deadline)?;
            if count == 0 {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
        }
        self.left = self.left.saturating_sub(count as u64);
        Ok(count)
    }
}

fn receive(mut stream: &TcpStream, into: &mut [u8], deadline: Instant) -> io::Result<usize> {
    let left = deadline.saturating_duration_since(Instant::now());
    if left.is_zero() {
        return Err(io::ErrorKind::TimedOut.into());
    }
    stream.set_read_timeout(Some(left))?;
    loop {
        match stream.read(into) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            done => return done,
        }
    }
}

/// An answer with everything that is true of all answers of this page.
#[derive(Clone, Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(&'static str, String)>,
    pub body: Vec<u8>,
}

/// Nothing but what this page itself serves may load, run or be sent to.
pub const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src data:; \
                          connect-src 'self'; form-action 'self'; base-uri 'none'; \
                          frame-ancestors 'none'";

impl Answer {
    pub fn new(status: u16, kind: &str, body: impl Into<Vec<u8>>) -> Self {
        Answer {
            status,
            headers: vec![("Content-Type", kind.to_owned())],
            body: body.into(),
        }
    }

    pub fn page(status: u16, body: String) -> Self {
        Answer::new(status, "text/html; charset=utf-8", body)
            .with("Content-Security-Policy", POLICY.to_owned())
    }

    pub fn text(status: u16, text: &str) -> Self {
        Answer::new(status, "text/plain; charset=utf-8", format!("{text}\n"))
    }

    /// Go and look there.
    pub fn see(place: String) -> Self {
        Answer::text(303, "done").with("Location", place)
    }

    pub fn with(mut self, name: &'static str, value: String) -> Self {
        self.headers.push((name, value));
        self
    }

    /// Writes it out; nothing can be done about the other side going away.
    pub fn send(&self, mut stream: &TcpStream, method: Method, time: Duration) {
        let _ = stream.set_write_timeout(Some(time));
        let mut head = format!("HTTP/1.1 {} {}\r\n", self.status, reason(self.status));
        let policy = self
            .headers
            .iter()
            .any(|(name, _)| *name == "Content-Security-Policy");
        let always = [
            ("Connection", "close"),
            ("Cache-Control", "no-store"),
            ("X-Content-Type-Options", "nosniff"),
            ("X-Frame-Options", "DENY"),
            // Not `no-referrer`: with that, browsers send no origin either.
            ("Referrer-Policy", "same-origin"),
            ("Cross-Origin-Resource-Policy", "same-origin"),
            ("Cross-Origin-Opener-Policy", "same-origin"),
        ];
        let own = self
            .headers
            .iter()
            .map(|(name, value)| (*name, value.as_str()));
        let policy = (!policy).then_some(("Content-Security-Policy", "default-src 'none'"));
        for (name, value) in always.into_iter().chain(own).chain(policy) {
            // Nothing put into a header can begin another.
            let value: String = value.chars().filter(|c| !c.is_control()).collect();
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        head.push_str(&format!("Content-Length: {}\r\n\r\n", self.body.len()));
        let sent = stream.write_all(head.as_bytes()).and_then(|()| {
            if method == Method::Head {
                Ok(())
            } else {
                stream.write_all(&self.body)
            }
        });
        if sent.is_ok() {
            let _ = stream.flush();
        }
    }
}

const fn reason(status: u16) -> &'static str {
    match status {
        200 => "OK",
        303 => "See Other",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        411 => "Length Required",
        413 => "Content Too Large",
        415 => "Unsupported Media Type",
        421 => "Misdirected Request",
        422 => "Unprocessable Content",
        431 => "Request Header Fields Too Large",
        503 => "Service Unavailable",
        _ => "Internal Server Error",
    }
}

/// Ends a connection so that the answer arrives even when the request was not
/// read to its end: what still comes is thrown away for a moment.
pub fn end(mut stream: &TcpStream) {
    const MOST: usize = 64 << 20;
    let _ = stream.shutdown(std::net::Shutdown::Write);
    let deadline = Instant::now() + Duration::from_secs(2);
    let mut chunk = [0_u8; 16 << 10];
    let mut seen = 0;
    while seen < MOST {
        match receive(stream, &mut chunk, deadline) {
            Ok(count) if count > 0 => seen += count,
            _ => break,
        }
    }
    let _ = stream.flush();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> u16 {
        Head::parse(text.as_bytes()).expect_err("refused").status
    }

    #[test]
    fn a_request_is_read() {
        let text = "POST /a/b?c=d HTTP/1.1\r\nHost: localhost:1\r\nContent-Length: 12\r\n\r\n";
        let head = Head::parse(text.as_bytes()).expect("a request");
        assert_eq!((head.method, head.path.as_str()), (Method::Post, "/a/b"));
        assert_eq!(head.length, 12);
        assert_eq!(head.header("host"), Some("localhost:1"));
    }

    #[test]
    fn what_is_no_plain_request_is_refused() {
        assert_eq!(refused("DELETE / HTTP/1.1\r\nHost: a\r\n\r\n"), 405);
        assert_eq!(
            refused("GET http://other/ HTTP/1.1\r\nHost: a\r\n\r\n"),
            400
        );
        assert_eq!(refused("GET * HTTP/1.1\r\nHost: a\r\n\r\n"), 400);
        assert_eq!(refused("GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n"), 400);
        assert_eq!(refused("POST / HTTP/1.1\r\nHost: a\r\n\r\n"), 411);
        let chunked = "POST / HTTP/1.1\r\nHost: a\r\nTransfer-Encoding: chunked\r\n\r\n";
        assert_eq!(refused(chunked), 411);
        let lengths = "POST / HTTP/1.1\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n";
        assert_eq!(refused(lengths), 400);
        assert_eq!(
            refused("POST / HTTP/1.1\r\nContent-Length: +5\r\n\r\n"),
            400
        );
        let huge = "POST / HTTP/1.1\r\nContent-Length: 99999999999999999999999\r\n\r\n";
        assert_eq!(refused(huge), 413);
        assert_eq!(refused("hello\r\n\r\n"), 400);
        let many = "X: y\r\n".repeat(MOST_HEADERS + 1);
        assert_eq!(refused(&format!("GET / HTTP/1.1\r\n{many}\r\n")), 431);
    }
}
