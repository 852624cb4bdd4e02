//! A static server for one person on one machine.
//!
//! Invariant: it listens on 127.0.0.1 only, and answers with nothing from outside its folder.
//! Absent: directory listings, compression, ranges, watching for changes.

use std::convert::Infallible;
use std::io::{self, Read as _};
use std::net::TcpListener;
use std::path::{Component, Path, PathBuf};
use std::rc::Rc;

use http_body_util::Full;
use hyper::body::Bytes;
use hyper::header::HeaderValue;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;

use crate::process::Problem;
use crate::{bundle, csp, setup, workspace};

/// The port that is tried first.
const DEFAULT_PORT: u16 = 8150;

/// What `serve` was asked to do.
#[derive(Debug, Default)]
pub(crate) struct Options {
    /// The only port to use; 0 is any free one.
    pub(crate) port: Option<u16>,
    /// Serve what was built before.
    pub(crate) is_built: bool,
    /// Serve the distributed site.
    pub(crate) is_distributed: bool,
    /// Stop when standard input closes, so that no server outlives the tests that started it.
    pub(crate) stops_with_input: bool,
}

/// Builds, unless told not to, and serves until stopped.
pub(crate) fn serve(options: &Options) -> Result<(), Problem> {
    let folder = if options.is_distributed {
        workspace::site()
    } else {
        workspace::pages()
    };
    if !options.is_built {
        setup::ensure(setup::Needs::WASM)?;
        if options.is_distributed {
            crate::dist::write()?;
        } else {
            bundle::build_pages()?;
        }
    }
    let folder = folder.canonicalize().map_err(|_| {
        Problem::new(
            format!("{} has not been built", folder.display()),
            "leave --no-build away",
        )
    })?;
    let listener = listen(options.port)?;
    let address = listener
        .local_addr()
        .map_err(|error| Problem::new(error.to_string(), "try another --port"))?;
    println!("Lampwright is at http://{address}/ (stop with Ctrl+C)");
    if options.stops_with_input {
        std::thread::spawn(stop_with_input);
    }
    answer_all(listener, folder).map_err(|error| {
        Problem::new(
            format!("the server stopped: {error}"),
            "start it again, with another --port",
        )
    })
}

/// Answers on each connection for as long as it stays open; returns only if no more can be accepted.
///
/// One thread is enough: each answer is a file of this machine, and a connection that a browser keeps
/// open, of which it has up to six for a page, holds up no other.
fn answer_all(listener: TcpListener, folder: PathBuf) -> io::Result<()> {
    listener.set_nonblocking(true)?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .build()?;
    let folder: Rc<Path> = folder.into();
    let connections = tokio::task::LocalSet::new();
    connections.block_on(&runtime, async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        loop {
            let (stream, _) = listener.accept().await?;
            let folder = Rc::clone(&folder);
            let answer = service_fn(move |request: Request<_>| {
                let response = answer(request.method(), request.uri().path(), &folder);
                async move { Ok::<_, Infallible>(response) }
            });
            tokio::task::spawn_local(async move {
                let connection =
                    http1::Builder::new().serve_connection(TokioIo::new(stream), answer);
                // A browser that goes away in the middle of an answer is no fault of the server.
                drop(connection.await);
            });
        }
    })
}

fn stop_with_input() {
    let mut sink = [0; 64];
    while std::io::stdin()
        .read(&mut sink)
        .is_ok_and(|length| length > 0)
    {}
    std::process::exit(0);
}

fn listen(port: Option<u16>) -> Result<TcpListener, Problem> {
    let bind = |port: u16| TcpListener::bind(("127.0.0.1", port));
    match port {
        Some(port) => bind(port).map_err(|error| {
            Problem::new(
                format!("port {port} cannot be used: {error}"),
                "choose another --port, or leave the flag away to get a free one",
            )
        }),
        None => bind(DEFAULT_PORT)
            .or_else(|_| {
                println!("serve: port {DEFAULT_PORT} is taken, using a free one");
                bind(0)
            })
            .map_err(|error| {
                Problem::new(
                    format!("no port could be opened on 127.0.0.1: {error}"),
                    "check whether this system allows local servers",
                )
            }),
    }
}

fn answer(method: &Method, address: &str, folder: &Path) -> Response<Full<Bytes>> {
    const WORDS: &str = "text/plain; charset=utf-8";
    if !matches!(*method, Method::GET | Method::HEAD) {
        return response(StatusCode::METHOD_NOT_ALLOWED, WORDS, "405");
    }
    let file = file_for(folder, address);
    match file.and_then(|path| Some((std::fs::read(&path).ok()?, path))) {
        Some((bytes, path)) => response(StatusCode::OK, media_type(&path), bytes),
        None => response(StatusCode::NOT_FOUND, WORDS, "404: there is no such page"),
    }
}

