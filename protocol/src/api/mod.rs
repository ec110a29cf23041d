//! The messages of the service's HTTP API.
