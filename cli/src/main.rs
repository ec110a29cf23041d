//! The person's command line: offline work through `mixing`, live work only through the service's API.

mod args;
mod capture_file;
mod client;
mod commands;
mod demo;
mod failure;
mod files;
mod output;
mod service;
mod settings;
mod shelf_file;
mod terminal;
mod words;

use std::process::ExitCode;

use clap::Parser;

use crate::args::Cli;
use crate::output::Output;

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => return output::show_usage(&error),
    };
    let mut output = Output::of_process();
    match commands::run(&cli, &mut output) {
        Ok(code) => code,
        Err(failure) => output.show(&failure),
    }
}
