//! The page on this machine, over real connections: who is answered, what is
//! taken, what is written. Rules on hosts and origins follow RFC 9110 (Host,
//! 421), RFC 6454 (Origin) and the W3C's Fetch Metadata Request Headers; forms
//! follow RFC 7578.

mod common;

use dryfit::cli::page::{Limits, Page, Times};
use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, TcpStream};
use std::path::Path;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// A page that runs for one test.
struct Running {
    port: u16,
    /// Path of the start page.
    home: String,
    serving: Option<JoinHandle<()>>,
}

struct Reply {
    status: u16,
    head: String,
    body: String,
}

impl Reply {
    fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(": ")?;
            key.eq_ignore_ascii_case(name).then_some(value)
        })
    }

    #[track_caller]
    fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.body);
        self
    }

    /// A refusal, with what the person is told.
    #[track_caller]
    fn says(self, status: u16, told: &str) -> Self {
        assert!(self.body.contains(told), "not {told:?} but: {}", self.body);
        self.is(status)
    }
}

impl Running {
    fn start(limits: Limits, times: Times, folder: Option<&Path>) -> Self {
        let page = Page::bind(0, limits, times).unwrap();
        let address = page.address();
        if let Some(folder) = folder {
            assert_eq!(page.open(folder).unwrap(), format!("{address}jobs/1"));
        }
        let rest = address.strip_prefix("http://127.0.0.1:").unwrap();
        let (port, home) = rest.split_once('/').unwrap();
        Running {
            port: port.parse().unwrap(),
            home: format!("/{home}"),
            serving: Some(std::thread::spawn(move || page.serve())),
        }
    }

    fn plain() -> Self {
        Running::start(Limits::default(), Times::default(), None)
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .unwrap();
        stream
    }

    /// Sends bytes as they are.
    fn raw(&self, request: &[u8]) -> Reply {
        let mut stream = self.connect();
        // The other side may answer and close before it has all of it.
        let _ = stream.write_all(request);
        reply(stream)
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    fn get(&self, path: &str) -> Reply {
        let request = format!(
            "GET {}{path} HTTP/1.1\r\nHost: {}\r\n\r\n",
            self.home,
            self.host()
        );
        self.raw(request.as_bytes())
    }

    /// As a browser posts a form of this page.
    fn post(&self, path: &str, kind: &str, body: &[u8]) -> Reply {
        let host = self.host();
        let mut request = format!(
            "POST {}{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Sec-Fetch-Site: same-origin\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n\r\n",
            self.home,
            body.len()
        )
        .into_bytes();
        request.extend(body);
        self.raw(&request)
    }

    fn form(&self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let pairs: Vec<String> = fields
            .iter()
            .map(|(name, value)| format!("{name}={}", encoded(value)))
            .collect();
        self.post(
            path,
            "application/x-www-form-urlencoded",
            pairs.join("&").as_bytes(),
        )
    }

    fn upload(&self, files: &[(&str, &[u8])]) -> Reply {
        self.post("jobs", "multipart/form-data; boundary=part", &parts(files))
    }

    /// The version a page of the job was made for.
    fn version(&self, job: u32) -> String {
        let page = self.get(&format!("jobs/{job}/reading")).is(200).body;
        let rest = page.split("name=\"version\" value=\"").nth(1).unwrap();
        rest.split('"').next().unwrap().to_owned()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        if std::thread::panicking() {
            return;
        }
        self.form("end", &[]).is(200);
        self.serving.take().unwrap().join().unwrap();
    }
}

fn reply(mut stream: TcpStream) -> Reply {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8(bytes).unwrap();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|status| status.parse().ok());
    Reply {
        status: status.unwrap_or_else(|| panic!("no answer: {text:?}")),
        head: head.to_owned(),
        body: body.to_owned(),
    }
}

fn encoded(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        })
        .collect()
}

fn parts(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, content) in files {
        body.extend(
            format!(
                "--part\r\nContent-Disposition: form-data; name=\"files\"; filename=\"{name}\"\r\n\
                 Content-Type: application/octet-stream\r\n\r\n"
            )
            .bytes(),
        );
        body.extend(*content);
        body.extend(b"\r\n");
    }
    body.extend(b"--part--\r\n");
    body
}

/// The constructed wall cabinet C2.
fn c2(name: &str) -> Vec<u8> {
    std::fs::read(common::fixture("worked/c2").join(name)).unwrap()
}

