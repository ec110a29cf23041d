//! What a browser is shown: the files of `daemon/page`, which are part of the program.
//!
//! There is no build step and no request to anywhere else. The page talks to the service as every other face does, by
//! the API; here it is only handed out.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};

use axum::Router;
use axum::extract::{Path, Request};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use crate::api::Failure;

/// One file of the page.
struct File {
    name: &'static str,
    kind: &'static str,
    bytes: &'static [u8],
}

macro_rules! files {
    ($($name:literal: $kind:expr,)*) => {
        &[$(File {
            name: $name,
            kind: $kind,
            bytes: include_bytes!(concat!("../../page/", $name)),
        }),*]
    };
}

const HTML: &str = "text/html; charset=utf-8";
const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const SVG: &str = "image/svg+xml";

const FILES: &[File] = files! {
    "index.html": HTML,
    "style.css": CSS,
    "desk.css": CSS,
    "mark.svg": SVG,
    "main.js": SCRIPT,
    "acts.js": SCRIPT,
    "ask.js": SCRIPT,
    "beam.js": SCRIPT,
    "desk/batch.js": SCRIPT,
    "desk/begin.js": SCRIPT,
    "desk/compare.js": SCRIPT,
    "desk/desk.js": SCRIPT,
    "desk/editor.js": SCRIPT,
    "desk/folder.js": SCRIPT,
    "desk/history.js": SCRIPT,
    "desk/jar.js": SCRIPT,
    "desk/learnt.js": SCRIPT,
    "desk/parts.js": SCRIPT,
    "desk/plan.js": SCRIPT,
    "desk/recipe.js": SCRIPT,
    "desk/recipes.js": SCRIPT,
    "desk/route.js": SCRIPT,
    "desk/shelf.js": SCRIPT,
    "door.js": SCRIPT,
    "draw.js": SCRIPT,
    "figures.js": SCRIPT,
    "jar.js": SCRIPT,
    "keys.js": SCRIPT,
    "lists.js": SCRIPT,
    "now.js": SCRIPT,
    "pedal.js": SCRIPT,
    "ratio.js": SCRIPT,
    "service.js": SCRIPT,
    "tell.js": SCRIPT,
    "tones.js": SCRIPT,
    "voice.js": SCRIPT,
    "words/de.js": SCRIPT,
    "words/desk-de.js": SCRIPT,
    "words/desk-en.js": SCRIPT,
    "words/de-told.js": SCRIPT,
    "words/en.js": SCRIPT,
    "words/en-told.js": SCRIPT,
};

/// Nothing from elsewhere, nothing written into the page, and no other page around it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
     connect-src 'self'; media-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// Returns the routes of the page.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new()
        .route(
            "/",
            get(async |request: Request| serve("index.html", &request)),
        )
        .route(
            "/page/{*name}",
            get(async |Path(name): Path<String>, request: Request| serve(&name, &request)),
        )
}

fn serve(name: &str, request: &Request) -> Response {
    let Some(file) = FILES.iter().find(|file| file.name == name) else {
        let status = StatusCode::NOT_FOUND;
        return Failure::new("no-such-path", status, "there is nothing at this path")
            .into_response();
    };
    let mark = mark(file);
    let known = request.headers().get(header::IF_NONE_MATCH) == Some(&mark);
    let mut response = if known {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        file.bytes.into_response()
    };
    let fields = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_TYPE, file.kind),
        // Asked for each time, sent once: the page is always that of the running service.
        (header::CACHE_CONTROL, "no-cache"),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
    ] {
        fields.insert(name, HeaderValue::from_static(value));
    }
    fields.insert(header::ETAG, mark);
    response
}

/// Returns what tells one version of a file from another.
fn mark(file: &File) -> HeaderValue {
    let mut hasher = DefaultHasher::new();
    file.bytes.hash(&mut hasher);
    let mark = format!("\"{:016x}\"", hasher.finish());
    HeaderValue::from_str(&mark).expect("digits between quotes")
}

#[cfg(test)]
mod words_test;

#[cfg(test)]
mod tests {
    use super::*;

    /// The page in a strange room: on a slow network it still comes at once.
    const MOST_BYTES: usize = 150_000;

