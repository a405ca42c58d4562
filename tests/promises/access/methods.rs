//! Methods that an address does not have: 405, with those it has, before anything is asked about the caller. And HEAD,
//! which every address has that has GET.
use super::matrix::Matrix;
use super::operations::Operation;
use super::requests::Request;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::{Answer, Client};

pub const METHODS: [&str; 10] =
    ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND", "UNHEARD-OF"];

/// The operations of each address.
pub fn addresses(operations: &[Operation]) -> BTreeMap<&str, Vec<&Operation>> {
    let mut by_address: BTreeMap<&str, Vec<&Operation>> = BTreeMap::new();
    for operation in operations {
        by_address.entry(&operation.template).or_default().push(operation);
    }
    by_address
}

/// Since the answer comes before any credentials are looked at, one caller of each class asks: nobody, a trainer,
/// another barn's, a rail link, and somebody whose token does not hold. Answers how many methods were tried.
pub fn all(matrix: &mut Matrix<'_>, operations: &[Operation]) -> usize {
    let here = &matrix.here;
    let callers: [Client; 5] = [
        here.world.anonymous(),
        here.world.trainer.client.clone(),
        matrix.there.world.trainer.client.clone(),
        here.client(&here.rail),
        here.client("not.a.token"),
    ];
    for (address, of) in addresses(operations) {
        let mut known: BTreeSet<&str> = of.iter().map(|o| o.method.as_str()).collect();
        if known.contains("GET") {
            known.insert("HEAD");
        }
        let line = matrix.lines.iter().find(|line| line.operation.template == address).expect("a line");
        let asked = matrix.request(line.operation, &line.line, &matrix.here.near, true);
        for method in METHODS.into_iter().filter(|method| !known.contains(method)) {
            let mut first = None;
            for client in &callers {
                let request = Request { method: method.to_owned(), body: None, ..asked.clone() };
                let answer = matrix.send(&request, client);
                let at = format!("{method} {address}");
                if method == "HEAD" && answer.status == 405 {
                    assert!(answer.bytes.is_empty(), "{at}: HEAD with a body");
                } else {
                    assert_eq!(
                        (answer.status, &answer["code"]),
                        (405, &"method_not_allowed".into()),
                        "{at}: {}",
                        answer.text()
                    );
                }
                let allow = answer.header("allow");
                let allowed: BTreeSet<&str> = allow.split(", ").collect();
                assert_eq!(allowed, known, "{at}: Allow");
                let whole = super::requests::whole(&answer);
                assert_eq!(&whole, first.get_or_insert_with(|| whole.clone()), "{at}: not the same for everybody");
            }
        }
    }
    matrix.unchanged("other methods");
    METHODS.len()
}

/// HEAD is answered as GET is, without the body (RFC 9110, 9.3.2): to everybody, whoever may and who may not.
/// Answers how many addresses were asked.
pub fn heads(matrix: &mut Matrix<'_>) -> usize {
    let columns = matrix.columns();
    let mut asked = 0;
    for line in matrix.lines.iter().filter(|line| line.operation.method == "GET") {
        for caller in &columns {
            let get = matrix.request(line.operation, &line.line, caller.place, caller.column == "trainer");
            let head = Request { method: "HEAD".to_owned(), ..get.clone() };
            let (whole, bare) = (matrix.send(&get, &caller.client), matrix.send(&head, &caller.client));
            let at = format!("HEAD {} as {}", line.line, caller.column);
            assert!(bare.bytes.is_empty(), "{at}: a body");
            assert_eq!(head_of(&bare), head_of(&whole), "{at}: not as GET");
        }
        asked += 1;
    }
    matrix.unchanged("HEAD");
    asked
}

/// The status and the headers, but for those that are new each time; what is counted has another length each time.
fn head_of(answer: &Answer) -> String {
    let head = super::requests::head(answer);
    let counts = answer.header("content-type").contains("version=0.0.4");
    head.lines().filter(|line| !(counts && line.starts_with("content-length"))).collect::<Vec<_>>().join("\n")
}