fn folder_with_c2() -> tempfile::TempDir {
    let home = tempfile::tempdir().unwrap();
    for name in ["c2.dxf", "c2.csv", "dryfit.toml"] {
        std::fs::write(home.path().join(name), c2(name)).unwrap();
    }
    home
}

#[test]
fn it_listens_on_this_machine_only() {
    let page = Running::plain();
    // Another address of this machine: every one in 127.0.0.0/8 leads here, and
    // the page is bound to the one.
    let other = IpAddr::V4(Ipv4Addr::new(127, 0, 0, 2));
    assert!(TcpStream::connect((other, page.port)).is_err());
    page.get("").is(200);
}

#[test]
fn another_host_name_is_not_answered() {
    let page = Running::plain();
    let ask = |host: &str| {
        let request = format!("GET {} HTTP/1.1\r\n{host}\r\n\r\n", page.home);
        page.raw(request.as_bytes())
    };
    for host in [
        format!("Host: rebound.example:{}", page.port),
        format!("Host: 127.0.0.1.example:{}", page.port),
        "Host: 127.0.0.1".to_owned(),
        "Host: 127.0.0.1:1".to_owned(),
        "X: y".to_owned(),
    ] {
        let reply = ask(&host).says(421, "answers only to this machine's own address");
        // Nothing that tells what runs here.
        assert!(!reply.body.contains("cut list"), "{}", reply.body);
    }
    for name in ["127.0.0.1", "localhost", "[::1]"] {
        ask(&format!("Host: {name}:{}", page.port)).is(200);
    }
    let absolute = format!(
        "GET http://rebound.example{} HTTP/1.1\r\nHost: {}\r\n\r\n",
        page.home,
        page.host()
    );
    page.raw(absolute.as_bytes())
        .says(400, "not a path of this page");
    let twice = format!(
        "GET {} HTTP/1.1\r\nHost: {}\r\nHost: rebound.example\r\n\r\n",
        page.home,
        page.host()
    );
    page.raw(twice.as_bytes()).says(400, "two headers `host`");
}

#[test]
fn nothing_is_shown_without_the_printed_address() {
    let page = Running::plain();
    let other = Running::plain();
    assert_ne!(page.home, other.home);
    for path in ["/", "/favicon.ico", "/page.css", "/jobs/1", &*other.home] {
        let request = format!("GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n", page.host());
        let reply = page
            .raw(request.as_bytes())
            .says(404, "open the address that dryfit printed");
        assert!(
            reply
                .header("content-type")
                .unwrap()
                .starts_with("text/plain")
        );
    }
}

#[test]
fn other_pages_change_nothing() {
    let page = Running::plain();
    let body = parts(&[("c2.dxf", &c2("c2.dxf")), ("c2.csv", &c2("c2.csv"))]);
    let send = |headers: &str| {
        let mut request = format!(
            "POST {}jobs HTTP/1.1\r\nHost: {}\r\n{headers}\
             Content-Type: multipart/form-data; boundary=part\r\nContent-Length: {}\r\n\r\n",
            page.home,
            page.host(),
            body.len()
        )
        .into_bytes();
        request.extend(&body);
        page.raw(&request)
    };
    let own = format!("Origin: http://{}\r\n", page.host());
    let only = "only this page itself may change anything";
    let other = "asked for by another page";
    for (headers, status, told) in [
        (String::new(), 403, only),
        ("Origin: null\r\n".to_owned(), 403, only),
        ("Origin: http://other.example\r\n".to_owned(), 403, only),
        (
            format!("Origin: http://localhost:{}\r\n", page.port),
            403,
            only,
        ),
        (format!("Origin: https://{}\r\n", page.host()), 403, only),
        (format!("{own}Sec-Fetch-Site: cross-site\r\n"), 403, other),
        (format!("{own}Sec-Fetch-Site: same-site\r\n"), 403, other),
        (format!("{own}Sec-Fetch-Site: none\r\n"), 403, only),
        ("Sec-Fetch-Site: cross-site\r\n".to_owned(), 403, other),
        (
            format!("{own}Origin: http://other.example\r\n"),
            400,
            "two headers `origin`",
        ),
    ] {
        send(&headers).says(status, told);
    }
    assert!(
        page.get("").is(200).body.contains("None."),
        "a job was made"
    );
    send(&own).is(303);
    assert!(!page.get("").is(200).body.contains("None."));
    // Reading from another page is refused as well, and no page may read along.
    let request = format!(
        "GET {} HTTP/1.1\r\nHost: {}\r\nSec-Fetch-Site: cross-site\r\n\r\n",
        page.home,
        page.host()
    );
    page.raw(request.as_bytes())
        .says(403, "asked for by another page");
    let asked = format!(
        "OPTIONS {}jobs HTTP/1.1\r\nHost: {}\r\nOrigin: http://other.example\r\n\r\n",
        page.home,
        page.host()
    );
    let reply = page
        .raw(asked.as_bytes())
        .says(405, "only GET, HEAD and POST are answered");
    assert!(reply.header("access-control-allow-origin").is_none());
}

