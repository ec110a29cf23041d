//! Benches: watching them and saying what is wanted.

use std::sync::Arc;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use serde::Deserialize;
use tarehand_mixing::flow_cup::FlowTime;
use tarehand_mixing::plan::Way;
use tarehand_mixing::ratio::Ratio;
use tarehand_mixing::session::{Answer, Command, Limits};
use tarehand_protocol::api::{
    AnswerWord, AttachScale, Chunk, CommandRequest, CommandWord, OpenBatch, OpenSet, Problem,
    ReadingLine, ScaleWord, View, WalkWord, WeightNow,
};

use super::circumstances::Circumstances;
use super::problem::Failure;
use super::remarked::remarked;
use super::request::{Asked, Body, Place};
use super::{Service, sources, stream};
use crate::bench::attach::Attachment;
use crate::bench::{Bench, NewBatch};

/// As many letters an ingredient may be called by.
const MOST_OF_A_NAME: usize = 200;

pub(super) type Answered = Result<Json<Arc<View>>, Failure>;

/// What a bench looks like now.
#[utoipa::path(get, path = "/v1/benches/{bench}", params(("bench" = String, Path, description = "its name")), responses(
    (status = 200, body = View),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn view(State(service): State<Service>, Place(name): Place<String>) -> Answered {
    let bench = known(&service, &name)?;
    let view = Arc::clone(&bench.view().borrow());
    Ok(Json(view))
}

/// Live state as server-sent events: `weight` and `view`, the newest of each.
#[utoipa::path(get, path = "/v1/benches/{bench}/events", params(("bench" = String, Path, description = "its name")),
    responses(
        (status = 200, content_type = "text/event-stream", body = WeightNow),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn events(
    State(service): State<Service>,
    Place(name): Place<String>,
) -> Result<impl IntoResponse, Failure> {
    let bench = known(&service, &name)?;
    Ok(stream::newest(&bench, service.stop.clone()))
}

/// Every reading as a server-sent event.
#[utoipa::path(get, path = "/v1/benches/{bench}/readings", params(("bench" = String, Path, description = "its name")),
    responses(
        (status = 200, content_type = "text/event-stream", body = ReadingLine),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn readings(
    State(service): State<Service>,
    Place(name): Place<String>,
) -> Result<impl IntoResponse, Failure> {
    let bench = made(&service, &name).await?;
    Ok(stream::every(bench.readings(), service.stop.clone()))
}

/// The bytes of the scale as they arrive, as server-sent events: `begin` and `chunk`, and `missed` with a count.
#[utoipa::path(get, path = "/v1/benches/{bench}/bytes", params(("bench" = String, Path, description = "its name")),
    responses(
        (status = 200, content_type = "text/event-stream", body = Chunk),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn bytes(
    State(service): State<Service>,
    Place(name): Place<String>,
) -> Result<impl IntoResponse, Failure> {
    let bench = made(&service, &name).await?;
    Ok(stream::chunks(bench.chunks(), service.stop.clone()))
}

/// Attach a scale; what was told about it is kept for this device. Where no scale is named, only `taps` is told of the
/// one that is there.
#[utoipa::path(put, path = "/v1/benches/{bench}/scale", params(("bench" = String, Path, description = "its name")),
    request_body = AttachScale, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn attach(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<AttachScale>,
) -> Answered {
    if request.means_the_one_there()
        && let Ok(bench) = known(&service, &name)
    {
        return Ok(Json(bench.want_taps(request.scale, request.taps).await?));
    }
    let attachment = Attachment::try_from(&request).map_err(crate::bench::BenchError::from)?;
    let bench = made(&service, &name).await?;
    Ok(Json(bench.attach(request.scale, attachment).await?))
}

/// Which scale is meant.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(super) struct Meant {
    /// The one the jar stands on where nothing is said.
    #[serde(default)]
    #[param(inline)]
    scale: ScaleWord,
}

/// Let a scale go; the finer one may go in the middle of a batch.
#[utoipa::path(delete, path = "/v1/benches/{bench}/scale",
    params(("bench" = String, Path, description = "its name"), Meant),
    responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn detach(
    State(service): State<Service>,
    Place(name): Place<String>,
    Asked(meant): Asked<Meant>,
) -> Answered {
    Ok(Json(known(&service, &name)?.detach(meant.scale).await?))
}

/// Open a batch; it is on disk when this answers.
#[utoipa::path(post, path = "/v1/benches/{bench}/batch", params(("bench" = String, Path, description = "its name")),
    request_body = OpenBatch, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn open(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<OpenBatch>,
) -> Answered {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let batches = vec![new_batch(&service, &request).await?];
    let batches = circumstances.with_leads(batches, &service.learning).await;
    Ok(Json(bench.open(batches).await?))
}

/// Say something to a bench; what follows is on disk when this answers.
#[utoipa::path(post, path = "/v1/benches/{bench}/commands", params(("bench" = String, Path, description = "its name")),
    request_body = CommandRequest, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn say(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<CommandRequest>,
) -> Answered {
    let bench = known(&service, &name)?;
    Ok(Json(bench.say(command(request)?).await?))
}

/// Open the jars of a set, all of them or none.
#[utoipa::path(post, path = "/v1/benches/{bench}/set", params(("bench" = String, Path, description = "its name")),
    request_body = OpenSet, responses(
        (status = 200, body = View),
        (status = "4XX", body = Problem, content_type = "application/problem+json"),
        (status = 503, body = Problem, content_type = "application/problem+json"),
    ))]
