//! Orders stretches of work for one pair of hands.

use std::time::Duration;

/// A stretch of work.
#[derive(Debug)]
pub(super) struct Chunk {
    /// How long the hands are at it.
    pub takes: Duration,
    /// How long it rests before whatever waits for it may begin.
    pub rests: Duration,
    /// What must be done and rested before; numbers below its own.
    pub after: Vec<usize>,
    /// Among equals it goes first: powders are wetted early.
    pub eager: bool,
}

/// Chunks in order.
pub(super) struct Ordered {
    /// Each chunk with when it begins.
    pub begins: Vec<(usize, Duration)>,
    /// Until the last rest is over.
    pub takes: Duration,
    /// Whether no order is shorter.
    pub shortest: bool,
}

/// With so many chunks all orders are tried: at most 5,040.
const TRY_ALL: usize = 7;

/// Orders chunks: the longest way still ahead goes first; of few chunks every order is tried.
pub(super) fn order(chunks: &[Chunk]) -> Ordered {
    let mut best = by_tail(chunks);
    if chunks.len() <= TRY_ALL {
        let mut trial = Trial::new(chunks);
        trial.try_all(&mut best);
        best.shortest = true;
    }
    best
}

/// How long it takes at least from a chunk's beginning until everything that waits for it has rested.
fn tails(chunks: &[Chunk]) -> Vec<Duration> {
    let mut behind = vec![Duration::ZERO; chunks.len()];
    let mut tails = behind.clone();
    for (number, chunk) in chunks.iter().enumerate().rev() {
        tails[number] = chunk.takes + chunk.rests + behind[number];
        for &before in &chunk.after {
            behind[before] = behind[before].max(tails[number]);
        }
    }
    tails
}

fn by_tail(chunks: &[Chunk]) -> Ordered {
    let tails = tails(chunks);
    let mut trial = Trial::new(chunks);
    while let Some(next) = {
        let now = trial.free;
        // Whoever could begin by now; else whoever can begin soonest.
        let open = (0..chunks.len()).filter(|&number| trial.is_open(number));
        open.min_by_key(|&number| {
            let waits = trial.ready(number).saturating_sub(now);
            (
                waits,
                !chunks[number].eager,
                std::cmp::Reverse(tails[number]),
                number,
            )
        })
    } {
        trial.begin(next);
    }
    trial.ordered()
}

/// An order in the making.
struct Trial<'c> {
    chunks: &'c [Chunk],
    begins: Vec<(usize, Duration)>,
    /// When each chunk has rested, of those that have begun.
    rested: Vec<Option<Duration>>,
    /// When the hands are free.
    free: Duration,
}

impl<'c> Trial<'c> {
    fn new(chunks: &'c [Chunk]) -> Self {
        Self {
            chunks,
            begins: Vec::with_capacity(chunks.len()),
            rested: vec![None; chunks.len()],
            free: Duration::ZERO,
        }
    }

    /// Returns whether all that must come before has begun, and it has not.
    fn is_open(&self, number: usize) -> bool {
        let begun = |&before: &usize| self.rested[before].is_some();
        self.rested[number].is_none() && self.chunks[number].after.iter().all(begun)
    }

    /// Returns when it can begin as far as the others are concerned.
    fn ready(&self, number: usize) -> Duration {
        let after = self.chunks[number].after.iter();
        after
            .filter_map(|&before| self.rested[before])
            .max()
            .unwrap_or_default()
    }

    fn begin(&mut self, number: usize) {
        let begins = self.free.max(self.ready(number));
        self.free = begins + self.chunks[number].takes;
        self.rested[number] = Some(self.free + self.chunks[number].rests);
        self.begins.push((number, begins));
    }

    fn takes(&self) -> Duration {
        let rested = self.rested.iter().flatten().max().copied();
        rested.unwrap_or_default().max(self.free)
    }

    fn ordered(&self) -> Ordered {
        Ordered {
            begins: self.begins.clone(),
            takes: self.takes(),
            shortest: false,
        }
    }

