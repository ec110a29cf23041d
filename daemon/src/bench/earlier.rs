//! What earlier batches of a recipe tell about it.

use tarehand_mixing::procedure::{Procedure, StepKind};
use tarehand_mixing::session::thinning_slope;

use crate::journal;
use crate::log::{BatchFilter, BatchOrder, BatchState, Ending, Log, LogError, Reality};

/// How many earlier batches are asked; paints and thinners change with time (our own choice).
const BATCHES: u32 = 5;

/// Returns how fast the trail fell with thinner in each of the last batches of this recipe whose trails tell it.
///
/// A rehearsal learns from rehearsals only, and nothing is looked up for a recipe that thins nothing.
pub(super) async fn thinning_slopes(
    log: &Log,
    procedure: &Procedure,
    reality: Reality,
) -> Result<Vec<f64>, LogError> {
    let thins = procedure
        .steps
        .iter()
        .any(|step| matches!(step.kind, StepKind::Thin { .. }));
    if !thins {
        return Ok(Vec::new());
    }
    let filter = BatchFilter {
        recipe: Some(procedure.recipe.clone()),
        state: Some(BatchState::Ended(Ending::Complete)),
        reality: Some(reality),
        at_most: Some(BATCHES),
        order: BatchOrder::OpenedLast,
        ..BatchFilter::default()
    };
    let mut slopes = Vec::new();
    for head in log.batches(filter).await? {
        // A batch that cannot be read, of a newer version, teaches nothing and stops nothing.
        match journal::read_entries(log, head).await {
            Ok(kept) => slopes.extend(thinning_slope(&kept.records)),
            Err(error) => tracing::debug!(%error, "an earlier batch tells nothing"),
        }
    }
    Ok(slopes)
}