pub(super) async fn open_set(
    State(service): State<Service>,
    Place(name): Place<String>,
    Body(request): Body<OpenSet>,
) -> Answered {
    let bench = known(&service, &name)?;
    let circumstances = Circumstances::read(request.hand.as_deref(), request.room.as_deref())?;
    let batches = new_batches(&service, request).await?;
    let batches = circumstances.with_leads(batches, &service.learning).await;
    Ok(Json(bench.open(batches).await?))
}

/// Returns a bench that runs.
pub(super) fn known(service: &Service, name: &str) -> Result<Bench, Failure> {
    service.benches.get(name).ok_or_else(|| {
        Failure::new(
            "no-such-bench",
            StatusCode::NOT_FOUND,
            "there is no such bench",
        )
        .detail(format!("`{name}`"))
        .hint(Some(
            "attach a scale to it first: `tarehand watch --port PATH`",
        ))
    })
}

/// Returns a bench, started if it does not run yet.
async fn made(service: &Service, name: &str) -> Result<Bench, Failure> {
    let fits = !name.is_empty()
        && name.len() <= 40
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if !fits {
        return Err(Failure::new(
            "bad-bench-name",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that is no name for a bench",
        )
        .hint(Some("use up to 40 letters, digits, `-` and `_`")));
    }
    service.benches.get_or_start(name).await?.ok_or_else(|| {
        Failure::new(
            "too-many-benches",
            StatusCode::CONFLICT,
            "there are too many benches",
        )
        .hint(Some("use one that exists: see `tarehand status`"))
    })
}

pub(super) async fn new_batch(service: &Service, request: &OpenBatch) -> Result<NewBatch, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let log = &service.surroundings.log;
    let shelf = request.shelf.as_ref();
    let texts = sources::with_stock(&request.recipes, shelf, &settings, log).await?;
    let (sizing, diagnostics) = sources::sized(&texts, &request.recipe, &settings, &request.size)?;
    let remarks = remarked(&request.recipe, &sizing, &diagnostics);
    Ok(NewBatch {
        procedure: sizing.procedure,
        limits: limits(request.grow_by_percent),
        recipe_text: request
            .recipes
            .get(&request.recipe)
            .cloned()
            .unwrap_or_default(),
        shelf_text: request.shelf.clone().unwrap_or_default(),
        room: None,
        remarks,
    })
}