#[test]
fn every_answer_carries_its_guards() {
    let page = Running::plain();
    page.upload(&[("c2.dxf", &c2("c2.dxf")), ("c2.csv", &c2("c2.csv"))])
        .is(303);
    for path in [
        "",
        "page.css",
        "page.js",
        "jobs/1",
        "jobs/1/reading",
        "jobs/1/job-file",
        "jobs/1/report.html",
        "jobs/1/dryfit.toml",
        "nothing",
    ] {
        let reply = page.get(path);
        assert_eq!(
            reply.header("x-content-type-options"),
            Some("nosniff"),
            "{path}"
        );
        assert_eq!(reply.header("cache-control"), Some("no-store"), "{path}");
        assert_eq!(reply.header("x-frame-options"), Some("DENY"), "{path}");
        assert_eq!(
            reply.header("referrer-policy"),
            Some("same-origin"),
            "{path}"
        );
        assert!(
            reply.header("access-control-allow-origin").is_none(),
            "{path}"
        );
        let policy = reply.header("content-security-policy").unwrap();
        assert!(policy.starts_with("default-src 'none'"), "{path}: {policy}");
        assert!(!policy.contains("script-src 'unsafe"), "{path}: {policy}");
        // Pages run no script but the one file, and load nothing from elsewhere.
        let scripts = reply.body.matches("<script").count();
        assert_eq!(
            scripts,
            reply.body.matches("/page.js\" defer").count(),
            "{path}"
        );
        assert!(!reply.body.contains("onclick="), "{path}");
        assert!(!reply.body.contains(" style=\""), "{path}");
    }
    let reply = page.raw(
        format!(
            "HEAD {} HTTP/1.1\r\nHost: {}\r\n\r\n",
            page.home,
            page.host()
        )
        .as_bytes(),
    );
    assert_eq!((reply.status, reply.body.as_str()), (200, ""));
}

#[test]
fn more_than_is_taken_is_refused_before_it_is_read() {
    let limits = Limits {
        upload: 200_000,
        drawing: 150_000,
        list: 1_000,
        form: 2_000,
        files: 3,
        ..Limits::default()
    };
    let page = Running::start(limits, Times::default(), None);
    // Only the head is sent: an answer shows that the body was not waited for.
    let host = page.host();
    // 200 000 bytes are 195 KB of 1024 bytes.
    for (path, length, told) in [
        (
            "jobs",
            "200001",
            "more than the 195 KB that are taken at once",
        ),
        (
            "jobs",
            "99999999999999",
            "more than the 195 KB that are taken at once",
        ),
        (
            "jobs",
            "99999999999999999999999",
            "larger than anything this page takes",
        ),
        ("jobs/1/text", "2001", "a form larger than this page sends"),
    ] {
        let mut stream = page.connect();
        let head = format!(
            "POST {}{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Content-Type: multipart/form-data; boundary=part\r\nContent-Length: {length}\r\n\r\n",
            page.home
        );
        stream.write_all(head.as_bytes()).unwrap();
        let asked = Instant::now();
        reply(stream).says(413, told);
        assert!(asked.elapsed() < Duration::from_secs(5));
    }
    page.upload(&[("list.csv", &[b'x'; 1_001])])
        .says(413, "list.csv is larger than the 1000 bytes that are taken");
    let small: &[u8] = b"a,b\n";
    let many = [
        ("1.csv", small),
        ("2.csv", small),
        ("3.csv", small),
        ("4.csv", small),
    ];
    page.upload(&many)
        .says(413, "more than 3 files at once; send fewer");
    // The whole of what is too much sent at once still gets its answer.
    page.upload(&[("c.dxf", &vec![b'0'; 4_000_000])]).is(413);
    assert!(page.get("").is(200).body.contains("None."));
}

