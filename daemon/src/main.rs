//! The service as a program of its own, for a supervisor.

use std::process::ExitCode;

use clap::Parser;
use tarehandd::ServeArgs;
use tarehandd::folders::FolderArgs;

/// The service of Tarehand: reads scales, guides batches, keeps the log.
#[derive(Parser)]
#[command(
    name = "tarehandd",
    version,
    about,
    after_help = "Exit codes: 0 stopped as told, 1 failed, 2 usage, 69 something is missing, \
                  75 another instance runs, 78 configuration.\nLogging: TAREHAND_LOG=debug tarehandd"
)]
struct Program {
    #[command(flatten)]
    folders: FolderArgs,
    #[command(flatten)]
    serve: ServeArgs,
}

fn main() -> ExitCode {
    let program = Program::parse();
    tarehandd::serve(&program.folders, &program.serve)
}
