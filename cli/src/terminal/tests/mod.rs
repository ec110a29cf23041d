//! What the screen shows, and what keys mean.

mod feed;
mod keys;
mod plain;
mod said;
mod screen;
mod shot;
mod views;
mod waiting;