/// Plans a set and makes a batch of every premix and jar of it.
pub(super) async fn new_batches(
    service: &Service,
    request: OpenSet,
) -> Result<Vec<NewBatch>, Failure> {
    let settings = sources::settings(&request.measures, &request.choices)?;
    let log = &service.surroundings.log;
    let shelf = request.shelf.as_ref();
    let texts = sources::with_stock(&request.recipes, shelf, &settings, log).await?;
    let planned = super::sets::planned(request.set, &texts, &settings)?;
    let walks = &planned.plan.walks;
    let way = match request.walk {
        WalkWord::Jar => Way::JarByJar,
        WalkWord::Bottle => Way::BottleByBottle,
        WalkWord::Shorter => walks.shorter(),
    };
    let run = jiff::Timestamp::now().to_string();
    let limits = Limits {
        water_warning: planned.set.water_warning.clone(),
        ..limits(request.grow_by_percent)
    };
    let procedures = planned.plan.run(&planned.set.name, &run, way);
    let batches = procedures.into_iter().map(|procedure| {
        let stem = procedure.of_set.as_ref().map(|place| place.key.as_str());
        NewBatch {
            recipe_text: stem
                .and_then(|stem| request.recipes.get(stem).cloned())
                .unwrap_or_default(),
            shelf_text: request.shelf.clone().unwrap_or_default(),
            limits: limits.clone(),
            room: None,
            remarks: Vec::new(),
            procedure,
        }
    });
    Ok(batches.collect())
}

fn limits(grow_by_percent: Option<u32>) -> Limits {
    let mut limits = Limits::default();
    if let Some(percent) = grow_by_percent {
        limits.grow_by = Ratio::new(i64::from(percent), 100);
    }
    limits
}

fn command(request: CommandRequest) -> Result<Command, Failure> {
    let lacks = |what: &str| {
        Failure::new(
            "bad-command",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the command lacks something",
        )
        .detail(format!("it needs {what}"))
    };
    Ok(match request.command {
        CommandWord::Next => Command::Next,
        CommandWord::Back => Command::Back,
        CommandWord::Pause => Command::Pause,
        CommandWord::Resume => Command::Resume,
        CommandWord::Undo => Command::Undo,
        CommandWord::Skip => Command::Skip,
        CommandWord::Abort => Command::Abort,
        CommandWord::Tared => Command::Tared,
        CommandWord::Answer => Command::Answer(match (request.answer, request.option) {
            (Some(AnswerWord::Yes), None) => Answer::Yes,
            (Some(AnswerWord::No), None) => Answer::No,
            (None, Some(number)) => Answer::Option(number),
            (None, None) | (Some(_), Some(_)) => return Err(lacks("either `answer` or `option`")),
        }),
        CommandWord::RanOut => Command::RanOut,
        CommandWord::WasOther => {
            let said = request.ingredient.ok_or_else(|| lacks("`ingredient`"))?;
            Command::WasOther(ingredient(&said)?)
        }
        CommandWord::Trail => Command::Trail(request.seconds.ok_or_else(|| lacks("`seconds`"))?),
        CommandWord::TrailStart => Command::TrailStart,
        CommandWord::TrailStop => Command::TrailStop,
        CommandWord::FlowCup => {
            let text = request.text.ok_or_else(|| lacks("`text`"))?;
            Command::FlowTimed(text.parse::<FlowTime>().map_err(|error| {
                Failure::new(
                    "not-a-flow-time",
                    StatusCode::UNPROCESSABLE_ENTITY,
                    "that is no flow time",
                )
                .detail(error.to_string())
            })?)
        }
        CommandWord::WeighOut => Command::WeighOut,
        CommandWord::WeighIn => Command::WeighIn,
        CommandWord::JarIs => Command::JarIs(request.jar.ok_or_else(|| lacks("`jar`"))?),
        CommandWord::Remark => {
            let text = request.text.ok_or_else(|| lacks("`text`"))?;
            if text.trim().is_empty() {
                return Err(lacks("words in `text`"));
            }
            Command::Remark(text)
        }
    })
}

/// Reads what an ingredient is called. The log has no vessel without a name: one that came so far would stop it.
fn ingredient(said: &str) -> Result<String, Failure> {
    let name = said.trim();
    if name.is_empty()
        || MOST_OF_A_NAME < name.chars().count()
        || name.chars().any(char::is_control)
    {
        return Err(Failure::new(
            "no-ingredient",
            StatusCode::UNPROCESSABLE_ENTITY,
            "that is no name of an ingredient",
        )
        .hint(Some(
            "say it as the shelf or the recipe does, such as `linen-white`",
        )));
    }
    Ok(name.to_owned())
}
