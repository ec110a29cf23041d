//! What batches drew out of the packs of a shelf, read from the log no further back and no finer than matters.

use std::collections::{BTreeMap, BTreeSet};

use tarehand_mixing::shelf::{Draw, Moment, Pack, Shelf, Stretch, known_since, shortened};
use tarehand_protocol::Mass;

use crate::log::{Drawn, DrawnByBatch, Log, LogError, Mark};

/// Returns what batches drew since the packs of a shelf were known last, by ingredient; nothing where there are no packs.
///
/// Draws of one batch that come to the same as one draw are one.
///
/// # Errors
/// When the log cannot be read.
pub async fn of_shelf(shelf: &Shelf, log: &Log) -> Result<BTreeMap<String, Vec<Draw>>, LogError> {
    let mut drawn = BTreeMap::new();
    for (key, item) in shelf.iter() {
        if item.packs.is_empty() {
            continue;
        }
        let stretches = stretches(key, &item.packs, log).await?;
        let draws = read(key, &item.packs, stretches, log).await?;
        if !draws.is_empty() {
            drawn.insert(key.to_owned(), draws);
        }
    }
    Ok(drawn)
}

/// Returns what batches drew of an ingredient up to the last draw of some of them, as [`of_shelf`]: what others drew
/// later says nothing about the packs that theirs came from.
///
/// # Errors
/// When the log cannot be read.
pub async fn up_to_last_of(
    marks: &BTreeSet<&str>,
    ingredient: &str,
    packs: &[Pack],
    log: &Log,
) -> Result<Vec<Draw>, LogError> {
    let mut stretches = stretches(ingredient, packs, log).await?;
    let own = stretches
        .iter()
        .filter(|(batch, _)| marks.contains(batch.mark.as_str()));
    let last = own.map(|(_, stretch)| stretch.last.clone()).max();
    stretches.retain(|(_, stretch)| Some(&stretch.first) <= last.as_ref());
    read(ingredient, packs, stretches, log).await
}

/// A batch that drew something.
struct Drawer {
    mark: Mark,
    opened: Moment,
}

async fn stretches(
    ingredient: &str,
    packs: &[Pack],
    log: &Log,
) -> Result<Vec<(Drawer, Stretch)>, LogError> {
    let since = known_since(packs).map(|since| since.to_string());
    let rows = log.drawn_by_batch(ingredient.to_owned(), since).await?;
    Ok(rows.into_iter().filter_map(stretch).collect())
}

async fn read(
    ingredient: &str,
    packs: &[Pack],
    stretches: Vec<(Drawer, Stretch)>,
    log: &Log,
) -> Result<Vec<Draw>, LogError> {
    let (batches, stretches): (Vec<Drawer>, Vec<Stretch>) = stretches.into_iter().unzip();
    let found = shortened(packs, stretches);
    let singly: BTreeSet<String> = found.singly.into_iter().collect();
    let batches = batches.into_iter();
    let batches = batches.filter(|batch| singly.contains(batch.mark.as_str()));
    let mut batches: Vec<Drawer> = batches.collect();
    // What was drawn at one moment has the order in which its batches were opened.
    batches.sort_by(|a, b| (&a.opened, a.mark.as_str()).cmp(&(&b.opened, b.mark.as_str())));
    let marks = batches.into_iter().map(|batch| batch.mark).collect();
    let rows = log.drawn_by(ingredient.to_owned(), marks).await?;
    let whole = found.whole.into_iter();
    Ok(whole.chain(rows.iter().filter_map(draw)).collect())
}

/// The log wrote the moments itself; what cannot be read is of a newer version.
fn stretch(row: DrawnByBatch) -> Option<(Drawer, Stretch)> {
    let stretch = Stretch {
        batch: row.batch.as_str().to_owned(),
        first: row.first.parse().ok()?,
        last: row.last.parse().ok()?,
        out: Mass::from_micrograms(row.out_ug),
        back: Mass::from_micrograms(row.back_ug),
    };
    let drawer = Drawer {
        mark: row.batch,
        opened: row.opened.parse().ok()?,
    };
    Some((drawer, stretch))
}

fn draw(row: &Drawn) -> Option<Draw> {
    Some(Draw {
        at: row.at.parse().ok()?,
        batch: row.batch.as_str().to_owned(),
        mass: Mass::from_micrograms(row.mass_ug),
    })
}
