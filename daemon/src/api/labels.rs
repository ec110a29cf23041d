//! Labels for jars.

use std::collections::BTreeSet;

use axum::extract::State;
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use serde::Serialize;
use tarehand_mixing::diagnostic::{Diagnostic, Paint, render};
use tarehand_mixing::document::{Source, Sources};
use tarehand_mixing::label::{self, Content, Days, Says, Sheet};
use tarehand_mixing::shelf::Shelf;
use tarehand_mixing::units::Measures;
use tarehand_protocol::api::{LabelForm, LabelRequest, LabelSaid, LabelSays, Problem};

use super::apart::apart;
use super::problem::Failure;
use super::request::Body;
use super::translate::label_said;
use super::{Service, batches, cards};
use crate::contents::Contents;
use crate::journal::{self, Kept};
use crate::log::{Batch, Log, Mark};

/// What is not on the labels as it should be: a JSON list of texts, in ASCII.
const REMARKS: HeaderName = HeaderName::from_static("tarehand-remarks");
/// The most labels at once; the document says so too.
const MOST: usize = 1000;
/// The same as data.
const SAID: HeaderName = HeaderName::from_static("tarehand-remarks-said");
/// How many remarks are sent: clients bound what they read of a head.
const MOST_REMARKS: usize = 40;

/// Labels for the jars of batches, at real size; the header `tarehand-remarks` is a JSON list of what had no room,
/// and `tarehand-remarks-said` a list of the same as `LabelSaid`.
#[utoipa::path(post, path = "/v1/labels", request_body = LabelRequest, responses(
    (status = 200, content((Vec<u8> = "application/pdf"), (String = "image/svg+xml"))),
    (status = "4XX", body = Problem, content_type = "application/problem+json"),
    (status = "5XX", body = Problem, content_type = "application/problem+json"),
))]
pub(super) async fn write(
    State(service): State<Service>,
    Body(request): Body<LabelRequest>,
) -> Result<Response, Failure> {
    let log = &service.surroundings.log;
    let sheet = sheet(request.sheet.as_deref())?;
    let days = match request.best_before_days {
        Some(days) => Some(Days::new(days).ok_or_else(|| refused("a mix keeps 1 to 36500 days"))?),
        None => None,
    };
    let marks = marks(&request, log).await?;
    let mut contents = Vec::new();
    for jar in jars(marks, log).await? {
        contents.push(content(log, jar, days).await?);
    }
    let says = match request.says {
        LabelSays::Grams => Says::Grams,
        LabelSays::Shares => Says::Shares,
    };
    let (first, form) = (request.first, request.form);
    apart(move || written(&contents, says, &sheet, first, form)).await
}