    /// Tries every order that can still be shorter than the best.
    fn try_all(&mut self, best: &mut Ordered) {
        if best.takes <= self.takes() && !self.begins.is_empty() {
            return;
        }
        if self.begins.len() == self.chunks.len() {
            *best = self.ordered();
            return;
        }
        for number in 0..self.chunks.len() {
            if self.is_open(number) {
                let free = self.free;
                self.begin(number);
                self.try_all(best);
                self.begins.pop();
                self.rested[number] = None;
                self.free = free;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn chunk(takes: u64, rests: u64, after: &[usize]) -> Chunk {
        Chunk {
            takes: Duration::from_secs(takes),
            rests: Duration::from_secs(rests),
            after: after.to_vec(),
            eager: false,
        }
    }

    #[test]
    fn what_rests_longest_is_begun_first_and_the_rest_is_used() {
        let ordered = order(&[chunk(60, 0, &[]), chunk(30, 600, &[]), chunk(90, 0, &[1])]);
        let order: Vec<usize> = ordered.begins.iter().map(|(chunk, _)| *chunk).collect();
        assert_eq!(order, [1, 0, 2]);
        assert_eq!(ordered.takes, Duration::from_secs(720));
        assert!(ordered.shortest);
    }

    #[test]
    fn no_work_takes_no_time() {
        assert_eq!(order(&[]).takes, Duration::ZERO);
    }

    #[test]
    fn among_equals_the_powder_is_wetted_first() {
        let mut chunks: Vec<Chunk> = (0..8).map(|_| chunk(30, 0, &[])).collect();
        chunks[5].eager = true;
        assert_eq!(order(&chunks).begins[0].0, 5);
    }

    /// Goes through all permutations without cutting any short.
    fn shortest(chunks: &[Chunk], trial: &mut Trial<'_>) -> Duration {
        let mut best = None;
        for number in 0..chunks.len() {
            if trial.is_open(number) {
                let free = trial.free;
                trial.begin(number);
                let takes = shortest(chunks, trial);
                best = Some(best.map_or(takes, |best: Duration| best.min(takes)));
                trial.begins.pop();
                trial.rested[number] = None;
                trial.free = free;
            }
        }
        best.unwrap_or_else(|| trial.takes())
    }

    fn chunks(numbers: std::ops::Range<usize>) -> impl Strategy<Value = Vec<Chunk>> {
        let one = (1_u64..20, prop_oneof![Just(0_u64), 1_u64..60], any::<u8>());
        prop::collection::vec(one, numbers).prop_map(|all| {
            let with = |(number, (takes, rests, before)): (usize, (u64, u64, u8))| {
                let after: Vec<usize> = (0..number)
                    .filter(|at| before >> (at % 8) & 1 == 1 && at % 3 == number % 3)
                    .collect();
                chunk(takes, rests, &after)
            };
            all.into_iter().enumerate().map(with).collect()
        })
    }

    proptest! {
        #[test]
        fn of_few_chunks_the_order_is_the_shortest_of_all(chunks in chunks(0..6)) {
            prop_assert_eq!(order(&chunks).takes, shortest(&chunks, &mut Trial::new(&chunks)));
        }

        #[test]
        fn nothing_begins_before_what_it_needs_has_rested_and_hands_do_one_thing_at_a_time(chunks in chunks(0..30)) {
            let ordered = order(&chunks);
            let mut rested = vec![None; chunks.len()];
            let mut free = Duration::ZERO;
            for (number, begins) in &ordered.begins {
                prop_assert!(free <= *begins);
                for before in &chunks[*number].after {
                    prop_assert!(rested[*before].is_some_and(|rested| rested <= *begins));
                }
                free = *begins + chunks[*number].takes;
                rested[*number] = Some(free + chunks[*number].rests);
            }
            prop_assert_eq!(ordered.begins.len(), chunks.len());
        }
    }
}
