//! `tarehand page`: the bench page in a browser.

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use hyper::Method;
use qrcode::render::unicode::Dense1x2;
use qrcode::{EcLevel, QrCode};
use tarehand_mixing::label::Days;
use tarehand_protocol::api::{
    CodeGiven, FolderAnswer, NameFolder, NewCode, OpenPage, PagePlace, PageState, RoleWord,
};

use tarehandd::api::translate::measures_said;

use super::Place;
use crate::client::Client;
use crate::failure::{Exit, Failure};
use crate::output::Output;
use crate::service;
use crate::words::{Column, Width, shown, table};

const EXAMPLES: &str = "\
Examples:
  tarehand page                    in a browser of this machine
  tarehand page --room             on a tablet or phone beside the scale
  tarehand page --room --viewer    somebody who only looks on
  tarehand page --recipes studio   with the recipes, sets and shelf of a folder
  tarehand page visitors
  tarehand page turn-away 2
  tarehand page close";

/// Opens the bench page for a browser, and lets one in.
///
/// Prints where to go and a code that lets one browser in; it can be said once, within three minutes. With --room the page
/// can be reached from the local network, whose other machines can read along what is not encrypted: use it in a
/// network you trust. It stays open, also when the service is started again, until it is closed.
#[derive(Args, Debug)]
#[command(before_help = EXAMPLES, args_conflicts_with_subcommands = true)]
pub(crate) struct PageArgs {
    #[command(subcommand)]
    command: Option<PageCommand>,
    /// Let the local network reach it
    #[arg(long)]
    room: bool,
    /// Let the browser look on, not work
    #[arg(long)]
    viewer: bool,
    /// Show the recipes, sets and shelf of this folder; who works at the page writes them too. Kept until another is named, with
    /// what the settings say of measures, rescue and labels
    #[arg(long, value_name = "DIR")]
    recipes: Option<PathBuf>,
    /// Listen at this port [default: 4870, or any that is free]
    #[arg(long, value_name = "PORT")]
    port: Option<u16>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum PageCommand {
    /// Show where it is open and who was let in
    #[command(before_help = "Examples:\n  tarehand page visitors")]
    Visitors {
        /// Answer in JSON
        #[arg(long)]
        json: bool,
    },
    /// Turn a browser away
    #[command(before_help = "Examples:\n  tarehand page turn-away 2")]
    TurnAway {
        /// Its number, as `page visitors` shows it
        id: u32,
    },
    /// Close the page; who was let in stays known
    #[command(before_help = "Examples:\n  tarehand page close")]
    Close,
}

/// Opens the page, or sees to who may come.
pub(crate) async fn run(
    args: &PageArgs,
    place: &Place,
    output: &mut Output,
) -> Result<Exit, Failure> {
    let client = service::ensure(&place.folders).await?;
    match &args.command {
        Some(PageCommand::Visitors { json }) => {
            let state: PageState = client.get("/v1/page").await?;
            if *json {
                output.json(&state)?;
            } else {
                output.data(visitors(&state, output.width()))?;
            }
        }
        Some(PageCommand::TurnAway { id }) => {
            let path = format!("/v1/page/visitors/{id}");
            client.tell(Method::DELETE, &path).await?;
            output.say(format_args!("{id} was turned away"));
        }
        Some(PageCommand::Close) => {
            client.tell(Method::DELETE, "/v1/page").await?;
            output.say("the page is closed");
        }
        None => {
            if let Some(folder) = &args.recipes {
                name_folder(folder, &client, place, output).await?;
            }
            let wanted = OpenPage {
                place: if args.room {
                    PagePlace::Room
                } else {
                    PagePlace::Here
                },
                port: args.port,
            };
            let _state: PageState = client.put("/v1/page", &wanted).await?;
            let role = if args.viewer {
                RoleWord::Viewer
            } else {
                RoleWord::Operator
            };
            let code: CodeGiven = client.post("/v1/page/codes", &NewCode { role }).await?;
            if args.json {
                output.json(&code)?;
            } else {
                output.data(invitation(&code, wanted.place))?;
            }
        }
    }
    Ok(Exit::Done)
}

/// Tells the service which recipes the page shows, and how this person means them.
async fn name_folder(
    folder: &Path,
    client: &Client,
    place: &Place,
    output: &mut Output,
) -> Result<(), Failure> {
    // The service runs in another folder: it is told the whole path.
    let path = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
    let settings = place.settings()?;
    let wanted = NameFolder {
        path: path.display().to_string(),
        measures: measures_said(settings.measures),
        grow_by_percent: Some(settings.rescue.grow_by_percent),
        best_before_days: settings.label.best_before.map(Days::number),
    };
    let answer: FolderAnswer = client.put("/v1/folder", &wanted).await?;
    let count = answer.files.iter().filter(|file| !file.common).count();
    output.say(format_args!(
        "the page shows {count} files of {}",
        shown(&answer.path)
    ));
    for left in &answer.left_out {
        output.say(format_args!(
            "left out: {}: {}",
            shown(&left.file),
            shown(&left.why)
        ));
    }
    Ok(())
}

fn invitation(code: &CodeGiven, place: PagePlace) -> String {
    let mut lines = Vec::new();
    let first = code.links.first().map(String::as_str).unwrap_or_default();
    if place == PagePlace::Room
        && let Ok(picture) = QrCode::with_error_correction_level(first, EcLevel::L)
    {
        // Dark on light whatever the terminal's colours are: as drawn it is light on dark.
        let drawn = picture
            .render::<Dense1x2>()
            .dark_color(Dense1x2::Light)
            .light_color(Dense1x2::Dark)
            .build();
        lines.push(drawn);
    }
    lines.extend(code.links.iter().map(|link| shown(link).into_owned()));
    let (head, tail) = code.code.split_at_checked(3).unwrap_or((&code.code, ""));
    lines.push(format!(
        "code {head} {tail}, for one browser, within {} minutes",
        code.valid_s / 60
    ));
    if place == PagePlace::Room {
        lines.push("the network can read along: open it only where you trust it".to_owned());
    }
    lines.join("\n")
}

fn visitors(state: &PageState, width: Width) -> String {
    let mut lines = vec![match state.place {
        None => "the page is closed".to_owned(),
        Some(PagePlace::Here) => format!("open on this machine: {}", state.addresses.join(" ")),
        Some(PagePlace::Room) => format!("open to the room: {}", state.addresses.join(" ")),
    }];
    let rows = state.visitors.iter().map(|visitor| {
        let role = match visitor.role {
            RoleWord::Viewer => "looks on",
            RoleWord::Operator => "works",
        };
        vec![
            visitor.id.to_string(),
            shown(&visitor.name).into_owned(),
            role.to_owned(),
            shown(&visitor.since).into_owned(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    lines.push(if rows.is_empty() {
        "nobody was let in".to_owned()
    } else {
        table(
            &[Column::Right, Column::Name, Column::Left, Column::Left],
            &rows,
            width,
        )
    });
    lines.join("\n")
}
