//! A byte that recurs in every frame of a stream, by which all frames are cut alike.

/// So many frames of a run are compared at once with those known already: a run may slip inside.
const COMPARED: usize = 8;
/// By one byte in so many frames another cut must fit better.
const BETTER: usize = 12;
/// So many bytes are tried as the one that recurs.
const TRIED: usize = 3;

/// Finds where the frames of a stream are, by a byte that recurs at this distance nearly always: the places of one byte
/// of each.
pub(super) fn marks(bytes: &[u8], length: usize) -> Option<Vec<usize>> {
    let tried = recurring(bytes, length).into_iter().take(TRIED);
    let mut best: Option<(usize, Vec<usize>)> = None;
    for value in tried {
        let marks = aligned(bytes, &chain(bytes, length, value), length);
        let alike = alike(bytes, &marks, length);
        if best.as_ref().is_none_or(|&(known, _)| known < alike) {
            best = Some((alike, marks));
        }
    }
    best.map(|(_, marks)| marks)
}

/// Tells how much the frames are alike: the more, the better they are cut, and the fewer are lost.
fn alike(bytes: &[u8], marks: &[usize], length: usize) -> usize {
    let mut known = Known::new(length);
    for two in marks.windows(2) {
        if let [one, next] = *two
            && next == one + length
        {
            known.take(bytes, one);
        }
    }
    let usual = known.counts.iter().map(|counts| counts.iter().max());
    usual.flatten().sum()
}

/// Returns the bytes that recur at this distance, those first that stand least often elsewhere.
fn recurring(bytes: &[u8], length: usize) -> Vec<u8> {
    let mut recurring = [0_usize; 256];
    let mut all = [0_usize; 256];
    for (at, &byte) in bytes.iter().enumerate() {
        all[usize::from(byte)] += 1;
        if bytes.get(at + length) == Some(&byte) {
            recurring[usize::from(byte)] += 1;
        }
    }
    let expected = bytes.len() / length;
    let mut values: Vec<u8> = (0_u8..=255)
        .filter(|&value| expected * 4 / 5 <= recurring[usize::from(value)])
        .collect();
    values.sort_by_key(|&value| {
        let value = usize::from(value);
        // One that does not always recur would hide the frames without it.
        let missed = (expected * 19 / 20).saturating_sub(recurring[value]);
        let elsewhere = all[value].saturating_sub(recurring[value]);
        elsewhere * 8 + all[value].abs_diff(expected) + missed * 40
    });
    values
}

/// Follows the chain of a byte; where it breaks, it goes on at the next place from which it holds again.
fn chain(bytes: &[u8], length: usize, value: u8) -> Vec<usize> {
    let mut places = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] != value {
            at += 1;
            continue;
        }
        let mut ahead = 0;
        while ahead < 4 && bytes.get(at + (ahead + 1) * length) == Some(&value) {
            ahead += 1;
        }
        let near_end = bytes.len() < at + 5 * length;
        let continues = places
            .last()
            .is_some_and(|&last: &usize| at == last + length);
        // Of several columns with this byte the steadiest is followed, so that all frames are cut alike.
        if 4 <= ahead || continues || near_end {
            places.push(at);
            at += length;
            if bytes.get(at) != Some(&value) {
                at -= length - 1;
            }
        } else {
            at += 1;
        }
    }
    places
}

/// Cuts all runs of frames alike: where the byte stands twice in a frame, those of one run may begin with the one and
/// those of the next, behind a frame that was torn, with the other.
fn aligned(bytes: &[u8], places: &[usize], length: usize) -> Vec<usize> {
    let mut runs: Vec<&[usize]> = places
        .chunk_by(|one, next| *next == one + length)
        .filter(|run| 2 <= run.len())
        .collect();
    runs.sort_by_key(|run| std::cmp::Reverse(run.len()));
    let mut known = Known::new(length);
    let mut all = Vec::new();
    for run in runs.into_iter().flat_map(|run| run.chunks(COMPARED)) {
        let fits = |by: usize| {
            let each = run.iter().map(|&from| known.fits(bytes, from, by));
            each.sum::<usize>()
        };
        let (mut by, best) = (0..length).fold((0, 0), |best, by| {
            let fits = fits(by);
            if best.1 < fits { (by, fits) } else { best }
        });
        if BETTER * best <= BETTER * fits(0) + known.most * run.len() {
            by = 0;
        }
        for from in run {
            known.take(bytes, from + by);
        }
        all.extend(
            run.iter()
                .map(|from| from + by)
                .filter(|&from| from < bytes.len()),
        );
    }
    all.sort_unstable();
    all
}

/// How often each byte stood at each place of the frames that are cut already.
struct Known {
    counts: Vec<[usize; 256]>,
    most: usize,
}

impl Known {
    fn new(length: usize) -> Self {
        Self {
            counts: vec![[0; 256]; length],
            most: 0,
        }
    }

    fn take(&mut self, bytes: &[u8], from: usize) {
        for (counts, &byte) in self.counts.iter_mut().zip(bytes.iter().skip(from)) {
            counts[usize::from(byte)] += 1;
        }
        self.most += 1;
    }

    /// Tells how much a frame looks like those when it is cut so many bytes later.
    fn fits(&self, bytes: &[u8], from: usize, by: usize) -> usize {
        let frame = bytes.iter().skip(from + by);
        let counts = self.counts.iter().zip(frame);
        counts
            .map(|(counts, &byte)| counts[usize::from(byte)])
            .sum()
    }
}
