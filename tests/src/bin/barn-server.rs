//! The program itself, built here so that tests may start it and kill it.
use clap::Parser;
use std::process::ExitCode;
use stridewright_api::config::{Arguments, run};

fn main() -> ExitCode {
    match run(Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}
