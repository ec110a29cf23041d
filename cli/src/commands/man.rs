//! `tarehand man`: the manual.

use std::path::{Path, PathBuf};

use clap::{Args, Command, CommandFactory};
use clap_mangen::Man;

use crate::args::{Cli, EXIT_CODES};
use crate::failure::{Exit, Failure};
use crate::files::FilesError;
use crate::output::Output;

/// Writes the manual: its first page, or all pages into a folder.
#[derive(Args, Debug)]
#[command(
    before_help = "Examples:\n  tarehand man | man -l -\n  tarehand man --dir ~/.local/share/man/man1"
)]
pub(crate) struct ManArgs {
    /// Write every page into this folder
    #[arg(long, value_name = "DIR")]
    dir: Option<PathBuf>,
}

/// A page of the manual.
struct Page {
    name: String,
    text: String,
}

/// Writes the manual.
pub(crate) fn run(args: &ManArgs, output: &mut Output) -> Result<Exit, Failure> {
    let pages = pages()?;
    match &args.dir {
        None => {
            let first = pages.first().map_or("", |page| page.text.as_str());
            output.data(first.trim_end())?;
        }
        Some(dir) => {
            for page in &pages {
                write(&dir.join(format!("{}.1", page.name)), &page.text)?;
            }
            output.say(format_args!("{} pages in {}", pages.len(), dir.display()));
        }
    }
    Ok(Exit::Done)
}

fn write(path: &Path, text: &str) -> Result<(), FilesError> {
    let failed = |source| FilesError::Write {
        path: path.to_owned(),
        source,
    };
    if let Some(parent) = path.parent() {
        std::fs::create_dir_all(parent).map_err(failed)?;
    }
    std::fs::write(path, text).map_err(failed)
}

/// Returns every page: the program's own, then one for each command.
fn pages() -> Result<Vec<Page>, Failure> {
    let mut root = Cli::command();
    root.build();
    let mut pages = Vec::new();
    let mut waiting = vec![("tarehand".to_owned(), root)];
    while let Some((name, command)) = waiting.pop() {
        let subs = command.get_subcommands().filter(|sub| !sub.is_hide_set());
        let mut subs: Vec<_> = subs
            .map(|sub| (format!("{name}-{}", sub.get_name()), sub.clone()))
            .collect();
        subs.reverse();
        waiting.extend(subs);
        pages.push(page(name, command)?);
    }
    Ok(pages)
}

fn page(name: String, command: Command) -> Result<Page, Failure> {
    let unwritten = |error: std::io::Error| Failure::Refused {
        what: format!("cannot write the manual page {name}: {error}"),
        hint: None,
    };
    let examples = command.get_before_help().map(ToString::to_string);
    let subs = command.get_subcommands().any(|sub| !sub.is_hide_set());
    // Examples and exit codes have sections of their own.
    let mut command = command.before_help("").after_help("");
    command.set_bin_name(name.replace('-', " "));
    let man = Man::new(command).title(name.to_uppercase());
    let mut text = Vec::new();
    man.render_title(&mut text).map_err(unwritten)?;
    man.render_name_section(&mut text).map_err(unwritten)?;
    man.render_synopsis_section(&mut text).map_err(unwritten)?;
    man.render_description_section(&mut text)
        .map_err(unwritten)?;
    man.render_options_section(&mut text).map_err(unwritten)?;
    if subs {
        man.render_subcommands_section(&mut text)
            .map_err(unwritten)?;
    }
    let mut text = String::from_utf8_lossy(&text).into_owned();
    if let Some(examples) = examples {
        text.push_str(&section("EXAMPLES", &examples));
    }
    text.push_str(&section("EXIT STATUS", EXIT_CODES));
    Ok(Page { name, text })
}

/// Writes a section whose lines stay as they are; the first line is the heading on screens only.
fn section(heading: &str, text: &str) -> String {
    let lines: Vec<String> = text.lines().skip(1).map(escaped).collect();
    format!(".SH \"{heading}\"\n.nf\n{}\n.fi\n", lines.join("\n"))
}

/// Escapes what roff would read as its own (groff(7)).
fn escaped(line: &str) -> String {
    let line = line.replace('\\', "\\\\").replace('-', "\\-");
    if line.starts_with(['.', '\'']) {
        format!("\\&{line}")
    } else {
        line
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_has_a_page_with_examples_and_exit_codes() {
        let pages = pages().unwrap();
        let names: Vec<&str> = pages.iter().map(|page| page.name.as_str()).collect();
        assert_eq!(names.first(), Some(&"tarehand"));
        for name in ["tarehand-mix", "tarehand-log-show", "tarehand-abort"] {
            assert!(names.contains(&name), "{name} in {names:?}");
        }
        assert!(!names.contains(&"tarehand-serve"));
        for page in &pages {
            assert!(page.text.contains(".SH \"EXIT STATUS\"\n"), "{}", page.name);
            assert!(
                page.text.contains("  69  the service or a scale"),
                "{}",
                page.name
            );
            assert!(page.text.contains(".SH \"EXAMPLES\"\n"), "{}", page.name);
        }
    }
}
