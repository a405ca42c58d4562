//! Every operation, with every method, asked by everybody: who may, who may not, and that nothing tells of, or
//! touches, what is another's. `expected.txt` says what each is answered.
mod bodies;
mod callers;
mod elsewhere;
mod expected;
mod hidden;
mod matrix;
mod methods;
mod operations;
mod requests;
pub mod store;
mod twin;
mod yard;

use matrix::Matrix;
use std::time::Instant;
use stridewright_tests::server::{Database, Server, settings};

/// Some minutes before the tests' own time: what was there before is told from what is made by its time.
const BEFORE: &str = "2026-06-01T07:55:00Z";

#[allow(clippy::disallowed_methods, reason = "the time it takes is printed")]
fn everybody(database: Database) {
    let begun = Instant::now();
    let Some(server) = Server::alone(database, settings()) else { return stridewright_tests::postgres::skipped() };
    let server: &'static Server = Box::leak(Box::new(server));
    let operations = operations::all();
    let lines = expected::lines(&operations);
    server.clock.set(BEFORE);
    let mut matrix = Matrix::new(server, &lines);
    server.clock.set(stridewright_tests::server::START);
    matrix.alone();
    matrix.with_a_twin();
    matrix.allowed();
    matrix.refused();
    matrix.without_credentials();
    let put = elsewhere::everywhere(&mut matrix);
    let hidden = hidden::everywhere(&mut matrix);
    let (methods, heads) = (methods::all(&mut matrix, &operations), methods::heads(&mut matrix));
    println!(
        "access on {database:?}: {} operations in {} lines, {methods} methods on {} addresses, HEAD on {heads}, {} callers and credentials, \
         {} answers, {} s; ids of another barn: {put:?}, of this barn, hidden: {hidden:?}",
        operations.len(),
        lines.len(),
        methods::addresses(&operations).len(),
        matrix.callers(),
        matrix.answers,
        begun.elapsed().as_secs()
    );
}

/// All of it at once: each part stands on the one before.
mod everybody {
    use super::{Database, everybody};

    #[test]
    fn sqlite() {
        everybody(Database::Sqlite);
    }

    #[test]
    fn postgres() {
        everybody(Database::Postgres);
    }
}
