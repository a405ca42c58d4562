//! The program: `stridewright serve`, `migrate`, `openapi`, `check`.
use clap::Parser;
use std::process::ExitCode;
use stridewright_api::config::Arguments;

fn main() -> ExitCode {
    match stridewright_api::config::run(Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("stridewright: {error}");
            ExitCode::FAILURE
        }
    }
}