#[test]
fn damaged_requests_are_refused_and_the_page_goes_on() {
    let page = Running::plain();
    let good = parts(&[("c2.csv", &c2("c2.csv"))]);
    let kind = "multipart/form-data; boundary=part";
    let longest = format!(
        "--part\r\nContent-Disposition: form-data; name=\"{}\"\r\n\r\nx\r\n--part--",
        "a".repeat(5_000)
    );
    for (kind, body, told) in [
        (
            "multipart/form-data",
            &good[..],
            "parts have no usable boundary",
        ),
        (
            "multipart/form-data; boundary=other",
            &good[..],
            "the form cannot be read: it does not begin with its boundary",
        ),
        (
            kind,
            &good[..good.len() - 12],
            "the form cannot be read: it ends in the middle of a part",
        ),
        (
            kind,
            b"--partly\r\n",
            "the form cannot be read: a boundary is damaged",
        ),
        (
            kind,
            b"--part\r\nContent-Type: text/csv\r\n\r\nx\r\n--part--",
            "the form cannot be read: a part does not say what it is",
        ),
        (
            kind,
            b"--part\r\nContent-Disposition: attachment; name=\"files\"\r\n\r\nx\r\n--part--",
            "the form cannot be read: a part is no form data",
        ),
        (
            kind,
            b"--part\r\nContent-Disposition: form-data; filename=\"a.csv\"\r\n\r\nx\r\n--part--",
            "the form cannot be read: a part has no name",
        ),
        (
            kind,
            b"--part\r\nContent-Disposition: form-data; name=\"\xff\"\r\n\r\nx\r\n--part--",
            "the form cannot be read: a part's headers are no text",
        ),
        (
            kind,
            longest.as_bytes(),
            "the form cannot be read: the headers of a part are too long",
        ),
        (
            kind,
            b"--part\r\nContent-Disposition: form-data; name=\"other\"\r\n\r\nx\r\n--part--",
            "a field `other`, not a file",
        ),
        (
            kind,
            b"",
            "the form cannot be read: it does not begin with its boundary",
        ),
    ] {
        page.post("jobs", kind, body).says(400, told);
    }
    page.post("jobs", "text/plain", &good)
        .says(415, "files are sent as multipart/form-data");
    page.post("jobs", kind, b"--part--\r\n")
        .says(422, "no drawing and no list among the files");
    let plain = "application/x-www-form-urlencoded";
    let many = "a&".repeat(20_001);
    for (kind, body, status, told) in [
        (
            "text/plain",
            &b"a=b"[..],
            415,
            "a form of another kind than this page sends",
        ),
        (plain, many.as_bytes(), 413, "a form with too many fields"),
        (
            plain,
            b"a=%4",
            400,
            "the form cannot be read: a `%` without two digits",
        ),
        (
            plain,
            b"a=%zz",
            400,
            "the form cannot be read: a `%` without two digits",
        ),
        (
            plain,
            b"a=%ff",
            400,
            "the form cannot be read: a field is not text",
        ),
    ] {
        page.post("jobs/1/text", kind, body).says(status, told);
    }
    page.get("").is(200);
}

#[test]
fn what_is_no_request_of_a_browser_is_told_why() {
    let page = Running::plain();
    let host = page.host();
    let long = "x".repeat(20_000);
    let many = "X: y\r\n".repeat(65);
    let home = &page.home;
    let request = |method: &str, path: &str, headers: &str| {
        format!("{method} {path} HTTP/1.1\r\nHost: {host}\r\n{headers}\r\n").into_bytes()
    };
    let beforehand = "the length has to be said beforehand";
    for (bytes, status, told) in [
        (b"hello\r\n\r\n".to_vec(), 400, "not a request: "),
        (
            request("GET", home, "no colon here\r\n"),
            400,
            "not a request: ",
        ),
        // Empty lines before a request are passed over (RFC 9112, 2.2).
        (b"\r\n\r\n".to_vec(), 400, "half a request"),
        (
            request("DELETE", home, ""),
            405,
            "only GET, HEAD and POST are answered",
        ),
        (request("GET", "*", ""), 400, "not a path of this page"),
        (
            request("GET", &format!("/{long}"), ""),
            431,
            "the headers are too long",
        ),
        (request("GET", home, &many), 431, "too many headers"),
        (
            [
                format!("GET {home} HTTP/1.1\r\nX: ").as_bytes(),
                b"\xff\r\n\r\n",
            ]
            .concat(),
            400,
            "a header is not text",
        ),
        (request("POST", home, ""), 411, beforehand),
        (
            request("POST", home, "Transfer-Encoding: chunked\r\n"),
            411,
            beforehand,
        ),
        (
            request("POST", home, "Content-Length: +5\r\n"),
            400,
            "a length that is no number",
        ),
    ] {
        page.raw(&bytes).says(status, told);
    }
    // One that breaks off, the other side still listening.
    let mut stream = page.connect();
    stream.write_all(b"GET / HTTP/1.1\r\nHo").unwrap();
    stream.shutdown(std::net::Shutdown::Write).unwrap();
    reply(stream).says(400, "half a request");
    page.get("").is(200);
}

