//! Who may ask: only a browser on this machine that was given the printed
//! address, and for changes only this page itself.

use super::PageError;
use super::http::{Head, Method, Refused};

/// What every request is held against.
#[derive(Clone, Debug)]
pub struct Guard {
    port: u16,
    token: String,
}

impl Guard {
    pub fn new(port: u16, token: String) -> Self {
        Guard { port, token }
    }

    /// The path of the page, with slashes around it.
    pub fn home(&self) -> String {
        format!("/{}/", self.token)
    }

    /// The rest of the path behind the token.
    ///
    /// # Errors
    /// When the request was sent by way of another name than this machine's own,
    /// without the token, or from another page.
    pub fn pass<'h>(&self, head: &'h Head) -> Result<&'h str, Refused> {
        let host = head.header("host").unwrap_or_default();
        if !self.is_own(host) {
            // A name that leads here is not enough: any site can have one.
            return Err(Refused::new(
                421,
                "this page answers only to this machine's own address",
            ));
        }
        let site = head.header("sec-fetch-site");
        if !matches!(site, None | Some("same-origin" | "none")) {
            return Err(Refused::new(403, "asked for by another page"));
        }
        let rest = head.path.strip_prefix('/').and_then(|path| {
            let (token, rest) = path.split_once('/')?;
            self.is_token(token).then_some(rest)
        });
        let rest = rest.ok_or_else(|| {
            Refused::new(404, "nothing here; open the address that dryfit printed")
        })?;
        if head.method == Method::Post {
            let own = format!("http://{host}");
            let allowed = match head.header("origin") {
                Some(origin) => origin.eq_ignore_ascii_case(&own),
                None => site == Some("same-origin"),
            };
            if !allowed || site == Some("none") {
                return Err(Refused::new(
                    403,
                    "only this page itself may change anything",
                ));
            }
        }
        Ok(rest)
    }

    fn is_own(&self, host: &str) -> bool {
        ["127.0.0.1", "localhost", "[::1]"].iter().any(|name| {
            let with_port = format!("{name}:{}", self.port);
            host.eq_ignore_ascii_case(&with_port)
                || (self.port == 80 && host.eq_ignore_ascii_case(name))
        })
    }

    /// Takes the same time wherever the two differ.
    fn is_token(&self, given: &str) -> bool {
        given.len() == self.token.len()
            && given
                .bytes()
                .zip(self.token.bytes())
                .fold(0, |differ, (a, b)| differ | (a ^ b))
                == 0
    }
}

/// 128 bits from the system, which `fill` asks, in hexadecimal.
///
/// # Errors
/// When the system has none to give.
pub fn token(
    fill: impl Fn(&mut [u8]) -> Result<(), getrandom::Error>,
) -> Result<String, PageError> {
    let mut bytes = [0_u8; 16];
    fill(&mut bytes).map_err(|error| PageError::Random {
        message: error.to_string(),
    })?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(method: &str, path: &str, headers: &[(&str, &str)]) -> Result<String, u16> {
        let guard = Guard::new(4711, "abc".to_owned());
        let mut text = format!("{method} {path} HTTP/1.1\r\nContent-Length: 0\r\n");
        for (name, value) in headers {
            text.push_str(&format!("{name}: {value}\r\n"));
        }
        text.push_str("\r\n");
        let head = Head::parse(text.as_bytes()).expect("a request");
        guard
            .pass(&head)
            .map(str::to_owned)
            .map_err(|refused| refused.status)
    }

    const HOST: (&str, &str) = ("Host", "127.0.0.1:4711");

    #[test]
    fn only_this_machines_names_with_this_port() {
        for host in [
            "127.0.0.1:4711",
            "localhost:4711",
            "LOCALHOST:4711",
            "[::1]:4711",
        ] {
            assert_eq!(ask("GET", "/abc/x", &[("Host", host)]), Ok("x".to_owned()));
        }
        for host in [
            "",
            "127.0.0.1",
            "127.0.0.1:80",
            "127.0.0.1:47111",
            "localhost.example:4711",
            "example.com:4711",
            "127.0.0.1:4711.example",
            "0.0.0.0:4711",
        ] {
            assert_eq!(ask("GET", "/abc/", &[("Host", host)]), Err(421), "{host}");
        }
        assert_eq!(ask("GET", "/abc/", &[]), Err(421));
    }

    #[test]
    fn nothing_without_the_token() {
        for path in ["/", "/abc", "/abd/", "/ab/", "/abcd/", "/x/abc/", "//abc/"] {
            assert_eq!(ask("GET", path, &[HOST]), Err(404), "{path}");
        }
    }

    #[test]
    fn changes_only_from_the_page_itself() {
        let own = ("Origin", "http://127.0.0.1:4711");
        let same = ("Sec-Fetch-Site", "same-origin");
        assert!(ask("POST", "/abc/", &[HOST, own]).is_ok());
        assert!(ask("POST", "/abc/", &[HOST, own, same]).is_ok());
        assert!(ask("POST", "/abc/", &[HOST, same]).is_ok());
        assert_eq!(ask("POST", "/abc/", &[HOST]), Err(403));
        for origin in [
            "null",
            "http://localhost:4711",
            "http://127.0.0.1:4712",
            "https://127.0.0.1:4711",
            "http://example.com",
        ] {
            let origin = ("Origin", origin);
            assert_eq!(
                ask("POST", "/abc/", &[HOST, origin]),
                Err(403),
                "{origin:?}"
            );
            assert_eq!(ask("POST", "/abc/", &[HOST, origin, same]), Err(403));
        }
        for site in ["cross-site", "same-site", "none", "anything"] {
            let site = ("Sec-Fetch-Site", site);
            assert_eq!(ask("POST", "/abc/", &[HOST, own, site]), Err(403));
        }
        let cross = ("Sec-Fetch-Site", "cross-site");
        assert_eq!(ask("GET", "/abc/", &[HOST, cross]), Err(403));
        let typed = ("Sec-Fetch-Site", "none");
        assert!(ask("GET", "/abc/", &[HOST, typed]).is_ok());
    }

    #[test]
    fn every_run_has_a_token_of_its_own() {
        let token = || token(getrandom::fill).expect("random");
        let (one, other) = (token(), token());
        assert_eq!(one.len(), 32);
        assert_ne!(one, other);
    }

    #[test]
    fn without_random_numbers_there_is_no_page() {
        let error = getrandom::Error::UNSUPPORTED;
        let refused = token(|_| Err(error)).expect_err("no page");
        assert_eq!(
            refused.to_string(),
            format!(
                "the system gives no random numbers for a secret address of the page ({error}); \
                 use `dryfit check` until it does"
            )
        );
    }
}