    const LANGUAGES: [&str; 2] = ["en", "de"];

    /// Returns the tables of a language: its own, what is told, and what the desk says. Those of another are not fetched.
    fn tables(language: &str) -> [String; 3] {
        [
            format!("words/{language}.js"),
            format!("words/{language}-told.js"),
            format!("words/desk-{language}.js"),
        ]
    }

    fn weight(files: impl Iterator<Item = &'static File>) -> usize {
        files.map(|file| file.bytes.len()).sum()
    }

    #[test]
    fn all_that_is_ever_fetched_in_one_language_weighs_less_than_150_kilobytes() {
        for language in LANGUAGES {
            let other = |name: &str| {
                name.starts_with("words/") && !tables(language).iter().any(|own| own == name)
            };
            let all = weight(FILES.iter().filter(|file| !other(file.name)));
            assert!(all < MOST_BYTES, "{all} bytes in {language}");
        }
    }

    #[test]
    fn the_first_view_weighs_less_than_four_fifths_of_that() {
        let mut first = Vec::new();
        imported("main.js", &mut first, FILES);
        first.extend(["index.html", "style.css", "desk.css", "mark.svg"]);
        for language in LANGUAGES {
            let [own, told, _desk] = tables(language);
            let is_first = |name: &str| first.contains(&name) || own == name || told == name;
            let bytes = weight(FILES.iter().filter(|file| is_first(file.name)));
            assert!(bytes < MOST_BYTES / 5 * 4, "{bytes} bytes in {language}");
        }
    }

    #[test]
    fn every_file_of_the_folder_is_handed_out() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("page");
        let mut there = Vec::new();
        let mut folders = vec![folder.clone()];
        while let Some(next) = folders.pop() {
            for entry in std::fs::read_dir(next).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let name = path.strip_prefix(&folder).unwrap();
                    there.push(name.to_str().unwrap().to_owned());
                }
            }
        }
        there.sort();
        let mut listed: Vec<&str> = FILES.iter().map(|file| file.name).collect();
        listed.sort_unstable();
        assert_eq!(there, listed);
    }

    /// Returns the modules that a module imports before it runs, with those that they do.
    fn imported<'f>(name: &str, found: &mut Vec<&'f str>, files: &'f [File]) {
        let Some(file) = files.iter().find(|file| file.name == name) else {
            panic!("{name} is imported and not there");
        };
        if found.contains(&file.name) {
            return;
        }
        found.push(file.name);
        let text = std::str::from_utf8(file.bytes).unwrap();
        let imports = text.lines().filter(|line| line.starts_with("import "));
        for path in imports.filter_map(|line| line.split('"').nth(1)) {
            let folder = std::path::Path::new(name).parent().unwrap();
            let mut parts: Vec<&str> = folder.iter().filter_map(|part| part.to_str()).collect();
            for part in path.split('/') {
                match part {
                    "." => {}
                    ".." => drop(parts.pop()),
                    part => parts.push(part),
                }
            }
            imported(&parts.join("/"), found, files);
        }
    }

    #[test]
    fn all_that_the_first_view_needs_is_asked_for_at_once() {
        let page = FILES.iter().find(|file| file.name == "index.html").unwrap();
        let page = std::str::from_utf8(page.bytes).unwrap();
        let named = page.lines().filter(|line| line.contains("modulepreload"));
        let mut named: Vec<&str> = named
            .filter_map(|line| line.split("/page/").nth(1)?.split('"').next())
            .collect();
        let mut needed = Vec::new();
        imported("main.js", &mut needed, FILES);
        needed.retain(|name| *name != "main.js");
        needed.sort_unstable();
        named.sort_unstable();
        assert_eq!(named, needed);
    }

    #[test]
    fn the_page_asks_nobody_else_for_anything() {
        for file in FILES {
            let text = std::str::from_utf8(file.bytes).unwrap();
            let mut away = text.lines().filter(|line| {
                // The name of a language is no request.
                line.contains("://") && !line.contains("http://www.w3.org/")
            });
            assert_eq!(away.next(), None, "{}", file.name);
        }
    }
}
