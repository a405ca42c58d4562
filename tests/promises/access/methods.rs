//! Methods that an address does not have: 405, with those it has, before anything is asked about the caller.
use super::matrix::Matrix;
use super::operations::Operation;
use super::requests::Request;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::Client;

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
        let known: BTreeSet<&str> = of.iter().map(|o| o.method.as_str()).collect();
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
