//! The cases: what is sent, and what comes of it.

/// What comes of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expected {
    Good(u16),
    /// A problem of ours.
    Problem(u16),
    /// A status of the HTTP library, without a body.
    Bare(u16),
    /// No answer, but an end.
    HungUp,
    /// An end; or a 400 of ours, where it gets out before the HTTP library ends the connection.
    Broken,
}
use Expected::{Bare, Broken, Good, HungUp, Problem};

impl Expected {
    pub fn is(self, met: Self) -> bool {
        met == self || self == Broken && matches!(met, HungUp | Problem(400))
    }

    /// Whether it is not ours.
    pub const fn below_us(self) -> bool {
        matches!(self, Bare(_) | HungUp | Broken)
    }
}

pub struct Case {
    pub name: &'static str,
    pub parts: Vec<Vec<u8>>,
    pub expected: Expected,
    /// The client says that nothing more comes.
    pub ends: bool,
    /// It takes as long as the service is patient.
    pub slow: bool,
}

/// What the HTTP library answers below the application, by name: all else is a problem of ours.
pub const BELOW_US: [&str; 28] = [
    "invalid UTF-8 in the path",
    "two equal lengths",
    "two different lengths",
    "a list of lengths",
    "a negative length",
    "a length with a sign",
    "a length that overflows",
    "chunked with a length",
    "an unknown coding",
    "chunked twice",
    "a chunk of an odd size",
    "a chunk that overflows",
    "an early end in the head",
    "97 headers",
    "a head of 200 KB",
    "10,000 headers of a cookie",
    "a folded header",
    "a header without a colon",
    "a space before the colon",
    "a NUL in a header",
    "two hosts",
    "HTTP/0.9",
    "HTTP/3.0",
    "the preface of HTTP/2",
    "a TLS greeting",
    "no words at all",
    "a path of 100 KB",
    "a head that does not end",
];

fn case(name: &'static str, bytes: impl Into<Vec<u8>>, expected: Expected) -> Case {
    Case { name, parts: vec![bytes.into()], expected, ends: false, slow: false }
}

/// All of them.
pub fn all(host: &str, horses: &str, token: &str) -> Vec<Case> {
    let auth = format!("Host: {host}\r\nAuthorization: Bearer {token}\r\n");
    let get = |path: &str| format!("GET {path} HTTP/1.1\r\n{auth}\r\n");
    let with = |more: &str| format!("GET {horses} HTTP/1.1\r\n{auth}{more}\r\n");
    let post = |more: &str, body: &str| {
        format!(
            "POST {horses} HTTP/1.1\r\n{auth}Content-Type: application/json\r\nIdempotency-Key: raw-sockets\r\n{more}\r\n{body}"
        )
    };
    let bytes = |start: &str, odd: &[u8], end: &str| [start.as_bytes(), odd, end.as_bytes()].concat();
    let mut cases = framing(&post, &get, horses);
    cases.extend(heads(&with, &auth, horses));
    cases.extend(paths(&get, horses));
    cases.push(case(
        "invalid UTF-8 in the path",
        bytes("GET /api/v1/", b"\xff\xfe", &format!(" HTTP/1.1\r\n{auth}\r\n")),
        Bare(400),
    ));
    cases.push(case(
        "invalid UTF-8 in a header",
        bytes(&format!("GET {horses} HTTP/1.1\r\n{auth}X-Odd: "), b"\xff\xfe", "\r\n\r\n"),
        Good(200),
    ));
    cases.push(case(
        "invalid UTF-8 in a key",
        bytes(
            &format!("POST {horses} HTTP/1.1\r\n{auth}Content-Type: application/json\r\nContent-Length: 2\r\nIdempotency-Key: "),
            b"\xff\xfe",
            "\r\n\r\n{}",
        ),
        Problem(400),
    ));
    cases.extend(slow(&post, horses, &auth));
    cases
}

