//! The terminal while the live view has it; always given back as it was.

use std::io::{self, Write};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};

use crossterm::cursor::{Hide, MoveTo, Show};
use crossterm::style::{Attribute, Color, Print, ResetColor, SetAttribute, SetForegroundColor};
use crossterm::terminal::{
    BeginSynchronizedUpdate, Clear, ClearType, EndSynchronizedUpdate, EnterAlternateScreen,
    LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use crossterm::{execute, queue};

use super::line::{Line, Span, Tone};
use super::style::Size;
use crate::output::Ink;

/// Whether the terminal is ours at this moment.
static TAKEN: AtomicBool = AtomicBool::new(false);
static HOOK: Once = Once::new();

/// The terminal while the live view has it.
pub(crate) struct Screen<'a> {
    out: &'a mut Box<dyn Write>,
    ink: Ink,
    shown: Vec<Line>,
}

impl<'a> Screen<'a> {
    /// Takes the terminal; dropping gives it back, and so does a panic.
    pub(crate) fn take(out: &'a mut Box<dyn Write>, ink: Ink) -> io::Result<Self> {
        HOOK.call_once(|| {
            let usual = std::panic::take_hook();
            std::panic::set_hook(Box::new(move |panic| {
                // Before the message, so that it can be read.
                give_back(&mut io::stdout());
                usual(panic);
            }));
        });
        enable_raw_mode()?;
        TAKEN.store(true, Ordering::SeqCst);
        let screen = Self {
            out,
            ink,
            shown: Vec::new(),
        };
        execute!(screen.out, EnterAlternateScreen, Hide)?;
        Ok(screen)
    }

    /// Forgets what is on the screen, so that everything is painted anew.
    pub(crate) fn forget(&mut self) {
        self.shown.clear();
    }

    /// Paints the lines that have changed.
    pub(crate) fn paint(&mut self, lines: Vec<Line>) -> io::Result<()> {
        if self.shown == lines {
            return Ok(());
        }
        queue!(self.out, BeginSynchronizedUpdate)?;
        if self.shown.is_empty() {
            queue!(self.out, Clear(ClearType::All))?;
        }
        for (row, line) in lines.iter().enumerate() {
            if self.shown.get(row) == Some(line) {
                continue;
            }
            let row = u16::try_from(row).unwrap_or(u16::MAX);
            queue!(self.out, MoveTo(0, row))?;
            for span in &line.spans {
                paint_span(self.out, span, self.ink)?;
            }
            queue!(self.out, Clear(ClearType::UntilNewLine))?;
        }
        queue!(self.out, EndSynchronizedUpdate)?;
        self.shown = lines;
        self.out.flush()
    }

    /// Rings the bell.
    pub(crate) fn ring(&mut self) -> io::Result<()> {
        self.out.write_all(b"\x07")?;
        self.out.flush()
    }

    /// Returns how large the terminal is.
    pub(crate) fn size() -> Size {
        let (columns, rows) = crossterm::terminal::size().unwrap_or((80, 24));
        Size {
            columns: usize::from(columns),
            rows: usize::from(rows),
        }
    }
}

impl Drop for Screen<'_> {
    fn drop(&mut self) {
        give_back(self.out);
    }
}

fn give_back(out: &mut impl Write) {
    if TAKEN.swap(false, Ordering::SeqCst) {
        // Each on its own: one that fails must not keep the other from being tried.
        let _gone = execute!(out, ResetColor, Show, LeaveAlternateScreen);
        let _gone = disable_raw_mode();
    }
}

fn paint_span(out: &mut impl Write, span: &Span, ink: Ink) -> io::Result<()> {
    let (attribute, colour) = match span.tone {
        Tone::Plain => (None, None),
        Tone::Strong => (Some(Attribute::Bold), None),
        Tone::Faint => (Some(Attribute::Dim), None),
        Tone::Good => (Some(Attribute::Bold), Some(Color::Green)),
        Tone::Care => (None, Some(Color::Yellow)),
        Tone::Bad => (Some(Attribute::Bold), Some(Color::Red)),
    };
    if let Some(attribute) = attribute {
        queue!(out, SetAttribute(attribute))?;
    }
    if let (Some(colour), Ink::Colour) = (colour, ink) {
        queue!(out, SetForegroundColor(colour))?;
    }
    queue!(out, Print(&span.text), SetAttribute(Attribute::Reset))
}
