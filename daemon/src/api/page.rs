//! The bench page: where it is open, and who is let in.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

use axum::extract::State;
use axum::http::StatusCode;
use axum::{Extension, Json};
use tarehand_protocol::api::{
    CodeGiven, EnterPage, Entered, NewCode, OpenPage, PagePlace, PageState, Problem, RoleWord,
    VisitorLine,
};

use super::Service;
use super::apart::apart;
use super::problem::Failure;
use super::request::{Body, Place as At};
use crate::visit::{
    Code, EnterError, Guest, KeptError, OpenError, Place, Reception, Role, Visitor,
};

/// Where the page is open, and who was let in.
#[utoipa::path(get, path = "/v1/page", responses(
    (status = 200, body = PageState),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn state(State(service): State<Service>) -> Json<PageState> {
    Json(state_of(&service.reception))
}

/// Open the page, or move it.
#[utoipa::path(put, path = "/v1/page", request_body = OpenPage, responses(
    (status = 200, body = PageState),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn open(
    State(service): State<Service>,
    Body(said): Body<OpenPage>,
) -> Result<Json<PageState>, Failure> {
    let place = match said.place {
        PagePlace::Here => Place::Here,
        PagePlace::Room => Place::Room,
    };
    let reception = service.reception;
    apart(move || {
        reception.open(place, said.port)?;
        Ok(Json(state_of(&reception)))
    })
    .await
}

/// Close the page. Who was let in stays known.
#[utoipa::path(delete, path = "/v1/page", responses(
    (status = 204, description = "closed"),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn close(State(service): State<Service>) -> Result<StatusCode, Failure> {
    apart(move || {
        service.reception.close()?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Make a code that lets one browser in; the one before counts no more.
#[utoipa::path(post, path = "/v1/page/codes", request_body = NewCode, responses(
    (status = 200, body = CodeGiven),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn new_code(
    State(service): State<Service>,
    Body(said): Body<NewCode>,
) -> Result<Json<CodeGiven>, Failure> {
    let addresses = addresses(&service.reception);
    if addresses.is_empty() {
        return Err(
            Failure::new("page-closed", StatusCode::CONFLICT, "the page is closed")
                .hint(Some("open it: tarehand page")),
        );
    }
    let role = match said.role {
        RoleWord::Viewer => Role::Viewer,
        RoleWord::Operator => Role::Operator,
    };
    let code = service.reception.new_code(role).map_err(|error| {
        let status = StatusCode::INTERNAL_SERVER_ERROR;
        Failure::new("no-code", status, "no code can be made").detail(error.to_string())
    })?;
    let links = addresses.iter().map(|address| {
        // Behind the mark it stays in the browser: it is in no log and goes to no other page.
        format!("{address}#{}", code.digits())
    });
    Ok(Json(CodeGiven {
        links: links.collect(),
        valid_s: Code::VALID.as_secs(),
        code: code.digits().to_owned(),
    }))
}

/// Say the code, and be let in.
#[utoipa::path(post, path = "/v1/page/enter", request_body = EnterPage, responses(
    (status = 200, body = Entered),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn enter(
    State(service): State<Service>,
    Body(said): Body<EnterPage>,
) -> Result<Json<Entered>, Failure> {
    apart(move || {
        let (visitor, secret) = service.reception.enter(&said.code, &said.name)?;
        Ok(Json(Entered {
            visitor: line(&visitor),
            secret,
        }))
    })
    .await
}

/// Who this browser was let in as.
#[utoipa::path(get, path = "/v1/page/me", responses(
    (status = 200, body = VisitorLine),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn me(guest: Option<Extension<Guest>>) -> Result<Json<VisitorLine>, Failure> {
    let visitor = guest.and_then(|Extension(guest)| guest.visitor);
    visitor.as_ref().map(line).map(Json).ok_or_else(|| {
        Failure::new(
            "no-visitor",
            StatusCode::NOT_FOUND,
            "you are not a visitor: the service is yours",
        )
    })
}

/// Turn a browser away.
#[utoipa::path(delete, path = "/v1/page/visitors/{id}", params(("id" = u32, Path)), responses(
    (status = 204, description = "turned away"),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn turn_away(
    State(service): State<Service>,
    At(id): At<u32>,
) -> Result<StatusCode, Failure> {
    apart(move || {
        if service.reception.turn_away(id)? {
            return Ok(StatusCode::NO_CONTENT);
        }
        let failure = Failure::new(
            "no-such-visitor",
            StatusCode::NOT_FOUND,
            "nobody has that number",
        );
        Err(failure.hint(Some("see who was let in: tarehand page visitors")))
    })
    .await
}

fn state_of(reception: &Reception) -> PageState {
    PageState {
        place: reception.opening().map(|(place, _)| match place {
            Place::Here => PagePlace::Here,
            Place::Room => PagePlace::Room,
        }),
        addresses: addresses(reception),
        visitors: reception.visitors().iter().map(line).collect(),
    }
}

fn line(visitor: &Visitor) -> VisitorLine {
    VisitorLine {
        id: visitor.id,
        name: visitor.name.clone(),
        role: match visitor.role {
            Role::Viewer => RoleWord::Viewer,
            Role::Operator => RoleWord::Operator,
        },
        since: visitor.since.clone(),
    }
}

/// Returns the addresses to go to, the one for others first.
fn addresses(reception: &Reception) -> Vec<String> {
    let Some((place, bound)) = reception.opening() else {
        return Vec::new();
    };
    let here = SocketAddr::from((Ipv4Addr::LOCALHOST, bound.port()));
    let outside = match place {
        Place::Here => None,
        Place::Room => outward().map(|address| SocketAddr::new(address, bound.port())),
    };
    let all = outside.into_iter().chain([here]);
    all.map(|address| format!("http://{address}/")).collect()
}

/// Returns the address by which this machine is known in its network.
fn outward() -> Option<IpAddr> {
    // Nothing is sent: the system only chooses the way it would take (RFC 5737 address, for documentation).
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let address = socket.local_addr().ok()?.ip();
    (!address.is_unspecified()).then_some(address)
}

impl From<OpenError> for Failure {
    fn from(error: OpenError) -> Self {
        let (name, status) = match error {
            OpenError::Port { .. } => ("no-port", StatusCode::CONFLICT),
            OpenError::TooEarly => ("starting", StatusCode::SERVICE_UNAVAILABLE),
            OpenError::Kept(error) => return Self::from(error),
        };
        Self::new(name, status, "the page cannot be opened")
            .detail(error.to_string())
            .hint(Some(error.hint()))
    }
}

impl From<KeptError> for Failure {
    fn from(error: KeptError) -> Self {
        let status = StatusCode::INTERNAL_SERVER_ERROR;
        Self::new("not-kept", status, "that cannot be kept")
            .detail(error.to_string())
            .hint(Some(error.hint()))
    }
}

impl From<EnterError> for Failure {
    fn from(error: EnterError) -> Self {
        match error {
            EnterError::Code(refusal) => {
                Self::new("wrong-code", StatusCode::FORBIDDEN, "you are not let in")
                    .detail(refusal.to_string())
                    .hint(Some("ask for a new code at the machine: tarehand page"))
            }
            EnterError::Kept(error) => Self::from(error),
            EnterError::Chance(_) => {
                let status = StatusCode::INTERNAL_SERVER_ERROR;
                Self::new("not-kept", status, "you cannot be let in").detail(error.to_string())
            }
        }
    }
}
