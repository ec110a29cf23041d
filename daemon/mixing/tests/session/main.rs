//! Random days at the bench: the session must keep its laws whatever is poured, lifted, pressed and said.
//!
//! | file | idea |
//! |---|---|
//! | `recipes` | random procedures of every kind of step |
//! | `witness` | a session with somebody beside it who checks every single answer against the laws |
//! | `helper` | an honest, helpful person: from any state to a finished batch |
//! | `facts` | random facts and commands straight into the session, sensible or not |
#![expect(clippy::unwrap_used, reason = "a test that cannot go on stops at once")]

mod facts;
mod helper;
mod recipes;
mod witness;