fn framing(post: &dyn Fn(&str, &str) -> String, get: &dyn Fn(&str) -> String, horses: &str) -> Vec<Case> {
    let mut endless = vec![post("Transfer-Encoding: chunked\r\n", "").into_bytes()];
    let chunk = [b"10000\r\n".as_slice(), &[b' '; 0x10000], b"\r\n"].concat();
    endless.extend(std::iter::repeat_n(chunk, 64));
    vec![
        case("two equal lengths", post("Content-Length: 2\r\nContent-Length: 2\r\n", "{}"), Bare(400)),
        case("two different lengths", post("Content-Length: 2\r\nContent-Length: 3\r\n", "{} "), Bare(400)),
        case("a list of lengths", post("Content-Length: 2, 2\r\n", "{}"), Bare(400)),
        case("a negative length", post("Content-Length: -2\r\n", "{}"), Bare(400)),
        case("a length with a sign", post("Content-Length: +2\r\n", "{}"), Bare(400)),
        case("a length that overflows", post("Content-Length: 99999999999999999999999\r\n", "{}"), Bare(400)),
        case("a length of 10 GB", post("Content-Length: 10000000000\r\n", "{}"), Problem(413)),
        case(
            "chunked with a length",
            post("Transfer-Encoding: chunked\r\nContent-Length: 2\r\n", "2\r\n{}\r\n0\r\n\r\n"),
            Bare(400),
        ),
        case("an unknown coding", post("Transfer-Encoding: xchunked\r\n", "2\r\n{}\r\n0\r\n\r\n"), Bare(400)),
        case("chunked twice", post("Transfer-Encoding: chunked, chunked\r\n", "2\r\n{}\r\n0\r\n\r\n"), Bare(400)),
        case("a chunk of an odd size", post("Transfer-Encoding: chunked\r\n", "zz\r\n{}\r\n0\r\n\r\n"), Broken),
        case(
            "a chunk that overflows",
            post("Transfer-Encoding: chunked\r\n", "fffffffffffffffff\r\n{}\r\n0\r\n\r\n"),
            Broken,
        ),
        Case { parts: endless, ..case("endless chunks", "", Problem(413)) },
        case("a packed body", post("Content-Encoding: gzip\r\nContent-Length: 2\r\n", "{}"), Problem(415)),
        case("an expectation", post("Expect: 100-continue\r\nContent-Length: 2\r\n", "{}"), Problem(422)),
        case(
            "a body on a GET",
            format!("{}{{}}", get(horses).replace("\r\n\r\n", "\r\nContent-Length: 2\r\n\r\n")),
            Good(200),
        ),
        Case {
            ends: true,
            ..case("an early end in the body", post("Content-Length: 20\r\n", "{\"name\":"), Problem(400))
        },
        Case { ends: true, ..case("an early end in the head", format!("GET {horses} HTTP/1.1\r\nHo"), HungUp) },
        case("requests in a row", [get(horses), get(horses), get(horses)].concat(), Good(200)),
    ]
}

