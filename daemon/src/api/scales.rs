//! What is attached.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use tarehand_protocol::api::{BenchScale, PortLine, ScaleList, ScaleState, ScaleWord};

use super::Service;
use super::problem::Failure;
use crate::links::serial::{self, Access, Listed};

/// Everything attached that may be a scale, and the scales that benches read.
#[utoipa::path(get, path = "/v1/scales", responses((status = 200, body = ScaleList)))]
pub(super) async fn scales(State(service): State<Service>) -> Result<Json<ScaleList>, Failure> {
    let listed = tokio::task::spawn_blocking(serial::list)
        .await
        .map_err(|error| {
            Failure::new(
                "no-list",
                StatusCode::INTERNAL_SERVER_ERROR,
                "the ports could not be listed",
            )
            .detail(error.to_string())
        })?;
    let benches = service.benches.all();
    let scales: Vec<BenchScale> = benches
        .iter()
        .flat_map(|bench| {
            let view = Arc::clone(&bench.view().borrow());
            let line = |which: ScaleWord, scale: &ScaleState, reading| BenchScale {
                bench: bench.name().to_owned(),
                which,
                scale: scale.clone(),
                reading,
            };
            let main = view.scale.as_ref();
            let main = main.map(|scale| line(ScaleWord::Main, scale, bench.last_reading()));
            let fine = view.fine_scale.as_ref();
            let fine = fine.map(|scale| line(ScaleWord::Fine, scale, None));
            [main, fine].into_iter().flatten()
        })
        .collect();
    let ports = listed.iter().map(|listed| {
        let reads = |scale: &&BenchScale| {
            scale.scale.device.split([' ', ',']).next() == Some(listed.port.path.as_str())
        };
        port_line(
            listed,
            scales.iter().find(reads).map(|scale| scale.bench.clone()),
        )
    });
    Ok(Json(ScaleList {
        ports: ports.collect(),
        scales,
    }))
}

fn port_line(listed: &Listed, bench: Option<String>) -> PortLine {
    let state = match &listed.access {
        Access::Free if listed.may_be_scale() => "free".to_owned(),
        Access::Free => "a plain port, nothing says what hangs on it".to_owned(),
        Access::Ours => "read by a bench".to_owned(),
        Access::InUse(holder) => match &holder.name {
            Some(name) => format!("in use by {name} (process {})", holder.process),
            None => format!("in use by process {}", holder.process),
        },
        Access::NotPermitted(_) => "not permitted".to_owned(),
    };
    PortLine {
        path: listed.port.path.clone(),
        product: Some(listed.port.words().to_owned()).filter(|words| !words.is_empty()),
        identity: listed.key.clone(),
        state,
        hint: listed.hint(),
        bench,
    }
}
