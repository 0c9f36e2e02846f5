//! One connection to the server, kept alive: what a bench's browser or a program has open.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

/// What came back.
#[derive(Debug)]
#[allow(dead_code, reason = "the load example reads only some of it")]
pub struct Said {
    pub status: u16,
    pub kind: String,
    /// Where a redirection leads; empty otherwise.
    pub location: String,
    pub body: String,
}

pub struct Talk {
    stream: BufReader<TcpStream>,
    host: SocketAddr,
    cookie: String,
    request: Vec<u8>,
}

impl Talk {
    pub fn open(host: SocketAddr, token: &str) -> io::Result<Self> {
        let stream = TcpStream::connect(host)?;
        stream.set_nodelay(true)?;
        // Longer than the server's own patience: an answer that never comes is an error here.
        stream.set_read_timeout(Some(Duration::from_secs(60)))?;
        let cookie = format!("gradeworthy_session={token}");
        let stream = BufReader::with_capacity(64 * 1024, stream);
        let request = Vec::new();
        Ok(Self {
            stream,
            host,
            cookie,
            request,
        })
    }

    pub fn get(&mut self, path: &str) -> io::Result<Said> {
        self.ask("GET", path, "text/plain", "")
    }

    pub fn json(&mut self, path: &str, body: &str) -> io::Result<Said> {
        self.ask("POST", path, "application/json", body)
    }

    pub fn form(&mut self, path: &str, body: &str) -> io::Result<Said> {
        self.ask("POST", path, "application/x-www-form-urlencoded", body)
    }

    fn ask(&mut self, method: &str, path: &str, kind: &str, body: &str) -> io::Result<Said> {
        self.request.clear();
        write!(
            self.request,
            "{method} {path} HTTP/1.1\r\nhost: {}\r\ncookie: {}\r\ncontent-type: {kind}\r\n\
             content-length: {}\r\n\r\n{body}",
            self.host,
            self.cookie,
            body.len()
        )?;
        let stream = self.stream.get_mut();
        stream.write_all(&self.request)?;
        self.answer()
    }

    /// Reads one answer; the server gives the length of every one of its bodies.
    fn answer(&mut self) -> io::Result<Said> {
        let cut = |what: &str| io::Error::new(io::ErrorKind::UnexpectedEof, what.to_owned());
        let first = self.line()?;
        let status = first.split(' ').nth(1).and_then(|text| text.parse().ok());
        let status = status.ok_or_else(|| cut(&format!("no status in '{first}'")))?;
        let (mut length, mut kind, mut location) = (0, String::new(), String::new());
        loop {
            let line = self.line()?;
            let Some((name, value)) = line.split_once(':') else {
                break;
            };
            match name.to_ascii_lowercase().as_str() {
                "content-length" => {
                    length = value.trim().parse().map_err(|_| cut("no length"))?;
                }
                "content-type" => kind = value.trim().to_owned(),
                "location" => location = value.trim().to_owned(),
                _ => {}
            }
        }
        let mut body = vec![0; length];
        self.stream.read_exact(&mut body)?;
        let body = String::from_utf8(body).map_err(|_| cut("a body that is no text"))?;
        Ok(Said {
            status,
            kind,
            location,
            body,
        })
    }

    fn line(&mut self) -> io::Result<String> {
        let mut line = String::new();
        if self.stream.read_line(&mut line)? == 0 || !line.ends_with('\n') {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        Ok(line.trim_end().to_owned())
    }
}
