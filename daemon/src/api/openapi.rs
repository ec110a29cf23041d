//! The OpenAPI 3.1 document, made from the handlers themselves.

use axum::Json;
use utoipa::OpenApi;
use utoipa::openapi::OpenApi as Document;

use super::{
    amend, batches, benches, cards, compare, folder, jars, kept, labels, learnt, lots, moved, page,
    recipes, rehearsals, repeat, scales, sets, shelf, status, voice,
};

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Tarehand",
        description = "A second pair of hands at the mixing bench: live weight, guided batches, the log."
    ),
    paths(
        status::status,
        status::stop,
        serve,
        scales::scales,
        scales::radio,
        benches::view,
        benches::events,
        benches::readings,
        benches::bytes,
        benches::attach,
        benches::detach,
        jars::on_pan,
        benches::open,
        benches::open_set,
        amend::amend,
        amend::join,
        amend::take_out,
        repeat::repeat,
        repeat::recipe,
        compare::compare,
        benches::say,
        rehearsals::rehearse,
        rehearsals::rehearse_set,
        batches::list,
        batches::show,
        batches::plot,
        kept::kept,
        kept::take_in,
        kept::copy,
        kept::check,
        batches::came_out,
        moved::moved,
        lots::trace,
        shelf::drawn,
        shelf::stock,
        folder::read,
        folder::name,
        folder::write,
        learnt::list,
        learnt::forget,
        learnt::switch,
        recipes::check,
        recipes::size,
        recipes::rescue,
        sets::plan,
        cards::of_batch,
        cards::adopted,
        cards::of_recipe,
        cards::of_set,
        labels::write,
        page::state,
        page::open,
        page::close,
        page::new_code,
        page::enter,
        page::me,
        page::turn_away,
        voice::languages,
        voice::say,
    ),
    components(schemas(
        tarehand_protocol::api::View,
        tarehand_protocol::api::ChunksBegin,
        // What a header of labels holds.
        tarehand_protocol::api::LabelSaid,
        tarehand_protocol::api::AboutWord,
    ))
)]
struct Api;

/// Returns the document.
#[must_use]
pub fn document() -> Document {
    Api::openapi()
}

/// This document.
#[utoipa::path(get, path = "/v1/openapi.json", responses((status = 200, description = "an OpenAPI 3.1 document")))]
pub(super) async fn serve() -> Json<Document> {
    Json(document())
}