#[test]
fn no_name_leads_anywhere() {
    let folder = folder_with_c2();
    std::fs::write(folder.path().join("secret.csv"), "never shown").unwrap();
    let page = Running::start(Limits::default(), Times::default(), None);
    let list = c2("c2.csv");
    for name in ["../../c2.csv", "/etc/c2.csv", "C:\\jobs\\c2.csv"] {
        let reply = page.upload(&[(name, &list)]).is(303);
        let job = reply
            .header("location")
            .unwrap()
            .rsplit('/')
            .next()
            .unwrap()
            .to_owned();
        let shown = page.get(&format!("jobs/{job}")).is(200).body;
        assert!(
            shown.contains("c2.csv") && !shown.contains("etc/c2"),
            "{name}"
        );
        page.form(&format!("jobs/{job}/close"), &[]).is(303);
    }
    let nameless = "a file without a usable name";
    let neither = "is neither a drawing (.dxf) nor a list (.csv, .tsv, .txt, .xlsx, .ods) \
                   nor a job file (dryfit.toml)";
    for (name, told) in [
        ("..", nameless),
        (".csv", nameless),
        ("a/", nameless),
        ("evil.exe", neither),
        (
            "drawing.dwg",
            "drawing.dwg: a DWG drawing cannot be read; export it as DXF",
        ),
        ("other.toml", neither),
    ] {
        page.upload(&[(name, &list)]).says(422, told);
    }
    page.upload(&[("a.csv", &list), ("A.CSV", &list)])
        .says(422, "two files are called A.CSV; give one another name");
    page.upload(&[("c2.csv", &list)]).is(303);
    for path in [
        "jobs/../../../../etc/passwd",
        "jobs/%2e%2e/%2e%2e/etc/passwd",
        "jobs/4/../../../c2.csv",
        "jobs/4/c2.csv",
        "jobs/4/report.html/x",
        "jobs/+4",
        "jobs/99",
        "jobs/",
        "..",
        "page.css/",
        "/",
    ] {
        page.get(path).is(404);
    }
}

#[test]
fn names_and_cells_are_shown_as_text() {
    let page = Running::plain();
    let name = "<script>alert(1)</script>.csv";
    let list = "Cabinet,Part,Qty,Length,<b onclick=x>\n\
                B1,<img src=x onerror=alert(1)>,2,34 1/2,\"\"\"'>\"\n";
    page.upload(&[("<i>.dxf", b"not a drawing"), (name, list.as_bytes())])
        .is(303);
    for path in [
        "jobs/1",
        "jobs/1/reading",
        "jobs/1/job-file",
        "jobs/1/report.html",
        "",
    ] {
        let shown = page.get(path).is(200).body;
        for evil in ["<script>", "<img", "<b onclick", "<i>"] {
            assert!(!shown.contains(evil), "{path}: {evil}");
        }
    }
    // What comes back in a refusal as well.
    let version = page.version(1);
    let text = "</textarea><script>alert(1)</script>";
    let reply = page
        .form("jobs/1/text", &[("version", &version), ("text", text)])
        .is(422);
    assert!(reply.body.contains("&lt;/textarea&gt;&lt;script&gt;"));
    assert!(!reply.body.contains("<script>"));
    let reply = page.upload(&[("<script>.exe", b"")]).is(422);
    assert!(reply.body.contains("&lt;script&gt;.exe"));
}

#[test]
fn so_many_jobs_and_no_more() {
    let limits = Limits {
        jobs: 2,
        kept: 1_000_000,
        ..Limits::default()
    };
    let page = Running::start(limits, Times::default(), None);
    let list = c2("c2.csv");
    for _ in 0..2 {
        page.upload(&[("c2.csv", &list)]).is(303);
    }
    let reply = page.upload(&[("c2.csv", &list)]).is(409);
    assert!(reply.body.contains("2 jobs are open; close one first"));
    page.form("jobs/1/close", &[]).is(303);
    page.get("jobs/1")
        .says(404, "this job is not open any more");
    let padded = [list.as_slice(), &vec![b'\n'; 1_000_000]].concat();
    page.upload(&[("c2.csv", &padded)]).says(
        409,
        "the open jobs take all the memory they may; close one first",
    );
    page.upload(&[("c2.csv", &list)]).is(303);
}

