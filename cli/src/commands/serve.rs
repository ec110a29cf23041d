//! `tarehand serve`: run the service; hidden, since it is started when it is needed.

use std::process::ExitCode;

use clap::Args;
use tarehandd::folders::FolderArgs;

/// Runs the service in the foreground.
#[derive(Args, Debug)]
#[command(before_help = "Examples:\n  tarehand serve\n  tarehand serve --until-idle")]
pub(crate) struct ServeCommand {
    /// Leave the terminal's session first, so that closing it ends nothing
    #[arg(long, hide = true)]
    own_session: bool,
    #[command(flatten)]
    service: tarehandd::ServeArgs,
}

/// Runs the service until it is told to stop.
pub(crate) fn run(args: &ServeCommand, folders: &FolderArgs) -> ExitCode {
    if args.own_session {
        // Fails only for one that leads a group already; then there is no session to leave.
        let _leader = rustix::process::setsid();
    }
    tarehandd::serve(folders, &args.service)
}