/// Lays the labels out and writes them.
fn written(
    contents: &[Content],
    says: Says,
    sheet: &Sheet,
    first: u32,
    form: LabelForm,
) -> Result<Response, Failure> {
    let labels =
        label::labels(contents, says, sheet, first).map_err(|error| refused(&error.to_string()))?;
    let remarks = listed(
        labels
            .remarks()
            .map(|(mark, remark)| format!("{mark}: {remark}")),
        |more| format!("and {more} remarks more"),
    );
    let said = listed(
        labels
            .remarks()
            .map(|(mark, remark)| label_said(mark, remark)),
        |remarks| LabelSaid::More { remarks },
    );
    let (kind, bytes) = match form {
        LabelForm::Pdf => ("application/pdf", label::pdf(&labels)),
        LabelForm::Svg if 1 < labels.pages.len() => {
            return Err(refused("an SVG has one page, and so many labels need more")
                .hint(Some("ask for a PDF, or for fewer labels")));
        }
        LabelForm::Svg => (
            "image/svg+xml",
            label::svg(&labels, 0).unwrap_or_default().into_bytes(),
        ),
    };
    Ok((
        [
            (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
            (REMARKS, remarks),
            (SAID, said),
        ],
        bytes,
    )
        .into_response())
}

/// Returns the batches that are asked for, each once.
async fn marks(request: &LabelRequest, log: &Log) -> Result<Vec<Mark>, Failure> {
    // Before any is read: a body has room for very many.
    if MOST < request.marks.len() {
        return Err(too_many());
    }
    let mut marks = Vec::new();
    for mark in &request.marks {
        marks.push(batches::parse(mark)?);
    }
    if let Some(mark) = &request.set_of {
        let run = log.run_of(batches::parse(mark)?).await?;
        marks.extend(run.into_iter().map(|head| head.mark));
    }
    let mut seen = BTreeSet::new();
    marks.retain(|mark| seen.insert(mark.clone()));
    match marks.len() {
        0 => Err(refused("no batch is named").hint(Some("name marks, or a batch of a set"))),
        1..=MOST => Ok(marks),
        _ => Err(too_many()),
    }
}

fn too_many() -> Failure {
    refused("so many labels are not made at once").hint(Some("ask for at most 1000"))
}

/// Reads the batches whose jars are meant, each once: an amendment's jar is the one that it went into.
async fn jars(marks: Vec<Mark>, log: &Log) -> Result<Vec<(Batch, Kept)>, Failure> {
    let mut seen = BTreeSet::new();
    let mut jars = Vec::new();
    for mark in marks {
        let mut jar = read(log, mark).await?;
        if let Some(amends) = &jar.1.book.procedure().amends {
            jar = read(log, batches::parse(&amends.mark)?).await?;
        }
        if seen.insert(jar.0.head.mark.clone()) {
            jars.push(jar);
        }
    }
    Ok(jars)
}

async fn read(log: &Log, mark: Mark) -> Result<(Batch, Kept), Failure> {
    let batch = log.batch(mark).await?;
    let kept = journal::read_entries(log, batch.head.clone()).await?;
    Ok((batch, kept))
}

async fn content(
    log: &Log,
    (batch, kept): (Batch, Kept),
    days: Option<Days>,
) -> Result<Content, Failure> {
    let source = Source::new("shelf.toml", batch.shelf_text);
    // The shelf as it was then; what is wrong with it was said when the batch was opened.
    let (shelf, _) = Shelf::parse(&source, &Measures::default());
    let made = Content::of_batch(
        cards::provenance(&kept),
        &kept.book,
        &kept.records,
        days,
        &shelf,
    );
    let contents = Contents::read(log, kept.id).await?;
    let poured = contents.as_poured(&kept.mark);
    Ok(match contents.in_jar(&kept.mark, &poured) {
        Some(jar) => made.now(&jar, days),
        None => made,
    })
}

fn sheet(text: Option<&str>) -> Result<Sheet, Failure> {
    let Some(text) = text else {
        return Ok(Sheet::usual());
    };
    let source = Source::new("sheet.toml", text);
    let (sheet, diagnostics) = Sheet::parse(&source);
    sheet.ok_or_else(|| {
        let errors: Vec<Diagnostic> = diagnostics
            .into_iter()
            .filter(Diagnostic::is_error)
            .collect();
        let sources = Sources::new().with_recipe("sheet", source);
        Failure::new(
            "bad-sheet",
            StatusCode::UNPROCESSABLE_ENTITY,
            "the sheet of labels cannot be used",
        )
        .detail(render(&errors, &sources, Paint::Plain))
        .hint(Some("measure the sheet and write its millimetres"))
    })
}

fn refused(detail: &str) -> Failure {
    Failure::new(
        "no-labels",
        StatusCode::UNPROCESSABLE_ENTITY,
        "those labels cannot be made",
    )
    .detail(detail)
}

/// Writes the remarks as a JSON list that a header can hold; what is too long for one is counted.
fn listed<R: Serialize>(all: impl Iterator<Item = R>, counted: impl Fn(u64) -> R) -> HeaderValue {
    let mut said: Vec<R> = all.collect();
    if let Some(more @ 1..) = said.len().checked_sub(MOST_REMARKS) {
        said.truncate(MOST_REMARKS);
        said.push(counted(more.try_into().unwrap_or(u64::MAX)));
    }
    let json = serde_json::to_string(&said).unwrap_or_default();
    let ascii: String = json
        .encode_utf16()
        .map(|unit| match u8::try_from(unit) {
            Ok(byte @ 0x20..=0x7e) => char::from(byte).to_string(),
            _ => format!("\\u{unit:04x}"),
        })
        .collect();
    HeaderValue::from_str(&ascii).unwrap_or(HeaderValue::from_static("[]"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_are_a_json_list_in_ascii_and_never_too_long() {
        let written = |texts: Vec<String>| {
            let value = listed(texts.into_iter(), |more| format!("and {more} remarks more"));
            let text = value.to_str().unwrap().to_owned();
            serde_json::from_str::<Vec<String>>(&text).unwrap()
        };
        assert_eq!(
            written(vec!["drawn as □ \"😀\"\n".to_owned()]),
            ["drawn as □ \"😀\"\n"]
        );
        let many = written(vec!["x".repeat(100); 1000]);
        assert_eq!(many.last().unwrap(), "and 960 remarks more");
    }
}