#[test]
fn slow_and_silent_connections_are_let_go() {
    let times = Times {
        head: Duration::from_millis(400),
        body: Duration::from_millis(400),
        answer: Duration::from_secs(5),
    };
    let limits = Limits {
        connections: 4,
        ..Limits::default()
    };
    let page = Running::start(limits, times, None);
    let host = page.host();
    // Half a head, half a body, and nothing at all.
    let mut half = page.connect();
    half.write_all(b"GET / HTTP/1.1\r\nHo").unwrap();
    let bodies = ["jobs", "jobs/1/text"].map(|path| {
        let mut body = page.connect();
        let head = format!(
            "POST {}{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Content-Type: multipart/form-data; boundary=part\r\nContent-Length: 5000\r\n\r\n--part",
            page.home
        );
        body.write_all(head.as_bytes()).unwrap();
        body
    });
    let silent = page.connect();
    std::thread::sleep(Duration::from_millis(100));
    // All places are taken: the next is told so at once, not kept waiting.
    page.get("").says(503, "too many connections at once");
    reply(half).says(408, "the request took too long");
    for body in bodies {
        reply(body).says(408, "the request broke off or took too long");
    }
    drop(silent);
    std::thread::sleep(Duration::from_millis(600));
    page.get("").is(200);
}

#[test]
fn a_job_is_checked_corrected_and_its_job_file_fetched() {
    let page = Running::plain();
    let list = String::from_utf8(c2("c2.csv")).unwrap();
    // The same list with the headings of two columns exchanged.
    let odd = list.replacen("Width (mm);Thickness (mm)", "Thickness (mm);Width (mm)", 1);
    assert_ne!(odd, list);
    let files: [(&str, &[u8]); 3] = [
        ("c2.dxf", &c2("c2.dxf")),
        ("c2.csv", odd.as_bytes()),
        ("dryfit.toml", &c2("dryfit.toml")),
    ];
    let reply = page.upload(&files).is(303);
    assert_eq!(
        reply.header("location").unwrap(),
        format!("{}jobs/1", page.home)
    );
    let report = page.get("jobs/1").is(200).body;
    assert!(report.contains("The list and the drawing disagree"));
    let version = page.version(1);
    let fields = [
        ("version", version.as_str()),
        ("table", "0"),
        ("c5", "width"),
        ("c6", "thickness"),
    ];
    page.form("jobs/1/columns", &fields).is(303);
    let report = page.get("jobs/1").is(200).body;
    assert!(
        report.contains("The list agrees with the drawing"),
        "{report}"
    );
    let effect = page.get("jobs/1/reading").is(200).body;
    assert!(effect.contains("What the last change did"));
    let file = page.get("jobs/1/dryfit.toml").is(200);
    let stated = "[list.columns]\nwidth = \"Thickness (mm)\"\nthickness = \"Width (mm)\"\n";
    assert!(file.body.contains(stated), "{}", file.body);
    assert!(
        file.header("content-disposition")
            .unwrap()
            .starts_with("attachment")
    );
    // A form of a page that was made before is not taken.
    let old = page.form(
        "jobs/1/columns",
        &[("version", &version), ("table", "0"), ("c5", "unused")],
    );
    old.says(
        409,
        "this job was changed meanwhile, in another window perhaps; nothing was done. \
         Load the page again.",
    );
    // There is no folder to save into.
    let version = page.version(1);
    page.form("jobs/1/save", &[("version", &version), ("shown", "none")])
        .says(409, "this job has no folder; download the job file");
    // The report as one file is the very report.
    let one = page.get("jobs/1/report.html").is(200).body;
    assert!(one.starts_with("<!DOCTYPE html>") && one.contains("<style>"));
    assert!(!one.contains(&page.home) && !one.contains("<script"));
}

