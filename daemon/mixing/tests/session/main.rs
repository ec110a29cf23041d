//! Random days at the bench: the session must keep its laws whatever is poured, lifted, pressed and said.
//!
//! | file | idea |
//! |---|---|
//! | `recipes` | random procedures of every kind of step |
//! | `witness` | a session with somebody beside it who checks every single answer against the laws |
//! | `person` | an honest, helpful person: from any state to a finished batch |
//! | `facts` | random facts and commands straight into the session, sensible or not |
//! | `world` | a pan, a jar, a hand and a scale that averages, flickers, drifts and falls silent |
//! | `vessels` | bottles and cups on that pan, and what really is in them |
//! | `bench` | that world through the real settler into the session |
//! | `scenes` | what may happen at that bench |
//! | `days` | random days at that bench, slips and all |
#![expect(clippy::unwrap_used, reason = "a test that cannot go on stops at once")]

mod bench;
mod days;
mod facts;
mod person;
mod recipes;
mod scenes;
mod vessels;
mod witness;
mod world;
