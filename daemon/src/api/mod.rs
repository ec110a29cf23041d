//! The HTTP API: one door for page, terminal and command line.
//!
//! The same router answers on the Unix socket and, when asked for, on loopback with a token. It
//! translates and decides nothing.
//!
//! Beside one file for each group of paths, as `openapi` lists them:
//!
//! | file | idea |
//! |---|---|
//! | `door`, `visits` | who may come in: the owner, a token holder, a browser that was let in |
//! | `request`, `sources` | bodies and queries as messages, recipe texts checked and sized |
//! | `problem` | problem documents from whatever went wrong |
//! | `apart` | work that waits for the disk or a device |
//! | `lines`, `patience`, `stream` | how long a line stays open, and live state over one |
//! | `circumstances`, `remarked` | what several calls that open a batch have in common |
//! | `translate` | from domain types to messages |

mod amend;
mod apart;
mod batches;
mod benches;
mod cards;
mod circumstances;
mod compare;
mod door;
mod folder;
mod jars;
mod kept;
mod labels;
mod learnt;
mod lines;
pub mod lots;
mod moved;
mod openapi;
mod page;
mod patience;
mod problem;
mod recipes;
mod rehearsals;
mod remarked;
mod repeat;
mod request;
mod scales;
mod sets;
mod shelf;
mod sources;
mod status;
mod stream;
pub mod translate;
mod visits;
mod voice;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::routing::{get, post};
use tokio_util::sync::CancellationToken;

use crate::bench::Surroundings;
use crate::folder::RecipeFolder;
use crate::learnt::Learning;
use crate::page as assets;
use crate::service::Benches;
use crate::speech::Speech;
use crate::visit::Reception;

pub use door::{OwnSocket, Token, guard};
pub use lines::{Bounded, ByLine};
pub use openapi::document;
pub use problem::Failure;
pub use visits::guard as visit_guard;

/// The largest request body: recipes are text, and short.
const LARGEST_BODY: usize = 1024 * 1024;

/// A batch that is moved here with its weight over time; only the owner may send one.
const LARGEST_BATCH: usize = 32 * 1024 * 1024;
/// The largest body of a stranger, who has nothing to say but a code and a name.
const LARGEST_CODE: usize = 4 * 1024;

/// What every handler needs.
#[derive(Clone, Debug)]
pub struct Service {
    /// The running benches.
    pub benches: Benches,
    /// What they share.
    pub surroundings: Surroundings,
    /// Where the log is kept, for people.
    pub log_path: String,
    /// Who comes from a browser.
    pub reception: Reception,
    /// What is learnt from the log.
    pub learning: Learning,
    /// The files that faces without files of their own read and write.
    pub folder: RecipeFolder,
    /// Its voice, for browsers that have none.
    pub speech: Speech,
    /// Told when the service stops.
    pub stop: CancellationToken,
}

/// Returns the router of the whole API.
pub fn router(service: Service) -> Router {
    Router::new()
        .route("/v1/status", get(status::status))
        .route("/v1/stop", post(status::stop))
        .route("/v1/openapi.json", get(openapi::serve))
        .route("/v1/scales", get(scales::scales))
        .route("/v1/scales/radio", get(scales::radio))
        .route("/v1/benches/{bench}", get(benches::view))
        .route("/v1/benches/{bench}/events", get(benches::events))
        .route("/v1/benches/{bench}/readings", get(benches::readings))
        .route("/v1/benches/{bench}/bytes", get(benches::bytes))
        .route(
            "/v1/benches/{bench}/scale",
            axum::routing::put(benches::attach).delete(benches::detach),
        )
        .route("/v1/benches/{bench}/jar", get(jars::on_pan))
        .route("/v1/benches/{bench}/batch", post(benches::open))
        .route("/v1/benches/{bench}/set", post(benches::open_set))
        .route("/v1/benches/{bench}/amend", post(amend::amend))
        .route("/v1/benches/{bench}/join", post(amend::join))
        .route("/v1/benches/{bench}/repeat", post(repeat::repeat))
        .route("/v1/batches/{mark}/recipe", get(repeat::recipe))
        .route("/v1/batches/{mark}/compared/{other}", get(compare::compare))
        .route("/v1/benches/{bench}/take-out", post(amend::take_out))
        .route("/v1/benches/{bench}/commands", post(benches::say))
        .route("/v1/rehearsals", post(rehearsals::rehearse))
        .route("/v1/rehearsals/set", post(rehearsals::rehearse_set))
        .route(
            "/v1/batches",
            get(batches::list)
                .post(kept::take_in)
                .layer(DefaultBodyLimit::max(LARGEST_BATCH)),
        )
        .route("/v1/batches/{mark}/kept", get(kept::kept))
        .route("/v1/log", get(kept::check))
        .route("/v1/log/copies", post(kept::copy))
        .route("/v1/batches/{mark}", get(batches::show))
        .route("/v1/batches/{mark}/plot", get(batches::plot))
        .route("/v1/batches/{mark}/outcomes", post(batches::came_out))
        .route("/v1/batches/{mark}/moved", post(moved::moved))
        .route("/v1/lots/{lot}", get(lots::trace))
        .route("/v1/shelf/drawn", post(shelf::drawn))
        .route("/v1/shelf/stock", post(shelf::stock))
        .route("/v1/folder", get(folder::read).put(folder::name))
        .route("/v1/folder/{stem}", axum::routing::put(folder::write))
        .route("/v1/learnt", get(learnt::list))
        .route("/v1/learnt/forget", post(learnt::forget))
        .route("/v1/learnt/{kind}", axum::routing::put(learnt::switch))
        .route("/v1/recipes/check", post(recipes::check))
        .route("/v1/recipes/size", post(recipes::size))
        .route("/v1/recipes/rescue", post(recipes::rescue))
        .route("/v1/sets/plan", post(sets::plan))
        .route("/v1/batches/{mark}/card", get(cards::of_batch))
        .route("/v1/batches/{mark}/adopted", get(cards::adopted))
        .route("/v1/recipes/share", post(cards::of_recipe))
        .route("/v1/sets/share", post(cards::of_set))
        .route("/v1/labels", post(labels::write))
        .route(
            "/v1/page",
            get(page::state).put(page::open).delete(page::close),
        )
        .route("/v1/page/codes", post(page::new_code))
        .route(
            "/v1/page/enter",
            post(page::enter).layer(DefaultBodyLimit::max(LARGEST_CODE)),
        )
        .route("/v1/page/me", get(page::me))
        .route("/v1/page/voice", get(voice::languages).post(voice::say))
        .route(
            "/v1/page/visitors/{id}",
            axum::routing::delete(page::turn_away),
        )
        .merge(assets::router())
        .fallback(async || {
            Failure::new(
                "no-such-path",
                StatusCode::NOT_FOUND,
                "there is nothing at this path",
            )
        })
        .method_not_allowed_fallback(async || {
            Failure::new(
                "wrong-method",
                StatusCode::METHOD_NOT_ALLOWED,
                "this path takes another method",
            )
        })
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .with_state(service)
}