#[test]
fn wrong_statements_change_nothing_and_say_why() {
    let page = Running::plain();
    page.upload(&[("c2.dxf", &c2("c2.dxf")), ("c2.csv", &c2("c2.csv"))])
        .is(303);
    let version = page.version(1);
    let long = "#".repeat((1 << 20) + 1);
    for (what, fields, said) in [
        ("settings", [("tolerance", "a foot")], "tolerance"),
        ("settings", [("drawing-scale", "1:0")], "scale"),
        (
            "text",
            [("text", "[tolerance]\ndefalt = \"1 in\"\n")],
            "defalt",
        ),
        ("text", [("text", "[job")], "not well-formed"),
        (
            "text",
            [("text", long.as_str())],
            "far more than a job file",
        ),
    ] {
        let fields = [("version", version.as_str()), fields[0]];
        let reply = page.form(&format!("jobs/1/{what}"), &fields).is(422);
        assert!(
            reply.body.contains("role=\"alert\"") && reply.body.contains(said),
            "{}",
            reply.body
        );
    }
    let fields = [
        ("version", version.as_str()),
        ("table", "0"),
        ("c1", "colour"),
    ];
    let reply = page.form("jobs/1/columns", &fields).is(422);
    assert!(reply.body.contains("is not something a column can hold"));
    let fields = [
        ("version", version.as_str()),
        ("k0", "upside-down"),
        ("n0", ""),
        ("s0", ""),
    ];
    let reply = page.form("jobs/1/views", &fields).is(422);
    assert!(reply.body.contains("is no kind of view"));
    let fields = [("version", version.as_str()), ("table", "7")];
    page.form("jobs/1/columns", &fields)
        .says(400, "no such list");
    assert_eq!(page.version(1), version);
    assert_eq!(page.get("jobs/1/dryfit.toml").is(200).body, "");
}

#[test]
fn a_view_is_corrected() {
    let page = Running::plain();
    page.upload(&[("c2.dxf", &c2("c2.dxf")), ("c2.csv", &c2("c2.csv"))])
        .is(303);
    let version = page.version(1);
    let fields = [
        ("version", version.as_str()),
        ("k0", "plan"),
        ("n0", "C9"),
        ("s0", ""),
    ];
    page.form("jobs/1/views", &fields).is(303);
    let file = page.get("jobs/1/dryfit.toml").is(200).body;
    assert!(file.starts_with("[[view]]\nfile = \"c2.dxf\"\n"), "{file}");
    assert!(
        file.contains("kind = \"plan\"\ncabinets = [\"C9\"]\n"),
        "{file}"
    );
    let reading = page.get("jobs/1/reading").is(200).body;
    assert!(reading.contains("job file line 1 says so"), "{reading}");
    // Taken back, nothing is left of it.
    let version = page.version(1);
    let fields = [
        ("version", version.as_str()),
        ("k0", ""),
        ("n0", ""),
        ("s0", ""),
    ];
    page.form("jobs/1/views", &fields).is(303);
    assert_eq!(page.get("jobs/1/dryfit.toml").is(200).body, "");
}

/// The mark of the job file whose differences the page shows.
fn shown(page: &Running) -> String {
    let text = page.get("jobs/1/job-file").is(200).body;
    let rest = text.split("name=\"shown\" value=\"").nth(1).unwrap();
    rest.split('"').next().unwrap().to_owned()
}

#[test]
fn the_folders_job_file_is_replaced_only_as_shown() {
    let folder = folder_with_c2();
    let file = folder.path().join("dryfit.toml");
    let before = std::fs::read_to_string(&file).unwrap();
    let page = Running::start(Limits::default(), Times::default(), Some(folder.path()));
    let state = |size: &str| {
        let version = page.version(1);
        page.form(
            "jobs/1/settings",
            &[("version", &version), ("tolerance", size)],
        )
        .is(303);
    };
    state("1/16 in");
    // Correcting writes nothing.
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
    let text = page.get("jobs/1/job-file").is(200).body;
    assert!(
        text.contains("<ins>+ default = &quot;1/16 in&quot;"),
        "{text}"
    );
    assert!(text.contains("Replace dryfit.toml as shown above"));
    let seen = shown(&page);
    // Somebody else changes it meanwhile.
    let other = format!("# changed by hand\n{before}");
    std::fs::write(&file, &other).unwrap();
    let version = page.version(1);
    let save = |shown: &str, version: &str| {
        page.form("jobs/1/save", &[("version", version), ("shown", shown)])
    };
    let reply = save(&seen, &version).is(409);
    assert!(reply.body.contains("is not the one that was shown"));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), other);
    save("", &version).is(409);
    // Shown again, it is replaced.
    save(&shown(&page), &version).is(303);
    let after = std::fs::read_to_string(&file).unwrap();
    assert!(after.contains("default = \"1/16 in\"") && !after.contains("by hand"));
    assert!(
        page.get("jobs/1/job-file")
            .is(200)
            .body
            .contains("the job file says it already")
    );
    // Nothing else lies in the folder.
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 3);
}