fn heads(with: &dyn Fn(&str) -> String, auth: &str, horses: &str) -> Vec<Case> {
    let many = |n: usize| (0..n).map(|n| format!("X-Filler-{n}: a\r\n")).collect::<String>();
    let cookies = (0..10_000).map(|n| format!("c{n}=v")).collect::<Vec<_>>();
    vec![
        case("97 headers", with(&many(95)), Bare(431)),
        case("96 headers", with(&many(94)), Good(200)),
        case("a head of 200 KB", with(&format!("X-Long: {}\r\n", "a".repeat(200_000))), Bare(431)),
        case("10,000 cookies in one header", with(&format!("Cookie: {}\r\n", cookies.join("; "))), Good(200)),
        case(
            "10,000 headers of a cookie",
            with(&cookies.iter().map(|c| format!("Cookie: {c}\r\n")).collect::<String>()),
            Bare(431),
        ),
        case("bare LF", format!("GET {horses} HTTP/1.1\n{}\n", auth.replace("\r\n", "\n")), Good(200)),
        case("a folded header", with("X-Folded: a\r\n  b\r\n"), Bare(400)),
        case("a header without a colon", with("X-Nothing\r\n"), Bare(400)),
        case("a space before the colon", with("X-Space : a\r\n"), Bare(400)),
        case("a NUL in a header", with("X-Nul: a\0b\r\n"), Bare(400)),
        case("two hosts", with("Host: elsewhere\r\n"), Bare(400)),
        case("two authorizations", with("Authorization: Bearer x\r\n"), Problem(401)),
        case("HTTP/1.0", with("").replace("HTTP/1.1", "HTTP/1.0"), Good(200)),
        case("HTTP/0.9", format!("GET {horses}\r\n\r\n"), Bare(400)),
        case("HTTP/3.0", with("").replace("HTTP/1.1", "HTTP/3.0"), Bare(400)),
        case("the preface of HTTP/2", "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", Bare(400)),
        case("a TLS greeting", b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03".to_vec(), Bare(400)),
        case("no words at all", "\r\n\r\n\r\n\r\n nonsense\r\n\r\n", Bare(400)),
        case("a method of 10 KB", with("").replacen("GET", &"G".repeat(10_000), 1), Problem(405)),
        case("an upgrade", with("Connection: Upgrade\r\nUpgrade: websocket\r\n"), Good(200)),
        case("an unknown method", with("").replacen("GET", "BREW", 1), Problem(405)),
        case("CONNECT", format!("CONNECT elsewhere:443 HTTP/1.1\r\n{auth}\r\n"), Problem(404)),
    ]
}

fn paths(get: &dyn Fn(&str) -> String, horses: &str) -> Vec<Case> {
    vec![
        case("%00 in the path", get("/api/v1/me%00"), Problem(404)),
        case("%2e%2e in the path", get("/api/v1/%2e%2e/%2e%2e/etc/passwd"), Problem(404)),
        case("dots in the path", get("/api/v1/../../../etc/passwd"), Problem(404)),
        case("two slashes", get("//api//v1//me"), Problem(404)),
        case("an escaped slash", get("/api/v1%2fme"), Problem(404)),
        case("half an escape", get("/api/v1/me%f"), Problem(404)),
        case("escapes that are no UTF-8", get(&format!("{horses}/%ff%fe")), Problem(404)),
        case("a path of 60 KB", get(&format!("/{}", "a".repeat(60_000))), Problem(404)),
        case("a path of 100 KB", get(&format!("/{}", "a".repeat(100_000))), Bare(400)),
        case("an address in the absolute form", get(&format!("http://elsewhere{horses}")), Good(200)),
        case("an asterisk", get("*"), Problem(404)),
        case("a query that is no UTF-8", get(&format!("{horses}?limit=%ff")), Problem(422)),
        case("a limit of a milliard", get(&format!("{horses}?limit=1000000000")), Problem(422)),
        case("a limit twice", get(&format!("{horses}?limit=1&limit=2")), Problem(422)),
        case("NUL in a cursor", get(&format!("{horses}?cursor=%00")), Problem(422)),
        case(
            "10,000 parameters",
            get(&format!("{horses}?{}", (0..8_000).map(|n| format!("p{n}=1")).collect::<Vec<_>>().join("&"))),
            Problem(422),
        ),
    ]
}

fn slow(post: &dyn Fn(&str, &str) -> String, horses: &str, auth: &str) -> Vec<Case> {
    let slow = |case| Case { slow: true, ..case };
    vec![
        slow(case("a head that does not end", format!("GET {horses} HTTP/1.1\r\n{auth}"), Bare(408))),
        slow(case("a body that does not come", post("Content-Length: 20\r\n", "{\"name\":"), Problem(408))),
        slow(case(
            "a chunk that does not come",
            post("Transfer-Encoding: chunked\r\n", "14\r\n{\"name\":"),
            Problem(408),
        )),
    ]
}
