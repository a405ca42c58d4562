//! Bytes on a connection, for what a client that keeps to the rules cannot send.
use crate::client::Answer;
use std::io::{ErrorKind, Read, Write};
use std::net::{Shutdown, TcpStream};
use std::time::Duration;
use ureq::http::{HeaderMap, HeaderName, HeaderValue};

/// One connection.
pub struct Raw {
    stream: TcpStream,
    /// Read, but not yet of an answer.
    rest: Vec<u8>,
}

impl Raw {
    pub fn open(base: &str) -> Self {
        let stream = TcpStream::connect(base.strip_prefix("http://").expect("an address")).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(30))).expect("a timeout");
        stream.set_nodelay(true).expect("a socket");
        Self { stream, rest: Vec::new() }
    }

    /// Whether all of it could be sent; the service may have hung up.
    pub fn send(&mut self, bytes: &[u8]) -> bool {
        self.stream.write_all(bytes).is_ok()
    }

    /// Says that nothing more will come.
    pub fn end(&self) {
        let _ = self.stream.shutdown(Shutdown::Write);
    }

    /// More bytes; none where the service hung up.
    fn more(&mut self) -> Option<usize> {
        let mut part = [0; 16 * 1024];
        match self.stream.read(&mut part) {
            Ok(0) => None,
            Ok(n) => {
                self.rest.extend_from_slice(&part[..n]);
                Some(n)
            }
            Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
                panic!("neither an answer nor an end in half a minute")
            }
            Err(_) => None,
        }
    }

    /// The next answer; `None` where the service hung up instead.
    pub fn answer(&mut self, asked: &str) -> Option<Answer> {
        let end = loop {
            match self.rest.windows(4).position(|w| w == b"\r\n\r\n") {
                Some(at) => break at,
                None => self.more()?,
            };
        };
        let head = String::from_utf8_lossy(&self.rest[..end]).into_owned();
        let mut lines = head.split("\r\n");
        let status = lines.next().and_then(|line| line.split(' ').nth(1)?.parse().ok()).expect("a status line");
        let mut headers = HeaderMap::new();
        for (name, value) in lines.filter_map(|line| line.split_once(": ")) {
            let name: HeaderName = name.parse().expect("a header's name");
            headers.append(name, HeaderValue::from_str(value).expect("a header's value"));
        }
        self.rest.drain(..end + 4);
        if status == 100 {
            return self.answer(asked); // go on, it says
        }
        let length = headers.get("content-length").and_then(|v| v.to_str().ok()?.parse::<usize>().ok());
        while self.rest.len() < length.unwrap_or(0) {
            self.more()?;
        }
        let bytes = self.rest.drain(..length.unwrap_or(0)).collect();
        Some(Answer::new(asked, status, headers, bytes))
    }

    /// Waits until the service hangs up.
    pub fn hung_up(&mut self) -> bool {
        while self.more().is_some() {}
        true
    }
}