fn response(
    status: StatusCode,
    media_type: &str,
    bytes: impl Into<Bytes>,
) -> Response<Full<Bytes>> {
    let mut response = Response::new(Full::new(bytes.into()));
    *response.status_mut() = status;
    let csp = csp::header();
    let headers = [
        ("Content-Type", media_type),
        ("Content-Security-Policy", &csp),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "no-referrer"),
        ("Cross-Origin-Opener-Policy", "same-origin"),
        // With the one above, the browser's clock steps by 5 microseconds, which the budgets are measured with.
        ("Cross-Origin-Embedder-Policy", "require-corp"),
        // The folder changes with every build.
        ("Cache-Control", "no-cache"),
    ];
    for (name, value) in headers {
        if let Ok(value) = HeaderValue::from_str(value) {
            response.headers_mut().insert(name, value);
        }
    }
    response
}

/// The file in `folder` that an address names, if it names one.
///
/// Every part of the address must be an ordinary name, before and after decoding, and the file it
/// leads to must still be inside the folder.
fn file_for(folder: &Path, address: &str) -> Option<PathBuf> {
    let path = address.split(['?', '#']).next()?;
    let decoded = percent_decoded(path.strip_prefix('/')?)?;
    if decoded.contains(['\\', '\0', ':']) || decoded.starts_with('/') {
        return None;
    }
    let relative = Path::new(&decoded);
    if !relative
        .components()
        .all(|component| matches!(component, Component::Normal(_)))
    {
        return None;
    }
    let mut file = folder.join(relative);
    if file.is_dir() {
        file.push("index.html");
    }
    let file = file.canonicalize().ok()?;
    (file.starts_with(folder) && file.is_file()).then_some(file)
}

/// Decodes `%XX` once; nothing if the text is not valid.
fn percent_decoded(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits = [rest.next()?, rest.next()?];
            let digits = std::str::from_utf8(&digits).ok()?;
            bytes.push(u8::from_str_radix(digits, 16).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

/// The media type of a file, by the end of its name.
pub(crate) fn media_type(path: &Path) -> &'static str {
    match path
        .extension()
        .and_then(|extension| extension.to_str())
        .unwrap_or_default()
    {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ico" => "image/vnd.microsoft.icon",
        "txt" | "md" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;
    use std::net::TcpStream;
    use std::time::Duration;

    use super::*;

    fn folder() -> PathBuf {
        workspace::root()
            .join("web")
            .canonicalize()
            .expect("the web folder is part of the project")
    }

    #[track_caller]
    fn check_found(address: &str, expected: &str) {
        assert_eq!(
            file_for(&folder(), address),
            Some(folder().join(expected)),
            "{address}"
        );
    }

    #[test]
    fn pages_and_files_are_found() {
        check_found("/", "index.html");
        check_found("/index.html?state=night", "index.html");
        check_found("/Cargo.toml", "Cargo.toml");
        check_found("/src/main%2ers", "src/main.rs");
    }

    #[test]
    fn nothing_outside_the_folder_is_found() {
        for address in [
            "/../Cargo.toml",
            "/src/../../Cargo.toml",
            "/%2e%2e/Cargo.toml",
            "/%2E%2E%2FCargo.toml",
            "/..%2fCargo.toml",
            "/%252e%252e/Cargo.toml",
            "/..\\Cargo.toml",
            "/..%5cCargo.toml",
            "//etc/passwd",
            "/%2fetc/passwd",
            "/index.html%00",
            "/%zz",
            "/%",
            "index.html",
            "http://127.0.0.1/index.html",
            "/missing.html",
        ] {
            assert_eq!(file_for(&folder(), address), None, "{address}");
        }
    }

    /// A browser opens up to six connections for a page and keeps them; two browsers at once are common.
    #[test]
    fn connections_that_stay_open_hold_up_no_other() {
        let listener = listen(Some(0)).expect("there is a free port");
        let address = listener.local_addr().expect("it is bound");
        let mut connections: Vec<_> = (0..24)
            .map(|_| {
                let mut stream = TcpStream::connect(address).expect("it listens");
                stream
                    .set_read_timeout(Some(Duration::from_secs(30)))
                    .expect("it is more than nothing");
                stream
                    .write_all(b"GET /index.html?state=night HTTP/1.1\r\nHost: here\r\n\r\n")
                    .expect("it is open");
                stream
            })
            .collect();
        // All of them wait before the first is accepted.
        std::thread::spawn(move || answer_all(listener, folder()));
        for stream in &mut connections {
            let mut line = [0; 15];
            stream
                .read_exact(&mut line)
                .expect("each gets its answer while all are open");
            assert_eq!(&line, b"HTTP/1.1 200 OK");
        }
    }

    #[test]
    fn a_taken_port_falls_back_only_when_none_was_asked_for() {
        let taken = listen(Some(0)).expect("there is a free port");
        let port = taken.local_addr().expect("it is bound").port();
        assert!(listen(Some(port)).is_err());
        let first = listen(None).expect("there is a free port");
        let second = listen(None).expect("there is another free port");
        assert_ne!(
            first.local_addr().expect("it is bound"),
            second.local_addr().expect("it is bound")
        );
    }

    #[test]
    fn media_types_are_those_browsers_insist_on() {
        assert_eq!(media_type(Path::new("a/b.wasm")), "application/wasm");
        assert!(media_type(Path::new("start.js")).starts_with("text/javascript"));
    }
}