#[test]
fn a_folder_without_a_job_file_gets_one_and_keeps_one_that_came_meanwhile() {
    let folder = folder_with_c2();
    let file = folder.path().join("dryfit.toml");
    std::fs::remove_file(&file).unwrap();
    let page = Running::start(Limits::default(), Times::default(), Some(folder.path()));
    let version = page.version(1);
    page.form(
        "jobs/1/settings",
        &[("version", &version), ("tolerance", "0.8 mm")],
    )
    .is(303);
    let seen = shown(&page);
    let version = page.version(1);
    std::fs::write(&file, "# came meanwhile\n").unwrap();
    page.form("jobs/1/save", &[("version", &version), ("shown", &seen)])
        .is(409);
    assert_eq!(
        std::fs::read_to_string(&file).unwrap(),
        "# came meanwhile\n"
    );
    std::fs::remove_file(&file).unwrap();
    page.form(
        "jobs/1/save",
        &[("version", &version), ("shown", &shown(&page))],
    )
    .is(303);
    let saved = std::fs::read_to_string(&file).unwrap();
    assert_eq!(saved, "[tolerance]\ndefault = \"0.8 mm\"\n");
}

#[test]
fn a_job_file_that_cannot_be_used_is_shown_for_correction() {
    let folder = folder_with_c2();
    std::fs::write(
        folder.path().join("dryfit.toml"),
        "[tolerance]\ndefalt = 1\n",
    )
    .unwrap();
    let page = Running::start(Limits::default(), Times::default(), Some(folder.path()));
    let report = page.get("jobs/1").is(200).body;
    assert!(report.contains("takes no `defalt`"), "{report}");
    page.get("jobs/1/report.html")
        .says(404, "this job has no report");
    let version = page.version(1);
    let text = String::from_utf8(c2("dryfit.toml")).unwrap();
    page.form("jobs/1/text", &[("version", &version), ("text", &text)])
        .is(303);
    assert!(
        page.get("jobs/1")
            .is(200)
            .body
            .contains("The list agrees with the drawing")
    );
}

#[test]
fn the_command_prints_the_address_and_ends_when_asked() {
    use std::io::{BufRead, BufReader};
    /// Ends the command whatever becomes of the test.
    struct Command(std::process::Child);
    impl Drop for Command {
        fn drop(&mut self) {
            let _ = self.0.kill();
            let _ = self.0.wait();
        }
    }
    let command = std::process::Command::new(env!("CARGO_BIN_EXE_dryfit"))
        .args(["page", common::fixture("worked/c2").to_str().unwrap()])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut command = Command(command);
    let mut lines = BufReader::new(command.0.stdout.take().unwrap()).lines();
    let address = lines
        .find_map(|line| {
            line.unwrap()
                .trim()
                .strip_prefix("http://")
                .map(str::to_owned)
        })
        .unwrap();
    let (host, path) = address.split_once('/').unwrap();
    let (home, rest) = path.split_once('/').unwrap();
    assert_eq!(rest, "jobs/1");
    let mut running = Running {
        port: host.strip_prefix("127.0.0.1:").unwrap().parse().unwrap(),
        home: format!("/{home}/"),
        serving: Some(std::thread::spawn(|| ())),
    };
    assert!(running.get("jobs/1").is(200).body.contains("W60"));
    // The port is taken now.
    let second = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .args(["page", "--port", &running.port.to_string()])
        .timeout(Duration::from_secs(20))
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2));
    let said = String::from_utf8(second.stderr).unwrap();
    assert!(
        said.contains(&format!("port {} cannot be used", running.port)),
        "{said}"
    );
    running.form("end", &[]).is(200);
    assert_eq!(command.0.wait().unwrap().code(), Some(0));
    running.serving.take().unwrap().join().unwrap();
    std::mem::forget(running);
}

#[test]
fn a_folder_that_is_none() {
    let output = assert_cmd::Command::cargo_bin("dryfit")
        .unwrap()
        .args(["page", "no/such/folder"])
        .timeout(Duration::from_secs(20))
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("no/such/folder is not a folder; give the folder"),
        "{said}"
    );
}
