//! Bytes nobody chose, taken as choices.

/// What is left of an input; when nothing is left, every choice is the first one.
pub(crate) struct Feed<'b>(&'b [u8]);

impl<'b> Feed<'b> {
    pub(crate) const fn new(input: &'b [u8]) -> Self {
        Self(input)
    }

    pub(crate) fn byte(&mut self) -> u8 {
        match self.0.split_first() {
            Some((&byte, rest)) => {
                self.0 = rest;
                byte
            }
            None => 0,
        }
    }

    /// Takes a number from zero to below another one.
    pub(crate) fn below(&mut self, end: u8) -> u8 {
        self.byte() % end.max(1)
    }

    pub(crate) fn yes(&mut self) -> bool {
        self.byte() % 2 == 1
    }

    pub(crate) fn one_of<T: Clone>(&mut self, all: &[T]) -> T {
        let at = usize::from(self.byte()) % all.len();
        all[at].clone()
    }

    pub(crate) fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.yes().then(|| make(self))
    }

    pub(crate) fn word(&mut self) -> u32 {
        u32::from_le_bytes([self.byte(), self.byte(), self.byte(), self.byte()])
    }

    /// Takes some bytes, at most so many.
    pub(crate) fn bytes(&mut self, most: u8) -> &'b [u8] {
        let count = usize::from(self.below(most.saturating_add(1))).min(self.0.len());
        let (taken, rest) = self.0.split_at(count);
        self.0 = rest;
        taken
    }

    pub(crate) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(crate) const fn rest(self) -> &'b [u8] {
        self.0
    }
}
