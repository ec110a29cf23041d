//! What the screen shows, and what keys mean.

mod feed;
mod keys;
mod plain;
mod screen;
mod views;
