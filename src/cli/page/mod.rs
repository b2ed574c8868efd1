//! `dryfit page`: the report and its corrections in a browser, for people who do
//! not use a terminal. Answers on this machine's own address only, keeps what
//! is sent in memory, and writes nothing but the job file of the folder it was
//! given, when asked.

mod desk;
mod difference;
mod draft;
mod form;
mod guard;
mod http;
mod kept;
mod routes;
mod show;

pub use desk::Limits;
pub use http::Times;

use super::Trouble;
use desk::Desk;
use guard::Guard;
use http::{Answer, Method, Refused, Wire};
use routes::{Room, Then};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

#[derive(Clone, Debug, clap::Args)]
pub struct Arguments {
    /// A job folder to open; its job file can then be saved into it
    #[arg(value_name = "DIR")]
    pub folder: Option<PathBuf>,
    /// Port to answer on; a free one when not given
    #[arg(long, value_name = "NUMBER", default_value_t = 0)]
    pub port: u16,
    /// Open it in the browser
    #[arg(long)]
    pub open: bool,
}

/// Why there is no page.
#[derive(Debug, thiserror::Error)]
pub enum PageError {
    #[error("{folder} is not a folder; give the folder with the drawings and the list, or none")]
    NoFolder { folder: String },
    #[error("port {port} cannot be used: {source}; give another with --port, or none")]
    Port { port: u16, source: std::io::Error },
    #[error(
        "the system gives no random numbers for a secret address of the page ({message}); use \
         `dryfit check` until it does"
    )]
    Random { message: String },
    #[error("{folder}: {message}")]
    Folder { folder: String, message: String },
}

/// Answers until it is ended; gives the exit status.
///
/// # Errors
/// When the folder or the port cannot be used.
pub fn run(arguments: &Arguments) -> Result<u8, Trouble> {
    let page = Page::bind(arguments.port, Limits::default(), Times::default())?;
    let address = match &arguments.folder {
        Some(folder) => page.open(folder)?,
        None => page.address(),
    };
    super::print(&format!(
        "The page is at\n\n  {address}\n\nOpen it in a browser on this machine. Ctrl-C ends it.\n"
    ))?;
    if arguments.open
        && let Err(message) = browse(&address)
    {
        eprintln!("dryfit: no browser could be opened: {message}");
    }
    page.serve();
    Ok(0)
}

/// A page that answers on a port of this machine.
#[derive(Debug)]
pub struct Page {
    listener: TcpListener,
    port: u16,
    times: Times,
    room: Arc<Room>,
}

impl Page {
    /// Takes the port; 0 takes a free one.
    ///
    /// # Errors
    /// When the port is taken or not allowed.
    pub fn bind(port: u16, limits: Limits, times: Times) -> Result<Self, PageError> {
        let failed = |source| PageError::Port { port, source };
        let place = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
        let listener = TcpListener::bind(place).map_err(failed)?;
        let port = listener.local_addr().map_err(failed)?.port();
        let token = guard::token(getrandom::fill)?;
        Ok(Page {
            listener,
            port,
            times,
            room: Arc::new(Room {
                guard: Guard::new(port, token),
                desk: Desk::new(limits),
            }),
        })
    }

    /// The address of the start page.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}{}", self.port, self.room.guard.home())
    }

    /// Opens the job of a folder; gives the address of its report.
    ///
    /// # Errors
    /// When it is no folder, or its job file cannot be read.
    pub fn open(&self, folder: &std::path::Path) -> Result<String, PageError> {
        let shown = folder.display().to_string();
        if !folder.is_dir() {
            return Err(PageError::NoFolder { folder: shown });
        }
        let number =
            routes::open_folder(&self.room.desk, folder).map_err(|refused| PageError::Folder {
                folder: shown,
                message: refused.message,
            })?;
        Ok(format!("{}jobs/{number}", self.address()))
    }

    /// Answers until somebody ends it.
    pub fn serve(&self) {
        let busy = Arc::new(AtomicUsize::new(0));
        let over = Arc::new(AtomicBool::new(false));
        for stream in self.listener.incoming() {
            if over.load(Ordering::Acquire) {
                break;
            }
            let Ok(stream) = stream else {
                // Too many open files, say: it passes.
                std::thread::sleep(Duration::from_millis(20));
                continue;
            };
            if busy.load(Ordering::Acquire) >= self.room.desk.limits.connections {
                Answer::text(503, "too many connections at once").send(
                    &stream,
                    Method::Get,
                    Duration::from_millis(200),
                );
                continue;
            }
            busy.fetch_add(1, Ordering::AcqRel);
            let (room, times, port) = (Arc::clone(&self.room), self.times, self.port);
            let (done, over) = (Arc::clone(&busy), Arc::clone(&over));
            std::thread::spawn(move || {
                if connection(&room, &stream, &times) == Then::End {
                    over.store(true, Ordering::Release);
                    // Wakes the loop, which waits for a connection.
                    let _ = TcpStream::connect((Ipv4Addr::LOCALHOST, port));
                }
                done.fetch_sub(1, Ordering::AcqRel);
            });
        }
        // Answers under way are finished, but not waited for for long.
        let deadline = Instant::now() + Duration::from_secs(3);
        while busy.load(Ordering::Acquire) > 0 && Instant::now() < deadline {
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

/// Answers one connection.
fn connection(room: &Room, stream: &TcpStream, times: &Times) -> Then {
    let mut wire = Wire::new(stream);
    let (answer, method, then) = match wire.head(times.head) {
        Ok(None) => return Then::GoOn,
        Err(refused) => (
            Answer::text(refused.status, &refused.message),
            Method::Get,
            Then::GoOn,
        ),
        Ok(Some(head)) => {
            let body = wire.body(head.length, times.body);
            // A fault in reading one job must not end the page.
            let answered = catch_unwind(AssertUnwindSafe(|| room.answer(&head, body)));
            let (answer, then) = answered.unwrap_or_else(|_| {
                let refused = Refused::new(500, "a fault in dryfit; please report it");
                (Answer::text(refused.status, &refused.message), Then::GoOn)
            });
            (answer, head.method, then)
        }
    };
    answer.send(stream, method, times.answer);
    http::end(stream);
    then
}

/// Asks the system to open the address.
fn browse(address: &str) -> Result<(), String> {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(windows) {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    std::process::Command::new(program)
        .args(before)
        .arg(address)
        .stdin(std::process::Stdio::null())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .map(drop)
        .map_err(|error| format!("{program}: {error}"))
}
