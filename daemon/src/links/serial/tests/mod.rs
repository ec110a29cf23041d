//! The link against doubles: real pseudo-terminals, and ports that play a script.

mod doubles;
mod pty;
mod scripted;
mod search;
